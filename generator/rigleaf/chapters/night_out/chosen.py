"""Which night a rig is reckoned for, and from when to when it takes pictures."""

import datetime as dt
import math
from dataclasses import dataclass

import numpy as np

from rigleaf.catalogue.defaults import year_of
from rigleaf.catalogue.models.guide import Place
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.under_the_sky.place_sky import date_in_words, site_of, store_of, time_in_words
from rigleaf.sky.night import LEVELS, Nights, nights

BRIGHT: frozenset[str] = frozenset({"Sun", "eclipses", "Moon", "planets"})
"""Purposes that do not wait for darkness."""
CIVIL, DARK = LEVELS.index(-6.0), LEVELS.index(-18.0)
NOON_TO_NOON = 24 * 3600.0


@dataclass(frozen=True, eq=False)
class ChosenNight:
    """One night at one place.

    Attributes:
        place: where.
        nights: the nights of its year there.
        index: its number among them.
        start: instant of the first exposure, in seconds since 1970 UTC.
        end: instant at which the last exposure ends.
        why: how the night was chosen, in words that follow "The night is".
    """

    place: Place
    nights: Nights
    index: int
    start: float
    end: float
    why: str

    @property
    def hours(self) -> float:
        """Hours of taking pictures."""
        return (self.end - self.start) / 3600

    @property
    def date(self) -> dt.date:
        """Date of the evening."""
        return self.nights.dates[self.index]

    @property
    def date_words(self) -> str:
        """The date in words: "3 June"."""
        return date_in_words(self.nights, self.index)

    def clock(self, instant: float) -> str:
        """What the clocks of the place show: "22:41"."""
        return time_in_words(self.nights, instant)


def chosen_night(assembly: Assembly, evening: dt.date | None = None) -> ChosenNight | None:
    """Return the night that a rig is reckoned for.

    It is the rig's own night; else the longest dark night of the guide's year at its place, which asks most of
    batteries and people.

    Args:
        assembly: the rig.
        evening: another evening than the rig's own, such as each one of a year.

    Returns:
        None where the place's coordinates are unsaid, or where it does not grow dark on that date.
    """
    place = assembly.place
    site = site_of(place) if place is not None else None
    if place is None or site is None:
        return None
    own = assembly.rig.night
    stated = evening or (own.date if own is not None else None)
    year = stated.year if stated else year_of(assembly.catalogue.guide)
    found = nights(site, year, store_of(assembly.catalogue))
    index = found.dates.index(stated) if stated else int(np.argmax(found.dark))
    why = "the one that the rig states" if stated else f"the longest dark one of {year} at {place.name}"
    span = _span(assembly, found, index)
    return ChosenNight(place, found, index, *span, why) if span else None


def _span(assembly: Assembly, found: Nights, index: int) -> tuple[float, float] | None:
    """Return when the first exposure starts and the last one ends."""
    own = assembly.rig.night
    purposes = set(assembly.rig.purpose)
    bright = bool(purposes) and purposes <= BRIGHT
    by_day = bright and assembly.filtered_for_the_sun
    hours = own.hours.value if own is not None and own.hours is not None else None
    session = hours or assembly.choice("session").value
    if own is not None and own.begins is not None:
        noon = found.instants[index, 0]
        midnight = found.site.instant(found.dates[index])
        start = midnight + own.begins * 60.0
        # What begins before noon belongs to the evening before, unless the Sun is what it is all about.
        if start < noon and not by_day:
            start += NOON_TO_NOON
        last = float(found.dawn[index, DARK])
        dark_end = last if math.isfinite(last) and last > start and not bright else start + session
        return start, min(start + hours, dark_end) if hours and not bright else dark_end
    if by_day:
        noon = float(found.instants[index, 0])
        return noon - session / 2, noon + session / 2
    level = CIVIL if bright else DARK
    dusk, dawn = float(found.dusk[index, level]), float(found.dawn[index, level])
    if not (math.isfinite(dusk) and math.isfinite(dawn)):
        return None
    wanted = session if bright else hours
    return dusk, min(dawn, dusk + wanted) if wanted else dawn
