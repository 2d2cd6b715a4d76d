"""What would let a night be lasted: the lightest batteries on the shelf, or a warmer sensor."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.catalogue.models.optics import DewHeater
from rigleaf.catalogue.models.power import Battery, CarLead
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit, budget_of, loads_of
from rigleaf.chapters.power_for_the_night.cells import rated_energy, store
from rigleaf.chapters.power_for_the_night.draws import cooler
from rigleaf.chapters.power_for_the_night.outlets import asks_usb_for_12_volts, fitting_outlet, tap_of
from rigleaf.chapters.power_for_the_night.wiring import Edge

MOST_PIECES = 4
"""Batteries that one would carry for one circuit; a choice of this guide."""
HARDLY_HEAVIER = 1.10
"""A set that is no more than this heavier than the lightest, but of fewer pieces, is the better one."""
FLIES_WH, ASKED_WH, MOST_ASKED = 100.0, 160.0, 2
"""Spare lithium batteries in an aeroplane: up to the first each, up to the second when the carrier agrees and no more
than two of them. The chapter on the airport has the rules; these are the marks that nearly all of them share."""
BY_AIR = frozenset({"hand luggage", "hold luggage"})

_ROUNDING = 1e-9
"""Share by which sums of floats in another order may differ."""

Array = NDArray[np.float64]
Picked = tuple[tuple[Battery, int], ...]


@dataclass(frozen=True, slots=True)
class BatterySet:
    """Batteries that last the night: which, how many of each, their mass in kg, and the Wh drawn from them."""

    picked: Picked
    mass: float
    drawn: float

    @property
    def pieces(self) -> int:
        """Number of batteries."""
        return sum(count for _, count in self.picked)


def flies(assembly: Assembly) -> bool:
    """Say whether the rig travels by air."""
    return bool(BY_AIR & set(assembly.rig.travels))


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
    suited = list({one.id: one for one in _suited(assembly, budget, circuit, _unlike(edges))}.values())
    held = _Held(assembly, budget, edges)
    own = {(part.id, count) for part, count in circuit.group.sources}
    free = _free(budget, circuit, suited)
    singles = (one for one in _singles(assembly, circuit, suited, free) if {(part.id, n) for part, n in one} != own)
    found = [_weighed(picked, held.of(picked)) for picked in singles if held.lasts(picked, kept)]
    least = min((one.mass for one in found), default=inf)
    # What may not fly by itself may not fly beside another one either.
    outside = [one for one in suited if one.outlets and _may_go(assembly, ((one, 1),))]
    pairs: list[tuple[int, BatterySet]] = []
    # On a long shelf there are a hundred thousand pairs. The lightest are tried first, and no more once all that are
    # left are too heavy to count.
    for mass, number, picked in _pairs(outside, free, held, kept, least * HARDLY_HEAVIER):
        if mass > least * HARDLY_HEAVIER * (1 + _ROUNDING):
            break
        if {(part.id, n) for part, n in picked} != own and _may_go(assembly, picked) and held.lasts(picked, kept):
            pairs.append((number, _weighed(picked, held.of(picked))))
            least = min(least, pairs[-1][1].mass)
    found += [one for _, one in sorted(pairs, key=lambda pair: pair[0])]
    near = [one for one in found if one.mass <= least * HARDLY_HEAVIER]
    return min(near, key=lambda one: (one.pieces, one.mass), default=None)


def _weighed(picked: Picked, drawn: float) -> BatterySet:
    return BatterySet(picked, sum(count * one.mass.value for one, count in picked if one.mass is not None), drawn)


def lendable(assembly: Assembly, battery: Battery) -> bool:
    """Say whether the club has a battery to lend: owned, and used by more than rigs for training."""
    users = [assembly.catalogue.rigs[id_] for id_ in assembly.catalogue.used_by.get(battery.id, ())]
    return battery.owned != 0 and (not users or not all(rig.for_training for rig in users))


def _suited(assembly: Assembly, budget: Budget, circuit: Circuit, edges: tuple[Edge, ...]) -> Iterator[Battery]:
    peaks = {one.part.id: one.peak or 0.0 for one in budget.devices}
    peak = sum(peaks.get(id_, 0.0) for id_ in circuit.group.devices)
    bare = all(isinstance(part, Battery) and not part.outlets for part, _ in circuit.group.sources)
    for part in assembly.catalogue.of_kind(Battery):
        if part.installed or part.mass is None or rated_energy(part) is None:
            continue
        if not lendable(assembly, part):
            continue
        if not part.outlets:
            # A cell that is put into the device in place of its own.
            if bare and part.nominal_voltage is not None and _same_cell(part, circuit):
                yield part
        elif all(_fits(assembly, part, edge) for edge in edges) and _bears(part, peak):
            yield part


def _unlike(edges: tuple[Edge, ...]) -> tuple[Edge, ...]:
    """Return one of all leads that ask the same of an outlet: the shelf is long, and most ask for 12 V."""
    asked = {(_wanted(one), isinstance(one.fed, DewHeater), isinstance(one.lead, CarLead)): one for one in edges}
    return tuple(asked.values())


def _fits(assembly: Assembly, battery: Battery, edge: Edge) -> bool:
    """Say whether a battery has an outlet for a lead; 12 V of a USB-C outlet are nothing to count on."""
    if fitting_outlet(battery, _wanted(edge), edge.fed, edge.lead) is None:
        return False
    return not asks_usb_for_12_volts(tap_of(assembly, battery, _wanted(edge), edge.fed, edge.lead))


def _bears(battery: Battery, peak: float) -> bool:
    """Say whether one battery bears everything at its most, as far as it states a limit."""
    if battery.current_limit is None or battery.nominal_voltage is None:
        return True
    return battery.current_limit.value * battery.nominal_voltage.value >= peak


def _same_cell(part: Battery, circuit: Circuit) -> bool:
    nominal = part.nominal_voltage.value if part.nominal_voltage is not None else None
    return any(
        isinstance(own, Battery) and own.nominal_voltage is not None and own.nominal_voltage.value == nominal
        for own, _ in circuit.group.sources
    )


def _wanted(edge: Edge) -> float | None:
    power = edge.fed.power
    return power.voltage.value if power is not None and power.voltage is not None else None


def _free(budget: Budget, circuit: Circuit, suited: list[Battery]) -> dict[str, int]:
    """Return by id how many of each battery the other circuits leave, and somebody would carry."""
    taken = {
        part.id: count
        for other in budget.circuits if other is not circuit and other.group.kind == "battery"
        for part, count in other.group.sources
    }  # fmt: skip
    return {one.id: min(MOST_PIECES, (1 if one.owned is None else one.owned) - taken.get(one.id, 0)) for one in suited}


def _singles(
    assembly: Assembly, circuit: Circuit, suited: list[Battery], free: Mapping[str, int]
) -> Iterator[Picked]:  # fmt: skip
    """Yield every set of one sort of battery."""
    built_in = tuple(
        (part, count) for part, count in circuit.group.sources if isinstance(part, Battery) and part.installed
    )
    for one in suited:
        for count in range(1, free[one.id] + 1):
            if _may_go(assembly, ((one, count),)):
                yield (*(built_in if not one.outlets else ()), (one, count))


def _pairs(
    outside: list[Battery], free: Mapping[str, int], held: "_Held", kept: float, heaviest: float
) -> list[tuple[float, int, Picked]]:
    """Return the sets of two sorts that may last, the lightest first: mass in kg, place in the order of the shelf, set.

    Left out is what cannot last even if it gave all that it gives at rest, and what is heavier than ``heaviest``.
    """
    many = len(outside)
    counts = np.array([free[one.id] for one in outside], dtype=int)
    masses = np.array([one.mass.value if one.mass is not None else 0.0 for one in outside])
    drawn = np.array([held.drawn(one) for one in outside])
    gives = np.array([held.at_rest(one) * (1 - kept) for one in outside])
    found: list[tuple[float, int, Picked]] = []
    for count in range(1, MOST_PIECES):
        for more in range(1, MOST_PIECES - count + 1):
            mass = count * masses[:, None] + more * masses
            enough = (count * gives[:, None] + more * gives) * (1 + _ROUNDING) >= np.maximum(drawn[:, None], drawn)
            there = (counts[:, None] >= count) & (counts >= more)
            light = mass <= heaviest * (1 + _ROUNDING)
            for first, second in zip(*np.nonzero(np.triu(enough & there & light, 1)), strict=True):
                number = ((int(first) * many + int(second)) * MOST_PIECES + count) * MOST_PIECES + more
                picked = ((outside[first], count), (outside[second], more))
                found.append((float(mass[first, second]), number, picked))
    return sorted(found, key=lambda one: one[:2])


def _may_go(assembly: Assembly, picked: Picked) -> bool:
    """Say whether batteries may travel as the rig does."""
    if not flies(assembly):
        return True
    energies = [(rated_energy(one) or 0.0, count) for one, count in picked]
    heavy = any(one.chemistry == "sealed lead-acid" for one, _ in picked)
    if heavy or any(energy > ASKED_WH for energy, _ in energies):
        return False
    return sum(count for energy, count in energies if energy > FLIES_WH) <= MOST_ASKED


class _Held:
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

    def at_rest(self, battery: Battery) -> float:
        """Return what one battery would give to next to no load, Wh: it never gives more."""
        found = store(self.assembly, battery, 1, self.budget.battery_temperature, 0.0)
        return found.low if found is not None else 0.0

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
