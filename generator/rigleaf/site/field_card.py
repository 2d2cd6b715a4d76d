"""The card for the lid of the case: what to set, how to begin and what to mind, on one side of A4 or Letter."""

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.figures import Figure, Finding
from rigleaf.chapters.register import Chapter
from rigleaf.chapters.study import RigStudy
from rigleaf.site.addresses import Addresses, field_card_address, rig_address
from rigleaf.site.cautions import cautions_for
from rigleaf.site.codes import PrintedCode, code_of, for_people
from rigleaf.site.hand_over import checklist, shortened
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.templating import Writer

PICKED: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("To set", "guiding-and-exposure", ("sub", "guide-exposure", "guide-needed", "polar-tolerance", "frames")),
    ("To set", "dew-and-cold", ("sensor-held",)),
    ("The picture", "scale-and-field", ("focal-length", "focal-ratio", "image-scale", "field", "refocus-after")),
    ("The train", "image-train", ("back-focus-wanted", "stack")),
    ("Standing", "on-the-mount", ("used", "balance-at", "balance-along")),
    ("Standing", "footing", ("best-leg", "tipping-gust", "tipping-from", "ballast")),
    ("The night", "setting-up", ("arrive", "first", "last", "packed")),
    ("The night", "power-for-the-night", ("runs", "warning", "lowest-voltage")),
    ("The night", "dew-and-cold", ("coldest", "saturated")),
    ("Carrying", "what-it-weighs", ("total",)),
    ("Carrying", "hands-and-back", ("heaviest-lift", "lift-limit", "walks")),
)
"""What somebody asks in the dark: heading, chapter and figures, in the order of the card."""

MOST_FINDINGS = 6
"""Findings on the card at most, the worst first; the page has all of them."""
MOST_WORDS = 150
"""Characters of what is said of one."""
CODE_SIDE = 24.0
"""Side of the code in mm, its quiet zone included."""
MOST_STEP = 95
"""Characters of a step."""


@dataclass(frozen=True, slots=True)
class Block:
    """Figures under one heading."""

    heading: str
    rows: tuple[tuple[str, Markup], ...]


@dataclass(frozen=True, slots=True)
class Mind:
    """One thing that does not hold: its finding, and what to do about it in few words."""

    chapter: Chapter
    finding: Finding
    words: str


def blocks_of(study: RigStudy, writer: Writer) -> tuple[Block, ...]:
    """Return the figures of the card; what nobody knows has no row, as the card is for doing."""
    found: dict[str, list[tuple[str, Markup]]] = {}
    for heading, chapter, wanted in PICKED:
        for figure in _figures(study, chapter, wanted):
            found.setdefault(heading, []).append((figure.label, writer.brief(figure)))
    return tuple(Block(heading, tuple(rows)) for heading, rows in found.items())


def _figures(study: RigStudy, chapter: str, wanted: tuple[str, ...]) -> Iterator[Figure]:
    index = next((found.index for owner, found in study.studies if owner.id == chapter), {})
    return (index[id_] for id_ in wanted if id_ in index and index[id_].value is not None)


def minds_of(study: RigStudy) -> tuple[tuple[Mind, ...], int]:
    """Return what does not hold, the worst first and at most so many, and how many more there are."""
    worth = [(chapter, finding) for chapter, finding in study.findings if finding.verdict in ("fails", "tight")]
    told = tuple(
        Mind(chapter, finding, shortened(finding.remedy or finding.sentence, MOST_WORDS))
        for chapter, finding in worth[:MOST_FINDINGS]
    )
    return told, len(worth) - len(told)


def field_card(catalogue: Catalogue, study: RigStudy, addresses: Addresses) -> PageRecord:
    """Return the page that prints as a card for the lid."""
    rig, assembly = study.rig, study.assembly
    writer = Writer(field_card_address(rig.id), addresses, catalogue.guide.units)
    public = addresses.public(addresses.path(rig_address(rig.id)))
    code = PrintedCode(code_of(public), CODE_SIDE) if public else None
    minds, more = minds_of(study)
    html = writer.render(
        "field_card.html",
        rig=rig,
        guide=catalogue.guide,
        train=[item for item in assembly.items if item.role == "train"],
        blocks=blocks_of(study, writer),
        minds=minds,
        more=more,
        steps=[(name, shortened(doing, MOST_STEP)) for name, doing in checklist(study, "up")],
        totality=checklist(study, "totality"),
        cautions=cautions_for(assembly),
        code=code,
        address=for_people(public) if public else "",
    )
    return PageRecord(
        address=writer.address,
        title=f"Field card: {rig.name}",
        html=html,
        description=f"{rig.name}: what to set, how to begin and what to mind, on one side for the lid of the case.",
        section="rigs/index",
        search=SearchEntry(f"{rig.name}. Field card for the lid: what to set, first steps, what to mind."),
    )
