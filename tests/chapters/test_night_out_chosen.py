"""Which night a rig is reckoned for, and when its pictures begin and end."""

import datetime as dt

import pytest

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.night_out.chosen import CIVIL, DARK, ChosenNight, chosen_night
from tests.chapters.small_evening import made
from tests.chapters.small_guide import Data

DAY = "2027-03-10"


def night(assembly: Assembly) -> ChosenNight:
    found = chosen_night(assembly)
    assert found is not None
    return found


def test_the_rigs_own_date_is_taken_and_else_the_longest_dark_night_of_the_year() -> None:
    own = night(made())
    assert own.date == dt.date(2027, 3, 10)
    assert own.why == "the one that the rig states"
    longest = night(made(night=None))
    assert longest.nights.dark[longest.index] == longest.nights.dark.max()
    assert longest.date.month == 12
    assert "longest dark" in longest.why


def test_another_evening_may_be_asked_for_and_another_year_too() -> None:
    found = chosen_night(made(), dt.date(2031, 10, 1))
    assert found is not None
    assert found.date == dt.date(2031, 10, 1)
    assert found.nights.year == 2031


def test_pictures_last_from_dusk_to_dawn_where_nothing_else_is_said() -> None:
    found = night(made())
    assert found.start == found.nights.dusk[found.index, DARK]
    assert found.end == found.nights.dawn[found.index, DARK]
    assert found.hours == pytest.approx(found.nights.dark[found.index], abs=0.01)


def test_hours_end_pictures_before_dawn_and_never_after() -> None:
    short = night(made(night={"date": DAY, "hours": "2 h"}))
    assert short.hours == pytest.approx(2)
    long = night(made(night={"date": DAY, "hours": "20 h"}))
    assert long.end == long.nights.dawn[long.index, DARK]


@pytest.mark.parametrize(
    ("begins", "after_midnight"), [("22:30", False), ("02:00", True), ("00:05", True), ("11:30", True)]
)
def test_the_small_hours_belong_to_the_evening_before(begins: str, after_midnight: bool) -> None:
    for purpose in ("galaxies", "Moon"):
        found = night(made(night={"date": DAY, "begins": begins}, purpose=[purpose]))
        start = found.nights.site.clock(found.start)
        assert found.clock(found.start) == begins
        assert start.date() == dt.date(2027, 3, 11 if after_midnight else 10), purpose


def test_by_day_the_time_is_that_of_the_date_itself() -> None:
    sun: Data = {"train": ["filter", "tube", "camera"], "purpose": ["Sun"]}
    found = night(made(night={"date": DAY, "begins": "09:30", "hours": "2 h"}, **sun))
    assert found.nights.site.clock(found.start).date() == dt.date(2027, 3, 10)
    assert found.hours == pytest.approx(2)
    noon = night(made(**sun))
    assert (noon.start + noon.end) / 2 == pytest.approx(noon.nights.instants[noon.index, 0])
    assert noon.hours == pytest.approx(3)


def test_the_moon_is_photographed_from_civil_dusk_for_as_long_as_the_guide_gives_it() -> None:
    found = night(made(purpose=["Moon", "planets"]))
    assert found.start == found.nights.dusk[found.index, CIVIL]
    assert found.hours == pytest.approx(3)


@pytest.mark.parametrize("lacking", ["latitude", "longitude"])
def test_without_coordinates_there_is_no_night(lacking: str) -> None:
    assert chosen_night(made(where={lacking: None})) is None


def test_without_darkness_there_is_no_night_unless_the_rig_says_when_it_begins() -> None:
    high: Data = {"latitude": "68 deg"}
    assert chosen_night(made(where=high, night={"date": "2027-06-21"})) is None
    white = night(made(where=high, night={"date": "2027-06-21", "begins": "23:30"}))
    assert white.hours == pytest.approx(3)
