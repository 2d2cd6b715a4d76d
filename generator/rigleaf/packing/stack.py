"""One bag while it is being packed: where a piece could be lowered to, and which of these places is the best."""

from bisect import insort
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from rigleaf.packing.boxes import Bag, Piece, Placed, Rules, Sides, tolerance

Floats = NDArray[np.float64]
Taste = Literal["snug", "nook", "wall", "flat"]
"""Which of the possible places is taken.

"snug" and "flat" keep the upper faces low, "snug" with the most touching neighbours; "nook" begins at the bottom and
weighs touching against height; "wall" fills slice after slice from the front.
"""

_X0, _Y0, _X1, _Y1, _TOP, _SPARE, _EVEN = range(7)
"""Columns of the table: extent in plan, upper face, kg that may still stand above, depth counted as level with it."""


class Stack:
    """A bag in the making. Each piece is lowered straight down until it meets the floor or another piece.

    Args:
        bag: the bag.
        rules: what a packing must keep to.
        most: largest number of pieces that will go in.
    """

    def __init__(self, bag: Bag, rules: Rules, most: int) -> None:
        self.bag, self.rules = bag, rules
        self.grain = tolerance(bag)
        self.placed: list[Placed] = []
        self.gaps: list[int] = []
        self.mass = self.hard = self.soft = 0.0
        self._table = np.zeros((most, 7))
        self._edges: tuple[list[float], list[float]] = ([0.0], [0.0])

    def takes_mass(self, piece: Piece) -> bool:
        """Say whether the bag's limit leaves room for the mass of a piece."""
        return self.bag.limit is None or self.mass + (piece.mass or 0.0) <= self.bag.limit * (1 + 1e-9)

    def takes_volume(self, piece: Piece) -> bool:
        """Say whether the volume of a piece is left, once gaps that nothing fills are taken off."""
        soft, hard = (piece.volume, 0.0) if piece.soft else (0.0, piece.volume)
        free = self.bag.volume - self.hard - hard
        return self.soft + soft <= self.rules.gaps * free * (1 + 1e-9) if soft or self.soft else free >= -1e-9 * hard

    def press(self, number: int, piece: Piece) -> bool:
        """Press a soft piece into the gaps where they hold it; say whether they do."""
        if not (self.takes_mass(piece) and self.takes_volume(piece)):
            return False
        self.gaps.append(number)
        self.mass += piece.mass or 0.0
        self.soft += piece.volume
        return True

    def lower(self, number: int, piece: Piece, turns: Floats, taste: Taste) -> bool:
        """Put a hard piece into its best place where there is one; say whether there is.

        Args:
            number: of the piece.
            piece: the piece.
            turns: its sides in each turn that goes into the empty bag, as rows.
            taste: which place is the best.
        """
        if not (len(turns) and self.takes_mass(piece) and self.takes_volume(piece)):
            return False
        room, grain = self.bag.inner, self.grain
        width, depth, height = turns.T
        x, x1 = self._starts(0, width)
        y, y1 = self._starts(1, depth)
        turn, row, column = np.nonzero(
            ((y >= -grain) & (y1 <= room[1] + grain))[:, :, None]
            & ((x >= -grain) & (x1 <= room[0] + grain))[:, None, :]
        )
        foot = np.zeros(turn.size)
        if self.placed:
            table = self._table[: len(self.placed)].T
            shared_x = np.minimum(x1[:, :, None], table[_X1]) - np.maximum(x[:, :, None], table[_X0])
            shared_y = np.minimum(y1[:, :, None], table[_Y1]) - np.maximum(y[:, :, None], table[_Y0])
            over = (shared_x > grain)[turn, column] & (shared_y > grain)[turn, row]
            foot = np.where(over, table[_TOP], 0.0).max(axis=1)
        # What rises out of the bag is dropped first: of most pieces that find no place, nothing else is left.
        kept = np.nonzero(foot + height[turn] <= room[2] + grain)[0]
        if not kept.size:
            return False
        if self.placed:
            area = shared_x[turn[kept], column[kept]] * shared_y[turn[kept], row[kept]]
            base = (width * depth)[turn[kept]]
            kept = kept[self._holds(piece, over[kept], area, foot[kept], base)]
            if not kept.size:
                return False
        turn, row, column, foot = turn[kept], row[kept], column[kept], foot[kept]
        x, y = x[turn, column], y[turn, row]
        width, depth, height = width[turn], depth[turn], height[turn]
        best = int(np.lexsort(self._worth(taste, x, y, foot, width, depth, height))[0]) if kept.size > 1 else 0
        corner = (float(x[best]), float(y[best]), float(foot[best]))
        self._put(number, piece, corner, (float(width[best]), float(depth[best]), float(height[best])))
        return True

    def _starts(self, axis: int, side: Floats) -> tuple[Floats, Floats]:
        """Return for each turn where a piece may begin along one axis, and where it then ends.

        Besides the edges of what is there, the far wall is tried.
        """
        edges = self._edges[axis]
        begins = np.empty((side.size, len(edges) + 1))
        begins[:, :-1] = edges
        begins[:, -1] = self.bag.inner[axis] - side
        return begins, begins + side[:, None]

    def _holds(
        self, piece: Piece, over: NDArray[np.bool_], area: Floats, foot: Floats, base: Floats
    ) -> NDArray[np.bool_]:
        """Say of each place whether what is there holds a piece.

        Args:
            piece: the piece.
            over: above which of the placed pieces each place is.
            area: that each place shares with each of them when seen from above, where it is above it.
            foot: height at which the piece comes to rest.
            base: area of its lower face.
        """
        table = self._table[: len(self.placed)].T
        level = over & (table[_TOP] >= foot[:, None] - table[_EVEN])
        carried = np.where(level, area, 0.0).sum(axis=1)
        mass = np.inf if piece.mass is None else piece.mass
        crushed = (over & (table[_SPARE] < mass * (1 - 1e-12))).any(axis=1)
        held: NDArray[np.bool_] = ((foot <= self.grain) | (carried >= self.rules.support * base)) & ~crushed
        return held

    def _put(self, number: int, piece: Piece, corner: Sides, sides: Sides) -> None:
        x0, y0, foot = corner
        x1, y1, top = x0 + sides[0], y0 + sides[1], foot + sides[2]
        count = len(self.placed)
        table = self._table[:count]
        over = (
            (np.minimum(x1, table[:, _X1]) - np.maximum(x0, table[:, _X0]) > self.grain)
            & (np.minimum(y1, table[:, _Y1]) - np.maximum(y0, table[:, _Y0]) > self.grain)
        )  # fmt: skip
        table[over, _SPARE] -= piece.mass or 0.0
        if sides[2] <= self.rules.give:
            # What lies below something thin would carry the same place twice.
            table[over, _EVEN] = self.grain
        spare = self.rules.on_fragile if piece.fragile else np.inf
        self._table[count] = x0, y0, x1, y1, top, spare, self.rules.give + self.grain
        self.placed.append(Placed(number, corner, sides))
        self.mass += piece.mass or 0.0
        self.hard += piece.volume
        for edges, end, room in zip(self._edges, (x1, y1), self.bag.inner[:2], strict=True):
            if end < room - self.grain and end not in edges:
                insort(edges, end)

    def _worth(
        self, taste: Taste, x: Floats, y: Floats, foot: Floats, width: Floats, depth: Floats, height: Floats
    ) -> tuple[Floats, ...]:
        """Return what makes one place better than another: the least of the last key, then of the one before it."""
        if taste == "wall":
            return x + width, foot, -width * height, y
        if taste == "flat":
            return x, y, width, foot, foot + height
        touching = self._touching(x, y, foot, width, depth, height)
        if taste == "snug":
            return x, y, -touching, foot, foot + height
        return x, y, (foot + height) / self.bag.inner[2] - touching, foot

    def _touching(self, x: Floats, y: Floats, foot: Floats, width: Floats, depth: Floats, height: Floats) -> Floats:
        """Return the part of each place's upright faces that touches walls or neighbours, 0 to 1."""
        room, grain = self.bag.inner, self.grain
        walls = depth * height * ((x <= grain) * 1.0 + (x + width >= room[0] - grain))
        walls += width * height * ((y <= grain) * 1.0 + (y + depth >= room[1] - grain))
        table = self._table[: len(self.placed)].T
        x, y, foot, w, d, h = (values[:, None] for values in (x, y, foot, width, depth, height))
        along_x = np.maximum(np.minimum(x + w, table[_X1]) - np.maximum(x, table[_X0]), 0.0)
        along_y = np.maximum(np.minimum(y + d, table[_Y1]) - np.maximum(y, table[_Y0]), 0.0)
        beside = np.maximum(np.minimum(foot + h, table[_TOP]) - foot, 0.0)
        meets_x = (abs(x - table[_X1]) <= grain) | (abs(x + w - table[_X0]) <= grain)
        meets_y = (abs(y - table[_Y1]) <= grain) | (abs(y + d - table[_Y0]) <= grain)
        faces = ((meets_x * along_y + meets_y * along_x) * beside).sum(axis=1)
        share: Floats = (walls + faces) / (2 * (width + depth) * height)
        return share
