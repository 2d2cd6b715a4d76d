"""Which rings and shims join two pieces, or bring a train to its length. An exact search on plain data, no I/O.

A gap lies between two fixed pieces. What stands in it is a walk: the side that is open towards the camera is a
state, an adapter leads to another state, and a spacer leads back to the state it came from. So the search has two
halves. The *walks* through all gaps are listed piece by piece; they hold the adapters and the adjustable rings,
and say which spacers and shims can be laid in besides. Those, the *fillers*, only add length, and which lengths
they can add is found for all their combinations at once: a set of lengths is a number whose bit n stands for
n micrometres, and adding a spacer shifts it. Lengths are therefore rounded to a micrometre.

Cost: with W walks of up to p adapters (at most the number of adapters a side takes, to the power p, and far fewer
within the length that is left) and F fillers, O(W + F p^2) shifts of numbers of target/um bits. Walks are only
listed up to the number of pieces at which something fits.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product

from rigleaf.catalogue.models.connections import Connection
from rigleaf.chapters.image_train.mating import counterpart, mates

MOST_PIECES = 6
LONGEST_RING = 1000.0  # mm; nothing longer is a ring
TO_BUY = ""  # stands for the id of a ring that nobody has yet


@dataclass(frozen=True, slots=True)
class Ring:
    """An adapter or spacer on the shelf; lengths and the free diameter in mm.

    An adjustable one also has `shortest` and `longest`. Ids are unique, `count` is how many there are.
    """

    id: str
    length: float
    tolerance: float | None
    front: Connection
    rear: Connection
    count: int = 1
    clear_aperture: float | None = None
    shortest: float | None = None
    longest: float | None = None

    @property
    def reach(self) -> tuple[float, float]:
        """Shortest and longest length in mm; the same where it cannot be adjusted."""
        return (
            self.length if self.shortest is None else self.shortest,
            self.length if self.longest is None else self.longest,
        )


@dataclass(frozen=True, slots=True)
class Shim:
    """A thin ring that can be laid into any joint whose thread has this diameter (mm)."""

    id: str
    thickness: float
    diameter: float
    count: int = 1


@dataclass(frozen=True, slots=True)
class Gap:
    """A place between two fixed pieces. Where a side is unsaid nothing is put into it.

    `clear` is the free diameter in mm that the light needs here: rings known to be narrower are not used.
    """

    rear_of_previous: Connection | None
    front_of_next: Connection | None
    clear: float = 0.0


@dataclass(frozen=True, slots=True)
class Bridge:
    """Rings that join two sides, from sky to camera, and the length in mm that they add."""

    rings: tuple[Ring, ...]
    length: float


@dataclass(frozen=True, slots=True)
class GapFilling:
    """What stands in one gap: ids of rings from sky to camera, and of shims."""

    rings: tuple[str, ...] = ()
    shims: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Filling:
    """A way to fill all gaps.

    Attributes:
        gaps: one entry for each gap, in order.
        length: length in mm that all pieces add together.
        error: that length less the target.
        settings: length in mm to which each adjustable ring is set, in order.
    """

    gaps: tuple[GapFilling, ...]
    length: float
    error: float
    settings: tuple[tuple[str, float], ...] = ()

    @property
    def pieces(self) -> int:
        """Number of rings and shims."""
        return sum(len(gap.rings) + len(gap.shims) for gap in self.gaps)


@dataclass(frozen=True, slots=True)
class Purchase:
    """The one ring to buy that makes everything fit.

    Attributes:
        gap: index of the gap that it goes into.
        front, rear: its two sides.
        length: length to ask for, in mm, to a tenth where the tolerance allows.
        shortest, longest: lengths in mm that would do.
        filling: the whole arrangement; the bought ring stands in it under the id TO_BUY.
    """

    gap: int
    front: Connection
    rear: Connection
    length: float
    shortest: float
    longest: float
    filling: Filling


# --- Joining two sides --------------------------------------------------------------------------------------


def bridge(rear: Connection, front: Connection, rings: Iterable[Ring], most: int = 2) -> tuple[Bridge, ...]:
    """Return all chains of the fewest rings that join two sides: shortest first, ties by id.

    Two sides that mate by themselves need none, which is one chain of no rings. Counts are respected. Nothing is
    returned where no chain of up to `most` rings exists.
    """
    shelf = sorted(rings, key=lambda ring: ring.id)

    def chains(side: Connection, left: int, used: tuple[Ring, ...]) -> Iterator[tuple[Ring, ...]]:
        if left == 0:
            if mates(side, front):
                yield used
            return
        for ring in shelf:
            if used.count(ring) < ring.count and mates(side, ring.front):
                yield from chains(ring.rear, left - 1, (*used, ring))

    for pieces in range(most + 1):
        found = [Bridge(chain, sum(ring.length for ring in chain)) for chain in chains(rear, pieces, ())]
        if found:
            return tuple(sorted(found, key=lambda one: (one.length, [ring.id for ring in one.rings])))
    return ()


# --- Filling all gaps to a length ---------------------------------------------------------------------------


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
    nothing on the shelf does, with up to `most_pieces` pieces.
    """
    return _Search(gaps, _um(target), _um(tolerance), rings, shims).run(most_pieces)


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

    The ring is a spacer at one end of a gap, or an adapter across a gap that the shelf cannot bridge. It is
    between `shortest` and `longest`, and goes with as few pieces from the shelf as possible; of several places the
    widest thread is taken, then the one nearest the camera. Returns None where no single ring would do: the
    train is too long already, or two gaps cannot be bridged.
    """
    shelf = list(rings)
    for across, (front, rear, index) in _places_for_a_ring(gaps, shelf):
        if not across:
            break
    places = [place for _, place in _places_for_a_ring(gaps, shelf)]
    best: tuple[Filling, tuple[Connection, Connection, int]] | None = None
    for front, rear, index in places:
        bought = Ring(TO_BUY, shortest, None, front, rear, 1, None, shortest, longest)
        found = fill(gaps, target, 0.0, [*shelf, bought], shims, most_pieces)
        if found and found.settings and (best is None or found.pieces < best[0].pieces):
            best = found, (front, rear, index)
    return None if best is None else best  # type: ignore[return-value]
