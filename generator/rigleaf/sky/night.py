"""The nights of a year at a place: when it grows dark, for how long, and how much of that is without the Moon.

A night runs from one upper transit of the Sun to the next and is named after the date of its evening, by the clocks
of the place. Instants are seconds since 1970 UTC; lasting times are hours.
"""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache, partial
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from rigleaf.sky import altitude as sky
from rigleaf.sky.ephemeris import DAY, Ephemeris, ephemeris
from rigleaf.sky.site import Site

Array = NDArray[np.float64]

SUNSET = -50 / 60
"""Altitude of the Sun's centre at sunset: 16' for its radius and 34' for the air, the common convention."""
LEVELS: tuple[float, ...] = (SUNSET, -6.0, -12.0, -18.0)
"""Altitudes of the Sun at which day, civil, nautical and astronomical twilight end; below the last it is dark."""
BANDS: tuple[str, ...] = ("day", "civil twilight", "nautical twilight", "astronomical twilight", "dark")
MOONSET = -50 / 60
"""Altitude of the Moon's centre below which none of it is seen."""

STEPS = 288
"""Samples of a night: one every five minutes; between them altitudes are taken as straight."""


@dataclass(frozen=True, eq=False)
class Nights:
    """Every night of a year at a place. Arrays have one row a night, in the order of the dates.

    Attributes:
        site: The place.
        year: The year whose evenings these are.
        bodies: Where Sun and Moon stand.
        instants: Samples from transit to transit, shape (nights, STEPS + 1).
        sun: Altitude of the Sun at each of them, deg.
        moon: Altitude of the Moon, deg.
    """

    site: Site
    year: int
    bodies: Ephemeris
    instants: Array
    sun: Array
    moon: Array

    @cached_property
    def dates(self) -> tuple[dt.date, ...]:
        """The date of each night's evening."""
        first = dt.date(self.year, 1, 1)
        return tuple(first + dt.timedelta(days=day) for day in range(len(self.instants)))

    @cached_property
    def months(self) -> NDArray[np.intp]:
        """The month of each night, 0 for January."""
        return np.array([day.month - 1 for day in self.dates])

    @cached_property
    def hours(self) -> Array:
        """Length of each night from transit to transit, shape (nights,); close to 24."""
        return np.asarray((self.instants[:, -1] - self.instants[:, 0]) / 3600)

    @cached_property
    def bands(self) -> Array:
        """Hours that each night spends in each of BANDS, shape (nights, 5)."""
        return _bands(self.sun, self.hours)

    @cached_property
    def dark(self) -> Array:
        """Hours of astronomical darkness in each night."""
        return np.asarray(self.bands[:, -1])

    @cached_property
    def when_dark(self) -> tuple[Array, Array]:
        """Where in each five minutes it is dark; see `inside`."""
        return inside(self.sun - LEVELS[-1])

    @cached_property
    def when_moonless(self) -> tuple[Array, Array]:
        """Where in each five minutes it is dark and the Moon is down."""
        return both(self.when_dark, inside(self.moon - MOONSET))

    @cached_property
    def moonless(self) -> Array:
        """Dark hours of each night without the Moon."""
        return self.hours_of(self.when_moonless)

    @cached_property
    def illuminated(self) -> Array:
        """Lit part of the Moon's disc in the middle of each night."""
        middle = self.instants[:, STEPS // 2]
        return sky.illuminated(self.bodies.sun_at(middle), self.bodies.moon_at(middle))

    @cached_property
    def dusk(self) -> Array:
        """Instant at which the Sun sinks through each of LEVELS, shape (nights, 4); NaN where it does not."""
        return self._crossings(falling=True)

    @cached_property
    def dawn(self) -> Array:
        """Instant at which the Sun rises through each of LEVELS, shape (nights, 4); NaN where it does not."""
        return self._crossings(falling=False)

    def by_month(self, hours: Array) -> Array:
        """Sum the hours of the nights by month, shape (12,)."""
        sums: Array = np.zeros(12)
        np.add.at(sums, self.months, hours)
        return sums

    def spans(self, when: tuple[Array, Array]) -> list[tuple[int, float, float]]:
        """Return every stretch of time in ``when``: number of the night, first and last instant."""
        start, end = when
        holds = end > start
        # A stretch goes on where these five minutes are held up to their end and the next ones from their start.
        goes_on = (holds & (end >= 1))[:, :-1] & (holds & (start <= 0))[:, 1:]
        opens, closes = holds.copy(), holds.copy()
        opens[:, 1:] &= ~goes_on
        closes[:, :-1] &= ~goes_on
        nights, first = np.nonzero(opens)
        _, last = np.nonzero(closes)
        step = self.hours[nights] * 3600 / STEPS
        begin = self.instants[nights, 0] + (first + start[nights, first]) * step
        finish = self.instants[nights, 0] + (last + end[nights, last]) * step
        return list(zip(nights.tolist(), begin.tolist(), finish.tolist(), strict=True))

    def hours_of(self, when: tuple[Array, Array]) -> Array:
        """Hours of each night in which a condition holds, shape (nights,)."""
        return self.hours * _share(when)

    def angle(self, instants: Array) -> Array:
        """Angle in rad from the origin of right ascensions to the meridian."""
        return sky.local_angle(self.site, self.bodies.rotation(instants))

    @cached_property
    def angles(self) -> Array:
        """That angle at every sample."""
        return self.angle(self.instants)

    def sun_altitude(self, instants: Array) -> Array:
        """Altitude of the Sun in deg, without air, at any instants of the year."""
        return sky.altitude_of_body(self.site, self.angle(instants), self.bodies.sun_at(instants))

    def moon_altitude(self, instants: Array) -> Array:
        """Altitude of the Moon in deg, without air, at any instants of the year."""
        return sky.altitude_of_body(self.site, self.angle(instants), self.bodies.moon_at(instants))

    def day_parts(self, day: dt.date) -> Array:
        """Hours that a date, from midnight to midnight by the clocks of the place, spends in each of BANDS."""
        begin, end = self.site.instant(day), self.site.instant(day + dt.timedelta(days=1))
        altitude = self.sun_altitude(np.linspace(begin, end, STEPS + 1))
        return np.asarray(_bands(altitude[None, :], np.array([(end - begin) / 3600]))[0])

    def _crossings(self, falling: bool) -> Array:
        found = np.full((len(self.instants), len(LEVELS)), np.nan)
        for column, level in enumerate(LEVELS):
            above = self.sun > level
            passes = above[:, :-1] & ~above[:, 1:] if falling else ~above[:, :-1] & above[:, 1:]
            nights = np.nonzero(passes.any(axis=1))[0]
            # The first fall and the last rise: between them lies the night.
            index = passes.argmax(axis=1) if falling else STEPS - 1 - passes[:, ::-1].argmax(axis=1)
            index = index[nights]
            begin, end = self.instants[nights, index], self.instants[nights, index + 1]
            found[nights, column] = root(partial(self._above, level), begin, end)
        return found

    def _above(self, level: float, instants: Array) -> Array:
        return self.sun_altitude(instants) - level


def root(function: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Return where a function changes its sign in each bracket of five minutes.

    Three halvings leave a bracket that is all but straight even where the Sun only grazes a level; false position
    then ends far below a second.
    """
    at_low, at_high = function(low), function(high)
    guess = low
    for step in range(6):
        span = np.where(at_high == at_low, 1.0, at_high - at_low)
        guess = (low + high) / 2 if step < 3 else low - at_low * (high - low) / span
        here = function(guess)
        same = np.sign(here) == np.sign(at_low)
        low, at_low = np.where(same, guess, low), np.where(same, here, at_low)
        high, at_high = np.where(same, high, guess), np.where(same, at_high, here)
    return guess


def inside(values: Array) -> tuple[Array, Array]:
    """Return where between neighbouring samples a quantity is below zero, taken as straight between them.

    Args:
        values: shape (nights, samples).

    Returns:
        Start and end as parts of each step, 0 to 1, shape (nights, samples - 1); the end lies before the start
        where it is nowhere below zero.
    """
    first, last = values[:, :-1], values[:, 1:]
    low, high = first < 0, last < 0
    crossing = first / np.where(low == high, 1.0, first - last)
    start = np.where(low, 0.0, np.where(high, crossing, 1.0))
    end = np.where(high, 1.0, np.where(low, crossing, 0.0))
    return start, end


def both(one: tuple[Array, Array], other: tuple[Array, Array]) -> tuple[Array, Array]:
    """Return where two conditions hold together."""
    return np.maximum(one[0], other[0]), np.minimum(one[1], other[1])


def _share(when: tuple[Array, Array]) -> Array:
    """Part of each night in which a condition holds."""
    return np.asarray(np.maximum(when[1] - when[0], 0.0).mean(axis=1))


def _bands(sun: Array, hours: Array) -> Array:
    """Hours of stretches of time in each of BANDS, from the Sun's altitudes in them."""
    below = [hours, *(hours * _share(inside(sun - level)) for level in LEVELS)]
    return np.stack([*(more - less for more, less in pairwise(below)), below[-1]], axis=1)


@lru_cache(maxsize=32)
def nights(site: Site, year: int, folder: Path | None = None) -> Nights:
    """Return the nights of a year at a place.

    Args:
        site: the place.
        year: the year.
        folder: where the ephemeris of the year is kept from one run to the next; None keeps nothing.
    """
    bodies = ephemeris(year, folder)
    transits = _transits(site, year, bodies)
    part = np.arange(STEPS + 1) / STEPS
    instants = transits[:-1, None] + (transits[1:] - transits[:-1])[:, None] * part
    angle = sky.local_angle(site, bodies.rotation(instants))
    sun, moon = (
        sky.altitude_of_body(site, angle, place) for place in (bodies.sun_at(instants), bodies.moon_at(instants))
    )
    return Nights(site, year, bodies, instants, sun, moon)


def _transits(site: Site, year: int, bodies: Ephemeris) -> Array:
    """Return the Sun's upper transits from that of 1 January to that of 1 January a year later.

    A clock far from its own meridian, as beside the date line, may show another date than the Sun would; the transit
    nearest to noon by the clock decides. Where nobody says which clock, it is that of the place's own meridian.
    """
    day = dt.date(year, 1, 1)
    midday = site.instant(day, 12) if site.zone else site.instant(day, 12) - _turn(site.longitude) * DAY
    count = (dt.date(year + 1, 1, 1) - day).days
    found = midday + np.arange(count + 1) * DAY
    for _ in range(3):
        sun = bodies.sun_at(found)
        hour_angle = sky.local_angle(site, bodies.rotation(found)) - np.arctan2(sun[:, 1], sun[:, 0])
        found = found - _turn(np.degrees(hour_angle)) * DAY
    return np.asarray(found)


def _turn(angle: Array | float) -> Array:
    """Part of a turn that an angle in deg is, from -0.5 to 0.5."""
    return np.asarray(np.mod(np.asarray(angle) / 360 + 0.5, 1.0) - 0.5)
