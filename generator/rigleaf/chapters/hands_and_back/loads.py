"""What is carried from the car to the spot: bags with what they hold, and what travels in no bag."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from rigleaf.catalogue.catalogue import Item
from rigleaf.catalogue.models.carrying import Bag
from rigleaf.catalogue.models.fields import Box
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.hands_and_back.physics import Grip
from rigleaf.chapters.what_it_weighs.physics import MassSum
from rigleaf.chapters.what_it_weighs.sums import sum_items

POCKET_KG = 0.5
"""What is lighter and in no bag goes into pockets; common practice, no source."""


@dataclass(frozen=True)
class Load:
    """One thing that a person picks up: a bag with what it holds, or a part by itself.

    Attributes:
        id: stable name inside the rig.
        name: what people call it, with its number where there are several.
        part: the bag, or the part itself.
        items: what it holds, or the part itself; the bag included.
        told: whether the rig says what the bag holds.
    """

    id: str
    name: str
    part: Part
    items: tuple[Item, ...]
    told: bool = True

    @property
    def mass(self) -> MassSum:
        """Its mass in all."""
        return sum_items(self.items)

    @property
    def contents(self) -> MassSum:
        """Mass of what it holds, without the bag."""
        return sum_items(item for item in self.items if item.role != "bag")

    @property
    def size(self) -> Box | None:
        """Its outer size."""
        if isinstance(self.part, Bag) and self.part.outer is not None:
            return self.part.outer
        return self.part.packed

    @property
    def grip(self) -> Grip:
        """How well hands hold it; fair where nothing is said."""
        return self.part.grip or "fair"


@dataclass(frozen=True)
class Carried:
    """Everything that is carried.

    ``loose`` is None where some bag does not say what it holds, so that nobody knows what is left outside;
    ``pockets`` are the small things among it.
    """

    bags: tuple[Load, ...]
    loose: tuple[Load, ...] | None
    pockets: tuple[Item, ...]

    @property
    def told(self) -> bool:
        """Whether every bag says what it holds."""
        return self.loose is not None

    @property
    def all(self) -> tuple[Load, ...]:
        """Bags and loose parts."""
        return (*self.bags, *(self.loose or ()))


def by_car(assembly: Assembly) -> bool:
    """Say whether a rig comes by car, so that it is carried in several walks; where nothing is said it does."""
    ways = assembly.rig.travels
    return not ways or "car" in ways


def stays_put(assembly: Assembly) -> bool:
    """Say whether a rig never leaves its place, so that nothing is packed and carried."""
    return set(assembly.rig.travels) == {"stays put"}


def carried(assembly: Assembly) -> Carried:
    """Return the loads of a rig.

    A part that one bag names travels there with all its pieces; where several bags name it they share its pieces
    one by one.
    """
    uses = [(use, assembly.catalogue.parts[use.part]) for use in assembly.rig.bags for _ in range(use.count)]
    pieces = [item for item in assembly.items if item.role != "bag"]
    total = Counter[str]()
    for item in pieces:
        total[item.part.id] += item.count
    named = defaultdict(list)
    for number, (use, _) in enumerate(uses):
        for id_ in dict.fromkeys(use.holds):
            named[id_].append(number)
    held: dict[int, Counter[str]] = {number: Counter() for number in range(len(uses))}
    for id_, numbers in named.items():
        for piece in range(total[id_]):
            held[numbers[piece % len(numbers)]][id_] += 1
    roles = {item.part.id: item for item in pieces}
    several = Counter(part.id for _, part in uses)
    seen = Counter[str]()
    bags = []
    for number, (use, part) in enumerate(uses):
        seen[part.id] += 1
        contents = tuple(roles[id_]._replace(count=count) for id_, count in held[number].items() if id_ in roles)
        name = _name(part, contents, seen[part.id]) if several[part.id] > 1 else part.name
        id_ = f"{part.id}-{seen[part.id]}" if several[part.id] > 1 else part.id
        bags.append(Load(id_, name, part, (Item("bag", part), *contents), bool(use.holds)))
    if not all(bag.told for bag in bags):
        return Carried(tuple(bags), None, ())
    outside = [item for item in _once(pieces, total) if item.part.id not in named]
    small = tuple(item for item in outside if item.part.mass is not None and item.part.mass.value < POCKET_KG)
    loose = tuple(load for item in outside if item not in small for load in _by_piece(item))
    return Carried(tuple(bags), loose, small)


def _name(part: Part, contents: tuple[Item, ...], number: int) -> str:
    """Tell one of several bags by the heaviest thing in it, or by its number."""
    known = [(item.part.mass.value * item.count, item.part.name) for item in contents if item.part.mass is not None]
    return f"{part.name} ({max(known)[1]})" if known else f"{part.name}, no. {number}"


def _once(pieces: list[Item], total: Counter[str]) -> Iterator[Item]:
    """Yield every part once, with all its pieces."""
    for id_, item in {item.part.id: item for item in pieces}.items():
        yield item._replace(count=total[id_])


def _by_piece(item: Item) -> Iterator[Load]:
    for number in range(1, item.count + 1):
        id_ = f"{item.part.id}-{number}" if item.count > 1 else item.part.id
        name = f"{item.part.name}, no. {number}" if item.count > 1 else item.part.name
        yield Load(id_, name, item.part, (item._replace(count=1),))


def weigh(items: Iterable[Item]) -> tuple[str, tuple[str, ...]]:
    """Return the remedy for what has no mass, with the ids of the parts that it names."""
    names = _without_mass(items)
    return f"Weigh {listed(f'the {name}' for name in names.values())}.", tuple(names)


def unweighed(items: Iterable[Item]) -> str:
    """Say what has no mass."""
    names = list(_without_mass(items).values())
    return f"Nobody has said what the {' and the '.join(names)} {'weighs' if len(names) == 1 else 'weigh'}."


def _without_mass(items: Iterable[Item]) -> dict[str, str]:
    return {item.part.id: item.part.name for item in items if item.part.mass is None}
