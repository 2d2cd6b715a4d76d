"""Who carries what of which one person may take only so many: batteries, mostly."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import prod

from rigleaf.catalogue.models.flight_fields import FlightWord, Stowage
from rigleaf.journeys.flights import Flights
from rigleaf.rules.articles import Article
from rigleaf.rules.rulings import STRICTNESS, strictest

MOST_WAYS = 400
"""How many handfuls one person may be tried with before pieces are dealt one by one; beyond it are only many alike."""


@dataclass(frozen=True)
class Counted:
    """One sort of article whose number may be limited.

    Attributes:
        article: it.
        count: how many of it.
        places: where each traveller could take it, by the bags that the journey names.
        wider: the same in any bag, for when it finds no carrier else.
        pinned: whether the journey names a bag for it.
        feeds: whether a rig is fed from it.
    """

    article: Article
    count: int
    places: Mapping[str, Stowage]
    wider: Mapping[str, Stowage]
    pinned: bool = False
    feeds: bool = False


@dataclass(frozen=True)
class Shared:
    """How many each traveller takes of each part, by its id, and how many nobody may take.

    What no number limits is in neither. ``spread`` are parts of which somebody takes some only in another bag than the
    journey names.
    """

    takes: Mapping[str, Mapping[str, int]]
    over: Mapping[str, int]
    spread: tuple[str, ...] = ()


_Handful = tuple[int, ...]
_Cost = tuple[int, int, int, tuple[_Handful, ...]]


def share(flights: Flights, counted: Sequence[Counted]) -> Shared:
    """Share out what numbers limit, so that as little as can be is left, and that with the least loss.

    Every way to share is looked at, but for piles of like pieces, which are dealt one by one. At first all keep to the
    bags that the journey names; only where something is left then, the rest is looked at. Of ways that leave equally
    many, one that leaves every rig fed is better, then one that takes what the journey names a bag for, then the one
    with more energy, with the milder answer, and with the evener shares.
    """
    takes: dict[str, Mapping[str, int]] = {}
    over: dict[str, int] = {}
    spread: list[str] = []
    for group in _groups(flights, counted):
        table = _Table(flights, group)
        ids = [one.article.part for one in group]
        named, left = table.best(wide=False)
        if any(left):
            other, less = table.best(wide=True)
            if sum(less) < sum(left):
                named, left = other, less
        for index, id_ in enumerate(ids):
            takes[id_] = {who: hand[index] for who, hand in sorted(named.items()) if hand[index]}
            over |= {id_: left[index]} if left[index] else {}
            if set(takes[id_]) - set(group[index].places):
                spread.append(id_)
    return Shared(takes, over, tuple(sorted(spread)))


def _groups(flights: Flights, counted: Sequence[Counted]) -> Iterator[list[Counted]]:
    """Yield what some number limits if one person takes all of it; apart what no number counts together."""
    some = [one for one in counted if one.wider]
    if not some:
        return
    answers = flights.answers([replace(one.article, count=one.count, into=(_any(one),)) for one in some])
    pools: list[tuple[set[str], list[Counted]]] = []
    for one, answer in zip(some, answers, strict=True):
        rules = {ruling.rule for placed in answer.places.values() for ruling in placed.all if ruling.over}
        names = {f"{rule.authority} {rule.by} {rule.body.pool or rule.id}" for rule in rules}
        if not names:
            continue
        joined = [pool for pool in pools if pool[0] & names]
        pools = [pool for pool in pools if not pool[0] & names]
        members = [*(member for pool in joined for member in pool[1]), one]
        pools.append((names.union(*(pool[0] for pool in joined)), members))
    for _, members in pools:
        yield sorted(members, key=lambda one: one.article.part)


def _any(one: Counted) -> Stowage:
    return one.wider[min(one.wider)]


class _Table:
    """What each traveller may take of some articles that count together."""

    def __init__(self, flights: Flights, group: Sequence[Counted]) -> None:
        self.flights = flights
        self.group = group
        self.people = sorted({who for one in group for who in one.wider})
        self._words: dict[tuple[_Handful, tuple[Stowage, ...]], FlightWord] = {}

    def best(self, *, wide: bool) -> tuple[dict[str, _Handful], _Handful]:
        """Return what each takes and what is left, in the order of the group; ``wide`` looks beyond the named bags."""
        if prod(one.count + 1 for one in self.group) > MOST_WAYS:
            return self._dealt(wide=wide)
        costs: dict[_Handful, _Cost] = {tuple(one.count for one in self.group): (0, 0, 0, ())}
        for who in self.people:
            hands = list(self._hands(who, wide=wide))
            then: dict[_Handful, _Cost] = {}
            for rest, (away, strict, uneven, taken) in costs.items():
                for hand, far, word in hands:
                    less = tuple(have - takes for have, takes in zip(rest, hand, strict=True))
                    if min(less) < 0:
                        continue
                    squares = sum(hand) ** 2 + sum(number**2 for number in hand)
                    cost = (away + far, max(strict, word), uneven + squares, (*taken, hand))
                    if less not in then or cost < then[less]:
                        then[less] = cost
            costs = then
        left = min(costs, key=lambda rest: (self._loss(rest), costs[rest]))
        return dict(zip(self.people, costs[left][3], strict=True)), left

    def _loss(self, left: _Handful) -> tuple[int, int, int, float]:
        """Return how bad it is to leave some: how many, sources of which none goes, named ones, and their Wh."""
        pairs = list(zip(self.group, left, strict=True))
        return (
            sum(left),
            sum(one.feeds and number == one.count for one, number in pairs),
            sum(number for one, number in pairs if one.pinned),
            sum(number * float(one.article.energy.most or 0) for one, number in pairs),
        )

    def _hands(self, who: str, *, wide: bool) -> Iterator[tuple[_Handful, int, int]]:
        """Yield all that one person may take, how many of it in other bags than named, and how strict the answer is."""
        for hand in product(*(range(one.count + 1 if self._may(one, who, wide=wide) else 1) for one in self.group)):
            word = self._word(who, hand)
            if word != "stays home":
                far = sum(number for one, number in zip(self.group, hand, strict=True) if who not in one.places)
                yield hand, far, STRICTNESS[word]

    @staticmethod
    def _may(one: Counted, who: str, *, wide: bool) -> bool:
        return who in (one.wider if wide else one.places)

    def _word(self, who: str, hand: _Handful) -> FlightWord:
        """Return the strictest answer for what one person takes."""
        places = tuple(one.places.get(who) or one.wider.get(who, "cabin") for one in self.group)
        if (hand, places) not in self._words:
            party = [
                replace(one.article, count=number, into=(place,))
                for one, number, place in zip(self.group, hand, places, strict=True)
                if number
            ]
            answers = self.flights.answers(party)
            self._words[hand, places] = strictest("may fly", *(one.at(one.article.into[0]) for one in answers))
        return self._words[hand, places]

    def _dealt(self, *, wide: bool) -> tuple[dict[str, _Handful], _Handful]:
        """Deal piece by piece, the dearest first, each to whom it costs least."""
        held = {who: Counter[int]() for who in self.people}
        left: Counter[int] = Counter()
        kinds = range(len(self.group))
        dearest = sorted(kinds, key=lambda kind: self._worth(self.group[kind]), reverse=True)
        for kind in [same for same in dearest for _ in range(self.group[same].count)]:
            found = []
            for who in self.people:
                hand = tuple(held[who][other] + (other == kind) for other in kinds)
                if self._may(self.group[kind], who, wide=wide) and (word := self._word(who, hand)) != "stays home":
                    found.append((who not in self.group[kind].places, STRICTNESS[word], sum(hand), who))
            if found:
                held[min(found)[3]][kind] += 1
            else:
                left[kind] += 1
        return {who: tuple(held[who][kind] for kind in kinds) for who in self.people}, tuple(left[k] for k in kinds)

    @staticmethod
    def _worth(one: Counted) -> tuple[bool, bool, float]:
        return one.feeds, one.pinned, float(one.article.energy.most or 0)
