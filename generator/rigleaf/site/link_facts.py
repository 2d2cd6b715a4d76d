"""What the link checker has to know of one file of a site: its anchors, and what its links ask for."""

import json
import posixpath
import re
import zlib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Self
from urllib.parse import unquote, urlsplit

from lxml import etree, html

ALLOWED_SCHEMES = frozenset({"http", "https", "mailto"})
_XLINK = "{http://www.w3.org/1999/xlink}href"
_HREFS = ("href", "xlink:href", _XLINK)
_FOLLOWED: dict[str, tuple[str, ...]] = {
    "a": _HREFS, "area": ("href",), "form": ("action",), "button": ("formaction",),
}  # fmt: skip
_FETCHED: dict[str, tuple[str, ...]] = {
    "link": ("href",), "object": ("data",), "video": ("src", "poster"), "input": ("src", "formaction"),
    "script": ("src", *_HREFS),
    **dict.fromkeys(("use", "image", "feimage", "feImage"), _HREFS),  # a parser of HTML writes names in small letters
    **dict.fromkeys(("img", "iframe", "source", "audio", "track", "embed"), ("src",)),
}  # fmt: skip
_LINKS = _FOLLOWED | _FETCHED
"""Elements that hold addresses, and in which attributes; those of _FETCHED a browser asks for by itself."""

_ASKED = tuple(f"{{*}}{tag}" for tag in (*_LINKS, "style", "meta"))
"""The elements that are looked at, in any namespace: the parser finds them among all others."""

_PICTURES = frozenset({"img", "source", "image", "feimage", "feImage", "style"})
"""Where an address may hold the data itself. In a style nothing but pictures and fonts can be asked for."""

_IN_STYLE = re.compile(
    r"""\burl\(\s*(?:"([^"]*)"|'([^']*)'|([^"')\s]+))|@import\s+(?:"([^"]*)"|'([^']*)')""", re.IGNORECASE
)
_STYLED = " | ".join(
    f"//@{name}[contains(., '(')]"
    for name in ("style", "fill", "stroke", "filter", "mask", "clip-path", "marker-start", "marker-mid", "marker-end")
)
"""Attributes that hold a style, in pages and in drawings."""
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_REFRESH = re.compile(r"""^\s*[\d.]*\s*[;,]?\s*(?:url\s*=\s*)?["']?(?P<address>[^"']*)["']?\s*$""", re.IGNORECASE)

_MADE_BY_SCRIPT = re.compile(r"__code_\d+|__codelineno-\d+-\d+")
"""Anchors that the theme's script gives to code blocks once the page is open; all others stand in the page."""


NO_ANCHOR = "names an anchor that is not there"


@dataclass(frozen=True, slots=True)
class Facts:
    """What matters of one file.

    Attributes:
        asked: links into the site, each with the file that it asks for and the anchor there, or "" for none.
        anchors: what links may name in this file.
        wrong: links that are wrong whatever else the site holds, and why; ids that stand there twice, too.
    """

    asked: tuple[tuple[str, str, str], ...]
    anchors: frozenset[str]
    wrong: tuple[tuple[str, str], ...]

    def packed(self) -> bytes:
        """Return it as few bytes: of a large site every page's are held at once."""
        plain = json.dumps([self.asked, sorted(self.anchors), self.wrong], ensure_ascii=False, separators=(",", ":"))
        return zlib.compress(plain.encode("utf-8", "surrogatepass"), 1)

    @classmethod
    def unpacked(cls, data: bytes) -> Self:
        """Return what was packed."""
        asked, anchors, wrong = json.loads(zlib.decompress(data).decode("utf-8", "surrogatepass"))
        return cls(tuple(map(tuple, asked)), frozenset(anchors), tuple(map(tuple, wrong)))


def facts_of(name: str, content: bytes) -> Facts | None:
    """Return what matters of a file, or None where it is of a kind that is not looked into.

    Args:
        name: its path in the site.
        content: what it holds.
    """
    read = _READERS.get(posixpath.splitext(name)[1])
    return read(name, content) if read else None


def has_facts(name: str) -> bool:
    """Say whether a file is looked into."""
    return posixpath.splitext(name)[1] in _READERS


def _html(name: str, content: bytes) -> Facts:
    try:
        root = html.document_fromstring(content, parser=html.HTMLParser(encoding="utf-8"))
    except etree.ParserError:  # an empty file
        return _NOTHING
    return _page(name, root)


def _svg(name: str, content: bytes) -> Facts:
    try:
        root = etree.fromstring(content, parser=etree.XMLParser(resolve_entities=False, no_network=True))
    except etree.XMLSyntaxError:  # a browser shows nothing of it either
        return _NOTHING
    sheets = root.xpath("//processing-instruction('xml-stylesheet')")
    return _page(name, root, (("link", sheet.attrib["href"]) for sheet in sheets if "href" in sheet.attrib))


def _css(name: str, content: bytes) -> Facts:
    found = (("style", one) for one in _in_style(content.decode("utf-8", "replace")))
    return _judged(name, found, frozenset())


def _page(name: str, root: Any, more: Iterable[tuple[str, str]] = ()) -> Facts:
    ids: list[str] = root.xpath("//@id", smart_strings=False)
    names: list[str] = root.xpath("//a/@name", smart_strings=False)
    doubled = ((f"#{one}", "has an id that the page gives twice") for one, times in Counter(ids).items() if times > 1)
    return _judged(name, (*_links(root), *more), frozenset(ids) | frozenset(names), tuple(doubled))


def _judged(
    name: str, links: Iterable[tuple[str, str]], anchors: frozenset[str], wrong: tuple[tuple[str, str], ...] = ()
) -> Facts:
    """Sort links into those that are wrong by themselves and those of which the rest of the site decides."""
    asked, refused = [], list(wrong)
    for element, address in dict.fromkeys(links):
        found = _asked(name, element, address)
        if isinstance(found, str):
            refused.append((address, found))
        elif found is None:
            continue
        elif found[0] != name:
            asked.append((address, *found))
        elif found[1] and not is_anchored(found[1], anchors):
            refused.append((address, NO_ANCHOR))
    return Facts(tuple(asked), anchors, tuple(refused))


def is_anchored(fragment: str, anchors: frozenset[str]) -> bool:
    """Say whether a fragment of an address names one of these anchors."""
    return fragment in anchors or unquote(fragment) in anchors


def _links(root: Any) -> Iterator[tuple[str, str]]:
    """Yield every address on a page with the kind of element that holds it."""
    for element in root.iter(*_ASKED):
        tag = element.tag.rpartition("}")[2]
        if tag in _LINKS and element.get("rel") != "canonical":
            yield from ((tag, address) for name in _LINKS[tag] if (address := element.get(name)) is not None)
        elif tag == "style":
            yield from (("style", address) for address in _in_style(element.text or ""))
        elif tag == "meta" and element.get("http-equiv", "").lower() == "refresh":
            found = _REFRESH.match(element.get("content", ""))
            yield "meta", found["address"].strip() if found else element.get("content", "")
    for choices in root.xpath("//@srcset"):
        yield from (("img", choice.split()[0]) for choice in choices.split(",") if choice.strip())
    for style in root.xpath(_STYLED):
        yield from (("style", address) for address in _in_style(style))


def _in_style(text: str) -> Iterator[str]:
    """Yield the addresses in a style sheet or in one value of it."""
    for found in _IN_STYLE.findall(_COMMENT.sub(" ", text)):
        yield "".join(found).strip()  # one of the groups holds it, the others are empty


def _asked(name: str, element: str, address: str) -> tuple[str, str] | str | None:
    """Return the file and the anchor that a link asks for, what is wrong with it, or None where nothing can be."""
    try:
        parts = urlsplit(address)
    except ValueError:
        return "is not an address"
    if name == "404.html" and address.startswith("/") and element in _FOLLOWED:
        return None  # it may be shown anywhere, so it alone counts from the server's root
    if parts.scheme or parts.netloc:
        if parts.scheme == "data" and element in _PICTURES:
            return None
        if parts.scheme not in ALLOWED_SCHEMES:
            return "has a scheme that is not http(s) or mailto"
        return None if element in _FOLLOWED else "asks another host"
    if parts.path.startswith("/"):
        return None if name == "404.html" else "counts from the server's root, which breaks under a sub-path"
    target = _place(name, parts.path)
    if target.startswith(".."):
        return "leads out of the site"
    # What a style sheet names by a mere fragment stands in the page that uses it, and old fonts answer to any.
    free = name.endswith(".css") or _MADE_BY_SCRIPT.fullmatch(parts.fragment)
    return target, "" if free else parts.fragment


def _place(name: str, path: str) -> str:
    """Return which file a path on a page leads to, counted from the site's root."""
    if not path:
        return name
    target = posixpath.normpath(posixpath.join(posixpath.dirname(name), unquote(path)))
    if path.endswith("/") or target == ".":
        return posixpath.normpath(posixpath.join(target, "index.html"))
    return target


_NOTHING = Facts((), frozenset(), ())
_READERS: dict[str, Callable[[str, bytes], Facts]] = {".html": _html, ".svg": _svg, ".css": _css}
