"""Whom to ask before the journey, about what, and a letter to send."""

from collections.abc import Iterator, Mapping, Sequence

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.flight_fields import ArticleSort
from rigleaf.catalogue.models.power import Battery
from rigleaf.catalogue.models.trip import Leg as TripLeg
from rigleaf.catalogue.models.trip import Trip
from rigleaf.chapters.at_the_airport.words import day
from rigleaf.journeys.flights import Flights
from rigleaf.journeys.judging import Judged, Ruled, judge
from rigleaf.journeys.listing import energy_text
from rigleaf.journeys.result import Ask
from rigleaf.journeys.words import IN_SPOT, upper_first
from rigleaf.rules.articles import BATTERIES

AGREED: frozenset[ArticleSort] = BATTERIES | {"bag", "bought seat", "gas cartridge"}
"""What carriers agree to; of all else the officer at the checkpoint decides."""
CHECKPOINT = (
    "Write to the airport before you fly, or put it into the hold: the officer at the checkpoint has the last word."
)
QUESTION: tuple[str, ...] = (
    "They have outlets for 12 V plugs only and feed nothing but our own instruments. Please tell us, too, whether you",
    "count them as power banks, as we do here, or as spare batteries.",
    "",
)
"""Lines of a letter about batteries of which the class is in doubt."""

_CHEMISTRY = {
    "lithium-ion": "lithium-ion",
    "lithium-polymer": "lithium-ion (polymer)",
    "lifepo4": "lithium-ion (lithium iron phosphate, LiFePO4)",
    "lithium-metal": "lithium metal",
    "sealed lead-acid": "lead-acid, sealed",
    "nimh": "nickel-metal hydride",
    "alkaline": "alkaline",
}
_STATE = {
    "installed battery": "installed in equipment",
    "spare battery": "loose, a spare",
    "power bank": "loose, with outlets (a power bank)",
    "removable bag battery": "built into a bag, removable",
    "fixed bag battery": "built into a bag, not removable",
}


def asks(catalogue: Catalogue, trip: Trip, judged: Judged, flights: Flights) -> Iterator[Ask]:
    """Yield one entry for each carrier that must agree to something, and one for the checkpoints of the airports."""
    by_carrier: dict[str, list[int]] = {}
    at_checkpoints: dict[tuple[str, int | None, str], Ruled] = {}
    legs_of_checkpoints: list[int] = []
    for index, number in enumerate(flights.numbers):
        by_carrier.setdefault(trip.legs[number - 1].carrier or "", []).append(index)
    for id_, indices in by_carrier.items():
        asked: dict[tuple[str, int | None, str], Ruled] = {}
        numbers: list[int] = []
        for index in indices:
            alone = [one for one in judge(judged.stowed, flights.only(index)).ruled if one.word == "ask first"]
            for one in alone:
                found = asked if one.article.sort in AGREED else at_checkpoints
                found.setdefault((one.article.part, one.bag, one.traveller), one)
            if any(one.article.sort in AGREED for one in alone):
                numbers.append(flights.numbers[index])
            if any(one.article.sort not in AGREED for one in alone):
                legs_of_checkpoints.append(flights.numbers[index])
        if asked:
            carrier = catalogue.carriers.get(id_)
            name = carrier.name if carrier is not None else "the carrier"
            legs = [trip.legs[number - 1] for number in numbers]
            how = (carrier.ask or "") if carrier is not None else ""
            yield Ask(id_, name, tuple(numbers), _what(asked), how, _letter(name, legs, tuple(asked.values())))
    if at_checkpoints:
        yield Ask("", "the checkpoint", tuple(sorted(legs_of_checkpoints)), _what(at_checkpoints), CHECKPOINT, "")


def _what(asked: Mapping[tuple[str, int | None, str], Ruled]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.answer.sentence for one in asked.values()))


def _letter(carrier: str, legs: Sequence[TripLeg], asked: Sequence[Ruled]) -> str:
    """Return a plain text to send about batteries, with blanks; empty where none is asked about."""
    batteries = [one for one in asked if one.article.sort in BATTERIES]
    if not batteries:
        return ""
    people = list(dict.fromkeys(one.traveller for one in batteries))
    blanks = ["Passenger: ________________________"]
    if len(people) > 1:
        blanks = [f"Passenger {number}: ________________________" for number in range(1, len(people) + 1)]
    lines = [
        f"To: {upper_first(carrier)}",
        "Subject: approval of batteries",
        "",
        "Good day,",
        "",
        "we ask for your approval to carry the following batteries as passengers:",
        "",
        *(f"  - {_line(one)}{_carried(one, people)}" for one in batteries),
        "",
        "on these flights:",
        "",
        *(f"  - {day(leg.date)}, from {leg.leaves} to {leg.arrives}, flight number ________" for leg in legs),
        "",
        "Booking reference: ________",
        *blanks,
        "Maker and model of the batteries, as on their labels: ________________________",
        "",
        f"They are for our own use and run astronomical instruments. They travel {_places(batteries)}, each one with",
        "its contacts covered or in a bag of its own, and are neither charged nor used on board.",
        "",
        *(QUESTION if any(one.article.or_else for one in batteries) else ()),
        "Please confirm in writing that they may be carried, and with which conditions. We will have your answer",
        "with us.",
        "",
        "Name and telephone: ________________________",
    ]
    return "\n".join(lines) + "\n"


def _carried(one: Ruled, people: Sequence[str]) -> str:
    return f", with passenger {people.index(one.traveller) + 1}" if len(people) > 1 else ""


def _places(batteries: Sequence[Ruled]) -> str:
    spots = {IN_SPOT[one.spot] for one in batteries}
    return "in the cabin, never in the hold" if IN_SPOT["hold"] not in spots else " and ".join(sorted(spots))


def _line(one: Ruled) -> str:
    chemistry = one.part.chemistry if isinstance(one.part, Battery) else "lithium-ion"
    state = _STATE[one.article.sort]
    words = _CHEMISTRY.get(chemistry or "", "chemistry ________")
    total = "1 battery" if one.article.count == 1 else f"{one.article.count} batteries"
    each = " each" if one.article.count > 1 else ""
    return f"{total} of {energy_text(one.article)}{each}, {words}, {state}"
