"""Names inside a journey: rigs, parts, bags, carriers, and its own travellers."""

import datetime as dt
from collections.abc import Iterator
from typing import Any

from rigleaf.catalogue.document import Document, Path
from rigleaf.catalogue.lookup import check_known, check_use, known, named_parts
from rigleaf.catalogue.shelf import Shelf
from rigleaf.nearest import nearest
from rigleaf.quantities import short


def check_trip(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    """Report every name of one journey that leads nowhere, and what is said twice or out of order."""
    for id_, where in _ids(data.get("rigs"), (*path, "rigs")):
        known("rig", id_, document, where, shelf)
    for named, where, _ in named_parts(data.get("extras"), (*path, "extras")):
        check_use(named, (), document, where, shelf)
    for key in ("without", "worn"):
        for id_, where in _ids(data.get(key), (*path, key)):
            check_use(id_, (), document, where, shelf)
    check_known(data, "place", document, path, shelf)
    travellers = _travellers(data, document, path)
    for bag, where in _mappings(data.get("bags"), (*path, "bags")):
        if isinstance(bag.get("bag"), str):
            check_use(bag["bag"], ("bag",), document, (*where, "bag"), shelf)
        for id_, at in _ids(bag.get("holds"), (*where, "holds")):
            check_use(id_, (), document, at, shelf)
        who = bag.get("traveller")
        # Where nobody is described, that alone is told.
        if isinstance(who, str) and who not in travellers and isinstance(data.get("travellers"), list):
            near = nearest(who, sorted(travellers))
            cure = f"did you mean '{near}'?" if near else "describe this person under 'travellers'"
            document.report((*where, "traveller"), "unknown-id", f"unknown traveller '{short(who)}'; {cure}")
    _check_legs(data, document, path, shelf)


def _travellers(data: dict[str, Any], document: Document, path: Path) -> set[str]:
    found: set[str] = set()
    for traveller, where in _mappings(data.get("travellers"), (*path, "travellers")):
        id_ = traveller.get("id")
        if isinstance(id_, str):
            if id_ in found:
                document.report((*where, "id"), "duplicate-id", f"the traveller '{short(id_)}' is described twice")
            found.add(id_)
    return found


def _check_legs(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    last = ""
    for leg, where in _mappings(data.get("legs"), (*path, "legs")):
        if isinstance(leg.get("carrier"), str):
            known("carrier", leg["carrier"], document, (*where, "carrier"), shelf)
        date = leg.get("date")
        # Dates of this form sort like text; what is none is told as such by the model.
        if isinstance(date, str) and _is_day(date):
            if date < last:
                document.report((*where, "date"), "order", f"this leg is before the last one, of {short(last)}")
            last = max(last, date)


def _is_day(text: str) -> bool:
    try:
        dt.date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _ids(data: object, path: Path) -> Iterator[tuple[str, Path]]:
    for index, id_ in enumerate(data if isinstance(data, list) else ()):
        if isinstance(id_, str):
            yield id_, (*path, index)


def _mappings(data: object, path: Path) -> Iterator[tuple[dict[str, Any], Path]]:
    for index, entry in enumerate(data if isinstance(data, list) else ()):
        if isinstance(entry, dict):
            yield entry, (*path, index)
