"""What would make a journey go, or go without asking: other spots, people, parts or bags, or leaving things."""

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.carrying import Bag
from rigleaf.catalogue.models.flight_fields import FlightWord
from rigleaf.catalogue.models.power import Battery
from rigleaf.catalogue.models.trip import Spot, Trip
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.figures import Verdict
from rigleaf.chapters.in_the_bag.kit import RigBag
from rigleaf.chapters.power_for_the_night.cells import rated_energy
from rigleaf.chapters.power_for_the_night.lightest import MOST_PIECES
from rigleaf.chapters.power_for_the_night.suited import lendable
from rigleaf.journeys.bags import TravelBag
from rigleaf.journeys.choosing import Plan, with_inside
from rigleaf.journeys.flights import Flights
from rigleaf.journeys.judging import Ruled
from rigleaf.journeys.power import Swap, evenings_of, hardest, in_place_of, rigs_with, through_the_nights
from rigleaf.journeys.result import WayKind, WayOut
from rigleaf.journeys.result_nights import NightStudy
from rigleaf.journeys.stowing import LeftOver
from rigleaf.journeys.trials import Desk, Tried, and_leave, outcome, rank
from rigleaf.journeys.words import named, names, say, upper_first
from rigleaf.rules.articles import LOOSE, articles_of
from rigleaf.rules.rulings import STRICTNESS

_MEND: tuple[WayKind, ...] = ("other spot", "other person", "swap", "other bag", "send ahead", "leave")


def ways_out(
    catalogue: Catalogue, trip: Trip, called: dict[str, str], first: Tried, nights: Sequence[NightStudy]
) -> tuple[WayOut, ...]:
    """Return what would mend a journey, the best first; nothing where everything goes without asking."""
    if not first.stowed.left and first.word in ("may fly", "sound"):
        return ()
    desk = Desk(catalogue, trip, called, first, nights)
    found = [*_bags_elsewhere(desk), *_swaps(desk), *_more_bags(desk), *_leaving_others(desk), *_leaving(desk)]
    going = [way for way in found if way.word not in ("stays home", "fails")]
    return tuple(sorted(going or found, key=_worth))


def _worth(way: WayOut) -> tuple[bool, bool, int, int]:
    """Sort ways out, the best first: leaving comes last, and what lets the batteries run out behind what does not."""
    short = way.energy is not None and way.energy < 0
    return way.kind == "leave", short, rank(way.word), _MEND.index(way.kind)


def _barred_bags(desk: Desk) -> list[Ruled]:
    judged = desk.first.judged
    return [one for one in (judged.ruled if judged else ()) if one.article.sort == "bag" and one.word == "stays home"]


def _bags_elsewhere(desk: Desk) -> Iterator[WayOut]:
    """Yield other spots and other people for bags that are too many, too large or too heavy where they are."""
    for one in _barred_bags(desk):
        if one.bag is None:
            continue
        bag = desk.plan.bags[one.bag]
        if bag.spot == "cabin":
            found = desk.try_out(_with_bag(desk.without_left(), one.bag, bag.going("hold")))
            if found is not None and found.goes:
                words = f"Give {bag.bag.name} into the hold{and_leave(desk)}: {outcome(found.word)}."
                yield WayOut("other spot", words, found.word, (bag.bag.part.id,))
        for who in desk.plan.people:
            if who != bag.traveller and not any(b.traveller == who and b.spot == bag.spot for b in desk.plan.bags):
                found = desk.try_out(_with_bag(desk.without_left(), one.bag, replace(bag, traveller=who)))
                if found is not None and found.goes:
                    words = f"Let {desk.called[who]} take {bag.bag.name}{and_leave(desk)}: {outcome(found.word)}."
                    yield WayOut("other person", words, found.word, (bag.bag.part.id,))
        yield from _other_bag(desk, one.bag, bag)


def _with_bag(plan: Plan, number: int, bag: TravelBag) -> Plan:
    return replace(plan, bags=(*plan.bags[:number], bag, *plan.bags[number + 1 :]))


def _shelf_bags(desk: Desk) -> list[Bag]:
    """Return the bags that the club owns beyond those of the journey, the lightest first."""
    used = Counter(bag.bag.part.id for bag in desk.plan.bags)
    found = [
        part
        for part in desk.catalogue.parts.values()
        if isinstance(part, Bag) and part.inner is not None and (part.owned or 0) > used[part.id]
    ]
    return sorted(found, key=lambda part: (part.mass.value if part.mass else 0.0, part.id))


def _other_bag(desk: Desk, number: int, bag: TravelBag) -> Iterator[WayOut]:
    """Yield the lightest bag of the shelf with which all goes where this one is barred."""
    flights = desk.plan.flights
    for part in _shelf_bags(desk):
        if flights is None or bag.place is None or part.goes_in != bag.spot:
            continue
        if flights.word(articles_of(part)[0], bag.place) == "stays home":
            continue
        new = TravelBag(RigBag(f"{part.id}-instead", part.name, part, bag.bag.holds), bag.traveller, bag.spot)
        found = desk.try_out(_with_bag(desk.without_left(), number, new))
        if found is None or found.goes:
            if found is not None:
                words = f"Take {part.name} in place of {bag.bag.name}{and_leave(desk)}: {outcome(found.word)}."
                yield WayOut("other bag", words, found.word, (part.id,))
            return


def _more_bags(desk: Desk) -> Iterator[WayOut]:
    """Yield one bag more, for what has no bag or no room: for the cabin only where the hold is barred."""
    wanted = [one for one in desk.first.stowed.left if one.why in ("no bag", "no room", "too heavy")]
    if not wanted:
        return
    ids = tuple(one.part.id for one in wanted)
    spot = _spot_for(desk, wanted)
    plan = desk.without_left(keep=ids)
    for part in _shelf_bags(desk):
        if desk.plan.flights is not None and (part.goes_in == "cabin") is not (spot == "cabin"):
            continue
        found = desk.try_out(replace(plan, bags=(*plan.bags, _bag_too(desk, part, spot))))
        if found is None:
            return
        if found.goes:
            place = f" for the {spot}" if spot in ("cabin", "hold") else ""
            words = f"Take {part.name} too{place}{and_leave(desk, ids)}: {outcome(found.word)}."
            yield WayOut("other bag", words, found.word, (part.id,))
            return


def _spot_for(desk: Desk, left: Sequence[LeftOver]) -> Spot:
    """Return where one bag more should go, so that what is left may be in it."""
    flights = desk.plan.flights
    if flights is None:
        return desk.plan.bags[0].spot if desk.plan.bags else desk.plan.outside
    articles = [article for one in left for article in with_inside(desk.plan, one.part)]
    return "cabin" if any(flights.word(article, "hold") == "stays home" for article in articles) else "hold"


def _bag_too(desk: Desk, part: Bag, spot: Spot) -> TravelBag:
    """Return one bag more, with who has fewest of those that go there."""
    bags = desk.plan.bags
    who = min(desk.plan.people, key=lambda who: (sum(b.traveller == who and b.spot == spot for b in bags), who))
    return TravelBag(RigBag(f"{part.id}-too", part.name, part, frozenset()), who, spot).going(spot)


def _cabin_bag(desk: Desk) -> TravelBag | None:
    """Return a bag for the cabin where the journey has none, the lightest of the club that all carriers let pass."""
    flights = desk.plan.flights
    if flights is None or any(bag.spot == "cabin" for bag in desk.plan.bags):
        return None
    for part in _shelf_bags(desk):
        if part.goes_in == "cabin" and "may fly" in flights.most_mass(articles_of(part)[0], "cabin"):
            return _bag_too(desk, part, "cabin")
    return None


def _asked_batteries(desk: Desk) -> list[LeftOver]:
    """Return loose batteries that must be asked about."""
    judged = desk.first.judged
    counts: Counter[str] = Counter()
    for one in judged.ruled if judged is not None else ():
        if one.part is not None and one.article.sort in LOOSE and one.word in ("ask first", "say more"):
            counts[one.part.id] += one.article.count
    return [LeftOver(desk.catalogue.parts[id_], count, "rule") for id_, count in sorted(counts.items())]


def _swaps(desk: Desk) -> Iterator[WayOut]:
    """Yield other batteries of the club in place of those that are left, or that must be asked about."""
    left = [one for one in desk.first.stowed.left if isinstance(one.part, Battery) and one.why in ("rule", "number")]
    for one in left or _asked_batteries(desk):
        if not isinstance(one.part, Battery):
            continue
        options = list(_options(desk, one.part))
        words: tuple[FlightWord, ...] = ("may fly", "ask first") if left else ("may fly",)
        for wanted in words:
            of_word = [option for option in options if option[0] == wanted]
            if of_word:
                _, count, part, _ = max(of_word, key=lambda option: (option[3], -option[1], option[2].id))
                yield from _swap(desk, one, part, count, only=wanted)
        if left:
            yield from _mixed_swap(desk, one, options)


_Option = tuple[FlightWord, int, Battery, float]


def _options(desk: Desk, old: Battery) -> Iterator[_Option]:
    """Yield batteries that could stand in: the word each has, how many may go with everybody, which, and their Wh."""
    plan = desk.plan
    if plan.flights is None:
        return
    rig = next(iter(rigs_with(desk.catalogue, desk.trip, old.id)), None)
    if rig is None:
        return
    for part in sorted(desk.catalogue.parts.values(), key=lambda part: part.id):
        if not isinstance(part, Battery) or part.id == old.id or not in_place_of(old, part):
            continue
        energy = rated_energy(part)
        if energy is None or not lendable(desk.catalogue, part):
            continue
        free = (1 if part.owned is None else part.owned) - plan.cargo.count(part.id)
        word, count = _most(desk, part, min(free, MOST_PIECES))
        if count:
            yield word, count, part, energy * count


def _most(desk: Desk, part: Battery, free: int) -> tuple[FlightWord, int]:
    """Return the mildest word and the most pieces of a battery with which it may go, shared among all."""
    plan = desk.plan
    assert plan.flights is not None  # noqa: S101 - asked before
    article = articles_of(part)[0]
    word = plan.flights.word(article, "cabin")
    if word not in ("may fly", "ask first"):
        return word, 0
    for count in range(free, 0, -1):
        answer = plan.flights.together(article, -(-count // len(plan.people)))
        if STRICTNESS[answer.word] <= STRICTNESS[word]:
            return word, count
    return word, 0


def _swap(desk: Desk, out: LeftOver, part: Battery, most: int, only: FlightWord) -> Iterator[WayOut]:
    """Yield the swap with as many pieces as go in."""
    judged, base = desk.first.judged, desk.without_left()
    # What else must be asked about does not speak against a swap.
    mildest = max(rank(only), rank(judged.rest)) if judged is not None and desk.first.stowed.left else rank(only)
    bag = _cabin_bag(desk)
    if bag is not None:
        base = replace(base, bags=(*base.bags, bag))
    for count in range(most, 0, -1):
        kept = base.cargo.count(out.part.id) - (0 if desk.first.stowed.left else out.count)
        new = {out.part.id: kept, part.id: base.cargo.count(part.id) + count}
        found = desk.try_out(replace(base, cargo=base.cargo.with_counts(new, desk.catalogue.parts)))
        if found is None:
            return
        if found.goes and rank(found.word) <= mildest:
            yield _swap_way(desk, out, [(part, count)], found, bag, kept)
            return


def _mixed_swap(desk: Desk, out: LeftOver, options: Sequence[_Option]) -> Iterator[WayOut]:
    """Yield the two sorts of batteries with most energy together, as many of each as go, where that beats one sort."""
    best = sorted(options, key=lambda option: (-option[3], option[2].id))[:2]
    if len(best) < 2:
        return
    base, bag = desk.without_left(), _cabin_bag(desk)
    base = replace(base, bags=(*base.bags, bag)) if bag is not None else base
    kept = base.cargo.count(out.part.id)
    counts = {part.id: count for _, count, part, _ in best}
    for _ in range(2):  # once to see how many of each go, and once to see that these do
        new = {id_: base.cargo.count(id_) + count for id_, count in counts.items()}
        found = desk.try_out(replace(base, cargo=base.cargo.with_counts(new, desk.catalogue.parts)))
        if found is None:
            return
        energy = sum(counts[part.id] * (rated_energy(part) or 0.0) for _, _, part, _ in best)
        if found.goes and energy > best[0][3]:
            yield _swap_way(desk, out, [(part, counts[part.id]) for _, _, part, _ in best], found, bag, kept)
            return
        for one in found.stowed.left:
            if one.part.id in counts:
                counts[one.part.id] -= one.count
        if min(counts.values()) < 1:
            return


def _swap_way(
    desk: Desk, out: LeftOver, new: Sequence[tuple[Battery, int]], found: Tried, bag: TravelBag | None, kept: int
) -> WayOut:  # fmt: skip
    """Return a swap that was tried and goes: new batteries with counts, and how many of the old ones are kept."""
    pieces = [(part.id, count) for part, count in new]
    swap: Swap = {out.part.id: (*pieces, *(((out.part.id, kept),) if kept else ()))}
    energy = _night_energy(desk, out.part.id, swap)
    also = f", with {bag.bag.name} for the cabin" if bag is not None else ""
    words = (
        f"Take {names([(part.name, count) for part, count in new])} in place of {named(out.part.name, out.count)}{also}"
        f"{and_leave(desk, (out.part.id,))}: {outcome(found.word)}{_night_words(desk, energy)}"
    )
    ids = (*(part.id for part, _ in new), out.part.id, *((bag.bag.part.id,) if bag is not None else ()))
    return WayOut("swap", words, found.word, ids, energy)


def _night_energy(desk: Desk, old: str, swap: Swap) -> float | None:
    """Return the Wh that the hardest night leaves with other batteries; None where that is unsaid."""
    found = []
    for rig in rigs_with(desk.catalogue, desk.trip, old):
        nights = through_the_nights(desk.catalogue, desk.trip, rig, _evenings(desk, rig.id), swap)
        least = hardest(nights)
        found.append(least.left if least is not None else None)
    known = [left for left in found if left is not None]
    return min(known) if known and len(known) == len(found) else None


def _evenings(desk: Desk, rig: str) -> tuple[dt.date, ...]:
    """Return the evenings that decide: the hardest where batteries are charged by day, else all."""
    known = [
        (one.left, night.date)
        for night in desk.nights
        for one in night.power
        if one.rig == rig and one.left is not None
    ]
    charged = desk.trip.nights is not None and desk.trip.nights.recharging
    return (min(known)[1],) if known and charged else evenings_of(desk.trip)


def _night_words(desk: Desk, energy: float | None) -> str:
    if energy is None:
        return "; whether the nights' energy suffices is unsaid."
    amount = say(desk.catalogue.guide, abs(energy), "energy")
    if energy >= 0:
        return f", and the hardest night still leaves {amount}."
    recharging = desk.trip.nights is None or desk.trip.nights.recharging
    whole = "the hardest night falls" if recharging else "without charging in between the nights fall"
    return f", but {whole} short by {amount}: observe for less time, or find power there."


def _leaving_others(desk: Desk) -> Iterator[WayOut]:
    """Yield other batteries of those that count together to leave at home, in place of those that are too many."""
    flights = desk.plan.flights
    for one in desk.first.stowed.left:
        if one.why != "number" or not isinstance(one.part, Battery) or flights is None:
            continue
        limits = _limits(desk, flights, one.part)
        for load in desk.plan.cargo.loads:
            other = load.part
            if not isinstance(other, Battery) or other.id == one.part.id or load.count < one.count:
                continue
            if not limits & _limits(desk, flights, other):
                continue
            plan = desk.without_left(keep=(one.part.id,))
            cargo = plan.cargo.with_counts({other.id: load.count - one.count}, desk.catalogue.parts)
            found = desk.try_out(replace(plan, cargo=cargo))
            if found is not None and found.goes:
                words = (
                    f"Leave {named(other.name, one.count)} at home in place of {named(one.part.name, one.count)}"
                    f"{and_leave(desk, (one.part.id,))}: {outcome(found.word)}"
                )
                energy, tail = _energy_without(desk, other, load.count - one.count)
                yield WayOut("leave", f"{words}{tail}", found.word, (other.id, one.part.id), energy)


def _limits(desk: Desk, flights: Flights, part: Battery) -> frozenset[str]:
    """Return what counts a battery: the pools of the limits of number that speak of it."""
    rules = [rule for article in desk.plan.articles[part.id] for rule in flights.limits(article)]
    return frozenset(f"{rule.authority} {rule.by} {rule.body.pool or rule.id}" for rule in rules)


def _energy_without(desk: Desk, part: Battery, kept: int) -> tuple[float | None, str]:
    """Return the Wh that the hardest night leaves with only some of a battery, and the end of a sentence of it."""
    rigs = rigs_with(desk.catalogue, desk.trip, part.id)
    if not rigs:
        return None, "."
    if kept:
        energy = _night_energy(desk, part.id, {part.id: ((part.id, kept),)})
        return energy, _night_words(desk, energy)
    named_rigs = listed([rig.name for rig in rigs])
    return None, f", but {named_rigs} {'has' if len(rigs) == 1 else 'have'} no power unless you hire a battery there."


def _leaving(desk: Desk) -> Iterator[WayOut]:
    """Yield what is left if it stays at home, or is sent ahead."""
    left = desk.first.stowed.left
    if not left:
        return
    judged = desk.first.judged
    rest: FlightWord | Verdict = judged.rest if judged is not None else "sound"
    ids = tuple(dict.fromkeys(one.part.id for one in left))
    sendable = [one for one in left if not isinstance(one.part, Battery) and one.part.kind != "liquid"]
    if sendable and len(sendable) == len(left):
        words = f"Send {names([(one.part.name, one.count) for one in left])} ahead: {outcome(rest)}."
        yield WayOut("send ahead", words, rest, ids)
    energy = None
    tail = "."
    batteries = [
        (one, one.part)
        for one in left
        if isinstance(one.part, Battery) and rigs_with(desk.catalogue, desk.trip, one.part.id)
    ]
    if batteries:
        one, battery = batteries[0]
        energy, tail = _energy_without(desk, battery, desk.plan.cargo.count(battery.id) - one.count)
    words = f"Leave {names([(one.part.name, one.count) for one in left])} at home: {outcome(rest)}{tail}"
    yield WayOut("leave", upper_first(words), rest, ids, energy)
