"""What else the club owns that would carry a load: another mount, or another tripod."""

from dataclasses import dataclass
from math import inf

import numpy as np

from rigleaf.catalogue.catalogue import ON_THE_TRIPOD, Catalogue
from rigleaf.catalogue.models.mounting import Mount, Tripod
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.image_train.joints import quoted
from rigleaf.chapters.image_train.mating import mates
from rigleaf.chapters.on_the_mount.bodies import Turned
from rigleaf.chapters.on_the_mount.counterweights import Balance, balance_from_shelf
from rigleaf.chapters.on_the_mount.on_shelf import lent
from rigleaf.chapters.on_the_mount.physics import moment, polar_torque
from rigleaf.chapters.shelf import Row, row_of
from rigleaf.chapters.what_it_weighs.sums import sum_items
from rigleaf.quantities import Reading

SADDLE_SLACK_MM = 1.5
"""By how much a plate may differ from the width that a saddle is stated for; its clamp closes over as much."""


ROUNDING = 1e-9
"""Share by which a load is taken for less before it is looked at closely."""
STANCE = 0.9
"""Part of the foot radius of a tripod that one must have to stand in for it."""


def takes(widths: tuple[Reading, ...], plate: float) -> bool:
    """Whether a saddle that is stated for these widths takes a plate of that width in mm."""
    return any(abs(width.value - plate) <= SADDLE_SLACK_MM for width in widths)


def room_in(assembly: Assembly, capacity: Reading | None) -> float:
    """Return what a capacity carries in kg when the guide's margin stays unused; 0 where it is unsaid."""
    return capacity.value * _used(assembly) if capacity is not None else 0.0


def _used(assembly: Assembly) -> float:
    """Return the part of a capacity that the guide uses; it may want all of it to stay unused."""
    return 1 - assembly.choice("load_margin").value


def latitude_of(assembly: Assembly) -> float:
    """Return the latitude in deg for the torque about the polar axis; the equator, where it is worst, if unsaid."""
    place = assembly.place
    return place.latitude.value if place is not None and place.latitude is not None else 0.0


@dataclass(frozen=True)
class Carrier:
    """Another mount that carries the load with the guide's margin, and what hangs opposite, if anything."""

    mount: Mount
    capacity: Reading
    balance: Balance | None

    @property
    def mass(self) -> float:
        """Mass in kg of head, bar and weights; infinite where the head's is unsaid."""
        return _mass_of(self.mount) + (self.balance.mass if self.balance is not None else 0.0)


def _mass_of(mount: Mount) -> float:
    return mount.mass.value if mount.mass is not None else inf


def lightest_carrier(
    assembly: Assembly, mount: Mount, side: Turned, plate: float | None, steadier: bool = False
) -> Carrier | None:
    """Return the club's lightest other mount that carries the load; arguments as for ``mount_instead``."""
    heads, load = assembly.catalogue.once(_heads), side.load.total * (1 - ROUNDING)
    for own in assembly.parts(Mount):
        _mass_of(own)  # it counts, and is noted as read
    best: Carrier | None = None
    for other in heads.which(heads.numbers["most"] * _used(assembly) >= load):
        if best is not None and _mass_of(other) >= best.mass:
            break  # whatever hangs on it, it is no lighter
        if (
            other is not mount and _serves(mount, other) and not (steadier and other.drive == "worm")
            and (plate is None or (other.saddles is not None and takes(other.saddles, plate)))
            and (one := _carries(assembly, mount, other, side)) is not None
            and (best is None or one.mass < best.mass)
        ):  # fmt: skip
            best = one
    return best


def _heads(catalogue: Catalogue) -> Row[Mount]:
    """Return the club's mounts, the lightest first, and the most that each carries, with a counterweight or without."""

    def most(mount: Mount) -> float | None:
        stated = (mount.capacity, mount.capacity_with_counterweight)
        return max((one.value for one in stated if one is not None), default=None)

    order = lambda one: (_mass_of(one), one.id)  # noqa: E731
    return row_of(catalogue, Mount, order, {"most": most}, lambda one: lent(catalogue, one))


def mount_instead(
    assembly: Assembly, mount: Mount, side: Turned, plate: float | None, steadier: bool = False
) -> tuple[str, tuple[str, ...]]:
    """Return a sentence on the club's lightest mount that carries the load, and its parts; both empty without one.

    Args:
        assembly: the rig.
        mount: the mount that it has.
        side: what that mount turns.
        plate: width in mm of the plate that must sit in the saddle; None where it is unsaid.
        steadier: whether worm drives are out of the question.
    """
    best = lightest_carrier(assembly, mount, side, plate, steadier)
    if best is None:
        return "", ()
    carries = f"The club's {quoted(best.mount.name)} carries {assembly.say(best.capacity.value, 'mass')}"
    hangs = "without a counterweight" if best.balance is None else f"with {best.balance.names()}"
    parts = (best.mount.id, *(best.balance.parts if best.balance is not None else ()))
    tripod = next(assembly.parts(Tripod, "tripod"), None)
    if tripod is None or mates(tripod.top, best.mount.base):
        return f"{carries} {hangs}.", parts
    stand = _lightest(assembly, best.mount, side.load.total + best.mass, tripod)
    if stand is None:
        return f"{carries} {hangs}; it needs a tripod that takes its base.", parts
    return f"{carries} {hangs}, on {quoted(stand.name)}.", (*parts, stand.id)


def _serves(mount: Mount, other: Mount) -> bool:
    """Whether a mount can stand in for another: a field that turns, or a single axis, is only for those who had it."""
    return other.drive not in ("alt-azimuth", "star-tracker") or other.drive == mount.drive


def _carries(assembly: Assembly, mount: Mount, other: Mount, side: Turned) -> Carrier | None:
    load, reach = side.load.total, _reach_on(mount, other, side)
    if other.capacity is not None and load <= room_in(assembly, other.capacity) and other.drive != "worm":
        rated = other.rated_torque
        torque = polar_torque(moment(load, reach), latitude_of(assembly)) if reach is not None else 0.0
        if rated is None or torque <= room_in(assembly, rated):
            return Carrier(other, other.capacity, None)
    wide = other.capacity_with_counterweight
    if wide is None or load > room_in(assembly, wide) or reach is None:
        return None
    balance = balance_from_shelf(assembly, other, moment(load, reach))
    return Carrier(other, wide, balance) if balance is not None else None


def _reach_on(mount: Mount, other: Mount, side: Turned) -> float | None:
    """Return the distance of the load's centre from another mount's polar axis, in mm."""
    if side.reach.value is None or mount.saddle_distance is None or other.saddle_distance is None:
        return None
    return side.reach.value - mount.saddle_distance.value + other.saddle_distance.value


def tripod_instead(assembly: Assembly, mount: Mount, tripod: Tripod) -> tuple[str, tuple[str, ...]]:
    """Return a sentence on the club's lightest tripod that the mount goes on and that bears the load; empty without."""
    load = sum_items(item for item in assembly.items if item.role in ON_THE_TRIPOD).total
    best = _lightest(assembly, mount, load, tripod)
    if best is None:
        return "", ()
    bears = assembly.say(best.capacity.value, "mass") if best.capacity is not None else ""
    return f"The club's {quoted(best.name)} takes the base of {mount.name} and bears {bears}.", (best.id,)


def _lightest(assembly: Assembly, mount: Mount, load: float, tripod: Tripod) -> Tripod | None:
    """Return the club's lightest tripod that takes a mount's base and bears so many kg with the guide's margin.

    A table or a pier stands in for nothing but its like, and no tripod for one that spreads much wider.
    """

    def suits(one: Tripod) -> bool:
        return (
            one is not tripod and lent(assembly.catalogue, one)
            and mates(one.top, mount.base) and load <= room_in(assembly, one.capacity)
            and (one.form not in ("table", "pier") or one.form == tripod.form) and _spreads(one, tripod)
        )  # fmt: skip

    legs = assembly.catalogue.once(_legs)
    for own in assembly.parts(Tripod):
        if suits(own):
            _weight(own)  # it counts, and is noted as read
    bears = legs.numbers["capacity"] * _used(assembly)
    good = bears >= load * (1 - ROUNDING) if load > 0 else np.ones(len(legs.parts), dtype=bool)
    return legs.first(assembly, suits, good)


def _weight(tripod: Tripod) -> float:
    return tripod.mass.value if tripod.mass is not None else inf


def _legs(catalogue: Catalogue) -> Row[Tripod]:
    """Return the club's tripods, the lightest first."""

    def capacity(one: Tripod) -> float | None:
        return one.capacity.value if one.capacity is not None else None

    order = lambda one: (_weight(one), one.id)  # noqa: E731
    return row_of(catalogue, Tripod, order, {"capacity": capacity}, lambda one: lent(catalogue, one))


def _spreads(one: Tripod, tripod: Tripod) -> bool:
    """Whether a tripod spreads its feet about as wide as another; so it counts where either is unsaid."""
    if one.foot_radius is None or tripod.foot_radius is None:
        return True
    return one.foot_radius.value >= STANCE * tripod.foot_radius.value
