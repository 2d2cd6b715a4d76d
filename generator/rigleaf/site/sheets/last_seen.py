"""How a rig and its parts were when they last came back or were looked after, for the sheet that hands them over."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.days import day_in_words
from rigleaf.chapters.assembly import Assembly
from rigleaf.lending.service import Condition, Conditions


@dataclass(frozen=True)
class LastSeen:
    """What the book of loans says of a rig's condition: of the whole, and by the ids of parts; empty where nothing."""

    whole: str = ""
    parts: Mapping[str, str] = field(default_factory=dict)


def last_seen_in(catalogue: Catalogue, on: dt.date) -> dict[str, LastSeen]:
    """Return what the book says, up to a day, of every rig of which it says anything, by the rig's id."""
    conditions = Conditions(catalogue, on)
    seen = {id_: last_seen(conditions, Assembly(catalogue, rig)) for id_, rig in catalogue.rigs.items()}
    return {id_: one for id_, one in seen.items() if one != LastSeen()}


def last_seen(conditions: Conditions, assembly: Assembly) -> LastSeen:
    """Return what the book says of a rig and of what it is made of, the newest only."""
    parts = {item.part.id: conditions.of_part(item.part.id) for item in assembly.items}
    return LastSeen(
        _told(conditions.of_rig(assembly.rig.id)),
        {id_: _told(found) for id_, found in parts.items() if found},
    )


def _told(found: tuple[Condition, ...]) -> str:
    return f"{found[0].words} ({day_in_words(found[0].day)})" if found else ""
