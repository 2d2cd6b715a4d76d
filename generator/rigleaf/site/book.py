"""The whole guide as finished pages: one way from a catalogue to records."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.study import RigStudy, study_rig
from rigleaf.site.addresses import Addresses, rig_address
from rigleaf.site.record import Asset, Heading, PageRecord, SearchEntry
from rigleaf.site.reference_pages import reference_pages
from rigleaf.site.rig_page import EXPERIENCE, rig_entry, rig_page
from rigleaf.site.shelf_pages import photo_path, shelf_pages
from rigleaf.site.templating import Writer


@dataclass(frozen=True)
class Section:
    """One section of the guide: its heading in the navigation and the address of its page."""

    title: str
    address: str


SECTIONS: tuple[Section, ...] = (
    Section("Guide", "index"),
    Section("Rigs", "rigs/index"),
    Section("Shelf", "shelf/index"),
    Section("Method", "method/index"),
    Section("Safety", "safety/index"),
    Section("About", "about/index"),
    Section("YAML fields", "reference/index"),
)
"""What stands in the navigation; every other page is reached from one of these."""


@dataclass(frozen=True)
class Book:
    """All pages and files of a guide."""

    pages: tuple[PageRecord, ...]
    assets: tuple[Asset, ...]
    studies: tuple[RigStudy, ...]


def make_book(catalogue: Catalogue, addresses: Addresses) -> Book:
    """Study every rig and finish every page.

    Args:
        catalogue: what was read.
        addresses: how addresses become paths, which decides the links.
    """
    studies = tuple(study_rig(catalogue, rig) for rig in catalogue.rigs.values())
    pages = (
        _home(catalogue, studies, addresses),
        _rigs(catalogue, studies, addresses),
        *_rig_pages(catalogue, studies, addresses),
        *shelf_pages(catalogue, addresses),
        *reference_pages(catalogue, addresses),
    )
    return Book(pages, tuple(_photos(catalogue)), studies)


def _home(catalogue: Catalogue, studies: tuple[RigStudy, ...], addresses: Addresses) -> PageRecord:
    writer = Writer("index", addresses, catalogue.guide.units)
    entries = [rig_entry(study, writer) for study in sorted(studies, key=_easiest_first)]
    html = writer.render("home.html", guide=catalogue.guide, rigs=entries, parts=len(catalogue.parts))
    summary = catalogue.guide.summary or f"{catalogue.guide.name}: a field guide to portable rigs."
    return PageRecord("index", "Guide", html, summary, SearchEntry(summary), contents=(Heading("The rigs", "rigs"),))


def _easiest_first(study: RigStudy) -> tuple[int, float, str]:
    """Sort rigs by the experience that they ask, then by mass; what is unsaid comes last."""
    asked = [*EXPERIENCE].index(study.rig.experience) if study.rig.experience else len(EXPERIENCE)
    mass = study.value("what-it-weighs", "total")
    return asked, mass if mass is not None else inf, study.rig.id


def _rigs(catalogue: Catalogue, studies: tuple[RigStudy, ...], addresses: Addresses) -> PageRecord:
    writer = Writer("rigs/index", addresses, catalogue.guide.units)
    entries = [rig_entry(study, writer) for study in studies]
    columns = list(dict.fromkeys(label for entry in entries for label, _ in entry.keyfigures))
    html = writer.render("rigs.html", rigs=entries, columns=columns)
    text = "All rigs: " + ", ".join(study.rig.name for study in studies)
    return PageRecord(
        "rigs/index", "Rigs", html, "Every rig with the figures that people choose by.", SearchEntry(text)
    )


def _rig_pages(catalogue: Catalogue, studies: tuple[RigStudy, ...], addresses: Addresses) -> Iterator[PageRecord]:
    names = {id_: part.name for id_, part in catalogue.parts.items()}
    for study in studies:
        yield rig_page(catalogue, study, Writer(rig_address(study.rig.id), addresses, catalogue.guide.units, names))


def _photos(catalogue: Catalogue) -> Iterator[Asset]:
    for photo in dict.fromkeys(part.photo for part in catalogue.parts.values() if part.photo):
        yield Asset(photo_path(photo), (catalogue.root / photo).read_bytes())
