"""Everything that belongs to a rig, line by line, in the order in which it is packed."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from rigleaf.catalogue.catalogue import ROLES, Item, Role
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_bag.kit import RigBag, kit_of
from rigleaf.words import tr

WORN, LOOSE, NO_BAG = "Worn, or in pockets", "Outside all bags", "In no bag that is named"


@dataclass(frozen=True, slots=True)
class Line:
    """One sort of thing, or one bag.

    Attributes:
        key: unique in the rig, and the same from build to build.
        name: what people call it.
        part: as it stands on the shelf.
        count: how many of it.
        notes: what is special about it in this rig, and in which of several bags it may be.
    """

    key: str
    name: str
    part: Part
    count: int = 1
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """What travels together: a bag with what is in it, or what is in none. The bag is its own first line."""

    heading: str
    lines: tuple[Line, ...]
    bag: RigBag | None = field(default=None)

    @property
    def contents(self) -> tuple[Line, ...]:
        """The lines without the bag itself."""
        return self.lines[1:] if self.bag is not None else self.lines


def groups_of(assembly: Assembly) -> tuple[Group, ...]:
    """Return the parts of a rig, each in one group: bag by bag where the rig says what is in which, else by role."""
    rig = assembly.rig
    bags = kit_of(assembly).bags
    packed = {bag.part.id for bag in bags}
    by_role = [item for item in assembly.items if not (item.role == "bag" and item.part.id in packed)]
    waiting = _merged(by_role, packed)
    groups = list(_bags(assembly, bags, waiting))
    told = any(bag.holds for bag in bags)
    for heading, ids in ((WORN, rig.worn), (LOOSE, rig.loose)):
        lines = tuple(waiting.pop(id_)[1] for id_ in dict.fromkeys(ids) if id_ in waiting)
        groups += [Group(tr(heading), lines)] if lines else []
    if told:
        groups += [Group(NO_BAG, tuple(line for _, line in waiting.values()))] if waiting else []
    else:
        groups += [
            Group(tr(heading), lines)
            for role, heading in ROLES.items()
            if (lines := tuple(line for own, line in waiting.values() if own == role))
        ]
    return tuple(groups)


def _merged(items: Iterable[Item], packed: set[str]) -> dict[str, tuple[Role, Line]]:
    """Return a line for each part by its id, with the first of its roles: people count things, not roles."""
    found: dict[str, tuple[Role, Line]] = {}
    for item in items:
        id_, note = item.part.id, (item.note,) if item.note else ()
        if id_ in found:
            role, line = found[id_]
            found[id_] = role, replace(line, count=line.count + item.count, notes=(*line.notes, *note))
        else:
            key = f"{id_}--along" if id_ in packed else id_  # a bag that is carried besides those packed
            found[id_] = item.role, Line(key, item.part.name, item.part, item.count, note)
    return found


def _bags(assembly: Assembly, bags: Sequence[RigBag], waiting: dict[str, tuple[Role, Line]]) -> Iterator[Group]:
    """Yield a group for each bag; what it holds is taken from those that wait, in the order of the rig's own list."""
    notes = {use.part: use.note for use in assembly.rig.bags if use.note}
    order = [id_ for use in assembly.rig.bags for id_ in use.holds]
    for bag in bags:
        note = notes.get(bag.part.id) if sum(other.part is bag.part for other in bags) == 1 else None
        own = Line(bag.key, bag.name, bag.part, notes=(note,) if note else ())
        held = [waiting.pop(id_)[1] for id_ in dict.fromkeys(order) if id_ in bag.holds and id_ in waiting]
        lines = []
        for line in held:
            others = [other.name for other in bags if other is not bag and line.part.id in other.holds]
            where = (tr("Here, or in {listed}.", listed=listed(others, "or")),) if others else ()
            lines.append(replace(line, notes=(*line.notes, *where)))
        yield Group(bag.name, (own, *lines), bag)
