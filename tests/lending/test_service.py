"""What was looked after, when it is due again, and how things were when last seen."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from rigleaf.catalogue.models.lending import CalendarInterval, Interval
from rigleaf.lending.service import Conditions, cares
from tests.lending.small_club import Data, club, day

READ = TypeAdapter(CalendarInterval)


def served(part: str, done: str, **more: object) -> Data:
    return {"part": part, "what": "greased", "done": done, **more}


def test_a_series_is_due_after_its_newest_entry() -> None:
    (care,) = cares(club(service=(served("mount", "2026-03-31", every="6 months"), served("mount", "2026-10-31"))))
    assert [str(one.done) for one in care.done] == ["2026-10-31", "2026-03-31"]
    assert (care.due, str(care.every)) == (day("2027-04-30"), "6 months")
    assert not care.overdue(day("2027-04-30"))
    assert care.overdue(day("2027-05-01"))


def test_pieces_and_words_make_series_of_their_own_and_the_most_urgent_comes_first() -> None:
    service = (
        served("lead", "2026-01-01", every="1 year", asset="L-1"),
        served("lead", "2026-06-01", every="1 month", asset="L-2"),
        served("lead", "2026-06-02", asset="L-3"),
        {"rig": "heron", "what": "Greased", "done": "2026-06-02", "every": "2 weeks"},
    )
    found = [(one.rig or one.part, one.asset, str(one.due)) for one in cares(club(service=service))]
    assert found == [
        ("heron", "", "2026-06-16"),
        ("lead", "L-2", "2026-07-01"),
        ("lead", "L-1", "2027-01-01"),
        ("lead", "L-3", "None"),
    ]


def test_small_and_capital_letters_make_one_series() -> None:
    service = (served("mount", "2026-01-01"), {**served("mount", "2026-02-01"), "what": "Greased"})
    (care,) = cares(club(service=service))
    assert (care.what, len(care.done)) == ("Greased", 2)


@pytest.mark.parametrize(
    ("interval", "first", "due"),
    [
        ("1 month", "2027-01-31", "2027-02-28"),
        ("1 month", "2028-01-31", "2028-02-29"),
        ("1 year", "2028-02-29", "2029-02-28"),
        ("13 months", "2026-12-31", "2028-01-31"),
        ("2 weeks", "2027-03-20", "2027-04-03"),  # over a change of the clocks
        ("1 day", "2027-10-30", "2027-10-31"),
        ("90 days", "2026-12-01", "2027-03-01"),
    ],
)
def test_intervals_follow_the_calendar(interval: str, first: str, due: str) -> None:
    assert READ.validate_python(interval).after(day(first)) == day(due)


@given(st.dates(dt.date(1950, 1, 1), dt.date(2099, 12, 31)), st.integers(1, 9999))
def test_no_interval_ends_where_calendars_end(first: dt.date, number: int) -> None:
    for step in ("day", "week", "month", "year"):
        interval = Interval(number, step)
        try:
            assert interval.after(first) > first
        except OverflowError:
            assert first.year + number > dt.MAXYEAR


@pytest.mark.parametrize(
    "wrong", ["6", "months", "0 days", "-1 day", "1.5 years", "6 months and a day", 6, None, ["1 day"]]
)
def test_what_is_no_interval_is_refused(wrong: object) -> None:
    with pytest.raises(ValidationError):
        READ.validate_python(wrong)


def test_the_condition_is_what_was_last_seen() -> None:
    some = club(
        loans=(
            {"rig": "heron", "out": "2026-09-01", "back": "2026-09-08", "condition_in": "A scratch."},
            {"rig": "heron", "out": "2026-10-01", "back": "2026-10-08", "condition_in": "Dusty."},
            {"rig": "curlew", "out": "2026-10-01", "back": "2026-10-09", "condition_in": "Wet."},
            {"parts": ["lead"], "out": "2026-10-01", "back": "2026-10-09", "condition_in": "A bent plug."},
        ),
        service=(
            {"rig": "heron", "what": "dusted", "done": "2026-10-10"},
            served("lead", "2026-10-11", asset="L-1", reading="14 mV"),
        ),
    )
    assert [(str(one.day), one.words) for one in Conditions(some).of_rig("heron")] == [
        ("2026-10-10", "dusted"), ("2026-10-08", "Dusty."), ("2026-09-08", "A scratch."),
    ]  # fmt: skip
    assert [one.words for one in Conditions(some).of_part("lead")] == ["greased (L-1): 14 mV", "A bent plug."]
    assert [one.words for one in Conditions(some, day("2026-10-08")).of_rig("heron")] == ["Dusty.", "A scratch."]
    assert Conditions(some).of_rig("plover") == ()
