"""What can be had of a rig, day by day: the one form in which pages, script, search and calendars ask for it."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

State = Literal["here", "due back", "short", "spoken for", "out", "overdue"]
"""What a day has to say of a rig: all of it is at the club; it should be again, but for that something which is out
must come back by the day agreed; parts that it needs are not; somebody has it that day by a reservation; it is out; it
is out and should be back."""


@dataclass(frozen=True, slots=True)
class Phase:
    """A run of days over which the same holds of a rig. The phases of a rig follow each other without a gap.

    Attributes:
        first: its first day, by the calendar of the club's place.
        last: its last day, included; None where it has no end that anybody knows.
        state: one word for it.
        clauses: what the card and the page say on those days, what matters first; names parts and days, never people.
            They are kept apart since names in them may hold any sign.
        parts: ids of the parts that are missing, where the rig is short, or that must come back, where it is due back.
    """

    first: date
    last: date | None
    state: State
    clauses: tuple[str, ...]
    parts: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """All that there is to say."""
        return "; ".join(self.clauses)
