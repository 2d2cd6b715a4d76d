"""How a rig and its parts were when they last came back or were looked after, for the sheet that hands them over."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.days import day_in_words
from rigleaf.chapters.assembly import Assembly
from rigleaf.lending.service import Condition, conditions


@dataclass(frozen=True)
class LastSeen:
    """What the book of loans says of a rig's condition: of the whole, and by the ids of parts; empty where nothing."""

    whole: str = ""
    parts: Mapping[str, str] = field(default_factory=dict)


def last_seen(catalogue: Catalogue, assembly: Assembly, on: dt.date) -> LastSeen:
    """Return what the book says up to a day, the newest only."""
    parts = {item.part.id: conditions(catalogue, part=item.part.id, on=on) for item in assembly.items}
    return LastSeen(
        _told(conditions(catalogue, rig=assembly.rig.id, on=on)),
        {id_: _told(found) for id_, found in parts.items() if found},
    )


def _told(found: tuple[Condition, ...]) -> str:
    return f"{found[0].words} ({day_in_words(found[0].day)})" if found else ""
