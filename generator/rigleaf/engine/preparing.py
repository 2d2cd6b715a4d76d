"""All that a build takes from a guide before MkDocs begins, and how a large guide is kept out of MkDocs' process.

A catalogue, and all that pages of all rigs ask of it, take room that MkDocs needs for its own: a copy of the process
reads and makes, and what it hands over lies on a spool.
"""

import datetime as dt
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from mkdocs.exceptions import PluginError

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.faults import CatalogueError, Fault
from rigleaf.catalogue.files import yaml_files
from rigleaf.processes import apart
from rigleaf.site.book import Book
from rigleaf.site.leaves.store import Store
from rigleaf.site.packed import Contents, Packed
from rigleaf.site.record import PageRecord
from rigleaf.site.spool import Laid, Spool

LARGE = 2_000_000
"""Bytes of YAML above which a guide is read in a process of its own: some seven hundred rigs."""


@dataclass(frozen=True)
class Prepared:
    """What is known of a guide when MkDocs begins.

    Attributes:
        book: its pages and files.
        missing: the page for a missing address.
        pictures: by path in the site, clean copies of its photos.
        originals: the photos themselves.
        day: to write in the place of today's, or None.
        store: keeps what is known of its sites.
        catalogue: the guide as it was read, for a server; a build has no more use for it.
    """

    book: Book
    missing: PageRecord
    pictures: Mapping[str, Path]
    originals: frozenset[Path]
    day: dt.date | None
    store: Store | None
    catalogue: Catalogue | None = None


Read = Callable[[], Catalogue]


def prepared_apart(root: Path, spool: Spool, read: Read, prepare: Callable[[Read], Prepared]) -> Prepared:
    """Return what is prepared, of a large guide in a copy of this process.

    Args:
        root: the guide's folder.
        spool: takes what is handed over.
        read: reads the guide.
        prepare: makes all of it.
    """
    if _size(root) < LARGE:
        return prepare(read)
    # Reading leaves holes in memory, which all that is made afterwards would have to live with.
    prepare_apart = partial(prepare, partial(apart, read, spool.folder))
    prepared, files = apart(partial(_packed_up, prepare_apart, spool), spool.folder)
    return replace(prepared, book=replace(prepared.book, files=Contents(files)))


def _packed_up(prepare: Callable[[], Prepared], spool: Spool) -> tuple[Prepared, Laid[tuple[str, bytes | Packed]]]:
    """Return what is prepared without the files of the book, and these on the spool where its pages are."""
    prepared = prepare()
    files = Laid(prepared.book.files.as_they_lie().items(), spool)
    return replace(prepared, book=replace(prepared.book, files=Contents())), files


def _size(root: Path) -> int:
    faults: list[Fault] = []  # told by whoever reads
    size = 0
    for _, path in yaml_files(root, faults):
        with suppress(OSError):
            size += path.stat().st_size
    return size


def refusal(error: CatalogueError, root: Path) -> PluginError:
    """Return what a build says of a guide with faults, with files as seen from where the user stands."""
    listing = "\n".join(f"  {_shown(root / fault.file)}{str(fault).removeprefix(fault.file)}" for fault in error.faults)
    count = len(error.faults)
    return PluginError(f"the guide has {count} {'fault' if count == 1 else 'faults'}:\n{listing}")


def _shown(path: Path) -> str:
    return path.relative_to(Path.cwd()).as_posix() if path.is_relative_to(Path.cwd()) else path.as_posix()
