"""What would mend a rig that does not go into its bags: a larger bag from the shelf, or what to leave out of them."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice

from rigleaf.catalogue.models.carrying import Bag as BagPart
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_bag.kit import RigBag, rules_of
from rigleaf.chapters.in_the_bag.packed import Packed, pack_kit
from rigleaf.chapters.in_the_bag.words import count, names

TRIAL_STEPS = 150
MOST_TRIALS = 6
MOST_HEAVIER = 2.0
"""A bag that weighs more than so many times as much, and a kilogram, is none to take instead."""


@dataclass(frozen=True, slots=True)
class Mend:
    """What would mend it, in words, and the parts that the words name."""

    words: str
    parts: tuple[str, ...]


def mend(assembly: Assembly, found: Packed) -> Mend:
    """Return what would make everything go in: another bag that the club owns, or leaving things out."""
    parts = [found.kit.parts[number] for number in found.left]
    named, ids = names(parts)
    least = fewest_to_leave(found)
    no_fewer = len(parts) == least
    leave = f"pack without {named}, which {'is' if len(parts) == 1 else 'are'} then carried outside or left at home"
    if no_fewer:
        leave += f" ({count(least, 'piece')} at least must stay out)"
    other = _other_bag(assembly, found)
    if other is None:
        return Mend(f"{leave[0].upper()}{leave[1:]}. No other bag of the club was found to take everything.", ids)
    return Mend(f"{other.words}; or {leave}.", (*other.parts, *ids))


def fewest_to_leave(found: Packed) -> int:
    """Return how many pieces must stay out at least, whatever is tried: by what goes into no bag, and by volume."""
    kit = found.kit
    if len(kit.measured) < len(kit.bags):
        return 0
    room = sum(bag.room for bag in kit.bags)
    volumes = sorted(
        (piece.volume for n, piece in enumerate(kit.pieces) if piece is not None and n not in found.never),
        reverse=True,
    )
    excess = sum(volumes) - room
    must = 0
    while excess > 1e-9 * room:
        excess -= volumes[must]
        must += 1
    return len(found.never) + must


def _other_bag(assembly: Assembly, found: Packed) -> Mend | None:
    """Return the first bag of the shelf with which everything goes in: in place of one, or as well."""
    margin = assembly.choice("load_margin").value
    for words, bags, part in islice(_changes(assembly, found), MOST_TRIALS):
        kit = replace(found.kit, bags=bags)
        if not pack_kit(kit, rules_of(assembly), margin, TRIAL_STEPS).left:
            return Mend(f"{words}: then everything is shown to go in", (part.id,))
    return None


def _changes(assembly: Assembly, found: Packed) -> Iterator[tuple[str, tuple[RigBag, ...], BagPart]]:
    """Yield other sets of bags, the smallest change first: in words, as bags, and the bag that is new."""
    bags = found.kit.bags
    shelf = sorted(_on_the_shelf(assembly, found), key=lambda pair: (_own_mass(pair[1]), pair[0]))
    for volume, part in shelf:
        for number, bag in enumerate(bags):
            heavy = _own_mass(part) > MOST_HEAVIER * _own_mass(bag.part) + 1.0
            if part.id != bag.part.id and part.goes_in == bag.part.goes_in and volume > bag.room and not heavy:
                new = replace(bag, key=f"{part.id}-instead", name=part.name, part=part)
                yield f"Take {part.name} in place of {bag.name}", (*bags[:number], new, *bags[number + 1 :]), part
    places = {bag.part.goes_in for bag in bags}
    for _, part in shelf:
        # A second bag for the cabin is rarely allowed.
        if part.goes_in != "cabin" and part.goes_in in places:
            extra = RigBag(f"{part.id}-too", part.name, part, frozenset())
            again = any(bag.part.id == part.id for bag in bags)
            yield f"Take one more {part.name}" if again else f"Take {part.name} too", (*bags, extra), part


def _own_mass(part: BagPart) -> float:
    return 0.0 if part.mass is None else part.mass.value


def _on_the_shelf(assembly: Assembly, found: Packed) -> Iterator[tuple[float, BagPart]]:
    """Yield inner volume and bag of all that the club owns beyond what this rig takes."""
    used = Counter(bag.part.id for bag in found.kit.bags)
    for part in assembly.catalogue.parts.values():
        if isinstance(part, BagPart) and part.inner is not None:
            owned = 1 if part.owned is None else part.owned
            if owned > used[part.id]:
                yield part.inner.length * part.inner.width * part.inner.height, part
