"""Checks every link and anchor of a built site: MkDocs does not look into HTML."""

import posixpath
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote, urlsplit

from lxml import etree, html

ALLOWED_SCHEMES = frozenset({"http", "https", "mailto"})
_FOLLOWED: dict[str, tuple[str, ...]] = {"a": ("href",), "area": ("href",)}
_FETCHED: dict[str, tuple[str, ...]] = {
    "link": ("href",), "use": ("href", "xlink:href"), "image": ("href", "xlink:href"), "object": ("data",),
    "video": ("src", "poster"),
    **dict.fromkeys(("img", "script", "iframe", "source", "audio", "track", "embed", "input"), ("src",)),
}  # fmt: skip
_LINKS = _FOLLOWED | _FETCHED
"""Elements that hold addresses, and in which attributes; those of _FETCHED a browser asks for by itself."""

_PICTURES = frozenset({"img", "source", "image"})
_IN_STYLE = re.compile(r"""(?:url\(\s*|@import\s+)["']?\s*([^"')\s]+)""")


@dataclass(frozen=True, slots=True, order=True)
class LinkProblem:
    """One link that leads nowhere, or one that a page must not hold."""

    page: str
    link: str
    problem: str

    def __str__(self) -> str:
        return f"{self.page}: the link '{self.link}' {self.problem}"


@dataclass(frozen=True, slots=True)
class _Page:
    """What matters of one page: its anchors and its links with the element that holds each."""

    anchors: frozenset[str]
    links: tuple[tuple[str, str], ...]
    doubled: tuple[str, ...]


def check_site(site: Path) -> list[LinkProblem]:
    """Return every broken link or anchor, doubled id, refused scheme and request to another host in ``site``."""
    pages = {path.relative_to(site).as_posix(): _read(path) for path in sorted(site.rglob("*.html"))}
    known = {path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file()}
    problems = {problem for name, page in pages.items() for problem in _problems(name, page, pages, known)}
    return sorted(problems)


def _read(path: Path) -> _Page:
    try:
        root = html.document_fromstring(path.read_bytes(), parser=html.HTMLParser(encoding="utf-8"))
    except etree.ParserError:  # an empty file
        return _Page(frozenset(), (), ())
    ids: list[str] = root.xpath("//@id")
    names: list[str] = root.xpath("//a/@name")
    doubled = tuple(sorted(one for one, times in Counter(ids).items() if times > 1))
    return _Page(frozenset(ids) | frozenset(names), tuple(dict.fromkeys(_links(root))), doubled)


def _links(root: html.HtmlElement) -> Iterator[tuple[str, str]]:
    """Yield every address on a page with the kind of element that holds it."""
    for element in root.iter(*_LINKS):
        tag = str(element.tag)
        if element.get("rel") != "canonical":
            yield from ((tag, address) for name in _LINKS[tag] if (address := element.get(name)) is not None)
    for choices in root.xpath("//@srcset"):
        yield from (("img", choice.split()[0]) for choice in choices.split(",") if choice.strip())
    for style in (*root.xpath("//style/text()"), *root.xpath("//@style")):
        yield from (("link", address) for address in _IN_STYLE.findall(style))


def _problems(name: str, page: _Page, pages: dict[str, _Page], known: set[str]) -> Iterator[LinkProblem]:
    for doubled in page.doubled:
        yield LinkProblem(name, f"#{doubled}", "has an id that the page gives twice")
    for element, address in page.links:
        problem = _problem(name, element, address, pages, known)
        if problem:
            yield LinkProblem(name, address, problem)


def _problem(name: str, element: str, address: str, pages: dict[str, _Page], known: set[str]) -> str | None:
    try:
        parts = urlsplit(address)
    except ValueError:
        return "is not an address"
    if parts.scheme or parts.netloc:
        if parts.scheme == "data" and element in _PICTURES:
            return None
        if parts.scheme not in ALLOWED_SCHEMES:
            return "has a scheme that is not http(s) or mailto"
        return "asks another host" if element in _FETCHED else None
    target = name
    if parts.path:
        if parts.path.startswith("/"):
            # Only the page for a missing address counts from the server's root: it may be shown anywhere.
            return None if name == "404.html" else "counts from the server's root, which breaks under a sub-path"
        target = posixpath.normpath(posixpath.join(posixpath.dirname(name), unquote(parts.path)))
        if target.startswith(".."):
            return "leads out of the site"
        if parts.path.endswith("/") or target == ".":
            target = posixpath.normpath(posixpath.join(target, "index.html"))
        if target not in known:
            return "leads nowhere"
    if parts.fragment and target in pages and not _anchored(parts.fragment, pages[target]):
        return "names an anchor that is not there"
    return None


def _anchored(fragment: str, page: _Page) -> bool:
    return fragment in page.anchors or unquote(fragment) in page.anchors or fragment.startswith("__")
