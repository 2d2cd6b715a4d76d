"""How often somebody walks between car and spot, and with what in the hands."""

from collections.abc import Iterable
from dataclasses import dataclass

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.hands_and_back.lifts import Lift
from rigleaf.chapters.hands_and_back.loads import Carried, Load, by_car

PIECES, LOAD_KG = 2, 25.0
"""What one person carries at once: a piece in each hand, or one on the back and one in the hand, and no more than most
guidance on lifting allows a strong adult; common practice, no source."""


@dataclass(frozen=True)
class Walk:
    """One way from the car to the spot with its loads."""

    loads: tuple[Load, ...]

    @property
    def mass(self) -> float:
        """What it weighs in kg, as far as is known."""
        return sum(load.mass.total for load in self.loads)

    @property
    def complete(self) -> bool:
        """Whether all of it has a mass."""
        return all(load.told and load.mass.complete for load in self.loads)


def too_heavy(lifts: Iterable[Lift]) -> frozenset[str]:
    """Return the ids of loads that are more than is recommended for one person, by the lifts of a rig."""
    return frozenset(lift.load.id for lift in lifts if lift.load is not None and lift.index > 1)


def walks_of(assembly: Assembly, loads: Carried, heavy: frozenset[str]) -> tuple[Walk, ...]:
    """Return the walks that it takes to carry a rig from the car; none where it comes without one."""
    return walks(loads.all, heavy) if by_car(assembly) else ()


def walks(loads: tuple[Load, ...], heavy: frozenset[str] = frozenset()) -> tuple[Walk, ...]:
    """Share loads out over as few walks as the heaviest-first rule finds.

    Args:
        loads: what is carried.
        heavy: ids of loads that are too much for one person: each makes a walk of its own, with nothing beside it.
    """
    alone = [load for load in loads if load.id in heavy]
    shared: list[list[Load]] = []
    for load in sorted((one for one in loads if one.id not in heavy), key=lambda one: (-one.mass.total, one.id)):
        for walk in shared:
            if len(walk) < PIECES and sum(one.mass.total for one in walk) + load.mass.total <= LOAD_KG:
                walk.append(load)
                break
        else:
            shared.append([load])
    alone.sort(key=lambda one: (-one.mass.total, one.id))
    return tuple(Walk(tuple(one)) for one in (*([load] for load in alone), *shared))


def way_m(number: int, walk_m: float) -> float:
    """Length in m of all ways between car and spot: there loaded, and back again for the next load."""
    return (2 * number - 1) * walk_m if number else 0.0
