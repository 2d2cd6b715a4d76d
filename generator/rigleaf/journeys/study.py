"""The study of a journey: everything that its page shows, from the catalogue alone."""

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.trip import Trip
from rigleaf.journeys import listing
from rigleaf.journeys.asking import asks
from rigleaf.journeys.bags import bags_of
from rigleaf.journeys.cargo import cargo_of
from rigleaf.journeys.changes import changes, no_other_day
from rigleaf.journeys.choosing import Plan
from rigleaf.journeys.doubt import battery_in_doubt, doubt, left_in_doubt
from rigleaf.journeys.flights import flights_of
from rigleaf.journeys.ground import ground
from rigleaf.journeys.headline import headline, legs
from rigleaf.journeys.mains import mains_at
from rigleaf.journeys.nights import judge_nights, nights_there, short_of_power
from rigleaf.journeys.result import TripStudy
from rigleaf.journeys.suggestions import suggestions
from rigleaf.journeys.trials import tried
from rigleaf.journeys.ways_out import ways_out

NOBODY = ("", "the traveller")
"""Id and name of who travels where nobody is described."""


def study_trip(catalogue: Catalogue, trip: Trip) -> TripStudy:
    """Study one journey; the same catalogue always gives the same study."""
    called = {one.id: one.called for one in trip.travellers} or dict([NOBODY])
    flights = flights_of(catalogue, trip)
    drives = flights is None and any(leg.by == "car" for leg in trip.legs)
    plan = Plan(
        catalogue.guide,
        tuple(called),
        cargo_of(catalogue, trip),
        bags_of(catalogue, trip),
        flights,
        "car" if drives else "on the person",
    )
    first = tried(plan)
    stowed, judged = first.stowed, first.judged
    doubted, keys = doubt(first), tuple(bag.key for bag in plan.bags)
    people = tuple(listing.travellers(stowed, judged, called))
    bags = tuple(listing.bags(stowed, judged))
    loads = tuple(ground(trip, stowed, people, bags))
    left = [one.part.id for one in stowed.left]
    nights = nights_there(catalogue, trip)
    found = tuple(judge_nights(catalogue, trip, nights, left))
    changed = tuple(changes(catalogue, judged, flights)) if judged is not None and flights is not None else ()
    place = catalogue.places.get(trip.place or "")
    return TripStudy(
        id=trip.id,
        name=trip.name,
        summary=trip.summary or "",
        notes=trip.notes or "",
        place=trip.place or "",
        place_name=place.name if place is not None else "",
        headline=headline(stowed, judged, flights, loads, short_of_power(catalogue, trip, nights, left)),
        legs=tuple(legs(catalogue, trip, judged, flights)),
        travellers=people,
        items=tuple(listing.items(stowed)),
        bags=bags,
        batteries=tuple(battery_in_doubt(one, doubted, keys) for one in listing.batteries(stowed, judged)),
        articles=tuple(listing.articles(stowed, judged)),
        left=tuple(left_in_doubt(listing.left_over(stowed, one), doubted) for one in stowed.left),
        ways_out=ways_out(catalogue, trip, called, first, nights),
        asks=tuple(asks(catalogue, trip, judged, flights)) if judged is not None and flights is not None else (),
        changes=changed,
        same_on_other_days=no_other_day(changed, flights) if flights is not None else "",
        ground=loads,
        nights=nights,
        nights_findings=found,
        mains=mains_at(catalogue.guide, place, plan.cargo),
        found_there=trip.found_there,
        suggestions=tuple(suggestions(catalogue, trip, stowed, judged, flights, found)),
    )
