"""The whole guide as finished pages: one way from a catalogue to records."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import chain

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.files import GUIDE
from rigleaf.chapters.in_the_frame import fleet
from rigleaf.chapters.study import RigStudy
from rigleaf.chapters.tracing import Trace
from rigleaf.chapters.under_the_sky.place_sky import best_months
from rigleaf.journeys.result import TripStudy
from rigleaf.journeys.study import study_trip
from rigleaf.lending import ledger
from rigleaf.site.delivery.script_words import word_files
from rigleaf.site.leaves.found import Finds, Reads, Studies
from rigleaf.site.leaves.growing import leaves_of
from rigleaf.site.leaves.leaf import Leaf, around
from rigleaf.site.leaves.store import Store
from rigleaf.site.lent.availability import Lending, lending_of
from rigleaf.site.lent.calendars import calendar_files
from rigleaf.site.lent.desk import desk_page
from rigleaf.site.memory import Memory
from rigleaf.site.packed import Contents, Packed
from rigleaf.site.previews.pictures import guide_picture, guide_preview
from rigleaf.site.record import Heading, PageRecord, Picture, SearchEntry
from rigleaf.site.reference.answers import answer_files
from rigleaf.site.reference.away import away_page, files_of_rigs, goes_along
from rigleaf.site.reference.pages import reference_pages
from rigleaf.site.reference.rules import rule_page
from rigleaf.site.rigs.facts import in_order
from rigleaf.site.rigs.finding import finding_page, ways_in
from rigleaf.site.rigs.page import rig_entry
from rigleaf.site.rigs.side_by_side import side_by_side_files
from rigleaf.site.rigs.side_by_side_page import side_by_side_page
from rigleaf.site.sheets.last_seen import last_seen_in
from rigleaf.site.sheets.part_labels import shelf_label_pages
from rigleaf.site.shelf.claimed import claimed_page
from rigleaf.site.shelf.pages import shelf_pages
from rigleaf.site.shelf.photos import photo_path
from rigleaf.site.skies.mosaics import mosaic_files
from rigleaf.site.skies.places import place_pages
from rigleaf.site.skies.targets import target_pages
from rigleaf.site.spool import Laid, Spool
from rigleaf.site.trips.pages import trip_pages
from rigleaf.site.typeset.addresses import DESK_ADDRESS, GLOSSARY_ADDRESS, Addresses, trip_address
from rigleaf.site.typeset.glossary import glossary_page
from rigleaf.site.typeset.own_names import names_in
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import LANGUAGES, language, speaking, tr

MOST_ON_HOME = 100
"""Rigs with a card on the first page. A page of more no phone likes to fetch, and all are where one is found."""


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

    pages: Sequence[PageRecord]
    files: Contents = field(default_factory=Contents)
    picture: Picture | None = None
    along: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    own: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    language: str = LANGUAGES[0]

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """The sections that this guide has: one without targets, places, journeys or loans has no page for them."""
        there = {page.address for page in self.pages}
        with speaking(self.language):
            return tuple(Section(tr(one.title), one.address) for one in SECTIONS if one.address in there)


def make_book(
    catalogue: Catalogue,
    addresses: Addresses,
    *,
    field_copy: bool = True,
    store: Store | None = None,
    memory: Memory | None = None,
    spool: Spool | None = None,
    ahead: Callable[[tuple[Leaf, ...]], None] | None = None,
) -> Book:
    """Study every rig and finish every page.

    Args:
        catalogue: what was read.
        addresses: how addresses become paths, which decides the links.
        field_copy: whether readers' browsers will keep the guide, as its pages tell.
        store: keeps what is finished of each rig by itself from one build to the next. It goes by the files that the
            catalogue was read from, so none may be given for one that was changed since.
        memory: what this process has read and made in earlier builds of the same guide.
        spool: takes what would take too much room in memory.
        ahead: told of all that tells of one rig alone, of every rig, before anything else is made.
    """
    trips = [study_trip(catalogue, trip) for trip in catalogue.trips.values()]
    with speaking(catalogue.guide.language, names_in(catalogue)):  # what is studied is told in English, and said again
        packed = _Packer(spool)
        return _bind(catalogue, trips, addresses, store, memory or Memory(), packed, ahead, field_copy=field_copy)


def _bind(
    catalogue: Catalogue,
    trips: list[TripStudy],
    addresses: Addresses,
    store: Store | None,
    memory: Memory,
    packed: "_Packer",
    ahead: Callable[[tuple[Leaf, ...]], None] | None,
    *,
    field_copy: bool,
) -> Book:
    """Finish every page in the language that is spoken."""
    setting = (addresses, language(), catalogue.digests.get(GUIDE))
    # What is made of one of these cannot tell what it lacks, and is the same until something else changes.
    frames = memory.without(catalogue, "summary", "notes")
    memory.follow("frames", frames, fleet.hand_on)
    shelf = memory.without(catalogue, "summary", "notes", desk=True)
    memory.follow("shelf", shelf, ledger.hand_on)
    lending = memory.once("lending", (shelf,), lambda: lending_of(shelf))
    seen = memory.once("seen", (shelf,), lambda: last_seen_in(shelf, lending.on) if lending else {})
    given = around(catalogue, addresses, lending, seen, field_copy=field_copy, frames=frames, kept=memory.files)
    leaves = leaves_of(given, store, memory=memory.leaves, spool=packed.spool)
    if ahead:
        ahead(leaves)
    told = memory.without(catalogue, "notes", desk=True, trips=True)
    had = lending.rigs if lending else {}
    found = memory.same("studies", tuple(leaf.found for leaf in leaves))
    finds = Finds(leaves, memory.found)
    studies = Studies(told, leaves, finds)
    of_all = (setting, told, found)
    counts = tuple(map(len, (catalogue.rigs, catalogue.parts, catalogue.places, catalogue.targets)))  # told about
    photos = tuple(photo_path(catalogue.root, part.photo) for part in catalogue.parts.values() if part.photo)
    framings = memory.once("framings", (frames,), lambda: fleet.framings_of(frames))
    finding = memory.once("finding", of_all, lambda: packed([finding_page(told, studies, framings, addresses, had)]))
    targets = memory.once(
        "targets",
        (setting, frames),
        lambda: packed(
            target_pages(frames, studies, framings, addresses, best_months(frames)) if frames.targets else ()
        ),
    )
    mosaics = memory.once("mosaics", (frames,), lambda: packed.files(mosaic_files(frames)))
    if memory.found is None:  # no other build will ask, and there is no room for how each rig frames each target
        framings = {}
        memory.forget("framings")
        fleet.let_go(frames)
    pages = chain(
        memory.once("home", of_all, lambda: packed([_home(told, studies, lending, addresses)])),
        finding,
        (leaf.pages[0] for leaf in leaves),
        (page for leaf in leaves for page in leaf.pages[1:]),
        ((side_by_side_page(catalogue, addresses, lending.zone if lending else ""),) if studies else ()),
        targets,
        (place_pages(catalogue, addresses) if catalogue.places else ()),
        (trip_pages(catalogue, trips, addresses) if trips else ()),
        memory.once(
            "desk", (setting, shelf), lambda: packed([desk_page(shelf, lending, addresses)] if lending else ())
        ),
        memory.once("shelf", (setting, shelf, photos), lambda: packed(shelf_pages(shelf, addresses))),
        memory.once("labels", (setting, frames), lambda: packed(shelf_label_pages(frames, addresses))),
        (rule_page(catalogue, addresses),),
        memory.once(
            "claimed", of_all, lambda: packed([claimed_page(told, studies, Trace(Reads(leaves, finds)), addresses)])
        ),
        memory.once(
            "reference",
            (setting, catalogue.guide, counts),
            lambda: packed((glossary_page(catalogue, addresses), *reference_pages(catalogue, addresses))),
        ),
        (away_page(catalogue, addresses, field_copy=field_copy),),
    )
    files = (
        mosaics,
        answer_files(),
        memory.once("calendars", (setting, shelf), lambda: packed.files(calendar_files(shelf, addresses))),
        memory.once("side by side", of_all, lambda: packed.files(side_by_side_files(told, studies, had))),
        *(leaf.files for leaf in leaves),
        (memory.once("preview", (setting, frames), lambda: guide_preview(frames, studies)),) if addresses.site else (),
        word_files(),
    )
    picture = guide_picture(catalogue) if addresses.site else None
    contents = Contents(one for some in files for one in some)
    return Book(
        packed.book(pages),
        contents,
        picture,
        goes_along(catalogue),
        files_of_rigs(catalogue, contents),
        language(),
    )


class _Packer:
    """Packs pages and files as they are made, so that none of them lies about as it is."""

    def __init__(self, spool: Spool | None) -> None:
        self.spool = spool

    def __call__(self, pages: Iterable[PageRecord]) -> tuple[PageRecord, ...]:
        return tuple(page.packed(self.spool) for page in pages)

    def book(self, pages: Iterable[PageRecord]) -> Sequence[PageRecord]:
        """Return the pages of a whole guide."""
        packed = (page.packed(self.spool) for page in pages)
        if self.spool is None:
            return tuple(packed)
        return Laid((replace(page, search=page.search.packed()) for page in packed), self.spool)

    def files(self, files: Iterable[tuple[str, bytes]]) -> tuple[tuple[str, Packed], ...]:
        return tuple((path, Packed.of(content, self.spool)) for path, content in files)


def _trips(catalogue: Catalogue) -> list[tuple[str, str]]:
    """Return address and name of every journey, the earliest first."""
    first = {id_: min((str(leg.date) for leg in trip.legs), default="~") for id_, trip in catalogue.trips.items()}
    return [(trip_address(id_), catalogue.trips[id_].name) for id_ in sorted(first, key=lambda id_: (first[id_], id_))]


def _home(
    catalogue: Catalogue,
    studies: Sequence[RigStudy],
    lending: Lending | None,
    addresses: Addresses,
) -> PageRecord:
    writer, had = Writer("index", addresses, catalogue.guide.units), lending.rigs if lending else {}
    html = writer.render(
        "home.html",
        guide=catalogue.guide,
        # No links in these: any page may show them.
        rigs=in_order(studies, lambda study: rig_entry(study, writer, had.get(study.rig.id)), MOST_ON_HOME),
        count=len(studies),
        parts=len(catalogue.parts),
        trips=_trips(catalogue),
        lending=lending,
        ways_in=ways_in(catalogue),
    )
    summary = catalogue.guide.summary or tr("{name}: a field guide to portable rigs.", name=catalogue.guide.name)
    return PageRecord(
        "index", tr("Guide"), html, summary, SearchEntry(summary), contents=(Heading(tr("The rigs"), "rigs"),)
    )
