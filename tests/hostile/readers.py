"""Everything that reads what others wrote, as functions of bytes: what `make guided` steers inputs into.

Each has inputs to begin with and a way to change them that gets past its first lines. What a reader raises on purpose
is swallowed here, after a look at how it is told; any other exception is a finding.
"""

import atexit
import shutil
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.document import read_document
from rigleaf.catalogue.faults import CatalogueError, Fault
from rigleaf.catalogue.kept import KeptFiles
from rigleaf.catalogue.models.connections import read_connection
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.desk.bundle import write_bundle
from rigleaf.desk.handing import take_in
from rigleaf.quantities import DIMENSIONS, QuantityError, Reading, parse_text
from rigleaf.site.book import make_book
from rigleaf.site.leaves.store import Store
from rigleaf.site.memory import Memory
from rigleaf.site.typeset.addresses import Addresses
from tests.chapters.small_guide import PARTS, RIG
from tests.conftest import PROJECT
from tests.faults.cases import BASE, all_cases
from tests.hostile.containers import Files, apart, together
from tests.hostile.promises import said_well, shown_well, told_well
from tests.hostile.readers_of_made import MADE
from tests.hostile.readers_of_sent import SENT
from tests.hostile.schemas import read_guide, slice_of
from tests.hostile.trees import change_guide, dumped
from tests.hostile.ways import Way, folder
from tests.site.yaml_guide import write_guide

DEMO = PROJECT / "rigs"
FEW = ("milky-way-walk", "balcony-grebe", "heron-eclipse", "workshop-misfits")
"""Rigs of the demo that differ most."""


@cache
def _pictures() -> Path:
    """A guide's folder that holds nothing but the photos of the demo."""
    root = Path(tempfile.mkdtemp(prefix="rigleaf-guided-"))
    atexit.register(shutil.rmtree, root, ignore_errors=True)
    shutil.copytree(DEMO / "photos", root / "photos")
    return root


# Quantities and connections: the first byte says of what kind.


def read_quantity(data: bytes) -> None:
    """Read a quantity of each dimension in turn, or a connection; what comes out is finite and within bounds."""
    kinds = sorted(DIMENSIONS)
    text = data[1:].decode("utf-8", "replace")
    kind = data[0] % (len(kinds) + 1) if data else 0
    try:
        found = parse_text(text, kinds[kind]) if kind < len(kinds) else read_connection(text)
    except ValueError as error:
        refused: ValueError | None = error
    else:
        refused = None
    if refused is not None:
        assert isinstance(refused, QuantityError) or kind == len(kinds), repr(refused)
        said_well(str(refused))
        return
    if isinstance(found, Reading):
        known = DIMENSIONS[found.dimension]
        lowest = -known.highest if known.lowest is None else known.lowest
        assert lowest <= found.value <= known.highest, repr(found)
        assert found.uncertainty is None or 0 <= found.uncertainty <= known.highest, repr(found)


def _quantities() -> Iterator[bytes]:
    for number, kind in enumerate(sorted(DIMENSIONS)):
        example = DIMENSIONS[kind].example
        yield bytes([number]) + example.encode()
        yield bytes([number]) + f"{example} +- 5 %".encode()
        yield bytes([number]) + f"{example} ± 1e-1 {DIMENSIONS[kind].unit}".encode()
    for one in ("M48 x 0.75 female", "2 in barrel male", "bayonet B54 female", "3/8-16 UNC male", "44 mm dovetail"):
        yield bytes([len(DIMENSIONS)]) + one.encode()


# One YAML file, and a whole guide.


def read_yaml(data: bytes) -> None:
    """Read one file: whatever is wrong with it is told."""
    document = read_document("one.yml", data)
    if document.faults:
        told_well(sorted({*document.faults}), {"one.yml": data})
    assert document.whole or document.faults
    for mark in document.values.values():
        assert min(mark) >= 1


def _files() -> Iterator[bytes]:
    yield from (path.read_bytes() for path in sorted(DEMO.rglob("*.yml")) if path.stat().st_size < 4000)
    for case in all_cases().values():
        yield from (_bytes_of(given) for given in case.files.values() if len(_bytes_of(given)) < 4000)


def _bytes_of(given: object) -> bytes:
    if isinstance(given, dict):
        return bytes.fromhex(given.get("bytes", ""))
    return str(given).encode()


KEPT = KeptFiles()


def read_guide_anew(data: bytes) -> None:
    """Read a guide twice, with nothing kept and with what earlier ones have left: both say the same."""
    files = apart(data)
    ends: list[tuple[Catalogue | None, tuple[Fault, ...]]] = []
    for kept in (None, KEPT):
        try:
            ends.append((read_catalogue(_pictures(), files, kept), ()))
        except CatalogueError as error:
            told_well(error.faults, files)
            ends.append((None, error.faults))
    assert ends[0] == ends[1], "what was kept changes what is read"


@cache
def _small_guides() -> tuple[Files, ...]:
    demo = read_guide(DEMO)
    found = [{name: dumped(data) for name, data in slice_of(demo, (rig,)).items()} for rig in FEW]
    trip = "eclipse-for-two"
    with_trip = slice_of(demo, tuple(demo[f"trips/{trip}.yml"]["rigs"]), (trip,))
    found.append({name: dumped(data) for name, data in with_trip.items()})
    with folder() as root:
        found.append(_contents(write_guide(root)))
    return tuple(found)


def _contents(root: Path) -> Files:
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in sorted(root.rglob("*.yml"))}


def _guides() -> Iterator[bytes]:
    yield from map(together, _small_guides())
    base = _contents(BASE)
    for case in all_cases().values():
        files = dict(base) if case.base else {}
        for name, words in case.change.items():
            for old, new in words.items():
                files[name] = files[name].replace(old.encode(), new.encode())
        files |= {name: _bytes_of(given) for name, given in case.files.items()}
        if len(found := together(files)) < 1 << 15:
            yield found


# What is made of a guide that holds.


class _Ground:
    """A folder in which one guide after the other stands, as if each were an edit of the one before it."""

    def __init__(self) -> None:
        with folder() as made:
            self.root = made
        shutil.copytree(_pictures() / "photos", self.root / "rigs" / "photos")
        self.memory = Memory()
        self.tried = 0
        atexit.register(shutil.rmtree, self.root, ignore_errors=True)

    def edit(self, files: Files) -> tuple[Path, Store]:
        """Let these files stand there and no others; return the guide's folder and what keeps its leaves."""
        self.tried += 1
        if self.tried % MOST_KEPT == 0:
            shutil.rmtree(self.root / "leaves", ignore_errors=True)
        guide = self.root / "rigs"
        for path in guide.rglob("*.yml"):
            path.unlink()
        for name, content in files.items():
            (guide / name).parent.mkdir(exist_ok=True)
            (guide / name).write_bytes(content)
        return guide, Store(self.root / "leaves")


MOST_KEPT = 200
"""Guides after which their leaves are thrown away."""

_ground = cache(_Ground)


def make_pages(data: bytes) -> None:
    """Make the book of a guide, and hand its first rig on to a guide that has nothing yet.

    What is remembered and kept of the guides before it, as of earlier edits, changes nothing.
    """
    files = apart(data)
    guide, store = _ground().edit(files)
    memory = _ground().memory
    try:
        catalogue = read_catalogue(guide, kept=memory.files)
    except CatalogueError as error:
        told_well(error.faults, files)
        return
    book = make_book(catalogue, Addresses(False), store=store, memory=memory)
    shown_well(book, data.decode("utf-8", "replace"))
    if len(data) % 3 == 0:
        fresh = make_book(read_catalogue(guide), Addresses(False))
        assert fresh.pages == book.pages, "what is remembered changes a page"
        assert dict(fresh.files) == dict(book.files), "what is remembered changes a file"
    if catalogue.rigs:
        with folder() as root:
            (root / "rig.bundle").write_text(write_bundle(catalogue, next(iter(catalogue.rigs))), encoding="utf-8")
            (root / "other").mkdir()
            take_in(root / "other", root / "rig.bundle", yes=True)


def _small_pages() -> Iterator[bytes]:
    """Guides of one rig each, with parts as they are and with some of them left out."""
    yield from map(together, _small_guides())
    for part in PARTS:
        rig = {key: value for key, value in RIG.items() if part not in str(value)}
        with folder() as root:
            yield together(_contents(write_guide(root, rigs=[{**rig, "train": RIG["train"]}])))


WAYS: dict[str, Way] = {
    "quantity": Way(read_quantity, _quantities, seconds=2, most=200),
    "yaml": Way(read_yaml, _files, seconds=2, most=1 << 13),
    "guide": Way(read_guide_anew, _guides, change_guide),
    "pages": Way(make_pages, _small_pages, change_guide, seconds=20),
    **SENT,
    **MADE,
}
"""Every reader by the name that `make guided ARGS='--only NAME'` takes."""
