"""Searches for a packing of several bags. It proves nothing: one that it misses may exist all the same.

Pieces are lowered one after the other into the first bag of their liking that has a place for them. What finds none
goes to the front of the line, and all bags are packed anew, until nothing is left or the steps are used up. The order
of the line, and what counts as the best place, change from round to round by fixed rules, so that the same pieces are
always packed the same way.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache

import numpy as np

from rigleaf.packing.boxes import Answer, Arrangement, Bag, Packing, Piece, Rules
from rigleaf.packing.checker import faults_of
from rigleaf.packing.necessary import fitting, reasons_against
from rigleaf.packing.stack import Floats, Stack, Taste

Likings = tuple[tuple[tuple[int, ...], ...], ...]
"""For each piece the numbers of the bags that may hold it, in groups of equals, the most liked group first."""

_TASTES: tuple[Taste, ...] = ("snug", "nook", "wall", "flat")
_ORDERS: tuple[Callable[[Piece], tuple[float, ...]], ...] = (
    lambda piece: (piece.fragile, -piece.volume),
    lambda piece: (-piece.volume,),
    lambda piece: (-sorted(piece.sides)[1] * max(piece.sides), -piece.volume),
    lambda piece: (-sorted(piece.sides)[1], -piece.volume),
)
_ROUNDS_OF_ONE_LINE = 12


@lru_cache(maxsize=512)
def arrange(
    bags: tuple[Bag, ...], pieces: tuple[Piece, ...], likings: Likings, rules: Rules, most_steps: int, least: int = 0
) -> Arrangement:
    """Return what ``seek`` finds, less what the checker refuses: a packing with a fault in it is never shown."""
    found = seek(bags, pieces, likings, rules, most_steps, least)
    refused = {
        number for number, bag in enumerate(bags) if faults_of(bag, pieces, found.packings[number], rules)
    }  # fmt: skip
    if not refused:
        return found
    packings = tuple(Packing() if number in refused else one for number, one in enumerate(found.packings))
    left = {piece for number in refused for piece in found.packings[number].pieces}
    return Arrangement(packings, tuple(sorted({*found.left, *left})), found.steps)


def seek(
    bags: tuple[Bag, ...], pieces: tuple[Piece, ...], likings: Likings, rules: Rules, most_steps: int, least: int = 0
) -> Arrangement:
    """Return the best way found to put ``pieces`` into ``bags``: the one that leaves fewest, and the smallest, out.

    Args:
        bags: what there is to pack into.
        pieces: what there is to pack.
        likings: bags that each piece may go into; none means that it stays out.
        rules: what each packing must keep to.
        most_steps: how many times a piece may be tried in a bag. The round that uses them up is finished.
        least: how many of the pieces that a bag likes are known to stay out whatever is tried; once no more do, only
            a few rounds are spent on leaving the smaller ones.
    """
    steps = 0
    best = Arrangement(tuple(Packing() for _ in bags), tuple(range(len(pieces))), 0)
    best_worth = (len(pieces) + 1, 0.0)
    hard = [number for number, piece in enumerate(pieces) if not piece.soft and likings[number]]
    soft = sorted((n for n, piece in enumerate(pieces) if piece.soft and likings[n]), key=lambda n: -pieces[n].volume)
    never = [number for number, liked in enumerate(likings) if not liked]
    turns = [[np.array(fitting(bag, piece)) for piece in pieces] for bag in bags]
    seen: set[tuple[tuple[int, ...], Taste]] = set()
    for start, taste in _starts():
        line = sorted(hard, key=lambda number: (*_ORDERS[start](pieces[number]), number))
        for _ in range(_ROUNDS_OF_ONE_LINE):
            if (tuple(line), taste) in seen:
                break
            seen.add((tuple(line), taste))
            stacks = [Stack(bag, rules, len(hard)) for bag in bags]
            left, tried = _one_round(stacks, pieces, turns, likings, (*line, *soft), taste)
            steps += tried
            worth = (len(left), sum(pieces[number].volume for number in left))
            if worth < best_worth:
                packings = tuple(Packing(tuple(stack.placed), tuple(stack.gaps)) for stack in stacks)
                best, best_worth = Arrangement(packings, tuple(sorted((*left, *never))), steps), worth
            if not left or steps >= most_steps or (len(left) <= least and len(seen) > len(_TASTES)):
                return Arrangement(best.packings, best.left, steps)
            out = set(left)
            line = [*(n for n in line if n in out), *(n for n in line if n not in out)]
    return Arrangement(best.packings, best.left, steps)


def _starts() -> list[tuple[int, Taste]]:
    """Return every way to start a line with every taste, mixed so that early rounds differ most."""
    return [
        ((number + shift) % len(_ORDERS), taste)
        for shift in range(len(_ORDERS))
        for number, taste in enumerate(_TASTES)
    ]


def _one_round(
    stacks: Sequence[Stack],
    pieces: Sequence[Piece],
    turns: Sequence[Sequence[Floats]],
    likings: Likings,
    line: Sequence[int],
    taste: Taste,
) -> tuple[list[int], int]:
    """Pack all bags once; return the pieces that found no place, and the steps that it took."""
    left: list[int] = []
    steps = 0
    for number in line:
        piece = pieces[number]
        for bag in _lightest_first(stacks, likings[number]):
            steps += 1
            stack = stacks[bag]
            if stack.press(number, piece) if piece.soft else stack.lower(number, piece, turns[bag][number], taste):
                break
        else:
            left.append(number)
    return left, steps


def _lightest_first(stacks: Sequence[Stack], groups: Sequence[Sequence[int]]) -> Iterator[int]:
    """Yield bags group by group, within each the one first that weighs least so far."""
    for group in groups:
        yield from sorted(group, key=lambda bag: (stacks[bag].mass, bag))


def pack(bag: Bag, pieces: tuple[Piece, ...], rules: Rules, most_steps: int) -> Answer:
    """Return whether all ``pieces`` go into one bag: shown by a checked packing, none found, or impossible and why."""
    if reasons := reasons_against(bag, pieces):
        return Answer("cannot", reasons=reasons)
    found = arrange((bag,), pieces, (((0,),),) * len(pieces), rules, most_steps)
    if found.left:
        return Answer("none found", steps=found.steps)
    return Answer("shown", found.packings[0], steps=found.steps)
