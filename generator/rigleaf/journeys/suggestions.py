"""What to think of before a journey: computed from what was found, each in a sentence."""

from collections import Counter
from collections.abc import Iterator, Sequence

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.power import Battery, MainsSupply
from rigleaf.catalogue.models.trip import Trip
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.figures import Finding
from rigleaf.journeys.flights import Flights
from rigleaf.journeys.headline import unsaid_of_legs
from rigleaf.journeys.judging import Judged
from rigleaf.journeys.stowing import Stowed
from rigleaf.journeys.words import IN_SPOT, named, names, short_name
from rigleaf.packing.handling import is_fragile
from rigleaf.rules.articles import LOOSE

LEAST_VOLTS, MOST_VOLTS = 12.0, 14.4
"""Volts at which supplies feed what runs from a battery of four LiFePO4 cells or a car's."""


def suggestions(
    catalogue: Catalogue, trip: Trip, stowed: Stowed, judged: Judged | None, flights: Flights | None,
    nights: Sequence[Finding],
) -> Iterator[str]:  # fmt: skip
    """Yield what to think of; ``nights`` are the findings on the nights."""
    yield from unsaid_of_legs(flights)
    yield from _moved(stowed)
    yield from _crowded(stowed)
    yield from _spread(stowed)
    if judged is not None:
        yield from _gate(judged)
        yield from _glass_in_the_hold(stowed)
    yield from _left_behind(catalogue, trip)
    yield from _left(trip, stowed)
    yield from _mains(catalogue, trip, nights)


def _moved(stowed: Stowed) -> Iterator[str]:
    for id_ in stowed.moved:
        where = [piece for piece in stowed.pieces if piece.part.id == id_]
        if where:
            bag = where[0].bag
            place = "in a pocket" if bag is None else f"in {stowed.plan.bags[bag].bag.name}"
            yield f"{where[0].part.name} may not fly in the bag that the journey names, so it goes {place}."


def _crowded(stowed: Stowed) -> Iterator[str]:
    """Say what did not go where the journey says, only because that bag is full or at its limit."""
    for id_ in stowed.crowded:
        wanted = {bag.key for bag in stowed.plan.bags if id_ in bag.bag.holds}
        there = [
            stowed.plan.bags[piece.bag].bag.name
            for piece in stowed.pieces
            if piece.part.id == id_ and piece.bag is not None and stowed.plan.bags[piece.bag].key not in wanted
        ]
        if there:
            name = next(piece.part.name for piece in stowed.pieces if piece.part.id == id_)
            yield f"{name} goes in {listed(there)}, as the bag that the journey names is full or at its limit."


def _spread(stowed: Stowed) -> Iterator[str]:
    """Say what somebody else takes, as one person may not take it all."""
    for id_ in stowed.spread:
        there = [
            (piece.part.name, piece.count, "a pocket" if piece.bag is None else stowed.plan.bags[piece.bag].bag.name)
            for piece in stowed.pieces
            if piece.part.id == id_ and (piece.bag is None or id_ not in stowed.plan.bags[piece.bag].bag.holds)
        ]
        for name, count, where in there:
            verb = "goes" if count == 1 else "go"
            yield (
                f"{named(name, count)} {verb} in {where}, as one person may not take all in the bag that the journey "
                "names."
            )


def _mains(catalogue: Catalogue, trip: Trip, nights: Sequence[Finding]) -> Iterator[str]:
    """Name what would feed a rig from mains where its batteries do not last and mains is always on."""
    place = catalogue.places.get(trip.place or "")
    short = any(one.id.startswith("power-") and one.verdict == "fails" for one in nights)
    if place is None or place.mains is None or place.mains.hours is not None or not short:
        return
    owned = [
        part
        for part in catalogue.parts.values()
        if isinstance(part, MainsSupply)
        and part.owned
        and part.output_voltage is not None
        and LEAST_VOLTS <= part.output_voltage.value <= MOST_VOLTS
    ]
    if owned:
        part = min(owned, key=lambda one: (-(one.current_limit.value if one.current_limit else 0.0), one.id))
        yield (
            f"{short_name(place.name)} has mains all night: {part.name} of the club would last where the batteries do "
            "not. Mains equipment stays out of dew and rain, behind a residual-current device."
        )


def _gate(judged: Judged) -> Iterator[str]:
    """Say what must come out of a cabin bag that is taken at the gate."""
    out: Counter[str] = Counter()
    for one in judged.ruled:
        loose = one.article.sort in LOOSE and one.article.cells == "lithium-ion"
        if loose and one.bag is not None and one.spot == "cabin" and one.answer.at("gate") == "stays home":
            out[one.article.name] += one.article.count
    if out:
        yield (
            f"When a cabin bag is taken at the gate, {names(sorted(out.items()))} must come out of it first: keep "
            "loose batteries in one pouch at the top."
        )


def _glass_in_the_hold(stowed: Stowed) -> Iterator[str]:
    glass = [
        (piece.part.name, piece.count)
        for piece in stowed.pieces
        if piece.bag is not None and stowed.plan.bags[piece.bag].spot == "hold" and is_fragile(piece.part)
    ]
    if glass:
        verb = "goes" if len(glass) == 1 and glass[0][1] == 1 else "go"
        yield (
            f"{names(glass)} {verb} {IN_SPOT['hold']}, as the bags for the cabin are full or at their limit: pad well, "
            "or name it under 'holds' of a cabin bag, so that something else makes room."
        )


def _left_behind(catalogue: Catalogue, trip: Trip) -> Iterator[str]:
    """Say what of the rigs stays at home by the journey's own word."""
    parts = [catalogue.parts[id_] for id_ in sorted(set(trip.without))]
    fed = [
        part.name
        for part in parts
        if isinstance(part, Battery)
        and any(feed.source == part.id for id_ in trip.rigs for feed in catalogue.rigs[id_].feeds)
    ]
    if fed:
        verb = "stays" if len(fed) == 1 else "stay"
        yield f"{listed(fed)} {verb} at home, and the rigs are fed from it: find another source there."
    others = [part.name for part in parts if part.name not in fed]
    if others:
        verb = "stays" if len(others) == 1 else "stay"
        yield f"{listed(others)} {verb} at home, as the journey says: see whether you find or need it there."


def _left(trip: Trip, stowed: Stowed) -> Iterator[str]:
    if stowed.left:
        things = listed([named(one.part.name, one.count) for one in stowed.left])
        where = " What is found there is listed." if trip.found_there else ""
        yield f"Look whether you can rent or borrow {things} at the place.{where}"
