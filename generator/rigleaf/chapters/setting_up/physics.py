"""When steps can begin: the arithmetic of one pair of hands, of waiting for the sky, and of what goes on by itself.

Times are in s. Steps stand in the order in which the hands do them; what takes no hands (a mirror that cools) stands
among them and holds nobody up. A step never begins before those that it needs are done, nor before its instant of
release, such as the one at which stars are out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf


@dataclass(frozen=True, slots=True)
class Task:
    """One step of a plan.

    Attributes:
        lasts: s, not negative.
        needs: numbers of earlier steps that must be done first.
        release: instant before which it cannot begin, s; minus infinity where there is none.
        hands: whether it takes hands.
    """

    lasts: float
    needs: tuple[int, ...] = ()
    release: float = -inf
    hands: bool = True


def begin_at(tasks: Sequence[Task], begin: float) -> list[float]:
    """Return when each step begins if the first cannot begin before ``begin``: each as soon as it can."""
    starts: list[float] = []
    free = begin
    for task in tasks:
        ready = max((starts[need] + tasks[need].lasts for need in task.needs), default=begin)
        start = max(ready, task.release, free if task.hands else begin)
        starts.append(start)
        if task.hands:
            free = start + task.lasts
    return starts


def done_at(tasks: Sequence[Task], begin: float) -> float:
    """Return when everything is done, if no step begins before ``begin``; ``begin`` itself where there are none."""
    starts = begin_at(tasks, begin)
    return max((start + task.lasts for start, task in zip(starts, tasks, strict=True)), default=begin)


def least_time(tasks: Sequence[Task]) -> float:
    """Return how long everything takes where nothing has to wait for its release, s.

    Beginnings, sums and the later of two instants are all there is to it, so that what is begun at an instant is done
    at the later of that instant plus this time, and what the releases alone allow.
    """
    return done_at([replace(task, release=-inf) for task in tasks], 0.0)


def latest_begin(tasks: Sequence[Task], goal: float) -> float:
    """Return the latest instant at which one may begin if all is to be done at ``goal``, releases left out of account.

    Where releases put the end off beyond the goal, this is sooner than it need be: nothing but they can then delay it,
    and a longer step never lets one begin later.
    """
    return goal - least_time(tasks)
