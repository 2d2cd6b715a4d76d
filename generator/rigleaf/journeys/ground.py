"""Judgement of what does not depend on flights: loads of bags, what is carried on foot, numbers that the club owns."""

from collections.abc import Iterator, Sequence

from rigleaf.catalogue.models.trip import Trip
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.figures import Finding, Verdict
from rigleaf.chapters.hands_and_back.carry_study import ON_FOOT_EASY, ON_FOOT_MOST
from rigleaf.journeys.cargo import too_few
from rigleaf.journeys.result import BagStudy, TravellerStudy
from rigleaf.journeys.stowing import Stowed
from rigleaf.journeys.words import BY, named, say, upper_first, worst
from rigleaf.rules.articles import LOOSE

BAG_LOAD, ON_FOOT, ANSWER, COUNTED = "bag-load", "on-foot", "flight-answer", "mass-total"
"""Methods of the chapters by which journeys are judged too."""
BY_TIMETABLE = ("train", "bus", "ship")


def ground(
    trip: Trip, stowed: Stowed, people: Sequence[TravellerStudy], bags: Sequence[BagStudy]
) -> Iterator[Finding]:  # fmt: skip
    """Yield judgements of loads: bags against what they bear, travellers against what people carry."""
    if bags:
        yield _bags(stowed, bags)
    ways = {leg.by for leg in trip.legs}
    if "foot" in ways:
        yield _on_foot(stowed, people)
    elif ways.intersection(BY_TIMETABLE):
        yield _by_hand(stowed, trip, people)
    yield from _sent(stowed)
    yield from _waiting(stowed)
    if short := too_few(stowed.plan.cargo):
        names = listed([f"{named(one.part.name, one.count)} ({one.part.owned} owned)" for one in short])
        words = f"This journey asks for more than the club owns: {names}."
        cure = "Let the rigs share it, or borrow."
        parts = tuple(one.part.id for one in short)
        yield Finding("owned", "fails", "What the club owns", words, (), COUNTED, cure, parts)


def _bags(stowed: Stowed, bags: Sequence[BagStudy]) -> Finding:
    guide = stowed.plan.guide
    verdict = worst([bag.verdict for bag in bags])
    found = [bag for bag in bags if bag.verdict == verdict]
    title = "What the bags bear"
    if verdict == "unsaid":
        words = f"How the load of {listed([bag.name for bag in found])} stands against what it may carry is unsaid."
        cure = "State 'load_limit', and weigh what has no mass."
        return Finding("bag-loads", verdict, title, words, (), BAG_LOAD, cure)
    if verdict == "sound":
        heaviest = max(bags, key=lambda bag: (bag.mass, bag.key))
        words = f"All bags bear their load with room to spare; {heaviest.name} is the heaviest with "
        words += f"{say(guide, heaviest.mass, 'mass')}."
        return Finding("bag-loads", verdict, title, words, (), BAG_LOAD)
    bag = max(found, key=lambda bag: (bag.mass, bag.key))
    part = next(one.bag.part for one in stowed.plan.bags if one.key == bag.key)
    own = part.mass.value if part.mass is not None else 0.0
    most = part.load_limit.value if part.load_limit is not None else 0.0
    words = f"{bag.name} holds {say(guide, bag.mass - own, 'mass')} and may carry {say(guide, most, 'mass')}."
    return Finding("bag-loads", verdict, title, words, (), BAG_LOAD, "Let something of it travel in another bag.")


def _heaviest(people: Sequence[TravellerStudy]) -> tuple[TravellerStudy, str, str]:
    """Return who carries most, how to call this person at the beginning of a sentence, and whether it is a bound."""
    one = max(people, key=lambda one: (one.mass, one.id))
    who = upper_first(one.called) if len(people) > 1 else "One person"
    return one, who, "" if one.mass_complete else "at least "


def _on_foot(stowed: Stowed, people: Sequence[TravellerStudy]) -> Finding:
    guide = stowed.plan.guide
    one, who, least = _heaviest(people)
    verdict: Verdict = "fails" if one.mass > ON_FOOT_MOST else "tight" if one.mass > ON_FOOT_EASY else "sound"
    if verdict == "sound" and not one.mass_complete:
        verdict = "unsaid"
    words = (
        f"{who} carries {least}{say(guide, one.mass, 'mass')} on foot, bags included; a practised walker takes "
        f"{say(guide, ON_FOOT_EASY, 'mass')} easily and {say(guide, ON_FOOT_MOST, 'mass')} with effort, without tent, "
        "food and water."
    )
    cure = {
        "sound": "",
        "unsaid": "Weigh what has no mass.",
        "tight": "Take what this journey does not need out of the bags.",
        "fails": "Walk twice, pull a sledge or a cart, or share it among more people.",
    }[verdict]
    return Finding("on-foot", verdict, "On foot", words, (), ON_FOOT, cure)


def _by_hand(stowed: Stowed, trip: Trip, people: Sequence[TravellerStudy]) -> Finding:
    guide = stowed.plan.guide
    one, who, least = _heaviest(people)
    verdict: Verdict = "tight" if one.mass > ON_FOOT_MOST else "sound" if one.mass_complete else "unsaid"
    ways = list(dict.fromkeys(BY[leg.by] for leg in trip.legs if leg.by in BY_TIMETABLE))
    pieces = len(one.bags)
    words = (
        f"{who} travels {listed(ways)} with {pieces} {'bag' if pieces == 1 else 'bags'} and {least}"
        f"{say(guide, one.mass, 'mass')} in all."
    )
    cure = "Plan for lifts and time to change, or send a bag ahead." if verdict == "tight" else ""
    cure = "Weigh what has no mass." if verdict == "unsaid" else cure
    return Finding("by-hand", verdict, "Changing with all bags", words, (), ON_FOOT, cure)


def _sent(stowed: Stowed) -> Iterator[Finding]:
    """Say that loose batteries are nothing to put into a parcel."""
    plan = stowed.plan
    loose = [
        named(piece.part.name, piece.count)
        for piece in stowed.pieces
        if piece.bag is not None
        and plan.bags[piece.bag].spot == "sent ahead"
        and any(article.sort in LOOSE for article in plan.articles[piece.part.id])
    ]
    if loose:
        words = (
            f"{listed(loose)} would be sent ahead: lithium batteries travel as dangerous goods then, by rules of "
            "carriers of goods that were not read here."
        )
        cure = "Ask who carries it before you pack."
        yield Finding("sent", "unsaid", "Batteries sent ahead", words, (), ANSWER, cure)


def _waiting(stowed: Stowed) -> Iterator[Finding]:
    """Say what stays behind in the car where a flight begins."""
    bags = [bag.bag.name for bag in stowed.plan.bags if bag.spot == "car"]
    if stowed.plan.flights is not None and bags:
        words = f"{listed(bags)} {'goes' if len(bags) == 1 else 'go'} in the car and in no aeroplane."
        cure = "See that nothing of it is needed where you fly to, or let it fly."
        yield Finding("car-only", "tight", "Left in the car", words, (), ANSWER, cure)
