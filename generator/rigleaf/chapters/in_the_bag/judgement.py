"""Findings: whether everything goes in, and whether the bags may carry it."""

from collections.abc import Sequence

from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding
from rigleaf.chapters.in_the_bag.packed import Packed, PackedBag
from rigleaf.chapters.in_the_bag.remedy import mend
from rigleaf.chapters.in_the_bag.words import count, names
from rigleaf.packing.boxes import Reason
from rigleaf.packing.necessary import goes_in_turned

FITS = "Whether it all goes in"
LOADS = "What the bags may carry"
MANY = 4
"""Pieces from which on a nearly full bag is hard to pack by hand."""


def all_in(assembly: Assembly, found: Packed) -> list[Finding]:
    """Judge whether everything goes into the bags, and say what could not be judged."""
    if not found.kit.bags:
        return [_without_bags(assembly, found)]
    unsaid = _unsaid(found)
    if found.left:
        return [_left(assembly, found), *unsaid]
    return unsaid or [_goes_in(assembly, found)]


def _without_bags(assembly: Assembly, found: Packed) -> Finding:
    if set(assembly.rig.travels) == {"stays put"}:
        return Finding("fits", "sound", FITS, "This rig stays put and needs no bag.", (), "packing-shown")
    sentence = "No bag is named, so it cannot be said whether everything goes in."
    remedy = "Name the bags or cases of this rig, with their inner sizes."
    if not found.kit.parts:
        remedy = "Name the parts of this rig and its bags, with their sizes."
    return Finding("fits", "unsaid", FITS, sentence, ("packed-volume",), "packing-shown", remedy)


def _goes_in(assembly: Assembly, found: Packed) -> Finding:
    pieces = sum(len(bag.contents) for bag in found.bags)
    if not pieces:
        sentence = "Nothing is left to go into a bag: all parts travel outside them or inside others."
        return Finding("fits", "sound", FITS, sentence, ("packed-volume",), "packing-shown")
    full = max((bag for bag in found.bags if bag.packing.pieces), key=_crowded)
    share = full.fill or 0.0
    into = count(sum(bool(bag.contents) for bag in found.bags), "bag")
    whole = f"All {pieces} pieces go into {into}" if pieces > 1 else "The one piece goes into its bag"
    state = "is the fullest, at" if len(found.bags) > 1 else "is full to"
    fullest = f"{full.bag.name} {state} {assembly.say(share, 'fraction')} of its room"
    behind, part = (f"fill-{full.bag.key}",), (full.bag.part.id,)
    if _crowded(full) <= 1 - assembly.choice("load_margin").value:
        sentence = f"{whole}; a packing is shown, and {fullest}."
        return Finding("fits", "sound", FITS, sentence, behind, "packing-shown", parts=part)
    remedy = "Pack it once at home by the plate before you count on it, or take less."
    sentence = f"{whole}; a packing is shown, but {fullest}."
    return Finding("fits", "tight", FITS, sentence, behind, "packing-shown", remedy, part)


def _crowded(bag: PackedBag) -> float:
    """Return the part of a bag's room that counts as used; few pieces fill it without effort."""
    return (bag.fill or 0.0) * (len(bag.packing.placed) >= MANY)


def _left(assembly: Assembly, found: Packed) -> Finding:
    """Return what is left over: because it cannot go in, or because no packing was found."""
    kit = found.kit
    mended = mend(assembly, found)
    behind = ("left-over", "packed-volume")
    words, ids = _why_not(assembly, found)
    if words:
        return Finding("fits", "fails", FITS, words, behind, "packing-cannot", mended.words, (*ids, *mended.parts))
    named, ids = names(kit.parts[number] for number in found.left)
    sentence = (
        f"No packing was found for {named} within {found.steps} steps; everything else is shown packed. "
        "There may still be one: people are better at this than a search."
    )
    if len(kit.measured) < len(kit.bags):
        unmeasured = listed([bag.name for bag in kit.bags if bag.inner is None])
        sentence = f"{named} did not go into the bags whose inner sizes are known, and that of {unmeasured} is unsaid."
        return Finding("fits", "unsaid", FITS, sentence, behind, "packing-shown", mended.words, (*ids, *mended.parts))
    return Finding("fits", "tight", FITS, sentence, behind, "packing-shown", mended.words, (*ids, *mended.parts))


def _why_not(assembly: Assembly, found: Packed) -> tuple[str, tuple[str, ...]]:
    """Return in words what is known to be impossible, and the ids of the parts named; nothing where nothing is."""
    kit = found.kit
    if found.never:
        named, ids = names(kit.parts[number] for number in found.never)
        first = found.never[min(found.never)]
        bags = sorted({bag for number in found.never for bag in kit.allowed(number)})
        where = kit.bags[bags[0]].name if len(bags) == 1 else "any of the bags"
        if len(found.never) == 1:
            why = _aslant(found) if first.kind == "aslant only" else _one(assembly, first)
            return f"{named} cannot go into {where}: {why}.{_besides(found)}", ids
        kinds = {reason.kind for reason in found.never.values()}
        why = "each is too long, too thick, too large or too heavy"
        if kinds == {"aslant only"}:
            why = "none lies along its sides, in any turn"
        elif "mass" not in kinds:
            why = "each is too long, too thick or too large"
        return f"{named} cannot go into {where}: {why}.{_besides(found)}", ids
    if not found.reasons:
        return "", ()
    which, reason = found.reasons[0]
    where = kit.bags[which[0]].name if len(which) == 1 else "the bags together"
    named, ids = names((kit.parts[number] for number in reason.pieces), 3)
    if reason.kind == "not both":
        return f"{named} cannot both go into {where}: side by side, they are too large in every direction.", ids
    if reason.kind == "mass":
        what = f"{assembly.say(reason.amount, 'mass')}, and {assembly.say(reason.room, 'mass')} is allowed"
        return f"What should go into {where} weighs {what}.", ()
    what = f"{assembly.say(reason.amount / 1e6, 'volume')} with its padding, and there is room for"
    return f"What should go into {where} takes {what} {assembly.say(reason.room / 1e6, 'volume')}.", ()


def _besides(found: Packed) -> str:
    """Return what found no room besides what cannot go in."""
    rest = [found.kit.parts[number] for number in found.left if number not in found.never]
    return f" Besides, no room was found for {names(rest)[0]}." if rest else ""


def _aslant(found: Packed) -> str:
    """Return what is known of the one piece that lies along the sides of no bag."""
    (number,) = found.never
    piece = found.kit.pieces[number]
    bags = [found.kit.bags[bag] for bag in found.kit.allowed(number)]
    alone = [bag.name for bag in bags if piece is not None and goes_in_turned(bag.to_pack(), piece)]
    aslant = f"aslant it would go into {alone[0]} if that were empty" if alone else "nothing shows that it does aslant"
    return f"it lies along the sides in no turn, and {aslant}"


def _one(assembly: Assembly, reason: Reason) -> str:
    """Return why one piece goes into no bag."""
    amount, room = assembly.say(reason.amount, "length"), assembly.say(reason.room, "length")
    match reason.kind:
        case "mass":
            weighs, limit = assembly.say(reason.amount, "mass"), assembly.say(reason.room, "mass")
            return f"it weighs {weighs}, and no more than {limit} is allowed"
        case "too long":
            return f"from corner to corner it measures {amount} with its padding, and the inside of the bag {room}"
        case "too thick":
            return f"its smallest side is {amount} with its padding, and the bag's is {room}"
    return "at no angle is there room for something so large, by its sides and faces"


def _unsaid(found: Packed) -> list[Finding]:
    """Return the finding about sizes that nobody has said; none where all are known."""
    kit = found.kit
    bags = [bag for bag in kit.bags if bag.inner is None]
    parts = found.unsized
    if not (bags or parts):
        return []
    sentences: list[str] = []
    cures: list[str] = []
    ids: list[str] = []
    if parts:
        named, ids_named = names(parts)
        ids += ids_named
        sentences.append(
            f"{count(len(parts), 'piece')} of {len(kit.parts)} {_have(len(parts))} no packed size ({named})"
        )
        cures.append("Measure the parts as they travel, along three sides, and give the size as 'packed'")
    if bags:
        named, ids_named = names(bag.part for bag in bags)
        ids += ids_named
        sentences.append(f"the inner size of {named} is unsaid")
        cures.append("Measure inside, padding in its place, between walls that do not give, and give it as 'inner'")
    text = listed(sentences)
    known = f"{text[0].upper()}{text[1:]}, so it cannot be said whether everything goes in."
    if not found.left and any(bag.packing.pieces for bag in found.bags):
        known += " What has a size is shown packed."
    remedy = ". ".join(cures) + "."
    return [Finding("sizes" if found.left else "fits", "unsaid", FITS if not found.left else "Sizes that are unsaid",
                    known, ("packed-volume",), "packing-shown", remedy, tuple(dict.fromkeys(ids)))]  # fmt: skip


def loads(assembly: Assembly, found: Packed) -> list[Finding]:
    """Judge the mass in each bag against what it may carry, where the rig leaves it to the search what each holds.

    What bags bear that say what they hold is judged where lifting and carrying are.
    """
    used = [bag for bag in found.bags if bag.contents]
    if not used or all(bag.bag.holds for bag in found.bags):
        return []
    margin = assembly.choice("load_margin").value
    limited = [(bag, limit.value) for bag in used if (limit := bag.bag.part.load_limit) is not None]
    over = [pair for pair in limited if pair[0].loaded > pair[1] * (1 + 1e-9)]
    near = [pair for pair in limited if pair not in over and pair[0].loaded > pair[1] * (1 - margin) * (1 + 1e-9)]
    for verdict, pairs in (("fails", over), ("tight", near)):
        if pairs:
            text = "; ".join(f"{bag.bag.name} holds {_of(assembly, bag, limit)}" for bag, limit in pairs)
            kept = f", and the guide leaves {assembly.say(margin, 'fraction')} unused" if verdict == "tight" else ""
            remedy = "Move something heavy into another bag, or leave it at home: seams and handles give way first."
            return [Finding("loads", verdict, LOADS, f"{text}{kept}.", _masses([bag for bag, _ in pairs]),  # type: ignore[arg-type]
                            "bag-load", remedy, _ids([bag for bag, _ in pairs]))]  # fmt: skip
    unknown = [bag for bag in used if bag.bag.part.load_limit is None]
    unweighed = [bag for bag in used if not bag.mass.complete]
    if unknown or unweighed:
        sentences = []
        if unknown:
            sentences.append(f"what {listed([bag.bag.name for bag in unknown])} may carry is unsaid")
        if unweighed:
            missing = sum(bag.mass.unsaid for bag in unweighed)
            where = listed([bag.bag.name for bag in unweighed])
            sentences.append(f"{count(missing, 'piece')} in {where} {_have(missing)} no mass")
        text = listed(sentences)
        remedy = "Look for the limit on the label or ask the maker; weigh the packed bag with a luggage scale."
        return [Finding("loads", "unsaid", LOADS, f"{text[0].upper()}{text[1:]}.", _masses(used), "bag-load",
                        remedy, _ids([*unknown, *unweighed]))]  # fmt: skip
    nearest, most = max(limited, key=lambda pair: pair[0].loaded / pair[1])
    close = f"{nearest.bag.name} is nearest, with {_of(assembly, nearest, most)}"
    sentence = f"Every bag holds less than it may carry; {close}."
    return [Finding("loads", "sound", LOADS, sentence, _masses([nearest]), "bag-load", "", (nearest.bag.part.id,))]


def _have(number: int) -> str:
    return "has" if number == 1 else "have"


def _of(assembly: Assembly, bag: PackedBag, limit: float) -> str:
    return f"{assembly.say(bag.loaded, 'mass')} of the {assembly.say(limit, 'mass')} that it may carry"


def _masses(bags: Sequence[PackedBag]) -> tuple[str, ...]:
    return tuple(f"mass-{bag.bag.key}" for bag in bags)


def _ids(bags: Sequence[PackedBag]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(bag.bag.part.id for bag in bags))
