"""Checks a packing by what it says alone: sharing nothing with the search, it finds what the search got wrong."""

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from rigleaf.packing.boxes import Bag, Packing, Piece, Placed, Rules


def faults_of(bag: Bag, pieces: Sequence[Piece], packing: Packing, rules: Rules) -> list[str]:
    """Return everything that is wrong with a packing, in words; nothing where it may be shown."""
    grain = 1e-6 * max(bag.inner)
    found = [f"piece {piece} is packed {times} times" for piece, times in Counter(packing.pieces).items() if times > 1]
    found += [f"piece {one.piece} is soft and has a place" for one in packing.placed if pieces[one.piece].soft]
    found += [f"piece {number} is hard and lies in the gaps" for number in packing.gaps if not pieces[number].soft]
    for index, one in enumerate(packing.placed):
        piece = pieces[one.piece]
        if sorted(one.sides) != sorted(piece.sides):
            found.append(f"piece {one.piece} has other sides than its own")
        if piece.upright and one.sides[2] != piece.sides[2]:
            found.append(f"piece {one.piece} does not stand upright")
        for axis, name in enumerate(("length", "width", "height")):
            if one.corner[axis] < -grain or one.corner[axis] + one.sides[axis] > bag.inner[axis] + grain:
                found.append(f"piece {one.piece} sticks out along the {name}")
        for other in packing.placed[index + 1 :]:
            if all(_shared(one, other, axis) > grain for axis in range(3)):
                found.append(f"pieces {one.piece} and {other.piece} overlap")
            if _above(one, other, grain):
                found.append(f"piece {other.piece} goes in below piece {one.piece}, which is in its way")
        if _carried(one, packing.placed, rules.give, grain) < rules.support * one.sides[0] * one.sides[1] * (1 - 1e-9):
            found.append(f"piece {one.piece} floats")
        if piece.fragile:
            weight = _weight_above(one, packing.placed, pieces, grain)
            if weight is None or weight > rules.on_fragile * (1 + 1e-9):
                found.append(f"piece {one.piece} is fragile and has too much above it")
    return found + _in_all(bag, pieces, packing, rules)


def _in_all(bag: Bag, pieces: Sequence[Piece], packing: Packing, rules: Rules) -> list[str]:
    found = []
    inside = [pieces[number] for number in packing.pieces]
    if bag.limit is not None and sum(piece.mass or 0.0 for piece in inside) > bag.limit * (1 + 1e-9):
        found.append("the bag is overloaded")
    soft = sum(piece.volume for piece in inside if piece.soft)
    free = bag.volume - sum(piece.volume for piece in inside if not piece.soft)
    if soft > rules.gaps * free * (1 + 1e-9):
        found.append("the soft pieces are more than the gaps hold")
    return found


def _shared(one: Placed, other: Placed, axis: int) -> float:
    """Return the length in mm that two pieces share along one axis; negative where they are apart."""
    ends = min(one.corner[axis] + one.sides[axis], other.corner[axis] + other.sides[axis])
    return ends - max(one.corner[axis], other.corner[axis])


def _above(one: Placed, other: Placed, grain: float) -> bool:
    """Say whether ``one`` stands somewhere above ``other``."""
    in_plan = _shared(one, other, 0) > grain and _shared(one, other, 1) > grain
    return in_plan and one.corner[2] >= other.corner[2] + other.sides[2] - grain


def _carried(one: Placed, placed: Sequence[Placed], give: float, grain: float) -> float:
    """Return the area in mm2 of the base that rests on the floor or on what is at most ``give`` below it."""
    base = one.corner[2]
    if base <= grain:
        return one.sides[0] * one.sides[1]
    under = [
        (max(one.corner[0], other.corner[0]), max(one.corner[1], other.corner[1]),
         min(one.corner[0] + one.sides[0], other.corner[0] + other.sides[0]),
         min(one.corner[1] + one.sides[1], other.corner[1] + other.sides[1]))
        for other in placed
        if other is not one and base - give - grain <= other.corner[2] + other.sides[2] <= base + grain
        and _shared(one, other, 0) > grain and _shared(one, other, 1) > grain
    ]  # fmt: skip
    # Something thin on something else carries a place only once: count cell by cell.
    xs = sorted({x for left, _, right, _ in under for x in (left, right)})
    ys = sorted({y for _, front, _, back in under for y in (front, back)})
    return sum(
        (x1 - x0) * (y1 - y0)
        for x0, x1 in pairwise(xs)
        for y0, y1 in pairwise(ys)
        if any(left <= x0 and x1 <= right and front <= y0 and y1 <= back for left, front, right, back in under)
    )


def _weight_above(one: Placed, placed: Sequence[Placed], pieces: Sequence[Piece], grain: float) -> float | None:
    """Return the mass in kg of all that stands above a piece; None where a mass among it is unsaid."""
    total = 0.0
    for other in placed:
        if other is not one and _above(other, one, grain):
            mass = pieces[other.piece].mass
            if mass is None:
                return None
            total += mass
    return total
