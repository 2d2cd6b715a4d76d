"""The whole guide as finished pages: one way from a catalogue to records."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.in_the_frame.fleet import framings_of
from rigleaf.chapters.study import RigStudy
from rigleaf.chapters.tracing import study_and_trace
from rigleaf.chapters.under_the_sky.place_sky import best_months
from rigleaf.journeys.study import study_trip
from rigleaf.lending.service import Conditions
from rigleaf.site.addresses import DESK_ADDRESS, GLOSSARY_ADDRESS, Addresses, trip_address
from rigleaf.site.answer_files import answer_files
from rigleaf.site.availability import Lending, lending_of
from rigleaf.site.away_page import away_page, files_of_rigs, goes_along
from rigleaf.site.claimed_page import claimed_page
from rigleaf.site.copies import copy_files
from rigleaf.site.desk_page import desk_page
from rigleaf.site.doors import bundle_files
from rigleaf.site.field_card import field_card
from rigleaf.site.finding_facts import easiest_first
from rigleaf.site.finding_page import finding_page, ways_in
from rigleaf.site.glossary import glossary_page
from rigleaf.site.hand_over import hand_over_page
from rigleaf.site.last_seen import LastSeen, last_seen
from rigleaf.site.lending_files import calendar_files
from rigleaf.site.mosaic_files import mosaic_files
from rigleaf.site.part_labels import rig_label_pages, shelf_label_pages
from rigleaf.site.place_pages import place_pages
from rigleaf.site.previews import guide_picture, preview_files
from rigleaf.site.record import Heading, PageRecord, Picture, SearchEntry
from rigleaf.site.reference_pages import reference_pages
from rigleaf.site.rig_page import RigEntry, rig_entry, rig_page, rig_writer
from rigleaf.site.rule_pages import rule_page
from rigleaf.site.shelf_pages import shelf_pages
from rigleaf.site.side_by_side import side_by_side_files
from rigleaf.site.side_by_side_page import side_by_side_page
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
    Section("Find a rig", "rigs/index"),
    Section("Targets", "targets/index"),
    Section("Places", "places/index"),
    Section("Journeys", "trips/index"),
    Section("Desk", DESK_ADDRESS),
    Section("Shelf", "shelf/index"),
    Section("Flight rules", "flight/index"),
    Section("Method", "method/index"),
    Section("Terms", GLOSSARY_ADDRESS),
    Section("Safety", "safety/index"),
    Section("About", "about/index"),
    Section("YAML fields", "reference/index"),
)
"""What stands in the navigation; every other page is reached from one of these."""


@dataclass(frozen=True)
class Book:
    """All pages of a guide, and the files that they offer, by their path in the site.

    ``picture`` is that of the guide, for previews of links to pages without their own; None where nobody has said
    at which address the site will stand, since previews would not find it.
    ``along`` has for the address of every page that a reader may keep for the field those of pages to keep with it, and
    ``own`` the paths of files that go along with that page only.
    """

    pages: tuple[PageRecord, ...]
    files: Mapping[str, bytes] = field(default_factory=dict)
    picture: Picture | None = None
    along: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    own: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def sections(self) -> tuple[Section, ...]:
        """The sections that this guide has: one without targets, places, journeys or loans has no page for them."""
        there = {page.address for page in self.pages}
        return tuple(section for section in SECTIONS if section.address in there)


def make_book(catalogue: Catalogue, addresses: Addresses, *, field_copy: bool = True) -> Book:
    """Study every rig and finish every page.

    Args:
        catalogue: what was read.
        addresses: how addresses become paths, which decides the links.
        field_copy: whether readers' browsers will keep the guide, as its pages tell.
    """
    studies, trace = study_and_trace(catalogue)
    trips = [study_trip(catalogue, trip) for trip in catalogue.trips.values()]
    writer = Writer("index", addresses, catalogue.guide.units)
    lending = lending_of(catalogue)
    had = lending.rigs if lending else {}
    # No links in them: any page may show them.
    entries = {study.rig.id: rig_entry(study, writer, had.get(study.rig.id)) for study in studies}
    framings = framings_of(catalogue)
    pages = (
        _home(catalogue, [entries[study.rig.id] for study in sorted(studies, key=easiest_first)], lending, writer),
        finding_page(catalogue, studies, framings, addresses, had),
        *_rig_pages(catalogue, studies, lending, addresses, field_copy),
        *_sheets(catalogue, studies, lending, addresses),
        *((side_by_side_page(catalogue, addresses, lending.zone if lending else ""),) if studies else ()),
        *(target_pages(catalogue, studies, framings, addresses, best_months(catalogue)) if catalogue.targets else ()),
        *(place_pages(catalogue, addresses) if catalogue.places else ()),
        *(trip_pages(catalogue, trips, addresses) if trips else ()),
        *((desk_page(catalogue, lending, addresses),) if lending else ()),
        *shelf_pages(catalogue, addresses),
        *shelf_label_pages(catalogue, addresses),
        rule_page(catalogue, addresses),
        claimed_page(catalogue, studies, trace, addresses),
        glossary_page(catalogue, addresses),
        *reference_pages(catalogue, addresses),
        away_page(catalogue, addresses, field_copy=field_copy),
    )
    files = (
        mosaic_files(catalogue),
        bundle_files(catalogue),
        answer_files(),
        calendar_files(catalogue, addresses),
        copy_files(catalogue, pages, addresses, lending),
        side_by_side_files(catalogue, studies, had),
        preview_files(catalogue, studies) if addresses.site else (),
    )
    picture = guide_picture(catalogue) if addresses.site else None
    contents = {path: content for some in files for path, content in some}
    return Book(pages, contents, picture, goes_along(catalogue), files_of_rigs(catalogue, contents))


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
        ways_in=ways_in(catalogue),
    )
    summary = catalogue.guide.summary or f"{catalogue.guide.name}: a field guide to portable rigs."
    return PageRecord("index", "Guide", html, summary, SearchEntry(summary), contents=(Heading("The rigs", "rigs"),))


def _rig_pages(
    catalogue: Catalogue,
    studies: tuple[RigStudy, ...],
    lending: Lending | None,
    addresses: Addresses,
    field_copy: bool,
) -> Iterator[PageRecord]:
    for study in studies:
        writer = rig_writer(catalogue, study.rig.id, addresses)
        availability = lending.rigs[study.rig.id] if lending else None
        yield rig_page(catalogue, study, writer, availability, field_copy=field_copy)


def _sheets(
    catalogue: Catalogue, studies: tuple[RigStudy, ...], lending: Lending | None, addresses: Addresses
) -> Iterator[PageRecord]:
    """Yield what is printed for each rig."""
    conditions = Conditions(catalogue, lending.on) if lending else None
    for study in studies:
        seen = last_seen(conditions, study.assembly) if conditions else LastSeen()
        yield hand_over_page(catalogue, study, addresses, seen)
        yield field_card(catalogue, study, addresses)
        yield from rig_label_pages(catalogue, study.assembly, addresses)
