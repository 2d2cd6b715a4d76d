"""The light's way through a train: cones, and what holes leave of them. Pure functions, lengths in mm.

A point of the sensor gets its light from the exit pupil, a disc at the distance L before the sensor whose diameter
is L/N. So its cone crosses a plane at the distance d before the sensor in a disc of diameter d/N whose centre is
(1 - d/L) times the point. L is signed: infinite for a telecentric beam, negative where a strong reducer puts the
pupil behind the sensor. Distances run through air: take the glass shift off where filters lie in between.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import acos, atan2, cos, hypot, inf, pi, sin

import numpy as np

from rigleaf.chapters.scale_and_field.physics import N, elementwise

_TOUCH = 1e-12  # in pupil radii: circles this close count as touching


# --- The cone -----------------------------------------------------------------------------------------------


def cone_radius(distance_mm: N, focal_ratio: N | float) -> N:
    """Radius in mm of a cone of light at a distance before the sensor."""
    return distance_mm / (2 * focal_ratio)


def cone_centre(point_mm: N, distance_mm: N | float, pupil_mm: N | float = inf) -> N:
    """Distance in mm from the axis to the cone's centre, for a point of the sensor (its height, or x, or y)."""
    return point_mm * (1 - distance_mm / pupil_mm)


def clear_diameter(distance_mm: N, focal_ratio: N | float, height_mm: N | float, pupil_mm: N | float = inf) -> N:
    """Free diameter in mm about the axis that lets the whole cone of a point at this height pass.

    Args:
        distance_mm: from the hole to the sensor.
        focal_ratio: effective, behind all correctors.
        height_mm: of the point above the axis.
        pupil_mm: distance from exit pupil to sensor; infinite (telecentric) unless given.
    """
    centre: N = height_mm * (1 - distance_mm / pupil_mm)
    return distance_mm / focal_ratio + 2 * elementwise(np.abs, centre)


def exit_pupil_distance(focal_length_mm: N, factor: N | float = 1.0, lens_to_sensor_mm: N | float = 1.0) -> N:
    """Distance in mm from exit pupil to sensor, by thin lenses: the objective as seen through one corrector.

    Without a corrector (factor 1) it is the focal length. A reducer pushes the pupil far away or, where the
    result is negative, behind the sensor: then the telecentric cone is no upper bound any more.

    Args:
        focal_length_mm: of the bare optic, whose aperture is at the objective.
        factor: of the corrector.
        lens_to_sensor_mm: from the corrector's lens, not its shoulder, to the sensor; more than 0.
    """
    objective_to_lens = focal_length_mm - lens_to_sensor_mm / factor
    inverse = (1 - factor) / lens_to_sensor_mm - 1 / objective_to_lens
    with np.errstate(divide="ignore"):
        return lens_to_sensor_mm - elementwise(np.divide, 1.0 + 0 * objective_to_lens, inverse)


# --- One hole -----------------------------------------------------------------------------------------------


def overlap_fraction(separation_mm: N, cone_radius_mm: N | float, hole_radius_mm: N | float) -> N:
    """Part of a cone's disc, 0 to 1, that lies inside a round hole; exact area of the lens between two circles.

    A cone of radius 0 is a point, lit inside the hole and on its rim.
    """
    apart, cone, hole = np.broadcast_arrays(np.abs(separation_mm), cone_radius_mm, hole_radius_mm)
    whole, none = apart + cone <= hole, apart >= cone + hole
    within = (apart + hole <= cone) & ~whole  # the hole lies inside the disc
    crossing = ~(whole | none | within)
    # Where the circles do not cross, a harmless pair stands in so that nothing divides by zero.
    s = np.where(crossing, apart, 1.0) / np.where(crossing, cone, 1.0)
    h = np.where(crossing, hole, 1.0) / np.where(crossing, cone, 1.0)
    x = (1 + (s - h) * (s + h)) / (2 * s)  # of the chord from the cone's centre, in radii of the cone
    y = np.sqrt(np.maximum((s + 1 + h) * (s + 1 - h) * (s - 1 + h) * (1 + h - s), 0)) / (2 * s)
    lens = (_segments(np.arctan2(y, x)) + h * h * _segments(np.arctan2(y, s - x))) / pi
    inner = (hole / np.where(within, cone, 1.0)) ** 2
    return elementwise(
        lambda *_: np.select([whole, none, within], [1.0, 0.0, inner], np.clip(lens, 0.0, 1.0)), separation_mm
    )


def _segments(half_angle: N) -> N:
    """Area between chord and arc of a unit circle: a - sin a cos a, without cancellation for small angles."""
    series: N = half_angle**3 * (2 / 3 - half_angle * half_angle * (2 / 15))
    exact: N = half_angle - np.sin(2 * half_angle) / 2
    return elementwise(lambda angle: np.where(angle < 1e-3, series, exact), half_angle)


def illumination(
    height_mm: N,
    distance_mm: N | float,
    hole_mm: N | float,
    focal_ratio: N | float,
    pupil_mm: N | float = inf,
) -> N:
    """Light, 0 to 1, that a point at this height keeps behind one round hole of this diameter about the axis."""
    centre = height_mm * (1 - distance_mm / pupil_mm)
    return overlap_fraction(centre, distance_mm / (2 * focal_ratio), hole_mm / 2)


def stops_lost(light: N) -> N:
    """Photographic stops that a fraction of the light is short of all of it: 1 for a half, infinite for none."""
    with np.errstate(divide="ignore"):
        return elementwise(np.abs, elementwise(np.log2, light))


# --- Several holes ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Hole:
    """A round hole in the train: distance to the sensor, diameter, and its centre where it is off the axis (mm)."""

    distance: float
    diameter: float
    x: float = 0.0
    y: float = 0.0


@dataclass(frozen=True, slots=True)
class Beam:
    """The beam that meets the sensor.

    Attributes:
        focal_ratio: effective, behind all correctors.
        pupil: distance in mm from exit pupil to sensor; infinite for a telecentric beam.
        obstruction: diameter of the central obstruction over that of the aperture, 0 to less than 1.
    """

    focal_ratio: float
    pupil: float = inf
    obstruction: float = 0.0


@dataclass(frozen=True, slots=True)
class _Disc:
    x: float
    y: float
    radius: float

    def apart(self, other: "_Disc") -> float:
        return hypot(self.x - other.x, self.y - other.y)

    def at(self, angle: float) -> tuple[float, float]:
        return self.x + self.radius * cos(angle), self.y + self.radius * sin(angle)

    def holds(self, x: float, y: float) -> bool:
        return hypot(x - self.x, y - self.y) <= self.radius


def light_through(x_mm: float, y_mm: float, holes: Sequence[Hole], beam: Beam) -> float:
    """Light, 0 to 1, that a point of the sensor keeps behind several holes in a row; exact.

    Seen from the point every hole is a circle before the pupil. What is lit is what lies inside all of them
    and, behind a central obstruction, outside that; 1 is a pupil that no hole cuts.
    """
    discs = [_Disc(0.0, 0.0, 1.0)]
    for hole in holes:
        radius = hole.distance / (2 * beam.focal_ratio)
        across = hole.x - x_mm * (1 - hole.distance / beam.pupil)
        up = hole.y - y_mm * (1 - hole.distance / beam.pupil)
        if radius < 1e-9:  # on the sensor itself: the point is behind the hole or it is not
            if hypot(across, up) > hole.diameter / 2:
                return 0.0
            continue
        discs.append(_Disc(across / radius, up / radius, hole.diameter / 2 / radius))
    dark = _Disc(0.0, 0.0, beam.obstruction)
    lit, whole = _common_area(discs), pi
    if beam.obstruction > 0:
        lit, whole = lit - _common_area([*discs, dark]), whole - pi * beam.obstruction**2
    return min(max(lit / whole, 0.0), 1.0)


def culprit(x_mm: float, y_mm: float, holes: Sequence[Hole], beam: Beam) -> int | None:
    """Return the index of the hole that costs this point most light, or None where none costs any.

    It is the one without which the point would be brightest; where several are equally narrow and none alone
    would help, the one that passes least by itself; the first of equals.
    """
    now = light_through(x_mm, y_mm, holes, beam)
    if now > 1 - 1e-9:
        return None
    ranks = [
        (-round(light_through(x_mm, y_mm, [*holes[:i], *holes[i + 1 :]], beam) - now, 9),
         round(light_through(x_mm, y_mm, [hole], beam), 9), i)
        for i, hole in enumerate(holes)
    ]  # fmt: skip
    return min(ranks)[2]


def _common_area(discs: Sequence[_Disc]) -> float:
    """Area inside all of the discs: the polygon of the corners, and a segment of a circle on each side of it."""
    narrow: list[_Disc] = []  # those that do not hold another one whole
    for disc in sorted(discs, key=lambda one: one.radius):
        if not any(disc.apart(inner) + inner.radius <= disc.radius + _TOUCH for inner in narrow):
            narrow.append(disc)
    area = 0.0
    for disc in narrow:
        others = [other for other in narrow if other is not disc]
        ends: list[float] = []
        for other in others:
            apart = disc.apart(other)
            if apart >= disc.radius + other.radius:
                return 0.0
            cosine = (disc.radius**2 + (apart - other.radius) * (apart + other.radius)) / (2 * disc.radius * apart)
            towards, half = atan2(other.y - disc.y, other.x - disc.x), acos(min(max(cosine, -1.0), 1.0))
            ends += [(towards - half) % (2 * pi), (towards + half) % (2 * pi)]
        ends.sort()
        for start, end in pairwise([*ends, ends[0] + 2 * pi] if ends else [0.0, 2 * pi]):
            middle = disc.at((start + end) / 2)
            if all(other.holds(*middle) for other in others):
                (x1, y1), (x2, y2) = disc.at(start), disc.at(end)
                area += (x1 * y2 - x2 * y1) / 2 + disc.radius**2 * _segments((end - start) / 2)
    return area
