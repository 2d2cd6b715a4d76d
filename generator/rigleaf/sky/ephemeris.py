"""Where Sun and Moon stand as seen from the Earth's centre through a year, from astropy's built-in ephemeris.

Positions stand at knots six hours apart and are interpolated through four of them, which leaves less than 0.1
arcsec. They are true equator positions (CIRS: apparent, counted from the celestial intermediate origin), so that a
place's own sky follows from them by one turn about the Earth's axis, with the Earth rotation angle.

Instants are seconds since 1970-01-01 0h UTC, without leap seconds.
"""

import warnings
from dataclasses import dataclass
from functools import lru_cache
from importlib.metadata import version
from math import tau
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rigleaf.sky import store

Array = NDArray[np.float64]

DAY = 86_400.0
UNIX_MJD = 40_587.0
"""Modified Julian date of 1970-01-01 0h."""
_J2000_MJD = 51_544.5
_KNOTS_A_DAY = 4
_SPARE_DAYS = 4
_VERSION = 1
"""Grows when the numbers in the store would come out differently."""


@lru_cache(maxsize=1)
def quiet_astropy() -> None:
    """Keep astropy off the network: its bundled tables of the Earth's rotation serve, even where they have run out.

    Every use of astropy's coordinates must call this first. Without it astropy tries to download newer tables.
    """
    from astropy.utils import data, iers

    iers.conf.auto_download = False
    iers.conf.auto_max_age = None
    iers.conf.iers_degraded_accuracy = "ignore"
    data.conf.allow_internet = False


@dataclass(frozen=True, eq=False)
class Ephemeris:
    """Sun and Moon through one year and some days on either side.

    Attributes:
        year: The year.
        first: Instant of the first knot.
        sun: Place of the Sun at each knot, km from the Earth's centre, shape (knots, 3).
        moon: Place of the Moon, likewise.
        ut1: UT1 - UTC in s at each knot, shape (knots,).
        turn: Matrix from ICRS directions to those of the middle of the year, shape (3, 3).
    """

    year: int
    first: float
    sun: Array
    moon: Array
    ut1: Array
    turn: Array

    def sun_at(self, instants: ArrayLike) -> Array:
        """Return the Sun's place in km, with three numbers for each instant."""
        return self._between(self.sun, instants)

    def moon_at(self, instants: ArrayLike) -> Array:
        """Return the Moon's place in km, with three numbers for each instant."""
        return self._between(self.moon, instants)

    def rotation(self, instants: ArrayLike) -> Array:
        """Return the Earth rotation angle in rad, 0 to 2 pi."""
        knots = self.first + np.arange(len(self.ut1)) * (DAY / _KNOTS_A_DAY)
        utc = np.asarray(instants, dtype=np.float64)
        ut1 = utc + np.interp(utc, knots, self.ut1)
        return earth_rotation(ut1 / DAY + (UNIX_MJD - _J2000_MJD))

    def direction(self, ra: float, dec: float) -> Array:
        """Return the unit vector of a star (ICRS, deg) as it stands in the middle of the year.

        Aberration and the motion of the pole within the year, together below 0.01 deg, are left out: no star's
        time above the horizon changes by more than three seconds.
        """
        lon, lat = np.radians(ra), np.radians(dec)
        star = np.array([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)])
        return np.asarray(self.turn @ star)

    def _between(self, knots: Array, instants: ArrayLike) -> Array:
        place = (np.asarray(instants, dtype=np.float64) - self.first) * (_KNOTS_A_DAY / DAY)
        index = np.clip(np.floor(place).astype(np.intp), 1, len(knots) - 3)
        x = (place - index)[..., None]
        # Lagrange's weights for knots at -1, 0, 1 and 2.
        return np.asarray(
            knots[index - 1] * (-x * (x - 1) * (x - 2) / 6)
            + knots[index] * ((x + 1) * (x - 1) * (x - 2) / 2)
            + knots[index + 1] * (-x * (x + 1) * (x - 2) / 2)
            + knots[index + 2] * (x * (x + 1) * (x - 1) / 6)
        )


def earth_rotation(days: ArrayLike) -> Array:
    """Earth rotation angle in rad, 0 to 2 pi, at days of UT1 since 2000 January 1, 12h (IAU 2000)."""
    since = np.asarray(days, dtype=np.float64)
    return np.asarray(tau * np.mod(0.7790572732640 + 0.00273781191135448 * since + np.mod(since, 1.0), 1.0))


@lru_cache(maxsize=4)
def ephemeris(year: int, folder: Path | None = None) -> Ephemeris:
    """Return the ephemeris of a year; ``folder`` keeps it from one run to the next."""
    days = (np.datetime64(f"{year + 1}-01-01") - np.datetime64(f"{year}-01-01")).astype(int) + 2 * _SPARE_DAYS
    start = float(np.datetime64(f"{year}-01-01").astype("datetime64[s]").astype(np.int64)) - _SPARE_DAYS * DAY
    count = int(days) * _KNOTS_A_DAY + 1
    shapes = {"sun": (count, 3), "moon": (count, 3), "ut1": (count,), "turn": (3, 3)}
    key = (_VERSION, year, _KNOTS_A_DAY, _SPARE_DAYS, version("astropy"), version("astropy-iers-data"))
    path = store.file_for(folder, "sun-and-moon", *key) if folder else None
    found = store.read(path, shapes) if path else None
    if found is None:
        found = _from_astropy(start, count)
        if path:
            store.write(path, found)
    return Ephemeris(year, start, **found)


def _from_astropy(start: float, count: int) -> store.Arrays:
    quiet_astropy()
    from astropy.coordinates import CIRS, SkyCoord, get_body, solar_system_ephemeris
    from astropy.time import Time
    from astropy.utils.exceptions import AstropyWarning
    from erfa import ErfaWarning

    with warnings.catch_warnings(), solar_system_ephemeris.set("builtin"):
        # Beyond the bundled tables astropy speaks of dubious years and of polar motion, which is below 0.5 arcsec.
        warnings.simplefilter("ignore", AstropyWarning)
        warnings.simplefilter("ignore", ErfaWarning)
        time = Time(UNIX_MJD + start / DAY, np.arange(count) / _KNOTS_A_DAY, format="mjd", scale="utc")
        frame = CIRS(obstime=time)
        places = {
            body: np.ascontiguousarray(get_body(body, time).transform_to(frame).cartesian.xyz.to_value("km").T)
            for body in ("sun", "moon")
        }
        axes = SkyCoord([0, 90, 0], [0, 0, 90], unit="deg", frame="gcrs", obstime=time[count // 2])
        turned = axes.transform_to(CIRS(obstime=time[count // 2]))
        return {**places, "ut1": np.asarray(time.delta_ut1_utc, dtype=np.float64), "turn": turned.cartesian.xyz.value}
