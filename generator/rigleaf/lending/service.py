"""What was looked after, when it wants it again, and how a thing was when it was last seen."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.lending import Interval, Loan, Service


@dataclass(frozen=True, slots=True)
class Care:
    """One series of services: the same thing done to the same piece, again and again.

    Attributes:
        part: id of the part, or None where it is a rig.
        rig: id of the rig, or None where it is a part.
        asset: tag of the very piece, "" where nobody said which.
        what: what is done.
        done: every time that it was, the newest first.
        every: how often it should be done; None where nobody said.
        due: when it wants it next; None where nobody said how often.
    """

    part: str | None
    rig: str | None
    asset: str
    what: str
    done: tuple[Service, ...]
    every: Interval | None
    due: dt.date | None

    @property
    def last(self) -> Service:
        """The newest service."""
        return self.done[0]

    def overdue(self, on: dt.date) -> bool:
        """Whether it should have been done before a day."""
        return self.due is not None and self.due < on


def cares(catalogue: Catalogue, on: dt.date = dt.date.max) -> tuple[Care, ...]:
    """Return every series of services, what wants it first first; what nobody said the interval of comes last.

    Services of one series name the same part or rig, the same piece, and what was done in the same words. What was
    done after the day ``on`` is passed over.
    """
    series: dict[tuple[str | None, str | None, str, str], list[Service]] = {}
    for written in catalogue.desk.service:
        one = written.entry
        if one.done > on:
            continue
        key = one.part, one.rig, (one.asset or "").casefold(), one.what.casefold()
        series.setdefault(key, []).append(one)
    found = []
    for (part, rig, _, _), services in series.items():
        # Of two on one day the later one in the book counts as the newer.
        done = tuple(sorted(services, key=lambda one: one.done)[::-1])
        every = next((one.every for one in done if one.every is not None), None)
        due = every.after(done[0].done) if every is not None else None
        found.append(Care(part, rig, done[0].asset or "", done[0].what, done, every, due))
    return tuple(sorted(found, key=lambda one: (one.due or dt.date.max, one.rig or one.part or "", one.what)))


@dataclass(frozen=True, slots=True)
class Condition:
    """How a thing was when it was last seen, in words that anybody may read."""

    day: dt.date
    words: str


def conditions(
    catalogue: Catalogue, *, rig: str | None = None, part: str | None = None, on: dt.date = dt.date.max
) -> tuple[Condition, ...]:
    """Return what the book says of the condition of a rig or of a part lent by itself up to a day, the newest first.

    It is what was written when it came back, and what was read when it was looked after.
    """
    known = (*_came_back(catalogue, rig, part), *_looked_after(catalogue, rig, part))
    found = [one for one in known if one.day <= on]
    return tuple(sorted(found, key=lambda one: one.day)[::-1])


def _came_back(catalogue: Catalogue, rig: str | None, part: str | None) -> Iterator[Condition]:
    for written in catalogue.desk.loans:
        loan: Loan = written.entry
        meant = loan.rig == rig if rig is not None else part in {use.part for use in loan.parts}
        if meant and loan.condition_in and loan.last is not None:
            yield Condition(loan.last, loan.condition_in)


def _looked_after(catalogue: Catalogue, rig: str | None, part: str | None) -> Iterator[Condition]:
    for written in catalogue.desk.service:
        one = written.entry
        if (rig is not None and one.rig == rig) or (part is not None and one.part == part):
            piece = f" ({one.asset})" if one.asset else ""
            yield Condition(one.done, f"{one.what}{piece}{f': {one.reading}' if one.reading else ''}")
