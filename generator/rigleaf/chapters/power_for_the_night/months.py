"""The same rig in the middle of each month: in which months its batteries last from dusk to dawn."""

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Figure, Table
from rigleaf.chapters.night_out.air import Air, air_at
from rigleaf.chapters.night_out.chosen import ChosenNight, chosen_night
from rigleaf.chapters.power_for_the_night.budget import Budget, Scene, budget_of, heat_of
from rigleaf.chapters.power_for_the_night.timeline import like

Array = NDArray[np.float64]

MIDDLE = 15
"""Day of the month whose night stands for it."""


@dataclass(frozen=True, eq=False)
class Month:
    """One month: its number from 0, and the budget of its middle night; None where it does not grow dark."""

    number: int
    budget: Budget | None


def months(assembly: Assembly, known: Budget) -> tuple[Month, ...]:
    """Return the budgets of a year, set up as in the night that is known."""
    year = known.night.nights.year
    nights = [chosen_night(assembly, dt.date(year, month + 1, MIDDLE)) for month in range(len(MONTHS))]
    scenes = _scenes(assembly, known, [night for night in nights if night is not None and night.end > night.start])
    found = {scene.night.date.month: budget_of(assembly, scene, known.sensor, known.wiring) for scene in scenes}
    return tuple(Month(number, found.get(number + 1)) for number in range(len(MONTHS)))


def _scenes(assembly: Assembly, known: Budget, nights: list[ChosenNight]) -> list[Scene]:
    """Return the nights' scenes; dew is reckoned for all of them in one go, which is much faster."""
    times = [like(known.times, night.start, night.end) for night in nights]
    airs = [air_at(assembly, night, steps.instants) for night, steps in zip(nights, times, strict=True)]
    heats: list[dict[str, tuple[Array, ...]]] = [{} for _ in nights]
    there = [air for air in airs if air is not None]
    if len(there) == len(airs) and there:
        whole = _joined(there)
        cuts = np.cumsum([len(air.instants) for air in there])[:-1]
        split = {id_: [np.split(need, cuts) for need in needs] for id_, needs in heat_of(assembly, whole).items()}
        for number, heat in enumerate(heats):
            heat.update({id_: tuple(need[number] for need in needs) for id_, needs in split.items()})
    return [Scene(*one) for one in zip(nights, times, airs, heats, strict=True)]


def _joined(airs: list[Air]) -> Air:
    dew = [air.dew_point for air in airs if air.dew_point is not None]
    return Air(
        np.concatenate([air.instants for air in airs]),
        np.concatenate([air.temperature for air in airs]),
        np.concatenate(dew) if len(dew) == len(airs) else None,
        min(air.coldest for air in airs),
    )


def lasting(found: tuple[Month, ...]) -> tuple[list[int], list[int]]:
    """Return the months that grow dark, and those of them in which everything lasts."""
    dark = [month.number for month in found if month.budget is not None]
    return dark, [month.number for month in found if month.budget is not None and month.budget.lasts]


def table(found: tuple[Month, ...]) -> Table:
    """Return the year as a table."""
    rows: list[tuple[Cell, ...]] = []
    for month in found:
        name = Cell(MONTHS[month.number])
        if month.budget is None:
            rows.append((name, Cell("not dark", numeric=True), *(Cell("–", numeric=True) for _ in range(2)), Cell("–")))
            continue
        budget = month.budget
        hours = Figure(f"hours-{month.number}", "", budget.night.hours, "hours", "night-energy")
        drawn = Figure(f"drawn-{month.number}", "", budget.drawn, "energy", "night-energy")
        spare = budget.spare
        left = Figure(f"left-{month.number}", "", max(spare, 0.0) if spare is not None else None, "fraction", "lasting")
        words = {True: "yes", False: "no", None: "unsaid"}[budget.lasts]
        rows.append(
            (name, Cell(figure=hours, numeric=True), Cell(figure=drawn, numeric=True), Cell(figure=left, numeric=True),
             Cell(words))
        )  # fmt: skip
    return Table(
        "by-month",
        f"Month by month: the night of the {MIDDLE}th",
        ("Month", "Pictures", "Drawn from the sources", "Left", "It lasts"),
        tuple(rows),
    )
