"""Nights and seasons: sums that must come out, high latitudes, both hemispheres, clocks, and the date line."""

import datetime as dt
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from rigleaf.sky.night import BANDS, LEVELS, STEPS, Nights, both, inside, nights
from rigleaf.sky.seasons import night_of, season
from rigleaf.sky.site import Site

BERLIN = Site(52.5, 13.4, 40.0, "Europe/Berlin")
YEAR = 2027

latitudes = st.floats(-85, 85)
longitudes = st.floats(-180, 180)


@settings(max_examples=15, deadline=None)
@given(latitudes, longitudes)
def test_the_parts_of_a_night_add_up(latitude: float, longitude: float) -> None:
    found = nights(Site(latitude, longitude), YEAR)
    assert np.abs(found.bands.sum(axis=1) - found.hours).max() < 1e-9
    assert np.abs(found.hours - 24).max() * 3600 < 35  # the equation of time changes by half a minute a day
    assert found.bands.min() > -1e-9
    assert (found.moonless <= found.dark + 1e-9).all()
    assert ((found.illuminated >= 0) & (found.illuminated <= 1)).all()


@settings(max_examples=20, deadline=None)
@given(st.floats(-55, 55), longitudes, st.integers(0, 85))
def test_dark_hours_are_symmetrical_about_the_solstice(latitude: float, longitude: float, days: int) -> None:
    found = nights(Site(latitude, longitude), YEAR)
    solstice = (dt.date(YEAR, 6, 21) - dt.date(YEAR, 1, 1)).days
    # The solstice falls somewhere into a day: a night's length changes by at most five minutes from one to the next,
    # and where darkness is about to end, much faster.
    before, after = found.dark[solstice - days], found.dark[solstice + days]
    assert before == pytest.approx(after, abs=0.15 if abs(latitude) < 45 else 0.6)


@settings(max_examples=10, deadline=None)
@given(st.floats(0, 60), longitudes)
def test_six_months_later_the_other_hemisphere_has_the_same_nights(latitude: float, longitude: float) -> None:
    north, south = (nights(Site(sign * latitude, longitude), YEAR) for sign in (1, -1))
    assert north.by_month(north.dark)[[11, 0]].sum() == pytest.approx(
        south.by_month(south.dark)[[5, 6]].sum(), rel=0.04
    )


@pytest.mark.parametrize(("day", "hours"), [((3, 28), 23), ((10, 31), 25), ((6, 1), 24), ((1, 1), 24), ((12, 31), 24)])
def test_the_parts_of_a_date_add_up_to_its_hours_by_the_clock(day: tuple[int, int], hours: int) -> None:
    """Summer time begins and ends on the last Sundays of March and October."""
    parts = nights(BERLIN, YEAR).day_parts(dt.date(YEAR, *day))
    assert len(parts) == len(BANDS)
    assert parts.sum() == pytest.approx(hours, abs=1e-9)
    assert parts.min() >= -1e-9


def test_clocks_change_and_the_sky_does_not() -> None:
    found = nights(BERLIN, YEAR)
    change = found.dates.index(dt.date(YEAR, 3, 27))
    before, after = (found.site.clock(found.dusk[change + step, 0]) for step in (0, 1))
    later = (after.replace(tzinfo=None) - before.replace(tzinfo=None)).total_seconds()
    assert later == pytest.approx(86_400 + 3600 + 100, abs=30)  # an hour by the clock, under two minutes by the Sun
    assert found.dusk[change + 1, 0] - found.dusk[change, 0] == pytest.approx(86_400 + 100, abs=30)


def test_every_night_runs_from_dusk_through_its_twilights_to_dawn() -> None:
    found = nights(BERLIN, YEAR)
    winter = found.dates.index(dt.date(YEAR, 12, 21))
    row = [*found.dusk[winter], *found.dawn[winter][::-1]]
    assert row == sorted(row)
    assert found.site.clock(row[0]).date() == dt.date(YEAR, 12, 21)
    assert found.site.clock(row[-1]).date() == dt.date(YEAR, 12, 22)
    assert (row[4] - row[3]) / 3600 == pytest.approx(found.dark[winter], abs=0.001)
    assert found.sun_altitude(np.array(row)) == pytest.approx([*LEVELS, *reversed(LEVELS)], abs=1e-4)


def test_polar_day_and_polar_night() -> None:
    found = nights(Site(69.65, 18.96, 10.0, "Europe/Oslo"), YEAR)
    june, december = (found.dates.index(dt.date(YEAR, month, 21)) for month in (6, 12))
    assert np.isnan(found.dusk[june]).all()
    assert found.bands[june, 0] == pytest.approx(found.hours[june])
    assert np.isnan(found.dusk[december]).tolist() == [True, False, False, False]
    assert found.bands[december, 0] == 0
    # The hour angle at which the Sun stands 18 deg down, by the cosine law, with its declination of -23.44 deg.
    lat, dec = np.radians([69.65, -23.44])
    angle = np.arccos((np.sin(np.radians(-18)) - np.sin(lat) * np.sin(dec)) / (np.cos(lat) * np.cos(dec)))
    assert found.dark[december] == pytest.approx(24 - 2 * np.degrees(angle) / 15, abs=0.02)
    assert found.day_parts(dt.date(YEAR, 6, 21)) == pytest.approx([24, 0, 0, 0, 0])


def test_the_pole_has_one_night_a_year() -> None:
    found = nights(Site(90.0, 0.0), YEAR)
    dark = np.nonzero(found.dark > 23)[0]
    assert found.dark[dark].min() > 23.9
    assert {found.dates[night].month for night in dark} == {1, 11, 12}
    assert (found.dark[night_of(found, 3) : night_of(found, 9)] == 0).all()


@pytest.mark.parametrize(
    ("site", "hour"),
    [
        (Site(1.9, -157.4, 0.0, "Pacific/Kiritimati"), 12.5),
        (Site(-13.8, -171.8, 0.0, "Pacific/Apia"), 12.5),
        (Site(51.9, -176.6, 0.0, "America/Adak"), 13.8),
        (Site(-43.9, -176.5, 0.0, "Pacific/Chatham"), 12.5),
        (Site(40.0, 179.9), 12.0),
        (Site(40.0, -179.9), 12.0),
        (Site(40.0, 359.0, 0.0, "Europe/London"), 12.0),
    ],
    ids=lambda value: value.zone or str(value.longitude) if isinstance(value, Site) else "",
)
def test_nights_bear_the_date_that_the_clocks_show_in_the_evening(site: Site, hour: float) -> None:
    found = nights(site, YEAR)
    assert len(found.dates) == 365
    shift = 0.0 if site.zone else site.longitude / 15 * 3600
    first = site.clock(found.instants[0, 0] + shift)
    assert first.date() == dt.date(YEAR, 1, 1)
    assert first.hour + first.minute / 60 == pytest.approx(hour, abs=1.2)
    for night in (0, 100, 200, 364):
        assert site.clock(found.dusk[night, 0] + shift).date() == found.dates[night]


def test_a_leap_year_has_a_night_more() -> None:
    found = nights(BERLIN, 2028)
    assert len(found.dates) == 366
    assert found.dates[night_of(found, 1, 29)] == dt.date(2028, 2, 29)
    assert [found.dates[night_of(found, month)] for month in range(12)] == [dt.date(2028, m, 15) for m in range(1, 13)]


def test_equal_places_share_their_nights() -> None:
    assert nights(Site(52.5, 13.4, 40.0, "Europe/Berlin"), YEAR) is nights(BERLIN, YEAR)
    one = season(BERLIN, YEAR, (10.0, 41.0), 30.0)
    assert season(Site(52.5, 13.4, 40.0, "Europe/Berlin"), YEAR, (10.0, 41.0), 30.0) is one


rows = st.lists(st.floats(-20, 20), min_size=2, max_size=9)


def one_row(values: list[float]) -> NDArray[np.float64]:
    return np.array([values])


@settings(deadline=None)
@given(rows)
def test_what_is_below_zero_and_what_is_not_make_the_whole(values: list[float]) -> None:
    below, above = inside(one_row(values)), inside(-one_row(values))
    share = [np.maximum(end - start, 0) for start, end in (below, above)]
    level = np.array([[a == 0 == b for a, b in pairwise(values)]])
    assert share[0] + share[1] == pytest.approx(np.where(level, 0.0, 1.0))
    assert np.maximum(both(below, above)[1] - both(below, above)[0], 0).max() < 1e-9


@given(st.lists(st.floats(-20, 20), min_size=STEPS + 1, max_size=STEPS + 1))
@settings(max_examples=30, deadline=None)
def test_stretches_add_up_to_the_hours(values: list[float]) -> None:
    found = nights(BERLIN, YEAR)
    when = inside(np.tile(np.array(values), (len(found.dates), 1)))
    spans = found.spans(when)
    assert sum(end - begin for _, begin, end in spans) / 3600 == pytest.approx(found.hours_of(when).sum(), abs=1e-3)
    for (night, _, end), (other, begin, _) in pairwise(spans):
        assert begin >= end - 1e-6 or night != other


@settings(max_examples=15, deadline=None)
@given(latitudes, st.floats(0, 359), st.floats(-89, 89), st.floats(5, 60))
def test_usable_hours_only_shrink(latitude: float, ra: float, dec: float, lowest: float) -> None:
    site, walled = (Site(latitude, 10.0, 0.0, "", skyline) for skyline in ((), ((90.0, 0.0), (180.0, 50.0))))
    free, higher, hidden = (
        season(site, YEAR, (ra, dec), lowest),
        season(site, YEAR, (ra, dec), lowest + 10),
        season(walled, YEAR, (ra, dec), lowest),
    )
    assert (free.usable <= free.dark + 1e-9).all()
    assert (free.dark <= free.nights.dark + 1e-9).all()
    assert (free.usable <= free.nights.moonless + 1e-9).all()
    assert (higher.usable <= free.usable + 1e-9).all()
    assert (hidden.usable <= free.usable + 1e-9).all()
    assert free.by_month.sum() == pytest.approx(free.usable.sum())
    if free.highest < lowest - 0.1:
        assert free.best_month is None
        assert free.best_months == ()


def test_a_target_is_highest_when_it_crosses_the_meridian() -> None:
    found = season(BERLIN, YEAR, (83.8, -5.4), 20.0)
    night = night_of(found.nights, 0)
    step = int(found.altitude()[night].argmax())
    assert found.meridian(night) == pytest.approx(found.nights.instants[night, step], abs=200)
    assert found.altitude()[night].max() == pytest.approx(found.highest, abs=0.01)
    assert found.best_months == (0, 1, 10, 11) or found.best_month in (0, 11)


def test_places_of_a_target_lie_in_its_usable_time() -> None:
    found = season(BERLIN, YEAR, (83.8, -5.4), 20.0)
    azimuth, altitude = found.usable_places(0)
    assert altitude.min() > 19.0
    assert azimuth.min() > 90
    assert azimuth.max() < 270
    assert len(altitude) * 300 / 3600 == pytest.approx(found.nights.by_month(found.dark)[0], rel=0.05)


SKYLINE = Site(50.0, 8.0, 0.0, "", ((350.0, 20.0), (10.0, 0.0), (180.0, 17.0)))


@pytest.mark.parametrize(
    ("azimuth", "altitude"), [(350, 20), (0, 10), (360, 10), (-5, 15), (10, 0), (95, 8.5), (180, 17), (265, 18.5)]
)
def test_the_skyline_runs_once_round(azimuth: float, altitude: float) -> None:
    assert float(SKYLINE.skyline(azimuth)) == pytest.approx(altitude)


def test_a_skyline_of_one_point_is_level_and_one_of_none_is_flat() -> None:
    assert Site(0, 0, 0, "", ((120.0, 7.0),)).skyline([0.0, 119.0, 359.0]).tolist() == [7.0] * 3
    assert Site(0, 0).skyline([0.0, 180.0]).tolist() == [0.0, 0.0]


def test_height_and_latitude_place_the_observer() -> None:
    """Radii of WGS 84, and a mountain on the equator."""
    assert Site(0, 0).from_centre == pytest.approx((6378.137, 0.0))
    assert Site(90, 0).from_centre == pytest.approx((0.0, 6356.752), abs=1e-3)
    assert Site(0, 0, 5000.0).from_centre[0] == pytest.approx(6383.137)


def test_the_nights_of_a_place_stay_as_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither the clock of the computer nor its time zone has any part in them."""
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    again: Nights = nights.__wrapped__(BERLIN, YEAR)
    assert (again.dusk[100:110] == nights(BERLIN, YEAR).dusk[100:110]).all()
