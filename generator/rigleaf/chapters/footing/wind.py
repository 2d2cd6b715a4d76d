"""The wind on a loaded tripod: what stands in it, how dense it is, and at which speed it tips what."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.cameras import Camera, GuideCamera
from rigleaf.catalogue.models.mounting import Mount, Tripod
from rigleaf.catalogue.models.optics import GuideScope
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Computer, Hub
from rigleaf.catalogue.models.train import FilterWheel
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.footing import physics
from rigleaf.chapters.footing.above import TAPE, Gap
from rigleaf.chapters.footing.stance import Stance

Array = NDArray[np.float64]

BESIDE_THE_TUBE: tuple[type[Part], ...] = (Camera, GuideCamera, GuideScope, FilterWheel, Computer, Hub)
"""Kinds that stand in the wind beside or behind the tube; what is smaller, or inside it, does not count."""


@dataclass(frozen=True, slots=True)
class Sail:
    """What of a rig stands in the wind, apart from the legs.

    Attributes:
        tube: drag area of the tube with its dew shield, m2.
        beside: drag area of cameras, guide scope and boxes on the mount, m2.
        head: drag area of the mount's head, m2.
        left_out: names of what counts for nothing because its size is unsaid.
    """

    tube: float
    beside: float
    head: float
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wind:
    """The wind that a tripod should stand.

    Attributes:
        steady: m/s.
        gust: m/s.
        factor: times the gust's moment that the weight should hold.
        density: of the air, kg/m3.
        whose: where the steady wind comes from, in words.
        air: where the density comes from, in words.
    """

    steady: float
    gust: float
    factor: float
    density: float
    whose: str
    air: str


def wind_of(assembly: Assembly) -> Wind:
    """Return the wind that the rig's place or the guide asks for, in the coldest air that the place states."""
    place = assembly.place
    own = place.wind if place is not None else None
    steady = own.value if own is not None else assembly.choice("design_wind").value
    whose = "as the place states" if own is not None else "as this guide asks"
    elevation = place.elevation.value if place is not None and place.elevation is not None else 0.0
    known = [one.value for one in (place.night_temperature or () if place is not None else ()) if one is not None]
    temperature = min(known) if known else physics.standard_temperature(elevation)
    height, cold = assembly.say(elevation, "elevation"), assembly.say(temperature, "temperature")
    air = f"at {height} and {cold}, the coldest stated" if known else f"of the standard atmosphere at {height}"
    return Wind(
        steady=steady,
        gust=steady * assembly.choice("gust_factor").value,
        factor=assembly.choice("tip_factor").value,
        density=physics.air_density(elevation, temperature),
        whose=whose,
        air=air,
    )


def sail(assembly: Assembly, mount: Mount) -> tuple[Sail | None, tuple[Gap, ...]]:
    """Return what stands in the wind, or None and what is missing."""
    gaps = tuple(_gaps(assembly, mount))
    optic = assembly.optic
    if gaps or optic is None or optic.tube_length is None or optic.dew_shield is None or optic.tube_diameter is None:
        return None, gaps
    tube = physics.drag_area(optic.tube_length.value + optic.dew_shield.value, optic.tube_diameter.value)
    beside = 0.0
    left_out: list[str] = []
    for item in assembly.items:
        if item.role not in ("train", "guiding", "rider") or not isinstance(item.part, BESIDE_THE_TUBE):
            continue
        if item.part.packed is None:
            left_out.append(item.part.name)
        else:
            beside += item.count * _box(item.part)
    return Sail(tube, beside, _box(mount), tuple(dict.fromkeys(left_out))), ()


def _box(part: Part) -> float:
    """Drag area in m2 of a part taken as a cylinder across the wind: as long as its longest side, thick as the next."""
    if part.packed is None:
        return 0.0
    _, thickness, length = sorted(part.packed)
    return physics.drag_area(length, thickness)


def _gaps(assembly: Assembly, mount: Mount) -> Iterator[Gap]:
    optic = assembly.optic
    if optic is None:
        yield Gap("the optic", "name it in 'train'")
    else:
        if optic.tube_length is None:
            yield Gap(f"the tube length of {optic.name}", TAPE, optic.id)
        if optic.tube_diameter is None:
            yield Gap(f"the tube diameter of {optic.name}", TAPE, optic.id)
        if optic.dew_shield is None:
            yield Gap(f"the dew shield's length of {optic.name}", "measure how far it stands out", optic.id)
    if mount.packed is None:
        yield Gap(f"the size of {mount.name}", "measure its three sides with a tape", mount.id)


def leg_width(assembly: Assembly, tripod: Tripod) -> float:
    """Thickness of a leg in mm: the tripod's own, or what the guide assumes."""
    return tripod.leg_width.value if tripod.leg_width is not None else assembly.choice("leg_width").value


def legs_area(stands: Stance, width: float) -> float:
    """Drag area in m2 of three legs from head to foot; none shelters another."""
    return 3 * physics.drag_area(float(np.hypot(stands.height, stands.radius)), width)


def drag_moment(stands: Stance, sails: Sail, width: float) -> Array:
    """Sum of drag areas times their heights, m3, by place of the load: (n,). Legs count half way up."""
    above = (sails.tube + sails.beside) * stands.load_up + sails.head * stands.head_up
    found: Array = (above + legs_area(stands, width) * stands.height / 2) / 1000
    return found


def tipping(stands: Stance, leg: float, moments: Array, density: float) -> Array:
    """Speed of the wind in m/s that tips it with one leg so: by the leg opposite to the edge, and by place, (3, n)."""
    return physics.tipping_speed(np.full_like(moments, stands.mass), stands.at(leg), moments, density)
