"""What stands where on a preview picture, in pixels: words, rules and the plate. Layout without drawing."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from rigleaf.site.previews.letters import LEADING, Fitted, Weight, fit, rise, width, writable
from rigleaf.site.previews.plate import Box, SkyPlate

WIDTH: Final = 1200
HEIGHT: Final = 630
"""Chats show pictures of links at this ratio, some no more than 300 pixels wide: no letters are smaller than 28."""

MARGIN: Final = 44.0
COLUMN: Final = 606.0
"""Width of the words beside the plate."""
PLATE_BOX: Final[Box] = (690.0, MARGIN, WIDTH - MARGIN, 484.0)

Ink = Literal["ink", "soft", "accent"]

KICKER_BASE: Final = 76.0
TITLE_TOP, TITLE_HIGH = 98.0, 244.0
FACTS_TOP, FACT_STEP = 356.0, 53.0
CAPTION_BASE: Final = 523.0
FOOT_RULE, FOOT_BASE = 546.0, 592.0

TITLE_SIZES: Final = (88, 80, 72, 64, 58, 52, 46, 40)
TWO_LINES: Final = 58
"""Least size at which two lines are better than three larger ones."""
FACT_SIZES: Final = (38, 34, 30, 28)
NAMELESS: Final = "A field guide to portable rigs"
"""Stands where neither a rig's name nor the guide's can be written in the typeface."""


class Words(NamedTuple):
    """One line of words on its baseline; ``x`` is its left end, or its right end where it is ``flush``."""

    text: str
    x: float
    y: float
    size: int
    weight: Weight
    ink: Ink = "ink"
    flush: bool = False


class Rule(NamedTuple):
    """A level line."""

    x1: float
    x2: float
    y: float


@dataclass(frozen=True, slots=True)
class Content:
    """What a picture says.

    Attributes:
        kicker: Small words above the title: whose rig it is.
        title: What it is called.
        facts: Label and value of its figures.
        foot: Label and words of the line at the foot.
        caption: What the plate shows.
        plate: The plate, laid out in `PLATE_BOX`.
        sentence: Stands where the plate would, if there is none.
    """

    kicker: str
    title: str
    facts: tuple[tuple[str, str], ...] = ()
    foot: tuple[str, str] = ("", "")
    caption: str = ""
    plate: SkyPlate | None = None
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """A picture, laid out. Equal plans give equal pictures."""

    words: tuple[Words, ...]
    rules: tuple[Rule, ...]
    plate: SkyPlate | None = None


def lay_out(content: Content) -> Plan:
    """Return where everything goes. Whatever it says, nothing overlaps and nothing leaves the picture."""
    words = [*_head(content), *_facts(content), *_beside(content), *_foot(content)]
    rules = [Rule(MARGIN, WIDTH - MARGIN, FOOT_RULE)] if content.foot[1] else []
    if content.facts:
        rules.append(Rule(MARGIN, MARGIN + COLUMN, FACTS_TOP))
    return Plan(tuple(words), tuple(rules), content.plate)


def _head(content: Content) -> Iterator[Words]:
    """Write the title as large as there is room for, below the kicker."""
    kicker, title = writable(content.kicker), writable(content.title)
    if not title:
        kicker, title = "", kicker or NAMELESS
    room = COLUMN if content.plate else WIDTH - 2 * MARGIN
    if kicker:
        yield from _lines(fit(kicker, "semibold", room, 40, (34, 30, 28)), MARGIN, KICKER_BASE, "semibold", "accent")
    found = _title(title, room)
    # Accents upon accents stand higher than capitals.
    base = TITLE_TOP + max(found.size * 0.86, rise(found.lines[0], "semibold", found.size))
    yield from _lines(found, MARGIN, base, "semibold")


def _title(title: str, room: float) -> Fitted:
    """Return a title in two lines where these can be large, else in as many as there is room for."""
    for size in [size for size in TITLE_SIZES if size >= TWO_LINES]:
        found = fit(title, "semibold", room, 2 * size * LEADING + 1, (size,))
        if " ".join(found.lines) == title:
            return found
    return fit(title, "semibold", room, TITLE_HIGH, TITLE_SIZES)


def _facts(content: Content) -> Iterator[Words]:
    """Write a row for each figure, its label at the left and its value at the right end of the column."""
    for row, (label, value) in enumerate(content.facts):
        base = FACTS_TOP + 44 + row * FACT_STEP
        named, said = writable(label), writable(value)
        right = _one_line(said, "semibold", COLUMN * 0.6)
        left = _one_line(named, "regular", COLUMN - width(right.lines[0], "semibold", right.size) - 24)
        yield from _lines(left, MARGIN, base, "regular", "soft")
        yield Words(right.lines[0], MARGIN + COLUMN, base, right.size, "semibold", flush=True)


def _beside(content: Content) -> Iterator[Words]:
    """Write the caption below the plate, or a sentence in its place."""
    left, _, right, _ = PLATE_BOX
    if content.plate and (caption := writable(content.caption)):
        yield from _lines(
            fit(caption, "regular", right - left, 40, (32, 30, 28)), left, CAPTION_BASE, "regular", "soft"
        )
    elif not content.plate and (sentence := writable(content.sentence)):
        x = left if content.facts else MARGIN
        found = fit(sentence, "regular", right - x, FOOT_RULE - FACTS_TOP - 20, (38, 34, 30, 28))
        yield from _lines(found, x, FACTS_TOP + 8 + found.size, "regular", "soft")


def _foot(content: Content) -> Iterator[Words]:
    label, said = map(writable, content.foot)
    if not said:
        return
    x = MARGIN
    if label:
        named = fit(label, "regular", COLUMN / 2, 40, (34, 30, 28))
        yield from _lines(named, x, FOOT_BASE, "regular", "soft")
        x += width(named.lines[0], "regular", named.size) + 22
    found = fit(said, "semibold", WIDTH - MARGIN - x, 40, (34, 30, 28))
    yield from _lines(found, x, FOOT_BASE, "semibold")


def _one_line(text: str, weight: Weight, room: float) -> Fitted:
    return fit(text, weight, room, FACT_SIZES[-1], FACT_SIZES)


def _lines(found: Fitted, x: float, base: float, weight: Weight, ink: Ink = "ink") -> Iterator[Words]:
    for number, line in enumerate(found.lines):
        if line:
            yield Words(line, x, base + number * found.size * LEADING, found.size, weight, ink)
