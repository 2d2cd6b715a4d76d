"""What a rig packs, and into which bags: its parts as pieces with padding, and what travels outside all bags."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from rigleaf.catalogue.defaults import choice
from rigleaf.catalogue.models.carrying import Bag as BagPart
from rigleaf.catalogue.models.fields import Box
from rigleaf.catalogue.models.guide import Guide
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.rig import UsedBag
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.hands_and_back.loads import POCKET_KG
from rigleaf.packing.boxes import Bag, Piece, Rules
from rigleaf.packing.handling import is_fragile, is_inside_another, is_soft, is_upright, padding_of


@dataclass(frozen=True)
class RigBag:
    """One bag of a rig.

    Attributes:
        key: unique in the rig; the part's id, with a number from the second one on.
        name: what people call it; one of several is told by the heaviest thing that it is said to hold, or by a number.
        part: as it stands on the shelf.
        holds: ids of the parts that the rig says travel in it.
        most: largest mass in kg of what it holds that others allow, as carriers do; None where nobody limits it.
    """

    key: str
    name: str
    part: BagPart
    holds: frozenset[str]
    most: float | None = None

    @property
    def inner(self) -> Box | None:
        """Inner size in mm."""
        return self.part.inner

    @property
    def room(self) -> float:
        """Inner volume in mm3; nothing where the inner size is unsaid."""
        return self.inner.length * self.inner.width * self.inner.height if self.inner is not None else 0.0

    def to_pack(self, unused: float = 0.0) -> Bag:
        """Return it as the search takes it; ``unused`` is the part of its own load limit that is kept free."""
        own = self.part.load_limit
        limits = [own.value * (1 - unused)] if own is not None else []
        limits += [self.most] if self.most is not None else []
        return Bag(self.key, self.inner or (0.0, 0.0, 0.0), min(limits, default=None))


@dataclass(frozen=True)
class Kit:
    """Everything that a rig, or a journey, takes along.

    Attributes:
        bags: one for each bag.
        parts: one for each piece that goes into a bag.
        pieces: the same as boxes with padding; None where the packed size is unsaid.
        worn: what is worn or carried in pockets.
        loose: what travels outside all bags.
        inside: what travels inside another part.
        given: for each piece the numbers of the bags that may hold it, where that is known better than by what the
            bags say; empty where it is not.
    """

    bags: tuple[RigBag, ...]
    parts: tuple[Part, ...]
    pieces: tuple[Piece | None, ...]
    worn: tuple[Part, ...]
    loose: tuple[Part, ...]
    inside: tuple[Part, ...]
    given: tuple[tuple[int, ...], ...] = ()

    @property
    def measured(self) -> tuple[int, ...]:
        """Numbers of the bags whose inner size is known."""
        return tuple(number for number, bag in enumerate(self.bags) if bag.inner is not None)

    def allowed(self, number: int) -> tuple[int, ...]:
        """Return the numbers of the bags that may hold a piece: those given, or that say they hold it, or else all."""
        if self.given:
            return self.given[number]
        told = tuple(n for n, bag in enumerate(self.bags) if self.parts[number].id in bag.holds)
        return told or tuple(range(len(self.bags)))

    def told(self, number: int) -> bool:
        """Say whether the rig itself says which bag holds a piece."""
        return any(self.parts[number].id in bag.holds for bag in self.bags)


def rules_of(assembly: Assembly) -> Rules:
    """Return what packings must keep to, as the guide chooses."""
    return rules_of_guide(assembly.catalogue.guide)


def rules_of_guide(guide: Guide) -> Rules:
    """Return what packings of a guide must keep to."""
    return Rules(
        give=choice(guide, "padding").value,
        on_fragile=choice(guide, "on_fragile").value,
        gaps=choice(guide, "gap_share").value,
    )


def kit_of(assembly: Assembly) -> Kit:
    """Return what a rig packs and into which bags."""
    rig = assembly.rig
    held = {id_ for use in rig.bags for id_ in use.holds}
    all_told = bool(rig.bags) and all(use.holds for use in rig.bags)
    apart: dict[str, list[Part]] = {"worn": [], "loose": [], "inside": [], "packed": []}
    for item in assembly.items:
        if item.role != "bag":
            where = _where(item.part, rig.worn, rig.loose)
            if where == "packed" and all_told and item.part.id not in held:
                # As the chapter on carrying has it: what no bag names goes by hand, or into a pocket.
                mass = item.part.mass
                where = "worn" if mass is not None and mass.value < POCKET_KG else "loose"
            apart[where] += [item.part] * item.count
    usual = assembly.choice("padding").value
    pieces = tuple(piece_of(part, usual) for part in apart["packed"])
    return Kit(
        tuple(_bags(assembly)),
        tuple(apart["packed"]),
        pieces,
        tuple(apart["worn"]),
        tuple(apart["loose"]),
        tuple(apart["inside"]),
    )


def _where(part: Part, worn: tuple[str, ...], loose: tuple[str, ...]) -> str:
    if part.id in worn:
        return "worn"
    if part.id in loose:
        return "loose"
    return "inside" if is_inside_another(part) else "packed"


def piece_of(part: Part, usual: float) -> Piece | None:
    """Return a part as a box with its padding; ``usual`` is the padding in mm of what needs any and states none."""
    if part.packed is None:
        return None
    around = 2 * padding_of(part, usual)
    length, width, height = part.packed
    return Piece(
        part.id,
        (length + around, width + around, height + around),
        None if part.mass is None else part.mass.value,
        is_fragile(part),
        is_upright(part),
        is_soft(part),
    )


def _bags(assembly: Assembly) -> Iterator[RigBag]:
    uses = [use for use in assembly.rig.bags for _ in range(use.count)]
    several = Counter(use.part for use in uses)
    names = Counter(_name(assembly, use) for use in uses)
    seen = Counter[str]()
    for use in uses:
        part = assembly.catalogue.parts[use.part]
        if not isinstance(part, BagPart):
            continue
        seen[part.id] += 1
        key = part.id if seen[part.id] == 1 else f"{part.id}-{seen[part.id]}"
        name = part.name
        if several[part.id] > 1:
            name = _name(assembly, use)
            name = name if names[name] == 1 else f"{part.name}, no. {seen[part.id]}"
        yield RigBag(key, name, part, frozenset(use.holds))


def _name(assembly: Assembly, use: UsedBag) -> str:
    """Tell one of several bags by the heaviest thing that the rig says is in it."""
    held = [
        (item.part.mass.value * item.count, item.part.name)
        for item in assembly.items
        if item.part.id in use.holds and item.part.mass is not None
    ]
    name = assembly.catalogue.parts[use.part].name
    return f"{name} ({max(held)[1]})" if held else name
