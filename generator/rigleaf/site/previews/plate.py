"""The plate of a preview picture: what a rig's sensors see of the sky, to scale, in pixels. Geometry alone."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import cos, hypot, pi, sin
from typing import Final

import numpy as np

from rigleaf.chapters.in_the_frame.framing import Framed, limit_for
from rigleaf.chapters.in_the_frame.physics import Ellipse
from rigleaf.chapters.in_the_frame.view import View
from rigleaf.sky.projection import Frame

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""

MOST_STARS: Final = 220
BINS: Final = 5
FAINTEST_DOT, BRIGHTEST_DOT = 1.4, 6.5
"""Radii of stars, pixels."""

AROUND: Final = 1.26
"""Height and width of what is seen with the frame, at least, in those of the frame: the letter N stands outside."""
FARTHEST: Final = 1.75
"""The same at most, for a target that is larger than the frame."""

NORTH_ROOM: Final = 14.0
"""Pixels between the plate's northern edge and the middle of the letter there, which keeps stars off a little more."""

CORNERS: Final = 120
"""Corners of the polygon that stands for an ellipse."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed line; ``accent`` is the colour of targets, ``dashed`` says that its direction or place is not sure."""

    points: tuple[Point, ...]
    accent: bool = False
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class SkyPlate:
    """A plate, in pixels of the picture, y downwards.

    Attributes:
        box: The plate's edge; nothing is drawn outside.
        middle: The middle of the main frame.
        scale: Pixels to a degree of tangent plane.
        frames: Sensors, the main one first.
        outlines: Targets, and the image circle where it bites.
        stars: Middle and radius of every star.
        north: Where the plate's edge is marked as lying to the north; None where the target wanders.
    """

    box: Box
    middle: Point
    scale: float
    frames: tuple[Box, ...] = ()
    outlines: tuple[Outline, ...] = ()
    stars: tuple[tuple[float, float, float], ...] = ()
    north: Point | None = None


def frame_plate(view: View, framed: Framed, box: Box) -> SkyPlate:
    """Lay out a target as the rig frames it at the best angle, with the picture's top upwards."""
    sky = Frame(view.width, view.height, framed.angle)
    outline = _ellipse(framed.ellipse, sky)
    plate = _bare(view, box, outline)
    dashed = framed.target.place is not None and framed.target.position_angle is None
    lines = [Outline(_placed(plate, outline), accent=True, dashed=dashed)]
    if view.biting_circle is not None:
        lines.append(Outline(_placed(plate, _circle(view.biting_circle / 2)), dashed=True))
    plate = replace(plate, outlines=tuple(lines))
    if framed.target.place is None:
        return plate
    plate = replace(plate, north=_north(plate, framed.angle))
    return replace(plate, stars=_stars(plate, sky, framed.target.place))


def moon_plate(view: View, moon: float, box: Box) -> SkyPlate:
    """Lay out a rig's frame around a disc of so many degrees, for a rig that names no target of a known size."""
    disc = _circle(moon / 2)
    plate = _bare(view, box, disc)
    return replace(plate, outlines=(Outline(_placed(plate, disc), accent=True),))


def many_frames(sides: Iterable[tuple[float, float]], moon: float, box: Box) -> SkyPlate:
    """Lay out several frames, given by their sides in degrees, about one middle and to one scale, the largest first."""
    found = sorted(set(sides), reverse=True)
    wide, high = (max(side) * AROUND for side in zip(*found, strict=True))
    plate = SkyPlate(box, _centre(box), _scale(box, wide, high))
    frames = tuple(_rectangle(plate, 0.0, 0.0, *one) for one in found)
    return replace(plate, frames=frames, outlines=(Outline(_placed(plate, _circle(moon / 2)), accent=True),))


def _bare(view: View, box: Box, outline: list[Point]) -> SkyPlate:
    """Return a plate with the sensors alone, at a scale that leaves the outline legible."""
    spans = []
    for axis, side in enumerate((view.width, view.height)):
        seen = max(abs(point[axis]) for point in outline) * 1.06
        reach = max(side / 2 * AROUND, min(seen, side / 2 * FARTHEST))
        low, high = -reach, reach
        if beside := view.beside:
            place, half = (beside.x, beside.width / 2) if axis == 0 else (beside.y, beside.height / 2)
            low, high = min(low, place - half - 0.06 * side), max(high, place + half + 0.06 * side)
        spans.append((low, high))
    scale = _scale(box, *(high - low for low, high in spans))
    (left, right), (down, up) = spans
    x0, y0 = _centre(box)
    middle = (x0 - (left + right) / 2 * scale, y0 + (down + up) / 2 * scale)
    plate = SkyPlate(box, middle, scale)
    frames = [_rectangle(plate, 0.0, 0.0, view.width, view.height)]
    if beside := view.beside:
        frames.append(_rectangle(plate, beside.x, beside.y, beside.width, beside.height))
    return replace(plate, frames=tuple(frames))


def _centre(box: Box) -> Point:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def _scale(box: Box, wide: float, high: float) -> float:
    """Return the pixels to a degree at which so many degrees go into a box."""
    return min((box[2] - box[0]) / wide, (box[3] - box[1]) / high)


def _north(plate: SkyPlate, position_angle: float) -> Point:
    """Return the place just inside the plate's edge that lies to the north of the frame's middle."""
    angle = position_angle * pi / 180
    right, down = sin(angle), -cos(angle)
    (x0, y0), (left, top, x1, y1) = plate.middle, plate.box
    along = [(x1 - x0 if right > 0 else x0 - left) - NORTH_ROOM, (y1 - y0 if down > 0 else y0 - top) - NORTH_ROOM]
    reach = min(along[0] / max(abs(right), 1e-9), along[1] / max(abs(down), 1e-9))
    return x0 + right * reach, y0 + down * reach


def _rectangle(plate: SkyPlate, x: float, y: float, width: float, height: float) -> Box:
    """Return a rectangle on the plate from its middle and sides in degrees, x to the right and y upwards."""
    (left, top), (right, bottom) = _placed(plate, [(x - width / 2, y + height / 2), (x + width / 2, y - height / 2)])
    return left, top, right, bottom


def _placed(plate: SkyPlate, points: Iterable[Point]) -> tuple[Point, ...]:
    """Return where points, in degrees to the right and upwards of the middle, stand on the plate."""
    x0, y0 = plate.middle
    return tuple((x0 + x * plate.scale, y0 - y * plate.scale) for x, y in points)


def _ellipse(ellipse: Ellipse, sky: Frame) -> list[Point]:
    """Return an outline's corners in degrees to the right and upwards of the middle of the frame."""
    turn = np.linspace(0, 2 * pi, CORNERS, endpoint=False)
    along, across = ellipse.major * np.cos(turn), ellipse.minor * np.sin(turn)
    angle = ellipse.angle * pi / 180
    x, y = sky.to_frame(along * sin(angle) + across * cos(angle), along * cos(angle) - across * sin(angle))
    return list(zip(x.tolist(), y.tolist(), strict=True))


def _circle(radius: float) -> list[Point]:
    return [(radius * cos(n * 2 * pi / CORNERS), radius * sin(n * 2 * pi / CORNERS)) for n in range(CORNERS)]


def _stars(plate: SkyPlate, sky: Frame, place: Point) -> tuple[tuple[float, float, float], ...]:
    """Return the brightest stars on the plate, the brighter the larger."""
    from rigleaf.sky.projection import project
    from rigleaf.sky.stars import stars_in_cone

    left, top, right, bottom = plate.box
    (x0, y0), north = plate.middle, plate.north or (left, top)
    corner = hypot(max(x0 - left, right - x0), max(y0 - top, bottom - y0)) / plate.scale
    radius = min(float(np.degrees(np.arctan(np.radians(corner)))), 80.0)
    field = stars_in_cone(*place, radius, limit_for(5.0 * MOST_STARS, radius))
    x, y = sky.to_frame(*project(field.ra, field.dec, *place))
    x, y = x0 + x * plate.scale, y0 - y * plate.scale
    inside = (x >= left) & (x <= right) & (y >= top) & (y <= bottom)
    on = np.flatnonzero(inside & (np.hypot(x - north[0], y - north[1]) > 1.4 * NORTH_ROOM))[:MOST_STARS]
    if not len(on):
        return ()
    magnitudes = field.mag[on]
    # As bright as the fourth star and brighter is one size, so that one very bright star does not shrink the others.
    brightest, faintest = float(magnitudes[min(3, len(on) - 1)]), float(magnitudes[-1])
    step = max((faintest - brightest) / BINS, 0.05)
    sizes = np.clip((faintest - magnitudes) / step, 0, BINS - 1).astype(int) / (BINS - 1)
    radii = FAINTEST_DOT + (BRIGHTEST_DOT - FAINTEST_DOT) * sizes
    return tuple(zip(x[on].tolist(), y[on].tolist(), radii.tolist(), strict=True))
