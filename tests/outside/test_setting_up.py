"""Plans, times and crossings of a night out against other ways to find them.

Each test says whether its source was READ, COMPUTED with another library, or is from MEMORY. The minutes of the steps
themselves are common practice without a source and are checked against nothing.
"""

import datetime as dt
import zoneinfo
from collections.abc import Sequence
from itertools import combinations, pairwise
from math import inf, radians

import numpy as np
import pytest
from astropy import units as u
from astropy.coordinates import AltAz, EarthLocation, SkyCoord, get_body, get_sun
from astropy.time import Time
from scipy.optimize import linprog

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.guiding_and_exposure.tracking import declination_drift
from rigleaf.chapters.night_out.chosen import ChosenNight, chosen_night
from rigleaf.chapters.setting_up.meridian import crossings
from rigleaf.chapters.setting_up.physics import Task, done_at, latest_begin, least_time
from rigleaf.chapters.setting_up.schedule import schedule, sunk_below
from rigleaf.sky.ephemeris import quiet_astropy

# Beyond its bundled tables the mean pole serves; that is a matter of an arcsecond.
pytestmark = pytest.mark.filterwarnings("ignore:Tried to get polar motions")


@pytest.fixture(autouse=True, scope="module")
def _off_the_network() -> None:
    quiet_astropy()


def nights(demo: Catalogue) -> list[tuple[Assembly, ChosenNight]]:
    found = []
    for rig in demo.rigs.values():
        assembly = Assembly(demo, rig)
        night = chosen_night(assembly)
        if night is not None:
            found.append((assembly, night))
    return found


def plan(number: int) -> list[Task]:
    """A plan that nobody thought out: ten steps, some without hands, some with needs, some with a release."""
    dice = np.random.default_rng(number)
    tasks = []
    for index in range(10):
        needs = tuple(int(one) for one in np.flatnonzero(dice.random(index) < 0.3))
        release = float(dice.uniform(0, 5000)) if dice.random() < 0.3 else -inf
        tasks.append(Task(float(dice.uniform(60, 1800)), needs, release, bool(dice.random() < 0.8)))
    return tasks


def follows(tasks: Sequence[Task]) -> list[tuple[int, int]]:
    """Which step must end before which other begins: by need, or by the same hands."""
    busy = [index for index, task in enumerate(tasks) if task.hands]
    return [(need, index) for index, task in enumerate(tasks) for need in task.needs] + list(pairwise(busy))


def solved(tasks: Sequence[Task], begin: float | None, goal: float | None) -> float:
    """COMPUTED with scipy's linprog: the earliest end for a beginning, or the latest beginning for an end.

    Unknowns are the start of each step, the beginning and the end.
    """
    count = len(tasks)
    rows, limits = [], []

    def least(later: int, earlier: int, gap: float) -> None:
        row = np.zeros(count + 2)
        row[later], row[earlier] = -1, 1
        rows.append(row)
        limits.append(-gap)

    for before, after in follows(tasks):
        least(after, before, tasks[before].lasts)
    for index, task in enumerate(tasks):
        least(index, count, 0.0)
        least(count + 1, index, task.lasts)
    bounds: list[tuple[float | None, float | None]] = [
        (None if task.release == -inf else task.release, None) for task in tasks
    ]
    bounds += [(begin, begin) if begin is not None else (None, None), (None, goal)]
    aim = np.zeros(count + 2)
    aim[count + 1 if begin is not None else count] = 1 if begin is not None else -1
    found = linprog(aim, A_ub=np.array(rows), b_ub=np.array(limits), bounds=bounds, method="highs")
    assert found.status == 0
    assert found.fun is not None
    return float(found.fun) if begin is not None else -float(found.fun)


@pytest.mark.parametrize("number", range(12))
def test_the_plan_against_linear_programming(number: int) -> None:
    """COMPUTED with scipy: when all is done after a beginning, and the latest beginning for an end."""
    tasks = plan(number)
    for begin in (-8000.0, 0.0, 3000.0):
        assert done_at(tasks, begin) == pytest.approx(solved(tasks, begin, None), abs=1e-3)
    assert latest_begin(tasks, 20_000.0) == pytest.approx(solved(tasks, None, 20_000.0), abs=1e-3)


@pytest.mark.parametrize("number", range(12))
def test_the_longest_chain_by_trying_every_one(number: int) -> None:
    """Brute force: of all sets of steps that follow one another, the one that lasts longest."""
    tasks = plan(number)
    linked = set(follows(tasks))
    longest = max(
        sum(tasks[index].lasts for index in chain)
        for size in range(1, len(tasks) + 1)
        for chain in combinations(range(len(tasks)), size)
        if all(pair in linked for pair in pairwise(chain))
    )
    assert least_time(tasks) == pytest.approx(longest, rel=1e-12)


def sun_altitude(night: ChosenNight, instant: float) -> float:
    """Altitude of the Sun in deg without air, COMPUTED with astropy: its own way from ephemeris to horizon."""
    place = night.place
    assert place.latitude is not None
    assert place.longitude is not None
    height = place.elevation.value if place.elevation else 0.0
    where = EarthLocation.from_geodetic(place.longitude.value * u.deg, place.latitude.value * u.deg, height * u.m)
    time = Time(dt.datetime.fromtimestamp(instant, dt.UTC))
    return float(get_sun(time).transform_to(AltAz(obstime=time, location=where)).alt.deg)


def test_the_sun_at_each_time_of_the_schedule(demo: Catalogue) -> None:
    """COMPUTED with astropy: dark at the first exposure, -6 deg when the light is gone, -9 or -12 for stars."""
    seen = 0
    for assembly, night in nights(demo):
        found = schedule(assembly, night)
        bright = set(assembly.rig.purpose) <= {"Sun", "eclipses", "Moon", "planets"}
        if not bright:
            assert sun_altitude(night, found.first) < -17.98
            assert sun_altitude(night, found.last) < -17.98
        if found.by_light is not None:
            assert sun_altitude(night, found.by_light) == pytest.approx(-6, abs=0.02)
        for one in found.steps:
            if one.step.below is not None:
                seen += 1
                assert sun_altitude(night, one.start) < one.step.below + 0.02
                released = sunk_below(night.nights, night.index, one.step.below)
                assert sun_altitude(night, released) == pytest.approx(one.step.below, abs=0.02)
    assert seen > 40


def test_meridian_crossings_against_astropy(demo: Catalogue) -> None:
    """COMPUTED with astropy: at the time given the apparent hour angle is nought within 10 s of time."""
    seen = 0
    for assembly, night in nights(demo)[::3]:
        found = schedule(assembly, night)
        targets = {target.name: target for target in assembly.targets}
        for name, at in crossings(assembly, night, found.first, found.last):
            seen += 1
            place = night.place
            assert place.latitude is not None
            assert place.longitude is not None
            where = EarthLocation.from_geodetic(place.longitude.value * u.deg, place.latitude.value * u.deg)
            time = Time(dt.datetime.fromtimestamp(at, dt.UTC))
            ra, dec = targets[name].place or (0.0, 0.0)
            star = SkyCoord(ra * u.deg, dec * u.deg).transform_to(AltAz(obstime=time, location=where))
            # On the meridian the azimuth is 0 or 180; a second of time moves a star by 15 arcsec times cos(dec).
            across = np.sin(star.az.rad) * np.cos(star.alt.rad)
            assert abs(across) < radians(10 * 15 / 3600) * max(np.cos(radians(dec)), 0.05)
    assert seen > 8


def test_drift_of_an_unguided_frame_by_turning_vectors() -> None:
    """Numbers: a star on the equator six hours from the meridian, followed for a minute about a pole 3' off."""
    error = radians(3 / 60)
    turn = radians(360 / 86164.0905 * 60)

    def about(axis: np.ndarray, vector: np.ndarray, angle: float) -> np.ndarray:
        part = axis * (axis @ vector) * (1 - np.cos(angle))
        return np.asarray(vector * np.cos(angle) + np.cross(axis, vector) * np.sin(angle) + part)

    pole = np.array([0.0, 0.0, 1.0])
    wrong = np.array([np.sin(error), 0.0, np.cos(error)])
    star = np.array([0.0, 1.0, 0.0])
    apart = about(pole, star, turn) - about(wrong, star, turn)
    arcsec = float(np.degrees(np.linalg.norm(apart)) * 3600)
    assert declination_drift(3.0, 90.0) == pytest.approx(arcsec, rel=0.01)


EARTH_RADIUS_KM, SUN_RADIUS_KM, MOON_PER_EARTH = 6378.137, 695_700.0, 0.2722810
"""Equator of WGS 84, the IAU's nominal solar radius, and the Moon's mean radius in equators of the Earth that eclipse
predictions take for the inner contacts; from MEMORY."""


def test_totality_of_the_demo_against_astropy(demo: Catalogue) -> None:
    """COMPUTED with astropy: the centres come and go within the difference of the radii at the times stated.

    The built-in ephemeris of the Moon errs by some arcseconds and the Moon gains half an arcsecond a second, so that
    10 s is as good as these times are; valleys on the Moon's edge add a few.
    """
    night = demo.rigs["heron-eclipse"].night
    place = Assembly(demo, demo.rigs["heron-eclipse"]).place
    assert night is not None
    assert night.totality is not None
    assert night.date is not None
    assert place is not None
    assert place.latitude is not None
    assert place.longitude is not None
    assert place.elevation is not None
    assert place.timezone is not None
    where = EarthLocation.from_geodetic(
        place.longitude.value * u.deg, place.latitude.value * u.deg, place.elevation.value * u.m
    )
    midnight = dt.datetime.combine(night.date, dt.time(), zoneinfo.ZoneInfo(place.timezone))
    first, last = night.totality.begins - 600, night.totality.ends + 600
    seconds = np.arange(first, last + 1.0, 5.0)
    time = Time(midnight) + seconds * u.s
    sun, moon = (
        get_body(name, time, location=where).transform_to(AltAz(obstime=time, location=where))
        for name in ("sun", "moon")
    )
    reach = np.arcsin(MOON_PER_EARTH * EARTH_RADIUS_KM / moon.distance.to_value(u.km)) - np.arcsin(
        SUN_RADIUS_KM / sun.distance.to_value(u.km)
    )
    inside = reach - sun.separation(moon).rad
    covered = np.flatnonzero(inside > 0)
    begins, ends = (
        float(np.interp(0.0, sign * inside[cut], seconds[cut]))
        for sign, cut in ((1, slice(covered[0] - 1, covered[0] + 1)), (-1, slice(covered[-1], covered[-1] + 2)))
    )
    assert night.totality.begins == pytest.approx(begins, abs=2)
    assert night.totality.ends == pytest.approx(ends, abs=2)
