"""Plate: the feet from above, where the centre of gravity goes in a night, and where it comes nearest to an edge."""

from collections.abc import Callable
from math import atan2, cos, hypot, pi, sin

import numpy as np

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.footing.stance import THIRDS, Stance
from rigleaf.chapters.footing.still import toward
from rigleaf.chapters.footing.words import compass
from rigleaf.chapters.svg import PLATE_WIDTH, Plate

REACH = 138.0  # from the middle to a foot, in user units
MIDDLE_X, MIDDLE_Y = PLATE_WIDTH / 2, 186.0
HEIGHT = 372.0
LETTER = 168.0  # from the middle to the letters of the compass
FOOT = 7.0
BARB = 7.0

Point = tuple[float, float]


def plan_plate(assembly: Assembly, stands: Stance) -> Drawing:
    """Draw the feet with one leg put best, north up, as seen from above."""
    say, leg = assembly.say, stands.best_leg
    margins = stands.at(leg)
    edge, nearest = np.unravel_index(int(margins.argmin()), margins.shape)
    least = float(margins.min())
    farthest = float(np.hypot(stands.east, stands.north).max())
    scale = REACH / max(stands.radius, farthest)

    def at(east: float, north: float) -> tuple[float, float]:
        return MIDDLE_X + east * scale, MIDDLE_Y - north * scale

    azimuths = (leg + THIRDS) % 360
    feet = [(sin(a * pi / 180) * stands.radius, cos(a * pi / 180) * stands.radius) for a in azimuths]
    shares = stands.shares(leg)
    loads = [_span(say(float(row.min()), "mass"), say(float(row.max()), "mass")) for row in shares]
    where = "a leg in any direction" if stands.indifferent else f"one leg to the {compass(leg)}"
    title = "The tripod from above"
    carried = "; ".join(
        f"{compass(float(azimuth))} foot {words}" for azimuth, words in zip(azimuths, loads, strict=True)
    )
    description = (
        f"Feet {say(stands.radius, 'length')} from the middle, {where}, north up. The centre of gravity stays within "
        f"{say(farthest, 'length')} of the middle; least margin {say(least, 'offset')}, towards {toward(stands)}. "
        f"Loads: {carried}."
    )
    plate = Plate(f"{assembly.rig.id}-footing", PLATE_WIDTH, HEIGHT, title, description)
    for foot in feet:
        plate.line(*at(0.0, 0.0), *at(*foot), "ink-2")
    plate.path([at(*foot) for foot in feet], "ink", close=True)
    for foot, azimuth, words in zip(feet, azimuths, loads, strict=True):
        x, y = at(*foot)
        plate.circle(x, y, FOOT, "ink fill-paper")
        _foot_label(plate, x, y, float(azimuth), words)
    for letter, x, y in (("N", 0, -1), ("E", 1, 0), ("S", 0, 1), ("W", -1, 0)):
        plate.text(MIDDLE_X + x * LETTER * 1.2, MIDDLE_Y + y * LETTER + 5, letter, "dim", "middle")
    trail = [at(float(e), float(n)) for e, n in zip(stands.east, stands.north, strict=True)]
    closed = hypot(trail[0][0] - trail[-1][0], trail[0][1] - trail[-1][1]) < 0.2 * max(farthest * scale, 1.0)
    plate.path(trail, "accent", close=closed)
    start = (float(stands.east[nearest]), float(stands.north[nearest]))
    _arrow(plate, at, start, float(azimuths[edge]) + 180, least, say(least, "offset"))
    caption = (
        f"The feet from above, north up, {where}. Accented: the way of the centre of gravity through the night and, as "
        f"an arrow, the least margin, {say(least, 'offset')}. At each foot stands what it carries, least and most."
    )
    return Drawing("footing", title, description, caption, plate.render())


def _span(least: str, most: str) -> str:
    """Join two amounts, the unit once where it is the same: "3.38–6.00 kg"."""
    if least == most:
        return most
    number, _, unit = least.partition("\u00a0")
    return f"{number}–{most}" if most.endswith(f"\u00a0{unit}") else f"{least}–{most}"


def _foot_label(plate: Plate, x: float, y: float, azimuth: float, words: str) -> None:
    """Write what a foot bears outside the triangle, clear of the letters of the compass."""
    way = azimuth * pi / 180
    if abs(cos(way)) < 0.3:  # due east or west there is no room beside it
        plate.text(x, y - 14, words, anchor="middle")
        return
    left = sin(way) < -0.1
    plate.text(x - 14 if left else x + 14, y + 5, words, anchor="end" if left else "start")


def _arrow(
    plate: Plate, at: Callable[[float, float], Point], start: Point, azimuth: float, length: float, words: str
) -> None:
    """Draw an arrow of a length in mm to an edge, its words beyond; a negative length comes back from outside."""
    way = azimuth * pi / 180
    x1, y1 = at(*start)
    x2, y2 = at(start[0] + sin(way) * length, start[1] + cos(way) * length)
    plate.line(x1, y1, x2, y2, "accent")
    back = atan2(y1 - y2, x1 - x2)
    barbs = [(x2 + BARB * cos(back + turn), y2 + BARB * sin(back + turn)) for turn in (0.45, -0.45)]
    plate.path([barbs[0], (x2, y2), barbs[1]], "accent")
    anchor = "middle" if abs(sin(way)) < 0.3 else "start" if sin(way) > 0 else "end"
    plate.text(x2 + 10 * sin(way), y2 - 10 * cos(way) + (14 if cos(way) < -0.3 else 4), words, "accent", anchor)
