"""Half-days against brute force and against clocks: what clashes, what only touches, on what day it is."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.bookings import Booking, clashes, day_of, noon, span_of, stock_of
from rigleaf.catalogue.models.lending import Loan, Reservation
from rigleaf.lending.today import AHEAD, as_of, today, told_by
from tests.lending.oracle import moments, too_many
from tests.lending.small_club import Data, club, day

NEW_YEAR = dt.date(2027, 1, 1)
DAYS = st.integers(0, 20).map(lambda step: NEW_YEAR + dt.timedelta(days=step))
SPANS = st.tuples(DAYS, DAYS).map(lambda pair: (min(pair), max(pair)))

# Nights of both changes of the clocks in central Europe, and the weeks around them: 167 and 169 hours long.
CHANGES = (dt.date(2027, 3, 28), dt.date(2027, 10, 31))
AROUND_A_CHANGE = st.tuples(st.sampled_from(CHANGES), st.integers(-8, 8), st.integers(0, 9)).map(
    lambda drawn: (drawn[0] + dt.timedelta(days=drawn[1]), drawn[0] + dt.timedelta(days=drawn[1] + drawn[2]))
)


@given(SPANS, SPANS)
def test_two_loans_meet_where_brute_force_finds_a_moment_that_both_need(
    one: tuple[dt.date, dt.date], other: tuple[dt.date, dt.date]
) -> None:
    assert span_of(*one).meets(span_of(*other)) == bool(moments(*one) & moments(*other))


@pytest.mark.parametrize(
    ("one", "other", "clash"),
    [
        (("2027-01-05", "2027-01-08"), ("2027-01-08", "2027-01-12"), False),
        (("2027-01-05", "2027-01-09"), ("2027-01-08", "2027-01-12"), True),
        (("2027-01-05", "2027-01-08"), ("2027-01-08", "2027-01-08"), False),
        (("2027-01-08", "2027-01-08"), ("2027-01-08", "2027-01-12"), False),
        (("2027-01-08", "2027-01-08"), ("2027-01-08", "2027-01-08"), True),
        (("2027-01-05", "2027-01-12"), ("2027-01-08", "2027-01-08"), True),
    ],
)
def test_days_that_touch_do_not_clash(one: tuple[str, str], other: tuple[str, str], clash: bool) -> None:
    spans = [span_of(day(first), day(last)) for first, last in (one, other)]
    assert spans[0].meets(spans[1]) is clash
    assert spans[1].meets(spans[0]) is clash


def by_the_clock(first: dt.date, last: dt.date) -> tuple[dt.datetime, dt.datetime]:
    """When something leaves and comes back by the clocks of the club, as instants: at three and at nine."""
    zone = ZoneInfo("Europe/Berlin")
    hours = (11, 13) if first == last else (15, 9)
    begin, end = (dt.datetime.combine(on, dt.time(hour), zone) for on, hour in zip((first, last), hours, strict=True))
    return begin.astimezone(dt.UTC), end.astimezone(dt.UTC)


@given(AROUND_A_CHANGE, AROUND_A_CHANGE)
def test_clocks_that_change_move_no_day(one: tuple[dt.date, dt.date], other: tuple[dt.date, dt.date]) -> None:
    (begin, end), (others_begin, others_end) = by_the_clock(*one), by_the_clock(*other)
    assert span_of(*one).meets(span_of(*other)) == (begin < others_end and others_begin < end)


def test_a_week_over_a_change_is_seven_nights() -> None:
    for change, hours in zip(CHANGES, (-1, 1), strict=True):
        first = change - dt.timedelta(days=3)
        span = span_of(first, first + dt.timedelta(days=7))
        assert len([half for half in range(*span) if half % 2]) == 7
        begin, end = by_the_clock(first, first + dt.timedelta(days=7))
        assert end - begin == dt.timedelta(days=7, hours=hours - 6)


@given(DAYS)
def test_halves_belong_to_their_day(on: dt.date) -> None:
    assert day_of(noon(on)) == on == day_of(noon(on) + 1)


BOOKED = st.lists(st.tuples(SPANS, st.integers(1, 2)), max_size=6)


@given(BOOKED, st.integers(1, 3))
def test_double_bookings_are_found_where_brute_force_finds_them(
    booked: list[tuple[tuple[dt.date, dt.date], int]], owned: int
) -> None:
    fitting = [(span, min(count, owned)) for span, count in booked]
    bookings = [
        Booking(reservation(first, last, count), {"lamp": count}, f"desk/book.yml:{order}", order)
        for order, ((first, last), count) in enumerate(fitting)
    ]
    found = list(clashes(bookings, {"lamp": owned}))
    assert bool(found) == too_many([(moments(*span), count) for span, count in fitting], owned)
    for clash in found:
        named = [clash.booking, *(other for other, _ in clash.others)]
        taken = [(moments(one.entry.first, one.entry.last), one.pieces["lamp"]) for one in named if one.entry.last]
        assert too_many(taken, owned), "those that are named are too many by themselves"


def reservation(first: dt.date, last: dt.date, count: int) -> Reservation:
    data = {"parts": [{"part": "lamp", "count": count}], "from": str(first), "until": str(last)}
    return Reservation.model_validate(data)


def test_each_pair_is_told_once_however_many_parts_it_shares() -> None:
    entry = {"rig": "heron", "from": "2027-01-05", "until": "2027-01-08"}
    pieces = {"tube": 1, "mount": 1, "lead": 2}
    bookings = [Booking(Reservation.model_validate(entry), pieces, f"desk/book.yml:{n}", n) for n in range(2)]
    (clash,) = clashes(bookings, {"tube": 1, "mount": 1, "lead": 2})
    assert (clash.part, clash.wanted, clash.more) == ("tube", 1, 2)
    assert [(other.place, count) for other, count in clash.others] == [("desk/book.yml:0", 1)]


def test_a_loan_without_a_day_for_its_return_clashes_with_what_begins_while_it_goes_out_only() -> None:
    loan = Booking(Loan.model_validate({"parts": ["lamp"], "out": "2027-01-05"}), {"lamp": 1}, "a", 0)
    for first, last, clash in (("2027-01-05", "2027-01-06", True), ("2027-01-06", "2027-01-09", False)):
        other = Booking(reservation(day(first), day(last), 1), {"lamp": 1}, "b", 1)
        assert bool(list(clashes([loan, other], {"lamp": 1}))) is clash


def test_what_nobody_counted_is_there_as_often_as_one_rig_needs_it() -> None:
    some = club(stock={"lead": None, "torch": None, "pier": 0})
    stock = stock_of(some.parts, some.rigs.values())
    assert (stock["lead"], stock["torch"], stock["pier"], stock["mount"]) == (2, 1, 0, 1)


@pytest.mark.parametrize(
    ("utc", "local"),
    [
        ("2027-03-27T22:59:59", "2027-03-27"),  # before the change an hour ahead of UTC
        ("2027-03-27T23:00:00", "2027-03-28"),
        ("2027-03-28T21:59:59", "2027-03-28"),  # after it two hours
        ("2027-03-28T22:00:00", "2027-03-29"),
        ("2027-10-30T22:00:00", "2027-10-31"),
        ("2027-10-31T22:59:59", "2027-10-31"),
        ("2027-10-31T23:00:00", "2027-11-01"),
    ],
)
def test_the_day_of_a_build_is_that_of_the_club(utc: str, local: str, monkeypatch: pytest.MonkeyPatch) -> None:
    moment = dt.datetime.fromisoformat(utc).replace(tzinfo=dt.UTC)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(moment.timestamp())))
    assert str(as_of(club())) == local
    assert str(today(club(), moment)) == local
    assert as_of(club(place=None)) == moment.date()


def test_without_a_date_of_the_build_the_book_says_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    loan = {"rig": "heron", "out": "2026-11-01", "due": "2026-12-24"}
    reserved = {"rig": "heron", "from": "2027-02-01", "until": "2027-02-05"}
    served = {"part": "mount", "what": "greased", "done": "2026-11-03"}
    assert as_of(club(loans=(loan,), reservations=(reserved,))) == day("2026-11-01")
    assert as_of(club(loans=({**loan, "back": "2026-11-09"},), service=(served,))) == day("2026-11-09")
    assert as_of(club(loans=(loan,), service=(served,))) == day("2026-11-03")
    assert as_of(club(year=2031)) == day("2031-01-01")


@given(st.lists(st.integers(0, 900), max_size=6), st.lists(st.integers(0, 900), max_size=4), st.integers(0, 4000))
def test_one_loan_noted_ahead_or_mistyped_does_not_move_the_book(outs: list[int], backs: list[int], ahead: int) -> None:
    begin = day("2024-01-01")

    def written(**days: int) -> Data:
        return {"rig": "heron", **{key: str(begin + dt.timedelta(step)) for key, step in days.items()}}

    loans = (*(written(out=step) for step in outs), *(written(out=step, back=step + 2) for step in backs))
    before = told_by(club(loans=loans))
    after = told_by(club(loans=(*loans, written(out=ahead))))
    assert after is not None
    if before is not None and begin + dt.timedelta(ahead) > before + AHEAD:
        assert after == before
    if backs:
        assert after >= begin + dt.timedelta(max(backs) + 2)
    if before is not None and before < begin + dt.timedelta(ahead) <= before + AHEAD:
        assert after >= begin + dt.timedelta(ahead)
