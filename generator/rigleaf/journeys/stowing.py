"""Which piece goes in which bag and with whom: what rules bar and numbers limit first, then a search for room."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from rigleaf.catalogue.defaults import choice
from rigleaf.catalogue.models.flight_fields import FLIGHT_WORDS, Stowage
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.in_the_bag.kit import Kit, piece_of, rules_of_guide
from rigleaf.chapters.in_the_bag.packed import Packed, pack_kit
from rigleaf.journeys.bags import TravelBag
from rigleaf.journeys.cargo import Load
from rigleaf.journeys.choosing import Choice, Plan, choose, in_pocket, why_nowhere
from rigleaf.journeys.flights import Flights, stowage
from rigleaf.journeys.result import LeftReason
from rigleaf.journeys.sharing import Counted, Shared, share
from rigleaf.packing.handling import CABIN, is_fragile, is_inside_another
from rigleaf.rules.articles import LOOSE, Article, articles_of


@dataclass(frozen=True)
class Piece:
    """Where some pieces of a part are: in a bag (its number), or with somebody outside all bags (None)."""

    part: Part
    count: int
    bag: int | None
    traveller: str


@dataclass(frozen=True)
class LeftOver:
    """Pieces of a part that cannot go along, and why."""

    part: Part
    count: int
    why: LeftReason


@dataclass(frozen=True)
class Stowed:
    """A plan carried out.

    Attributes:
        plan: the plan.
        pieces: where everything is that goes along.
        left: what does not.
        packed: the bags as packed.
        moved: ids of parts that a rule took out of the bag that the journey says.
        crowded: ids of parts that found no room there, or made it too heavy, and went elsewhere.
        spread: ids of parts of which somebody else takes some, as they are too many for whose bag the journey says.
    """

    plan: Plan
    pieces: tuple[Piece, ...]
    left: tuple[LeftOver, ...]
    packed: Packed
    moved: tuple[str, ...]
    crowded: tuple[str, ...]
    spread: tuple[str, ...] = ()


def stow(plan: Plan) -> Stowed:
    """Stow everything: the best way that was found, with what is left over in it."""
    outside, packable = _apart(plan)
    left: list[LeftOver] = []
    choices: dict[str, Choice] = {}
    for load in packable:
        chosen = choose(plan, load.part)
        if chosen.all or in_pocket(plan, load.part):
            choices[load.part.id] = chosen
        else:
            left.append(LeftOver(load.part, load.count, why_nowhere(plan, load.part)))
    shared = _shared(plan, outside, choices)
    takes, over = shared.takes, shared.over
    by_id = {load.part.id: load.part for load in plan.cargo.loads}
    left += [LeftOver(by_id[id_], count, "number") for id_, count in over.items()]
    units = list(_units(packable, choices, takes, over))
    packed, restrained, crowded = _pack(plan, units, choices)
    pieces = [replace(piece, count=n) for piece in outside if (n := piece.count - over.get(piece.part.id, 0))]
    inside = {number for one in packed.bags for number in one.contents}
    pieces += [
        Piece(units[number].part, 1, bag, plan.bags[bag].traveller)
        for bag, one in enumerate(packed.bags)
        for number in one.contents
    ]
    for number, unit in enumerate(units):
        if number in inside:
            continue
        if in_pocket(plan, unit.part):
            pieces.append(Piece(unit.part, 1, None, unit.traveller or plan.people[0]))
            continue
        left.append(LeftOver(unit.part, 1, "too heavy" if restrained[unit.part.id] else "no room"))
        restrained[unit.part.id] -= 1
    for one in _inside(plan, pieces):
        if isinstance(one, Piece):
            pieces.append(one)
        else:
            left.append(one)
    moved = tuple(id_ for id_, chosen in sorted(choices.items()) if chosen.moved)
    return Stowed(plan, tuple(_joined(pieces)), tuple(_summed(left)), packed, moved, crowded, shared.spread)


def _apart(plan: Plan) -> tuple[list[Piece], list[Load]]:
    """Return what travels outside all bags, and what is to be packed."""
    first = plan.people[0]
    outside: list[Piece] = []
    packable: list[Load] = []
    for load in plan.cargo.loads:
        id_ = load.part.id
        loose = plan.flights is None and (id_ in plan.cargo.loose or not plan.bags)
        if id_ in plan.cargo.worn or (loose and not is_inside_another(load.part)):
            outside.append(Piece(load.part, load.count, None, first))
        elif not is_inside_another(load.part):
            packable.append(load)
    return outside, packable


def _shared(plan: Plan, outside: Sequence[Piece], choices: Mapping[str, Choice]) -> Shared:
    """Return who takes how many of what numbers limit, and how many are too many."""
    if plan.flights is None:
        return Shared({}, {})
    counted = []
    for load in plan.cargo.loads:
        id_, chosen = load.part.id, choices.get(load.part.id)
        feeds = id_ in plan.cargo.sources
        for article in plan.articles[id_]:
            if not plan.flights.counted(article):
                continue
            if chosen is not None:
                wider = _places(plan, article, chosen.open)
                places = _places(plan, article, chosen.all)
                if article.sort in LOOSE and in_pocket(plan, load.part):
                    wider |= {who: "person" for who in plan.people if who not in wider}
                    places = places if chosen.pinned else wider
                counted.append(Counted(article, load.count, places, {**wider, **places}, chosen.pinned, feeds))
            for piece in outside:
                place = stowage("on the person", article)
                if piece.part.id == id_ and place is not None:
                    worn = {piece.traveller: place}
                    counted.append(Counted(article, piece.count, worn, worn, pinned=True, feeds=feeds))
    return share(plan.flights, counted)


def _places(plan: Plan, article: Article, bags: Sequence[int]) -> dict[str, Stowage]:
    """Return where each traveller could take an article in some bags."""
    found = [plan.bags[number] for number in bags if plan.bags[number].place is not None]
    return {bag.traveller: place for bag in found if (place := stowage(bag.spot, article)) is not None}


@dataclass(frozen=True)
class _Unit:
    """One piece to pack, and who must carry it; empty where anybody may."""

    part: Part
    traveller: str


def _units(
    packable: Sequence[Load],
    choices: Mapping[str, Choice],
    takes: Mapping[str, Mapping[str, int]],
    over: Mapping[str, int],
) -> Iterator[_Unit]:
    for load in packable:
        if load.part.id not in choices:
            continue
        if load.part.id not in takes:
            yield from [_Unit(load.part, "")] * (load.count - over.get(load.part.id, 0))
            continue
        for who, count in takes[load.part.id].items():
            yield from [_Unit(load.part, who)] * count


def _pack(
    plan: Plan, units: Sequence[_Unit], choices: Mapping[str, Choice]
) -> tuple[Packed, Counter[str], tuple[str, ...]]:  # fmt: skip
    """Pack everything.

    At first everything goes where it fares best and bags stay within what needs no asking. What is left over then
    may go wherever it is not barred, next out of the bag that the journey says, and at last all over again up to the
    masses beyond which carriers refuse a bag.

    Returns:
        The best packing found, of each part how many only the carriers' limits keep out, and the ids of parts that
        found no room where the journey says.
    """
    best = _try(plan, _kit(plan, units, choices, level=0))
    tried = {_same(best.kit)}
    crowded: frozenset[str] = frozenset()
    for level in (0, 1):
        for unpin in (False, True):
            if not best.left:
                return best, Counter(), tuple(sorted(crowded))
            loose = crowded | {best.kit.parts[n].id for n in best.left if choices[best.kit.parts[n].id].pinned}
            kit = _kit(plan, units, choices, wide=True, level=level, unpinned=loose if unpin else crowded)
            if _same(kit) in tried:
                continue
            tried.add(_same(kit))
            found = _try(plan, kit)
            if len(found.left) < len(best.left):
                best, crowded = found, loose if unpin else crowded
    if all(bag.most is None for bag in best.kit.bags):
        return best, Counter(), tuple(sorted(crowded))
    unlimited = _try(plan, _kit(plan, units, choices, wide=True, level=None, unpinned=crowded))
    tight, free = (Counter(one.kit.parts[number].id for number in one.left) for one in (best, unlimited))
    return best, tight - free, tuple(sorted(crowded))


def _same(kit: Kit) -> tuple[object, ...]:
    return kit.given, tuple(bag.most for bag in kit.bags)


def _try(plan: Plan, kit: Kit) -> Packed:
    return pack_kit(kit, rules_of_guide(plan.guide), plan.spare_load, plan.steps)


def _kit(
    plan: Plan,
    units: Sequence[_Unit],
    choices: Mapping[str, Choice],
    *,
    level: int | None,
    wide: bool = False,
    unpinned: frozenset[str] = frozenset(),
) -> Kit:
    """Return the kit of all units.

    Args:
        plan: the plan.
        units: what is to be packed.
        choices: the bags for each part.
        level: 0 keeps bags within what needs no asking, 1 within what is not refused; None knows no limits but theirs.
        wide: whether each may go in all bags that it is not barred from, or only where it fares best.
        unpinned: ids of parts that need not go where the journey says.
    """
    usual = choice(plan.guide, "padding").value
    bags = tuple(replace(bag.bag, most=_most(plan, bag, level)) for bag in plan.bags)
    parts = tuple(unit.part for unit in units)
    pieces = tuple(piece_of(part, usual) for part in parts)
    given = []
    for unit, piece in zip(units, pieces, strict=True):
        chosen = choices[unit.part.id]
        allowed = chosen.open if unit.part.id in unpinned else chosen.all if wide else chosen.best
        if unit.traveller:
            mine = tuple(n for n in allowed if plan.bags[n].traveller == unit.traveller)
            allowed = mine or tuple(n for n in chosen.open if plan.bags[n].traveller == unit.traveller)
        searchable = [n for n in allowed if plan.bags[n].bag.inner is not None]
        if allowed and (piece is None or not searchable):
            # Without a size no place can be searched: it counts in the bag where such things usually go.
            allowed = (min(allowed, key=lambda n: (_strange(plan, unit.part, n), n)),)
        given.append(allowed)
    return Kit(bags, parts, pieces, (), (), (), tuple(given))


def _strange(plan: Plan, part: Part, bag: int) -> int:
    cabin = is_fragile(part) or part.kind in CABIN
    return int((plan.bags[bag].spot == "cabin") is not cabin)


def _most(plan: Plan, bag: TravelBag, level: int | None) -> float | None:
    """Return the largest mass of what a bag holds that its carriers allow, in kg; None where they set no limit."""
    if level is None or plan.flights is None or bag.place is None:
        return None
    limit = limit_of(plan.flights, bag, level)
    own = bag.bag.part.mass.value if bag.bag.part.mass is not None else 0.0
    return None if limit is None else max(limit - own, 0.0)


def limit_of(flights: Flights, bag: TravelBag, level: int) -> float | None:
    """Return the largest mass of a bag as packed in kg that needs no asking (level 0) or is not refused (level 1)."""
    article, place = articles_of(bag.bag.part)[0], bag.place
    if place is None:
        return None
    marks = flights.most_mass(article, place)
    words = [word for word in FLIGHT_WORDS[:3] if word in marks]
    if not words:
        return None
    limit = marks[words[0] if level == 0 else ("ask first" if "ask first" in words else words[-1])]
    return None if limit is None else float(limit)


def _inside(plan: Plan, pieces: Sequence[Piece]) -> Iterator[Piece | LeftOver]:
    """Yield where installed batteries are: with what they are in; else in the bag where they fare best."""
    for load in plan.cargo.loads:
        if not is_inside_another(load.part) or load.part.id in plan.cargo.worn:
            continue
        host = plan.cargo.hosts.get(load.part.id)
        homes = [piece for piece in pieces if piece.part.id == host]
        if homes:
            yield Piece(load.part, load.count, homes[0].bag, homes[0].traveller)
            continue
        chosen = choose(plan, load.part)
        if plan.flights is None and not plan.bags:
            yield Piece(load.part, load.count, None, plan.people[0])
        elif host is not None or not chosen.all:
            yield LeftOver(load.part, load.count, why_nowhere(plan, load.part))
        else:
            yield Piece(load.part, load.count, chosen.best[0], plan.bags[chosen.best[0]].traveller)


def _summed(left: Sequence[LeftOver]) -> Iterator[LeftOver]:
    """Yield what is left of one part for one reason together, by id."""
    grouped: dict[tuple[str, LeftReason], list[LeftOver]] = defaultdict(list)
    for one in left:
        grouped[one.part.id, one.why].append(one)
    for _, together in sorted(grouped.items(), key=lambda one: one[0]):
        yield replace(together[0], count=sum(one.count for one in together))


def _joined(pieces: Sequence[Piece]) -> Iterator[Piece]:
    """Yield pieces of one part in one place together, by id, place and person."""
    grouped: dict[tuple[str, int, str], list[Piece]] = defaultdict(list)
    for piece in pieces:
        grouped[piece.part.id, -1 if piece.bag is None else piece.bag, piece.traveller].append(piece)
    for _, together in sorted(grouped.items(), key=lambda one: one[0]):
        yield replace(together[0], count=sum(piece.count for piece in together))
