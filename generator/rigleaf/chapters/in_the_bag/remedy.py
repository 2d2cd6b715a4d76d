"""What would mend a rig that does not go into its bags: a larger bag from the shelf, or what to leave out of them."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.carrying import Bag as BagPart
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_bag.kit import Kit, RigBag, piece_of, rules_of
from rigleaf.chapters.in_the_bag.packed import Packed, known_against, pack_kit
from rigleaf.chapters.in_the_bag.words import count, names
from rigleaf.chapters.shelf import Row, row_of

TRIAL_STEPS = 150
MOST_TRIALS = 4
MOST_HEAVIER = 2.0
"""A bag that weighs more than so many times as much, and a kilogram, is none to take instead."""


@dataclass(frozen=True, slots=True)
class Mend:
    """What would mend it, in words, and the parts that the words name."""

    words: str
    parts: tuple[str, ...]


def mend(assembly: Assembly, found: Packed) -> Mend:
    """Return what would make everything go in: another place for what is left, other bags, or leaving things out."""
    parts = [found.kit.parts[number] for number in found.left]
    named, ids = names(parts)
    least = fewest_to_leave(found)
    leave = f"pack without {named}, which {'is' if len(parts) == 1 else 'are'} then carried outside or left at home"
    if len(parts) == least:
        leave += f" ({count(least, 'piece')} at least must stay out)"
    other = _elsewhere(assembly, found) or _thinner(assembly, found) or _other_bag(assembly, found)
    if other is None:
        return Mend(f"{leave[0].upper()}{leave[1:]}. No other bag of the club was found to take everything.", ids)
    return Mend(f"{other.words}: then everything is shown to go in; or {leave}.", (*other.parts, *ids))


def _elsewhere(assembly: Assembly, found: Packed) -> Mend | None:
    """Return into which bags of the rig the pieces left over go, where the rig says others for them."""
    moved = {found.kit.parts[number].id for number in found.left if found.kit.told(number)}
    if not moved:
        return None
    bags = tuple(replace(bag, holds=bag.holds - moved) for bag in found.kit.bags)
    again = _again(assembly, replace(found.kit, bags=bags))
    if again is None:
        return None
    put: dict[str, list[Part]] = {}
    for bag in again.bags:
        put.setdefault(bag.bag.name, []).extend(
            found.kit.parts[n] for n in bag.packing.pieces if found.kit.parts[n].id in moved
        )
    words = [f"{names(parts)[0]} into {name}" for name, parts in put.items() if parts]
    ids = tuple(id_ for parts in put.values() for id_ in names(parts)[1])
    return Mend(f"Put {listed(words)} instead", ids)


def _thinner(assembly: Assembly, found: Packed) -> Mend | None:
    """Return how much thinner padding would do."""
    usual = assembly.choice("padding").value
    for padding in (usual / 2, 0.0) if usual else ():
        pieces = tuple(
            None if piece is None else piece_of(part, padding)
            for part, piece in zip(found.kit.parts, found.kit.pieces, strict=True)
        )
        if _again(assembly, replace(found.kit, pieces=pieces)):
            thin = f"Pad with {assembly.say(padding, 'length')} instead of {assembly.say(usual, 'length')}"
            return Mend(thin if padding else "Leave out the padding where bags are padded themselves", ())
    return None


def _again(assembly: Assembly, kit: Kit) -> Packed | None:
    """Return another kit packed, or None where not everything goes in."""
    if any(known_against(kit)):
        return None
    found = pack_kit(kit, rules_of(assembly), assembly.choice("load_margin").value, TRIAL_STEPS)
    return None if found.left else found


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
    for words, bags, part in islice(_changes(assembly, found), MOST_TRIALS):
        if _again(assembly, replace(found.kit, bags=bags)):
            return Mend(words, (part.id,))
    return None


def _changes(assembly: Assembly, found: Packed) -> Iterator[tuple[str, tuple[RigBag, ...], BagPart]]:
    """Yield other sets of bags, the smallest change first: in words, as bags, and the bag that is new."""
    bags = found.kit.bags
    row, used = assembly.catalogue.once(_lightest_first), Counter(bag.part.id for bag in bags)
    for bag in bags:
        _own_mass(bag.part)  # it counts, and is noted as read
    volumes, masses = row.numbers["volume"], row.numbers["mass"]
    heaviest = max((MOST_HEAVIER * _own_mass(bag.part) + 1.0 for bag in bags), default=0.0)
    larger = (volumes > min((bag.room for bag in bags), default=0.0)) & (masses <= heaviest)
    for part in row.which(larger):
        if _owned(part) <= used[part.id]:
            continue
        volume = _volume(part)
        for number, bag in enumerate(bags):
            heavy = _own_mass(part) > MOST_HEAVIER * _own_mass(bag.part) + 1.0
            if part.id != bag.part.id and part.goes_in == bag.part.goes_in and volume > bag.room and not heavy:
                new = replace(bag, key=f"{part.id}-instead", name=part.name, part=part)
                yield f"Take {part.name} in place of {bag.name}", (*bags[:number], new, *bags[number + 1 :]), part
    places = {bag.part.goes_in for bag in bags}
    for part in row.which(volumes >= 0):
        if _owned(part) <= used[part.id]:
            continue
        # A second bag for the cabin is rarely allowed.
        if part.goes_in != "cabin" and part.goes_in in places:
            extra = RigBag(f"{part.id}-too", part.name, part, frozenset())
            again = any(bag.part.id == part.id for bag in bags)
            yield f"Take one more {part.name}" if again else f"Take {part.name} too", (*bags, extra), part


def _own_mass(part: BagPart) -> float:
    return 0.0 if part.mass is None else part.mass.value


def _owned(part: BagPart) -> int:
    return 1 if part.owned is None else part.owned


def _volume(part: BagPart) -> float:
    return part.inner.length * part.inner.width * part.inner.height if part.inner is not None else 0.0


def _lightest_first(catalogue: Catalogue) -> Row[BagPart]:
    """Return the bags of which the inner size is known, by their own mass and their volume."""
    return row_of(
        catalogue,
        BagPart,
        lambda one: (_own_mass(one), _volume(one)),
        {"volume": _volume, "mass": _own_mass},
        lambda one: one.inner is not None,
    )
