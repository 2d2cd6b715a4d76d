"""Who carries what of which one person may take only so many: batteries, mostly."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from rigleaf.catalogue.models.flight_fields import FlightWord, Stowage
from rigleaf.journeys.flights import Flights
from rigleaf.rules.articles import Article
from rigleaf.rules.rulings import STRICTNESS, strictest


@dataclass(frozen=True)
class Counted:
    """One sort of article whose number may be limited: ``count`` of it, and where each traveller could take it."""

    article: Article
    count: int
    places: Mapping[str, Stowage]


@dataclass(frozen=True)
class Shared:
    """How many each traveller takes of each part, by its id, and how many nobody may take.

    What no number limits is in neither.
    """

    takes: Mapping[str, Mapping[str, int]]
    over: Mapping[str, int]


def share(flights: Flights, counted: Sequence[Counted]) -> Shared:
    """Share out what numbers limit, so that the strictest answer is as mild as can be and as little as can be is left.

    Piece by piece, the mildest and largest first, each goes to the traveller with whom the answer stays mildest, of
    equals to the one with fewest of them. What fits nobody is left.
    """
    bound = _bound(flights, counted)
    held: dict[str, Counter[str]] = {who: Counter() for one in bound for who in one.places}
    by_id = {one.article.part: one for one in bound}
    over: Counter[str] = Counter()
    for one in sorted(bound, key=lambda one: _order(flights, one)):
        id_ = one.article.part
        for _ in range(one.count):
            found = [
                (STRICTNESS[word], sum(held[who].values()), who)
                for who in sorted(one.places)
                if (word := _with(flights, by_id, held, who, id_)) != "stays home"
            ]
            if not found:
                over[id_] += 1
                continue
            held[min(found)[2]][id_] += 1
    takes = {id_: {who: mine[id_] for who, mine in sorted(held.items()) if mine[id_]} for id_ in by_id}
    return Shared(takes, dict(over))


def _bound(flights: Flights, counted: Sequence[Counted]) -> list[Counted]:
    """Return what some number limits if one person takes all of it."""
    some = [one for one in counted if one.places]
    if not some:
        return []
    party = [replace(one.article, count=one.count, into=(_any(one),)) for one in some]
    answers = flights.answers(party)
    return [
        one
        for one, answer in zip(some, answers, strict=True)
        if any(ruling.over for placed in answer.places.values() for ruling in placed.all)
    ]


def _any(one: Counted) -> Stowage:
    return one.places[min(one.places)]


def _order(flights: Flights, one: Counted) -> tuple[int, float, str]:
    energy = one.article.energy.most
    return STRICTNESS[flights.word(one.article, _any(one))], -float(energy or 0), one.article.part


def _with(
    flights: Flights, by_id: Mapping[str, Counted], held: Mapping[str, Counter[str]], who: str, more: str
) -> FlightWord:
    """Return the strictest answer for what a traveller takes with one piece more."""
    counts = held[who] + Counter({more: 1})
    party = [
        replace(by_id[id_].article, count=count, into=(by_id[id_].places[who],))
        for id_, count in sorted(counts.items())
    ]
    answers = flights.answers(party)
    return strictest(*(answer.at(answer.article.into[0]) for answer in answers))
