"""How often somebody walks between car and spot, and with what in the hands."""

from dataclasses import dataclass

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.hands_and_back.loads import Carried, Load

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


def by_car(assembly: Assembly) -> bool:
    """Say whether a rig comes by car, so that it is carried in several walks; where nothing is said it does."""
    ways = assembly.rig.travels
    return not ways or "car" in ways


def walks_of(assembly: Assembly, loads: Carried) -> tuple[Walk, ...]:
    """Return the walks that it takes to carry a rig from the car; none where it comes without one."""
    return walks(loads.all) if by_car(assembly) else ()


def walks(loads: tuple[Load, ...]) -> tuple[Walk, ...]:
    """Share loads out over as few walks as the heaviest-first rule finds; what is too heavy goes alone."""
    open_: list[list[Load]] = []
    for load in sorted(loads, key=lambda one: (-one.mass.total, one.id)):
        for walk in open_:
            if len(walk) < PIECES and sum(one.mass.total for one in walk) + load.mass.total <= LOAD_KG:
                walk.append(load)
                break
        else:
            open_.append([load])
    return tuple(Walk(tuple(one)) for one in open_)


def way_m(number: int, walk_m: float) -> float:
    """Length in m of all ways between car and spot: there loaded, and back again for the next load."""
    return (2 * number - 1) * walk_m if number else 0.0
