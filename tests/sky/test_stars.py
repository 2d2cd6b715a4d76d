"""Cones of stars against the plain way: every star of the sky, tried in turn."""

from functools import lru_cache
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from rigleaf.sky.projection import separation
from rigleaf.sky.stars import BANDS, FAINTEST, StarField, cells_in_band, stars_in_cone


@lru_cache(maxsize=1)
def whole_sky() -> StarField:
    return stars_in_cone(0, 0, 180)


@given(st.floats(0, 360), st.floats(-90, 90), st.floats(0, 20), st.floats(2, 10))
@example(0.0, 0.0, 5.0, 10.0)
@example(359.999, 30.0, 3.0, 9.0)
@example(12.0, 90.0, 4.0, 10.0)
@example(200.0, -90.0, 4.0, 10.0)
@example(77.0, 88.5, 3.0, 10.0)
@example(120.0, -87.0, 2.9, 10.0)
@example(3.0, 45.0, 3.0, 10.0)
@example(180.0, 0.0, 90.0, 4.0)
@example(10.0, 40.0, 130.0, 4.0)
@settings(max_examples=60, deadline=None)
def test_a_cone_holds_exactly_the_stars_within_it(ra: float, dec: float, radius: float, limit: float) -> None:
    sky = whole_sky()
    away = separation(ra, dec, sky.ra, sky.dec)
    field = stars_in_cone(ra, dec, radius, limit)
    sure = (away < radius - 1e-9) & (sky.mag <= limit)
    perhaps = (away < radius + 1e-9) & (sky.mag <= limit + 1e-6)
    assert sure.sum() <= len(field) <= perhaps.sum()
    found = set(zip(field.ra, field.dec, field.mag, strict=True))
    assert found >= set(zip(sky.ra[sure], sky.dec[sure], sky.mag[sure], strict=True))
    assert found <= set(zip(sky.ra[perhaps], sky.dec[perhaps], sky.mag[perhaps], strict=True))


def test_the_brightest_come_first() -> None:
    field = stars_in_cone(83, -3, 8)
    assert (np.diff(field.mag) >= 0).all()
    assert field.mag[0] < 1 < 9.9 < field.mag[-1] <= FAINTEST
    assert len(field) == len(field.ra) == len(field.dec) == len(field.colour)


def test_a_whole_turn_more_is_the_same_place() -> None:
    here = stars_in_cone(350, 20, 4)
    assert len(here) > 100
    for ra in (-10, 710):
        assert np.array_equal(stars_in_cone(ra, 20, 4).ra, here.ra)


def test_a_cone_of_no_width_and_one_of_too_bright_a_limit_are_empty() -> None:
    assert len(stars_in_cone(12.3456, 1, 0)) == 0
    assert len(stars_in_cone(12, 1, 10, limit=-5)) == 0


@pytest.mark.parametrize(
    ("cone", "words"),
    [
        ((0, 91, 1), "declination"),
        ((0, -90.1, 1), "declination"),
        ((0, 0, -1), "radius"),
        ((0, 0, 181), "radius"),
        ((float("nan"), 0, 1), "numbers"),
        ((0, 0, float("inf")), "numbers"),
        ((0, 0, 1, float("nan")), "numbers"),
    ],
)
def test_a_senseless_cone_is_refused(cone: tuple[float, ...], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        stars_in_cone(*cone)


def test_the_file_has_what_its_description_says() -> None:
    path = files("rigleaf.sky") / "data" / "stars.npz"
    with path.open("rb") as file, np.load(file, allow_pickle=False) as arrays:
        number = len(arrays["mag"])
        assert {name: (array.dtype.str, len(array)) for name, array in arrays.items()} == {
            "count": ("<u2", sum(cells_in_band(band) for band in range(BANDS))),
            "east": ("<u2", number),
            "north": ("<u2", number),
            "mag": ("<u2", number),
            "colour": ("|u1", number),
        }
        assert arrays["count"].sum() == number
        inner = np.ones(number, bool)
        inner[np.cumsum(arrays["count"], dtype=np.int64)[:-1].clip(max=number - 1)] = False
        assert (np.diff(arrays["mag"].astype(int))[inner[1:]] >= 0).all(), "the brightest of each cell first"


def test_cells_mirror_at_the_equator_and_are_about_square() -> None:
    numbers = [cells_in_band(band) for band in range(BANDS)]
    assert numbers == numbers[::-1]
    assert max(numbers) == 120
    assert numbers[0] == 7
