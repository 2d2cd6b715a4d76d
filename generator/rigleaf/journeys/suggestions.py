"""What to think of before a journey: computed from what was found, each in a sentence."""

from collections import Counter
from collections.abc import Iterator

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.power import Battery
from rigleaf.catalogue.models.trip import Trip
from rigleaf.chapters.in_the_bag.words import listed
from rigleaf.journeys.flights import Flights
from rigleaf.journeys.headline import unsaid_of_legs
from rigleaf.journeys.judging import Judged
from rigleaf.journeys.stowing import Stowed
from rigleaf.journeys.words import IN_SPOT, named, names
from rigleaf.packing.handling import is_fragile
from rigleaf.rules.articles import LOOSE


def suggestions(
    catalogue: Catalogue, trip: Trip, stowed: Stowed, judged: Judged | None, flights: Flights | None
) -> Iterator[str]:
    """Yield what to think of."""
    yield from unsaid_of_legs(trip, flights)
    yield from _moved(stowed)
    if judged is not None:
        yield from _gate(stowed, judged)
        yield from _glass_in_the_hold(stowed)
    yield from _left_behind(catalogue, trip)
    yield from _left(trip, stowed)


def _moved(stowed: Stowed) -> Iterator[str]:
    for id_ in stowed.moved:
        where = [piece for piece in stowed.pieces if piece.part.id == id_]
        if where:
            bag = where[0].bag
            place = "in a pocket" if bag is None else f"in {stowed.plan.bags[bag].bag.name}"
            yield f"{where[0].part.name} may not fly in the bag that the journey names, so it goes {place}."


def _gate(stowed: Stowed, judged: Judged) -> Iterator[str]:
    """Say what must come out of a cabin bag that is taken at the gate."""
    out: Counter[str] = Counter()
    for one in judged.ruled:
        loose = one.article.sort in LOOSE and one.article.cells == "lithium-ion"
        if loose and one.bag is not None and one.spot == "cabin" and one.answer.at("gate") == "stays home":
            out[one.article.name] += one.article.count
    if out:
        yield (
            f"When a cabin bag is taken at the gate, {names(sorted(out.items()))} must come out of it first: keep loose "
            "batteries in one pouch at the top."
        )


def _glass_in_the_hold(stowed: Stowed) -> Iterator[str]:
    glass = [
        (piece.part.name, piece.count)
        for piece in stowed.pieces
        if piece.bag is not None and stowed.plan.bags[piece.bag].spot == "hold" and is_fragile(piece.part)
    ]
    if glass:
        verb = "goes" if len(glass) == 1 and glass[0][1] == 1 else "go"
        yield f"{names(glass)} {verb} {IN_SPOT['hold']}, as the cabin has no room left: pad well, and name it under 'holds' of a cabin bag if another thing can make room."


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
        yield f"{listed(fed)} {'stays' if len(fed) == 1 else 'stay'} at home, and the rigs are fed from it: find another source there."
    others = [part.name for part in parts if part.name not in fed]
    if others:
        yield f"{listed(others)} {'stays' if len(others) == 1 else 'stay'} at home, as the journey says: see whether you find or need it there."


def _left(trip: Trip, stowed: Stowed) -> Iterator[str]:
    if stowed.left:
        things = listed([named(one.part.name, one.count) for one in stowed.left])
        where = " What is found there is listed." if trip.found_there else ""
        yield f"Look whether you can rent or borrow {things} at the place.{where}"
