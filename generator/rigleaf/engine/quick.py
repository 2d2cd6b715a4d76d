"""An edit that changes nothing but articles, as most do: the development server writes those, and builds nothing else.

MkDocs goes through all files and templates of a site in every build. Where the pages of the guide are the same with the
same titles, and nothing but its YAML was touched, the last build's frame and navigation hold, and a few pages are
framed in it. Whatever else there may be, faults and broken links among it, is left to a whole build, which tells of it.

What tells of the edited rig alone is written first, whatever else the edit may change: that is what its author looks
at. Until the rest is done, a link there may lead to what is not there yet, and other pages tell what they told before.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.faults import CatalogueError
from rigleaf.engine.scribes import Frame
from rigleaf.site.book import Book
from rigleaf.site.leaves.leaf import Leaf
from rigleaf.site.links import Mark, files_in, mark_of
from rigleaf.site.packed import Contents, Packed
from rigleaf.site.record import PageRecord
from rigleaf.site.shelf.photos import photos


@dataclass(frozen=True)
class Last:
    """A build that held, as far as the next edit may rest on it.

    Attributes:
        config: its configuration.
        frame: makes the document of a page.
        catalogue: the guide as it was read.
        beside: what else it was made of, with a mark of each file.
        owed: whether an edit since has changed what other pages, the navigation or the map of the site tell of a page,
            and only that page has been written.
        sought: the same of what search finds.
    """

    config: MkDocsConfig
    frame: Frame
    catalogue: Catalogue
    beside: Mapping[str, Mark]
    owed: bool = False
    sought: bool = False

    def put_off(self, before: Book, after: Book) -> "Last":
        """Return the same once some pages were written and all else is left to a later build.

        Args:
            before: the guide as it was in the site.
            after: the same with those pages.
        """
        pairs = [(one, other) for one, other in zip(before.pages, after.pages, strict=True) if one is not other]
        owed = self.owed or any(_around(one) != _around(other) for one, other in pairs)
        return replace(self, owed=owed, sought=self.sought or any(one.search != other.search for one, other in pairs))


@dataclass(frozen=True)
class Edit:
    """What an edit has changed: articles, and contents of files by their paths."""

    pages: tuple[PageRecord, ...]
    files: Mapping[str, bytes | Packed]
    sought: bool
    """Whether search has to know."""

    def without(self, ahead: "Edit") -> "Edit":
        """Return what is left to write where some has been written ahead."""
        pages = tuple(page for page in self.pages if not any(page is one or page == one for one in ahead.pages))
        files = {
            path: content
            for path, content in self.files.items()
            if path not in ahead.files or ahead.files[path] != content
        }
        return Edit(pages, files, self.sought)

    def __bool__(self) -> bool:
        return bool(self.pages or self.files or self.sought)


_FEW = 40
"""So many pages at most are written ahead: where all rigs are made anew, nobody knows which one is looked at."""


def edit_ahead(before: Book, leaves: Iterable[Leaf]) -> Edit:
    """Return what is another on the pages of rigs themselves, as far as those stand where they stood.

    Args:
        before: the guide as it is in the site.
        leaves: all that tells of one rig alone, of every rig as it is now.
    """
    known = {page.address: page for page in before.pages}
    old = before.files.as_they_lie()
    pages: list[PageRecord] = []
    files: dict[str, bytes | Packed] = {}
    for leaf in leaves:
        for page in leaf.pages:
            there = known.get(page.address)
            if there is not None and there is not page and there != page and _file(there) == _file(page):
                pages.append(page)
        files |= {path: one for path, one in leaf.files if path in old and old[path] is not one and old[path] != one}
    return Edit(tuple(pages), files, False) if len(pages) <= _FEW else Edit((), {}, False)


class OvertakenError(Exception):
    """Another edit has come before all was made that the last one changes."""


def unless(overtaken: Callable[[], bool]) -> Callable[[], None]:
    """Return what breaks off where another edit has come."""

    def go_on() -> None:
        if overtaken():
            raise OvertakenError

    return go_on


def written(book: Book, edit: Edit) -> Book:
    """Return a guide as it is in the site once an edit was written there, all else being as it was."""
    new = {page.address: page for page in edit.pages}
    files = {**book.files.as_they_lie(), **edit.files}
    pages = tuple(new.get(page.address, page) for page in book.pages)
    return replace(book, pages=pages, files=Contents(files.items()))


def files_beside(config: MkDocsConfig, catalogue: Catalogue) -> dict[str, Mark]:
    """Return a mark of every file of which a site is made besides the guide's YAML."""
    return dict(_beside(config, catalogue))


def _beside(config: MkDocsConfig, catalogue: Catalogue) -> Iterator[tuple[str, Mark]]:
    own = config.theme.custom_dir
    watched = [Path(path) for path in config.watch]
    folders = [Path(folder) for folder in (config.docs_dir, own) if folder]
    for folder in (*folders, *(path for path in watched if path.is_dir() and path != catalogue.root)):
        yield from ((f"{folder}/{name}", mark) for name, mark in files_in(folder).items())
    paths = [Path(config.config_file_path), *watched, *(photo.source for photo in photos(catalogue))]
    yield from ((str(path), mark_of(path.stat())) for path in paths if path.is_file())


def read_again(last: Last, read: Callable[[], Catalogue]) -> Catalogue | None:
    """Return the guide as it is now, or None where something else was edited, too, or has to be told of.

    Args:
        last: the build that held.
        read: reads the guide.
    """
    try:
        catalogue = read()
        same = catalogue.guide == last.catalogue.guide and files_beside(last.config, catalogue) == last.beside
    except (CatalogueError, OSError):
        return None
    return catalogue if same else None


def edit_between(before: Book, after: Book) -> Edit | None:
    """Return what is another between two states of a guide, or None where it is more than articles and contents."""
    old, new = before.files.as_they_lie(), after.files.as_they_lie()
    if len(before.pages) != len(after.pages) or old.keys() != new.keys():
        return None
    pages = []
    sought = False
    for one, other in zip(before.pages, after.pages, strict=True):
        if one is other or one == other:
            continue
        if _around(one) != _around(other):
            return None
        pages.append(other)
        sought = sought or one.search != other.search
    files = {path: content for path, content in new.items() if content is not old[path] and content != old[path]}
    return Edit(tuple(pages), files, sought)


def _around(page: PageRecord) -> tuple[object, ...]:
    """Return what other pages, the navigation and the map of the site tell of a page."""
    return page.address, page.title, page.section, page.sought, _file(page)


def _file(page: PageRecord) -> str:
    return page.source.rpartition(":")[0]
