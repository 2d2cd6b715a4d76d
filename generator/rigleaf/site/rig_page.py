"""The page of a rig, and the entry by which home page and table of rigs show it."""

import re
from dataclasses import dataclass
from typing import NamedTuple

from markupsafe import Markup

from rigleaf.catalogue.catalogue import ROLES, Catalogue, Item
from rigleaf.catalogue.models.rig import Rig
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import WORST_FIRST, Drawing, Finding, Verdict
from rigleaf.chapters.formatting import show
from rigleaf.chapters.register import Chapter
from rigleaf.chapters.study import RigStudy
from rigleaf.site.addresses import rig_address, trip_address
from rigleaf.site.availability import Availability
from rigleaf.site.cautions import cautions_for
from rigleaf.site.doors import doors_of
from rigleaf.site.lending_files import calendar_path
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.templating import Writer

EXPERIENCE: dict[str, str] = {
    "first night": "no experience",
    "some nights": "some nights' practice",
    "many nights": "many nights' practice",
}
"""What a rig asks of the borrower, in words."""


ALSO: dict[str | None, tuple[str, ...]] = {
    "first night": ("beginner", "newcomer"),
    "hand luggage": ("flight", "plane", "cabin", "travel"),
    "hold luggage": ("flight", "plane", "travel"),
    "on foot": ("hike", "walk", "backpack", "rucksack"),
    "bicycle": ("bike", "cycle"),
    "train": ("railway", "travel"),
    "Milky Way": ("nightscape",),
    "eclipses": ("solar eclipse", "totality"),
    "planets": ("Jupiter", "Saturn", "Mars"),
}
"""Other words by which people look for the same thing."""


class Glance(NamedTuple):
    """One line of the page's first screen: a chapter, its worst verdict, and what is not sound in it."""

    chapter: Chapter
    verdict: Verdict
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class RigEntry:
    """A rig as lists show it: the first sentence, the figures people choose by, and its findings."""

    rig: Rig
    brief: str
    kind_of_use: str
    keyfigures: tuple[tuple[str, Markup], ...]
    findings: tuple[Finding, ...]
    availability: Availability | None = None

    @property
    def by_label(self) -> dict[str, Markup]:
        """The figures by their labels."""
        return dict(self.keyfigures)


def rig_entry(study: RigStudy, writer: Writer, availability: Availability | None = None) -> RigEntry:
    """Return the list entry of a rig, with figures in the writer's units."""
    figures = tuple((figure.label, writer.brief(figure)) for _, figure in study.on_card)
    findings = tuple(finding for _, finding in study.findings)
    rig = study.rig
    use = " · ".join(", ".join(words) for words in (rig.purpose, rig.travels) if words)
    return RigEntry(rig, first_sentence(rig.summary or ""), use, figures, findings, availability)


def first_sentence(text: str) -> str:
    """Return the first sentence of a text."""
    return re.split(r"(?<=[.!?])\s+(?=[A-Z])", " ".join(text.split()), maxsplit=1)[0]


def rig_page(
    catalogue: Catalogue, study: RigStudy, writer: Writer, availability: Availability | None = None
) -> PageRecord:
    """Return the finished page of one rig."""
    rig = study.rig
    assembly = study.assembly
    numbers = _plate_numbers(study)
    chapters = [
        (
            chapter,
            writer.render(
                chapter.template, chapter=chapter, study=found, number_of=lambda drawing: numbers[id(drawing)]
            ),
        )
        for chapter, found in study.studies
    ]
    html = writer.render(
        "rig.html",
        rig=rig,
        availability=availability,
        calendar=calendar_path(rig.id),
        facts=_facts(catalogue, study, writer),
        glance=_glance(study),
        doors=doors_of(rig, writer),
        tally=[finding for _, finding in study.findings],
        cautions=cautions_for(assembly),
        roles=_roles(assembly.items),
        journeys=[(trip_address(trip.id), trip.name) for trip in catalogue.trips.values() if rig.id in trip.rigs],
        targets=[catalogue.targets[id_].name for id_ in rig.targets],
        chapters=chapters,
    )
    source = catalogue.source("rig", rig.id)
    contents = [Heading("At a glance", "at-a-glance"), Heading("What it is made of", "what-it-is-made-of")]
    contents += [Heading("Notes", "notes")] if rig.notes else []
    contents += [Heading(chapter.title, chapter.id) for chapter, _ in study.studies]
    return PageRecord(
        address=rig_address(rig.id),
        title=rig.name,
        html=html,
        description=first_sentence(rig.summary or f"{rig.name}, a rig in {catalogue.guide.name}."),
        section="rigs/index",
        contents=tuple(contents),
        search=_search(catalogue, study, assembly),
        source=f"{source.file}:{source.line}",
    )


def _glance(study: RigStudy) -> list[Glance]:
    """Return a line for each chapter, the worst first; one that figured nothing out says why not, sound or not."""
    lines = [
        Glance(
            chapter, found.worst, tuple(one for one in found.worst_first if one.verdict != "sound" or not found.figures)
        )
        for chapter, found in study.studies
    ]
    return sorted(lines, key=lambda line: WORST_FIRST.index(line.verdict))


def _plate_numbers(study: RigStudy) -> dict[int, int]:
    """Number the plates through the whole page."""
    drawings: list[Drawing] = [drawing for _, found in study.studies for drawing in found.drawings]
    return {id(drawing): number for number, drawing in enumerate(drawings, 1)}


def _facts(catalogue: Catalogue, study: RigStudy, writer: Writer) -> list[tuple[str, Markup | str]]:
    """Return the figures and words at the head of the page."""
    rig = study.rig
    facts: list[tuple[str, Markup | str]] = [(figure.label, writer.brief(figure)) for _, figure in study.on_card]
    if rig.travels:
        facts.append(("Travels by", ", ".join(rig.travels)))
    if rig.experience:
        facts.append(("Asks for", EXPERIENCE[rig.experience]))
    place = catalogue.place_of(rig)
    if place:
        facts.append(("Home place", place.name))
    return facts


def _roles(items: tuple[Item, ...]) -> list[tuple[str, list[Item]]]:
    grouped = [(heading, [item for item in items if item.role == role]) for role, heading in ROLES.items()]
    return [(heading, found) for heading, found in grouped if found]


def _search(catalogue: Catalogue, study: RigStudy, assembly: Assembly) -> SearchEntry:
    """Return the words by which people look for a rig: what it is, what for, its parts and its figures."""
    rig = study.rig
    words = [rig.summary or "", ", ".join(rig.purpose), ", ".join(rig.travels)]
    words += [plain(f"{figure.label} {_spoken(figure.value, figure.dimension)}") for _, figure in study.on_card]
    words.append(", ".join(dict.fromkeys(item.part.name for item in assembly.items)))
    words.append(", ".join(catalogue.targets[id_].name for id_ in rig.targets))
    place = catalogue.place_of(rig)
    words.append(place.name if place else "")
    words.append(
        ", ".join(other for word in (*rig.purpose, *rig.travels, rig.experience) for other in ALSO.get(word, ()))
    )
    text = ". ".join(word.rstrip(". ") for word in words if word)
    focal = study.value("scale-and-field", "focal-length")
    tags = (*rig.purpose, *rig.travels, *([f"{focal:.0f} mm", f"{focal:.0f}mm"] if focal else []))
    return SearchEntry(text, tags=tags, boost=3.0)


def _spoken(value: float | str | None, dimension: str) -> str:
    if isinstance(value, float):
        return " ".join(show(value, dimension))
    return value or ""


def plain(text: str) -> str:
    """Return a text with ordinary spaces, so that "480 mm" is found as it is typed."""
    return re.sub(r"[\u00a0\u202f]", " ", text).strip()
