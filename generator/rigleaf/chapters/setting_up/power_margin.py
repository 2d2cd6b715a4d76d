"""Whether the power lasts, as far as it decides whether a rig may run by itself."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night.budget import Budget, night_budget
from rigleaf.chapters.setting_up.condition import Condition

CURE = "See the chapter on power."


def power(assembly: Assembly) -> Condition | None:
    """Return whether a rig's power lasts until all is packed; None where nothing draws or no night is known."""
    budget = night_budget(assembly)
    if budget is None:
        return None
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


def _runs_out(budget: Budget) -> Condition:
    """Return the condition of a night whose power does not last, with the time at which it may be gone."""
    worst = budget.tightest
    empty = worst.instant_at(worst.store.low) if worst is not None and worst.store is not None else None
    if worst is None or empty is None:
        return Condition("Power", "look in", budget.why, "the power is too little", CURE)
    names = "the car" if worst.group.kind == "car" else " and ".join(part.name for part, _ in worst.group.sources)
    at = budget.night.clock(empty)
    why = f"By {at} the energy of {names} may be used up, before all is packed."
    return Condition("Power", "look in", why, f"the power may be gone at {at}", CURE)
