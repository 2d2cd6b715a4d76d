"""The search behind `solver.fill`: walks through the gaps, and every length that the rest can add.

The search has two halves. The *walks* through all gaps hold the adapters and the adjustable rings, and say which
spacers and shims can be laid in besides. Those, the *fillers*, only add length, and which lengths any number of
them can add is found for all their combinations at once: a set of lengths is an integer whose bit n stands for n
micrometres, and adding a piece shifts it.

Cost: the walks are listed, and with p pieces, b adapters that a side takes and g gaps there are at most
C(p + g - 1, p) b^p of them; far fewer lead to where they must and are short enough. For every set of fillers that
some walk can reach, F of them, O(F p^2) shifts of numbers with as many bits as the length has micrometres. Only as
many pieces are tried as it takes until something fits.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from rigleaf.catalogue.models.connections import Connection
from rigleaf.chapters.image_train.mating import DIAMETER_SLACK, mates
from rigleaf.chapters.image_train.pieces import Filling, Gap, GapFilling, Ring, Shim

_UM = 1000  # micrometres in a millimetre

MOST_STEPS = 200_000
"""Steps after which a search gives up; a club's shelf needs a few thousand, and this many take a second or so."""


class SearchLimitError(Exception):
    """The shelf has so many ways through the gaps that they were not all tried; nothing is known about the rest."""


def _um(length: float) -> int:
    return round(length * _UM)


class _State(NamedTuple):
    """An open side towards the camera: a bit for each front that it takes, and the thread's diameter."""

    takes: int
    diameter: float | None


class _Piece(NamedTuple):
    """A ring or shim with its range of lengths in um."""

    what: Ring | Shim
    shortest: int
    longest: int


class _Move(NamedTuple):
    """A ring that can follow a side: its index, how many there are, its lengths in um, the side behind it."""

    piece: int
    owned: int
    shortest: int
    longest: int
    leads_to: _State


class _Walk(NamedTuple):
    """A way through some gaps: pieces used, sorted and by gap; fillers that fit beside (a bit each); lengths in um."""

    used: tuple[int, ...]
    gaps: tuple[tuple[int, ...], ...]
    fillers: int
    shortest: int
    longest: int


@dataclass(frozen=True, slots=True)
class _Choice:
    """One complete solution, in the order in which solutions are preferred."""

    error: int
    ids: tuple[str, ...]
    walk: _Walk
    fillers: tuple[int, ...]


class Search:
    """One search over one shelf; see `solver.fill` for what the arguments mean."""

    def __init__(
        self, gaps: Sequence[Gap], target: float, tolerance: float, rings: Iterable[Ring], shims: Iterable[Shim]
    ) -> None:
        self._gaps = gaps
        self._target, self._tolerance = _um(target), _um(tolerance)
        self._budget = self._target + self._tolerance
        pieces = [_Piece(ring, *map(_um, ring.reach)) for ring in rings]
        pieces += [_Piece(shim, _um(shim.thickness), _um(shim.thickness)) for shim in shims]
        self._pieces = sorted(
            (piece for piece in pieces if piece.what.count > 0 and piece.shortest <= self._budget),
            key=lambda piece: piece.what.id,
        )
        fronts = [piece.what.front for piece in self._pieces if isinstance(piece.what, Ring)]
        fronts += [gap.front_of_next for gap in gaps if gap.front_of_next is not None]
        self._bits = {front: 1 << bit for bit, front in enumerate(dict.fromkeys(fronts))}
        self.steps = 0
        # Everything below depends on these alone, so answers are kept for the life of the search.
        self._state = cache(self._find_state)
        self._moves = cache(self._find_moves)
        self._beside = cache(self._find_beside)
        self._arrives = cache(self._find_arrives)
        self._walks = cache(self._find_walks)
        self._lengths = cache(self._find_lengths)

    def run(self, most_pieces: int) -> Filling | None:
        """Return the best filling with the fewest pieces, or None."""
        if self._budget < 0:
            return None
        for pieces in range(most_pieces + 1):
            best: _Choice | None = None
            for adapters in range(pieces + 1):
                for walk in self._walks(0, adapters):
                    found = self._complete(walk, pieces - adapters, best)
                    if found is not None:
                        best = found
            if best is not None:
                return self._filling(best)
        return None

    # --- Sides, and what fits onto them ---------------------------------------------------------------------

    def _find_state(self, rear: Connection) -> _State:
        takes = sum(bit for front, bit in self._bits.items() if mates(rear, front))
        return _State(takes, rear.diameter if rear.form == "thread" else None)

    def _step(self) -> None:
        self.steps += 1
        if self.steps > MOST_STEPS:
            raise SearchLimitError

    def _fits(self, ring: Ring, state: _State, gap: int) -> bool:
        wide_enough = ring.clear_aperture is None or ring.clear_aperture >= self._gaps[gap].clear
        return wide_enough and bool(state.takes & self._bits[ring.front])

    def _find_beside(self, gap: int, state: _State) -> int:
        """Return the fillers that can stand at a side: they add a fixed length and leave the side as it is."""
        found = 0
        for index, (what, shortest, longest) in enumerate(self._pieces):
            if isinstance(what, Shim):
                fits = state.diameter is not None and abs(state.diameter - what.diameter) <= DIAMETER_SLACK
            else:
                fits = shortest == longest and self._fits(what, state, gap) and self._state(what.rear) == state
            found |= fits << index
        return found

    def _find_moves(self, gap: int, state: _State) -> tuple[_Move, ...]:
        """Return the other rings that can follow a side: adapters and adjustable rings."""
        beside = self._beside(gap, state)
        return tuple(
            _Move(index, what.count, shortest, longest, self._state(what.rear))
            for index, (what, shortest, longest) in enumerate(self._pieces)
            if isinstance(what, Ring) and self._fits(what, state, gap) and not beside >> index & 1
        )

    def _after(self, index: int) -> _State:
        ring = self._pieces[index].what
        assert isinstance(ring, Ring)  # noqa: S101  # shims are no moves
        return self._state(ring.rear)

    # --- Walks ----------------------------------------------------------------------------------------------

    def _find_arrives(self, gap: int, state: _State, moves: int) -> bool:
        """Whether so many moves can lead from a side to the next piece, counts aside."""
        if moves == 0:
            front = self._gaps[gap].front_of_next
            return front is not None and bool(state.takes & self._bits[front])
        return any(self._arrives(gap, move.leads_to, moves - 1) for move in self._moves(gap, state))

    def _find_walks(self, first: int, moves: int) -> tuple[_Walk, ...]:
        """Return the walks through all gaps from `first` on, one for each set of pieces and of fillers beside."""
        if first == len(self._gaps):
            return (_Walk((), (), 0, 0, 0),) if moves == 0 else ()
        found: dict[tuple[tuple[int, ...], int], _Walk] = {}
        for here in range(moves + 1):
            rest = self._walks(first + 1, moves - here)
            for one in self._walks_of(first, here) if rest else ():
                for other in rest:
                    self._step()
                    used = tuple(sorted(one.used + other.used))
                    shortest = one.shortest + other.shortest
                    key = used, one.fillers | other.fillers
                    if key in found or shortest > self._budget or not self._owned(used):
                        continue
                    longest = one.longest + other.longest
                    found[key] = _Walk(used, one.gaps + other.gaps, key[1], shortest, longest)
        return tuple(found.values())

    def _walks_of(self, gap: int, moves: int) -> Iterator[_Walk]:
        """Yield the walks through one gap, one for each set of pieces and of fillers beside."""
        rear, front = self._gaps[gap].rear_of_previous, self._gaps[gap].front_of_next
        if rear is None or front is None:
            if moves == 0:
                yield _Walk((), ((),), 0, 0, 0)
            return
        seen: set[tuple[tuple[int, ...], int]] = set()
        paths: list[tuple[_State, tuple[int, ...], int, int, int]] = [(self._state(rear), (), 0, 0, 0)]
        if not self._arrives(gap, paths[0][0], moves):
            self._step()
            return
        while paths:
            self._step()
            state, path, fillers, shortest, longest = paths.pop()
            fillers |= self._beside(gap, state)
            left = moves - len(path)
            if left == 0:
                used = tuple(sorted(path))
                if (used, fillers) not in seen:
                    seen.add((used, fillers))
                    yield _Walk(used, (path,), fillers, shortest, longest)
                continue
            for index, owned, short, long, leads_to in reversed(self._moves(gap, state)):
                if shortest + short > self._budget or path.count(index) >= owned:
                    continue
                if self._arrives(gap, leads_to, left - 1):
                    paths.append((leads_to, (*path, index), fillers, shortest + short, longest + long))
                else:
                    self._step()  # it was tried, and leads nowhere

    def _owned(self, used: tuple[int, ...]) -> bool:
        return all(used.count(index) <= self._pieces[index].what.count for index in set(used))

    # --- Lengths --------------------------------------------------------------------------------------------

    def _find_lengths(self, fillers: tuple[tuple[int, int], ...], pieces: int) -> int:
        """Return the lengths, one bit each, that exactly so many of some fillers add.

        Each filler is an index and how many there are.
        """
        if not fillers:
            return int(pieces == 0)
        (index, count), rest = fillers[0], fillers[1:]
        length = self._pieces[index].longest
        found = 0
        for copies in range(min(count, pieces) + 1):
            if copies * length > self._budget:
                break
            found |= self._lengths(rest, pieces - copies) << copies * length
        return found & _bits(0, self._budget)

    def _complete(self, walk: _Walk, pieces: int, best: _Choice | None) -> _Choice | None:
        """Return the best way to complete a walk with so many fillers, where it is better than the best so far."""
        self._step()
        beside = tuple(
            (index, left)
            for index, piece in enumerate(self._pieces)
            if walk.fillers >> index & 1 and (left := piece.what.count - walk.used.count(index)) > 0
        )
        least, most = self._target - walk.longest, self._target - walk.shortest
        lengths = self._lengths(beside, pieces)
        error = _least_error(lengths, least, most, self._tolerance)
        if error is None or (best is not None and error > best.error):
            return None
        wanted = _bits(least, most)
        if error:
            wanted = _bits(least - error, least - error) | _bits(most + error, most + error)
        chosen = self._first(beside, pieces, wanted)
        ids = tuple(sorted(self._pieces[index].what.id for index in (*walk.used, *chosen)))
        if best is not None and (error, ids) >= (best.error, best.ids):
            return None
        return _Choice(error, ids, walk, chosen)

    def _first(self, fillers: tuple[tuple[int, int], ...], pieces: int, wanted: int) -> tuple[int, ...]:
        """Return the fillers that add a wanted length, as many as possible of those that come first."""
        chosen: list[int] = []
        for place, (index, count) in enumerate(fillers):
            length, rest = self._pieces[index].longest, fillers[place + 1 :]
            for copies in range(min(count, pieces), -1, -1):
                if self._lengths(rest, pieces - copies) & (wanted >> copies * length):
                    chosen += [index] * copies
                    pieces -= copies
                    wanted >>= copies * length
                    break
        return tuple(chosen)

    # --- The answer -----------------------------------------------------------------------------------------

    def _filling(self, choice: _Choice) -> Filling:
        """Lay the fillers in at the first side that takes them, and set the adjustable rings."""
        waiting = list(choice.fillers)
        filled: list[GapFilling] = []
        settings: list[tuple[str, float]] = []
        length = choice.walk.shortest + sum(self._pieces[index].longest for index in waiting)
        spare = min(max(self._target - length, 0), choice.walk.longest - choice.walk.shortest)
        length += spare
        for gap, path in enumerate(choice.walk.gaps):
            rings: list[str] = []
            shims: list[str] = []
            for place, state in enumerate(self._sides(gap, path)):
                if place:
                    piece = self._pieces[path[place - 1]]
                    rings.append(piece.what.id)
                    if piece.longest > piece.shortest:
                        more = min(spare, piece.longest - piece.shortest)
                        spare -= more
                        # What is spare is a difference: its last bits would depend on the order of the shelf.
                        settings.append((piece.what.id, round((piece.shortest + more) / _UM, 9)))
                beside = self._beside(gap, state)
                for filler in [filler for filler in waiting if beside >> filler & 1]:
                    waiting.remove(filler)
                    what = self._pieces[filler].what
                    (rings if isinstance(what, Ring) else shims).append(what.id)
            filled.append(GapFilling(tuple(rings), tuple(shims)))
        return Filling(tuple(filled), length / _UM, (length - self._target) / _UM, tuple(settings))

    def _sides(self, gap: int, path: tuple[int, ...]) -> list[_State]:
        """Return the open sides along a way through a gap; none where a side of the gap is unsaid."""
        rear, front = self._gaps[gap].rear_of_previous, self._gaps[gap].front_of_next
        if rear is None or front is None:
            return []
        return [self._state(rear), *(self._after(index) for index in path)]


def _bits(least: int, most: int) -> int:
    """Return a number with the bits from `least` to `most` set; those below 0 are left out."""
    least = max(least, 0)
    return ((1 << most - least + 1) - 1) << least if most >= least else 0


def _least_error(lengths: int, least: int, most: int, tolerance: int) -> int | None:
    """Return how far the nearest of some lengths lies outside a range, or None beyond the tolerance."""
    if lengths & _bits(least, most):
        return 0
    below, above = lengths & _bits(least - tolerance, least - 1), lengths & _bits(most + 1, most + tolerance)
    errors = [least - (below.bit_length() - 1)] if below else []
    if above:
        errors.append((above & -above).bit_length() - 1 - most)
    return min(errors, default=None)
