"""The checker of packings: each rule that may be broken is told."""

from dataclasses import replace

import pytest

from rigleaf.packing.boxes import Bag, Packing, Piece, Placed, Rules
from rigleaf.packing.checker import faults_of

BAG = Bag("bag", (10.0, 8.0, 6.0), 3.0)
PIECES = (
    Piece("tube", (6.0, 4.0, 2.0), 1.0, fragile=True),
    Piece("head", (4.0, 4.0, 4.0), 1.0),
    Piece("tin", (5.0, 3.0, 1.0), 0.5, upright=True),
    Piece("lead", (2.0, 2.0, 2.0), 0.1, soft=True),
)
RULES = Rules(support=0.6, give=0.5, on_fragile=0.6, gaps=0.5)
TUBE, HEAD = Placed(0, (0.0, 0.0, 0.0), (6.0, 4.0, 2.0)), Placed(1, (6.0, 0.0, 0.0), (4.0, 4.0, 4.0))
TIN = Placed(2, (0.0, 0.0, 2.0), (5.0, 3.0, 1.0))
GOOD = Packing((TUBE, HEAD, TIN), (3,))


def faults(packing: Packing, rules: Rules = RULES, bag: Bag = BAG, pieces: tuple[Piece, ...] = PIECES) -> list[str]:
    return faults_of(bag, pieces, packing, rules)


def test_a_good_packing_has_no_faults() -> None:
    assert faults(GOOD) == []
    assert faults(Packing()) == []


@pytest.mark.parametrize(
    ("placed", "fault"),
    [
        ([TUBE, replace(HEAD, corner=(5.0, 0.0, 0.0))], "pieces 0 and 1 overlap"),
        ([replace(HEAD, corner=(6.5, 0.0, 0.0))], "piece 1 sticks out along the length"),
        ([replace(HEAD, corner=(6.0, 4.5, 0.0))], "piece 1 sticks out along the width"),
        ([replace(HEAD, corner=(6.0, 0.0, -0.1))], "piece 1 sticks out along the height"),
        ([replace(TUBE, sides=(6.0, 4.0, 1.0))], "piece 0 has other sides than its own"),
        ([replace(TIN, corner=(0.0, 0.0, 0.0), sides=(5.0, 1.0, 3.0))], "piece 2 does not stand upright"),
        ([TUBE, replace(TIN, corner=(0.0, 0.0, 2.6))], "piece 2 floats"),
        ([TUBE, replace(TIN, corner=(4.0, 0.0, 2.0))], "piece 2 floats"),
        ([TUBE, replace(HEAD, corner=(1.0, 0.0, 2.0))], "piece 0 is fragile and has too much above it"),
        ([TIN, TUBE], "piece 0 goes in below piece 2, which is in its way"),
        ([TUBE, TUBE], "piece 0 is packed 2 times"),
        ([Placed(3, (0.0, 0.0, 0.0), (2.0, 2.0, 2.0))], "piece 3 is soft and has a place"),
    ],
)
def test_each_broken_rule_is_told(placed: list[Placed], fault: str) -> None:
    assert fault in faults(Packing(tuple(placed)))


def test_hollows_up_to_the_padding_count_as_support_and_deeper_ones_do_not() -> None:
    lifted = Packing((TUBE, replace(TIN, corner=(0.0, 0.0, 2.5))))
    assert faults(lifted) == []
    assert faults(lifted, replace(RULES, give=0.4)) == ["piece 2 floats"]


def test_something_thin_below_does_not_carry_the_same_place_twice() -> None:
    pieces = (Piece("slab", (4.0, 8.0, 2.0)), Piece("card", (4.0, 8.0, 0.5)), Piece("lid", (10.0, 8.0, 1.0)))
    placed = (
        Placed(0, (0.0, 0.0, 0.0), (4.0, 8.0, 2.0)),
        Placed(1, (0.0, 0.0, 2.0), (4.0, 8.0, 0.5)),
        Placed(2, (0.0, 0.0, 2.5), (10.0, 8.0, 1.0)),
    )
    assert faults(Packing(placed), pieces=pieces) == ["piece 2 floats"]
    assert faults(Packing(placed), replace(RULES, support=0.4), pieces=pieces) == []


def test_what_stands_above_a_fragile_piece_counts_though_it_does_not_touch_it() -> None:
    heavy = (*PIECES[:2], replace(PIECES[2], mass=0.7))
    assert faults(GOOD, pieces=(*heavy, PIECES[3])) == ["piece 0 is fragile and has too much above it"]
    unsaid = (*PIECES[:2], replace(PIECES[2], mass=None))
    assert faults(GOOD, pieces=(*unsaid, PIECES[3])) == ["piece 0 is fragile and has too much above it"]


def test_the_bag_as_a_whole_is_checked() -> None:
    assert faults(GOOD, bag=replace(BAG, limit=2.5)) == ["the bag is overloaded"]
    assert faults(GOOD, replace(RULES, gaps=0.01)) == ["the soft pieces are more than the gaps hold"]
    assert faults(Packing((TUBE,), (1,))) == ["piece 1 is hard and lies in the gaps"]
