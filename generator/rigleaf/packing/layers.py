"""A packing as a person does it: layer upon layer, each seen from above."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from rigleaf.packing.boxes import Packing, Placed

Pile = tuple[Placed, ...]
"""Pieces of one footprint that stand one on the other, from the bottom; most are of one piece."""


def layers(packing: Packing, grain: float = 1e-3) -> tuple[tuple[Pile, ...], ...]:
    """Return the placed pieces in layers of piles from the bottom, each from front to back and from left to right.

    A pile is one layer above the highest of those that stand somewhere below it. So no two piles of a layer cover each
    other when seen from above, and packed in this order each piece can be lowered straight down.

    Args:
        packing: the packing.
        grain: mm by which two pieces may share their edges when seen from above, or miss each other in a pile.
    """
    piles = _piles(packing.placed, grain)

    @cache
    def layer(index: int) -> int:
        below = [other for other, pile in enumerate(piles) if _below(pile[-1], piles[index][0], grain)]
        return 1 + max(map(layer, below)) if below else 0

    rows: list[list[Pile]] = []
    for index, pile in enumerate(piles):
        while len(rows) <= layer(index):
            rows.append([])
        rows[layer(index)].append(pile)
    return tuple(tuple(sorted(row, key=lambda pile: (pile[0].corner[1], pile[0].corner[0]))) for row in rows)


def _piles(placed: Sequence[Placed], grain: float) -> list[Pile]:
    """Return the pieces in piles: what stands squarely on another piece of the same footprint joins its pile."""
    piles: list[Pile] = []
    for one in sorted(placed, key=lambda piece: piece.corner[2]):
        for index, pile in enumerate(piles):
            top = pile[-1]
            square = all(
                abs(one.corner[axis] - top.corner[axis]) <= grain and abs(one.sides[axis] - top.sides[axis]) <= grain
                for axis in (0, 1)
            )
            if square and abs(one.corner[2] - top.top) <= grain:
                piles[index] = (*pile, one)
                break
        else:
            piles.append((one,))
    return piles


def in_order(packing: Packing) -> Packing:
    """Return the same packing with its pieces in the order of its layers."""
    return replace(packing, placed=tuple(one for row in layers(packing) for pile in row for one in pile))


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
