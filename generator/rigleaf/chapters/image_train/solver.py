"""Which rings and shims join two pieces, or bring a train to its length. An exact search on plain data, no I/O.

A gap lies between two fixed pieces of the train. How the search goes about it, and what it costs, is told in
`walks`.
"""

from collections.abc import Iterable, Iterator, Sequence
from math import inf

from rigleaf.catalogue.models.connections import Connection
from rigleaf.chapters.image_train.mating import counterpart, mates
from rigleaf.chapters.image_train.pieces import (
    TO_BUY,
    Bridge,
    Filling,
    Gap,
    GapFilling,
    Purchase,
    Ring,
    Shim,
)
from rigleaf.chapters.image_train.walks import Search

__all__ = [
    "MOST_PIECES",
    "TO_BUY",
    "Bridge",
    "Filling",
    "Gap",
    "GapFilling",
    "Purchase",
    "Ring",
    "Shim",
    "bridge",
    "fill",
    "missing_length",
]

MOST_PIECES = 6


def bridge(rear: Connection, front: Connection, rings: Iterable[Ring], most: int = 2) -> tuple[Bridge, ...]:
    """Return all chains of the fewest rings that join two sides: shortest first, ties by id.

    Two sides that mate by themselves need none, which is one chain of no rings. Counts are respected; adjustable
    rings count at the length they stand at. Nothing is returned where no chain of up to `most` rings exists.
    """
    shelf = sorted(rings, key=lambda ring: ring.id)

    def chains(side: Connection, left: int, used: tuple[Ring, ...]) -> Iterator[tuple[Ring, ...]]:
        if left == 0:
            if mates(side, front):
                yield used
            return
        for ring in shelf:
            if mates(side, ring.front) and used.count(ring) < ring.count:
                yield from chains(ring.rear, left - 1, (*used, ring))

    for pieces in range(most + 1):
        found = [Bridge(chain, sum(ring.length for ring in chain)) for chain in chains(rear, pieces, ())]
        if found:
            return tuple(sorted(found, key=lambda one: (one.length, [ring.id for ring in one.rings])))
    return ()


def fill(
    gaps: Sequence[Gap],
    target: float,
    tolerance: float,
    rings: Iterable[Ring],
    shims: Iterable[Shim] = (),
    most_pieces: int = MOST_PIECES,
) -> Filling | None:
    """Find the pieces that close every joint and add up to `target` within `tolerance`, both in mm.

    Fewest pieces first, then the best fit, then the ids that come first in the alphabet. Returns None where
    nothing on the shelf does, with up to `most_pieces` pieces. Lengths count to a micrometre.

    Raises:
        SearchLimitError: on a shelf with too many ways to try them all.
    """
    return Search(gaps, target, tolerance, rings, shims).run(most_pieces)


def missing_length(
    gaps: Sequence[Gap],
    target: float,
    tolerance: float,
    rings: Iterable[Ring],
    shims: Iterable[Shim] = (),
    most_pieces: int = MOST_PIECES,
    shortest: float = 1.0,
    longest: float = 50.0,
) -> Purchase | None:
    """Say which one ring to buy where `fill` finds nothing; lengths in mm.

    The ring is a spacer at either end of a gap, or an adapter across a gap that two rings of the shelf cannot
    bridge. It is between `shortest` and `longest` and goes with as few pieces from the shelf as possible; of
    several kinds the widest is taken. Returns None where no single ring would do: the train is too long
    already, say, or two gaps cannot be bridged.
    """
    shelf, thin = list(rings), list(shims)
    found: tuple[Filling, Connection, Connection] | None = None
    for front, rear in _kinds_to_buy(gaps, shelf):
        most = most_pieces if found is None else found[0].pieces - 1  # a narrower one must save a piece
        bought = Ring(TO_BUY, shortest, None, front, rear, 1, None, shortest, longest)
        filling = fill(gaps, target, 0.0, [*shelf, bought], thin, most)
        if filling is not None and any(TO_BUY in gap.rings for gap in filling.gaps):
            found = filling, front, rear
    if found is None:
        return None
    filling, front, rear = found
    need = dict(filling.settings)[TO_BUY]
    tenth = round(need, 1)
    return Purchase(
        gap=next(index for index, gap in enumerate(filling.gaps) if TO_BUY in gap.rings),
        front=front,
        rear=rear,
        length=tenth if abs(tenth - need) <= tolerance else need,
        shortest=round(max(need - tolerance, 0.0), 3),
        longest=round(need + tolerance, 3),
        filling=filling,
    )


def _kinds_to_buy(gaps: Sequence[Gap], rings: Sequence[Ring]) -> list[tuple[Connection, Connection]]:
    """Front and rear of every ring that might help, widest first, the later gaps before the earlier."""
    kinds: dict[tuple[Connection, Connection], None] = {}
    for gap in reversed(gaps):
        rear, front = gap.rear_of_previous, gap.front_of_next
        if rear is None or front is None:
            continue
        kinds |= {(front, counterpart(front)): None, (counterpart(rear), rear): None}
        if not bridge(rear, front, rings):
            kinds[counterpart(rear), counterpart(front)] = None
    return sorted(kinds, key=lambda kind: -min(side.diameter or inf for side in kind))
