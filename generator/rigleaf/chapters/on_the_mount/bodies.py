"""What a mount turns: masses and their distances from the polar axis, for balance, torque and footing."""

from dataclasses import dataclass
from math import hypot

from rigleaf.catalogue.catalogue import ON_THE_MOUNT
from rigleaf.catalogue.models.mounting import CounterweightBar, Fixing, Mount
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.what_it_weighs.physics import MassSum
from rigleaf.chapters.what_it_weighs.sums import sum_items

FOOT_MM, FOOT_ERROR_MM = 15.0, 10.0
"""Height of rings and plate between saddle and tube where no part states it, and how far off that may be: common
practice, no source."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the load's centre stands from the polar axis.

    Attributes:
        value: mm, along the declination axis; None where something on the way is unsaid.
        assumed: what had to be assumed on the way, in words; empty where everything is stated or measured.
        uncertainty: standard uncertainty in mm of what states one or is assumed; None where nothing does.
        missing: what would have to be stated, in words; empty where the value is known.
        to_plate: mm from the polar axis to the foot of the plate that holds the tube; None where it is unsaid.
    """

    value: float | None
    assumed: tuple[str, ...] = ()
    uncertainty: float | None = None
    missing: tuple[str, ...] = ()
    to_plate: float | None = None


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
        stack: length of bar in mm that the weights take side by side, from their packed sizes; 0 where unsaid.
    """

    load: MassSum
    reach: Reach
    weights: MassSum
    bar: MassSum
    bar_from: float | None
    bar_length: float | None
    stack: float = 0.0

    @property
    def complete(self) -> bool:
        """Whether every mass is known."""
        return self.load.complete and self.weights.complete and self.bar.complete


def turned(assembly: Assembly) -> Turned:
    """Return what the rig's mount turns."""
    counter = [item for item in assembly.items if item.role == "counterweight"]
    bar = bar_of(assembly)
    mount = mount_of(assembly)
    weights = [item for item in counter if not isinstance(item.part, CounterweightBar)]
    return Turned(
        sum_items(item for item in assembly.items if item.role in ON_THE_MOUNT),
        reach(assembly),
        sum_items(weights),
        sum_items(item for item in counter if isinstance(item.part, CounterweightBar)),
        mount.bar_start.value if mount is not None and mount.bar_start is not None else None,
        bar.usable_length.value if bar is not None and bar.usable_length is not None else None,
        sum((item.count * thickness(item.part) for item in weights), 0.0),
    )


def thickness(weight: Part) -> float:
    """Return the length of bar in mm that a weight takes, its shortest side as packed; 0 where that is unsaid."""
    return min(weight.packed) if weight.packed is not None else 0.0


def mount_of(assembly: Assembly) -> Mount | None:
    """Return the rig's mount."""
    return next(assembly.parts(Mount, "mount"), None)


def bar_of(assembly: Assembly) -> CounterweightBar | None:
    """Return the bar that the rig names for its counterweights."""
    return next(assembly.parts(CounterweightBar, "counterweight"), None)


def brackets_of(assembly: Assembly) -> tuple[Fixing, ...]:
    """Return what stands between the mount's saddle and the plate that holds the tube, from the mount outwards."""
    fixings = assembly.parts(Fixing, "train", "rider")
    return tuple(one for one in fixings if one.saddle is not None and one.dovetail is not None)


def has_two_axes(assembly: Assembly, mount: Mount, hangs: bool) -> bool:
    """Whether a load stands on one end of a declination axis: not on an alt-azimuth mount, nor on a bare tracker.

    ``hangs`` says whether a counterweight does, which needs such an axis.
    """
    if mount.drive == "alt-azimuth":
        return False
    return mount.drive != "star-tracker" or hangs or bool(brackets_of(assembly))


def reach(assembly: Assembly) -> Reach:
    """Return the distance of the load's centre from the polar axis: saddle, brackets with a saddle, rings and tube."""
    mount = mount_of(assembly)
    if mount is None:
        return Reach(None, missing=("a mount",))
    if mount.saddle_distance is None:
        return Reach(None, missing=(f"the distance of the saddle of {mount.name} from its polar axis",))
    total = mount.saddle_distance.value
    errors = [mount.saddle_distance.uncertainty]
    assumed: list[str] = []
    # Brackets that carry another saddle stand one on the other; the last plate holds the tube.
    for bracket in brackets_of(assembly):
        if bracket.axis_height is None:
            assumed.append(f"{FOOT_MM:.0f} mm for {bracket.name}")
        total += bracket.axis_height.value if bracket.axis_height is not None else FOOT_MM
        errors.append(bracket.axis_height.uncertainty if bracket.axis_height is not None else FOOT_ERROR_MM)
    fixings = assembly.parts(Fixing, "train", "rider")
    held = next((one for one in fixings if one.saddle is None and one.axis_height is not None), None)
    optic = assembly.optic
    if held is not None and held.axis_height is not None:
        height, error = held.axis_height.value, held.axis_height.uncertainty
    elif optic is not None and optic.tube_diameter is not None:
        height, error = optic.tube_diameter.value / 2 + FOOT_MM, FOOT_ERROR_MM
        assumed.append(f"half the tube's diameter and {FOOT_MM:.0f} mm of foot below it")
    else:
        whose = f"of {optic.name}" if optic is not None else "of a tube"
        missing = (f"the height {whose} above its plate, or its tube's diameter",)
        return Reach(None, tuple(assumed), missing=missing, to_plate=total)
    known = [one for one in (*errors, error) if one is not None]
    return Reach(total + height, tuple(assumed), hypot(*known) if known else None, (), total)
