"""What can be known without a search: proofs that pieces cannot go into a bag. No proof means nothing either way.

The quermassintegrals of convex bodies grow with the body: what lies inside a box has no larger volume, no larger
surface, no larger mean width, no larger smallest width and no larger diameter than it. For boxes these are product, sum
of products, sum, smallest side and diagonal of the sides. So each of them can prove that a piece goes in at no angle.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations
from math import fsum, hypot

from rigleaf.packing.boxes import Bag, Piece, Reason, ReasonKind, Sides, tolerance, turns_of

_GRAIN = 1e-9
_MOST_PAIRED = 40
"""Largest number of pieces that are compared two by two; the largest ones are taken."""


def reasons_against(bag: Bag, pieces: Sequence[Piece], numbers: Sequence[int] | None = None) -> tuple[Reason, ...]:
    """Return why ``pieces`` cannot all go into ``bag`` along its sides; nothing where no reason was found.

    The order of the pieces does not matter, and more pieces never give fewer reasons.

    Args:
        bag: the bag.
        pieces: everything that should go in.
        numbers: what the pieces are called in the reasons; their places in the list where it is left out.
    """
    named = range(len(pieces)) if numbers is None else numbers
    pairs = list(zip(named, pieces, strict=True))
    found = [reason for number, piece in sorted(pairs, key=lambda p: p[0]) if (reason := alone(bag, piece, number))]
    found += too_much(bag.volume, bag.limit, pairs)
    alone_out = {number for reason in found if len(reason.pieces) == 1 for number in reason.pieces}
    hard = [(number, piece) for number, piece in pairs if not piece.soft and number not in alone_out]
    hard.sort(key=lambda pair: (-min(pair[1].sides), -pair[1].volume, pair[1].sides, pair[0]))
    for (one, first), (other, second) in combinations(hard[:_MOST_PAIRED], 2):
        if not _side_by_side(bag, first, second):
            found.append(Reason("not both", (min(one, other), max(one, other))))
    return tuple(found)


def too_much(volume: float, limit: float | None, pieces: Sequence[tuple[int, Piece]]) -> list[Reason]:
    """Return why pieces, with their numbers, have too much volume (mm3) or mass (kg) for one bag or for several."""
    everything = tuple(sorted(number for number, _ in pieces))
    found: list[Reason] = []
    mass = fsum(piece.mass or 0.0 for _, piece in pieces)
    if limit is not None and mass > limit * (1 + _GRAIN):
        found.append(Reason("mass", everything, mass, limit))
    filled = fsum(piece.volume for _, piece in pieces)
    if filled > volume * (1 + _GRAIN):
        found.append(Reason("volume", everything, filled, volume))
    return found


def alone(bag: Bag, piece: Piece, number: int = 0) -> Reason | None:
    """Return why one piece cannot go into an empty bag along its sides; None where it can."""
    if bag.limit is not None and piece.mass is not None and piece.mass > bag.limit * (1 + _GRAIN):
        return Reason("mass", (number,), piece.mass, bag.limit)
    if piece.soft or fitting(bag, piece):
        return None
    for kind, amount, room in _measures(piece.sides, bag.inner):
        if amount > room * (1 + _GRAIN):
            return Reason(kind, (number,), amount, room)
    return Reason("aslant only", (number,), max(piece.sides), max(bag.inner))


def _measures(inside: Sides, outside: Sides) -> tuple[tuple[ReasonKind, float, float], ...]:
    """Return what cannot be larger inside than outside, at whatever angle: kind, amount, room."""

    def surface(sides: Sides) -> float:
        a, b, c = sides
        return 2 * (a * b + b * c + c * a)

    return (
        ("too long", hypot(*inside), hypot(*outside)),
        ("too thick", min(inside), min(outside)),
        ("too large", sum(inside), sum(outside)),
        ("too large", surface(inside), surface(outside)),
    )


def fitting(bag: Bag, piece: Piece) -> tuple[Sides, ...]:
    """Return the turns in which a piece goes into an empty bag."""
    return _fitting(bag.inner, tolerance(bag), piece.sides, piece.upright)


@lru_cache(maxsize=8192)
def _fitting(inner: Sides, grain: float, sides: Sides, upright: bool) -> tuple[Sides, ...]:
    return tuple(
        turn
        for turn in turns_of(sides, upright=upright)
        if all(s <= room + grain for s, room in zip(turn, inner, strict=True))
    )


def _side_by_side(bag: Bag, first: Piece, second: Piece) -> bool:
    """Say whether two pieces go in together: two boxes are apart along one axis at least, where their sides add."""
    grain = tolerance(bag)
    ways = [fitting(bag, piece) for piece in (first, second)]
    return any(
        min(turn[axis] for turn in ways[0]) + min(turn[axis] for turn in ways[1]) <= bag.inner[axis] + grain
        for axis in range(3)
    )


def goes_in_turned(bag: Bag, piece: Piece) -> bool:
    """Say whether a piece alone goes into a bag when it is turned about one axis of the bag, by any angle."""
    return any(
        turn[axis] <= bag.inner[axis] and goes_in_aslant(_without(turn, axis), _without(bag.inner, axis))
        for turn in piece.turns()
        for axis in ((2,) if piece.upright else (0, 1, 2))
    )


def _without(sides: Sides, axis: int) -> tuple[float, float]:
    first, second = (sides[other] for other in range(3) if other != axis)
    return first, second


def goes_in_aslant(sides: tuple[float, float], room: tuple[float, float]) -> bool:
    """Say whether a rectangle goes into another at some angle in the plane.

    With sides p >= q and room P >= Q where p > P: when q <= Q and
    ``Q (p^2 + q^2) >= 2 p q P + (p^2 - q^2) sqrt(p^2 + q^2 - P^2)``.

    Args:
        sides: of the rectangle, in any order and unit.
        room: sides of the one around it, in the same unit.
    """
    p, q = max(sides), min(sides)
    long, short = max(room), min(room)
    if p <= long:
        return q <= short
    square = p * p + q * q
    return q <= short and short * square >= 2 * p * q * long + (p * p - q * q) * max(square - long * long, 0.0) ** 0.5
