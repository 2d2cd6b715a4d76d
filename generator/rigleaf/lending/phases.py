"""What can be had of a rig, day by day: the one form in which pages, script, search and calendars ask for it."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

State = Literal["here", "short", "spoken for", "out", "overdue"]
"""What a day has to say of a rig: all of it is at the club; parts that it needs are not; somebody has it that day by
a reservation; it is out; it is out and should be back."""


@dataclass(frozen=True, slots=True)
class Phase:
    """A run of days over which the same holds of a rig. The phases of a rig follow each other without a gap.

    Attributes:
        first: its first day, by the calendar of the club's place.
        last: its last day, included; None where it has no end that anybody knows.
        state: one word for it.
        sentence: what the card and the page say on those days; names parts and days, never people.
        parts: ids of the parts that are missing, where the rig is short.
    """

    first: date
    last: date | None
    state: State
    sentence: str
    parts: tuple[str, ...] = ()


def phase_on(phases: tuple[Phase, ...], day: date) -> Phase | None:
    """Return the phase in which a day lies, or None before the first and after the last."""
    return next((one for one in phases if one.first <= day and (one.last is None or day <= one.last)), None)
