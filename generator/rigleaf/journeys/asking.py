"""Whom to ask before the journey, about what, and a letter to send."""

from collections.abc import Iterator, Sequence

from rigleaf.catalogue.catalogue import Catalogue
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
    """Yield one entry for each carrier, or airport's state, that must be asked about something."""
    by_carrier: dict[str, list[int]] = {}
    for index, number in enumerate(flights.numbers):
        by_carrier.setdefault(trip.legs[number - 1].carrier or "", []).append(index)
    for id_, indices in by_carrier.items():
        asked: dict[tuple[str, int | None, str], Ruled] = {}
        for index in indices:
            alone = judge(judged.stowed, flights.only(index))
            for one in alone.ruled:
                if one.word == "ask first":
                    asked.setdefault((one.article.part, one.bag, one.traveller), one)
        if asked:
            carrier = catalogue.carriers.get(id_)
            numbers = tuple(flights.numbers[index] for index in indices)
            found = tuple(asked.values())
            yield Ask(
                carrier=id_,
                carrier_name=carrier.name if carrier is not None else "the carrier",
                legs=numbers,
                what=tuple(dict.fromkeys(one.answer.sentence for one in found)),
                how=(carrier.ask or "") if carrier is not None else "",
                letter=_letter(
                    carrier.name if carrier is not None else "the carrier",
                    [trip.legs[number - 1] for number in numbers],
                    found,
                ),
            )


def _letter(carrier: str, legs: Sequence[TripLeg], asked: Sequence[Ruled]) -> str:
    """Return a plain text to send about batteries, with blanks; empty where none is asked about."""
    batteries = [one for one in asked if one.article.sort in BATTERIES]
    if not batteries:
        return ""
    lines = [
        f"To: {upper_first(carrier)}",
        "Subject: approval of batteries",
        "",
        "Good day,",
        "",
        "we ask for your approval to carry the following batteries as passengers:",
        "",
        *(f"  - {_line(one)}" for one in batteries),
        "",
        "on these flights:",
        "",
        *(f"  - {day(leg.date)}, from {leg.leaves} to {leg.arrives}, flight number ________" for leg in legs),
        "",
        "Booking reference: ________",
        "Passengers: ________________________",
        "Maker and model of the batteries, as on their labels: ________________________",
        "",
        f"They are for our own use and run astronomical instruments. They travel {_places(batteries)}, each one with",
        "its contacts covered or in a bag of its own, and are neither charged nor used on board.",
        "",
        "Please confirm in writing that they may be carried, and with which conditions. We will have your answer",
        "with us.",
        "",
        "Name and telephone: ________________________",
    ]
    return "\n".join(lines) + "\n"


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
