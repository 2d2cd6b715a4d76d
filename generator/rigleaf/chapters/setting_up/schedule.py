"""When to arrive so that pictures begin as soon as it is dark, and when all is packed again."""

from dataclasses import dataclass
from functools import lru_cache
from math import inf, isfinite

import numpy as np
from numpy.typing import NDArray

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.night_out.chosen import CIVIL, ChosenNight
from rigleaf.chapters.setting_up.physics import Task, begin_at, latest_begin, least_time
from rigleaf.chapters.setting_up.steps import Step, steps
from rigleaf.chapters.setting_up.taking_down import teardown
from rigleaf.sky.night import Nights, root

EVENING = 4 * 3600.0
"""Time in s after the end of civil twilight within which pictures must begin if it is worth setting up by daylight; a
choice of this guide. Who begins later than that sets up in the dark rather than wait."""


@dataclass(frozen=True, slots=True)
class Timed:
    """One step with its place in the night: instants in seconds since 1970 UTC."""

    step: Step
    start: float

    @property
    def end(self) -> float:
        """When it is done."""
        return self.start + self.step.lasts.seconds


@dataclass(frozen=True, slots=True)
class Schedule:
    """The times of a night out: instants in seconds since 1970 UTC.

    Attributes:
        arrive: when to be at the car park, or to begin where nothing is carried.
        latest: the latest such instant that loses no darkness.
        ready: when the last step of setting up is done.
        first: the first exposure; later than the night's start where the steps under the stars take longer than dusk.
        last: the end of the last exposure.
        packed: when everything is back in the car or the bags.
        steps: the steps of setting up, in the order of the hands.
        teardown: those of taking down.
        by_light: instant by which every step that needs no stars is done, if one arrives in time; None where the night
            has no dusk or nobody would wait for so long.
    """

    arrive: float
    latest: float
    ready: float
    first: float
    last: float
    packed: float
    steps: tuple[Timed, ...]
    teardown: tuple[Timed, ...]
    by_light: float | None


def schedule(assembly: Assembly, night: ChosenNight) -> Schedule:
    """Return when to arrive, when pictures begin and end, and when all is packed.

    Pictures begin at the night's start, or as soon after it as the steps under the stars allow. One arrives so that
    this holds, cool-down counted, and so that everything that needs no stars is done before the light is gone.
    """
    up = steps(assembly)
    return lay_out(up, teardown(assembly, up), night)


def lay_out(up: tuple[Step, ...], down: tuple[Step, ...], night: ChosenNight) -> Schedule:
    """Return the same for steps that are known already.

    Args:
        up: the steps of setting up.
        down: those of taking down.
        night: which night.
    """
    tasks = tasks_of(up, night)
    latest = latest_begin(tasks, night.start)
    light = _light(night)
    arrive = latest
    if light is not None:
        arrive = min(latest, light - least_time([task for task in _before_the_stars(up, tasks) if task.hands]))
    starts = begin_at(tasks, arrive)
    timed = tuple(Timed(step, start) for step, start in zip(up, starts, strict=True))
    ready = max((one.end for one in timed), default=arrive)
    first = max(night.start, ready)
    last = max(night.end, first)
    offs = begin_at(tasks_of(down, night), last)
    taken = tuple(Timed(step, start) for step, start in zip(down, offs, strict=True))
    packed = max((one.end for one in taken), default=last)
    return Schedule(arrive, latest, ready, first, last, packed, timed, taken, light)


def tasks_of(found: tuple[Step, ...], night: ChosenNight) -> list[Task]:
    """Return steps as the arithmetic wants them, with the instants at which the sky releases them."""
    number = {step.id: index for index, step in enumerate(found)}
    return [
        Task(
            step.lasts.seconds,
            tuple(number[need] for need in step.needs),
            -inf if step.below is None else sunk_below(night.nights, night.index, step.below),
            step.hands,
        )
        for step in found
    ]


def _before_the_stars(up: tuple[Step, ...], tasks: list[Task]) -> list[Task]:
    """Return the tasks before the first one that waits for the sky, without their needs among what is left out."""
    waiting = next((index for index, step in enumerate(up) if step.below is not None), len(up))
    return [Task(task.lasts, (), -inf, task.hands) for task in tasks[:waiting]]


def _light(night: ChosenNight) -> float | None:
    dusk = float(night.nights.dusk[night.index, CIVIL])
    return dusk if isfinite(dusk) and 0 <= night.start - dusk <= EVENING else None


def sunk_below(nights: Nights, index: int, level: float) -> float:
    """Return the instant of a night at which the Sun sinks through an altitude in deg.

    Returns:
        Minus infinity where it stands below from noon on. Where it never sinks so far, the instant at which it stands
        lowest: darker it does not grow.
    """
    return float(_sinkings(nights, level)[index])


@lru_cache(maxsize=32)
def _sinkings(nights: Nights, level: float) -> NDArray[np.float64]:
    """Return that instant for every night of a year, which serves all rigs of a place, shape (nights,)."""
    below = nights.sun <= level
    every = np.arange(len(below))
    found = np.where(below[:, 0], -inf, nights.instants[every, nights.sun.argmin(axis=1)])
    rows = np.flatnonzero(below.any(axis=1) & ~below[:, 0])
    step = below[rows].argmax(axis=1)
    begin, end = nights.instants[rows, step - 1], nights.instants[rows, step]
    found[rows] = root(lambda instants: nights.sun_altitude(instants) - level, begin, end)
    return found
