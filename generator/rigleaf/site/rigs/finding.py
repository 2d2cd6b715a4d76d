"""The page on which people find a rig: all of them in one table, and the choices by which a script narrows it.

Without script the page is the whole table. The choices are plain data here; ``find.js`` knows none of them by name.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Purpose, Rig, Travel
from rigleaf.chapters.figures import Verdict
from rigleaf.chapters.formatting import show
from rigleaf.chapters.in_the_frame.fleet import Ranked
from rigleaf.chapters.study import RigStudy
from rigleaf.quantities import to_canonical
from rigleaf.site.lent.availability import Availability
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.rigs.facts import Answer, RigFacts, day_by_day, facts_of, tally_of
from rigleaf.site.rigs.page import EXPERIENCE
from rigleaf.site.rigs.side_by_side_page import MOST
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

FINDING = "rigs/index"
"""Address of the page."""

Test = Literal["has", "is", "most", "least", "frames", "day", "until"]
"""How a choice looks at a row: a list has the word, a word is the same, a number is at most or at least so much, a
target's bit is set, the rig is here on a day; "until" makes of that day the first of several."""

AIR = "by air"
"""A way of travelling that stands for both sorts of luggage, since most people know only that they will fly."""
LUGGAGE: frozenset[str] = frozenset({"hand luggage", "hold luggage"})

ASKED_OF: tuple[str, ...] = (
    "a first night",
    "somebody with some nights' practice",
    "somebody with many nights' practice",
)
FLYING: tuple[tuple[str, str], ...] = (("all", "all of it may fly"), ("ask", "all of it, or after asking first"))
LASTING: tuple[tuple[str, str], ...] = (("lasts", "lasts with something left"), ("just", "lasts, if only just"))


@dataclass(frozen=True, slots=True)
class Option:
    """One word that a choice offers: how addresses write it, how people say it, and the number that a row holds."""

    value: str
    words: str
    number: int = 0


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to choose by.

    Attributes:
        name: its word in the address.
        label: what stands beside the control.
        test: how it looks at a row.
        of: the data attribute of a row that it looks at.
        say: what it says of a rig, before the word chosen.
        lacks: what is unsaid of a rig that it cannot judge.
        options: what can be chosen; empty for a number or a date.
        unit: unit of a number; several where the reader may choose, each with what it is in the row's unit.
    """

    name: str
    label: str
    test: Test
    of: str
    say: str
    lacks: str
    options: tuple[Option, ...] = ()
    units: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One rig in the table: its facts, what the script reads of them, and the words that have no second unit."""

    facts: RigFacts
    data: tuple[tuple[str, str], ...]
    verdicts: tuple[tuple[Verdict, int], ...]
    scale: str
    field: str


def finding_page(
    catalogue: Catalogue,
    studies: Sequence[RigStudy],
    framings: Mapping[str, Sequence[Ranked]],
    addresses: Addresses,
    had: Mapping[str, Availability] | None = None,
) -> PageRecord:
    """Return the page on which people find a rig.

    Args:
        catalogue: what was read.
        studies: the studies of its rigs.
        framings: by the id of a target, how the rigs frame it.
        addresses: how addresses become paths.
        had: by the id of a rig, what can be had of it day by day; without, no date can be chosen.
    """
    facts = facts_of(catalogue, studies, framings, had or {})
    lent = [one for one in facts if not one.rig.for_training]
    targets = _targets(catalogue, lent)
    rows = [_row(one, [option.value for option in targets]) for one in facts]
    units = catalogue.guide.units
    writer = Writer(FINDING, addresses, units)
    html = writer.render(
        "finding.html",
        had=had or {},
        most=MOST,
        rows=[row for row in rows if not row.facts.rig.for_training],
        training=[row for row in rows if row.facts.rig.for_training],
        ticks=_ticks([one.rig for one in lent]),
        first=_first(lent, units),
        more=_more(lent, targets),
        experience=[*EXPERIENCE.values()],
        marks={"lasts": "sound", "just lasts": "tight", "runs out": "fails"},
        flight_words={
            "may fly": "may fly",
            "ask first": "ask first",
            "part stays home": "stays home",
            "say more": "say more",
        },
    )
    return PageRecord(
        FINDING,
        tr("Find a rig"),
        html,
        tr("Every rig with the figures that people choose by, narrowed to those that suit."),
        SearchEntry(tr("All rigs: ") + ", ".join(one.rig.name for one in facts), tags=("choose", "compare", "filter")),
    )


def ways_in(catalogue: Catalogue) -> list[Choice]:
    """Return the choices of what to shoot and how to travel, which the home page offers too."""
    rigs = [rig for rig in catalogue.rigs.values() if not rig.for_training]
    return _ticks(rigs)[::-1]


def slug(words: str) -> str:
    """Return words as an address writes them: "Milky Way" is "milky-way"."""
    return words.lower().replace(" ", "-")


def _offered(words: Sequence[str], there: set[str]) -> tuple[Option, ...]:
    return tuple(Option(slug(word), tr(word)) for word in words if word in there)


def _ticks(rigs: Sequence[Rig]) -> list[Choice]:
    ways = {way for rig in rigs for way in rig.travels}
    travels = _offered((AIR, *get_args(Travel)), ways | ({AIR} if ways & LUGGAGE else set()))
    purposes = _offered(get_args(Purpose), {what for rig in rigs for what in rig.purpose})
    found = [
        Choice("travel", tr("How must it travel?"), "has", "travel", tr("travels: "), tr("how it travels"), travels),
        Choice(
            "shoot", tr("What do you want to shoot?"), "has", "shoot", tr("shoots: "), tr("what it is for"), purposes
        ),
    ]
    return [choice for choice in found if choice.options]


def _first(facts: Sequence[RigFacts], units: str) -> list[Choice]:
    """Return what most people ask next: how heavy it is, who can use it, and whether it is there."""
    masses = (("kg", 1.0), ("lb", to_canonical(1.0, "lb", "mass")))
    asks = {one.asks for one in facts if one.asks is not None}
    people = tuple(
        Option(slug(word), tr(words), rank)
        for rank, (word, words) in enumerate(zip(EXPERIENCE, ASKED_OF, strict=True))
        if rank in asks
    )
    found = []
    if any(one.mass for one in facts):
        in_order = masses if units == "metric" else masses[::-1]
        found.append(
            Choice(
                "most",
                tr("Mass in all, up to"),
                "most",
                "mass",
                tr("mass up to "),
                tr("its whole mass"),
                units=in_order,
            )
        )
    if people:
        found.append(Choice("asks", tr("For"), "most", "asks", "for ", tr("the experience that it asks"), people))
    if any(one.told for one in facts):
        lacks = tr("whether it is here then")
        found.append(Choice("on", tr("Here on, or from"), "day", "days", tr("here on "), lacks))
        found.append(Choice("until", tr("until"), "until", "days", tr("here until "), lacks))
    return found


def _more(facts: Sequence[RigFacts], targets: Sequence[Option]) -> list[Choice]:
    """Return what is asked by those who know what they want."""
    cameras = _offered(("colour", "mono"), {one.camera for one in facts})
    found = [
        Choice("target", tr("Holds in one frame"), "frames", "frames", tr("holds in one frame: "), tr("its frame"),
               tuple(targets)),
        Choice("camera", tr("Camera"), "is", "camera", tr("camera: "), tr("whether its camera sees colour"), cameras),
        Choice("fly", tr("What may fly"), "most", "fly", tr("by air: "), tr("whether it may fly"),
               _levels(FLYING, [one.flies for one in facts])),
        Choice("battery", tr("Battery through the night"), "most", "battery", tr("battery: "),
               tr("whether its power lasts"),
               _levels(LASTING, [one.battery for one in facts])),
    ]  # fmt: skip
    found = [choice for choice in found if choice.options]
    if any(one.scale for one in facts):
        unit = (("″/px", 1.0),)
        found += [
            Choice(
                "finest",
                tr("Image scale from"),
                "least",
                "scale",
                tr("image scale from "),
                tr("its image scale"),
                units=unit,
            ),
            Choice(
                "coarsest",
                tr("Image scale up to"),
                "most",
                "scale",
                tr("image scale up to "),
                tr("its image scale"),
                units=unit,
            ),
        ]
    if any(one.field_width for one in facts):
        found.append(
            Choice(
                "field",
                tr("Field as wide as"),
                "least",
                "field",
                tr("field as wide as "),
                tr("its field"),
                units=(("°", 1.0),),
            )
        )
    return found


def _levels(words: Sequence[tuple[str, str]], answers: Sequence[Answer]) -> tuple[Option, ...]:
    """Return the levels that some rig is known to be at."""
    there = {one.level for one in answers if not one.open}
    return tuple(Option(value, tr(said), level) for level, (value, said) in enumerate(words) if level in there)


def _targets(catalogue: Catalogue, facts: Sequence[RigFacts]) -> tuple[Option, ...]:
    """Return the targets that some rig holds in one frame, by name; the number is that of its bit."""
    held = {target for one in facts for target in one.frames or ()}
    named = sorted((catalogue.targets[id_].name, id_) for id_ in held)
    return tuple(Option(id_, name, bit) for bit, (name, id_) in enumerate(named))


def _row(facts: RigFacts, targets: Sequence[str]) -> Row:
    scale = facts.scale.value if facts.scale is not None else None
    field = facts.field.value if facts.field is not None else None
    return Row(
        facts=facts,
        data=_data(facts, targets),
        verdicts=tuple(tally_of(facts)),
        scale=show(scale, "image_scale").first if isinstance(scale, float) else "",
        field=field if isinstance(field, str) else "",
    )


def _data(facts: RigFacts, targets: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Return the data attributes of a row. What is unsaid has none; a plus says that it may be more, or worse."""
    rig = facts.rig
    scale, field = facts.scale, facts.field_width
    found = {
        "id": rig.id,
        "travel": " ".join(map(slug, (*([AIR] if LUGGAGE & set(rig.travels) else ()), *rig.travels))),
        "shoot": " ".join(map(slug, rig.purpose)),
        "mass": _number(facts.mass.value if facts.mass else None, facts.unweighed),
        "asks": "" if facts.asks is None else str(facts.asks),
        "camera": facts.camera,
        "scale": _number(scale.value if scale else None),
        "field": _number(field.value if field else None),
        "fly": _number(facts.flies.level, facts.flies.open),
        "battery": _number(facts.battery.level, facts.battery.open),
        "frames": "" if facts.frames is None else bits([id_ in facts.frames for id_ in targets]),
        "worst": str(facts.worst),
        "days": day_by_day(facts.told),
    }
    return tuple((name, value) for name, value in found.items() if value)


def _number(value: float | str | None, more: bool = False) -> str:
    return "" if not isinstance(value, int | float) else f"{value:.5g}{'+' if more else ''}"


def bits(wanted: Sequence[bool]) -> str:
    """Write yes and no as hexadecimal digits, four to a digit, the first in its lowest bit; never empty."""
    groups = [wanted[start : start + 4] for start in range(0, len(wanted), 4)]
    return "".join(f"{sum(yes << place for place, yes in enumerate(group)):x}" for group in groups) or "0"
