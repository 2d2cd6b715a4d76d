"""The time line of a night out: from unpacking to teardown, in steps of a few minutes."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.night_out.chosen import ChosenNight
from rigleaf.chapters.setting_up.schedule import schedule

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

STEP = 600.0
_MOST_STEPS = 500
"""Longest step in seconds; air and cooler change little in it."""


@dataclass(frozen=True, eq=False)
class Timeline:
    """Steps of a night, none of them over a change of state. Arrays have one number a step, shape (n,).

    Attributes:
        instants: middle of each step, seconds since 1970 UTC.
        hours: its length in hours.
        on: whether devices are switched on in it.
        cooling: whether the sensor is being cooled down in it.
        held: whether the sensor is held at its temperature in it.
        capture: whether pictures are taken in it.
        marks: instants at which unpacking begins, power is switched on, cooling begins, the sensor is cold, pictures
            begin and end, power is switched off, and all is packed.
    """

    instants: Array
    hours: Array
    on: Mask
    cooling: Mask
    held: Mask
    capture: Mask
    marks: tuple[float, ...]

    @property
    def arrive(self) -> float:
        """Instant at which unpacking begins."""
        return self.marks[0]

    @property
    def first(self) -> float:
        """Instant of the first exposure."""
        return self.marks[4]

    @property
    def last(self) -> float:
        """Instant at which the last exposure ends."""
        return self.marks[5]

    @property
    def packed(self) -> float:
        """Instant at which all is packed."""
        return self.marks[7]

    @property
    def edges(self) -> Array:
        """Instants between the steps, shape (n + 1,)."""
        return np.append(self.instants - self.hours * 1800, max(self.marks))


def timeline(assembly: Assembly, night: ChosenNight) -> Timeline:
    """Return the time line of a rig's night.

    Devices are on from the step of setting up that plugs them in until they are parked and switched off.
    """
    plan = schedule(assembly, night)
    plugged = next((one for one in plan.steps if one.step.id == "power"), None)
    parked = next((one.end for one in plan.teardown if one.step.id == "park"), plan.packed)
    on = plugged.start if plugged is not None else plan.arrive
    begun = min(plugged.end if plugged is not None else plan.arrive, plan.first)
    cold = min(begun + assembly.choice("cooling_down").value, plan.last)
    return _steps(plan.arrive, on, begun, cold, plan.first, plan.last, parked, plan.packed)


def like(times: Timeline, start: float, end: float) -> Timeline:
    """Return the time line of another night: other pictures, the same time for setting up and packing."""
    ahead, behind = start - times.first, end - times.last
    on, begun, cold = (min(mark + ahead, end) for mark in times.marks[1:4])
    return _steps(times.arrive + ahead, on, begun, cold, start, end, times.marks[6] + behind, times.packed + behind)


def _edges(seconds: float) -> int:
    # Nobody sets up for a week, but who states that it takes so long gets coarser steps, not a page that never ends.
    return min(max(2, int(np.ceil(seconds / STEP)) + 1), _MOST_STEPS)


def _steps(
    arrive: float, on: float, begun: float, cold: float, first: float, last: float, parked: float, packed: float
) -> Timeline:  # fmt: skip
    marks = sorted({arrive, on, begun, cold, first, last, parked, packed})
    pieces = [np.linspace(a, b, _edges(b - a))[:-1] for a, b in pairwise(marks)]
    edges = np.append(np.concatenate(pieces), marks[-1])
    middle = (edges[:-1] + edges[1:]) / 2

    def between(begin: float, end: float) -> Mask:
        return np.asarray((middle > begin) & (middle < end))

    return Timeline(
        middle,
        np.diff(edges) / 3600,
        between(on, parked),
        between(begun, cold),
        between(cold, last),
        between(first, last),
        (arrive, on, begun, cold, first, last, parked, packed),
    )
