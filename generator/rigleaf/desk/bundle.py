"""A rig to hand on: one YAML file with the rig, its parts, its place, its targets and what its guide assumes.

The file's form is written here and read here. What it holds is judged by the same models as a guide's own files.
"""

from collections import deque
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any, Literal

from pydantic import Field

from rigleaf.catalogue import files
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import year_of
from rigleaf.catalogue.document import Document, read_document
from rigleaf.catalogue.faults import CatalogueError
from rigleaf.catalogue.kept import KeptFiles
from rigleaf.catalogue.lookup import rig_named
from rigleaf.catalogue.models.fields import Entry, Line
from rigleaf.catalogue.models.guide import Choices, Place, Target
from rigleaf.catalogue.models.night_fields import Steps
from rigleaf.catalogue.models.place_fields import Year
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.reading import entries, take_part
from rigleaf.catalogue.references import check_references
from rigleaf.catalogue.shelf import Shelf, Sort
from rigleaf.catalogue.validation import validate
from rigleaf.desk.names import Data, named
from rigleaf.desk.yaml_text import comment, indented, write_list, write_mapping

FORM = "form 1"

LEFT_OUT: dict[Sort, tuple[str, ...]] = {
    "part": ("private", "photo", "asset", "owned"),
    "place": ("notes",),
    "target": (),
    "rig": (),
}
"""What a bundle does not carry: private words, pictures, and what is true of one club's shelf only."""

_WHY = {
    "private": "a bundle carries nothing private",
    "photo": "a bundle carries no photos",
    "asset": "an asset tag belongs to one club's shelf",
    "owned": "how many a club owns is its own matter",
    "notes": "a bundle carries no notes of a place",
}

_LISTS: dict[str, Sort] = {"parts": "part", "places": "place", "targets": "target"}


class Assumed(Entry):
    """What the guide of the rig assumes and chooses, so that the figures can be the same elsewhere."""

    year: Year | None = Field(None, description="Year whose nights are computed.")
    steps: Steps = Field(default_factory=Steps, description="Time that steps of setting up take.")
    choices: Choices = Field(default_factory=Choices, description="What the guide assumes or asks for.")


class Bundle(Entry):
    """One rig to hand on."""

    bundle: Literal["form 1"] = Field(description="Form of this file.")
    club: Line | None = Field(None, description="Name of the guide that it comes from.")
    assumes: Assumed = Field(default_factory=Assumed, description="What that guide assumes.")
    rig: Any = Field(description="The rig.")
    parts: Any = Field(None, description="Every part that it names, and those that these name.")
    places: Any = Field(None, description="Its place.")
    targets: Any = Field(None, description="Its targets.")


@dataclass(frozen=True)
class Taken:
    """One entry of a bundle: as it stands there, and as the models understand it."""

    sort: Sort
    data: Data
    entry: Any

    @property
    def id(self) -> str:
        """Its id in the bundle."""
        return str(self.data["id"])


@dataclass(frozen=True)
class Opened:
    """A bundle without faults; the rig comes last in ``entries``."""

    club: str
    assumes: Assumed
    assumed: Data
    entries: tuple[Taken, ...]

    @property
    def rig(self) -> Taken:
        """The rig."""
        return self.entries[-1]


def write_bundle(
    catalogue: Catalogue, rig: str, *, with_place: bool = True, originals: "Originals | None" = None
) -> str:
    """Return the text of a bundle of one rig.

    Args:
        catalogue: the guide that the rig stands in.
        rig: id of the rig.
        with_place: whether its place goes along; figures that depend on it are unsaid or differ without.
        originals: the entries of that guide, where other bundles are written too: each file is read, and each part
            written, once.

    Raises:
        KeyError: when there is no such rig; the message offers the nearest name.
    """
    rig_named(rig, catalogue.rigs)
    originals = originals or Originals(catalogue)
    data = originals.entry("rig", rig)
    place = catalogue.place_of(catalogue.rigs[rig])
    data.pop("place", None)
    if place is not None and with_place:
        data["place"] = place.id  # said where the guide's own stood in for it
    found = _named_by(originals, data)
    lists = {key: [id_ for entry_sort, id_ in found if entry_sort == sort] for key, sort in _LISTS.items()}
    sections = [write_mapping({"bundle": FORM, "club": catalogue.guide.name})]
    sections.append("assumes:\n" + indented(write_mapping(_assumed(originals, catalogue)), 2))
    sections.append("rig:\n" + indented(write_mapping(data), 2))
    for key, listed in lists.items():
        if listed:
            items = "\n".join(originals.written(_LISTS[key], id_).text for id_ in listed)
            sections.append(f"{key}:\n{items}")
    return comment(_head(rig, with_place=with_place)) + "\n" + "\n".join(sections)


def _head(rig: str, *, with_place: bool) -> list[str]:
    place = "its place, " if with_place else ""
    return [
        "A rig to hand on, written by rigleaf. It is plain YAML: read it before you use it.",
        "",
        f"It holds the rig, every part that it names, {place}its targets, and what its guide assumes, so that the",
        "figures come out the same. Left out were serial numbers, insured values and remarks, asset tags, how many the",
        f"club owns, photos, comments, and {'the notes about the place' if with_place else 'the place itself'}.",
        "",
        "To take it into a guide of your own:",
        "",
        f"    rigleaf add {rig}.bundle.yml --guide our-club",
        "",
        "The figures are advice to people who can check them. Look at threads, masses and cautions on the parts",
        "in your hands.",
    ]  # fmt: skip


@dataclass(frozen=True)
class Written:
    """An entry as an item of a bundle's list, and what it names."""

    text: str
    names: tuple[tuple[Sort, str], ...]


class Originals:
    """The entries of a guide as they stand in its files, without comments; ``whole`` or as a bundle carries them."""

    def __init__(self, catalogue: Catalogue, *, whole: bool = False, kept: KeptFiles | None = None) -> None:
        self._catalogue, self._kept = catalogue, kept or KeptFiles()
        self._left_out = {} if whole else LEFT_OUT
        self._read: dict[str, Any] = {}
        self._last: tuple[str, Any] = "", None
        self.digests: dict[str, str] = {}
        """SHA-256 of every file that was read, by its name."""
        self._by_id: dict[str, dict[str, Data]] = {}
        self._written: dict[tuple[Sort, str], Written] = {}

    def file(self, name: str) -> Any:
        """Return the data of a file of the guide; None where there is none.

        Lists and the guide's settings many rigs ask for, and they stay; a file of one rig is read when it has its turn.
        """
        if name in self._read:
            return self._read[name]
        if name != self._last[0]:
            path = self._catalogue.root / name
            document = self._kept.read(name, path) if path.is_file() else None
            self._last = name, document.data if document else None
            if document:
                self.digests[name] = document.digest
            if name == files.GUIDE or not isinstance(self._last[1], dict):
                self._read[name] = self._last[1]
        return self._last[1]

    def entry(self, sort: Sort, id_: str) -> Data:
        """Return a copy of an entry."""
        name = self._catalogue.source(sort, id_).file
        data = self.file(name)
        if isinstance(data, dict):
            found = data
        else:
            if name not in self._by_id:
                self._by_id[name] = {entry["id"]: entry for entry in reversed(data) if "id" in entry}
            found = self._by_id[name][id_]
        return _without_gaps(
            {key: deepcopy(value) for key, value in found.items() if key not in self._left_out.get(sort, ())}
        )

    def written(self, sort: Sort, id_: str) -> Written:
        """Return an entry as an item of a list; written once, however many rigs have it."""
        if (sort, id_) not in self._written:
            name = self._catalogue.source(sort, id_).file
            self.file(name)
            whose, digest = (sort, id_, tuple(self._left_out)), self.digests.get(name, "")
            known = self._kept.made.get(whose)
            if known is None or known[0] != digest:
                data = self.entry(sort, id_)
                found = Written(indented(write_list([data]), 2), tuple(named(sort, data)))
                known = self._kept.made[whose] = digest, found
            self._written[sort, id_] = known[1]
        return self._written[sort, id_]


def _without_gaps(data: Data) -> Data:
    """Return the data without keys that say nothing."""
    return {
        key: _without_gaps(value) if isinstance(value, dict) else value
        for key, value in data.items() if value is not None
    }  # fmt: skip


def _named_by(originals: Originals, rig: Data) -> list[tuple[Sort, str]]:
    """Return everything that the rig names, and what that names in turn, each once."""
    found: dict[tuple[Sort, str], None] = {}
    waiting = deque(named("rig", rig))
    while waiting:
        one = waiting.popleft()
        if one not in found:
            found[one] = None
            waiting += originals.written(*one).names
    return list(found)


def _assumed(originals: Originals, catalogue: Catalogue) -> Data:
    guide = originals.file(files.GUIDE) or {}
    chosen = {key: _without_gaps(guide[key]) for key in ("steps", "choices") if guide.get(key)}
    return {"year": year_of(catalogue.guide), **{key: value for key, value in chosen.items() if value}}


def open_bundle(path: FilePath) -> Opened:
    """Read a bundle and judge it by the models of a guide's own files.

    Raises:
        FileNotFoundError: when there is no such file.
        CatalogueError: with every fault of the bundle, in order of place.
    """
    if not path.is_file():
        raise FileNotFoundError(f"there is no file '{path}'")
    document = read_document(str(path), files.read_bytes(path))
    shelf = Shelf(path.parent)
    shelf.home = "the bundle"
    head = _head_of(document)
    if isinstance(document.data, dict) and "bundle" in document.data:
        _take(document, shelf)
        check_references(shelf)
    if document.faults or head is None:
        raise CatalogueError(document.faults)
    taken = [Taken(sort, data, shelf.entries[sort][data["id"]]) for sort, data, _, _ in shelf.given]
    taken.sort(key=lambda one: one.sort == "rig")
    return Opened(head.club or "", head.assumes, document.data.get("assumes") or {}, tuple(taken))


def _head_of(document: Document) -> Bundle | None:
    if not document.whole and document.data is None:
        return None
    if not isinstance(document.data, dict) or "bundle" not in document.data:
        message = f"this is no bundle: it does not begin with 'bundle: {FORM}'; write one with 'rigleaf bundle RIG'"
        document.report((), "bundle", message)
        return None
    return validate(Bundle, document.data, document, (), "bundle")


def _take(document: Document, shelf: Shelf) -> None:
    """Take the entries of a bundle onto a shelf of its own."""
    data = document.data
    if isinstance(data.get("rig"), dict):
        shelf.add("rig", data["rig"], Rig, document, ("rig",), "rig")
    elif "rig" in data:
        document.report(("rig",), "mapping", "a rig is wanted here: one 'key: value' in each line")
    for key, sort in _LISTS.items():
        if key not in data:
            continue
        for entry, path in entries(document, (key,), sort, shelf):
            for left_out in LEFT_OUT[sort]:
                if left_out in entry:
                    document.report((*path, left_out), "left-out", f"{_WHY[left_out]}; remove '{left_out}'", key=True)
            kept = {name: value for name, value in entry.items() if name not in LEFT_OUT[sort]}
            if sort == "part":
                take_part(kept, document, path, shelf)
            else:
                shelf.add(sort, kept, Place if sort == "place" else Target, document, path, sort)
