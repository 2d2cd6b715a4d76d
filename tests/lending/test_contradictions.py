"""Which loans must have been back because others went out with the same pieces: only what was out together counts."""

from typing import Any

from rigleaf.lending.ledger import ledger_of
from tests.lending.small_club import club, day

LATE = {"rig": "heron", "out": "2026-11-01", "due": "2026-11-10"}
"""Overdue on the day as of which the tests read the book; it and the next loan both take the mount."""
NEXT = {"rig": "curlew", "out": "2026-11-15", "due": "2026-12-20"}


def accused(**book: Any) -> list[tuple[str, str, tuple[str, ...]]]:
    """Places of the loan that went out and of the one that must have been back, and the parts."""
    ledger = ledger_of(club(**book), day("2026-11-24"))
    return [(later.place, late.place, ids) for later, late, ids in ledger.contradictions()]


def test_a_loan_that_took_pieces_of_an_overdue_one_shows_that_it_was_back() -> None:
    assert accused(loans=(LATE, NEXT)) == [("desk/loans.yml:2", "desk/loans.yml:1", ("mount",))]


def test_what_was_out_together_with_pieces_enough_accuses_nobody_whatever_is_spoken_for_later() -> None:
    spoken = {"parts": [{"part": "mount"}], "from": "2026-12-01", "until": "2026-12-04"}
    assert accused(loans=(LATE, NEXT), stock={"mount": 2}) == []
    assert accused(loans=(LATE, NEXT), reservations=(spoken,), stock={"mount": 2}) == []
