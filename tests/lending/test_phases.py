"""What can be had of a rig day by day: states, sentences, and phases without gaps, against brute force."""

import datetime as dt
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401  # the patient profile
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.lending.availability import phases_of
from rigleaf.lending.phases import Phase
from tests.lending.oracle import phase_on, state
from tests.lending.small_club import RIGS, STOCK, Data, club, day

ON = day("2026-11-26")
ONE_DAY = dt.timedelta(days=1)


def said(
    rig: str = "heron", on: str = "2026-11-26", loans: tuple[Data, ...] = (), reservations: tuple[Data, ...] = ()
) -> list[tuple[str, str, str]]:
    """First day, state and sentence of each phase."""
    found = phases_of(club(loans=loans, reservations=reservations), rig, day(on), day(on))
    return [(str(phase.first), phase.state, phase.sentence) for phase in found]


def loan(out: str, due: str | None = None, **more: object) -> Data:
    return {"rig": "heron", "out": out, **({"due": due} if due else {}), **more}


def reserved(first: str, until: str, **more: object) -> Data:
    return {"rig": "heron", "from": first, "until": until, **more}


def test_a_rig_that_nobody_asked_for_is_here() -> None:
    assert phases_of(club(), "heron", ON, ON) == (Phase(ON, None, "here", ("here",)),)


def test_out_until_it_is_due_and_then_due_back() -> None:
    assert said(loans=(loan("2026-11-20", "2027-01-22"),)) == [
        ("2026-11-26", "out", "out until 22 January 2027"),
        ("2027-01-23", "due back", "due back on 22 January 2027; here if it comes back as agreed"),
    ]


def test_what_is_back_is_here() -> None:
    assert said(loans=(loan("2026-11-20", "2027-01-22", back="2026-11-26"),)) == [("2026-11-26", "here", "here")]


def test_out_without_a_day_for_its_return() -> None:
    assert said(loans=(loan("2026-11-20"),)) == [("2026-11-26", "out", "out, with no date for its return")]


def test_overdue_from_the_day_after_it_was_due() -> None:
    late = (loan("2026-10-20", "2026-11-14"),)
    sentence = "was due on 14 November 2026, not back yet"
    assert said(loans=late) == [("2026-11-26", "overdue", sentence)]
    assert said(on="2026-11-14", loans=late)[0][1:] == ("out", "out until 14 November 2026")
    phases = phases_of(club(loans=late), "heron", day("2026-11-01"), ON)
    assert [(phase.state, str(phase.first)) for phase in phases] == [("out", "2026-11-01"), ("overdue", "2026-11-15")]


def test_spoken_for_and_before_that_here() -> None:
    assert said(reservations=(reserved("2027-03-05", "2027-03-08"),)) == [
        ("2026-11-26", "here", "here; spoken for from 5 March 2027"),
        ("2027-03-05", "spoken for", "spoken for from 5 to 8 March 2027"),
        ("2027-03-09", "here", "here"),
    ]


def test_a_reservation_of_one_day() -> None:
    phases = said(reservations=(reserved("2027-03-05", "2027-03-05"),))
    assert phases[1:] == [("2027-03-05", "spoken for", "spoken for on 5 March 2027"), ("2027-03-06", "here", "here")]


def test_on_the_day_on_which_two_touch_the_next_one_has_it() -> None:
    phases = said(loans=(loan("2026-11-20", "2026-12-08"),), reservations=(reserved("2026-12-08", "2026-12-12"),))
    assert phases[:2] == [
        ("2026-11-26", "out", "out until 8 December 2026"),
        ("2026-12-08", "spoken for", "spoken for from 8 to 12 December 2026"),
    ]


def test_a_reservation_hangs_on_what_is_overdue_and_counts_before_it() -> None:
    late = (loan("2026-10-20", "2026-11-14"),)
    assert said(loans=late, reservations=(reserved("2026-12-12", "2026-12-19"),)) == [
        ("2026-11-26", "overdue", "was due on 14 November 2026, not back yet"),
        ("2026-12-12", "spoken for", "spoken for from 12 to 19 December 2026, if it is back by then"),
        ("2026-12-20", "overdue", "was due on 14 November 2026, not back yet"),
    ]


def test_a_reservation_hangs_on_a_part_that_another_rig_keeps() -> None:
    kept = {"rig": "curlew", "out": "2026-10-20"}
    phases = said(loans=(kept,), reservations=(reserved("2026-12-12", "2026-12-19"),))
    assert phases[1][2] == "spoken for from 12 to 19 December 2026, if Mount is back by then"


def test_a_rig_lent_in_part_is_out_and_what_stayed_is_named() -> None:
    part = loan("2026-11-20", "2026-12-05", without=["torch"])
    assert said(loans=(part,))[0] == ("2026-11-26", "out", "out until 5 December 2026; Torch stayed at the club")


def test_short_of_a_part_that_another_rig_has() -> None:
    away = {"rig": "heron", "out": "2026-11-20", "due": "2027-01-22"}
    phases = phases_of(club(loans=(away,)), "curlew", ON, ON)
    assert phases[0] == Phase(
        ON, day("2027-01-22"), "short", ("short of Mount until 22 January 2027 (with Heron)",), ("mount",)
    )
    hangs = "due back: Mount on 22 January 2027 (with Heron)", "here if all comes back as agreed"
    assert phases[1] == Phase(day("2027-01-23"), None, "due back", hangs, ("mount",))


def test_what_is_due_back_says_what_comes_next() -> None:
    phases = said(loans=(loan("2026-11-20", "2026-12-05"),), reservations=(reserved("2027-03-05", "2027-03-08"),))
    assert [one[1] for one in phases] == ["out", "due back", "spoken for", "due back"]
    assert phases[1][2].endswith("; here if it comes back as agreed; spoken for from 5 March 2027")


def test_a_loan_of_parts_of_which_enough_are_left_keeps_nothing_waiting() -> None:
    leads = {"parts": [{"part": "lead", "count": 2}], "out": "2026-11-20", "due": "2026-12-01"}
    assert said(loans=(leads,)) == [("2026-11-26", "here", "here")]
    assert [one[1] for one in said(loans=({**leads, "parts": [{"part": "lead", "count": 3}]},))] == [
        "short", "due back",
    ]  # fmt: skip


def test_what_stays_at_the_club_leaves_other_rigs_whole() -> None:
    away = {"rig": "heron", "without": ["mount"], "out": "2026-11-20", "due": "2027-01-22"}
    assert said("curlew", loans=(away,)) == [("2026-11-26", "here", "here")]


def test_short_of_parts_lent_by_themselves_and_of_how_many() -> None:
    leads = {"parts": [{"part": "lead", "count": 4}], "out": "2026-11-20", "due": "2026-12-01"}
    assert said(loans=(leads,))[0][2] == "short of 2 × Lead until 1 December 2026 (lent by itself)"
    assert said("curlew", loans=(leads,))[0][2] == "short of Lead until 1 December 2026 (lent by itself)"
    assert said("plover", loans=(leads,))[0][2] == "here"


def test_short_of_what_is_overdue() -> None:
    late = {"rig": "heron", "out": "2026-10-20", "due": "2026-11-14"}
    sentence = "short of Mount, due on 14 November 2026 and not back yet (with Heron)"
    assert said("curlew", loans=(late,)) == [("2026-11-26", "short", sentence)]


def test_short_of_what_the_club_never_owns() -> None:
    found = phases_of(club(stock={"pier": 0}), "plover", ON, ON)
    assert found == (Phase(ON, None, "short", ("short of Pier, which the club does not own",), ("pier",)),)
    (few,) = phases_of(club(stock={"lead": 1}), "heron", ON, ON)
    assert few.sentence == "short of Lead, of which it needs 2 and the club owns 1"


def test_soon_short_is_said_while_it_is_here() -> None:
    sentence = said("curlew", reservations=(reserved("2027-03-05", "2027-03-08"),))[0][2]
    assert sentence == "here; short of Mount from 5 March 2027"


def test_a_second_rig_can_be_had_where_all_its_parts_are_owned_twice() -> None:
    twice = {id_: 2 * count for id_, count in STOCK.items()}
    found = phases_of(club(stock=dict(twice), loans=(loan("2026-11-20", "2026-12-05"),)), "heron", ON, ON)
    assert found[0].state == "out"
    assert found[0].sentence == "out until 5 December 2026; a second one can be put together from what is here"


def test_people_are_named_only_where_the_club_wants_it() -> None:
    lent = loan("2026-11-20", "2026-12-05", private={"borrower": "member 12", "contact": "m12@club.example"})
    for show, name in ((False, ""), (True, " (member 12)")):
        (first, _) = phases_of(club(loans=(lent,), show_borrowers=show), "heron", ON, ON)
        assert first.sentence == f"out until 5 December 2026{name}"


DAYS = st.integers(-15, 40).map(lambda step: ON + step * ONE_DAY)


@st.composite
def books(draw: st.DrawFn) -> dict[str, tuple[Data, ...]]:
    """Books in which anything may be promised twice: phases must hold in them too."""
    loans, reservations = [], []
    for _ in range(draw(st.integers(0, 4))):
        rig = draw(st.sampled_from([*RIGS]))
        first = draw(DAYS)
        last = first + draw(st.integers(0, 12)) * ONE_DAY
        if draw(st.booleans()):
            reservations.append({"rig": rig, "from": str(first), "until": str(last)})
            continue
        end = draw(st.sampled_from(["due", "back", "neither"]))
        loans.append({"rig": rig, "out": str(first), **({} if end == "neither" else {end: str(last)})})
    return {"loans": tuple(loans), "reservations": tuple(reservations)}


def kept(book: dict[str, tuple[Data, ...]]) -> Catalogue:
    return club(loans=book["loans"], reservations=book["reservations"])


@given(books(), st.sampled_from([*RIGS]), DAYS)
def test_phases_follow_each_other_without_a_gap_and_differ(
    book: dict[str, tuple[Data, ...]], rig: str, begin: dt.date
) -> None:
    phases = phases_of(kept(book), rig, begin, ON)
    assert phases[0].first == begin
    assert phases[-1].last is None
    for one, after in pairwise(phases):
        assert one.last is not None
        assert one.first <= one.last == after.first - ONE_DAY
        assert (one.state, one.clauses, one.parts) != (after.state, after.clauses, after.parts)


@given(books(), st.sampled_from([*RIGS]), DAYS, st.integers(0, 30))
def test_a_day_has_one_state_wherever_one_begins_to_look(
    book: dict[str, tuple[Data, ...]], rig: str, begin: dt.date, later: int
) -> None:
    some = kept(book)
    on = begin + later * ONE_DAY
    found = phase_on(phases_of(some, rig, begin, ON), on)
    assert found is not None
    there = phases_of(some, rig, on, ON)[0]
    assert (found.state, found.parts) == (there.state, there.parts)


@given(books(), st.sampled_from([*RIGS]), DAYS)
def test_states_against_brute_force(book: dict[str, tuple[Data, ...]], rig: str, on: dt.date) -> None:
    phase = phases_of(kept(book), rig, on, ON)[0]
    assert phase.state == state(book, rig, on, ON)


@pytest.mark.parametrize("rig", [*RIGS])
def test_many_loans_take_no_time_to_speak_of(rig: str) -> None:
    """Work grows with what is away now, not with how long the book is: this would take minutes otherwise."""
    past = tuple(
        {"rig": "plover", "out": str(first), "back": str(first + ONE_DAY)}
        for first in (ON - step * ONE_DAY for step in range(2, 3000, 2))
    )
    some = club(loans=past)
    assert phases_of(some, rig, ON, ON)[0].state == "here"
