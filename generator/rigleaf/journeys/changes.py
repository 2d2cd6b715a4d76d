"""What another carrier or another date of one flight would change, all else as it is packed."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.flight_fields import FlightWord
from rigleaf.chapters.at_the_airport.words import day
from rigleaf.journeys.flights import Flights, LawKey, days_of_change
from rigleaf.journeys.judging import Judged, Ruled, judge
from rigleaf.journeys.result import Change
from rigleaf.rules.carriers import rules_of
from rigleaf.rules.journey import Leg
from rigleaf.rules.rulings import strictest

AROUND = dt.timedelta(days=365)
_Answers = dict[tuple[str, str, int | None, str], Ruled]
_Difference = tuple[FlightWord, tuple[str, ...]]


class _Now:
    """The answers as planned, against which others are held; the same laws are asked only once."""

    def __init__(self, judged: Judged) -> None:
        self.judged = judged
        self.answers = _answers(judged)
        self._known: dict[frozenset[LawKey], _Difference | None] = {}

    def differs(self, other: Flights) -> _Difference | None:
        """Return the word for the whole journey and the answers that differ; None where none does."""
        if other.key not in self._known:
            self._known[other.key] = self._differs(other)
        return self._known[other.key]

    def _differs(self, other: Flights) -> _Difference | None:
        then = judge(self.judged.stowed, other)
        sentences = [
            f"{one.answer.sentence} As planned the answer is: {self.answers[key].word}."
            for key, one in _answers(then).items()
            if key in self.answers and self.answers[key].word != one.word
        ]
        if not sentences:
            return None
        left: FlightWord = "stays home" if self.judged.stowed.left else "may fly"
        return strictest(then.rest, left), tuple(dict.fromkeys(sentences))


def _answers(judged: Judged) -> _Answers:
    return {(one.article.part, one.article.sort, one.bag, one.traveller): one for one in judged.ruled}


def changes(catalogue: Catalogue, judged: Judged, flights: Flights) -> Iterator[Change]:
    """Yield what would change, leg by leg: other carriers first, then other dates; only what differs."""
    now = _Now(judged)
    for index, leg in enumerate(flights.legs):
        number = flights.numbers[index]
        for carrier in sorted(catalogue.carriers.values(), key=lambda carrier: carrier.id):
            if carrier in leg.carriers:
                continue
            found = now.differs(flights.changed(index, replace(leg, carriers=(carrier,))))
            if found is not None:
                yield Change(number, "carrier", f"with {carrier.name}", carrier.id, None, None, *found)
        yield from _dates(now, flights, index, number)


def _dates(now: _Now, flights: Flights, index: int, number: int) -> Iterator[Change]:
    """Yield each span of other dates, within a year, in which some answer differs."""
    leg = flights.legs[index]
    marks = _marks(flights, leg)
    edges = [leg.on - AROUND, *marks, leg.on + AROUND + dt.timedelta(days=1)]
    spans = [(since, until - dt.timedelta(days=1)) for since, until in pairwise(edges)]
    merged: list[tuple[dt.date, dt.date, _Difference]] = []
    for since, until in spans:
        if since <= leg.on <= until or since > until:
            continue
        found = now.differs(flights.changed(index, replace(leg, on=since)))
        if found is None:
            continue
        if merged and merged[-1][1] + dt.timedelta(days=1) == since and merged[-1][2] == found:
            merged[-1] = (merged[-1][0], until, found)
        else:
            merged.append((since, until, found))
    for since, until, found in merged:
        first = None if since == edges[0] else since
        last = None if until == edges[-1] - dt.timedelta(days=1) else until
        yield Change(number, "date", _span(first, last), "", first, last, *found)


def _marks(flights: Flights, leg: Leg) -> list[dt.date]:
    """Return the days within a year of a flight on which any rule that may speak of it begins, or has ended."""
    register = flights.register
    asked = {authority for state in leg.all_states for authority in register.authorities(state)}
    rules = [rule for rule in register.rules.values() if rule.authority in asked]
    rules += [rule for carrier in leg.carriers for rule in rules_of(carrier)]
    return sorted(set(days_of_change(rules, leg.on - AROUND, leg.on + AROUND)))


def _span(since: dt.date | None, until: dt.date | None) -> str:
    if since is None and until is not None:
        return f"until {day(until)}"
    if since is not None and until is None:
        return f"from {day(since)} on"
    return f"from {day(since)} to {day(until)}" if since is not None and until is not None else "on any other day"
