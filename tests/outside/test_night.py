"""Sun, Moon, twilight and seasons against another ephemeris, another program and worked examples.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY. The other
program is skyfield with the ephemeris DE421 of the Jet Propulsion Laboratory; it works without air as this one does.
"""

import datetime as dt
from functools import lru_cache
from importlib.resources import files
from typing import Any

import erfa
import numpy as np
import pytest
from numpy.typing import NDArray
from skyfield.api import Star, load, load_file, wgs84

from rigleaf.sky import altitude as sky
from rigleaf.sky.ephemeris import DAY, UNIX_MJD, earth_rotation, ephemeris
from rigleaf.sky.night import LEVELS, STEPS, Nights, nights
from rigleaf.sky.seasons import Season, season
from rigleaf.sky.site import Site

Array = NDArray[np.float64]

SITES = {
    "28.8 N": Site(28.76, -17.88, 2396.0, "Atlantic/Canary"),
    "24.6 S": Site(-24.63, -70.40, 2635.0, "America/Santiago"),
    "52.1 N": Site(52.09, 5.12, 5.0, "Europe/Amsterdam"),
    "64.1 N": Site(64.13, -21.90, 30.0, "Atlantic/Reykjavik"),
    "1.3 S": Site(-1.29, 36.82, 1795.0, "Africa/Nairobi"),
}
DATES = [dt.date(year, month, 21) for year in (2026, 2027) for month in (1, 3, 5, 7, 9, 12)]


@lru_cache(maxsize=1)
def jpl() -> Any:
    return load_file(str(files("skyfield_data") / "data" / "de421.bsp"))


@lru_cache(maxsize=1)
def timescale() -> Any:
    return load.timescale(builtin=True)


def other_altitude(site: Site, body: Any, instants: Array) -> tuple[Array, Array]:
    """Altitude and azimuth in deg of a body of DE421 or a star, COMPUTED with skyfield."""
    start = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
    time = timescale().from_datetimes([start + dt.timedelta(seconds=float(one)) for one in np.ravel(instants)])
    place = jpl()["earth"] + wgs84.latlon(site.latitude, site.longitude, elevation_m=site.elevation)
    altitude, azimuth, _ = place.at(time).observe(body).apparent().altaz()
    return np.reshape(altitude.degrees, np.shape(instants)), np.reshape(azimuth.degrees, np.shape(instants))


def night_of(site: Site, day: dt.date) -> tuple[Nights, int]:
    found = nights(site, day.year)
    return found, found.dates.index(day)


@pytest.mark.parametrize("name", SITES)
@pytest.mark.parametrize("day", DATES, ids=str)
def test_altitudes_against_another_ephemeris(name: str, day: dt.date) -> None:
    """COMPUTED with skyfield and DE421, every 30 min from noon to noon: Sun and Moon within 0.2 arcmin."""
    found, night = night_of(SITES[name], day)
    instants = found.instants[night, ::6]
    for body, own in (("sun", found.sun), ("moon", found.moon)):
        other, _ = other_altitude(SITES[name], jpl()[body], instants)
        assert np.abs(own[night, ::6] - other).max() * 60 < 0.2, body


@pytest.mark.parametrize("name", SITES)
def test_twilights_against_another_ephemeris(name: str) -> None:
    """COMPUTED with skyfield and DE421: dusk and dawn of each sort within 5 s; the same nights without darkness."""
    site = SITES[name]
    for day in DATES:
        found, night = night_of(site, day)
        own = np.stack([found.dusk[night], found.dawn[night]])
        sunk, _ = other_altitude(site, jpl()["sun"], found.instants[night])
        happens = (sunk.min() < np.array(LEVELS)) & (sunk.max() > np.array(LEVELS))
        assert (~np.isnan(own)).tolist() == [happens.tolist()] * 2, day
        when = np.where(np.isnan(own), found.instants[night, 0], own)
        before, after = (other_altitude(site, jpl()["sun"], when + step)[0] for step in (-20.0, 20.0))
        late = ((before + after) / 2 - LEVELS) / ((after - before) / 40.0)
        assert np.abs(late[~np.isnan(own)]).max() < 5.0, day


def samples(site: Site, day: dt.date, days: int) -> tuple[Nights, slice]:
    found, night = night_of(site, day)
    return found, slice(night, night + days)


def finer(values: Array) -> Array:
    """Altitudes every 10 s from those every five minutes, straight between."""
    at = np.linspace(0, STEPS, STEPS * 30, endpoint=False) + 1 / 60
    return np.stack([np.interp(at, np.arange(STEPS + 1), row) for row in values])


def test_dark_and_usable_hours_of_a_month_by_another_program() -> None:
    """COMPUTED with skyfield and DE421: 10 s steps of April 2027 counted in which Sun, Moon and a galaxy stand right.

    The galaxy is M 51, RA 202.4696, Dec 47.1952 (MEMORY). Dark, moonless and usable hours agree to 2 min a night.
    """
    site = Site(52.09, 5.12, 5.0, "Europe/Amsterdam", ((0.0, 55.0), (90.0, 10.0), (180.0, 10.0), (270.0, 30.0)))
    found, rows = samples(site, dt.date(2027, 4, 1), 30)
    sun, _ = other_altitude(site, jpl()["sun"], found.instants[rows])
    moon, _ = other_altitude(site, jpl()["moon"], found.instants[rows])
    star = Star(ra_hours=202.4696 / 15, dec_degrees=47.1952)
    high, azimuth = other_altitude(site, star, found.instants[rows])
    wanted = np.maximum(np.interp(azimuth, [0, 90, 180, 270, 360], [55, 10, 10, 30, 55]), 40.0)
    dark = finer(sun) < -18
    moonless = dark & (finer(moon) < -50 / 60)
    usable = moonless & (finer(high - wanted) > 0)
    own = season(site, 2027, (202.4696, 47.1952), 40.0)
    for other, hours in ((dark, found.dark), (moonless, found.moonless), (usable, own.usable)):
        counted = other.sum(axis=1) * 10 / 3600
        assert counted.sum() > 10
        assert np.abs(counted - hours[rows]).max() * 60 < 2.0
        assert counted.sum() == pytest.approx(float(hours[rows].sum()), abs=0.1)
    assert own.by_month[3] == pytest.approx(float(own.usable[rows].sum()))


def test_lit_part_of_the_moon_against_another_program() -> None:
    """COMPUTED with skyfield and DE421: from the Earth's centre, at midnight of each night of a month, to 0.001."""
    found, rows = samples(SITES["1.3 S"], dt.date(2026, 9, 1), 30)
    middle = found.instants[rows, STEPS // 2]
    start = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
    time = timescale().from_datetimes([start + dt.timedelta(seconds=float(one)) for one in middle])
    other = jpl()["earth"].at(time).observe(jpl()["moon"]).fraction_illuminated(jpl()["sun"])
    assert np.abs(found.illuminated[rows] - other).max() < 0.001
    assert found.illuminated[rows].max() > 0.98
    assert found.illuminated[rows].min() < 0.02


@pytest.mark.parametrize("name", SITES)
@pytest.mark.parametrize("place", [(10.6847, 41.269), (266.4168, -29.0078), (37.95, 89.26), (201.697, -47.4796)])
def test_altitude_and_azimuth_of_stars_against_another_program(name: str, place: tuple[float, float]) -> None:
    """COMPUTED with skyfield: altitude within 0.02 deg through the year; azimuth too, away from the zenith."""
    own = season(SITES[name], 2027, place, 30.0)
    rows = slice(0, 365, 26)
    instants = own.nights.instants[rows, ::12]
    star = Star(ra_hours=place[0] / 15, dec_degrees=place[1])
    altitude, azimuth = other_altitude(SITES[name], star, instants)
    assert np.abs(own.altitude()[rows, ::12] - altitude).max() < 0.02
    turn = sky.azimuth_of_star(SITES[name], own.nights.angle(instants), own.star) - azimuth
    turn = (turn + 180) % 360 - 180
    assert np.abs(turn * np.cos(np.radians(altitude))).max() < 0.02
    transit = 90 - abs(SITES[name].latitude - own.declination)
    assert own.highest == pytest.approx(transit)
    assert altitude.max() < own.highest + 0.02


@pytest.mark.parametrize("name", SITES)
def test_meridian_time_against_another_program(name: str) -> None:
    """COMPUTED with skyfield: the moment of the largest altitude within three hours, to 10 s."""
    own: Season = season(SITES[name], 2027, (83.82, -5.39), 30.0)
    transit = own.meridian(14)
    star = Star(ra_hours=83.82 / 15, dec_degrees=-5.39)
    steps = np.arange(-5400.0, 5401.0, 300.0)
    altitude, _ = other_altitude(SITES[name], star, transit + steps)
    # Equal altitudes on both sides: a parabola through the middle would err near the zenith.
    west = float(np.interp(-altitude[0], -altitude[len(steps) // 2 :], steps[len(steps) // 2 :]))
    assert (west + steps[0]) / 2 == pytest.approx(0.0, abs=10.0)


def test_earth_rotation_angle_of_the_standard() -> None:
    """Test value of the IAU's SOFA as shipped in ERFA, t_erfa_c.c, t_era00, READ: 0.4022837240028158 rad.

    The days count from 2000 January 1.5, JD 2451545.0 (READ in other texts that quote Meeus 1998, p. 62).
    """
    assert float(earth_rotation(54_388.0 - 51_544.5)) == pytest.approx(0.4022837240028158, abs=1e-12)
    assert 946_728_000 / DAY + UNIX_MJD + 2_400_000.5 == 2_451_545.0


MEEUS_47A = (2_448_724.5 - 2_400_000.5 - UNIX_MJD) * DAY - 58.184
"""1992 April 12, 0h TT, as an instant of UTC: 26 leap seconds and 32.184 s before it."""


def test_place_of_the_moon_in_a_worked_example() -> None:
    """Meeus, Astronomical Algorithms, 2nd ed. (1998), example 47.a, READ in two test suites that quote it.

    RA 134.688469, Dec 13.768367 deg, 368,409.7 km; the distance here contains the Earth's way in the light's time,
    about 34 km. RA counts from the equinox there and from the intermediate origin here: erfa.eo06a joins them.
    """
    x, y, z = ephemeris(1992).moon_at(MEEUS_47A)
    origins = np.degrees(erfa.eo06a(2_448_724.5, 0.0))
    assert np.degrees(np.arctan2(y, x)) % 360 - origins == pytest.approx(134.688469, abs=1e-4)
    assert np.degrees(np.arctan2(z, np.hypot(x, y))) == pytest.approx(13.768367, abs=1e-4)
    assert np.sqrt(x * x + y * y + z * z) == pytest.approx(368_409.7, abs=40)


def test_lit_part_of_the_moon_in_a_worked_example() -> None:
    """Meeus, example 48.a, READ in two test suites that quote it: k = 0.6786 on 1992 April 12."""
    bodies = ephemeris(1992)
    lit = float(sky.illuminated(bodies.sun_at(MEEUS_47A), bodies.moon_at(MEEUS_47A)))
    assert lit == pytest.approx(0.6786, abs=3e-4)


def test_refraction_of_a_worked_example() -> None:
    """Meeus, example 16.a, READ in two test suites that quote it: 28.754 arcmin at an apparent altitude of 0.5 deg.

    That is Bennett's formula, which starts from the apparent altitude; the one here starts from the true one, and the
    two are said to agree to 4 arcsec (MEMORY).
    """
    assert float(sky.apparent_altitude(0.5 - 28.754 / 60)) == pytest.approx(0.5, abs=4 / 3600)
    for apparent in (2.0, 10.0, 45.0, 80.0):
        bennett = 1 / np.tan(np.radians(apparent + 7.31 / (apparent + 4.4)))
        assert float(sky.apparent_altitude(apparent - bennett / 60)) == pytest.approx(apparent, abs=5 / 3600)
