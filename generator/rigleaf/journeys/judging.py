"""What the rules say of everything as it is stowed: each traveller by themselves, each bag as it is packed."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from rigleaf.catalogue.models.flight_fields import FlightWord
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.trip import Spot
from rigleaf.chapters.what_it_weighs.physics import Load, MassSum, sum_masses
from rigleaf.journeys.flights import Flights, stowage
from rigleaf.journeys.stowing import Piece, Stowed
from rigleaf.quantities import Reading
from rigleaf.rules.answers import Answer
from rigleaf.rules.articles import Article, articles_of
from rigleaf.rules.rulings import strictest


@dataclass(frozen=True)
class Ruled:
    """One answer: the article, where it is (bag number, or None outside all bags), with whom, and what is said of it.

    ``part`` is None for everything that no rule speaks of, taken together.
    """

    part: Part | None
    article: Article
    bag: int | None
    spot: Spot
    traveller: str
    answer: Answer

    @property
    def word(self) -> FlightWord:
        """The word where it is."""
        return self.answer.at(self.article.into[0])


@dataclass(frozen=True)
class Judged:
    """Everything that flies with its answers."""

    stowed: Stowed
    ruled: tuple[Ruled, ...]

    @cached_property
    def rest(self) -> FlightWord:
        """The strictest word for what goes along, whatever is left."""
        return strictest("may fly", *(one.word for one in self.ruled))

    @property
    def word(self) -> FlightWord:
        """The strictest word for the journey as planned: what is left stays home."""
        return "stays home" if self.stowed.left else self.rest

    def of(self, traveller: str) -> FlightWord:
        """Return the strictest word for what one traveller takes."""
        return strictest("may fly", *(one.word for one in self.ruled if one.traveller == traveller))


def judge(stowed: Stowed, flights: Flights) -> Judged:
    """Return the answers for everything that is stowed and flies."""
    found: list[Ruled] = []
    for who in stowed.plan.people:
        mine = list(_articles(stowed, who))
        answers = flights.answers([one[1] for one in mine])
        found += [
            Ruled(part, article, bag, spot, who, answer)
            for (part, article, bag, spot), answer in zip(mine, answers, strict=True)
        ]
    return Judged(stowed, tuple(found))


_Mine = tuple[Part | None, Article, int | None, Spot]


def _articles(stowed: Stowed, who: str) -> Iterator[_Mine]:
    """Yield the articles of one traveller with part, bag and spot."""
    plan = stowed.plan
    plain: dict[tuple[int | None, Spot], int] = {}
    for piece in stowed.pieces:
        if piece.traveller != who:
            continue
        spot = spot_of(stowed, piece)
        for article in plan.articles[piece.part.id]:
            place = stowage(spot, article)
            if place is None:
                continue
            if article.sort == "other":
                plain[piece.bag, spot] = plain.get((piece.bag, spot), 0) + piece.count
            else:
                yield piece.part, replace(article, count=piece.count, into=(place,)), piece.bag, spot
    for (number, spot), count in plain.items():
        place = stowage(spot)
        assert place is not None  # noqa: S101 - only what flies was gathered
        yield None, Article("Everything else", "other", count, into=(place,)), number, spot
    for number, bag in enumerate(plan.bags):
        if bag.traveller == who and bag.place is not None:
            mass = mass_of(stowed, number)
            packed = Reading(round(mass.total, 6), "mass", "computed") if mass.complete else None
            for article in articles_of(bag.bag.part, packed_mass=packed):
                yield bag.bag.part, replace(article, name=_named(article, bag.bag.name)), number, bag.spot


def _named(article: Article, name: str) -> str:
    return name if article.sort == "bag" else article.name


def spot_of(stowed: Stowed, piece: Piece) -> Spot:
    """Return where a piece goes."""
    if piece.bag is None:
        worn = piece.part.id in stowed.plan.cargo.worn
        return "on the person" if worn else stowed.plan.outside
    return stowed.plan.bags[piece.bag].spot


def mass_of(stowed: Stowed, number: int) -> MassSum:
    """Return the mass of a bag with all that is in it, in kg."""
    inside = [piece for piece in stowed.pieces if piece.bag == number]
    return sum_masses([_load(stowed.plan.bags[number].bag.part, 1), *(_load(p.part, p.count) for p in inside)])


def mass_with(stowed: Stowed, who: str) -> MassSum:
    """Return the mass of all that one traveller takes along, in kg; not what is sent ahead, or waits in the car."""
    plan = stowed.plan
    apart = ("sent ahead",) if plan.flights is None else ("sent ahead", "car")
    mine = [
        piece
        for piece in stowed.pieces
        if piece.traveller == who and spot_of(stowed, piece) not in apart
    ]  # fmt: skip
    bags = [bag.bag.part for bag in plan.bags if bag.traveller == who and bag.spot not in apart]
    return sum_masses([*(_load(part, 1) for part in bags), *(_load(p.part, p.count) for p in mine)])


def _load(part: Part, count: int) -> Load:
    if part.mass is None:
        return Load(None, count=count)
    return Load(part.mass.value, part.mass.basis, part.mass.uncertainty, count)
