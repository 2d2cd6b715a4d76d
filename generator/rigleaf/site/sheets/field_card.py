"""The card for the lid of the case: what to set, how to begin and what to mind, on one side of A4 or Letter."""

from dataclasses import dataclass

from markupsafe import Markup

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.figures import Finding
from rigleaf.chapters.register import Chapter
from rigleaf.chapters.study import RigStudy
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.sheets.codes import for_people, within
from rigleaf.site.sheets.hand_over import checklist, in_short
from rigleaf.site.typeset.addresses import Addresses, field_card_address, rig_address
from rigleaf.site.typeset.cautions import cautions_for
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

PICKED: tuple[tuple[str, str, dict[str, str]], ...] = (
    ("To set", "guiding-and-exposure", {
        "sub": "Sub-exposure", "guide-exposure": "Guide exposure, at most", "polar-tolerance": "Polar error, at most"}),
    ("To set", "dew-and-cold", {"sensor-held": "Sensor held at"}),
    ("To set", "scale-and-field", {"refocus-after": "Focus again after a change of"}),
    ("To set", "image-train", {"back-focus-wanted": "Back focus wanted", "stack": "Length in its place"}),
    ("The picture", "scale-and-field", {
        "focal-length": "Focal length", "focal-ratio": "Focal ratio", "image-scale": "Image scale",
        "field": "Field of view"}),
    ("Standing", "on-the-mount", {
        "balance-at": "Weights from the polar axis", "balance-along": "Weights along the bar"}),
    ("Standing", "footing", {
        "best-leg": "One leg to the", "tipping-gust": "Tips in gusts of", "tipping-from": "Worst from",
        "ballast": "Ballast"}),
    ("The night", "dew-and-cold", {"night": "Reckoned for"}),
    ("The night", "setting-up", {
        "arrive": "Arrive", "first": "First exposure", "last": "Last exposure ends", "packed": "Packed"}),
    ("The night", "power-for-the-night", {"runs": "Power lasts", "warning": "Battery low at"}),
    ("The night", "dew-and-cold", {"coldest": "Coldest hour", "saturated": "Air saturated from"}),
    ("Carrying", "what-it-weighs", {"total": "Mass in all"}),
    ("Carrying", "hands-and-back", {"heaviest-lift": "Hardest lift", "walks": "Walks from the car"}),
)  # fmt: skip
"""What somebody asks in the dark: heading, chapter, and figures with the short names that they have on the card."""

MOST_FINDINGS = 6
"""Findings on the card at most, the worst first; the page has all of them."""
MOST_WORDS = 260
"""Characters of what is said of one."""
CODE_SIDE = 24.0
"""Side of the code in mm, its quiet zone included."""
MOST_CODE_SIDE = 32.0
"""The same for a long address, which takes more modules; a larger one would push the rest off the card's one side."""
MOST_STEP = 200
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
        index = next((result.index for owner, result in study.studies if owner.id == chapter), {})
        for id_, label in wanted.items():
            if id_ in index and index[id_].value not in (None, 0.0):  # no ballast is nothing to do
                found.setdefault(heading, []).append((label, writer.brief(index[id_])))
    return tuple(Block(heading, tuple(rows)) for heading, rows in found.items())


def minds_of(study: RigStudy) -> tuple[tuple[Mind, ...], int]:
    """Return what does not hold, the worst first and at most so many, and how many more there are."""
    worth = [(chapter, finding) for chapter, finding in study.findings if finding.verdict in ("fails", "tight")]
    told = tuple(
        Mind(chapter, finding, in_short(finding.remedy or finding.sentence, MOST_WORDS))
        for chapter, finding in worth[:MOST_FINDINGS]
    )
    return told, len(worth) - len(told)


def field_card(catalogue: Catalogue, study: RigStudy, addresses: Addresses) -> PageRecord:
    """Return the page that prints as a card for the lid."""
    rig, assembly = study.rig, study.assembly
    writer = Writer(field_card_address(rig.id), addresses, catalogue.guide.units)
    public = addresses.public(addresses.path(rig_address(rig.id)))
    code = within(public, CODE_SIDE, MOST_CODE_SIDE) if public else None
    minds, more = minds_of(study)
    html = writer.render(
        "field_card.html",
        rig=rig,
        guide=catalogue.guide,
        train=[item for item in assembly.items if item.role == "train"],
        blocks=blocks_of(study, writer),
        minds=minds,
        more=more,
        steps=checklist(study, "up", MOST_STEP),
        totality=checklist(study, "totality"),
        cautions=cautions_for(assembly),
        code=code,
        address=for_people(public) if public else "",
    )
    return PageRecord(
        address=writer.address,
        title=tr("Field card: {name}", name=rig.name),
        article=html,
        description=tr(
            "{name}: what to set, how to begin and what to mind, on one side for the lid of the case.", name=rig.name
        ),
        section="rigs/index",
        search=SearchEntry(
            tr("{name}. Field card for the lid: what to set, first steps, what to mind.", name=rig.name)
        ),
        sought=False,
    )
