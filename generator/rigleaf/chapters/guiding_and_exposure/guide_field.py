"""Stars on the guide sensor at each target: from the catalogue at every angle, and expected from star counts."""

from dataclasses import dataclass
from math import hypot

import numpy as np

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.guiding_and_exposure import guide_stars
from rigleaf.chapters.guiding_and_exposure.guide_view import Guide
from rigleaf.sky.projection import Frame, project
from rigleaf.sky.stars import FAINTEST, stars_in_cone
from rigleaf.sky.targets import SkyTarget

STEP = 10.0
"""Step of the position angle in deg."""

WIDEST = 20.0
"""Radius in deg beyond which no field is searched: such a field is never without a star."""


@dataclass(frozen=True)
class Seen:
    """Stars on the guide sensor at one target.

    Attributes:
        target: the target; None for the poorest sky that there is, where a rig has no target with a place.
        latitude: galactic latitude, deg.
        expected: stars expected within reach, by star counts.
        angle: position angle with the brightest star of the catalogue on the guide sensor, deg; None without one.
        brightest: its magnitude.
        angles_with: part of all angles at which a star within reach of the catalogue is on it.
    """

    target: SkyTarget | None
    latitude: float
    expected: float
    angle: float | None
    brightest: float | None
    angles_with: float

    @property
    def chance(self) -> float:
        """Chance of at least one star, were the field poorer than the mean by what fields commonly scatter."""
        return guide_stars.chance_of_at_least(1, self.expected / guide_stars.COUNT_FACTOR)


def look(assembly: Assembly, guide: Guide, limit: float) -> list[Seen]:
    """Return what the guide sensor sees down to a magnitude at each of the rig's targets."""
    if not assembly.targets:
        density = guide_stars.stars_per_square_degree(limit, 90.0)
        return [Seen(None, 90.0, guide_stars.expected_stars(density, guide.width, guide.height), None, None, 0.0)]
    found = []
    for target in assembly.targets:
        if target.place is None:
            continue
        latitude = guide_stars.galactic_latitude(*target.place)
        density = guide_stars.stars_per_square_degree(limit, latitude)
        expected = guide_stars.expected_stars(density, guide.width, guide.height)
        angle, brightest, share = _scan(*target.place, guide, min(limit, FAINTEST))
        found.append(Seen(target, latitude, expected, angle, brightest, share))
    return found


def _scan(ra: float, dec: float, guide: Guide, limit: float) -> tuple[float | None, float | None, float]:
    """Turn the frame about the target and look at the guide sensor's place for stars of the catalogue."""
    x, y = guide.offset
    radius = min(hypot(x, y) + hypot(guide.width, guide.height) / 2, WIDEST)
    stars = stars_in_cone(ra, dec, radius, limit)
    xi, eta = project(stars.ra, stars.dec, ra, dec)
    best: tuple[float, float] | None = None
    with_star = 0
    angles = np.arange(0.0, 360.0, STEP)
    for angle in angles:
        across, up = Frame(guide.width, guide.height, float(angle)).to_frame(xi, eta)
        on = (np.abs(across - x) <= guide.width / 2) & (np.abs(up - y) <= guide.height / 2)
        if on.any():
            with_star += 1
            magnitude = float(stars.mag[on][0])  # the brightest stand first
            if best is None or magnitude < best[0]:
                best = magnitude, float(angle)
    share = with_star / len(angles)
    return (None, None, share) if best is None else (best[1], best[0], share)


def magnitude_for(expected: float, area: float, latitude: float) -> float:
    """Return the magnitude down to which so many stars are expected on an area in square degrees, 4 to 18."""
    limits = np.linspace(4.0, 18.0, 281)
    counts = guide_stars.stars_per_square_degree(limits, np.full_like(limits, latitude)) * area
    return float(np.interp(expected, counts, limits))


def poorest(seen: list[Seen]) -> Seen:
    """Return the target with the fewest stars."""
    return min(seen, key=lambda one: one.expected)
