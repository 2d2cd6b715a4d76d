"""Plate: a star as the pixels see it."""

from itertools import pairwise
from math import erf, log, sqrt

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.svg import PLATE_WIDTH, Plate

FEWEST, MOST = 5, 15
"""Pixels across the plate."""

SIDE = 300.0


def star_plate(assembly: Assembly, star: float, cause: str, scale: float, colour: bool) -> Drawing:
    """Draw the pixels around a star, each shaded by the light that falls on it.

    Args:
        star: full width at half maximum of the whole image, arcsec.
        cause: what makes it so wide, for the caption.
        scale: arcsec on a pixel.
        colour: whether a colour mosaic lies on the sensor.
    """
    across = star / scale
    count = min(MOST, max(FEWEST, 2 * round(across) + 3)) | 1  # odd: the star stands on a pixel's middle
    cell = SIDE / count
    left, top = (PLATE_WIDTH - SIDE) / 2, 12.0
    say = assembly.say
    words = (
        f"A star {say(star, 'small_angle')} wide on pixels of {say(scale, 'image_scale')}: its width at half "
        f"height spans {say(across, 'pixels')}. The fuller a pixel's tone, the more of the star's light falls on it."
    )
    plate = Plate(f"{assembly.rig.id}-star", PLATE_WIDTH, SIDE + 52, "A star on the pixels", words)
    share = _shares(across, count)
    most = max(share)
    for row in range(count):
        for column in range(count):
            light = sqrt(share[row] * share[column]) / most  # square root: the eye sees faint light too
            if light > 0.04:
                plate.rect(left + column * cell, top + row * cell, cell, cell, "shade", opacity=0.75 * light)
    for step in range(count + 1):
        plate.line(left + step * cell, top, left + step * cell, top + SIDE, "ink-2")
        plate.line(left, top + step * cell, left + SIDE, top + step * cell, "ink-2")
    middle_x, middle_y = left + SIDE / 2, top + SIDE / 2
    plate.circle(middle_x, middle_y, min(star / scale / 2 * cell, SIDE / 2), "accent")
    if colour and cell >= 18:
        _mosaic(plate, left, top, cell, count)
    plate.dimension(left, top + SIDE + 12, left + cell, top + SIDE + 12, "")
    plate.text(left + cell + 10, top + SIDE + 17, f"one pixel, {say(scale, 'image_scale')}", "dim")
    caption = f"A star on the pixels. The ring is its width at half height, {say(star, 'small_angle')}; {cause}."
    if colour:
        caption += " Letters name the colour that each photosite sees."
    return Drawing("star", "A star on the pixels", words, caption, plate.render())


def _shares(fwhm: float, count: int) -> list[float]:
    """Return the part of a Gaussian star's light on each column of pixels, the star on the middle one."""
    spread = fwhm / (2 * sqrt(log(2)))  # exp(-(x/spread)^2)
    edges = [(edge - count / 2) / spread for edge in range(count + 1)]
    return [(erf(after) - erf(before)) / 2 for before, after in pairwise(edges)]


def _mosaic(plate: Plate, left: float, top: float, cell: float, count: int) -> None:
    """Letter the photosites: rows of red and green in turn with rows of green and blue."""
    for row in range(count):
        for column in range(count):
            letter = ("R", "G", "G", "B")[row % 2 * 2 + column % 2]
            plate.text(left + (column + 0.5) * cell, top + (row + 0.5) * cell + 5, letter, "label", "middle")
