"""One target in one rig's frame: how much of it fits, at which angle, in how many panels, and how large it is."""

from dataclasses import dataclass
from functools import lru_cache
from math import log10, sqrt
from typing import Final

import numpy as np

from rigleaf.catalogue.defaults import choice
from rigleaf.catalogue.models.guide import Guide
from rigleaf.chapters.in_the_frame import physics
from rigleaf.chapters.in_the_frame.physics import Beside, Ellipse, Grid, Panel
from rigleaf.chapters.in_the_frame.view import View
from rigleaf.sky.targets import SkyTarget

MOST_PANELS: Final = 36
"""Panels beyond which a mosaic is no plan for a season (a choice of this guide)."""
FEW_ELEMENTS: Final = 20.0
"""Resolved elements along a target below which little of its form is seen (a choice of this guide)."""
FEWEST_ELEMENTS: Final = 5.0
"""Resolved elements along a target below which it looks like a star (a choice of this guide)."""
ALMOST: Final = 0.97
"""Part of a target inside the frame from which only a thin edge is cut off (a choice of this guide)."""
MOST_GUIDE_STARS: Final = 400
"""How many of the stars that may come to lie on the second sensor decide the angle, the brightest first."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the guide asks of a framing: the room around a target in parts of the short side, and panels' overlap."""

    margin: float
    overlap: float


def wishes_of(guide: Guide) -> Wishes:
    """Return the guide's own wishes, or those that are assumed."""
    return Wishes(choice(guide, "frame_margin").value, choice(guide, "mosaic_overlap").value)


@dataclass(frozen=True, slots=True)
class Framed:
    """A target in a frame.

    Attributes:
        target: The target; its size is known.
        ellipse: Its outline on the tangent plane.
        angle: Best position angle of the frame, deg.
        free: Whether every angle is as good, as far as the main frame goes.
        room: Least distance from the outline to an edge of the frame, in parts of its short side; below 0 where cut.
        share: Part of the outline's area inside the frame, 0 to 1.
        fill: The outline's extent along the side of the frame that it fills most, in parts of that side.
        grid: The mosaic that covers it with the margin wanted; 1 by 1 where a single frame does.
        pixels: Its major axis in pixels.
        elements: Its major axis in resolved elements.
        stars: Number of stars on the second sensor at that angle; None without such a sensor, or without a place.
        brightest: G magnitude of the brightest of them.
    """

    target: SkyTarget
    ellipse: Ellipse
    angle: float
    free: bool
    room: float
    share: float
    fill: float
    grid: Grid
    pixels: float
    elements: float
    stars: int | None = None
    brightest: float | None = None

    @property
    def whole(self) -> bool:
        """Whether all of it is inside the frame."""
        return self.room >= 0

    @property
    def has_panels(self) -> bool:
        """Whether its mosaic can be listed: with a place in the sky, and of no more panels than is sensible."""
        return self.target.place is not None and 1 < self.grid.cells <= MOST_PANELS

    def roomy(self, wishes: Wishes) -> bool:
        """Whether all of it is inside with the room wanted."""
        return self.room >= wishes.margin - 1e-9

    def score(self, wishes: Wishes) -> float:
        """How well the rig frames it, 0 to 1, for ranking.

        Whole with the room wanted: the square root of how far it fills what that room leaves. Whole with less: 0.8.
        Cut: half of the part inside. Fewer resolved elements than twice what counts as few lessen it in proportion.
        """
        if self.roomy(wishes):
            framed = sqrt(min(1.0, self.fill / (1 - 2 * wishes.margin)))
        else:
            framed = 0.8 if self.whole else 0.5 * self.share
        return framed * min(1.0, self.elements / (2 * FEW_ELEMENTS))


@lru_cache(maxsize=1024)
def _outline(major_arcmin: float, minor_arcmin: float, angle_deg: float | None) -> Ellipse:
    """Return a target's outline on the tangent plane; of a large guide's many rigs, each has it in its frame."""
    return physics.outline_on_plane(major_arcmin, minor_arcmin, angle_deg)


def frame_target(view: View, target: SkyTarget, wishes: Wishes, guided: bool = True) -> Framed | None:
    """Frame a target with its middle in the middle of the frame; None where its size is not known.

    Args:
        view: What the rig sees.
        target: The target.
        wishes: What the guide asks for.
        guided: Whether to look for stars on the second sensor, which takes a millisecond; without, the angle is the
            best for the main frame alone.
    """
    if target.outline is None or target.major_arcmin is None:
        return None
    ellipse = _outline(*target.outline)
    place = target.place if guided and view.beside is not None else None
    angle, free = _main_angle(ellipse, view.width, view.height, wishes.margin)
    stars = brightest = None
    if place is not None and view.beside is not None:
        angle, stars, brightest = _guided_angle(ellipse, view, view.beside, place, wishes.margin, angle)
    across, up = (float(half) for half in physics.half_extents(ellipse, angle))
    room = float(physics.room(ellipse, view.width, view.height, angle))
    share = 1.0 if room >= 0 else float(physics.share_inside(ellipse, view.width, view.height, angle))
    return Framed(
        target=target,
        ellipse=ellipse,
        angle=angle,
        free=free,
        room=room / view.short_side,
        share=share,
        fill=max(2 * across / view.width, 2 * up / view.height),
        grid=_grid(ellipse, view.width, view.height, wishes, angle),
        pixels=physics.pixels_along(target.major_arcmin, view.scale),
        elements=physics.resolved_elements(target.major_arcmin, view.detail_of(target.sort)),
        stars=stars,
        brightest=brightest,
    )


def panels_of(framed: Framed, view: View, wishes: Wishes) -> tuple[Panel, ...]:
    """Return the panels of a mosaic of the target; none without a place, or where there would be too many."""
    place = framed.target.place
    if place is None or not framed.has_panels:
        return ()
    margin = wishes.margin * view.short_side
    return physics.panels(place, framed.ellipse, view.width, view.height, framed.grid, wishes.overlap, margin)


@lru_cache(maxsize=8192)
def _main_angle(ellipse: Ellipse, width: float, height: float, margin: float) -> tuple[float, bool]:
    """Return the best angle for the main frame alone, 0 to 179, and whether every angle is as good."""
    angles = physics.angles_to_try(ellipse)
    good = physics.good_angles(ellipse, width, height, angles, margin * min(width, height))
    return physics.best_angle(ellipse, width, height, angles, good), bool(good.all())


@lru_cache(maxsize=8192)
def _grid(ellipse: Ellipse, width: float, height: float, wishes: Wishes, preferred: float) -> Grid:
    margin = wishes.margin * min(width, height)
    if float(physics.room(ellipse, width, height, preferred)) >= margin - 1e-12:
        return Grid(1, 1, preferred)
    return physics.smallest_grid(ellipse, width, height, margin, wishes.overlap, preferred)


def _guided_angle(
    ellipse: Ellipse, view: View, beside: Beside, place: tuple[float, float], margin: float, main: float
) -> tuple[float, int, float | None]:
    """Return the angle that puts most light on the second sensor among those that are good for the main frame.

    Returns:
        The angle, 0 to 359, the number of stars on the second sensor, and the magnitude of the brightest.
    """
    from rigleaf.sky.projection import project
    from rigleaf.sky.stars import stars_in_cone

    radius = min(float(np.degrees(np.arctan(np.radians(beside.reach)))), 89.0)
    field = stars_in_cone(*place, radius)
    xi, eta = project(field.ra, field.dec, *place)
    far = np.hypot(xi, eta)
    inner = max(0.0, float(np.hypot(beside.x, beside.y) - np.hypot(beside.width, beside.height) / 2))
    # The sensor sweeps a ring as the camera turns; the brightest stars of that ring decide where it stops.
    near = np.flatnonzero((far >= inner) & (far <= beside.reach))[:MOST_GUIDE_STARS]
    angles = physics.angles_to_try(ellipse, whole_turn=True)
    good = physics.good_angles(ellipse, view.width, view.height, angles, margin * view.short_side)
    light = physics.light_at_angles(xi[near], eta[near], field.mag[near], beside, angles)
    best = int(np.argmax(light[good]))
    angle = float(angles[good][best]) if light[good][best] > 0 else main
    on = beside.inner.frame(angle).contains(xi, eta)
    return angle, int(on.sum()), float(field.mag[on].min()) if on.any() else None


def limit_for(number: float, radius_deg: float) -> float:
    """Return the magnitude to which a cone holds about so many stars on average over the sky, 10 at the faintest.

    The sky has 482,000 stars to G = 10, and about 2.9 times as many with every magnitude.
    """
    part = (1 - np.cos(np.radians(radius_deg))) / 2
    expected = 482_000 * max(float(part), 1e-12)
    return min(10.0, 10.0 - log10(expected / number) / log10(2.9)) if expected > number else 10.0
