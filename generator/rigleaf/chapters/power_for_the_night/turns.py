"""Several batteries take turns: when one takes over from another, and what each would bear on a lead of its own."""

from collections.abc import Iterable

import numpy as np

from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Battery
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit, loads_of
from rigleaf.chapters.power_for_the_night.cells import rated_energy, store

Picked = Iterable[tuple[Part, int]]


def smallest_first(picked: Picked) -> tuple[tuple[Part, int], ...]:
    """Return batteries in the order in which they are used: what changes early changes while people are awake."""
    return tuple(sorted(picked, key=lambda one: rated_energy(one[0]) or 0.0 if isinstance(one[0], Battery) else 0.0))


def changes(assembly: Assembly, budget: Budget, circuit: Circuit, picked: Picked, drawn: float) -> tuple[float, ...]:
    """Return the instants by which each battery but the last must have been changed, by the least that it gives.

    Args:
        assembly: the rig.
        budget: its night.
        circuit: what is fed.
        picked: the batteries, in the order of their use.
        drawn: energy that is drawn from them through the night, Wh.
    """
    mean = drawn / float(budget.times.hours.sum())
    scale = circuit.drawn / drawn if drawn > 0 else 0.0
    taken, found = 0.0, []
    for part, count in picked:
        held = store(assembly, part, 1, budget.battery_temperature, mean) if isinstance(part, Battery) else None
        for _ in range(count if held is not None else 0):
            taken += held.low if held is not None else 0.0
            instant = circuit.instant_at(taken * scale)
            if instant is not None:
                found.append(instant)
    return tuple(one for one in found[:-1] if one < budget.times.packed)


def in_turn(assembly: Assembly, budget: Budget, circuit: Circuit, picked: Picked, drawn: float) -> str:
    """Say how several batteries are used, and when they are changed; nothing where there is one."""
    batteries = tuple(picked)
    if sum(count for _, count in batteries) < 2:
        return ""
    bare = all(isinstance(part, Battery) and not part.outlets for part, _ in batteries)
    clocks = list(
        dict.fromkeys(budget.night.clock(one) for one in changes(assembly, budget, circuit, batteries, drawn))
    )
    if bare:
        return f" Change them by {listed(clocks)}." if clocks else ""
    order = " in this order" if len(batteries) > 1 else ""
    when = f", and change by {listed(clocks)}" if clocks else ""
    return f" Use one after the other{order}, never joined{when}."


def on_own_leads(assembly: Assembly, budget: Budget, circuit: Circuit) -> str:
    """Say which battery would be empty first if each had one lead; nothing where that is no question.

    Two equal batteries and two leads ask for it, and then one is empty while the other is half full.
    """
    edges = [edge for edge in budget.wiring.edges.values() if edge.root in circuit.group.roots]
    if len(circuit.group.sources) != 1 or not budget.wiring.stated:
        return ""
    (part, count), *_ = circuit.group.sources
    if count < 2 or len(edges) != count or not isinstance(part, Battery) or not part.outlets:
        return ""
    nothing = np.zeros_like(budget.times.hours)
    own = {one.part.id: one.watts for one in budget.devices}
    loads = loads_of(own, budget.wiring, nothing)
    first: tuple[float, Part] | None = None
    for edge in edges:
        watts = loads.get(edge.fed.id, nothing if (known := own.get(edge.fed.id)) is None else known)
        alone = Circuit(circuit.group, watts / edge.tap.efficiency, None, (), budget.times)
        mean = alone.drawn / float(budget.times.hours.sum())
        held = store(assembly, part, 1, budget.battery_temperature, mean)
        empty = alone.instant_at(held.low) if held is not None else None
        if empty is not None and (first is None or empty < first[0]):
            first = (empty, edge.fed)
    whole = circuit.instant_at(circuit.store.low) if circuit.store is not None else None
    if first is None or whole is None or first[0] >= min(whole, budget.times.packed):
        return ""
    return f" With one on each lead, that of {first[1].name} would be empty at {budget.night.clock(first[0])}."


def swap(budget: Budget, circuit: Circuit) -> float | None:
    """Return the instant at which two equal batteries on leads of their own change places so that both give as much.

    Returns:
        None where there are not two, or where both together do not last.
    """
    if not circuit.group.piece:
        return None
    part = circuit.group.sources[0][0]
    same = [one for one in budget.circuits if one.group.piece and one.group.sources[0][0] is part]
    if len(same) != 2 or any(one.store is None for one in same):
        return None
    each = sum(one.drawn for one in same) / 2
    if any(one.store is None or one.store.low < each for one in same):
        return None
    more, less = sorted(same, key=lambda one: -one.drawn)
    ahead = np.cumsum((more.watts - less.watts) * budget.times.hours)
    reached = np.flatnonzero(ahead >= ahead[-1] / 2)
    return float(budget.times.edges[1 + reached[0]])
