"""Which steps ask for a second person: those with a lift that the chapter on hands and back finds too heavy for one."""

from dataclasses import dataclass

from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.hands_and_back.lift_study import who_lifts
from rigleaf.chapters.hands_and_back.lifts import Lift, lifts_of
from rigleaf.chapters.hands_and_back.loads import carried

THINGS: dict[str, str] = {"head": "the mount head", "tube": "the tube", "weights": "each weight"}
NAMED = 2
"""Loads that a step names before it only counts them."""


@dataclass(frozen=True, slots=True)
class ForTwo:
    """What one person should not lift.

    Attributes:
        steps: ids of the steps in which it is lifted, those of carrying left out.
        loads: names of what is carried from the car.
    """

    steps: frozenset[str]
    loads: tuple[str, ...]

    def words(self, ids: frozenset[str]) -> str:
        """Name what two people lift in the steps of those ids: "the mount head and 2 packed pieces"; "" for nothing."""
        found = [thing for step, thing in THINGS.items() if step in self.steps & ids]
        if self.loads and "unload" in ids:
            found.append("one packed piece" if len(self.loads) == 1 else f"{len(self.loads)} packed pieces")
        return listed(found) if found else ""

    @property
    def carrying(self) -> str:
        """Say what two people carry, as words that begin a sentence; empty where one person may carry everything."""
        if not self.loads:
            return ""
        more = len(self.loads) - NAMED
        return f"Two people for the {listed([*self.loads[:NAMED], *([f'{more} more'] if more > 0 else [])])}. "


def for_two(assembly: Assembly) -> ForTwo:
    """Return what of a rig one person should not lift, as far as masses and sizes are known."""
    lifts, _ = lifts_of(assembly, carried(assembly))
    over = [lift for lift in lifts if who_lifts(lift) == "two people"]
    loads = sorted((lift for lift in over if lift.load is not None), key=lambda lift: -lift.index)
    steps = frozenset(_step(lift) for lift in over if lift.load is None)
    return ForTwo(steps, tuple(lift.load.name for lift in loads if lift.load is not None))


def _step(lift: Lift) -> str:
    return "weights" if lift.id.startswith("weight-") else lift.id
