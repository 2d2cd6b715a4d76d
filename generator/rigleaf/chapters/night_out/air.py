"""The air of a night at a place: how cold it grows hour by hour, and how near to its dew point."""

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.place_fields import ByMonth
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.night_out.chosen import ChosenNight
from rigleaf.chapters.night_out.humid_air import dew_point_of, saturation_pressure

Array = NDArray[np.float64]

YEAR_DAYS = 365.25


@dataclass(frozen=True, eq=False)
class Air:
    """The air at a row of instants.

    Attributes:
        instants: seconds since 1970 UTC, shape (n,).
        temperature: of the air at head height, deg C, shape (n,).
        dew_point: of the air, deg C, shape (n,), never above its temperature; None where the humidity is unsaid.
        coldest: temperature at the end of the night, deg C.
    """

    instants: Array
    temperature: Array
    dew_point: Array | None
    coldest: float


def month_value(values: ByMonth | None, day: dt.date) -> float | None:
    """Return a value for one day of the year, straight between the middles of the months that state one.

    The year is a ring; a single month speaks for all. None where no month states anything.
    """
    known = [(month, value.value) for month, value in enumerate(values or ()) if value is not None]
    if not known:
        return None
    position = ((day.timetuple().tm_yday - 0.5) / YEAR_DAYS * 12 - 0.5) % 12
    months = [month for month, _ in known]
    numbers = [number for _, number in known]
    ring = [months[-1] - 12, *months, months[0] + 12]
    return float(np.interp(position, ring, [numbers[-1], *numbers, numbers[0]]))


def air_at(assembly: Assembly, night: ChosenNight, instants: Array) -> Air | None:
    """Return the air at the rig's place through a night.

    It cools straight from sunset to sunrise by what the guide says a night cools, down to the place's temperature at
    the end of the night; the water in it stays as it is until the air itself is saturated.

    Args:
        assembly: the rig.
        night: which night.
        instants: seconds since 1970 UTC, shape (n,).

    Returns:
        None where the place states no temperature for any month.
    """
    place = night.place
    coldest = month_value(place.night_temperature, night.date)
    if coldest is None:
        return None
    fall = assembly.choice("night_cooling").value
    row = night.nights.instants[night.index]
    sunset, sunrise = night.nights.dusk[night.index, 0], night.nights.dawn[night.index, 0]
    # Where the Sun does not set or rise, the night cools from one transit to the next.
    sunset = float(sunset) if np.isfinite(sunset) else float(row[0])
    sunrise = float(sunrise) if np.isfinite(sunrise) else float(row[-1])
    gone = np.clip((instants - sunset) / (sunrise - sunset), 0.0, 1.0)
    temperature = coldest + fall * (1 - gone)
    humidity = month_value(place.night_humidity, night.date)
    dew_point = None
    if humidity:
        middle = saturation_pressure(coldest + fall / 2) * humidity
        dew_point = np.minimum(dew_point_of(middle), temperature)
    return Air(instants, temperature, dew_point, coldest)
