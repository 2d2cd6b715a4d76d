"""When in the year a rig needs heat: the middle night of every month, by the place's usual temperature and humidity."""

import datetime as dt
from dataclasses import dataclass

import numpy as np

from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold.evening import Evening
from rigleaf.chapters.dew_and_cold.need import first_at_or_below, heat_needs
from rigleaf.chapters.dew_and_cold.physics import sensor_reach
from rigleaf.chapters.figures import Cell, Figure, Table
from rigleaf.chapters.night_out.air import Air, air_at
from rigleaf.chapters.night_out.chosen import ChosenNight, chosen_night
from rigleaf.chapters.night_out.humid_air import deposit_point

MIDDLE = 15
POINTS = 25


@dataclass(frozen=True, eq=False)
class Month:
    """The middle night of a month; ``night`` and ``air`` are None where it does not grow dark."""

    number: int
    night: ChosenNight | None
    air: Air | None


def months_table(evening: Evening) -> Table | None:
    """Return the year of the rig's main glass; None where the humidity is unsaid or nothing can gather dew."""
    if not evening.cased:
        return None
    assembly = evening.assembly
    months = [_month(assembly, evening.night.nights.year, number) for number in range(12)]
    airs = [month.air for month in months if month.air is not None]
    if not airs or any(air.dew_point is None for air in airs):
        return None
    # All months at once: a glass has no memory of the night before.
    joined = Air(
        np.concatenate([air.instants for air in airs]),
        np.concatenate([air.temperature for air in airs]),
        np.concatenate([air.dew_point for air in airs if air.dew_point is not None]),
        min(air.coldest for air in airs),
    )
    need = heat_needs(assembly, joined)[0]
    watts, glass = np.split(need.watts, len(airs)), np.split(need.unheated, len(airs))
    camera = assembly.camera
    depth = camera.cooling_depth.value if camera is not None and camera.cooling_depth is not None else 0.0
    rows: list[tuple[Cell, ...]] = []
    night_number = 0
    for month in months:
        if month.air is None or month.night is None or month.air.dew_point is None:
            empty = (Cell(),) * (4 if depth else 3)
            rows.append((Cell(MONTHS[month.number]), Cell("does not grow dark"), *empty))
            continue
        air = month.air
        point = deposit_point(month.air.dew_point, air.temperature)
        reached = first_at_or_below(air.instants, glass[night_number], point)
        wet = Cell(month.night.clock(reached)) if reached is not None else Cell("stays clear")
        rows.append(
            (
                Cell(MONTHS[month.number]),
                _cell(f"month-coldest-{month.number}", "Coldest", float(air.temperature[-1]), "temperature", "coldest"),
                _cell(f"month-dew-{month.number}", "Dew point", float(month.air.dew_point[-1]), "temperature",
                      "dew-point"),
                wet,
                _cell(f"month-heat-{month.number}", "Heat at most", float(watts[night_number].max()), "power",
                      "heater-power"),
            )
        )  # fmt: skip
        if depth:
            reach = sensor_reach(float(air.temperature.max()), depth)
            cold = _cell(f"month-sensor-{month.number}", "Sensor held to", reach, "temperature", "sensor-reach")
            rows[-1] = (*rows[-1], cold)
        night_number += 1
    columns: tuple[str, ...] = ("Middle of", "Coldest", "Dew point then", "Bare glass is wet from", "Heat at most")
    if depth:
        columns = (*columns, "Sensor held to")
    caption = f"When the {need.optic.name} needs heat through the year"
    return Table("months", caption, columns, tuple(rows))


def _month(assembly: Assembly, year: int, number: int) -> Month:
    night = chosen_night(assembly, dt.date(year, number + 1, MIDDLE))
    air = air_at(assembly, night, np.linspace(night.start, night.end, POINTS)) if night is not None else None
    return Month(number, night, air)


def _cell(id_: str, label: str, value: float, dimension: str, method: str) -> Cell:
    return Cell(figure=Figure(id_, label, value, dimension, method), numeric=True)
