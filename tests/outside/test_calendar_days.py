"""Calendars against RFC 5545, and months against another library.

RFC 5545 (Internet Calendaring and Scheduling Core Object Specification, September 2009): its examples are quoted from
memory. Parsed by vobject, which shares no code with what writes them; dates moved by dateutil's relativedelta.
"""

import datetime as dt

import vobject
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.models.lending import Interval, Step
from rigleaf.lending.calendars import calendar_of
from tests.lending.small_club import club, day

ON = day("2007-06-01")


def test_the_example_of_an_event_of_several_days() -> None:
    """Section 3.6.1: from June 28th to July 8th 2007 inclusively has a DTEND of July 9th, which is not in it."""
    some = club(reservations=({"rig": "heron", "from": "2007-06-28", "until": "2007-07-08"},))
    lines = calendar_of(some, "heron", ON).decode().split("\r\n")
    assert "DTSTART;VALUE=DATE:20070628" in lines
    assert "DTEND;VALUE=DATE:20070709" in lines


def test_lines_end_and_are_folded_as_the_standard_asks() -> None:
    """Section 3.1: lines end with CRLF and are at most 75 octets long without it."""
    words = "Größe µ, " * 20 + "Ende; \\ fertig"
    some = club(reservations=({"rig": "heron", "from": "2007-06-28", "until": "2007-07-08", "for": words.strip()},))
    written = calendar_of(some, "heron", ON)
    assert written.count(b"\n") == written.count(b"\r\n") == written.count(b"\r")
    assert max(len(line) for line in written.split(b"\r\n")) <= 75
    for line in written.split(b"\r\n"):
        line.decode("utf-8")
    (event,) = vobject.readOne(written.decode()).vevent_list
    assert event.description.value == words.strip() + "."


def test_what_every_calendar_and_event_must_have() -> None:
    """Sections 3.6, 3.6.1, 3.7.3 and 3.7.4: PRODID and VERSION once, a component; UID and DTSTAMP once."""
    for some in (club(), club(reservations=({"rig": "heron", "from": "2007-06-28", "until": "2007-06-28"},))):
        text = calendar_of(some, "heron", ON).decode()
        calendar = vobject.readOne(text)
        calendar.validate()
        for name in ("PRODID:", "VERSION:2.0"):
            assert text.count(f"\r\n{name}") == 1
        components = [*calendar.components()]
        assert components
        for one in components:
            (stamp,) = (line for line in one.lines() if line.name == "DTSTAMP")
            (_,) = (line for line in one.lines() if line.name == "UID")
            assert stamp.value.tzinfo is not None


@given(
    st.dates(dt.date(1950, 1, 1), dt.date(2099, 12, 31)),
    st.integers(1, 500),
    st.sampled_from(["day", "week", "month", "year"]),
)
def test_intervals_as_another_library_counts_them(first: dt.date, number: int, step: Step) -> None:
    assert Interval(number, step).after(first) == first + relativedelta(**{f"{step}s": number})
