"""The plate at the head of a rig's page: its first target as the sensor holds it, with the sky around."""

from math import atan, degrees, radians
from typing import Final

from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.in_the_frame.framing import Framed
from rigleaf.chapters.in_the_frame.framing_plate import MIDDLE_X, MIDDLE_Y, Say, outline, sensors, star_paths, stars_on
from rigleaf.chapters.in_the_frame.view import View
from rigleaf.chapters.in_the_frame.words import called
from rigleaf.chapters.svg import PLATE_WIDTH, Plate, number

HEIGHT: Final = 152.0
"""Height of the plate, so that it leaves a telephone's first screen to the answers."""
FRAME_HIGH: Final = 116.0
"""Height of the frame on it at most."""
MOST_STARS: Final = 110
"""Enough that a field is known again, and few enough for a page's weight."""


def on_sky(side: float) -> float:
    """Return the angle on the sky of a side of the frame, given in deg of tangent plane."""
    return 2 * degrees(atan(radians(side) / 2))


def portrait(rig: str, view: View, framed: Framed, say: Say) -> Drawing:
    """Draw a target with the frame level, as the picture will show it, and the stars on both sides of it."""
    scale = min(FRAME_HIGH / view.height, (PLATE_WIDTH - 40) / view.width)
    target, turn = framed.target, framed.angle
    title = f"What it sees of {called(target)}"
    extent = " by ".join(say(on_sky(side), "angle") for side in (view.width, view.height))
    description = f"The frame, {extent}, lies level over {called(target)}, with the sky around it to the same scale."
    plate = Plate(f"{rig}-portrait", PLATE_WIDTH, HEIGHT, title, description)
    x, y = PLATE_WIDTH / 2, HEIGHT / 2
    clip = f"{plate.id}-clip"
    plate.marks.append(
        f'<clipPath id="{clip}"><rect width="{PLATE_WIDTH:g}" height="{HEIGHT:g}"/></clipPath>'
        f'<g clip-path="url(#{clip})"><g transform="translate({number(x - MIDDLE_X)} {number(y - MIDDLE_Y)})">'
    )
    caption = f"What it sees: {called(target)} in a frame of {extent.replace(' by ', ' × ')}"
    if target.place is not None:
        stars = stars_on(target.place, x / scale, y / scale, turn, MOST_STARS)
        plate.marks += star_paths(*stars, scale)
    plate.marks.append(f'<g transform="rotate({number(turn)} {MIDDLE_X:g} {MIDDLE_Y:g})">')
    outline(plate, framed, scale)
    plate.marks.append("</g>")
    sensors(plate, view, scale)
    plate.marks.append("</g></g>")
    return Drawing("portrait", title, description, f"{caption}.", plate.render())
