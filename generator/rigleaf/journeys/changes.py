"""What another carrier or another date of one flight would change: as it is packed, and packed anew."""

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.flight_fields import FlightWord
from rigleaf.chapters.at_the_airport.words import day
from rigleaf.journeys.flights import Flights, LawKey, days_of_change
from rigleaf.journeys.judging import Judged, Ruled, judge
from rigleaf.journeys.result import Change
from rigleaf.journeys.stowing import Stowed
from rigleaf.journeys.trials import TRIAL_STEPS, tried
from rigleaf.journeys.words import OUTCOMES, names, upper_first
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
        stowed = self.judged.stowed
        then = judge(stowed, other)
        left: FlightWord = "stays home" if stowed.left else "may fly"
        word = strictest(then.rest, left)
        sentences = [
            f"{one.answer.sentence} As planned the answer is: {self.answers[key].word}."
            for key, one in _answers(then).items()
            if key in self.answers and self.answers[key].word != one.word
        ]
        if word == "stays home":
            again = tried(replace(stowed.plan, flights=other, steps=TRIAL_STEPS))
            more = _left(stowed) - _left(again.stowed)
            if again.judged is not None and (more or (sentences and again.judged.word != "stays home")):
                word = again.judged.word
                called = {one.part.id: one.part.name for one in stowed.left}
                along = [(called[id_], count) for id_, count in sorted(more.items())]
                sentences.append(
                    f"{upper_first(names(along))} could go along then." if along else f"Packed anew, {OUTCOMES[word]}."
                )
        return (word, tuple(dict.fromkeys(sentences))) if sentences else None


def _left(stowed: Stowed) -> Counter[str]:
    found: Counter[str] = Counter()
    for one in stowed.left:
        found[one.part.id] += one.count
    return found


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


def no_other_day(found: Sequence[Change], flights: Flights) -> str:
    """Say that no other date changes anything, where that is so; else nothing."""
    if any(one.kind == "date" for one in found):
        return ""
    return f"No other day within a year changes an answer, by the rules known on {day(flights.register.known)}."


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
