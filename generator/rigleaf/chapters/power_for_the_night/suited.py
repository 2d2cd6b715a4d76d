"""Which batteries of the club could feed a circuit, and how long they would."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.optics import DewHeater
from rigleaf.catalogue.models.power import Battery, CarLead
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit, loads_of
from rigleaf.chapters.power_for_the_night.cells import LEAD_ACID, rated_energy, store
from rigleaf.chapters.power_for_the_night.outlets import asks_usb_for_12_volts, fitting_outlet, tap_of
from rigleaf.chapters.power_for_the_night.wiring import Edge

FLIES_WH, ASKED_WH, MOST_ASKED = 100.0, 160.0, 2
"""Spare lithium batteries in an aeroplane: up to the first each, up to the second when the carrier agrees and no more
than two of them. The chapter on the airport has the rules; these are the marks that nearly all of them share."""
BY_AIR = frozenset({"hand luggage", "hold luggage"})

Array = NDArray[np.float64]
Picked = tuple[tuple[Battery, int], ...]


def flies(assembly: Assembly) -> bool:
    """Say whether the rig travels by air."""
    return bool(BY_AIR & set(assembly.rig.travels))


def lendable(catalogue: Catalogue, battery: Battery) -> bool:
    """Say whether the club has a battery to lend: owned, and used by more than rigs for training."""
    users = [catalogue.rigs[id_] for id_ in catalogue.used_by.get(battery.id, ())]
    return battery.owned != 0 and (not users or not all(rig.for_training for rig in users))


@dataclass(frozen=True)
class Asked:
    """What a circuit asks of a battery.

    Attributes:
        edges: one of all its leads that ask the same of an outlet.
        peak: power of all that it feeds at its most, W.
        cells: nominal voltages of the cells without outlets that feed it now, V; empty where anything else does.
    """

    edges: tuple[Edge, ...]
    peak: float
    cells: frozenset[float]

    def fits(self, assembly: Assembly, battery: Battery) -> bool:
        """Say whether all leads fit, or a battery is a cell that is put into the device in place of its own."""
        if not battery.outlets:
            return battery.nominal_voltage is not None and battery.nominal_voltage.value in self.cells
        return all(_fits(assembly, battery, edge) for edge in self.edges)


def asked_by(budget: Budget, circuit: Circuit, edges: tuple[Edge, ...]) -> Asked:
    """Return what a circuit asks of a battery that is to feed all of it."""
    peaks = {one.part.id: one.peak or 0.0 for one in budget.devices}
    own = [part for part, _ in circuit.group.sources if isinstance(part, Battery)]
    bare = all(isinstance(part, Battery) and not part.outlets for part, _ in circuit.group.sources)
    cells = {part.nominal_voltage.value for part in own if part.nominal_voltage is not None} if bare else set()
    return Asked(_unlike(edges), sum(peaks.get(id_, 0.0) for id_ in circuit.group.devices), frozenset(cells))


def _unlike(edges: tuple[Edge, ...]) -> tuple[Edge, ...]:
    """Return one of all leads that ask the same of an outlet: the shelf is long, and most ask for 12 V."""
    asked = {(_wanted(one), isinstance(one.fed, DewHeater), isinstance(one.lead, CarLead)): one for one in edges}
    return tuple(asked.values())


def _fits(assembly: Assembly, battery: Battery, edge: Edge) -> bool:
    """Say whether a battery has an outlet for a lead; 12 V of a USB-C outlet are nothing to count on."""
    if fitting_outlet(battery, _wanted(edge), edge.fed, edge.lead) is None:
        return False
    return not asks_usb_for_12_volts(tap_of(assembly, battery, _wanted(edge), edge.fed, edge.lead))


def borne(battery: Battery) -> float:
    """Return the power that one battery bears, W; infinite where it states no limit."""
    if battery.current_limit is None or battery.nominal_voltage is None:
        return inf
    return battery.current_limit.value * battery.nominal_voltage.value


def _wanted(edge: Edge) -> float | None:
    power = edge.fed.power
    return power.voltage.value if power is not None and power.voltage is not None else None


def may_go(assembly: Assembly, battery: Battery) -> bool:
    """Say whether one battery may travel as the rig does; of those above FLIES_WH no more than MOST_ASKED may."""
    return not flies(assembly) or not (battery.chemistry == LEAD_ACID or (rated_energy(battery) or 0.0) > ASKED_WH)


class Held:
    """What other batteries would hold, and what would be drawn from them through their own outlets."""

    def __init__(self, assembly: Assembly, budget: Budget, edges: tuple[Edge, ...]) -> None:
        self.assembly, self.budget, self.edges = assembly, budget, edges
        self.hours = float(budget.times.hours.sum())
        own = {one.part.id: one.watts for one in budget.devices}
        loads = loads_of(own, budget.wiring, np.zeros_like(budget.times.hours))
        self.energy = {edge.fed.id: float(self._load(edge, loads) @ budget.times.hours) for edge in edges}
        self.on = float(budget.times.hours[budget.times.on].sum())
        self._drawn: dict[str, float] = {}

    def _load(self, edge: Edge, loads: Mapping[str, Array]) -> Array:
        nothing = np.zeros_like(self.budget.times.hours)
        if edge.fed.id in loads:
            return loads[edge.fed.id]
        watts = self.budget.watts.get(edge.fed.id)
        return nothing if watts is None else watts

    def drawn(self, battery: Battery) -> float:
        """Return the energy that would be drawn from a battery that feeds all of it, Wh."""
        if battery.id not in self._drawn:
            total, converters = 0.0, set()
            for edge in self.edges:
                lead = None if not battery.outlets else edge.lead
                tap = tap_of(self.assembly, battery, _wanted(edge), edge.fed, lead)
                total += self.energy[edge.fed.id] / tap.efficiency
                if tap.outlet is not None and tap.own_draw:
                    converters.add((tap.outlet.kind, tap.own_draw))
            self._drawn[battery.id] = total + self.on * sum(own for _, own in converters)
        return self._drawn[battery.id]

    def of(self, picked: Picked) -> float:
        """Return the energy that is drawn from several batteries at most, Wh."""
        return max(self.drawn(one) for one, _ in picked)

    def lasts(self, picked: Picked, kept: float) -> bool:
        """Say whether batteries last the night and leave a part of their usable energy."""
        drawn = self.of(picked)
        held = 0.0
        for one, count in picked:
            found = store(self.assembly, one, count, self.budget.battery_temperature, drawn / self.hours)
            held += found.low if found is not None else 0.0
        return held * (1 - kept) >= drawn
