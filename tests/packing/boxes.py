"""Boxes to pack: made by cutting a bag up, and drawn at random."""

import random

from hypothesis import strategies as st

from rigleaf.packing.boxes import Bag, Piece, Rules, Sides

CRATE = Bag("crate", (560.0, 365.0, 300.0))
BARE = Rules(support=0.0, give=0.0, on_fragile=1.0, gaps=0.7)
"""Rules under which only the boxes themselves matter."""


def cut_up(seed: int, into: int, bag: Bag = CRATE) -> list[Sides]:
    """Return boxes that fill a bag wholly: it is cut in two, and the pieces again, in whole millimetres."""
    rng = random.Random(seed)  # noqa: S311 - nothing here is secret
    boxes = [bag.inner]
    while len(boxes) < into:
        largest = max(boxes, key=lambda box: box[0] * box[1] * box[2] * rng.uniform(0.3, 1.0))
        boxes.remove(largest)
        axis = rng.choices(range(3), weights=largest)[0]
        first, second = list(largest), list(largest)
        first[axis] = float(round(largest[axis] * rng.uniform(0.3, 0.7)))
        second[axis] -= first[axis]
        boxes += [(first[0], first[1], first[2]), (second[0], second[1], second[2])]
    return boxes


def up_to(fill: float, boxes: list[Sides], seed: int, bag: Bag = CRATE) -> tuple[Piece, ...]:
    """Return so many of the boxes, drawn at random, that they fill at most so much of the bag."""
    drawn = list(boxes)
    random.Random(seed).shuffle(drawn)  # noqa: S311
    while sum(a * b * c for a, b, c in drawn) > fill * bag.volume:
        drawn.pop()
    return tuple(Piece(f"box-{number}", box, 0.5) for number, box in enumerate(drawn))


SIDES = st.tuples(*[st.integers(1, 9).map(float)] * 3)
PIECES = st.lists(
    st.builds(
        Piece,
        id=st.sampled_from(["lens", "tool", "box"]),
        sides=SIDES,
        mass=st.one_of(st.none(), st.sampled_from([0.0, 0.2, 0.7, 2.0])),
        fragile=st.booleans(),
        upright=st.booleans(),
        soft=st.sampled_from([False, False, False, True]),
    ),
    max_size=9,
).map(tuple)
BAGS = st.builds(Bag, id=st.just("bag"), inner=SIDES, limit=st.sampled_from([None, 1.0, 5.0]))
RULES = st.builds(
    Rules,
    support=st.sampled_from([0.0, 0.6, 1.0]),
    give=st.sampled_from([0.0, 1.0, 2.0]),
    on_fragile=st.sampled_from([0.0, 1.0]),
    gaps=st.sampled_from([0.5, 1.0]),
)
