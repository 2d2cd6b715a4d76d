"""What can be had of each rig, as cards, tables and pages show it, and as the reader's own clock picks it."""

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from markupsafe import Markup

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.days import day_in_words
from rigleaf.lending.availability import phases_of
from rigleaf.lending.phases import Phase
from rigleaf.lending.today import as_of, zone_of
from rigleaf.words import tr

MONTHS_SHOWN = 12
"""How many months of the book the guide tells, the one of the day as of which it is written included."""

_ESCAPED = {"&": "&amp;", "<": "&lt;", ">": "&gt;", "'": "&#39;"}
_ONE_DAY = dt.timedelta(days=1)


class Told(NamedTuple):
    """What is told on some days: a word with a mark of its own, and the rest of the sentence that begins with it.

    Days are written as in 2026-11-24, which sort by time; ``last`` is empty where it has no end.
    """

    first: str
    last: str
    state: str
    rest: str

    @property
    def sentence(self) -> str:
        """Word and rest together."""
        return self.state + self.rest


@dataclass(frozen=True)
class Availability:
    """What can be had of one rig from the day of the build on.

    Attributes:
        on: the day as of which the book was read.
        zone: name of the time zone by whose calendar the days count.
        told: what is told day by day, from ``on`` on; the last one has no end.
    """

    on: dt.date
    zone: str
    told: tuple[Told, ...]

    @property
    def now(self) -> Told:
        """What is told on the day as of which the book was read."""
        return self.told[0]

    @cached_property
    def packed(self) -> Markup:
        """What is told, as lending.js reads it: a list of first day, last day, word and rest of the sentence.

        It is escaped for an attribute between single quotes, in which the many double ones of JSON need no escape.
        """
        text = json.dumps(self.told, ensure_ascii=False, separators=(",", ":"))
        for sign, escaped in _ESCAPED.items():
            text = text.replace(sign, escaped)
        return Markup(text)  # noqa: S704 - escaped above


@dataclass(frozen=True)
class Lending:
    """What the guide tells of its book of loans.

    Attributes:
        on: the day as of which the book was read.
        zone: name of the time zone by whose calendar the days count.
        first: the first day of the year that is drawn, that of the month of ``on``.
        last: its last day.
        known: the last day of which the guide says anything: that one, or the last that the book names.
        phases: by the id of every rig, from ``first`` on.
    """

    on: dt.date
    zone: str
    first: dt.date
    last: dt.date
    known: dt.date
    phases: Mapping[str, tuple[Phase, ...]]

    @cached_property
    def rigs(self) -> Mapping[str, Availability]:
        """What can be had of every rig, by its id."""
        return {id_: Availability(self.on, self.zone, self._told(some)) for id_, some in self.phases.items()}

    def _told(self, phases: tuple[Phase, ...]) -> tuple[Told, ...]:
        end = self.known + _ONE_DAY
        beyond = tr(
            ": the book of {day} says nothing of days after {day2}",
            day=day_in_words(self.on),
            day2=day_in_words(self.known),
        )
        found = [
            told(phase, self.on, max(phase.first, self.on), min(phase.last or self.known, self.known))
            for phase in phases
            if phase.first < end and (phase.last is None or phase.last >= self.on)
        ]
        return *found, Told(str(end), "", "unsaid", beyond)


def brief(phase: Phase, on: dt.date) -> str:
    """Return what matters first of a phase, and of what is here what comes next; the desk has the whole.

    Args:
        phase: the phase.
        on: the day as of which the book is read. Of what hangs on a return that was still to come on that day it does
            not know on a later one whether it has come about.
    """
    first, *further = phase.clauses
    if phase.state == "due back":
        said = tr("; the book of {day} cannot tell whether that has happened", day=day_in_words(on))
        return first + said
    if phase.state == "short" and further:
        return tr("{first}, and of {len} more", first=first, len=len(further))
    return "; ".join([first, *further[:1]]) if phase.state == "here" else first


def told(phase: Phase, on: dt.date, first: dt.date, last: dt.date | None) -> Told:
    """Return a phase with its word and the rest of what matters first; the word is put before where it lacks it."""
    sentence = brief(phase, on)
    rest = sentence.removeprefix(tr(phase.state))
    parted = rest != sentence and not rest[:1].isalnum()
    return Told(str(first), str(last or ""), phase.state, rest if parted else f": {sentence}")


def lending_of(catalogue: Catalogue) -> Lending | None:
    """Return what the guide tells of its book of loans, or None where it keeps none."""
    if not catalogue.desk:
        return None
    on = as_of(catalogue)
    first, last = shown_year(on)
    days = [one.entry.last for one in catalogue.desk.loans if one.entry.last is not None]
    known = max([last, *days, *(one.entry.last for one in catalogue.desk.reservations)])
    phases = {id_: phases_of(catalogue, id_, first) for id_ in catalogue.rigs}
    return Lending(on, str(zone_of(catalogue)), first, last, known, phases)


def as_sent(catalogue: Catalogue, lending: Lending | None = None) -> Lending | None:
    """Return what travels of the book of loans in files that people send on: never who has anything.

    Args:
        catalogue: the guide.
        lending: what its own pages tell, where that is known already.
    """
    if not catalogue.guide.show_borrowers:
        return lending or lending_of(catalogue)
    return lending_of(replace(catalogue, guide=catalogue.guide.model_copy(update={"show_borrowers": False})))


def shown_year(on: dt.date) -> tuple[dt.date, dt.date]:
    """Return the first and the last day of the months that are drawn, the first one being that of a day."""
    first = on.replace(day=1)
    years, month = divmod(first.month - 1 + MONTHS_SHOWN, 12)
    if first.year + years > dt.MAXYEAR:
        return first, dt.date.max
    return first, dt.date(first.year + years, month + 1, 1) - _ONE_DAY
