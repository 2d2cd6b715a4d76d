"""The whole guide as finished pages: one way from a catalogue to records."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import inf

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.study import RigStudy
from rigleaf.chapters.tracing import study_and_trace
from rigleaf.chapters.under_the_sky.place_sky import best_months
from rigleaf.journeys.study import study_trip
from rigleaf.site.addresses import DESK_ADDRESS, Addresses, rig_address, trip_address
from rigleaf.site.availability import Lending, lending_of
from rigleaf.site.claimed_page import claimed_page
from rigleaf.site.desk_page import desk_page
from rigleaf.site.doors import bundle_files
from rigleaf.site.lending_files import calendar_files
from rigleaf.site.mosaic_files import mosaic_files
from rigleaf.site.place_pages import place_pages
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.reference_pages import reference_pages
from rigleaf.site.rig_page import EXPERIENCE, RigEntry, rig_entry, rig_page
from rigleaf.site.rule_pages import rule_page
from rigleaf.site.shelf_pages import shelf_pages
from rigleaf.site.target_pages import target_pages
from rigleaf.site.templating import Writer
from rigleaf.site.trip_pages import trip_pages


@dataclass(frozen=True)
class Section:
    """One section of the guide: its heading in the navigation and the address of its page."""

    title: str
    address: str


SECTIONS: tuple[Section, ...] = (
    Section("Guide", "index"),
    Section("Rigs", "rigs/index"),
    Section("Targets", "targets/index"),
    Section("Places", "places/index"),
    Section("Journeys", "trips/index"),
    Section("Desk", DESK_ADDRESS),
    Section("Shelf", "shelf/index"),
    Section("Flight rules", "flight/index"),
    Section("Method", "method/index"),
    Section("Safety", "safety/index"),
    Section("About", "about/index"),
    Section("YAML fields", "reference/index"),
)
"""What stands in the navigation; every other page is reached from one of these."""


@dataclass(frozen=True)
class Book:
    """All pages of a guide, and the files that they offer, by their path in the site."""

    pages: tuple[PageRecord, ...]
    files: Mapping[str, bytes] = field(default_factory=dict)

    @property
    def sections(self) -> tuple[Section, ...]:
        """The sections that this guide has: one without targets, places, journeys or loans has no page for them."""
        there = {page.address for page in self.pages}
        return tuple(section for section in SECTIONS if section.address in there)


def make_book(catalogue: Catalogue, addresses: Addresses) -> Book:
    """Study every rig and finish every page.

    Args:
        catalogue: what was read.
        addresses: how addresses become paths, which decides the links.
    """
    studies, trace = study_and_trace(catalogue)
    trips = [study_trip(catalogue, trip) for trip in catalogue.trips.values()]
    writer = Writer("index", addresses, catalogue.guide.units)
    lending = lending_of(catalogue)
    had = lending.rigs if lending else {}
    # No links in them: any page may show them.
    entries = {study.rig.id: rig_entry(study, writer, had.get(study.rig.id)) for study in studies}
    pages = (
        _home(catalogue, [entries[study.rig.id] for study in sorted(studies, key=_easiest_first)], lending, writer),
        _rigs(catalogue, [*entries.values()], lending, addresses),
        *_rig_pages(catalogue, studies, lending, addresses),
        *(target_pages(catalogue, studies, addresses, best_months(catalogue)) if catalogue.targets else ()),
        *(place_pages(catalogue, addresses) if catalogue.places else ()),
        *(trip_pages(catalogue, trips, addresses) if trips else ()),
        *((desk_page(catalogue, lending, addresses),) if lending else ()),
        *shelf_pages(catalogue, addresses),
        rule_page(catalogue, addresses),
        claimed_page(catalogue, studies, trace, addresses),
        *reference_pages(catalogue, addresses),
    )
    calendars = dict(calendar_files(catalogue, addresses))
    return Book(pages, {**dict(mosaic_files(catalogue)), **dict(bundle_files(catalogue)), **calendars})


def _trips(catalogue: Catalogue) -> list[tuple[str, str]]:
    """Return address and name of every journey, the earliest first."""
    first = {id_: min((str(leg.date) for leg in trip.legs), default="~") for id_, trip in catalogue.trips.items()}
    return [(trip_address(id_), catalogue.trips[id_].name) for id_ in sorted(first, key=lambda id_: (first[id_], id_))]


def _home(catalogue: Catalogue, entries: list[RigEntry], lending: Lending | None, writer: Writer) -> PageRecord:
    html = writer.render(
        "home.html",
        guide=catalogue.guide,
        rigs=entries,
        parts=len(catalogue.parts),
        trips=_trips(catalogue),
        lending=lending,
    )
    summary = catalogue.guide.summary or f"{catalogue.guide.name}: a field guide to portable rigs."
    return PageRecord("index", "Guide", html, summary, SearchEntry(summary), contents=(Heading("The rigs", "rigs"),))


def _easiest_first(study: RigStudy) -> tuple[bool, int, float, str]:
    """Sort rigs by the experience that they ask, then by mass; the unsaid comes last, rigs for training behind all."""
    asked = [*EXPERIENCE].index(study.rig.experience) if study.rig.experience else len(EXPERIENCE)
    mass = study.value("what-it-weighs", "total")
    return study.rig.for_training, asked, mass if mass is not None else inf, study.rig.id


def _rigs(catalogue: Catalogue, entries: list[RigEntry], lending: Lending | None, addresses: Addresses) -> PageRecord:
    writer = Writer("rigs/index", addresses, catalogue.guide.units)
    columns = list(dict.fromkeys(label for entry in entries for label, _ in entry.keyfigures))
    html = writer.render("rigs.html", rigs=entries, columns=columns, lending=lending)
    text = "All rigs: " + ", ".join(entry.rig.name for entry in entries)
    return PageRecord(
        "rigs/index", "Rigs", html, "Every rig with the figures that people choose by.", SearchEntry(text)
    )


def _rig_pages(
    catalogue: Catalogue, studies: tuple[RigStudy, ...], lending: Lending | None, addresses: Addresses
) -> Iterator[PageRecord]:
    names = {id_: part.name for id_, part in catalogue.parts.items()}
    for study in studies:
        writer = Writer(rig_address(study.rig.id), addresses, catalogue.guide.units, names)
        yield rig_page(catalogue, study, writer, lending.rigs[study.rig.id] if lending else None)
