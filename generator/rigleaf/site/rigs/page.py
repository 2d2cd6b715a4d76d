"""The page of a rig, and the entry by which home page and table of rigs show it."""

from dataclasses import dataclass

from markupsafe import Markup

from rigleaf.catalogue.catalogue import ROLES, Catalogue, Item
from rigleaf.catalogue.models.rig import Rig
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing, Finding
from rigleaf.chapters.formatting import show
from rigleaf.chapters.study import RigStudy
from rigleaf.sentences import named
from rigleaf.site.lent.availability import Availability
from rigleaf.site.lent.calendars import calendar_path
from rigleaf.site.previews.pictures import rig_picture
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.rigs.head import holding, lines, portrait, questions
from rigleaf.site.sent.chat_lines import chat_lines
from rigleaf.site.sheets.codes import PrintedCode, code_of
from rigleaf.site.typeset.addresses import Addresses, rig_address, trip_address
from rigleaf.site.typeset.cautions import cautions_for
from rigleaf.site.typeset.doors import doors_of
from rigleaf.site.typeset.glossary import Linker
from rigleaf.site.typeset.prose import first_sentence, parted, plain
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

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

CODE_SIDE = 20.0
"""Side in mm of the code at the head of the printed page, its quiet zone included."""

HEAD = (("At a glance", "at-a-glance"), ("In figures", "in-figures"), ("What it is made of", "what-it-is-made-of"))
"""The headings before the chapters, and their anchors."""


@dataclass(frozen=True)
class RigEntry:
    """A rig as lists show it: the first sentence, the figures people choose by, and its findings."""

    rig: Rig
    brief: str
    kind_of_use: str
    keyfigures: tuple[tuple[str, Markup], ...]
    findings: tuple[Finding, ...]
    availability: Availability | None = None


def rig_entry(study: RigStudy, writer: Writer, availability: Availability | None = None) -> RigEntry:
    """Return the list entry of a rig, with figures in the writer's units."""
    figures = tuple((named(figure.label), writer.brief(figure)) for _, figure in study.on_card)
    findings = tuple(finding for _, finding in study.findings)
    rig = study.rig
    use = " · ".join(", ".join(map(tr, words)) for words in (rig.purpose, rig.travels) if words)
    return RigEntry(rig, first_sentence(rig.summary or ""), use, figures, findings, availability)


def rig_writer(catalogue: Catalogue, rig: str, addresses: Addresses) -> Writer:
    """Return the writer of a rig's page."""
    return Writer(rig_address(rig), addresses, catalogue.guide.units, catalogue.part_names, Linker())


def rig_page(
    catalogue: Catalogue,
    study: RigStudy,
    writer: Writer,
    availability: Availability | None = None,
    *,
    field_copy: bool = True,
) -> PageRecord:
    """Return the finished page of one rig; ``field_copy`` tells whether readers' browsers keep the guide."""
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
    first, rest = parted(rig.summary or "")
    public = writer.addresses.public(writer.addresses.path(rig_address(rig.id)))
    html = writer.render(
        "rig.html",
        rig=rig,
        code=PrintedCode(code_of(public), CODE_SIDE) if public else None,
        availability=availability,
        calendar=calendar_path(rig.id),
        facts=_facts(catalogue, study, writer),
        lead=first,
        rest=rest,
        portrait=portrait(study),
        questions=[*questions(study, writer)],
        lines=lines(study),
        holding=holding(study),
        doors=doors_of(catalogue, rig, writer, field_copy=field_copy),
        chat=chat_lines(catalogue, study, writer.addresses, first),
        tally=[finding for _, finding in study.findings],
        cautions=cautions_for(assembly),
        roles=_roles(assembly.items),
        journeys=[(trip_address(trip.id), trip.name) for trip in catalogue.trips.values() if rig.id in trip.rigs],
        targets=[catalogue.targets[id_].name for id_ in rig.targets],
        chapters=chapters,
    )
    source = catalogue.source("rig", rig.id)
    contents = [Heading(tr(title), anchor) for title, anchor in HEAD]
    contents += [Heading(tr("Notes"), "notes")] if rig.notes else []
    contents += [Heading(tr(chapter.title), chapter.id) for chapter, _ in study.studies]
    return PageRecord(
        address=rig_address(rig.id),
        title=rig.name,
        article=html,
        description=first_sentence(
            rig.summary or tr("{name}, a rig in {name2}.", name=rig.name, name2=catalogue.guide.name)
        ),
        section="rigs/index",
        contents=tuple(contents),
        search=_search(catalogue, study, assembly),
        source=f"{source.file}:{source.line}",
        picture=rig_picture(study) if writer.addresses.site else None,
    )


def _plate_numbers(study: RigStudy) -> dict[int, int]:
    """Number the plates through the whole page."""
    drawings: list[Drawing] = [drawing for _, found in study.studies for drawing in found.drawings]
    return {id(drawing): number for number, drawing in enumerate(drawings, 1)}


def _facts(catalogue: Catalogue, study: RigStudy, writer: Writer) -> list[tuple[Markup | str, Markup | str]]:
    """Return the figures and words at the head of the page."""
    rig = study.rig
    facts: list[tuple[Markup | str, Markup | str]] = [
        (writer.how(figure.method, tr("How {label} is found", label=label), label), writer.brief(figure))
        for _, figure in study.on_card
        for label in (named(figure.label),)
    ]
    if rig.travels:
        facts.append((tr("Travels by"), ", ".join(map(tr, rig.travels))))
    if rig.experience:
        facts.append((tr("Asks for"), tr(EXPERIENCE[rig.experience])))
    place = catalogue.place_of(rig)
    if place:
        facts.append((tr("Home place"), place.name))
    return facts


def _roles(items: tuple[Item, ...]) -> list[tuple[str, list[Item]]]:
    grouped = [(heading, [item for item in items if item.role == role]) for role, heading in ROLES.items()]
    return [(heading, found) for heading, found in grouped if found]


def _search(catalogue: Catalogue, study: RigStudy, assembly: Assembly) -> SearchEntry:
    """Return the words by which people look for a rig: what it is, what for, its parts and its figures."""
    rig = study.rig
    words = [rig.summary or "", ", ".join(map(tr, rig.purpose)), ", ".join(map(tr, rig.travels))]
    words += [plain(f"{named(figure.label)} {_spoken(figure.value, figure.dimension)}") for _, figure in study.on_card]
    words.append(", ".join(dict.fromkeys(item.part.name for item in assembly.items)))
    words.append(", ".join(catalogue.targets[id_].name for id_ in rig.targets))
    place = catalogue.place_of(rig)
    words.append(place.name if place else "")
    words.append(
        ", ".join(other for word in (*rig.purpose, *rig.travels, rig.experience) for other in ALSO.get(word, ()))
    )
    text = ". ".join(word.rstrip(". ") for word in words if word)
    focal = study.value("scale-and-field", "focal-length")
    tags = (*map(tr, rig.purpose), *map(tr, rig.travels), *([f"{focal:.0f} mm", f"{focal:.0f}mm"] if focal else []))
    return SearchEntry(text, tags=tags, boost=3.0)


def _spoken(value: float | str | None, dimension: str) -> str:
    if isinstance(value, float):
        return " ".join(show(value, dimension))
    return value or ""
