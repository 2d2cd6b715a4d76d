"""The calendars of the club and its rigs, field by field, read by an independent parser."""

import datetime as dt

import pytest
import vobject

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.desk import Written
from rigleaf.catalogue.models.lending import Loan, Reservation
from rigleaf.lending.calendars import PRODUCT, calendar_of
from rigleaf.site.lent.calendars import CLUB_CALENDAR, calendar_files, calendar_path
from rigleaf.site.typeset.addresses import Addresses
from tests.lending.small_club import Data, club, day

ON = day("2026-11-26")
TODAY = "on 26 November 2026"
STILL = f"still out {TODAY}"
ONE_DAY = dt.timedelta(days=1)

Fields = dict[str, object]


def events(catalogue: Catalogue, rig: str | None = None, on: dt.date = ON) -> list[Fields]:
    """Each event of a calendar: its properties by name."""
    calendar = vobject.readOne(calendar_of(catalogue, rig, on).decode("utf-8"))
    listed = calendar.contents.get("vevent", [])
    return [{line.name: line.value for line in event.lines()} for event in listed]


def loan(**more: object) -> Data:
    return {"rig": "heron", "out": "2026-11-20", "due": "2027-01-22", **more}


RESERVED = {"rig": "heron", "from": "2027-03-05", "until": "2027-03-08"}


def test_a_loan_lasts_to_the_day_on_which_it_is_due() -> None:
    (event,) = events(club(loans=(loan(**{"for": "a winter's nights"}),)), "heron")
    assert event == {
        "UID": "loan-heron-20261120@small-club.rigleaf",
        "DTSTAMP": dt.datetime(2026, 11, 20, tzinfo=dt.UTC),
        "DTSTART": day("2026-11-20"),
        "DTEND": day("2027-01-23"),
        "SUMMARY": "Heron: out",
        "DESCRIPTION": "A winter's nights.",
        "STATUS": "CONFIRMED",
        "TRANSP": "OPAQUE",
    }


@pytest.mark.parametrize(
    ("entry", "end", "summary", "words"),
    [
        (loan(back="2026-11-25"), "2026-11-26", "Heron: out", ""),
        (loan(due="2026-11-20"), "2026-11-27", "Heron: overdue", f"Was due on 20 November 2026; not back {TODAY}."),
        ({"rig": "heron", "out": "2026-11-20"}, "2026-11-27", "Heron: out", f"No date for its return; {STILL}."),
        ({"rig": "heron", "out": "2026-12-20"}, "2026-12-21", "Heron: out", "No date for its return."),
        ({"parts": ["lead", "pier"], "out": "2026-11-20", "due": "2026-12-01"}, "2026-12-02", "Lead and Pier: out", ""),
    ],
)  # fmt: skip
def test_ends_of_loans(entry: Data, end: str, summary: str, words: str) -> None:
    (event, *_) = events(club(loans=(entry,)))
    assert (event["DTEND"], event["SUMMARY"]) == (day(end), summary)
    assert event.get("DESCRIPTION", "") == words


def test_a_reservation_is_tentative_and_says_on_what_it_hangs() -> None:
    late = loan(due="2026-11-24")
    (_, event) = events(club(loans=(late,), reservations=(RESERVED,)), "heron")
    assert (event["DTSTART"], event["DTEND"]) == (day("2027-03-05"), day("2027-03-09"))
    assert (event["SUMMARY"], event["STATUS"]) == ("Heron: spoken for", "TENTATIVE")
    assert event["DESCRIPTION"] == "It hangs on the return of what is out with no known date."


def test_the_club_has_days_of_handing_over_and_of_service_too() -> None:
    served = {"part": "mount", "what": "greased", "done": "2026-10-01", "every": "3 months", "reading": "stiff"}
    some = club(loans=(loan(),), reservations=(RESERVED,), service=(served,))
    found = {str(one["SUMMARY"]): one for one in events(some)}
    assert [*found] == [
        "Heron: out", "Heron: due back", "Heron: spoken for", "Heron: hand out", "Mount: greased is due",
    ]  # fmt: skip
    for summary, on in (
        ("Heron: due back", "2027-01-22"),
        ("Heron: hand out", "2027-03-05"),
        ("Mount: greased is due", "2027-01-01"),
    ):
        one = found[summary]
        assert (one["DTSTART"], one["DTEND"], one["TRANSP"]) == (day(on), day(on) + ONE_DAY, "TRANSPARENT")
    assert found["Mount: greased is due"]["DESCRIPTION"] == "Last done on 1 October 2026: stiff."
    assert [one["SUMMARY"] for one in events(some, "heron")] == ["Heron: out", "Heron: spoken for"]


def test_names_of_events_last_and_are_all_different() -> None:
    one, other = loan(back="2026-11-20"), {"rig": "curlew", "out": "2026-10-01", "back": "2026-10-04"}
    before = events(club(loans=(one, one), reservations=(RESERVED,)))
    after = events(
        club(loans=(other, {**one, "private": {"borrower": "somebody else"}}, one), reservations=(RESERVED,))
    )
    names = [str(event["UID"]) for event in before]
    assert len({*names}) == len(names)
    assert {*names} < {str(event["UID"]) for event in after}


def test_a_calendar_says_what_it_is_and_when_to_come_back() -> None:
    text = calendar_of(club(reservations=(RESERVED,)), "heron", ON, "https://club.example/rigs/heron/").decode()
    for line in (
        f"PRODID:{PRODUCT}", "VERSION:2.0", "CALSCALE:GREGORIAN", "NAME:Heron", "X-WR-CALNAME:Heron",
        "REFRESH-INTERVAL;VALUE=DURATION:PT12H", "URL:https://club.example/rigs/heron/",
    ):  # fmt: skip
        assert text.count(f"\r\n{line}\r\n") == 1, line
    assert "METHOD" not in text


def test_what_is_long_past_is_left_out() -> None:
    old = {"rig": "heron", "out": "2024-11-20", "back": "2024-11-25"}
    assert events(club(loans=(old,))) == []
    assert len(events(club(loans=(old,)), on=day("2025-11-20"))) == 1


def test_a_calendar_is_the_same_twice_and_stamps_come_from_the_book() -> None:
    some = club(loans=(loan(),), reservations=(RESERVED,))
    assert calendar_of(some, None, ON) == calendar_of(some, None, ON)
    stamps = {str(event["UID"]): event["DTSTAMP"] for event in events(some)}
    assert {str(stamp)[:10] for stamp in stamps.values()} == {"2026-11-20"}


def test_the_demo_has_every_loan_and_reservation_on_its_days(demo: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(dt.datetime(2026, 11, 26, 12, tzinfo=dt.UTC).timestamp())))
    files = dict(calendar_files(demo, Addresses(site="https://club.example/")))
    assert files.keys() == {CLUB_CALENDAR, *map(calendar_path, demo.rigs)}
    booked: list[Written[Loan] | Written[Reservation]] = [*demo.desk.loans, *demo.desk.reservations]
    for written in booked:
        entry = written.entry
        path = calendar_path(entry.rig) if entry.rig else CLUB_CALENDAR
        found = [
            (event.dtstart.value, event.dtend.value)
            for event in vobject.readOne(files[path].decode()).contents["vevent"]
        ]
        end = max(entry.last or entry.first, ON) if entry in unsure(demo) else entry.last
        assert end is not None
        assert (entry.first, end + ONE_DAY) in found, written.place


def unsure(catalogue: Catalogue) -> list[object]:
    """Loans that are out with no day for their return, or overdue."""
    loans = [written.entry for written in catalogue.desk.loans]
    return [one for one in loans if one.back is None and (one.due is None or one.due < ON)]


def test_a_guide_without_a_book_has_no_calendars() -> None:
    assert dict(calendar_files(club(), Addresses())) == {}


def test_a_rig_called_club_has_a_calendar_of_its_own() -> None:
    assert calendar_path("club") != CLUB_CALENDAR


def test_service_is_that_of_the_day_on_which_the_book_is_read() -> None:
    served = tuple(
        {"part": "mount", "what": "greased", "done": on, "every": "3 months"} for on in ("2026-10-01", "2026-12-01")
    )
    assert [event["DTSTART"] for event in events(club(service=served))] == [day("2027-01-01")]


def test_a_rig_and_a_part_of_one_name_have_events_of_their_own() -> None:
    loans = ({"rig": "heron", "out": "2026-11-20"}, {"parts": ["torch"], "out": "2026-11-20"})
    names = [str(event["UID"]).partition("@")[0] for event in events(club(loans=loans))]
    assert names == ["loan-heron-20261120", "loan-part_torch-20261120"]
