"""What a mount turns: masses and their distances from the polar axis, for balance, torque and footing."""

from dataclasses import dataclass

from rigleaf.catalogue.catalogue import ON_THE_MOUNT
from rigleaf.catalogue.models.mounting import CounterweightBar, Fixing, Mount
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.what_it_weighs.physics import MassSum
from rigleaf.chapters.what_it_weighs.sums import sum_items

FOOT_MM = 15.0
"""Height of rings and plate between saddle and tube where no part states it: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the load's centre stands from the polar axis.

    Attributes:
        value: mm, along the declination axis; None where the mount does not state its saddle's distance.
        assumed: what had to be assumed on the way, in words; empty where everything is stated or measured.
    """

    value: float | None
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Turned:
    """Everything on both ends of the declination axis.

    Attributes:
        load: what rides on the mount, in kg.
        reach: where its centre stands. Everything that rides counts as on the tube's own axis.
        weights: mass of the counterweights without their bar, in kg.
        bar: mass of the bar, in kg.
        bar_from: mm from the polar axis at which the usable part of the bar begins; None where it is unsaid.
        bar_length: its usable length in mm; None where it is unsaid or there is no bar.
    """

    load: MassSum
    reach: Reach
    weights: MassSum
    bar: MassSum
    bar_from: float | None
    bar_length: float | None

    @property
    def complete(self) -> bool:
        """Whether every mass is known."""
        return self.load.complete and self.weights.complete and self.bar.complete


def turned(assembly: Assembly) -> Turned:
    """Return what the rig's mount turns."""
    counter = [item for item in assembly.items if item.role == "counterweight"]
    bar = next((item.part for item in counter if isinstance(item.part, CounterweightBar)), None)
    mount = mount_of(assembly)
    return Turned(
        sum_items(item for item in assembly.items if item.role in ON_THE_MOUNT),
        reach(assembly),
        sum_items(item for item in counter if not isinstance(item.part, CounterweightBar)),
        sum_items(item for item in counter if isinstance(item.part, CounterweightBar)),
        mount.bar_start.value if mount is not None and mount.bar_start is not None else None,
        bar.usable_length.value if bar is not None and bar.usable_length is not None else None,
    )


def mount_of(assembly: Assembly) -> Mount | None:
    """Return the rig's mount."""
    return next(assembly.parts(Mount, "mount"), None)


def reach(assembly: Assembly) -> Reach:
    """Return the distance of the load's centre from the polar axis: saddle, brackets with a saddle, rings and tube."""
    mount = mount_of(assembly)
    if mount is None or mount.saddle_distance is None:
        return Reach(None)
    total = mount.saddle_distance.value
    assumed: list[str] = []
    fixings = list(assembly.parts(Fixing, "train", "rider"))
    # Brackets that carry another saddle stand one on the other; the last plate holds the tube.
    for bracket in fixings:
        if bracket.saddle is not None and bracket.dovetail is not None:
            if bracket.axis_height is None:
                assumed.append(f"{FOOT_MM:.0f} mm for {bracket.name}")
            total += bracket.axis_height.value if bracket.axis_height is not None else FOOT_MM
    held = next((one for one in fixings if one.saddle is None and one.axis_height is not None), None)
    if held is not None and held.axis_height is not None:
        return Reach(total + held.axis_height.value, tuple(assumed))
    optic = assembly.optic
    if optic is None or optic.tube_diameter is None:
        return Reach(None, tuple(assumed))
    assumed.append(f"half the tube's diameter and {FOOT_MM:.0f} mm of foot below it")
    return Reach(total + optic.tube_diameter.value / 2 + FOOT_MM, tuple(assumed))
