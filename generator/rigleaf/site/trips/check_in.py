"""The sheet for the check-in desk: a traveller's bags and batteries on one side of paper, with room for the names."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.at_the_airport.words import day
from rigleaf.journeys.result import BagStudy, BatteryStudy, RuleNote, TravellerStudy, TripStudy
from rigleaf.journeys.words import IN_SPOT
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.trips.words import ADVICE, FLIES, cautions_of, chemistry, energy
from rigleaf.site.typeset.addresses import RULES_ADDRESS, TRIPS_ADDRESS, Addresses, check_in_address, trip_address
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

MOST_ROWS = 20
"""Bags, batteries, flights and rules that one side of A4 or Letter surely holds; of a larger party each gets a side."""


@dataclass(frozen=True, slots=True)
class Carried:
    """One traveller's bags and batteries."""

    who: TravellerStudy
    bags: tuple[BagStudy, ...]
    batteries: tuple[BatteryStudy, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One side of paper: some travellers, and the rules behind their answers, which the rows count from 1."""

    people: tuple[Carried, ...]
    rules: tuple[RuleNote, ...]

    def numbers(self, battery: BatteryStudy) -> str:
        """Return under which numbers the rules of a battery stand at the foot, that behind its answer first."""
        return ", ".join(str(self.rules.index(rule) + 1) for rule in _rules_of(battery))


def passes_a_desk(study: TripStudy) -> bool:
    """Whether any leg flies."""
    return any(leg.by == "plane" for leg in study.legs)


def sheets_of(study: TripStudy) -> tuple[Sheet, ...]:
    """Return one sheet for all travellers where it holds them, else one for each."""
    people = tuple(_carried(study, who) for who in study.travellers)
    whole = _sheet(people)
    flights = sum(leg.by == "plane" for leg in study.legs)
    rows = flights + len(whole.rules) + sum(2 + len(one.bags) + len(one.batteries) for one in people)
    return (whole,) if rows <= MOST_ROWS or len(people) == 1 else tuple(_sheet((one,)) for one in people)


def _carried(study: TripStudy, who: TravellerStudy) -> Carried:
    return Carried(
        who,
        tuple(bag for bag in study.bags if bag.traveller == who.id and bag.spot in FLIES),
        tuple(one for one in study.batteries if one.traveller == who.id and one.spot in FLIES),
    )


def _sheet(people: Sequence[Carried]) -> Sheet:
    return Sheet(tuple(people), tuple(dict.fromkeys(_rules(people))))


def _rules(people: Sequence[Carried]) -> Iterable[RuleNote]:
    for one in people:
        for battery in one.batteries:
            yield from _rules_of(battery)


def _rules_of(battery: BatteryStudy) -> tuple[RuleNote, ...]:
    """Return the rule behind the answer, and what carriers ask besides: the desk is a carrier's."""
    return (*((battery.rule,) if battery.rule is not None else ()), *battery.carriers)


def check_in_page(catalogue: Catalogue, study: TripStudy, addresses: Addresses) -> PageRecord:
    """Return the page that prints as a sheet for the desk."""
    writer = Writer(check_in_address(study.id), addresses, catalogue.guide.units)
    title = tr("For the check-in desk")
    html = writer.render(
        "check_in.html",
        title=title,
        study=study,
        guide=catalogue.guide,
        sheets=sheets_of(study),
        flights=[leg for leg in study.legs if leg.by == "plane"],
        trip=trip_address(study.id),
        rules=RULES_ADDRESS,
        cautions=cautions_of(study.batteries),
        advice=study.headline.advice or ADVICE,
        spots=IN_SPOT,
        day=day,
        energy=energy,
        chemistry=chemistry,
    )
    return PageRecord(
        address=writer.address,
        title=f"{title}: {study.name}",
        article=html,
        description=tr(
            "{name}: bags and batteries on one side of paper, for the desk at the airport.", name=study.name
        ),
        section=TRIPS_ADDRESS,
        search=SearchEntry(
            tr("{name}. Sheet to print for the check-in desk at the airport: bags and batteries.", name=study.name)
        ),
    )
