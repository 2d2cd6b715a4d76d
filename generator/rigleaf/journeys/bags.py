"""The bags of a journey: whose each is, where it goes, and what it must hold."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.carrying import Bag
from rigleaf.catalogue.models.flight_fields import Stowage
from rigleaf.catalogue.models.trip import Spot, Trip
from rigleaf.chapters.in_the_bag.kit import RigBag
from rigleaf.journeys.flights import stowage

SPOTS: tuple[Spot, ...] = ("cabin", "hold", "on the person", "car", "sent ahead")
USUAL_CABIN = (560.0, 450.0, 250.0)
"""Sides in mm of a bag that is taken for one of the cabin where nobody says where it goes: what the trade's association
calls usual."""


@dataclass(frozen=True)
class TravelBag:
    """One bag: as packed, whose it is, where it goes."""

    bag: RigBag
    traveller: str
    spot: Spot

    @property
    def key(self) -> str:
        """Unique in the journey."""
        return self.bag.key

    @property
    def place(self) -> Stowage | None:
        """Where rules of flight see it; None where no flight takes it."""
        return stowage(self.spot)

    def going(self, spot: Spot) -> "TravelBag":
        """Return the same bag at another spot."""
        return TravelBag(replace(self.bag, part=_bound(self.bag.part, spot)), self.traveller, spot)


@dataclass(frozen=True)
class _Wanted:
    part: str
    traveller: str
    spot: Spot
    holds: tuple[str, ...]


def bags_of(catalogue: Catalogue, trip: Trip) -> tuple[TravelBag, ...]:
    """Return the bags of a journey in an order that the YAML's does not change."""
    flies = any(leg.by == "plane" for leg in trip.legs)
    drives = any(leg.by == "car" for leg in trip.legs)
    wanted = sorted(
        _wanted(catalogue, trip, flies, drives),
        key=lambda one: (SPOTS.index(one.spot), one.traveller, one.part, one.holds),
    )
    total = Counter(one.part for one in wanted)
    seen: Counter[str] = Counter()
    found = []
    for one in wanted:
        part = catalogue.parts[one.part]
        if not isinstance(part, Bag):
            continue
        seen[one.part] += 1
        number = seen[one.part]
        key = part.id if number == 1 else f"{part.id}-{number}"
        name = part.name if total[one.part] == 1 else f"{part.name}, no. {number}"
        bag = RigBag(key, name, _bound(part, one.spot), frozenset(one.holds))
        found.append(TravelBag(bag, one.traveller, one.spot))
    return tuple(found)


def spot_of(part: Bag, *, flies: bool, drives: bool) -> Spot:
    """Return where a bag goes where the journey does not say it."""
    if not flies:
        return "car" if drives else "on the person"
    if part.goes_in in ("cabin", "hold"):
        return part.goes_in
    size = part.outer or part.packed
    small = size is not None and all(
        side <= most for side, most in zip(sorted(size, reverse=True), USUAL_CABIN, strict=True)
    )  # fmt: skip
    # What usually goes by car is too bulky or not closed well enough for the cabin, or the club would say so.
    return "cabin" if small and part.goes_in is None else "hold"


def _wanted(catalogue: Catalogue, trip: Trip, flies: bool, drives: bool) -> Iterator[_Wanted]:
    staying = set(trip.without)
    if trip.bags:
        for bag in trip.bags:
            part = catalogue.parts[bag.bag]
            if isinstance(part, Bag):
                spot = bag.goes or spot_of(part, flies=flies, drives=drives)
                yield _Wanted(bag.bag, bag.traveller, spot, tuple(sorted(set(bag.holds) - staying)))
        return
    first = trip.travellers[0].id if trip.travellers else ""
    for id_ in sorted(set(trip.rigs)):
        for use in catalogue.rigs[id_].bags:
            part = catalogue.parts[use.part]
            if isinstance(part, Bag) and use.part not in staying:
                spot = spot_of(part, flies=flies, drives=drives)
                holds = tuple(sorted(set(use.holds) - staying))
                yield from [_Wanted(use.part, first, spot, holds)] * use.count


def _bound(part: Bag, spot: Spot) -> Bag:
    """Return a bag as if it usually went where it goes now, so that packing and rules see it there."""
    return part.model_copy(update={"goes_in": spot if spot in ("cabin", "hold", "car") else None})
