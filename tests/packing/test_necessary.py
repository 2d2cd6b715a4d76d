"""What is known without a search."""

import pytest

from rigleaf.packing.boxes import Bag, Piece
from rigleaf.packing.necessary import alone, goes_in_aslant, goes_in_turned, reasons_against

BAG = Bag("bag", (500.0, 300.0, 200.0), 10.0)


def box(*sides: float, mass: float = 1.0, **more: bool) -> Piece:
    return Piece("box", (sides[0], sides[1], sides[2]), mass, **more)


@pytest.mark.parametrize(
    ("piece", "kind"),
    [
        (box(200, 500, 300), None),
        (box(700, 50, 50), "too long"),  # the diagonal of the bag is 616 mm
        (box(210, 210, 210), "too thick"),
        (box(490, 310, 201), "too thick"),
        (box(420, 390, 199), "too large"),  # 1009 mm of sides, and the bag has 1000
        (box(520, 40, 40), "aslant only"),
        (box(9000, 1, 1, soft=True), None),
        (box(10, 10, 10, mass=10.5, soft=True), "mass"),
    ],
)
def test_a_piece_that_cannot_go_in_says_why(piece: Piece, kind: str | None) -> None:
    found = alone(BAG, piece)
    assert (found.kind if found else None) == kind


def test_a_piece_that_must_stay_upright_has_fewer_turns() -> None:
    assert alone(BAG, box(200, 100, 250)) is None
    upright = alone(BAG, box(200, 100, 250, upright=True))
    assert upright is not None
    assert upright.kind == "aslant only"
    assert len(box(1, 2, 3).turns()) == 6
    assert box(1, 2, 3, upright=True).turns() == ((2, 1, 3), (1, 2, 3))
    assert box(1, 1, 1).turns() == ((1, 1, 1),)


def test_all_reasons_are_given_with_the_numbers_of_the_pieces() -> None:
    found = reasons_against(BAG, [box(400, 250, 180, mass=8), box(300, 250, 180, mass=8)], [4, 7])
    assert [(reason.kind, reason.pieces) for reason in found] == [
        ("mass", (4, 7)), ("volume", (4, 7)), ("not both", (4, 7))
    ]  # fmt: skip
    assert (found[0].amount, found[0].room) == (16, 10)


def test_two_pieces_side_by_side_are_possible_when_their_sides_add_along_one_axis() -> None:
    assert reasons_against(BAG, [box(300, 200, 150), box(200, 200, 150)]) == ()
    (reason,) = reasons_against(BAG, [box(260, 260, 190), box(260, 260, 190)])
    assert reason.kind == "not both"


def test_an_unsaid_mass_and_no_limit_prove_nothing() -> None:
    assert reasons_against(BAG, [Piece("box", (10, 10, 10), None)] * 3) == ()
    assert reasons_against(Bag("bag", (50, 50, 50)), [box(10, 10, 10, mass=1e6)]) == ()


def test_a_piece_goes_in_turned_about_one_axis_of_the_bag() -> None:
    assert goes_in_turned(BAG, box(520, 40, 40))
    assert not goes_in_turned(BAG, box(600, 40, 40))  # not even along the diagonal of the floor, 583 mm
    assert goes_in_turned(BAG, box(100, 100, 205))
    tall = Bag("tall", (100.0, 100.0, 500.0))
    assert goes_in_turned(tall, box(500, 20, 90))
    assert not goes_in_turned(tall, box(120, 20, 505, upright=True))
    assert goes_in_turned(tall, box(120, 10, 490, upright=True))


@pytest.mark.parametrize(
    ("sides", "room", "fits"),
    [((5, 4), (5, 4), True), ((4, 5), (5, 4), True), ((5.2, 1), (5, 4), True), ((5.2, 3.9), (5, 4), False),
     ((6.4, 0.1), (5, 4), False), ((3, 4.5), (5, 4), True), ((4.5, 4.5), (5, 4), False)],
)  # fmt: skip
def test_a_rectangle_goes_in_aslant(sides: tuple[float, float], room: tuple[float, float], fits: bool) -> None:
    assert goes_in_aslant(sides, room) is fits
