"""When a target can be photographed from a place: its hours through the year, its best months, its meridian time."""

from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from rigleaf.sky import altitude as sky
from rigleaf.sky.night import STEPS, Nights, both, inside, nights
from rigleaf.sky.site import Site

Array = NDArray[np.float64]

SIDEREAL_DAY = 86_164.0905
"""Seconds in which the sky turns once."""
EVERY_NIGHT = slice(None)
GOOD_SHARE = 0.5
"""Months count among the best with at least this part of the best one's hours; a choice of this guide."""


@dataclass(frozen=True, eq=False)
class Season:
    """One target through the nights of a year at a place.

    Attributes:
        nights: The nights.
        star: Unit vector towards the target in the middle of the year.
        lowest: Altitude in deg above which it is worth photographing; the skyline may ask for more.
    """

    nights: Nights
    star: Array
    lowest: float

    def altitude(self, rows: slice = EVERY_NIGHT) -> Array:
        """Return the altitude of the target at each sample of some nights, deg, shape (nights, STEPS + 1)."""
        return sky.altitude_of_star(self.nights.site, self.nights.angles[rows], self.star)

    def when_up(self, rows: slice = EVERY_NIGHT) -> tuple[Array, Array]:
        """Return where in each five minutes it stands high enough and above the skyline; see `night.inside`."""
        wanted: Array | float = self.lowest
        if self.nights.site.horizon:
            azimuth = sky.azimuth_of_star(self.nights.site, self.nights.angles[rows], self.star)
            wanted = np.maximum(self.nights.site.skyline(azimuth), self.lowest)
        return inside(wanted - self.altitude(rows))

    @cached_property
    def _hours(self) -> tuple[Array, Array]:
        # Only the sums are kept: the samples of a year would take megabytes for each target.
        up = self.when_up()
        dark = self.nights.hours_of(both(self.nights.when_dark, up))
        return dark, self.nights.hours_of(both(self.nights.when_moonless, up))

    @property
    def dark(self) -> Array:
        """Dark hours of each night in which it stands high enough, whatever the Moon does."""
        return self._hours[0]

    @property
    def usable(self) -> Array:
        """Dark and moonless hours of each night in which it stands high enough."""
        return self._hours[1]

    @cached_property
    def by_month(self) -> Array:
        """Usable hours of each month, shape (12,)."""
        return self.nights.by_month(self.usable)

    @property
    def best_month(self) -> int | None:
        """The month with most usable hours, 0 for January; None where there are none."""
        return int(self.by_month.argmax()) if self.by_month.max() > 0 else None

    @property
    def best_months(self) -> tuple[int, ...]:
        """The months with at least half of the best one's usable hours, in the order of the calendar."""
        best = self.by_month.max()
        return tuple(np.nonzero(self.by_month >= GOOD_SHARE * best)[0].tolist()) if best > 0 else ()

    @property
    def declination(self) -> float:
        """Declination of the date, deg."""
        return float(np.degrees(np.arcsin(self.star[2])))

    @property
    def highest(self) -> float:
        """Geometric altitude on the upper meridian, deg."""
        return 90.0 - abs(self.nights.site.latitude - self.declination)

    def meridian(self, night: int) -> float:
        """Instant at which it crosses the upper meridian nearest to the middle of a night."""
        middle = self.nights.instants[night, STEPS // 2]
        hour_angle = float(self.nights.angle(middle)) - float(np.arctan2(self.star[1], self.star[0]))
        turn = (hour_angle / (2 * np.pi) + 0.5) % 1.0 - 0.5
        return float(middle - turn * SIDEREAL_DAY)

    def usable_places(self, month: int) -> tuple[Array, Array]:
        """Return azimuths and altitudes in deg at which it stands, five minutes apart, in the usable time of a month.

        The Moon is left out of it: what turns the field turns it under the Moon too.
        """
        # The nights of a month follow one another.
        rows = slice(*np.searchsorted(self.nights.months, (month, month + 1)).tolist())
        dark_from, dark_to = self.nights.when_dark
        start, end = both((dark_from[rows], dark_to[rows]), self.when_up(rows))
        night, step = np.nonzero(end > start)
        angles = self.nights.angles[rows][night, step]
        site = self.nights.site
        return sky.azimuth_of_star(site, angles, self.star), sky.altitude_of_star(site, angles, self.star)


@lru_cache(maxsize=512)
def season(site: Site, year: int, place: tuple[float, float], lowest: float, folder: Path | None = None) -> Season:
    """Return a target's year at a place.

    Args:
        site: where from.
        year: the year.
        place: right ascension and declination, ICRS, deg.
        lowest: altitude in deg that is wanted.
        folder: where the ephemeris is kept between runs.
    """
    found = nights(site, year, folder)
    return Season(found, found.bodies.direction(*place), lowest)


def night_of(found: Nights, month: int, day: int = 15) -> int:
    """Return the number of the night that begins on a day of a month, 0 for January."""
    first = int(np.searchsorted(found.months, month))
    return first + day - 1
