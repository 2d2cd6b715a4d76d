"""Which bag a piece goes into by preference, where the rig does not say it: what a careful packer would try first."""

from collections.abc import Callable, Sequence
from functools import partial
from itertools import groupby

from rigleaf.catalogue.models.mounting import Mount, Tripod
from rigleaf.catalogue.models.optics import Optic
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.in_the_bag.kit import Kit
from rigleaf.packing.boxes import Bag, Piece
from rigleaf.packing.handling import CABIN, is_fragile
from rigleaf.packing.necessary import alone
from rigleaf.packing.search import Likings

_IRON: frozenset[str] = frozenset({"mount", "counterweight", "counterweight-bar", "tool", "fixing"})
"""Kinds that may scratch glass: they go with the mount rather than with the telescope."""


def likings_of(kit: Kit, bags: Sequence[Bag], numbers: Sequence[int], pieces: Sequence[Piece]) -> Likings:
    """Return for each piece the bags that may hold it, the most liked first.

    Tripod, telescope and mount each take the tightest bag that they go into. Glass then goes with the telescope, iron
    with the mount, and the rest into bags that hold none of them. Before all that, glass, computers and batteries go
    into the cabin and all else into the hold, where the rig has both. A bag into which a piece cannot go is left out.

    Args:
        kit: what the rig packs.
        bags: the measured bags.
        numbers: numbers in the kit of the pieces that are packed.
        pieces: the same as boxes.
    """
    places = {bag.part.goes_in for bag in kit.bags}
    flies = {"cabin", "hold"} <= places
    order = {number: place for place, number in enumerate(kit.measured)}
    allowed = [
        [order[bag] for bag in kit.allowed(number) if bag in order and alone(bags[order[bag]], piece) is None]
        for number, piece in zip(numbers, pieces, strict=True)
    ]
    kinds: tuple[type[Part], ...] = (Tripod, Optic, Mount)
    homes: dict[type[Part], int | None] = {}
    for kind in kinds:
        taken = set(homes.values())
        homes[kind] = _home(kind, kit, bags, numbers, pieces, allowed, taken)

    def cost(index: int, bag: int) -> tuple[int, int, float]:
        part = kit.parts[numbers[index]]
        misplaced = _misplaced(part, kit.bags[kit.measured[bag]].part.goes_in) if flies else 0
        return misplaced, _strange(part, bag, homes), -bags[bag].volume

    return tuple(_grouped(bags_allowed, partial(cost, index)) for index, bags_allowed in enumerate(allowed))


def _grouped(bags: Sequence[int], cost: Callable[[int], tuple[float, ...]]) -> tuple[tuple[int, ...], ...]:
    return tuple(tuple(group) for _, group in groupby(sorted(bags, key=cost), key=cost))


def _home(
    kind: type[Part],
    kit: Kit,
    bags: Sequence[Bag],
    numbers: Sequence[int],
    pieces: Sequence[Piece],
    allowed: Sequence[Sequence[int]],
    taken: set[int | None],
) -> int | None:
    """Return the tightest bag, best an empty one, into which the largest piece of a kind goes."""
    found = [index for index, number in enumerate(numbers) if isinstance(kit.parts[number], kind)]
    if not found:
        return None
    largest = max(found, key=lambda index: pieces[index].volume)
    return min(allowed[largest], key=lambda bag: (bag in taken, bags[bag].volume, bag), default=None)


def _misplaced(part: Part, goes_in: str | None) -> int:
    return int(goes_in != ("cabin" if is_fragile(part) or part.kind in CABIN else "hold"))


def _strange(part: Part, bag: int, homes: dict[type[Part], int | None]) -> int:
    """Return how little a piece belongs into a bag, by who lives there."""
    if isinstance(part, Tripod):
        return int(bag != homes[Tripod])
    glass, iron = bag == homes[Optic], bag == homes[Mount]
    if is_fragile(part):
        return 0 if glass else 2 if iron else 3 if bag == homes[Tripod] else 1
    if part.kind in _IRON:
        return 0 if iron else 3 if glass else 2 if bag == homes[Tripod] else 1
    return 1 if iron else 2 if glass else 3 if bag == homes[Tripod] else 0
