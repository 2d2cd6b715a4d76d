"""The night's budget: what is drawn, from where, and whether it lasts."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Battery, Outlet
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold.need import heat_needs
from rigleaf.chapters.night_out.air import Air, air_at
from rigleaf.chapters.night_out.chosen import ChosenNight, chosen_night
from rigleaf.chapters.power_for_the_night.cells import FLOATING, Store, starter, store, sum_stores
from rigleaf.chapters.power_for_the_night.draws import Device, devices
from rigleaf.chapters.power_for_the_night.timeline import Timeline, timeline
from rigleaf.chapters.power_for_the_night.wiring import Group, Wiring, wire

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Circuit:
    """One group of sources, what is drawn from it and what it holds.

    Attributes:
        group: the sources and what they feed.
        watts: power drawn from them in each step, losses of converters and their own draw counted, W, shape (n,).
        store: what they hold; None for mains, and where a battery's energy is unsaid.
        nameless: batteries whose energy is unsaid.
        times: the steps.
    """

    group: Group
    watts: Array
    store: Store | None
    nameless: tuple[Part, ...]
    times: Timeline

    @property
    def drawn(self) -> float:
        """Energy drawn through the night, Wh."""
        return float(self.watts @ self.times.hours)

    @property
    def endless(self) -> bool:
        """Whether it is mains."""
        return self.group.kind == "mains"

    def left(self, held: float) -> float:
        """Return the energy left at the end of the night of what is held, Wh; below zero where it does not last."""
        return held - self.drawn

    def instant_at(self, energy: float) -> float | None:
        """Return the instant at which so many Wh are drawn; None where nothing is drawn at all.

        Beyond the end of the night it goes on as in its pictures.
        """
        edges, sums = self.times.edges, np.append(0.0, np.cumsum(self.watts * self.times.hours))
        if energy <= sums[-1]:
            return float(np.interp(energy, sums, edges))
        taking = self.watts[self.times.capture]
        mean = float(taking.mean()) if len(taking) else 0.0
        return float(edges[-1] + (energy - sums[-1]) / mean * 3600) if mean > 0 else None


@dataclass(frozen=True, eq=False)
class Scene:
    """One night before anything is drawn: its steps, its air and the heat that its dew asks for."""

    night: ChosenNight
    times: Timeline
    air: Air | None
    heat: Mapping[str, tuple[Array, ...]]


@dataclass(frozen=True, eq=False)
class Budget:
    """What a night asks of a rig's power.

    Attributes:
        scene: the night, its steps and its air.
        sensor: temperature at which the sensor is held, deg C.
        devices: what each device draws.
        wiring: what feeds what.
        circuits: what each group of sources gives and holds.
        battery_temperature: coldest temperature of the batteries, deg C.
    """

    scene: Scene
    sensor: float
    devices: tuple[Device, ...]
    wiring: Wiring
    circuits: tuple[Circuit, ...]
    battery_temperature: float

    @property
    def night(self) -> ChosenNight:
        """Which night."""
        return self.scene.night

    @property
    def times(self) -> Timeline:
        """Its steps."""
        return self.scene.times

    @property
    def instants(self) -> Array:
        """Middle of each step, seconds since 1970 UTC, shape (n,)."""
        return self.times.instants

    @property
    def watts(self) -> Mapping[str, Array]:
        """What each device draws in each step, W, by its id; devices of unsaid draw are left out."""
        return {one.part.id: one.watts for one in self.devices if one.watts is not None}

    @property
    def missing(self) -> tuple[Part, ...]:
        """Devices whose draw is unsaid; every sum is a lower bound then."""
        return tuple(one.part for one in self.devices if one.watts is None)

    @property
    def energy(self) -> float:
        """Energy that the devices take through the night, Wh; at least this where any draw is missing."""
        return float(sum(watts @ self.times.hours for watts in self.watts.values()))

    @property
    def drawn(self) -> float:
        """Energy that is drawn from all sources, losses of converters counted, Wh; what nothing feeds is not in it."""
        return sum(one.drawn for one in self.circuits)

    @property
    def stored(self) -> tuple[Circuit, ...]:
        """The circuits of which is known what they hold, the one of which the smallest part is left first."""
        return tuple(sorted((one for one in self.circuits if one.store is not None), key=_part_left))

    @property
    def tightest(self) -> Circuit | None:
        """The circuit of which the smallest part is left; None where none is known."""
        return next(iter(self.stored), None)

    def unsaid_in(self, circuit: Circuit) -> tuple[Part, ...]:
        """Return the devices of a circuit whose draw is unsaid."""
        return tuple(part for part in self.missing if part.id in circuit.group.devices)

    @property
    def spare(self) -> float | None:
        """Part of the usable energy left at the end, below zero where it runs out; None where unsaid or endless."""
        worst = self.tightest
        return None if worst is None or self.gaps else _part_left(worst)

    @property
    def lasts(self) -> bool | None:
        """Whether every source lasts to the end, by the least that is to be expected; None where that is unsaid."""
        if self.tightest is not None and _part_left(self.tightest) < 0:
            return False
        return None if self.gaps or not self.circuits else True

    @property
    def gaps(self) -> bool:
        """Whether a draw, a battery's energy or what feeds a device is unsaid."""
        return bool(self.missing or self.wiring.unfed or any(one.nameless for one in self.circuits))

    @property
    def why(self) -> str:
        """What the answer rests on, in a sentence."""
        if self.missing:
            names = ", ".join(part.name for part in self.missing)
            return f"Nobody has said what is drawn by {names}."
        nameless = [part.name for one in self.circuits for part in one.nameless]
        if nameless:
            return f"Nobody has said how much energy is held by {', '.join(nameless)}."
        if self.wiring.unfed and self.circuits:
            return f"Nobody has said what feeds {', '.join(part.name for part in self.wiring.unfed)}."
        worst = self.tightest
        if worst is None:
            return "It runs from mains." if self.circuits else "Nothing is named that could feed it."
        names = listed(part.name for part, _ in worst.group.sources) if worst.group.kind != "car" else "The car"
        pieces = sum(count for _, count in worst.group.sources) if worst.group.kind != "car" else 1
        if _part_left(worst) >= 0:
            return f"{names} {'last' if pieces > 1 else 'lasts'} until all is packed."
        return f"{names} {'are' if pieces > 1 else 'is'} empty before all is packed."


def _part_left(circuit: Circuit) -> float:
    held = circuit.store.low if circuit.store is not None else 0.0
    return circuit.left(held) / held if held > 0 else (-1.0 if circuit.drawn > 0 else 1.0)


def night_budget(assembly: Assembly) -> Budget | None:
    """Return the budget of a rig's night.

    Returns:
        None where the night is unsaid or does not grow dark, or where the rig has no device that draws.
    """
    night = chosen_night(assembly)
    if night is None:
        return None
    times = timeline(assembly, night)
    air = air_at(assembly, night, times.instants)
    heat = heat_of(assembly, air) if air is not None else {}
    return budget_of(assembly, Scene(night, times, air, heat), sensor_temperature(assembly))


def budget_of(assembly: Assembly, scene: Scene, sensor: float, wiring: Wiring | None = None) -> Budget | None:
    """Return the budget of a night.

    Args:
        assembly: the rig.
        scene: the night.
        sensor: temperature at which the sensor is held, deg C.
        wiring: how the rig is wired, where that is known from another night.

    Returns:
        None where the rig has no device that draws.
    """
    found = devices(assembly, scene.times, scene.air, scene.heat, sensor)
    if not found:
        return None
    wiring = wiring if wiring is not None else wire(assembly, found)
    warmth = assembly.choice("battery_warmth").value
    cold = float(scene.air.temperature.min()) + warmth if scene.air is not None else FLOATING
    loads = loads_of({one.part.id: one.watts for one in found}, wiring, np.zeros_like(scene.times.hours))
    circuits = tuple(_circuit(assembly, group, loads, scene.times, cold) for group in wiring.groups)
    return Budget(scene, sensor, found, wiring, circuits, cold)


def sensor_temperature(assembly: Assembly) -> float:
    """Return the temperature at which a rig's sensor is held, deg C."""
    own = assembly.rig.night
    stated = own.sensor if own is not None else None
    return (stated or assembly.choice("sensor_temperature")).value


def heat_of(assembly: Assembly, air: Air) -> dict[str, tuple[Array, ...]]:
    """Return the watts that each heated band needs, by its id, once for each optic that it warms."""
    found: dict[str, tuple[Array, ...]] = {}
    for need in heat_needs(assembly, air):
        if need.heater is not None:
            found[need.heater.id] = (*found.get(need.heater.id, ()), need.watts)
    return found


def loads_of(own: Mapping[str, Array | None], wiring: Wiring, nothing: Array) -> dict[str, Array]:
    """Return the power that goes into each part, what it passes on to others counted, by its id.

    A battery that is one of several of a sort, with leads of its own, is named with its number (`Edge.root`).

    Args:
        own: what each device draws itself, W; None where that is unsaid.
        wiring: what feeds what.
        nothing: zeros of the same shape.
    """
    loads: dict[str, Array] = {}

    def into(id_: str, seen: frozenset[str]) -> Array:
        if id_ not in loads:
            watts = own.get(id_)
            whole = nothing if watts is None else watts
            converters: set[Outlet] = set()
            for edge in wiring.behind.get(id_, ()):
                if edge.fed.id in seen:
                    continue
                below = into(edge.fed.id, seen | {id_})
                whole = whole + below / edge.tap.efficiency
                if edge.tap.outlet is not None and edge.tap.outlet not in converters:
                    converters.add(edge.tap.outlet)
                    whole = whole + np.where(below > 0, edge.tap.own_draw, 0.0)
            loads[id_] = whole
        return loads[id_]

    for edge in wiring.edges.values():
        into(edge.root, frozenset())
    return loads


def _circuit(
    assembly: Assembly, group: Group, loads: Mapping[str, Array], times: Timeline, cold: float
) -> Circuit:  # fmt: skip
    nothing = np.zeros_like(times.hours)
    watts = sum((loads.get(root, nothing) for root in sorted(group.roots)), nothing)
    if group.kind == "mains":
        return Circuit(group, watts, None, (), times)
    if group.kind == "car":
        return Circuit(group, watts, starter(assembly), (), times)
    mean = float(watts @ times.hours / times.hours.sum())
    stores, nameless = [], []
    for part, count in group.sources:
        # One after the other: whichever is in use gives all of it.
        held = store(assembly, part, count, cold, mean) if isinstance(part, Battery) else None
        if held is None:
            nameless.append(part)
        else:
            stores.append(held)
    return Circuit(group, watts, sum_stores(stores) if stores and not nameless else None, tuple(nameless), times)


def most_heat(budget: Budget, circuit: Circuit) -> tuple[float, float] | None:
    """Return what the heaters of unsaid draw in a circuit would take if they gave all night what dew asks for at most.

    Returns:
        Watts, and Wh drawn from the circuit's sources for them with losses; None where the circuit has none, or
        where it feeds anything else of unsaid draw.
    """
    missing = budget.unsaid_in(circuit)
    if not missing or any(part.id not in budget.scene.heat for part in missing):
        return None
    own: dict[str, Array | None] = {one.part.id: one.watts for one in budget.devices}
    whole = 0.0
    for part in missing:
        watts = float(np.sum(budget.scene.heat[part.id], axis=0).max())
        own[part.id] = np.where(budget.times.on, watts, 0.0)
        whole += watts
    loads = loads_of(own, budget.wiring, np.zeros_like(budget.times.hours))
    drawn = sum(float(loads[root] @ budget.times.hours) for root in circuit.group.roots if root in loads)
    return whole, drawn - circuit.drawn
