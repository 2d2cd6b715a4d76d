"""Pages of journeys: all of them, and each with its answer, its batteries, its bags and its nights."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from markupsafe import Markup

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.at_the_airport.words import day
from rigleaf.journeys.result import TravelItem, TripStudy
from rigleaf.journeys.words import BY, IN_SPOT
from rigleaf.rules.register import register_of
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.trips.battery_labels import label_page, labelled
from rigleaf.site.trips.check_in import check_in_page, passes_a_desk
from rigleaf.site.trips.words import ADVICE, cautions_of, chemistry, counted, days, energy, made_by, part_of
from rigleaf.site.typeset.addresses import (
    RULES_ADDRESS,
    TRIPS_ADDRESS,
    Addresses,
    check_in_address,
    labels_address,
    place_address,
    trip_address,
)
from rigleaf.site.typeset.prose import first_sentence, plain
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

PACKING = "in-the-bag"
"""The chapter of a rig's page that draws its bags."""

SHORTEST = 0.05
"""Hours for which a target must stand high enough to be named; three minutes serve nobody."""

ALSO = ("trip", "journey", "travel", "packing list", "airport", "luggage")
"""Other words by which people look for a journey."""


@dataclass(frozen=True, slots=True)
class TripRow:
    """One journey in the table of all; ``place`` is the address of its place, ``rigs`` are ids and names."""

    study: TripStudy
    address: str
    days: str
    place: str
    rigs: tuple[tuple[str, str], ...]


def trip_pages(catalogue: Catalogue, studies: Sequence[TripStudy], addresses: Addresses) -> Iterator[PageRecord]:
    """Yield the table of all journeys, and of each its page, its sheet for the desk and its labels."""
    yield _index(catalogue, studies, addresses)
    for study in studies:
        yield _trip(catalogue, study, addresses)
        if passes_a_desk(study):
            yield check_in_page(catalogue, study, addresses)
        if labelled(study):
            yield label_page(catalogue, study, addresses)


def _rigs(catalogue: Catalogue, study: TripStudy) -> tuple[tuple[str, str], ...]:
    """Return id and name of the rigs that go along."""
    return tuple((id_, catalogue.rigs[id_].name) for id_ in catalogue.trips[study.id].rigs)


def _index(catalogue: Catalogue, studies: Sequence[TripStudy], addresses: Addresses) -> PageRecord:
    rows = [
        TripRow(
            study,
            trip_address(study.id),
            days(study),
            place_address(study.place) if study.place else "",
            _rigs(catalogue, study),
        )
        for study in sorted(studies, key=_when)
    ]
    html = Writer(TRIPS_ADDRESS, addresses, catalogue.guide.units).render(
        "trips.html", rows=rows, rules=RULES_ADDRESS, advice=ADVICE
    )
    words = tr("Who takes which rig where, and whether all of it may go.")
    text = tr("All journeys: {value}", value=", ".join(study.name for study in studies))
    return PageRecord(TRIPS_ADDRESS, tr("Journeys"), html, words, SearchEntry(text, tags=("journey",)))


def _when(study: TripStudy) -> tuple[bool, str, str]:
    """Sort by the first day; journeys without one stand last."""
    first = min((leg.date for leg in study.legs), default=None)
    return first is None, str(first), study.id


def _trip(catalogue: Catalogue, study: TripStudy, addresses: Addresses) -> PageRecord:
    part_names = {id_: part.name for id_, part in catalogue.parts.items()}
    writer = Writer(trip_address(study.id), addresses, catalogue.guide.units, part_names)
    called = {who.id: who.called for who in study.travellers}
    rigs = _rigs(catalogue, study)
    html = writer.render(
        "trip.html",
        study=study,
        facts=_facts(study, writer),
        rigs=rigs,
        rig_names={id_: rig.name for id_, rig in catalogue.rigs.items()},
        part_names=part_names,
        carriers=catalogue.carriers,
        sheets=_sheets(study),
        cautions=cautions_of(study.batteries),
        called=called,
        where=partial(_where, study, called),
        targets=_targets_up(study),
        powers=[(night.date, power) for night in study.nights for power in night.power if power.needed is not None],
        spots=IN_SPOT,
        means=BY,
        day=day,
        energy=energy,
        chemistry=chemistry,
        by=partial(made_by, register_of(tuple(catalogue.rules.values()))),
        part_of=part_of,
        packing=PACKING,
        rules=RULES_ADDRESS,
        advice=ADVICE,
    )
    source = catalogue.sources.get(("trip", study.id))
    return PageRecord(
        address=writer.address,
        title=study.name,
        article=html,
        description=first_sentence(study.summary or f"{study.name}: {study.headline.sentence}"),
        section=TRIPS_ADDRESS,
        contents=tuple(Heading(title, anchor) for title, anchor, there in _contents(study) if there),
        search=_search(catalogue, study, rigs),
        source=f"{source.file}:{source.line}" if source else "",
    )


def _facts(study: TripStudy, writer: Writer) -> list[tuple[str, Markup | str]]:
    """Return what stands at the head of the page."""
    facts: list[tuple[str, Markup | str]] = [(tr("When"), days(study))] if days(study) else []
    if study.place:
        link = Markup('<a href="{}">{}</a>').format(writer.link(place_address(study.place)), study.place_name)
        facts.append((tr("Place"), link))
    facts.append((tr("Who"), counted(len(study.travellers), "person", "people")))
    facts.append((tr("Bags"), str(len(study.bags))))
    least = "" if all(who.mass_complete for who in study.travellers) else tr("at least ")
    mass = writer.quantity(sum(who.mass for who in study.travellers), "mass")
    facts.append((tr("In all"), Markup("{}{}").format(least, mass)))
    if study.nights:
        facts.append((tr("Nights there"), str(len(study.nights))))
    return facts


def _sheets(study: TripStudy) -> list[tuple[str, str]]:
    """Return addresses of what is made for paper."""
    sheets = [(check_in_address(study.id), tr("a sheet for the check-in desk"))] if passes_a_desk(study) else []
    return [*sheets, *([(labels_address(study.id), tr("labels for the batteries"))] if labelled(study) else [])]


def _where(study: TripStudy, called: Mapping[str, str], item: TravelItem) -> str:
    """Say where the pieces of a part are."""
    bags = {bag.key: bag for bag in study.bags}
    words = []
    for place in item.places:
        many = f"{place.count} " if len(item.places) > 1 else ""
        if place.spot is None:
            words.append(tr("{many}left at home", many=many))
        elif place.bag in bags:
            words.append(tr("{many}in {value}", many=many, value=bags[place.bag].name))
        else:
            words.append(f"{many}{IN_SPOT[place.spot]}, {called.get(place.traveller, '')}".rstrip(", "))
    return "; ".join(words)


def _targets_up(study: TripStudy) -> list[tuple[str, str]]:
    """Return id and name of the targets that stand high enough for a while in any of the nights."""
    up = (target for night in study.nights for target in night.targets if (target.hours or 0) >= SHORTEST)
    return list(dict.fromkeys((target.id, target.name) for target in up))


def _contents(study: TripStudy) -> list[tuple[str, str, bool]]:
    """Return every heading that the page may have, its anchor, and whether it has it."""
    return [
        (tr("What cannot go as planned"), "what-stays", bool(study.left)),
        (tr("Ways out"), "ways-out", bool(study.ways_out)),
        (tr("Ask first"), "ask-first", bool(study.asks)),
        (tr("Legs"), "legs", bool(study.legs)),
        (tr("Batteries"), "batteries", bool(study.batteries)),
        (tr("Other things that rules speak of"), "articles", bool(study.articles)),
        (tr("Bags and packing lists"), "bags", bool(study.bags)),
        (tr("If a date or a carrier changes"), "changes", bool(study.changes)),
        (tr("The nights there"), "nights", bool(study.nights or study.nights_findings)),
        (tr("Mains and plugs"), "mains", study.mains is not None),
        (tr("To rent or find there"), "found-there", bool(study.found_there)),
        (tr("Suggestions"), "suggestions", bool(study.suggestions)),
        (tr("Notes"), "notes", bool(study.notes)),
    ]


def _search(catalogue: Catalogue, study: TripStudy, rigs: Sequence[tuple[str, str]]) -> SearchEntry:
    """Return the words by which people look for a journey: where, when, with what, by whose aeroplanes."""
    towns = dict.fromkeys(town for leg in study.legs for town in (leg.leaves, leg.arrives))
    carriers = dict.fromkeys(leg.carrier_name for leg in study.legs if leg.carrier_name)
    states = dict.fromkeys(name for leg in study.legs for name in leg.state_names)
    targets = dict.fromkeys(catalogue.targets[one].name for id_, _ in rigs for one in catalogue.rigs[id_].targets)
    words = [
        study.summary,
        days(study),
        study.place_name,
        study.headline.word,
        *(", ".join(names) for names in (towns, states, carriers, [name for _, name in rigs], targets)),
        ", ".join(dict.fromkeys(battery.name for battery in study.batteries)),
        ", ".join((*ALSO, *(("flight", "plane") if study.headline.flies else ()))),
    ]
    text = plain(". ".join(word.rstrip(". ") for word in words if word))
    return SearchEntry(text, tags=("journey",), boost=2.0)
