"""A packing as a person does it: layer upon layer, each seen from above."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from rigleaf.packing.boxes import Packing, Placed


def layers(packing: Packing, grain: float = 1e-3) -> tuple[tuple[Placed, ...], ...]:
    """Return the placed pieces in layers from the bottom, each from front to back and from left to right.

    A piece is one layer above the highest of the pieces that stand somewhere below it. So no two pieces of a layer
    cover each other when seen from above, and packed in this order each can be lowered straight down.

    Args:
        packing: the packing.
        grain: mm by which two pieces may share their edges when seen from above.
    """
    placed = packing.placed

    @cache
    def layer(index: int) -> int:
        below = [other for other, piece in enumerate(placed) if _below(piece, placed[index], grain)]
        return 1 + max(map(layer, below)) if below else 0

    rows: list[list[Placed]] = []
    for index, piece in enumerate(placed):
        while len(rows) <= layer(index):
            rows.append([])
        rows[layer(index)].append(piece)
    return tuple(tuple(sorted(row, key=lambda one: (one.corner[1], one.corner[0]))) for row in rows)


def in_order(packing: Packing) -> Packing:
    """Return the same packing with its pieces in the order of its layers."""
    return replace(packing, placed=tuple(one for row in layers(packing) for one in row))


def _below(one: Placed, other: Placed, grain: float) -> bool:
    return one.top <= other.corner[2] + grain and all(
        min(one.corner[axis] + one.sides[axis], other.corner[axis] + other.sides[axis])
        - max(one.corner[axis], other.corner[axis])
        > grain
        for axis in (0, 1)
    )


def standing(sides: Sequence[float]) -> str:
    """Return how a piece stands, by which of its sides is upwards: "flat", "on edge" or "on end"."""
    shortest, middle, _ = sorted(sides)
    up = sides[2]
    return "flat" if up <= shortest else "on edge" if up <= middle else "on end"
