"""Words that several judgements of this chapter share."""

from collections.abc import Iterable

from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit

MOST_NAMES = 4


def some(parts: Iterable[Part]) -> tuple[str, tuple[str, ...]]:
    """Name parts, the first few of them, and return their ids too."""
    found = list(dict.fromkeys(parts))
    names = [part.name for part in found[:MOST_NAMES]]
    more = [f"{len(found) - MOST_NAMES} more"] if len(found) > MOST_NAMES else []
    return listed(names + more), tuple(part.id for part in found[:MOST_NAMES])


def pieces(found: Iterable[tuple[Part, int]]) -> str:
    """Name parts with how many of them: "2 x Battery and Power bank"."""
    return listed([part.name if count == 1 else f"{count} × {part.name}" for part, count in found])


def holder(circuit: Circuit) -> str:
    """Name what feeds a circuit; one of several batteries of a sort by what hangs on it."""
    if circuit.group.kind == "car":
        return "The car's battery"
    names = pieces(circuit.group.sources)
    if not circuit.group.piece:
        return names
    return f"{names} (no. {circuit.group.piece}, for {some(circuit.group.first)[0]})"


def called(circuit: Circuit) -> str:
    """Name what feeds a circuit in short, as a label does."""
    if circuit.group.kind == "car" or not circuit.group.piece:
        return holder(circuit)
    return f"{pieces(circuit.group.sources)}, no. {circuit.group.piece}"


def plural(circuit: Circuit) -> bool:
    """Say whether a circuit has several batteries."""
    return circuit.group.kind != "car" and sum(count for _, count in circuit.group.sources) > 1


def dated(assembly: Assembly, budget: Budget) -> str:
    """Say when: in which night, or on which day under the Sun."""
    words = budget.night.date_words
    return f"on {words}" if assembly.filtered_for_the_sun else f"in the night of {words}"


def title(assembly: Assembly) -> str:
    """Return what is asked of batteries."""
    return "Power to the end" if assembly.filtered_for_the_sun or shortened(assembly) else "Power until dawn"


def shortened(assembly: Assembly) -> bool:
    """Say whether the rig states for how long it takes pictures."""
    return assembly.rig.night is not None and assembly.rig.night.hours is not None


def capital(words: str) -> str:
    """Begin with a capital."""
    return words[:1].upper() + words[1:]


def at_end(budget: Budget) -> str:
    """Say when all is packed."""
    return f"until all is packed at {budget.night.clock(budget.times.packed)}"


def energy(assembly: Assembly, value: float) -> str:
    """Write an energy."""
    return assembly.say(value, "energy")


def suffix(budget: Budget, circuit: Circuit) -> str:
    """Return what the ids of a circuit's figures end in: nothing for the one that runs out first, then its number."""
    number = next((index for index, one in enumerate(budget.stored) if one is circuit), 0)
    return f"-{number + 1}" if number else ""
