"""Looking up names that point from one entry to another: what is unknown or of the wrong kind becomes a fault."""

from collections.abc import Iterator, Mapping

from rigleaf.catalogue import files
from rigleaf.catalogue.document import Document, Path
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.shelf import Shelf, Sort
from rigleaf.nearest import nearest
from rigleaf.quantities import short

MOST_NAMED = 3
"""So many kinds are named in a fault; a longer list is that of the train's pieces, and is called that."""


def known(sort: Sort, id_: str, document: Document, path: Path, shelf: Shelf) -> Entry | None:
    """Return the entry with this id; report it when there is none and none can have been overlooked."""
    entry: Entry | None = shelf.entries[sort].get(id_)
    if entry is None and id_ not in shelf.spoiled[sort]:
        other = next((found for found, entries in shelf.entries.items() if id_ in entries), None)
        if other is not None:
            wrong, cure = f"'{short(id_)}' is a {other}", f"; the id of a {sort} is wanted here"
        elif sort in shelf.incomplete:
            return None
        else:
            near = nearest(id_, [*shelf.entries[sort], *shelf.spoiled[sort]])
            wrong = f"unknown {sort} '{short(id_)}'"
            cure = f"; did you mean '{near}'?" if near else _where_it_belongs(sort, shelf)
        document.report(path, "unknown-id", wrong + cure)
    return entry


def rig_named(id_: str, rigs: Mapping[str, Rig]) -> Rig:
    """Return the rig of which somebody gave the id.

    Raises:
        KeyError: when there is no such rig; the message offers the nearest name.
    """
    if id_ not in rigs:
        near = nearest(id_, rigs)
        raise KeyError(f"there is no rig '{id_}'" + (f"; did you mean '{near}'?" if near else ""))
    return rigs[id_]


def _where_it_belongs(sort: Sort, shelf: Shelf) -> str:
    if shelf.home:
        return f"; describe it in {shelf.home}"
    if sort == "rig":
        return "; a rig is described in a file of its own, beside 'guide.yml'"
    file = {"place": files.PLACES, "target": files.TARGETS, "carrier": files.CARRIERS}.get(sort, f"{files.PARTS}/")
    there = any(document.file.startswith(file) for document in shelf.documents)
    return f"; describe it in '{file}'" if there else f"; there is no '{file}' yet: describe it there"


def check_known(data: object, sort: Sort, document: Document, path: Path, shelf: Shelf) -> None:
    """Report the name under the key ``sort`` of plain data when it leads nowhere."""
    id_ = data.get(sort) if isinstance(data, dict) else None
    if isinstance(id_, str):
        known(sort, id_, document, (*path, sort), shelf)


def named_parts(data: object, path: Path) -> Iterator[tuple[str, Path, int]]:
    """Yield the part ids in a list of uses, each with its place and count."""
    for index, use in enumerate(data if isinstance(data, list) else ()):
        if isinstance(use, str):
            yield use, (*path, index), 1
        elif isinstance(use, dict) and isinstance(use.get("part"), str):
            count = use.get("count")
            yield use["part"], (*path, index, "part"), count if isinstance(count, int) else 1


def check_use(id_: str, kinds: tuple[str, ...], document: Document, path: Path, shelf: Shelf) -> None:
    """Report a part id that leads nowhere, or to a part of none of the kinds (of any kind, where none are given)."""
    part = known("part", id_, document, path, shelf)
    if not isinstance(part, Part) or not kinds or part.kind in kinds:
        return
    wanted = "a piece of the train" if len(kinds) > MOST_NAMED else " or ".join(KINDS[word].phrase for word in kinds)
    message = f"'{id_}' is {KINDS[part.kind].phrase}; {wanted} is wanted here"
    document.report(path, "wrong-kind", message)
