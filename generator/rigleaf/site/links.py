"""Checks every link and anchor of a built site, its style sheets and drawings too: MkDocs does not look into HTML."""

import os
import posixpath
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
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


@dataclass(frozen=True, slots=True, order=True)
class LinkProblem:
    """One link that leads nowhere, or one that a page must not hold."""

    page: str
    link: str
    problem: str

    def __str__(self) -> str:
        return f"{self.page}: the link '{self.link}' {self.problem}"


Mark = tuple[int, int, int]
"""Of a file: when it was written, how large it is, and its number on the disk."""


@dataclass(frozen=True, slots=True)
class _Page:
    """What matters of one file: its anchors, and its links with the element that holds each."""

    links: tuple[tuple[str, str], ...]
    anchors: frozenset[str] = frozenset()
    doubled: tuple[str, ...] = ()


def check_site(site: Path) -> list[LinkProblem]:
    """Return every broken link or anchor, doubled id, refused scheme and request to another host in ``site``."""
    return LinkChecker().check(site, files_in(site))


class LinkChecker:
    """Checks a site again and again: reads what was written since, and judges the links that this may have changed."""

    def __init__(self) -> None:
        self._marks: Mapping[str, Mark] = {}
        self._pages: dict[str, _Page] = {}
        self._targets: dict[str, frozenset[str]] = {}
        """By page, the files that its links ask for, whether they are there or not."""
        self._problems: dict[str, tuple[LinkProblem, ...]] = {}
        """By page; of most there are none."""

    def check(self, site: Path, marks: Mapping[str, Mark]) -> list[LinkProblem]:
        """Return what ``check_site`` would.

        Args:
            site: the site's folder; the same at every call.
            marks: its files as they are now.
        """
        before = self._marks
        changed = {name for name, mark in marks.items() if before.get(name) != mark}
        gone = before.keys() - marks.keys()
        for name in gone:
            for found in (self._pages, self._targets, self._problems):
                found.pop(name, None)
        read = {".html": _html, ".svg": _svg, ".css": _css}
        touched = gone | (marks.keys() - before.keys())
        for name in changed:
            if make := read.get(posixpath.splitext(name)[1]):
                known, page = self._pages.get(name), make((site / name).read_bytes())
                self._pages[name] = page
                self._targets[name] = frozenset(filter(None, (_target(name, link) for _, link in page.links)))
                if known is None or known.anchors != page.anchors:
                    touched.add(name)
        for name, page in self._pages.items():
            if name in changed or not self._targets[name].isdisjoint(touched):
                self._problems[name] = tuple(_problems(name, page, self._pages, marks))
        self._marks = marks
        return sorted({problem for found in self._problems.values() for problem in found})


def files_in(site: Path) -> dict[str, Mark]:
    """Return all files of a site by their paths, each with a mark that changes when it is written again."""
    found: dict[str, Mark] = {}
    folders = [("", str(site))]
    while folders:
        prefix, folder = folders.pop()
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    folders.append((f"{prefix}{entry.name}/", entry.path))
                elif entry.is_file():
                    state = entry.stat()
                    found[prefix + entry.name] = (state.st_mtime_ns, state.st_size, state.st_ino)
    return found


def _html(content: bytes) -> _Page:
    try:
        root = html.document_fromstring(content, parser=html.HTMLParser(encoding="utf-8"))
    except etree.ParserError:  # an empty file
        return _Page(())
    return _page(root)


def _svg(content: bytes) -> _Page:
    try:
        root = etree.fromstring(content, parser=etree.XMLParser(resolve_entities=False, no_network=True))
    except etree.XMLSyntaxError:  # a browser shows nothing of it either
        return _Page(())
    sheets = root.xpath("//processing-instruction('xml-stylesheet')")
    return _page(root, (("link", sheet.attrib["href"]) for sheet in sheets if "href" in sheet.attrib))


def _css(content: bytes) -> _Page:
    return _Page(tuple(dict.fromkeys(("style", one) for one in _in_style(content.decode("utf-8", "replace")))))


def _page(root: Any, more: Iterable[tuple[str, str]] = ()) -> _Page:
    ids: list[str] = root.xpath("//@id", smart_strings=False)
    names: list[str] = root.xpath("//a/@name", smart_strings=False)
    doubled = tuple(sorted(one for one, times in Counter(ids).items() if times > 1))
    return _Page(tuple(dict.fromkeys((*_links(root), *more))), frozenset(ids) | frozenset(names), doubled)


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


def _problems(name: str, page: _Page, pages: Mapping[str, _Page], known: Mapping[str, Mark]) -> Iterator[LinkProblem]:
    for doubled in page.doubled:
        yield LinkProblem(name, f"#{doubled}", "has an id that the page gives twice")
    for element, address in page.links:
        problem = _problem(name, element, address, pages, known)
        if problem:
            yield LinkProblem(name, address, problem)


def _problem(
    name: str, element: str, address: str, pages: Mapping[str, _Page], known: Mapping[str, Mark]
) -> str | None:
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
    if parts.path and target not in known:
        return "leads nowhere"
    # What a style sheet names by a mere fragment stands in the page that uses it, and old fonts answer to any.
    if (
        parts.fragment
        and target in pages
        and not name.endswith(".css")
        and not _anchored(parts.fragment, pages[target])
    ):
        return "names an anchor that is not there"
    return None


def _target(name: str, address: str) -> str:
    """Return the file that an address on a page asks for; of other hosts, of the page itself and of none "" or any."""
    try:
        parts = urlsplit(address)
    except ValueError:
        return ""
    return _place(name, parts.path) if parts.path and not (parts.scheme or parts.netloc) else ""


def _place(name: str, path: str) -> str:
    """Return which file a path on a page leads to, counted from the site's root."""
    if not path:
        return name
    target = posixpath.normpath(posixpath.join(posixpath.dirname(name), unquote(path)))
    if path.endswith("/") or target == ".":
        return posixpath.normpath(posixpath.join(target, "index.html"))
    return target


def _anchored(fragment: str, page: _Page) -> bool:
    made = _MADE_BY_SCRIPT.fullmatch(fragment) is not None
    return made or fragment in page.anchors or unquote(fragment) in page.anchors
