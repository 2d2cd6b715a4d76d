"""The year of a rig as a strip: every edge stands at its day, and the states differ in more than colour."""

import datetime as dt
import re

import pytest

from rigleaf.catalogue.days import day_in_words
from rigleaf.chapters.svg import PLATE_WIDTH
from rigleaf.lending.phases import Phase, State
from rigleaf.site.lent.availability import shown_year
from rigleaf.site.lent.year_strip import year_axis, year_strip
from tests.lending.small_club import day

NEAR = 0.5
"""Units of the drawing, of which a day has 1.3."""


def strip(*phases: tuple[str, str | None, State], on: str = "2026-11-24") -> str:
    first, last = shown_year(day(on))
    made = [Phase(day(one), day(end) if end else None, state, (state,)) for one, end, state in phases]
    return year_strip("year_heron", "Heron", made, first, last, day(on))


def edges(svg: str, style: str) -> list[tuple[float, float]]:
    """Left and right edges of the rectangles of a class."""
    found = re.findall(rf'<rect class="{style}" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', svg)
    return [(float(x), float(x) + float(width)) for x, width in found]


def one(pattern: str, text: str) -> str:
    """What a pattern finds, which must be there once."""
    (found,) = re.findall(pattern, text)
    return str(found)


def place(on: str, first: str, days: int) -> float:
    """Where a day begins, worked out from the day's number in the calendar."""
    return PLATE_WIDTH * (day(on).toordinal() - day(first).toordinal()) / days


def test_bars_begin_with_their_first_day_and_end_with_their_last() -> None:
    svg = strip(("2026-11-20", "2026-12-05", "out"), ("2026-12-06", "2027-03-04", "here"))
    ((left, right),) = edges(svg, "rl-bar")
    assert left == pytest.approx(place("2026-11-20", "2026-11-01", 365), abs=NEAR)
    assert right == pytest.approx(place("2026-12-06", "2026-11-01", 365), abs=NEAR)


@pytest.mark.parametrize("first", ["2028-02-28", "2028-02-29", "2028-03-01"])
def test_a_leap_year_has_its_day_more(first: str) -> None:
    svg = strip((first, "2028-03-05", "spoken for"), on="2027-05-31")
    assert 'data-rl-days="366"' in svg
    ((left, right),) = edges(svg, "ink hatch")
    assert left == pytest.approx(place(first, "2027-05-01", 366), abs=NEAR)
    assert right == pytest.approx(place("2028-03-06", "2027-05-01", 366), abs=NEAR)


@pytest.mark.parametrize("on", ["2026-11-01", "2026-11-24", "2026-11-30", "2028-02-29", "2027-12-31"])
def test_today_runs_through_the_middle_of_its_day(on: str) -> None:
    svg = strip(on=on)
    first = f"{on[:8]}01"
    days = int(one(r'data-rl-days="(\d+)"', svg))
    assert f'data-rl-first="{first}"' in svg
    at = float(one(r"translate\(([\d.]+) 0\)", svg))
    assert at == pytest.approx(place(on, first, days) + PLATE_WIDTH / days / 2, abs=0.01)


def test_months_are_ticked_where_they_begin() -> None:
    svg = year_axis(*shown_year(day("2026-11-24")))
    ticks = [float(x) for x in re.findall(r"M([\d.]+) [\d.]+V", svg.split("<text")[0])][:13]
    begins = [f"{2026 + (month > 12)}-{(month - 1) % 12 + 1:02}-01" for month in range(11, 24)]
    assert begins[0] == "2026-11-01"
    assert begins[-1] == "2027-11-01"
    assert ticks == pytest.approx([place(begin, "2026-11-01", 365) for begin in begins], abs=NEAR)
    names = re.findall(r"<tspan[^>]*>(\w+)<", svg)
    assert names == ["Nov", "Dec", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct"]


def test_what_has_no_end_runs_to_the_edge_and_ends_in_a_point() -> None:
    svg = strip(("2026-11-06", None, "out"))
    assert edges(svg, "rl-bar") == []
    points = [float(x) for x in re.findall(r"[ML](\d[\d.]*) ", one(r'class="rl-bar" d="([^"]+)"', svg))]
    assert min(points) == pytest.approx(place("2026-11-06", "2026-11-01", 365), abs=NEAR)
    assert max(points) == PLATE_WIDTH
    assert points.count(PLATE_WIDTH) == 1
    assert "nobody knows how long" in svg


def test_what_goes_beyond_the_year_is_cut_at_its_edges() -> None:
    svg = strip(("2026-09-01", "2026-11-10", "out"), ("2027-10-20", "2027-12-24", "spoken for"))
    assert edges(svg, "rl-bar")[0][0] == 0
    assert edges(svg, "ink hatch")[0][1] == pytest.approx(PLATE_WIDTH, abs=0.01)
    assert "2027-12" not in svg
    assert day_in_words(dt.date(2027, 12, 24)) not in svg


def test_touching_loans_are_told_apart() -> None:
    svg = strip(("2026-11-20", "2026-11-27", "out"), ("2026-11-28", "2026-12-05", "out"))
    gaps = re.findall(r'class="rl-bar-gap" x1="([\d.]+)"', svg)
    assert [float(x) for x in gaps] == pytest.approx([place("2026-11-28", "2026-11-01", 365)], abs=NEAR)


def test_states_differ_in_shape_not_only_in_ink() -> None:
    marks = {}
    states: tuple[State, ...] = ("here", "due back", "short", "spoken for", "out", "overdue")
    for state in states:
        svg = strip(("2026-12-01", "2026-12-31", state))
        marks[state] = tuple(sorted(set(re.findall(r'class="(ink (?!2)[\w -]+|rl-bar[\w-]*)"', svg))))
        assert state == "here" or f"{state} 1 to 31 December 2026" in svg
    assert len(set(marks.values())) == len(states)
    assert marks["here"] == ()


def test_a_strip_is_light_and_has_words() -> None:
    svg = strip(("2026-11-20", "2026-12-05", "out"), ("2027-03-05", "2027-03-08", "spoken for"))
    assert len(svg) < 2200
    assert "<title" in svg
    assert "The year of Heron" in svg
    assert (
        "1 November 2026 to 31 October 2027: out 20 November to 5 December 2026; spoken for 5 to 8 March 2027." in svg
    )
