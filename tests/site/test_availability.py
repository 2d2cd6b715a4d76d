"""What cards and pages say can be had of a rig: word and rest, day by day, up to where the book knows nothing."""

import datetime as dt
import json
from html import unescape

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.lending.availability import phases_of
from rigleaf.lending.phases import Phase, State
from rigleaf.site.lent.availability import Lending, Told, brief, lending_of, shown_year, told
from tests.lending.oracle import phase_on
from tests.lending.small_club import club, day

ONE_DAY = dt.timedelta(days=1)


def read(monkeypatch: pytest.MonkeyPatch, on: str, catalogue: Catalogue) -> Lending:
    """What is told of a club whose book is read on a day."""
    moment = dt.datetime.combine(day(on), dt.time(12), dt.UTC)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(moment.timestamp())))
    found = lending_of(catalogue)
    assert found is not None
    return found


def picked(told_days: tuple[Told, ...], on: dt.date) -> Told | None:
    """What the script picks on a day."""
    return next((one for one in told_days if one.first <= str(on) and (not one.last or str(on) <= one.last)), None)


LOANS = (
    {"rig": "heron", "out": "2026-11-20", "due": "2026-12-05"},
    {"rig": "plover", "out": "2026-10-31", "due": "2026-11-14"},
)
RESERVED = ({"rig": "heron", "from": "2026-12-05", "until": "2026-12-08"},)


def test_each_day_is_told_as_its_phase_says(monkeypatch: pytest.MonkeyPatch) -> None:
    found = read(monkeypatch, "2026-11-24", club(loans=LOANS, reservations=RESERVED))
    for rig, one in found.rigs.items():
        phases = phases_of(club(loans=LOANS, reservations=RESERVED), rig, found.on, found.on)
        today = found.on
        while today <= found.known:
            phase, said = phase_on(phases, today), picked(one.told, today)
            assert phase is not None
            assert said is not None
            assert said.state == phase.state
            assert said.sentence in (brief(phase, found.on), f"{phase.state}: {brief(phase, found.on)}")
            today += ONE_DAY


def test_the_first_word_is_not_said_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    rigs = read(monkeypatch, "2026-11-24", club(loans=LOANS, reservations=RESERVED)).rigs
    assert rigs["heron"].now == Told("2026-11-24", "2026-12-04", "out", " until 5 December 2026")
    assert rigs["plover"].now[2:] == ("overdue", ": was due on 14 November 2026, not back yet")
    assert rigs["curlew"].now.sentence.startswith("short of ")
    on = day("2026-11-24")
    assert told(Phase(on, None, "out", ("outside",)), on, on, None).sentence == "out: outside"


def test_past_a_day_agreed_a_stale_book_says_that_it_cannot_tell(monkeypatch: pytest.MonkeyPatch) -> None:
    rigs = read(monkeypatch, "2026-11-24", club(loans=LOANS)).rigs
    cannot = "; the book of 24 November 2026 cannot tell whether that has happened"
    for rig, what in (("heron", " on 5 December 2026"), ("curlew", None)):
        later = picked(rigs[rig].told, day("2026-12-06"))
        assert later is not None
        if what is not None:
            assert (later.state, later.rest) == ("due back", what + cannot)
        assert later.state != "here"


def test_past_the_last_day_that_the_book_knows_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    found = read(monkeypatch, "2026-11-24", club(loans=LOANS))
    assert (found.first, found.last, found.known) == (day("2026-11-01"), day("2027-10-31"), day("2027-10-31"))
    for one in found.rigs.values():
        end = one.told[-1]
        assert end[:2] == ("2027-11-01", "")
        assert end.sentence == "unsaid: the book of 24 November 2026 says nothing of days after 31 October 2027"
        assert one.told[-2].last == "2027-10-31"


def test_a_booking_beyond_the_year_that_is_drawn_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    later = {"rig": "heron", "from": "2028-02-27", "until": "2028-03-01"}
    found = read(monkeypatch, "2026-11-24", club(reservations=(later,)))
    assert found.known == day("2028-03-01")
    leap = picked(found.rigs["heron"].told, day("2028-02-29"))
    assert leap is not None
    assert leap.state == "spoken for"


def test_days_follow_each_other_without_a_gap(monkeypatch: pytest.MonkeyPatch) -> None:
    found = read(monkeypatch, "2026-11-24", club(loans=LOANS, reservations=RESERVED))
    for one in found.rigs.values():
        assert one.told[0].first == "2026-11-24"
        for before, after in zip(one.told, one.told[1:], strict=False):
            assert day(before.last) + ONE_DAY == day(after.first)


def test_the_script_reads_what_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    one = read(monkeypatch, "2026-11-24", club(loans=LOANS)).rigs["heron"]
    assert [Told(*entry) for entry in json.loads(unescape(one.packed))] == [*one.told]
    assert one.zone == "Europe/Berlin"


def test_a_guide_without_a_book_tells_nothing() -> None:
    assert lending_of(club()) is None


@given(st.dates())
def test_the_year_shown_is_twelve_whole_months(on: dt.date) -> None:
    first, last = shown_year(on)
    assert first <= on <= last
    assert first.day == 1
    if last < dt.date.max:
        assert (last + ONE_DAY).replace(year=first.year) == first
        assert (last + ONE_DAY).year == first.year + 1


def test_cards_tell_what_matters_first_and_how_much_more_there_is() -> None:
    def first_of(state: State, *clauses: str) -> str:
        return brief(Phase(dt.date(2026, 1, 1), None, state, clauses), dt.date(2026, 1, 1))

    assert first_of("out", "out until 5 May 2026", "the tripod stayed at the club") == "out until 5 May 2026"
    both = "here; spoken for from 5 May 2026"
    assert first_of("here", "here", "spoken for from 5 May 2026", "a crate is out") == both
    short = first_of("short", "short of Mount until 8 May 2026", "of Tube, no date", "of Camera")
    assert short == "short of Mount until 8 May 2026, and of 2 more"


def test_names_may_hold_any_sign(monkeypatch: pytest.MonkeyPatch) -> None:
    out = {"rig": "heron", "out": "2026-11-20", "due": "2026-12-05", "private": {"borrower": "Ada; the <'\"&> one"}}
    one = read(monkeypatch, "2026-11-24", club(loans=(out,), show_borrowers=True)).rigs["heron"]
    assert one.now.sentence == "out until 5 December 2026 (Ada; the <'\"&> one)"
    assert [Told(*entry) for entry in json.loads(unescape(one.packed))] == [*one.told]
    assert not {"'", "<", ">"} & {*one.packed}
