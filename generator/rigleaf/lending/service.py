"""What was looked after, when it wants it again, and how a thing was when it was last seen."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.lending import Interval, Service


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


class Conditions:
    """What the book says of the condition of things up to a day, read once: of every rig and of every part.

    It is what was written when a rig, or a part that went by itself or with one, came back, and what was read when it
    was looked after.
    """

    def __init__(self, catalogue: Catalogue, on: dt.date = dt.date.max) -> None:
        self._rigs: dict[str, list[Condition]] = defaultdict(list)
        self._parts: dict[str, list[Condition]] = defaultdict(list)
        for loan in (written.entry for written in catalogue.desk.loans):
            if loan.condition_in and loan.last is not None and loan.last <= on:
                parts = dict.fromkeys(use.part for use in loan.parts)
                self._note(Condition(loan.last, loan.condition_in), loan.rig, parts)
        for service in (written.entry for written in catalogue.desk.service):
            if service.done <= on:
                piece = f" ({service.asset})" if service.asset else ""
                words = f"{service.what}{piece}{f': {service.reading}' if service.reading else ''}"
                self._note(Condition(service.done, words), service.rig, () if service.part is None else (service.part,))
        for found in (*self._rigs.values(), *self._parts.values()):
            found.sort(key=lambda one: one.day)
            found.reverse()  # of two on one day the later one in the book counts as the newer

    def _note(self, condition: Condition, rig: str | None, parts: Iterable[str]) -> None:
        if rig is not None:
            self._rigs[rig].append(condition)
        for part in parts:
            self._parts[part].append(condition)

    def of_rig(self, id_: str) -> tuple[Condition, ...]:
        """Return what is known of a rig, the newest first."""
        return tuple(self._rigs.get(id_, ()))

    def of_part(self, id_: str) -> tuple[Condition, ...]:
        """Return what is known of a part, the newest first."""
        return tuple(self._parts.get(id_, ()))
