"""The field copy: which files of a built site a browser keeps so that the guide works without signal.

Beside the finished pages go three files at the site's root: the worker that keeps them, the list of the files with
their digests, and the version. All of it is made from the folder alone, after everything else has been written.
"""

import hashlib
import json
import posixpath
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from html import unescape
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from rigleaf.site.book import Book
from rigleaf.site.delivery.lean import lean
from rigleaf.site.links import files_in
from rigleaf.site.typeset.addresses import AWAY_ADDRESS, Addresses
from rigleaf.site.typeset.doors import COPIES

WORKER = "field-copy.js"
LIST = "field-copy.json"
VERSION = "field-copy.txt"
OURS = frozenset({WORKER, LIST, VERSION})

FORM = 1
"""Of the list; a worker leaves a list of another form alone until the browser has fetched the worker that knows it."""

WHOLE_BELOW = 40_000_000
"""Bytes up to which a guide is kept whole without asking: what ten photos of a telephone take. The demo has 28 MB;
over the network pages go compressed, all of it as 5 MB."""

_FRAME = frozenset({".css", ".js", ".woff2", ".ico"})
_HTML = ".html"
_TO_SEND = f"{COPIES}/"
_REFERENCE = re.compile(rb"""\s(href|src|srcset|poster|data)=(?:"([^"]*)"|'([^']*)'|([^\s"'>]+))""")
_ARTICLE = re.compile(rb"<article\b.*</article>", re.DOTALL)
_MAIN = re.compile(rb"<main\b.*</main>", re.DOTALL)  # of a page without a theme around it
_HEADING = re.compile(r"<h1\b[^>]*>(.*?)</h1>", re.DOTALL)
_LANGUAGES = "assets/javascripts/lunr/"
_WHOLE_INDEX = "search/search_index."
_INDEX = "search/search_index.json"
SPLIT = "search/split/"
"""Where the index of search stands in pieces, if a guide has it so."""


def write_copy_of(book: Book, addresses: Addresses, site: Path, *, whole: bool | None = None) -> str:
    """Write the field copy of a finished site that holds a book; the arguments are those of `write_field_copy`."""
    frame = [addresses.document(address) for address in (*(one.address for one in book.sections), AWAY_ADDRESS)]
    along = {
        addresses.document(page): [addresses.document(address) for address in more] for page, more in book.along.items()
    }
    own = {addresses.document(page): files for page, files in book.own.items()}
    return write_field_copy(site, frame, along, own, whole=whole)


def write_field_copy(
    site: Path,
    frame: Iterable[str],
    along: Mapping[str, Iterable[str]],
    own: Mapping[str, Iterable[str]],
    *,
    whole: bool | None,
) -> str:
    """Write the worker, the list and the version into a finished site; return the version.

    Args:
        site: the folder; nothing may be written into it afterwards.
        frame: pages that are always kept, such as "index.html".
        along: pages that can be kept by themselves, with further pages that go along. What their articles link to goes
            along too, and the sheets that stand below them.
        own: files that go along with one of these pages and with no other, whether links lead to them or not.
        whole: whether the guide is kept whole without asking; None lets its size decide.
    """
    listing = list_files(site, frame, along, own, whole=whole)
    text = json.dumps(listing, ensure_ascii=False, separators=(",", ":"))
    (site / LIST).write_bytes(text.encode("utf-8"))
    (site / VERSION).write_bytes(f"{listing['version']}\n".encode("ascii"))
    (site / WORKER).write_bytes(_script("field-copy.js"))
    version: str = listing["version"]
    return version


def withdraw_field_copy(site: Path) -> None:
    """Put a worker into a site that takes itself, and all that an earlier one has kept, out of the readers' browsers.

    Without it a worker from an earlier build would live on: browsers keep one whose script is gone.
    """
    for name in (LIST, VERSION):
        (site / name).unlink(missing_ok=True)
    (site / WORKER).write_bytes(_script("withdrawn.js"))


def _script(name: str) -> bytes:
    return lean(name, (files("rigleaf.site") / "worker" / name).read_bytes())


def list_files(
    site: Path,
    frame: Iterable[str],
    along: Mapping[str, Iterable[str]],
    own: Mapping[str, Iterable[str]] | None = None,
    *,
    whole: bool | None = None,
) -> dict[str, Any]:
    """Return the list as the worker reads it; the arguments are those of `write_field_copy`.

    Files stand in the order of their paths, each with its digest (the first half of SHA-256), its size in bytes and,
    where it is a page, its heading. The version is a digest of all paths and digests: it changes when a file does, and
    only then. Copies of pages to send are left out: they would be a quarter of the whole, and say nothing new.
    """
    framed = frozenset(frame)
    content = sorted(files_in(site), key=lambda name: name.split("/"))
    kept = {page: frozenset(more) for page, more in along.items()}
    pages: dict[str, _Page] = {}
    named: set[str] = set()
    shown: set[str] = set()
    for name in content:
        if name.endswith(_HTML) and name != "404.html" and not name.startswith(_TO_SEND):
            text = (site / name).read_bytes()
            article, rest = _parted(text)
            inside = frozenset(_links(name, article))
            links = inside.union(*(_links(name, piece) for piece in rest))
            named |= links
            shown |= links if name in framed else frozenset()
            pages[name] = _Page((_digest(text), len(text), _heading(text)), inside)
    tongues = _other_languages(site / _INDEX)
    if any(name.startswith(SPLIT) for name in content):  # over a network the whole index is then asked for by nobody
        content = [name for name in content if not name.startswith(_WHOLE_INDEX)]
    listed: dict[str, tuple[str | int, ...]] = {}
    for name in content:
        if name in pages:
            listed[name] = pages[name].entry
        elif _is_wanted(name, named, tongues):
            data = (site / name).read_bytes()
            listed[name] = (_digest(data), len(data))
    version = _digest("\n".join(f"{name} {entry[0]}" for name, entry in listed.items()).encode("utf-8"))
    size = sum(int(entry[1]) for entry in listed.values())
    number = {name: at for at, name in enumerate(listed)}
    always = {name for name in listed if Path(name).suffix in _FRAME or name == _INDEX or name in shown}
    always = {name for name in always if not name.startswith(SPLIT)}  # thousands of files: with the whole guide only
    gathered = _Gathered(pages, kept, own or {})
    always = {name for name in always if name not in pages and name not in gathered.owner} | (framed & set(listed))
    sets = {
        page: sorted(number[name] for name in gathered.along(page) - always if name in number)
        for page in kept
        if page in listed
    }
    return {
        "form": FORM,
        "version": version,
        "bytes": size,
        "whole": size <= WHOLE_BELOW if whole is None else whole,
        "frame": sorted(number[name] for name in always),
        "sets": sets,
        "files": listed,
    }


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:32]


def _heading(page: bytes) -> str:
    found = _HEADING.search(page.decode("utf-8", "replace"))
    # The theme hangs a sign onto headings that leads to them.
    text = re.sub(r'<a class="headerlink".*?</a>', "", found[1], flags=re.DOTALL) if found else ""
    return " ".join(unescape(re.sub(r"<[^>]*>", "", text)).split())


def _is_wanted(name: str, named: set[str], tongues: bool) -> bool:
    """Whether pages need a file that is none: they name it, or style sheets and scripts may ask for it."""
    if name in OURS or name.endswith((_HTML, ".map")):
        return False
    if name.startswith(_LANGUAGES):
        return tongues
    return name in named or Path(name).suffix in _FRAME or name.startswith("search/")


def _other_languages(index: Path) -> bool:
    """Whether search splits words of another language than English, for which the theme's script loads more."""
    head = index.read_bytes()[:500] if index.is_file() else b""
    return b'"lang":["en"]' not in head.replace(b" ", b"")


def _links(page: str, text: bytes) -> Iterator[str]:
    """Yield the path of every file of the site that a piece of a page names."""
    folder = posixpath.dirname(page)
    for attribute, double, single, bare in dict.fromkeys(_REFERENCE.findall(text)):  # most stand there many times
        value = unescape((double or single or bare).decode("utf-8", "replace"))
        for one in (
            (part.split()[0] for part in value.split(",") if part.strip()) if attribute == b"srcset" else (value,)
        ):
            if path := _path(folder, one):
                yield path


@lru_cache(maxsize=1 << 16)
def _path(folder: str, link: str) -> str:
    """Return the path of a file that a link leads to; empty where it leads out of the site, or within the page."""
    plain = re.split("[?#]", link.strip(), maxsplit=1)[0]
    if not plain or plain.startswith("/") or re.match(r"[a-zA-Z][\w+.-]*:", plain):
        return ""
    path = posixpath.normpath(posixpath.join(folder, unquote(plain)))
    if path.startswith(".."):
        return ""
    folder_meant = plain.endswith("/") or path == "." or posixpath.basename(plain) in (".", "..")
    return posixpath.normpath(posixpath.join(path, "index.html")) if folder_meant else path


@dataclass(frozen=True, slots=True)
class _Page:
    """What is asked of a page once its text is put away: its entry in the list, and what its article leads to."""

    entry: tuple[str | int, ...]
    article: frozenset[str]


class _Gathered:
    """What goes along with pages that are kept by themselves; every page is looked at once, however many are kept."""

    def __init__(
        self, pages: Mapping[str, _Page], kept: Mapping[str, frozenset[str]], own: Mapping[str, Iterable[str]]
    ) -> None:
        self.pages, self.kept = pages, kept
        self.own = {page: frozenset(files) for page, files in own.items()}
        self.owner = {file: page for page, files in self.own.items() for file in files}
        self.below: dict[str, list[str]] = defaultdict(list)
        """Pages by each folder in which they stand, at whatever depth."""
        self.shown: dict[str, list[str]] = {}
        """Files in the article of each page, but for those that are some kept page's own."""
        for name, page in pages.items():
            for at in (at for at, sign in enumerate(name) if sign == "/"):
                self.below[name[: at + 1]].append(name)
            self.shown[name] = [file for file in page.article if file not in pages and file not in self.owner]

    def along(self, page: str) -> set[str]:
        """Return all that is needed to use one page in the field: itself, what it leads to, and what those show."""
        more = self.kept[page]
        # Another rig is kept by itself, and files of its own, such as the panels of its mosaics, go along with it only.
        found = {
            name
            for name in {page, *more, *self.pages[page].article}
            if (name == page or name not in self.kept) and self.owner.get(name, page) == page
        }
        for name in (page, *(more & found)):
            found.update(self.below.get(_below(name), ()) if name in self.pages else ())
        return found.union(self.own.get(page, ()), *(self.shown[name] for name in found if name in self.pages))


def _below(page: str) -> str:
    return page.removesuffix("/index.html").removesuffix(_HTML) + "/"


def _parted(text: bytes) -> tuple[bytes, tuple[bytes, ...]]:
    """Return the article of a page, and what stands before and behind it."""
    article = _ARTICLE.search(text) or _MAIN.search(text)
    return (article[0], (text[: article.start()], text[article.end() :])) if article else (b"", (text,))
