"""The rig packed: what the search put into each bag, what is left over, and why."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_bag.kit import Kit, RigBag, kit_of, rules_of
from rigleaf.chapters.in_the_bag.likings import likings_of
from rigleaf.chapters.in_the_bag.physics import fill
from rigleaf.chapters.what_it_weighs.physics import Load, MassSum, sum_masses
from rigleaf.packing.boxes import Arrangement, Packing, Piece, Reason, Rules
from rigleaf.packing.layers import Pile, in_order, layers
from rigleaf.packing.necessary import alone, reasons_against, too_much
from rigleaf.packing.search import arrange

STEPS = 600
"""How many times a piece is tried in a bag before the search gives up: about a tenth of a second."""


@dataclass(frozen=True)
class PackedBag:
    """One bag and what is in it.

    Attributes:
        bag: the bag.
        packing: what the search put into it, by numbers in the kit and in the order of its layers; checked.
        told: numbers of what the rig says is in it, though its place could not be searched.
        mass: of the bag and all that is in it, in kg.
        volume: of all that is in it, padding included, in mm3; a lower bound where sizes are unsaid.
    """

    bag: RigBag
    packing: Packing
    told: tuple[int, ...]
    mass: MassSum
    volume: float

    @cached_property
    def layers(self) -> tuple[tuple[Pile, ...], ...]:
        """Its hard pieces in layers of piles from the bottom."""
        return layers(self.packing)

    @property
    def contents(self) -> tuple[int, ...]:
        """Numbers in the kit of all that is in it."""
        return (*self.packing.pieces, *self.told)

    @property
    def fill(self) -> float | None:
        """Part of its inner volume that is used, 0 to 1; None where its inner size is unsaid."""
        return fill(self.volume, self.bag.room) if self.bag.room else None

    @property
    def loaded(self) -> float:
        """Mass of what is in it, without the bag itself, in kg; a lower bound where masses are unsaid."""
        own = self.bag.part.mass
        return self.mass.total - (own.value if own is not None else 0.0)


@dataclass(frozen=True)
class Packed:
    """A rig packed.

    Attributes:
        kit: what there was to pack.
        bags: every bag with what is in it.
        left: numbers of the pieces that found no room.
        never: those of them that cannot lie along the sides of any bag that may hold them, with the reason.
        reasons: why the bags cannot hold all that they must, each with the bags that it is about.
        steps: how many steps the search took.
    """

    kit: Kit
    bags: tuple[PackedBag, ...]
    left: tuple[int, ...]
    never: dict[int, Reason]
    reasons: tuple[tuple[tuple[int, ...], Reason], ...]
    steps: int

    @property
    def unsized(self) -> tuple[Part, ...]:
        """Parts without a packed size, one for each piece."""
        return tuple(part for part, piece in zip(self.kit.parts, self.kit.pieces, strict=True) if piece is None)


def packed(assembly: Assembly) -> Packed:
    """Pack a rig. The same rig is always packed the same way."""
    return pack_kit(kit_of(assembly), rules_of(assembly), assembly.choice("load_margin").value)


def pack_kit(kit: Kit, rules: Rules, margin: float, most_steps: int = STEPS) -> Packed:
    """Pack a kit: so that ``margin`` of every load limit is left, or up to the limits where more goes in then."""
    measured = kit.measured
    searched, pieces = _searched(kit)
    never, reasons = known_against(kit)
    found = Arrangement(tuple(Packing() for _ in measured), tuple(range(len(pieces))), 0)
    steps = 0
    for unused in (margin, 0.0) if pieces and measured else ():
        part_loaded = tuple(kit.bags[number].to_pack(unused) for number in measured)
        if unused and any(reason.kind == "mass" for _, reason in known_against(kit, unused)[1]):
            continue
        likings = likings_of(kit, part_loaded, searched, pieces)
        tried = arrange(part_loaded, pieces, likings, rules, most_steps, min(len(reasons), 1))
        steps += tried.steps
        if len(tried.left) < len(found.left) or not steps:
            found = tried
        if len(found.left) <= likings.count(()) + min(len(reasons), 1) or all(b.limit is None for b in part_loaded):
            break
    packings = {bag: _renumbered(in_order(one), searched) for bag, one in zip(measured, found.packings, strict=True)}
    left = tuple(searched[index] for index in found.left)
    return Packed(
        kit,
        tuple(_bag(kit, number, packings.get(number, Packing()), searched) for number in range(len(kit.bags))),
        left,
        {number: reason for number, reason in never.items() if number in left},
        reasons,
        steps,
    )


def _renumbered(packing: Packing, numbers: Sequence[int]) -> Packing:
    """Return a packing whose pieces go by their numbers in the kit."""
    placed = tuple(replace(one, piece=numbers[one.piece]) for one in packing.placed)
    return Packing(placed, tuple(numbers[index] for index in packing.gaps))


def _bag(kit: Kit, number: int, packing: Packing, searched: Sequence[int]) -> PackedBag:
    bag = kit.bags[number]
    inside = packing.pieces
    # What is in a bag by the rig's word alone counts where only one bag can be meant.
    told = tuple(
        n
        for n in range(len(kit.parts))
        if n not in searched and kit.allowed(n) == (number,)
    )  # fmt: skip
    every = [bag.part, *(kit.parts[n] for n in (*inside, *told))]
    mass = sum_masses(
        Load(None) if part.mass is None else Load(part.mass.value, part.mass.basis, part.mass.uncertainty)
        for part in every
    )
    volume = sum(piece.volume for n in (*inside, *told) if (piece := kit.pieces[n]) is not None)
    return PackedBag(bag, packing, told, mass, volume)


def _searched(kit: Kit) -> tuple[list[int], tuple[Piece, ...]]:
    """Return the pieces whose place is searched, as numbers and as boxes: their size and that of a bag are known."""
    measured = set(kit.measured)
    found = [(n, piece) for n, piece in enumerate(kit.pieces) if piece is not None and set(kit.allowed(n)) & measured]
    return [number for number, _ in found], tuple(piece for _, piece in found)


def known_against(
    kit: Kit, unused: float = 0.0
) -> tuple[dict[int, Reason], tuple[tuple[tuple[int, ...], Reason], ...]]:
    """Return what is known without a search: pieces that no bag holds, and bags that cannot hold all they must.

    Args:
        kit: what is packed.
        unused: part of every load limit that is left.

    Returns:
        The reason against each piece that goes into no bag; and reasons against several, with the numbers of the bags.
    """
    searched, pieces = _searched(kit)
    bags = tuple(kit.bags[number].to_pack(unused) for number in kit.measured)
    never: dict[int, Reason] = {}
    order = {number: place for place, number in enumerate(kit.measured)}
    musts: dict[int, list[int]] = {place: [] for place in range(len(bags))}
    for index, number in enumerate(searched):
        allowed = [order[bag] for bag in kit.allowed(number) if bag in order]
        against = [alone(bags[bag], pieces[index], number) for bag in allowed]
        if len(allowed) == len(kit.allowed(number)) and all(against):
            # The reason in the bag that comes nearest to holding it.
            least = min((one for one in against if one), key=lambda one: (one.kind != "aslant only", -one.room))
            never[number] = least
        elif len(kit.allowed(number)) == 1:
            musts[allowed[0]].append(index)
    found: list[tuple[tuple[int, ...], Reason]] = []
    for place, indices in musts.items():
        held = [pieces[index] for index in indices]
        against_all = reasons_against(bags[place], held, [searched[index] for index in indices])
        found += [((kit.measured[place],), reason) for reason in against_all]
    if len(bags) > 1 and len(bags) == len(kit.bags):
        rest = [(number, piece) for number, piece in zip(searched, pieces, strict=True) if number not in never]
        limits = [bag.limit for bag in bags if bag.limit is not None]
        limit = sum(limits) if len(limits) == len(bags) else None
        found += [(kit.measured, reason) for reason in too_much(sum(bag.volume for bag in bags), limit, rest)]
    return never, tuple(found)
