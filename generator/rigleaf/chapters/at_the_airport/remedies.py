"""What would mend an answer: another bag, another part of the shelf, another traveller, or whom to ask."""

import math
from collections.abc import Sequence
from dataclasses import replace

from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.at_the_airport.flight import Flight
from rigleaf.chapters.at_the_airport.loose import first_that
from rigleaf.chapters.at_the_airport.words import first_of
from rigleaf.chapters.in_the_bag.packed import packed
from rigleaf.rules.answers import Answer
from rigleaf.rules.articles import BATTERIES
from rigleaf.rules.sentences import PLACES, asks, plain

Remedy = tuple[str, tuple[str, ...]]


def remedy(assembly: Assembly, flight: Flight, group: Sequence[Answer]) -> Remedy:
    """Return what would mend the answers of a group, in words, and the ids of the parts that it names."""
    first = group[0]
    if first.word == "say more":
        return asks(first.article, first.missing)[1], ()
    if first.word == "ask first":
        return _ask(flight, first), ()
    if better := flight.better_bag(first):
        return f"Put it {first_of([PLACES[place] for place in better], 'or')}.", ()
    if first.may_go:
        return _share(group), ()
    return _other(assembly, flight, first)


def _ask(flight: Flight, answer: Answer) -> str:
    if answer.article.sort not in (*BATTERIES, "bag", "gas cartridge"):
        hold = "" if flight.places == ("cabin",) else ", or put it into the hold"
        return f"Ask the airport before the day{hold}."
    carrier = flight.carrier
    if carrier is not None and carrier.ask:
        return f"Ask {carrier.name}. {carrier.ask}"
    return "Ask the carrier in writing before you book, and take its answer along."


def _share(group: Sequence[Answer]) -> str:
    rulings = [ruling for answer in group for one in answer.places.values() for ruling in one.all]
    pools = [ruling.pool for ruling in rulings if ruling.over]
    most = max((math.ceil(pool.carried / (pool.allowed or 1)) for pool in pools if pool is not None), default=2)
    words = f"Share them among {most} travellers, or leave at home what is too many."
    asked = dict.fromkeys(text for answer in group if (text := _still_asked(answer)))
    return " ".join((words, *asked))


def _still_asked(answer: Answer) -> str:
    """Say that what is shared must be asked for all the same, where a rule wants it of each whatever their number."""
    asking = [
        ruling.rule.body
        for place in answer.where
        for ruling in answer.places[place].all
        if ruling.rule.body.word == "ask first" and not ruling.missing
    ]
    if not asking:
        return ""
    low = next((body.energy.low for body in asking if body.energy is not None and body.energy.low is not None), None)
    above = "of them" if low is None else f"above {plain(low)} Wh"
    return f"Each {above} still needs the carrier's approval."


def _other(assembly: Assembly, flight: Flight, answer: Answer) -> Remedy:
    """Propose a part of the club's that would do the same work and may fly."""
    part = assembly.catalogue.parts[answer.article.part]
    if (lighter := _lighter(assembly, answer)) is not None:
        return lighter
    if isinstance(part, Battery) and (best := _battery(assembly, flight, answer, part)) is not None:
        same = " has an outlet of the same sort and" if part.outlets else ""
        return f"{best.name}{same} may fly; the club owns {best.owned}.", (best.id,)
    if answer.article.sort in BATTERIES:
        return "Hire one at the destination, or have it sent as cargo by a shipper who is trained for it.", ()
    if answer.article.sort == "compressed gas":
        return "Leave it at home; a rubber bulb blows dust away as well.", ()
    in_hold = replace(answer.article, into=("hold",))
    if "hold" not in flight.places and flight.instead(answer.article, in_hold).word == "may fly":
        return "Leave it at home, or fly with a bag for the hold.", ()
    return "Leave it at home and get one at the destination.", ()


def _lighter(assembly: Assembly, answer: Answer) -> Remedy | None:
    """Return what to take out of a bag that is too heavy: the lightest piece that is enough, or how much in all."""
    limits, mass = answer.rule.body.mass, answer.article.mass
    if answer.article.sort != "bag" or limits is None or limits.low is None or not mass.exact:
        return None
    over = float(mass.least - limits.low)
    found = assembly.once(packed)
    inside = [
        found.kit.parts[number]
        for bag in found.bags
        if bag.bag.part.id == answer.article.part
        for number in bag.contents
    ]
    enough = [(part.mass.value, part) for part in inside if part.mass is not None and part.mass.value >= over]
    much = assembly.say(over, "mass")
    if not enough:
        return f"{much} must come out of it: spread its contents over two bags.", ()
    piece, part = min(enough, key=lambda pair: pair[0])
    words = (
        f"{much} must come out of it: put {part.name} ({assembly.say(piece, 'mass')}) elsewhere, or leave it at home."
    )
    return words, (part.id,)


def _battery(assembly: Assembly, flight: Flight, answer: Answer, part: Battery) -> Battery | None:
    """Return the battery of most energy that the club could lend in place of one; None where none may fly."""
    instead = flight.in_place_of(answer.article)
    taken = {item.part.id for item in assembly.items}
    return first_that(lambda article: instead(article).word == "may fly", assembly.catalogue, part, taken)
