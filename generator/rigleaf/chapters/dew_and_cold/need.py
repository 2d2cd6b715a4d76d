"""How much heat the optics of a rig need against dew, hour by hour."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.carrying import Sundry
from rigleaf.catalogue.models.optics import DewHeater, GuideScope, Optic
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold import physics
from rigleaf.chapters.dew_and_cold.glass import Glass, glass_of
from rigleaf.chapters.night_out.air import Air
from rigleaf.chapters.night_out.humid_air import deposit_point

Array = NDArray[np.float64]

BAND_MM = 50.0
"""Width of a heated band; common practice, no source."""


@dataclass(frozen=True, eq=False)
class HeatNeed:
    """What one optic needs against dew.

    Attributes:
        optic: optic or guide scope whose front glass is meant.
        heater: the rig's band for it; None where it has none.
        watts: heater power in W that keeps the glass `optic_margin` above the dew point (below freezing: the frost
            point) at each instant of the air, shape (n,); 0 where none is needed.
        unheated: temperature of the glass without heat, deg C, shape (n,).
        reached: first instant, in seconds since 1970 UTC, at which the unheated glass reaches that point; None where
            it does not.
        warmer: what the rig ties around the tube instead of a band, without electricity; None where it has neither.
    """

    optic: Part
    heater: DewHeater | None
    watts: Array
    unheated: Array
    reached: float | None
    warmer: Sundry | None = None


def heat_needs(assembly: Assembly, air: Air) -> tuple[HeatNeed, ...]:
    """Return what each optic of a rig needs against dew; the main one first.

    Empty where the air's humidity is unsaid, where no optic states its size, and under the Sun, whose filter covers
    the glass while it is warmed.
    """
    if air.dew_point is None or assembly.filtered_for_the_sun:
        return ()
    found = list(glasses(assembly))
    bands = matched(assembly, found)
    warmers = warmers_for(assembly, found, bands)
    margin = assembly.choice("optic_margin").value
    wind = assembly.choice("dew_wind").value
    point = deposit_point(air.dew_point, air.temperature)
    needs = []
    for glass, band, warmer in zip(found, bands, warmers, strict=True):
        unheated = glass_temperature(glass, air.temperature, air.dew_point, wind)
        watts = band_watts(glass, air.temperature, air.dew_point, point + margin, wind)
        reached = first_at_or_below(air.instants, unheated, point)
        needs.append(HeatNeed(glass.optic, band, watts, unheated, reached, warmer))
    return tuple(needs)


def glasses(assembly: Assembly) -> Iterator[Glass]:
    """Yield the glass of each optic and guide scope on the mount that states its size, in the order of the rig."""
    for item in assembly.items:
        if item.role in ("train", "guiding", "rider") and isinstance(item.part, Optic | GuideScope):
            glass = glass_of(item.part)
            if glass is not None:
                yield glass


def matched(assembly: Assembly, found: list[Glass]) -> list[DewHeater | None]:
    """Return each glass's band: the one cut for its optic, else the narrowest of the rest that closes around it."""
    bands = [item.part for item in assembly.items for _ in range(item.count) if isinstance(item.part, DewHeater)]
    chosen: list[DewHeater | None] = []
    for glass in found:
        fitting = [band for band in bands if fits(band, glass)]
        band = min(fitting, key=lambda one: (one.front_of is None, _girth(one)), default=None)
        if band is not None:
            bands.remove(band)
        chosen.append(band)
    return chosen


def warmers_for(assembly: Assembly, found: list[Glass], bands: list[DewHeater | None]) -> list[Sundry | None]:
    """Return what warms each glass without electricity where it has no band: one sort for each, in their order."""
    parts = dict.fromkeys(assembly.parts(Sundry))
    left = [part for part in parts if part.warms is not None or part.warms_for is not None]
    return [
        left.pop(0) if band is None and glass.tube_diameter > 0 and left else None
        for glass, band in zip(found, bands, strict=True)
    ]


def fits(band: DewHeater, glass: Glass) -> bool:
    """Say whether a band belongs to a glass: cut for its optic, or long enough for its tube as far as is known."""
    if band.front_of is not None:
        return band.front_of == glass.optic.id
    # No band around the tube warms a mirror that hangs free in its middle.
    return glass.tube_diameter > 0 and _girth(band) >= glass.tube_diameter


def _girth(band: DewHeater) -> float:
    return band.fits_outer_diameter.value if band.fits_outer_diameter else float("inf")


def glass_temperature(glass: Glass, air: Array, dew_point: Array, wind: float) -> Array:
    """Return the temperature in deg C of a glass without heat."""
    return physics.surface_temperature(air, dew_point, wind, glass.view / glass.faces)


def band_watts(glass: Glass, air: Array, dew_point: Array, wanted: Array, wind: float) -> Array:
    """Return the power in W of a band that holds a glass at the temperatures wanted; 0 where it is as warm by itself.

    Glass and cell are one body. What the tube on both sides of the band loses is counted too, as it is most of it.
    """
    flux = physics.held_flux(wanted, air, dew_point, wind, glass.view / glass.faces) * glass.faces
    loss = physics.heat_loss_rate(air, wind, physics.TUBE_SKY)
    by_itself = physics.surface_temperature(air, dew_point, wind, physics.TUBE_SKY)
    excess = np.maximum(wanted - by_itself, 0.0)
    before, behind = (
        physics.fin_length(glass.conductivity, physics.WALL_MM, loss, reach) if reach > 0 else 0.0 * loss
        for reach in glass.reach
    )
    watts = physics.band_power(flux, glass.diameter, excess, loss, glass.tube_diameter, BAND_MM + before + behind)
    return np.where(flux > 0, watts, 0.0)


def first_at_or_below(instants: Array, falling: Array, limit: Array) -> float | None:
    """Return the first instant at which one row falls to another, straight between instants; None if it never does."""
    room = falling - limit
    under = np.flatnonzero(room <= 0)
    if not len(under):
        return None
    first = int(under[0])
    if first == 0:
        return float(instants[0])
    share = room[first - 1] / (room[first - 1] - room[first])
    return float(instants[first - 1] + share * (instants[first] - instants[first - 1]))
