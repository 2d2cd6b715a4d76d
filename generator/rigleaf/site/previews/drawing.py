"""Draws a preview picture: ink on paper, as a small PNG that is the same for the same plan."""

from functools import lru_cache
from io import BytesIO
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING, Final

from rigleaf.site.previews.layout import HEIGHT, WIDTH, Ink, Plan, Words
from rigleaf.site.previews.letters import font
from rigleaf.site.previews.plate import Outline, Point, SkyPlate

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

PAPER, INK, ACCENT = (250, 246, 236), (36, 31, 24), (147, 48, 30)
"""The colours of the style sheet's paper palette: a picture in a chat cannot follow the reader's own."""

SHADE: Final[dict[Ink, int]] = {"ink": 255, "soft": 190, "accent": 255}
"""How much ink, of 255."""
TINT, RULE_SHADE = 17, 70
NORTH_SIZE: Final = 26

FINE: Final = 3
"""The plate is drawn so many times as large and shrunk, because lines are drawn without soft edges."""

LINE, EDGE_LINE = 4.0, 2.5
DASH, GAP = 14.0, 9.0
STEPS: Final = 16
"""Steps from paper to each of both inks. More are not seen, and a picture must stay small."""


@lru_cache(maxsize=512)
def draw(plan: Plan) -> bytes:
    """Return the picture of a plan as a PNG. Kept, so that a guide that is served draws what has changed alone."""
    from PIL import Image, ImageDraw

    inks = {ink: Image.new("L", (WIDTH, HEIGHT)) for ink in ("ink", "accent")}
    if plan.plate:
        _draw_plate(plan.plate, inks["ink"], inks["accent"])
    pens = {ink: ImageDraw.Draw(image) for ink, image in inks.items()}
    for words in plan.words:
        _write(pens["accent" if words.ink == "accent" else "ink"], words)
    for rule in plan.rules:
        pens["ink"].rectangle((rule.x1, rule.y, rule.x2, rule.y + 1), fill=RULE_SHADE)
    return _as_png(inks["ink"], inks["accent"])


def box_of(words: Words) -> tuple[float, float, float, float]:
    """Return the box of a line's ink, in pixels."""
    face = font(words.weight, words.size)
    left, top, right, bottom = face.getbbox(words.text, anchor="rs" if words.flush else "ls")
    return words.x + left, words.y + top, words.x + right, words.y + bottom


def _write(pen: "ImageDraw", words: Words) -> None:
    face = font(words.weight, words.size)
    place, anchor = (round(words.x), round(words.y)), "rs" if words.flush else "ls"
    pen.text(place, words.text, font=face, fill=SHADE[words.ink], anchor=anchor)


def _draw_plate(plate: SkyPlate, ink: "Image", accent: "Image") -> None:
    """Draw a plate into both inks, at its place."""
    from PIL import Image, ImageDraw

    left, top, right, bottom = map(int, plate.box)
    size = ((right - left) * FINE, (bottom - top) * FINE)
    dark, red = Image.new("L", size, TINT), Image.new("L", size)
    pen = ImageDraw.Draw(dark)

    def fine(points: tuple[Point, ...]) -> list[Point]:
        return [((x - left) * FINE, (y - top) * FINE) for x, y in points]

    for x1, y1, x2, y2 in plate.frames:
        pen.rectangle((*fine(((x1, y1),))[0], *fine(((x2, y2),))[0]), fill=0)
    for x, y, radius in plate.stars:
        pen.ellipse((*fine(((x - radius, y - radius),))[0], *fine(((x + radius, y + radius),))[0]), fill=255)
    for outline in plate.outlines:
        _trace(ImageDraw.Draw(red if outline.accent else dark), outline, fine(outline.points))
    thin = len(plate.frames) > 2
    for number, (x1, y1, x2, y2) in enumerate(plate.frames):
        corners = fine(((x1, y1), (x2, y1), (x2, y2), (x1, y2), (x1, y1)))
        half = (EDGE_LINE if thin or number else LINE) * FINE / 2
        for (xa, ya), (xb, yb) in pairwise(corners):
            box = (min(xa, xb) - half, min(ya, yb) - half, max(xa, xb) + half - 1, max(ya, yb) + half - 1)
            pen.rectangle(box, fill=255)
    pen.rectangle((0, 0, size[0] - 1, size[1] - 1), outline=SHADE["soft"], width=round(EDGE_LINE * FINE))
    ink.paste(dark.reduce(FINE), (left, top))
    accent.paste(red.reduce(FINE), (left, top))
    if plate.north:
        place = round(plate.north[0]), round(plate.north[1])
        ImageDraw.Draw(ink).text(place, "N", font=font("semibold", NORTH_SIZE), fill=SHADE["soft"], anchor="mm")


def _trace(pen: "ImageDraw", outline: Outline, points: list[Point]) -> None:
    """Draw a closed line with round joints, whole or in dashes."""
    wide = round(LINE * FINE)
    closed = [*points, points[0]]
    if not outline.dashed:
        pen.line(closed, fill=255, width=wide, joint="curve")
        return
    gone = 0.0
    for one, two in pairwise(closed):
        long = hypot(two[0] - one[0], two[1] - one[1])
        at = 0.0
        while at < long:
            phase = (gone + at) % ((DASH + GAP) * FINE)
            on = phase < DASH * FINE
            step = min(long - at, (DASH * FINE if on else (DASH + GAP) * FINE) - phase + 1e-6)
            if on:
                ends = [_between(one, two, at / long), _between(one, two, (at + step) / long)]
                pen.line(ends, fill=255, width=wide)
            at += step
        gone += long


def _between(one: Point, two: Point, part: float) -> Point:
    return one[0] + (two[0] - one[0]) * part, one[1] + (two[1] - one[1]) * part


def _as_png(ink: "Image", accent: "Image") -> bytes:
    """Join both inks into one picture of few colours; where they meet, the stronger is seen."""
    import numpy as np
    from PIL import Image

    dark, red = np.asarray(ink), np.asarray(accent)
    step = 256 // STEPS
    index = np.where(red > dark, STEPS + red // step, dark // step).astype(np.uint8)
    picture = Image.frombytes("P", (WIDTH, HEIGHT), index.tobytes())
    picture.putpalette([value for end in (INK, ACCENT) for n in range(STEPS) for value in _mixed(end, n / (STEPS - 1))])
    target = BytesIO()
    picture.save(target, "PNG", compress_level=7)
    return target.getvalue()


def _mixed(end: tuple[int, int, int], part: float) -> tuple[int, ...]:
    return tuple(round(paper + (colour - paper) * part) for paper, colour in zip(PAPER, end, strict=True))
