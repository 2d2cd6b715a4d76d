"""What a tripod holds up: every mass above its head, and where it is while the mount turns through the night."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.catalogue import ON_THE_MOUNT, Item
from rigleaf.catalogue.models.mounting import Fixing, Mount
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.footing import physics
from rigleaf.chapters.on_the_mount.balance_study import hold
from rigleaf.chapters.on_the_mount.bodies import Turned, mount_of, turned

Array = NDArray[np.float64]

TAPE = "measure with a tape"
SCALE = "weigh on a luggage scale what is above 1 kg, on a kitchen scale the rest"


class Gap(NamedTuple):
    """Something that nobody has said: what, how to measure it, and whose it is (id of a part, or "")."""

    what: str
    how: str
    part: str = ""


@dataclass(frozen=True, eq=False)
class Path:
    """Where a mass is while the mount turns: mm east and north of the centre and above the tripod's head, (n,)."""

    east: Array
    north: Array
    up: Array


@dataclass(frozen=True, eq=False)
class Above:
    """Everything that stands on a tripod.

    Attributes:
        mount: the head.
        head: mass of the head in kg.
        head_at: where its centre is, (north, up) in mm.
        load: mass of what it carries, in kg.
        load_at: its path.
        weights: mass of weights and bar together, in kg; 0 where there are none.
        weights_at: path of their common centre.
        assumed: what had to be assumed on the way, in words.
    """

    mount: Mount
    head: float
    head_at: tuple[float, float]
    load: float
    load_at: Path
    weights: float
    weights_at: Path
    assumed: tuple[str, ...]

    @property
    def mass(self) -> float:
        """All of it, in kg."""
        return self.head + self.load + self.weights

    def moments(self, loaded: bool = True) -> tuple[float, Array, Array, Array]:
        """Return the mass in kg and its moments about the tripod's head, east, north and up, in kg mm.

        Args:
            loaded: whether the load is on; without it, the head holds its weights alone.
        """
        load = self.load if loaded else 0.0
        mass = self.head + load + self.weights
        east = load * self.load_at.east + self.weights * self.weights_at.east
        north = load * self.load_at.north + self.weights * self.weights_at.north + self.head * self.head_at[0]
        up = load * self.load_at.up + self.weights * self.weights_at.up + self.head * self.head_at[1]
        return mass, east, north, up


def above(assembly: Assembly) -> tuple[Above | None, tuple[Gap, ...]]:
    """Return what stands on the tripod, or None and what is missing."""
    mount = mount_of(assembly)
    if mount is None:
        return None, (Gap("the mount", "name it under 'mount'"),)
    found = turned(assembly)
    gaps: tuple[Gap, ...] = (*_mass_gaps(assembly), *_size_gaps(assembly, mount, found))
    upright = mount.drive == "alt-azimuth"
    latitude = assembly.place.latitude.value if assembly.place and assembly.place.latitude else None
    if not upright and latitude is None:
        gaps += (Gap("the latitude of the place", "state 'latitude' of the rig's place; a map shows it"),)
    if gaps or mount.mass is None or mount.hinge_height is None or found.reach.value is None:
        return None, gaps
    polar = mount.polar_length.value if mount.polar_length is not None else 0.0
    free = mount.drive == "star-tracker" and not _has_second_axis(assembly)
    directions = _directions(None if upright else latitude, free)
    north, up = (0.0, 0.0) if upright or latitude is None else (
        polar * physics.pole_north(latitude), polar * physics.pole_up(latitude))  # fmt: skip
    hinge, reach = mount.hinge_height.value, found.reach.value
    out, assumed = _counter(found, reach)

    def path(distance: float) -> Path:
        east, away, rise = (part * distance for part in directions)
        return Path(east, away + north, rise + hinge + up)

    return Above(
        mount=mount,
        head=mount.mass.value,
        # Half of an upright head is below its level axis; an equatorial one lies along the polar axis.
        head_at=(0.0, hinge / 2) if upright else (north / 2, hinge + up / 2),
        load=found.load.total,
        load_at=path(reach),
        weights=found.weights.total + found.bar.total,
        weights_at=path(-out),
        assumed=(*found.reach.assumed, *assumed, *(("the load may hang on any side of the tracker",) if free else ())),
    ), ()  # fmt: skip


@lru_cache(maxsize=128)
def _directions(latitude: float | None, free: bool) -> tuple[Array, Array, Array]:
    """Return the directions of the load from the turning axis; without a latitude the axis is upright."""
    if latitude is None:
        turns = np.arange(0.0, 360.0, 5.0)
        return -physics.axis_east(turns), physics.axis_up(turns, 0.0), 0 * turns
    turns = np.arange(-180.0, 180.0, 5.0) if free else np.linspace(-90.0, 90.0, 37)
    return physics.axis_east(turns), physics.axis_north(turns, latitude), physics.axis_up(turns, latitude)


def _has_second_axis(assembly: Assembly) -> bool:
    brackets = assembly.parts(Fixing, "rider", "train")
    return any(part.saddle is not None and part.dovetail is not None for part in brackets)


def _counter(found: Turned, reach: float) -> tuple[float, tuple[str, ...]]:
    """Return how far from the polar axis the common centre of weights and bar is, and what that assumes."""
    weights, bar = found.weights.total, found.bar.total
    if weights + bar == 0:
        return 0.0, ()
    if found.bar_from is None or found.bar_length is None:
        return found.load.total * reach / (weights + bar), (
            "the counterweights balance the load, for where their bar begins or ends is unsaid",)  # fmt: skip
    middle = found.bar_from + found.bar_length / 2
    if weights == 0:
        return middle, ()
    held = hold(found)
    place = held.place if held is not None else middle  # where masses are unsaid nothing is judged anyway
    return (weights * place + bar * middle) / (weights + bar), ()


def _mass_gaps(assembly: Assembly) -> Iterator[Gap]:
    roles = ON_THE_MOUNT | {"mount", "counterweight"}
    lacking: dict[str, Item] = {
        item.part.id: item for item in assembly.items if item.role in roles and item.part.mass is None
    }
    for id_, item in lacking.items():
        yield Gap(f"the mass of {item.part.name}", SCALE, id_)


def _size_gaps(assembly: Assembly, mount: Mount, found: Turned) -> Iterator[Gap]:
    name = mount.name
    if mount.hinge_height is None:
        what = "level axis" if mount.drive == "alt-azimuth" else "latitude's hinge"
        yield Gap(f"the height of the {what} of {name}", "measure with a tape from the base to its pin", mount.id)
    if mount.polar_length is None and mount.drive != "alt-azimuth":
        yield Gap(
            f"the polar length of {name}",
            "measure with a tape from the hinge of the latitude along the polar axis to the declination axis",
            mount.id,
        )
    if mount.saddle_distance is None:
        yield Gap(
            f"the saddle's distance on {name}",
            "measure with a tape from the middle of the turning axis to the bottom of the saddle",
            mount.id,
        )
    elif found.reach.value is None:
        optic = assembly.optic
        whose = f"{optic.name}, or the height of its axis in its rings," if optic is not None else "the optic"
        yield Gap(f"the tube's diameter of {whose}", TAPE, optic.id if optic is not None else "")
