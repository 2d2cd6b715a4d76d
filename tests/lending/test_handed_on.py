"""What was worked out of the book is handed on after an edit: exactly where it is what would be worked out anew."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401  # the patient profile
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.lending.availability import phases_of
from rigleaf.lending.ledger import hand_on, ledger_of
from rigleaf.lending.phases import Phase
from tests.lending.small_club import RIGS, STOCK, Data, club, day

ON, FIRST = day("2026-11-26"), day("2026-11-01")

DAYS = [f"2026-{month}-{number}" for month in (11, 12) for number in ("05", "15", "25")]
SPANS = st.tuples(st.sampled_from(DAYS), st.sampled_from(DAYS)).map(sorted)
TAKEN: st.SearchStrategy[Data] = st.sampled_from(
    [*({"rig": id_} for id_ in RIGS), *({"parts": [{"part": id_}]} for id_ in STOCK)]
)


def lent(taken: Data, span: list[str]) -> Data:
    return {**taken, "out": span[0], "due": span[1]}


LOANS = st.lists(st.builds(lent, TAKEN, SPANS), max_size=4)
MADE_OF = st.lists(st.sampled_from([*STOCK]), min_size=1, max_size=4)


def told(catalogue: Catalogue) -> dict[str, tuple[Phase, ...]]:
    return {id_: phases_of(catalogue, id_, FIRST, ON) for id_ in catalogue.rigs}


def edited(catalogue: Catalogue, id_: str, name: str, made_of: list[str]) -> Catalogue:
    rig = Rig.model_validate({"id": id_, "name": name, "carried": [{"part": part} for part in made_of]})
    return replace(catalogue, rigs=catalogue.rigs | {id_: rig})  # type: ignore[operator]


@given(LOANS, st.sampled_from([*RIGS]), st.sampled_from(["Heron", "Another"]), MADE_OF)
def test_after_an_edit_the_book_tells_what_it_tells_anew(
    loans: list[Data], id_: str, name: str, made_of: list[str]
) -> None:
    # Of a part of which nobody says how many there are, rigs tell: each may be the one that has the most.
    before = club(loans=tuple(loans), stock={"lead": None})
    told(before)
    after = edited(before, id_, name, made_of)
    hand_on(before, after)
    assert told(after) == told(replace(after))


def test_what_hangs_on_nothing_that_was_edited_is_not_worked_out_again() -> None:
    before = club(loans=({"rig": "heron", "out": "2026-11-20", "due": "2026-12-01"},))
    known = told(before)
    after = edited(before, "plover", "Another", ["torch"])
    hand_on(before, after)
    handed = ledger_of(after, ON).told
    assert {id_ for id_, _ in handed} == {"heron", "curlew"}
    assert all(phases is known[id_] for (id_, _), phases in handed.items())


def test_nothing_is_handed_on_where_a_rig_of_the_book_or_the_book_itself_was_edited() -> None:
    before = club(loans=({"rig": "heron", "out": "2026-11-20", "due": "2026-12-01"},))
    told(before)
    other_book = replace(before, desk=club().desk)
    for after in (edited(before, "heron", "Another", ["tube-a", "mount"]), other_book):
        hand_on(before, after)
        assert not ledger_of(after, ON).told
