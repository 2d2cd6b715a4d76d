"""Which sides of a joint go together, and what is said where they do not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.models.connections import Connection, read_connection
from rigleaf.chapters.image_train.mating import counterpart, join, mates, mismatch

BODIES = ["M42 x 0.75", "M42 x 1", "M48 x 0.75", "M54 x 0.75", "1-32 UN", "M25.4 x 0.75", "3/8-16 UNC", "2 in barrel",
          "1.25 in barrel", "bayonet P18", "bayonet B54", "clamp 70 mm", "clamp 42 mm"]  # fmt: skip
sides = st.one_of(
    st.builds(lambda body, gender: read_connection(f"{body} {gender}"), st.sampled_from(BODIES),
              st.sampled_from(["male", "female"])),
    st.just(read_connection("fixed")),
)  # fmt: skip


@pytest.mark.parametrize(
    ("rear", "front", "words"),
    [
        ("M48 x 0.75 male", "M48 x 0.75 female", ""),
        ("M48 x 0.75 female", "M48 x 0.75 male", ""),
        ("1-32 UN male", "M25.4 x 0.794 female", ""),
        ("3/8-16 UNC male", "3/8-16 UN female", ""),
        ("2 in barrel male", "50.8 mm barrel female", ""),
        ("bayonet P18 male", "bayonet p18 female", ""),
        ("clamp 70 mm female", "clamp 70 mm male", ""),
        ("fixed", "fixed", ""),
        ("M48 x 0.75 male", "M48 x 0.75 male", "M48 x 0.75 male meets M48 x 0.75 male: two male threads"),
        ("M48 x 0.75 male", "M42 x 0.75 female", "M48 x 0.75 male meets M42 x 0.75 female: 48 mm against 42 mm"),
        (
            "M42 x 0.75 male",
            "M42 x 1 female",
            "M42 x 0.75 male meets M42 x 1 female: a pitch of 0.75 mm against 1 mm",
        ),
        (
            "1-32 UN female",
            "M25.4 x 0.75 female",
            "1-32 UN female meets M25.4 x 0.75 female: two female threads, a pitch of 0.7937 mm against 0.75 mm",
        ),
        ("2 in barrel male", "1.25 in barrel female",
         "2 in barrel male meets 1.25 in barrel female: 50.8 mm against 31.75 mm"),
        ("bayonet P18 male", "bayonet B54 female",
         "bayonet P18 male meets bayonet B54 female: two different bayonets"),
        ("2 in barrel female", "M48 x 0.75 male",
         "2 in barrel female meets M48 x 0.75 male: a push-fit barrel against a thread"),
        ("fixed", "clamp 70 mm male",
         "fixed meets clamp 70 mm male: a side that does not come apart against a clamp"),
    ],
)  # fmt: skip
def test_what_lies_on_both_sides(rear: str, front: str, words: str) -> None:
    behind, before = read_connection(rear), read_connection(front)
    assert mismatch(behind, before) == words
    assert mates(behind, before) == (not words)
    assert join(behind, before) == ("clashes" if words else "mates")


def test_a_side_that_nobody_has_stated() -> None:
    known = read_connection("M48 x 0.75 male")
    assert join(known, None) == join(None, known) == join(None, None) == "unsaid"
    assert not mates(None, None)
    assert mismatch(known, None) == "M48 x 0.75 male meets a side that is not stated"
    assert mismatch(None, known) == "a side that is not stated meets M48 x 0.75 male"
    assert mismatch(None, None) == "neither side is stated"


@given(sides, sides)
def test_it_does_not_matter_from_which_end_one_looks(one: Connection, other: Connection) -> None:
    assert join(one, other) == join(other, one)
    assert bool(mismatch(one, other)) == (not mates(one, other))


@given(sides, sides)
def test_turning_one_side_of_a_mating_pair_round_never_mates(rear: Connection, front: Connection) -> None:
    if mates(rear, front):
        symmetrical = rear.gender is None
        assert mates(counterpart(rear), front) == symmetrical
        assert mates(rear, counterpart(front)) == symmetrical
        assert mates(counterpart(rear), counterpart(front))


@given(sides)
def test_every_side_mates_with_its_counterpart(side: Connection) -> None:
    assert mates(side, counterpart(side))
    assert counterpart(counterpart(side)) == side
    assert mates(side, side) == (side.gender is None)
