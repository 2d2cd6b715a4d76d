"""Reads a guide's folder into a catalogue, or reports every fault of it in one go."""

from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path as FilePath
from typing import Any

from rigleaf.catalogue import files
from rigleaf.catalogue.catalogue import Catalogue, Source
from rigleaf.catalogue.desk_reading import check_desk, desk_of, take_desk
from rigleaf.catalogue.document import MOST_FAULTS, Document, Path, TooManyFaultsError
from rigleaf.catalogue.faults import CatalogueError, Fault
from rigleaf.catalogue.kept import KeptFiles
from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.flight import FlightRule
from rigleaf.catalogue.models.guide import Guide, Place, Target
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.part import UnsortedPart
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.models.trip import Trip
from rigleaf.catalogue.references import check_references
from rigleaf.catalogue.shelf import Shelf, Sort
from rigleaf.catalogue.validation import validate
from rigleaf.nearest import nearest
from rigleaf.quantities import short

_LISTS: dict[str, tuple[Sort, type[Entry]]] = {
    files.PLACES: ("place", Place),
    files.TARGETS: ("target", Target),
    files.CARRIERS: ("carrier", Carrier),
    files.RULES: ("rule", FlightRule),
}


def read_catalogue(
    folder: FilePath, drafts: Mapping[str, bytes] | None = None, kept: KeptFiles | None = None
) -> Catalogue:  # fmt: skip
    """Read the guide in ``folder`` (or in its ``rigs`` folder).

    Args:
        folder: where the guide is.
        drafts: files by name, relative to the guide, that are read as if they stood there already: in the place
            of those of the same name, or beside the others.
        kept: what earlier readings of the same guide have left, and this one leaves.

    Raises:
        FileNotFoundError: when there is no such folder.
        CatalogueError: with every fault found, in order of file and line; with the first few hundred of very many.
    """
    root = files.find_root(folder)
    shelf = Shelf(root)
    kept = kept or KeptFiles()
    used_by: dict[str, tuple[str, ...]] = {}
    with suppress(TooManyFaultsError):  # what has been found is told below
        used_by = _read_all(root, drafts or {}, shelf, kept)
    faults = shelf.faults + [fault for document in shelf.documents for fault in document.faults]
    if len(faults) >= MOST_FAULTS:
        faults = sorted(set(faults))[:MOST_FAULTS]
        message = f"there may be more than these {MOST_FAULTS} faults; mend them and look again"
        last = faults[-1]
        faults.append(Fault(last.file, last.line, last.column + 1, "too-many", message))
    if faults:
        raise CatalogueError(faults)
    kept.held.keep(shelf)
    return Catalogue(
        root=root,
        guide=shelf.guide or Guide(name="Field guide"),
        parts=shelf.entries["part"],
        rigs=shelf.entries["rig"],
        places=shelf.entries["place"],
        targets=shelf.entries["target"],
        trips=shelf.entries["trip"],
        carriers=shelf.entries["carrier"],
        rules=shelf.entries["rule"],
        sources={key: Source(origin.document.file, origin.line) for key, origin in shelf.origins.items()},
        used_by=used_by,
        desk=desk_of(shelf),
        digests={document.file: document.digest for document in shelf.documents},
    )


def _read_all(
    root: FilePath, drafts: Mapping[str, bytes], shelf: Shelf, kept: KeptFiles
) -> dict[str, tuple[str, ...]]:  # fmt: skip
    """Read every file onto the shelf and check what stands there; return which rigs use each part."""
    listed = list(files.yaml_files(root, shelf.faults))
    listed += [(name, root / name) for name in drafts if name not in {known for known, _ in listed}]
    kept.only([name for name, _ in listed])
    told = 0
    for name, path in listed:
        document = kept.document(name, drafts[name]) if name in drafts else _read(name, path, shelf, kept)
        if document is not None:
            shelf.documents.append(document)
            _take(document, shelf)
            kept.keep(document)
            document.let_go()
            told += len(document.faults)
        if told + len(shelf.faults) >= MOST_FAULTS:
            raise TooManyFaultsError
    if not shelf.documents and not shelf.faults:
        message = f"there is no YAML in '{root.resolve().name}'; a guide has rigs and a folder '{files.PARTS}'"
        shelf.faults.append(Fault(".", 1, 1, "empty", message))
    for fault in shelf.faults:  # each is about a file or folder that is not read
        _miss(fault.file, shelf)
    used_by = check_references(shelf, kept.held)
    check_desk(shelf, kept.held)
    return used_by


def _read(name: str, path: FilePath, shelf: Shelf, kept: KeptFiles) -> Document | None:
    try:
        return kept.read(name, path)
    except OSError as error:
        message = f"this file cannot be read: {files.reason(error)}"
        shelf.faults.append(Fault(name, 1, 1, "unreadable", message))
        return None


def _miss(file: str, shelf: Shelf) -> None:
    """Note that some entries of a file are not known, so that a name which leads nowhere may be one of theirs."""
    folder = file.partition("/")[0] if "/" in file else ""
    sorts = {name.partition(".")[0]: sort for name, (sort, _) in _LISTS.items()}
    if folder == files.TRIPS:
        shelf.incomplete.add("trip")
    elif folder != files.DESK:  # nothing names what stands in the book
        shelf.incomplete.add("part" if folder else sorts.get(file.partition(".")[0], "rig"))


def _take(document: Document, shelf: Shelf) -> None:
    """Sort one document's entries onto the shelf, by the name of its file."""
    if not document.whole:
        _miss(document.file, shelf)
        if document.data is None:
            return
    folder, inside, _ = document.file.partition("/")
    if inside:
        _take_from(folder, document, shelf)
    elif document.file == files.GUIDE:
        shelf.guide_document = document
        if _is_mapping(document, "guide"):
            shelf.guide = validate(Guide, document.data, document, (), "guide")
    elif document.file in _LISTS:
        sort, model = _LISTS[document.file]
        for data, path in entries(document, (), sort, shelf):
            shelf.add(sort, data, model, document, path, sort)
    elif _is_mapping(document, "rig"):
        shelf.add("rig", document.data, Rig, document, (), "rig")


def _take_from(folder: str, document: Document, shelf: Shelf) -> None:
    """Sort the entries of a document in one of the guide's folders onto the shelf."""
    if folder == files.PARTS:
        for data, path in entries(document, (), "part", shelf):
            take_part(data, document, path, shelf)
    elif folder == files.TRIPS:
        if _is_mapping(document, "trip"):
            shelf.add("trip", document.data, Trip, document, (), "trip")
    elif _is_mapping(document, "book"):
        take_desk(document, shelf)


def _is_mapping(document: Document, what: str) -> bool:
    if isinstance(document.data, dict):
        return True
    message = f"a {what} is wanted here: one 'key: value' in each line"
    if document.data is None:
        message = f"this file says nothing; {message}"
    if isinstance(document.data, list) and what == "rig":
        near = nearest(document.file.partition(".")[0], [name.partition(".")[0] for name in _LISTS])
        message += f"; did you mean '{near}.yml'?" if near else f"; lists of parts belong in '{files.PARTS}/'"
    document.report((), "mapping", message)
    return False


def entries(document: Document, path: Path, sort: Sort, shelf: Shelf) -> Iterator[tuple[dict[str, Any], Path]]:
    """Yield data and place of every mapping in what should be a list of them at ``path``; it may be empty."""
    listed = document.at(path)
    if not isinstance(listed, list):
        if listed is not None:
            message = f"a list of {sort}s is wanted here; begin each with '- id: ...'"
            document.report(path, "list", message)
            shelf.incomplete.add(sort)
        return
    for index, data in enumerate(listed):
        if isinstance(data, dict):
            yield data, (*path, index)
        else:
            message = f"a {sort} is wanted here: one 'key: value' in each line"
            document.report((*path, index), "mapping", message)
            shelf.incomplete.add(sort)


def take_part(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    """Take the part at ``path`` onto the shelf; the word in its ``kind`` decides what else it may state."""
    word = data.get("kind")
    kind = KINDS.get(word) if isinstance(word, str) else None
    if kind is not None:
        shelf.add("part", data, kind.model, document, path, kind.one)
        return
    shelf.add_spoiled("part", data, UnsortedPart, document, path)
    if isinstance(word, str):
        near = nearest(word, KINDS)
        cure = f"did you mean '{near}'?" if near else f"known are {', '.join(KINDS)}"
        message = f"unknown kind '{short(word)}'; {cure}"
        document.report((*path, "kind"), "kind", message)
