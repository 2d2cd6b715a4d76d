"""Whether the power lasts, as far as it decides whether a rig may run by itself."""

from collections.abc import Iterator
from itertools import accumulate

from rigleaf.catalogue.models.power import Battery
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night.budget import Budget, night_budget
from rigleaf.chapters.power_for_the_night.cells import store
from rigleaf.chapters.setting_up.condition import Condition

CURE = "See the chapter on power."


def power(assembly: Assembly) -> Iterator[Condition]:
    """Yield whether a rig's power lasts until all is packed, and when batteries must be changed.

    Nothing where nothing draws or no night is known.
    """
    budget = night_budget(assembly)
    if budget is not None:
        yield _lasts(assembly, budget)
        yield from _swaps(assembly, budget)


def _lasts(assembly: Assembly, budget: Budget) -> Condition:
    if budget.lasts is False:
        return _runs_out(budget)
    if budget.lasts is None:
        return Condition("Power", "unsaid", budget.why, "whether the power lasts is unsaid", CURE)
    if budget.spare is not None and budget.spare < assembly.choice("battery_left").value:
        left = assembly.say(budget.spare, "fraction")
        why = f"{budget.why} Only {left} is left then."
        return Condition("Power", "look in", why, f"only {left} of the power is left at the end",
                         "Read the voltage at midnight, or bring a second battery.")  # fmt: skip
    return Condition("Power", "holds", budget.why)


def _swaps(assembly: Assembly, budget: Budget) -> Iterator[Condition]:
    """Yield when built-in batteries are empty and must be changed for those that are carried for it."""
    night = budget.night
    for circuit in budget.circuits:
        batteries = [(part, count) for part, count in circuit.group.sources if isinstance(part, Battery)]
        # What has outlets is plugged in beside the built-in one; nothing is opened for it.
        if circuit.store is None or not any(part.installed for part, _ in batteries):
            continue
        if any(part.outlets and not part.installed for part, _ in batteries):
            continue
        pieces = [part for part, count in sorted(batteries, key=lambda one: not one[0].installed) for _ in range(count)]
        mean = circuit.drawn / float(circuit.times.hours.sum()) / len(pieces)
        held = [store(assembly, part, 1, budget.battery_temperature, mean) for part in pieces]
        sums = accumulate(one.low for one in held[:-1] if one is not None)
        empty = [at for at in (circuit.instant_at(sum_) for sum_ in sums) if at is not None and at < budget.times.last]
        if not empty:
            continue
        at = listed([night.clock(one) for one in empty])
        why = f"{pieces[0].name} may be empty at {at}, and is then changed for the next one by hand."
        yield Condition("Battery change", "look in", why, f"a battery must be changed at {at}",
                        f"Be there by {at} with a full battery, warm from a pocket.", (pieces[0].id,))  # fmt: skip


def _runs_out(budget: Budget) -> Condition:
    """Return the condition of a night whose power does not last, with the time at which it may be gone."""
    worst = budget.tightest
    empty = worst.instant_at(worst.store.low) if worst is not None and worst.store is not None else None
    if worst is None or empty is None:
        return Condition("Power", "look in", budget.why, "the power is too little", CURE)
    names = "the car" if worst.group.kind == "car" else listed(part.name for part, _ in worst.group.sources)
    at = budget.night.clock(empty)
    why = f"By {at} the energy of {names} may be used up, before all is packed."
    return Condition("Power", "look in", why, f"the power may be gone at {at}", CURE)
