"""What each device of a rig draws through the night."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.catalogue.models.mounting import Mount
from rigleaf.catalogue.models.optics import DewHeater
from rigleaf.catalogue.models.part import Draw, Part
from rigleaf.catalogue.models.power import Computer, HandController, Hub
from rigleaf.catalogue.models.train import FilterWheel, FocuserMotor, Rotator
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.night_out.air import Air
from rigleaf.chapters.power_for_the_night.physics import cooler_draw
from rigleaf.chapters.power_for_the_night.timeline import Timeline

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Device:
    """One sort of device of the rig.

    Attributes:
        part: what it is.
        count: how many of it.
        watts: what all of them draw in each step, W, shape (n,); None where the draw is unsaid.
        peak: the most that all of them draw, W; None where the draw is unsaid.
    """

    part: Part
    count: int
    watts: Array | None
    peak: float | None

    @property
    def voltage(self) -> float | None:
        """Supply voltage in V, where it is stated."""
        power = self.part.power
        return power.voltage.value if power is not None and power.voltage is not None else None


def electrical(assembly: Assembly) -> dict[str, tuple[Part, int]]:
    """Return every part that uses electricity with its count, by id, in the order of the rig."""
    found: dict[str, tuple[Part, int]] = {}
    for item in assembly.items:
        part = item.part
        if part.draws_power and not (isinstance(part, Rotator) and part.motorised is False):
            _, count = found.get(part.id, (part, 0))
            found[part.id] = (part, count + item.count)
    return found


def devices(
    assembly: Assembly, times: Timeline, air: Air | None, heat: Mapping[str, tuple[Array, ...]], sensor: float
) -> tuple[Device, ...]:
    """Return what the devices of a rig draw.

    Args:
        assembly: the rig.
        times: the steps of the night.
        air: its air in the middle of each step; None where the place says nothing.
        heat: watts that each heated band of a sort needs against dew, by its id.
        sensor: temperature at which cooled sensors are held, deg C.
    """
    return tuple(
        _device(assembly, part, count, times, air, heat, sensor) for part, count in electrical(assembly).values()
    )


def _device(
    assembly: Assembly,
    part: Part,
    count: int,
    times: Timeline,
    air: Air | None,
    heat: Mapping[str, tuple[Array, ...]],
    sensor: float,
) -> Device:
    draw = part.power
    working = _working(draw)
    if draw is None or working is None:
        return Device(part, count, None, None)
    most = draw.peak.value if draw.peak is not None else working
    idle = draw.idle.value if draw.idle is not None else working
    watts: Array
    if isinstance(part, DewHeater):
        plain = np.where(times.capture, working, idle)
        needs = [np.minimum(need, most) for need in heat.get(part.id, ())][:count]
        watts = (sum(needs, np.zeros_like(plain)) + (count - len(needs)) * plain) / count
    elif isinstance(part, Camera) and air is not None and (made := cooler(part)) is not None:
        watts = _camera(assembly, made, times, air, sensor)
    elif isinstance(part, Mount | FocuserMotor | Rotator | FilterWheel):
        moving = assembly.choice("slewing").value
        watts = np.where(times.capture, working * (1 - moving) + most * moving, idle)
    elif isinstance(part, Computer | Hub | HandController):
        watts = np.full_like(times.hours, working)
    else:
        watts = np.where(times.capture, working, idle)
    return Device(part, count, count * np.where(times.on, watts, 0.0), count * max(most, working))


def _working(draw: Draw | None) -> float | None:
    """Return the working draw; half way between idle and peak where only those are stated."""
    if draw is None:
        return None
    if draw.working is not None:
        return draw.working.value
    if draw.idle is not None and draw.peak is not None:
        return (draw.idle.value + draw.peak.value) / 2
    return None


@dataclass(frozen=True, slots=True)
class Cooler:
    """What is known of a camera's cooler: draws in W without cooling, in use and at most, and its depth in K."""

    idle: float
    usual: float
    peak: float
    depth: float


def cooler(camera: Camera) -> Cooler | None:
    """Return a camera's cooler; None where it has none, or where too little is stated to follow it."""
    power, depth = camera.power, camera.cooling_depth
    usual = _working(power)
    if power is None or power.idle is None or power.peak is None or depth is None or usual is None:
        return None
    if not depth.value or power.idle.value > power.peak.value:
        return None
    return Cooler(power.idle.value, usual, power.peak.value, depth.value)


def _camera(assembly: Assembly, made: Cooler, times: Timeline, air: Air, sensor: float) -> Array:
    """Return the draw of one cooled camera: idle, cooling down at its most, then held."""
    usual = assembly.choice("usual_cooling").value
    held = cooler_draw(air.temperature - sensor, made.idle, made.usual, made.peak, usual, made.depth)
    down = np.where(air.temperature > sensor, made.peak, made.idle)
    return np.where(times.held, held, np.where(times.cooling, down, made.idle))
