"""A rig's page as one file to send: it opens from a mail, without a network, without a script, by day and by night.

It is made from the finished page, not written anew: what only works inside the guide is taken out, links lead into the
file or to the guide's public address, and what links led to (methods, cautions) comes along behind the last chapter.
"""

import posixpath
from dataclasses import dataclass
from functools import lru_cache
from typing import Any
from urllib.parse import unquote, urlsplit

from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import data_day
from rigleaf.chapters.at_the_airport.words import day
from rigleaf.chapters.methods import Method, methods
from rigleaf.chapters.register import Chapter, chapters
from rigleaf.site.delivery.policy import source_of
from rigleaf.site.lent.availability import Availability
from rigleaf.site.record import Heading, PageRecord
from rigleaf.site.sent.fewer_signs import draw_once, fewer_signs
from rigleaf.site.sent.styles import copy_styles
from rigleaf.site.typeset.addresses import Addresses, method_address
from rigleaf.site.typeset.cautions import Caution, cautions
from rigleaf.site.typeset.templating import Writer, environment
from rigleaf.words import language, speaking, tr

POLICY = "default-src 'none'; style-src {styles}; font-src data:; img-src data:; base-uri 'none'; form-action 'none'"
"""What a browser may do with the file: nothing runs, nothing is fetched, no style counts but those it came with."""

_LEFT_OUT = "//script | //link | //style | //template | //*[@data-rl-noprint] | //*[@hidden]"
_SAFETY = "safety/index"
_SCHEMES = ("http", "https", "mailto")


@dataclass(frozen=True)
class _Taken:
    """What links of the page led to, and comes along with it."""

    methods: list[tuple[Chapter, list[Method]]]
    cautions: list[Caution]


def page_alone(
    catalogue: Catalogue, page: PageRecord, addresses: Addresses, availability: Availability | None = None
) -> bytes:
    """Return a page of the guide as one file that needs nothing else.

    Args:
        catalogue: the guide.
        page: the finished page of a rig.
        addresses: its ``site`` says where the page stands for all to read; without it, links that lead out of the
            page become plain text.
        availability: what the file tells of the rig's loans on the day of its data, in place of what the page tells,
            which may name borrowers; without it, nothing is told.
    """
    article = html.fragment_fromstring(page.html, create_parent="main")
    article.set("class", "rl-page")
    _tell_of_loans(article, availability)
    _keep_what_works(article)
    draw_once(article, "rl-mark")
    taken = _lead_links(article, page.address, addresses)
    contents = [*page.contents, Heading(tr("How to read it"), "how-to-read")]
    contents += [Heading(tr("The cautions in full"), "cautions")] if taken.cautions else []
    contents += [Heading(tr("How it is found"), "methods")] if taken.methods else []
    on = data_day()
    writer = Writer(page.address, addresses, catalogue.guide.units)
    text = writer.render(
        "copy.html",
        page=page,
        guide=catalogue.guide,
        article=fewer_signs(html.tostring(article, encoding="unicode")),
        explained=lambda method: _explained(method, language()),
        contents=contents,
        on=day(on) if on else "",
        public=addresses.public(addresses.path(page.address)),
        taken=taken,
    )
    styles, printed = copy_styles(text)
    # Last, as they are text of the package and a hundred thousand signs long: no template has to look through them.
    policy = POLICY.format(styles=" ".join(map(source_of, (styles, printed))))
    first = f'<head>\n<meta charset="utf-8">\n<meta http-equiv="Content-Security-Policy" content="{policy}">'
    last = f'<style>{styles}</style>\n<style media="print">{printed}</style>\n</head>'
    return text.replace("<head>", first, 1).replace("</head>", last, 1).encode("utf-8")


def _tell_of_loans(article: Any, availability: Availability | None) -> None:
    for told in article.find_class("rl-have"):
        if availability is None:
            told.xpath("ancestor::dd/..")[0].drop_tree()
        else:
            told.find_class("rl-have-rest")[0].text = availability.now.rest


def _keep_what_works(article: Any) -> None:
    """Take out what needs a script or the guide around it; the choice of units works by itself."""
    for choice in article.xpath("//fieldset[contains(@class, 'rl-units')]"):
        choice.attrib.pop("hidden", None)
    for node in article.xpath(_LEFT_OUT):
        node.drop_tree()
    for node in article.iter():  # what scripts would go by
        for name in [name for name in node.attrib if name.startswith("data-rl-")]:
            del node.attrib[name]
    drawn = {use.get("href") for use in article.iter("use")}
    for symbol in article.xpath("//symbol[@id]"):
        if f"#{symbol.get('id')}" not in drawn:
            symbol.drop_tree()
    for picture in article.xpath("//img"):  # no rig's page has any; a file beside the page would not come along
        words = html.Element("span")
        words.text, words.tail = picture.get("alt", ""), picture.tail
        picture.getparent().replace(picture, words)


def _lead_links(article: Any, address: str, addresses: Addresses) -> _Taken:
    """Lead every link into the file, out to the public guide, or nowhere; return what the file needs for the first."""
    here = addresses.path(address)
    folder = here if here.endswith("/") else posixpath.dirname(here)
    inside = _inside(addresses)
    wanted: set[str] = set()
    for link in article.xpath(".//a[@href]"):
        try:
            to = urlsplit(link.get("href"))
        except ValueError:
            link.drop_tag()
            continue
        if to.scheme or to.netloc:
            if to.scheme not in _SCHEMES:
                link.drop_tag()
            continue
        path = _path(folder, to.path) if to.path else here
        fragment = f"#{to.fragment}" if to.fragment else ""
        public = addresses.public(path)
        if path == here:
            link.set("href", fragment or "#top")
        elif path + fragment in inside:
            wanted.add(inside[path + fragment])
            link.set("href", f"#{inside[path + fragment]}")
        elif public:
            link.set("href", public + fragment)
        else:
            link.drop_tag()
    used = [method for method in methods().values() if f"method-{method.id}" in wanted]
    by_chapter = [(chapter, [method for method in used if method.chapter == chapter.id]) for chapter in chapters()]
    told = [caution for caution in cautions() if f"caution-{caution.id}" in wanted]
    return _Taken([(chapter, found) for chapter, found in by_chapter if found], told)


@lru_cache(maxsize=512)
def _explained(method: str, code: str) -> str:
    """Return a method as every copy in a language has it, in few signs."""
    with speaking(code):
        return fewer_signs(environment().get_template("copy_method.html").render(entry=methods()[method]))


def _path(folder: str, relative: str) -> str:
    """Return the path below the site's root that a link of a page leads to."""
    path = posixpath.normpath(posixpath.join("/", folder, unquote(relative))).lstrip("/")
    return f"{path}/" if path and relative.endswith("/") else path


def _inside(addresses: Addresses) -> dict[str, str]:
    """Return the anchors in the file of what comes along, by the path and anchor at which the guide has it."""
    found = {
        f"{addresses.path(method_address(method.chapter))}#{method.id}": f"method-{method.id}"
        for method in methods().values()
    }
    safety = addresses.path(_SAFETY)
    return found | {f"{safety}#{caution.id}": f"caution-{caution.id}" for caution in cautions()}
