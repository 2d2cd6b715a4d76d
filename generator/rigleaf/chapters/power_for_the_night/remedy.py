"""What would let a night be lasted: the lightest batteries on the shelf, or a warmer sensor."""

from dataclasses import dataclass

import numpy as np

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit, budget_of
from rigleaf.chapters.power_for_the_night.draws import cooler
from rigleaf.chapters.power_for_the_night.lightest import BatterySet, Search

HARDLY_HEAVIER = 1.10
"""A set that is no more than this heavier than the lightest, but of fewer pieces, is the better one."""


def lightest(assembly: Assembly, budget: Budget, circuit: Circuit, kept: float) -> BatterySet | None:
    """Return the lightest set of the club's batteries that lasts a circuit's night and leaves a part of its energy.

    What the rig has already is no remedy. Every battery of the set fits everything that the circuit feeds, so that any
    can take over from any.

    Args:
        assembly: the rig.
        budget: its night.
        circuit: what is to be fed.
        kept: part of the usable energy that is to be left at the end.
    """
    edges = tuple(edge for edge in budget.wiring.edges.values() if edge.root in circuit.group.roots)
    if not edges:
        return None
    found = Search(assembly, budget, circuit, edges, kept).best(HARDLY_HEAVIER)
    least = min((one.mass for one in found), default=0.0)
    near = [one for one in found if one.mass <= least * HARDLY_HEAVIER]
    return min(near, key=lambda one: one.pieces, default=None)


@dataclass(frozen=True, slots=True)
class Warmer:
    """A warmer sensor with which a circuit lasts: its temperature in deg C and the degrees given up."""

    sensor: float
    given_up: int


def warmer(assembly: Assembly, budget: Budget, circuit: Circuit, kept: float) -> Warmer | None:
    """Return the fewest whole degrees of cooling to give up so that a circuit lasts; None where none would do."""
    cameras = (one.part for one in budget.devices if isinstance(one.part, Camera))
    camera = next((one for one in cameras if one.id in circuit.group.devices), None)
    if camera is None or cooler(camera) is None or budget.scene.air is None or circuit.store is None:
        return None
    most = int(np.ceil(float(budget.scene.air.temperature.max()) - budget.sensor))
    low, high = 0, most
    if most <= 0 or not _lasts_at(assembly, budget, circuit, budget.sensor + most, kept):
        return None
    # A warmer sensor never draws more: halving finds the first degree that does.
    while high - low > 1:
        middle = (low + high) // 2
        if _lasts_at(assembly, budget, circuit, budget.sensor + middle, kept):
            high = middle
        else:
            low = middle
    return Warmer(budget.sensor + high, high)


def _lasts_at(assembly: Assembly, budget: Budget, circuit: Circuit, sensor: float, kept: float) -> bool:
    other = budget_of(assembly, budget.scene, sensor, budget.wiring)
    if other is None:
        return False
    same = next((one for one in other.circuits if one.group == circuit.group), None)
    return same is not None and same.store is not None and same.store.low * (1 - kept) >= same.drawn
