"""Tags in the head of a page from which a chat makes a preview of its link.

They are those of the Open Graph protocol (https://ogp.me/, from memory) and the one that asks for a wide picture.
"""

import re
from typing import Final, NamedTuple

from markupsafe import Markup

from rigleaf.site.previews.layout import HEIGHT, WIDTH
from rigleaf.site.record import PageRecord, Picture
from rigleaf.site.typeset.addresses import Addresses

LOCALE: Final = "en_GB"
"""The language of all that the guide writes itself."""

LONGEST: Final = 200
"""Characters of a description; chats cut off what is longer."""


class Tag(NamedTuple):
    """One meta tag: which attribute has its name ("property" or "name"), its name and what it says."""

    attribute: str
    name: str
    content: str

    @property
    def subject(self) -> str:
        """What it speaks of: "og:image" for "og:image:width"."""
        return ":".join(self.name.split(":")[:2])


def page_tags(page: PageRecord, addresses: Addresses, site_name: str, guide: Picture | None) -> tuple[Tag, ...]:
    """Return the tags of a page of the guide; ``guide`` is the picture of pages without their own."""
    home = page.address == "index"
    return preview_tags(
        title=site_name if home else page.title,
        description=page.description,
        site_name=site_name,
        url=addresses.public(addresses.path(page.address)) or "",
        picture=page.picture or guide,
        addresses=addresses,
        home=home,
    )


def preview_tags(
    *,
    title: str,
    description: str,
    site_name: str,
    url: str,
    picture: Picture | None,
    addresses: Addresses,
    home: bool = False,
    locale: str = LOCALE,
) -> tuple[Tag, ...]:
    """Return the tags of any page of the site.

    Chats ask for whole addresses: without one, ``url`` and picture are left out.
    """
    said = {
        "og:type": "website" if home else "article",
        "og:site_name": _plain(site_name),
        "og:title": _plain(title),
        "og:description": sentence(description),
        "og:locale": locale,
        "og:url": url,
    }
    found = addresses.public(picture.path) if picture else None
    if picture and found:
        said |= {
            "og:image": found,
            "og:image:type": "image/png",
            "og:image:width": str(WIDTH),
            "og:image:height": str(HEIGHT),
            "og:image:alt": _plain(picture.words),
        }
    tags = [Tag("property", name, content) for name, content in said.items() if content]
    return (*tags, Tag("name", "twitter:card", "summary_large_image" if found else "summary"))


def as_html(tags: tuple[Tag, ...]) -> Markup:
    """Return tags as lines of HTML."""
    lines = (Markup('<meta {}="{}" content="{}">').format(tag.attribute, tag.name, tag.content) for tag in tags)
    return Markup("\n").join(lines)


def with_tags(document: str, tags: tuple[Tag, ...]) -> str:
    """Return a finished page with tags at the end of its head, save those of which it speaks itself already."""
    end = document.find("</head>")
    if end < 0:
        return document
    there = {
        ":".join(name.split(":")[:2]).lower()
        for name in re.findall(
            r"<meta\b[^>]*?\b(?:property|name)\s*=\s*[\"']?([\w:.-]+)", document[:end], re.IGNORECASE
        )
    }
    wanted = tuple(tag for tag in tags if tag.subject not in there)
    return f"{document[:end]}{as_html(wanted)}\n{document[end:]}"


def sentence(text: str) -> str:
    """Return as many whole sentences of a text as a preview has room for; one that is too long by itself is cut short.

    What ends without a full stop gets one.
    """
    words = _plain(text)
    if not words:
        return ""
    if words[-1] not in ".!?…。！？":
        words += "."
    if len(words) <= LONGEST:
        return words
    ends = [found.end() for found in re.finditer(r"[.!?](?=\s+[^a-z\s])|[。！？]", words[:LONGEST])]
    if ends:
        return words[: ends[-1]]
    return re.sub(r"[\s,;:.–—-]+\S*$", "", words[:LONGEST])[: LONGEST - 1] + "…"


def _plain(text: str) -> str:
    """Return a text in one line."""
    return " ".join(text.split())
