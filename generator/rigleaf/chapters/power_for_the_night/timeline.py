"""The time line of a night out: from unpacking to teardown, in steps of a few minutes."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.night_out.chosen import ChosenNight

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

STEP = 600.0
"""Longest step in seconds; air and cooler change little in it."""
BEFORE, AFTER = 3600.0, 1800.0
"""Seconds before the first exposure and after the last one, where nothing says how long setting up takes: assumed."""


@dataclass(frozen=True, eq=False)
class Timeline:
    """Steps of a night, none of them over a change of state. Arrays have one number a step, shape (n,).

    Attributes:
        instants: middle of each step, seconds since 1970 UTC.
        hours: its length in hours.
        cooling: whether the sensor is being cooled down in it.
        capture: whether pictures are taken in it.
        arrive: instant at which the first device is switched on.
        first: instant of the first exposure.
        last: instant at which the last exposure ends.
        packed: instant at which all is switched off.
    """

    instants: Array
    hours: Array
    cooling: Mask
    capture: Mask
    arrive: float
    first: float
    last: float
    packed: float

    @property
    def edges(self) -> Array:
        """Instants between the steps, shape (n + 1,)."""
        return np.append(self.instants - self.hours * 1800, self.packed)


def timeline(assembly: Assembly, night: ChosenNight) -> Timeline:
    """Return the time line of a rig's night."""
    arrive, first, last, packed = _instants(assembly, night)
    cooled = max(arrive, first - assembly.choice("cooling_down").value)
    marks = sorted({arrive, cooled, first, last, packed})
    pieces = [np.linspace(a, b, max(2, int(np.ceil((b - a) / STEP)) + 1)) for a, b in pairwise(marks)]
    edges = np.concatenate([piece[:-1] for piece in pieces] + [np.array([packed])])
    middles = (edges[:-1] + edges[1:]) / 2
    return Timeline(
        middles,
        np.diff(edges) / 3600,
        (middles > cooled) & (middles < first),
        (middles > first) & (middles < last),
        arrive,
        first,
        last,
        packed,
    )


def _instants(assembly: Assembly, night: ChosenNight) -> tuple[float, float, float, float]:
    del assembly
    return night.start - BEFORE, night.start, night.end, night.end + AFTER
