"""Figures of what each circuit's source holds, gives and leaves, and when it warns."""

from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit
from rigleaf.chapters.power_for_the_night.cells import FLOATING, Store
from rigleaf.chapters.power_for_the_night.words import called, holder, suffix
from rigleaf.chapters.what_it_weighs.sums import sum_items

ENERGY, USABLE, LASTING = "night-energy", "battery-usable", "lasting"


def figures_of(assembly: Assembly, budget: Budget) -> list[Figure]:
    """Return the figures of every circuit that holds something, the one that runs out first first."""
    if not budget.stored:
        shown = not (budget.circuits and all(one.endless for one in budget.circuits))
        return [
            Figure("usable", "Usable energy", None, "energy", USABLE, shown=shown),
            Figure("left", "Left when all is packed", None, "fraction", LASTING, shown=shown),
        ]
    figures = []
    for circuit in budget.stored:
        if circuit.store is not None:
            figures += _of(assembly, budget, circuit, circuit.store)
    if budget.scene.air is not None and any(one.group.kind != "car" for one in budget.stored):
        warm = assembly.choice("battery_warmth")
        note = f"{warm.text} above the air" if warm.value else "as cold as the air"
        figures.append(Figure("battery-temperature", "Coldest temperature of the batteries", budget.battery_temperature,
                              "temperature", USABLE, note=note))  # fmt: skip
    figures.append(_most_used(budget))
    return figures


def _most_used(budget: Budget) -> Figure:
    """Return how much a night takes of the source that it empties most; above 1 where that does not last."""
    stored = [(one, one.store.low) for one in budget.stored if one.store is not None and one.store.low > 0]
    used = max((one.drawn / low for one, low in stored), default=None)
    least = "at least" if any(budget.unsaid_in(one) for one, _ in stored) else ""
    label = "Taken in a night of the battery that is emptied most"
    return Figure("battery-used", label, used, "fraction", LASTING, note=least, shown=False)


def battery_mass(assembly: Assembly) -> Figure | None:
    """Return the mass of all batteries that are parts by themselves; None where there are none."""
    batteries = [item for item in assembly.items if isinstance(item.part, Battery)]
    if not batteries:
        return None
    found = sum_items(batteries)
    note = "" if found.complete else f"at least; {found.unsaid} without a mass"
    return Figure("battery-mass", "Mass of its batteries", found.total or None, "mass", "mass-total",
                  uncertainty=found.uncertainty, note=note, shown=False)  # fmt: skip


def _of(assembly: Assembly, budget: Budget, circuit: Circuit, held: Store) -> list[Figure]:
    night, car = budget.night, circuit.group.kind == "car"
    end = suffix(budget, circuit)
    # With one source nobody asks whose figures these are.
    whose = f"{called(circuit)}: " if len(budget.circuits) > 1 else ""
    unsaid = bool(budget.unsaid_in(circuit))
    most, least = ("at most", "at least") if unsaid else ("", "")

    def named(words: str) -> str:
        return f"{whose}{words[:1].lower()}{words[1:]}" if whose else words

    def noted(*notes: str) -> str:
        return "; ".join(note for note in notes if note)

    left = circuit.left(held.low) / held.low if held.low else 0.0
    short = "" if left >= 0 else f"{assembly.say(-circuit.left(held.low), 'energy')} are missing"
    figures = [
        Figure(f"usable{end}", named("Usable energy"), held.low, "energy", "starter-battery" if car else USABLE,
               note=_of_usable(assembly, budget, circuit, held)),
        Figure(f"drawn{end}", named("Drawn in a night, with losses"), circuit.drawn, "energy", ENERGY, note=least,
               shown=bool(whose)),
        Figure(f"left{end}", named("Left when all is packed"), max(left, 0.0), "fraction", LASTING,
               note=noted(most, short)),
    ]  # fmt: skip
    on = budget.times.edges[:-1][budget.times.on]
    empty, kept = circuit.instant_at(held.low), assembly.choice("battery_left")
    if empty is not None and len(on):
        note = noted(most, f"empty at {night.clock(empty)}" if left < 0 else "")
        figures.append(Figure(f"runs{end}", named("It runs from switching on"), (empty - float(on[0])) / 3600, "hours",
                              LASTING, note=note))  # fmt: skip
    warning = circuit.instant_at(held.low * (1 - kept.value))
    if warning is not None and not car:
        late = "" if warning <= budget.times.packed else " if it went on"
        note = noted("at the latest" if unsaid else "", f"with {assembly.say(kept.value, 'fraction')} of it left")
        figures.append(Figure(f"warning{end}", named("Warning"), f"{night.clock(warning)}{late}", "text", LASTING,
                              note=note))  # fmt: skip
    return figures


def _of_usable(assembly: Assembly, budget: Budget, circuit: Circuit, held: Store) -> str:
    if circuit.group.kind == "car":
        return f"{assembly.choice('starter_share').text} of {assembly.choice('starter_charge').text} in a car"
    upper = f" up to {assembly.say(held.high, 'energy')};" if held.high > held.low else ""
    note = f"at least;{upper} {holder(circuit)}"
    if held.reasons:
        note = f"{note}; {'; '.join(held.reasons)}"
    if budget.scene.air is None:
        note = f"{note}; counted as at {assembly.say(FLOATING, 'temperature')}"
    return note
