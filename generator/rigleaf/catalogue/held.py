"""What a sound reading of a guide has shown to hold: it is not looked at again while all that it rests on is the same.

An entry's names lead where they led, as long as it is the same object as then, there are entries with the same ids, and
the parts are the same. Where anything has a fault, everything is looked at, since what is told of one entry may depend
on what is known of the others.
"""

from collections.abc import Mapping
from typing import Any

from rigleaf.catalogue.bookings import pieces_of_rig
from rigleaf.catalogue.catalogue import rig_uses
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.shelf import SORTS, Shelf, Sort


class Held:
    """Of one guide, that a process reads again and again."""

    def __init__(self) -> None:
        self._entries: Mapping[Sort, Mapping[str, Any]] | None = None
        self._noted: tuple[Entry | None, ...] = ()
        self._parts: dict[str, tuple[Rig, tuple[str, ...]]] = {}

    def keep(self, shelf: Shelf) -> None:
        """Keep what stands on a shelf in which everything holds."""
        self._entries = shelf.entries
        self._noted = tuple(noted.entry for noted in shelf.noted)

    def among(self, shelf: Shelf) -> "Known":
        """Return what is known of the entries of a shelf, once each was checked by itself."""
        before, now = self._entries, shelf.entries
        sound = not (shelf.faults or shelf.incomplete or any(shelf.spoiled.values()))
        if before is None or not sound or any(document.faults for document in shelf.documents):
            return Known()
        ids = all(before[sort].keys() == now[sort].keys() for sort in SORTS)
        if not ids or any(before["part"][id_] is not part for id_, part in now["part"].items()):
            return Known()
        return Known(before, now, self._noted)

    def parts_of(self, rig: Rig) -> tuple[str, ...]:
        """Return the ids of a rig's parts, each once."""
        known = self._parts.get(rig.id)
        if known is None or known[0] is not rig:
            known = self._parts[rig.id] = rig, tuple(dict.fromkeys(part for _, part, _, _ in rig_uses(rig)))
        return known[1]


class Known:
    """What is known of the entries of one reading; nothing, where it is none."""

    def __init__(
        self,
        before: Mapping[Sort, Mapping[str, Any]] | None = None,
        now: Mapping[Sort, Mapping[str, Any]] | None = None,
        noted: tuple[Entry | None, ...] = (),
    ) -> None:
        self._before, self._now, self._noted = before, now, noted

    def holds(self, sort: Sort, data: Mapping[str, Any]) -> bool:
        """Say whether an entry was found to name only what there is, of the kinds that are there now."""
        if self._before is None or self._now is None:
            return False
        id_ = data["id"]
        return self._before[sort][id_] is self._now[sort][id_]

    def book_holds(self, shelf: Shelf) -> bool:
        """Say whether nothing in the book was promised twice, and nothing has changed on which that depends."""
        if self._before is None or len(shelf.noted) != len(self._noted):
            return False
        if any(noted.entry is not entry for noted, entry in zip(shelf.noted, self._noted, strict=True)):
            return False
        before = self._before["rig"]
        return all(
            before[id_] is rig or pieces_of_rig(before[id_]) == pieces_of_rig(rig)
            for id_, rig in shelf.entries["rig"].items()
        )
