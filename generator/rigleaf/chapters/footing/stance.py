"""A tripod under its load: where the centre of gravity goes in a night, and what that leaves at each edge."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.mounting import Tripod
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.footing import physics
from rigleaf.chapters.footing.above import SCALE, Above, Gap

Array = NDArray[np.float64]

THIRDS = np.array([0.0, 120.0, 240.0])
LEGS = np.arange(0.0, 120.0, 5.0)
"""Azimuths of one leg that are tried, deg."""

NEXT_TO_NOTHING = 0.5
"""Difference in mm of a margin that no plumb line shows."""

HARDLY = 0.03
"""Difference of a margin, as a part of the foot radius, for which nobody turns a tripod; a choice of this guide."""


@dataclass(frozen=True, eq=False)
class Stance:
    """One tripod with everything on it; shape (n,) for each place of the load.

    Attributes:
        tripod: the legs.
        radius: mm from the centre to each foot.
        height: mm of the head above the ground.
        mass: kg of all that stands on the ground there.
        east, north, up: centre of gravity in mm.
        load_up: height of the load's centre in mm.
        head_up: height of the head's centre in mm.
    """

    tripod: Tripod
    radius: float
    height: float
    mass: float
    east: Array
    north: Array
    up: Array
    load_up: Array
    head_up: float

    def margins(self, legs: Array) -> Array:
        """Return the margins in mm by azimuth of one leg, by the leg opposite to the edge, and by place: (k, 3, n)."""
        azimuths = (legs[:, np.newaxis] + THIRDS)[:, :, np.newaxis]
        return physics.edge_margin(self.east, self.north, self.radius, azimuths)

    @cached_property
    def best_leg(self) -> float:
        """Azimuth of one leg, deg, that leaves the widest least margin; due north or south where that is as good."""
        least = self.margins(LEGS).min(axis=(1, 2))
        good = LEGS[least >= least.max() - NEXT_TO_NOTHING]
        best = float(min(good, key=lambda leg: (leg != 0.0, leg != 60.0, leg != 30.0, leg != 90.0, leg)))
        return 180.0 if best == 60.0 else best

    @cached_property
    def worst_leg(self) -> float:
        """Azimuth of one leg, deg, that leaves the least margin."""
        return float(LEGS[self.margins(LEGS).min(axis=(1, 2)).argmin()])

    @cached_property
    def indifferent(self) -> bool:
        """Whether it makes next to no difference which way the legs point."""
        least = self.margins(LEGS).min(axis=(1, 2))
        return bool(np.ptp(least) < HARDLY * self.radius)

    def at(self, leg: float) -> Array:
        """Return the margins in mm with one leg so: by the leg opposite to the edge, and by place, (3, n)."""
        found: Array = self.margins(np.array([leg]))[0]
        return found

    def least(self, leg: float) -> float:
        """Least margin in mm with one leg so."""
        return float(self.at(leg).min())

    def leans(self, leg: float) -> float:
        """Least lean in deg at which it tips with one leg so."""
        return float(physics.lean(self.at(leg), self.up).min())

    def shares(self, leg: float) -> Array:
        """Return the load on each foot in kg with one leg so: by leg and by place, (3, n)."""
        found: Array = self.at(leg) / (1.5 * self.radius) * self.mass
        return found

    def weakest(self, leg: float, values: Array, slack: float) -> Iterator[float]:
        """Yield the azimuths of the legs opposite to the edges at which ``values``, (3, n), come down to the least."""
        lowest = values.min(axis=1)
        for azimuth, value in zip((leg + THIRDS) % 360, lowest, strict=True):
            if value <= lowest.min() + slack:
                yield float(azimuth)


def tripod_of(assembly: Assembly) -> Tripod | None:
    """Return the rig's tripod."""
    return next(assembly.parts(Tripod, "tripod"), None)


def stance(load: Above, tripod: Tripod, loaded: bool = True) -> Stance | None:
    """Return a load on a tripod; None where the tripod does not say enough.

    Args:
        load: what stands on it.
        tripod: the legs.
        loaded: False leaves off what the mount carries, as while setting up with the weights already on.
    """
    if tripod.foot_radius is None or tripod.height is None or tripod.mass is None:
        return None
    height, legs = tripod.height.value, tripod.mass.value
    on_it, east, north, up = load.moments(loaded)
    mass = on_it + legs
    # Legs of even thickness have their centre half way up.
    return Stance(
        tripod=tripod,
        radius=tripod.foot_radius.value,
        height=height,
        mass=mass,
        east=east / mass,
        north=north / mass,
        up=(up + on_it * height + legs * height / 2) / mass,
        load_up=load.load_at.up + height,
        head_up=load.head_at[1] + height,
    )


def tripod_gaps(tripod: Tripod | None) -> Iterator[Gap]:
    """Yield what a tripod does not say and this chapter needs."""
    if tripod is None:
        yield Gap("the tripod", "name it under 'tripod'")
        return
    if tripod.foot_radius is None:
        how = "spread the legs as for a night and measure with a tape from the plumb line to the middle of each foot"
        yield Gap(f"the foot radius of {tripod.name}", how, tripod.id)
    if tripod.height is None:
        yield Gap(f"the height of {tripod.name}", "measure with a tape from the ground to its top", tripod.id)
    if tripod.mass is None:
        yield Gap(f"the mass of {tripod.name}", SCALE, tripod.id)
