"""The flight by which a rig is judged: one traveller, home state and that of the rig's place, the guide's carrier."""

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.catalogue.models.carrying import Bag
from rigleaf.catalogue.models.flight_fields import Stowage
from rigleaf.catalogue.models.guide import Place
from rigleaf.catalogue.states import state_of_zone
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_bag.packed import packed
from rigleaf.quantities import Reading
from rigleaf.rules.answers import Among, Answer, answer_party
from rigleaf.rules.articles import Article, articles_of
from rigleaf.rules.journey import Leg
from rigleaf.rules.register import Register, register_of


@dataclass(frozen=True)
class Flight:
    """What is judged: the leg, the rules, and what the traveller has along.

    ``places`` are the bags that the rig's way of travelling leaves. Each article of ``party`` knows the bag that it is
    in, where the rig says so.
    """

    leg: Leg
    register: Register
    carrier: Carrier | None
    places: tuple[Stowage, ...]
    party: tuple[Article, ...]

    def answers(self) -> tuple[Answer, ...]:
        """Return the answer to every article, in the bag that it is in."""
        return answer_party(self.party, (self.leg,), self.register)

    def better_bag(self, answer: Answer) -> tuple[Stowage, ...]:
        """Return where an article that stays home in its own bag may fly in another one; empty where it may not."""
        article = answer.article
        narrow = set(article.into) < set(self.places) and article.sort != "bag"
        if answer.word != "stays home" or answer.may_go or not narrow:
            return ()
        moved = self.instead(article, replace(article, into=self.places))
        return moved.where if moved.word == "may fly" else ()

    def instead(self, article: Article, other: Article) -> Answer:
        """Return the answer to another article that is taken in place of one."""
        return self.in_place_of(article)(other)

    def in_place_of(self, article: Article) -> Callable[[Article], Answer]:
        """Return what answers for another article that is taken in place of one; the rest is counted once."""
        rest = Among([one for one in self.party if one is not article], (self.leg,), self.register)
        return lambda other: rest.answer(other if other.into else replace(other, into=self.places))


def flies(assembly: Assembly) -> bool:
    """Say whether the rig is meant to fly."""
    return bool({"hand luggage", "hold luggage"} & set(assembly.rig.travels))


def flight_of(assembly: Assembly) -> Flight | None:
    """Return the flight by which the rig is judged, or None where no state is known from which it could leave."""
    guide = assembly.catalogue.guide
    home = assembly.catalogue.places.get(guide.place or "")
    states = tuple(dict.fromkeys(state for place in (home, assembly.place) if (state := state_of(place))))
    if not states:
        return None
    register = register_of(tuple(assembly.catalogue.rules.values()), guide.rules_read_on)
    carrier = assembly.catalogue.carriers.get(guide.carrier or "")
    places: tuple[Stowage, ...] = ("cabin", "hold") if "hold luggage" in assembly.rig.travels else ("cabin",)
    leg = Leg(_day(assembly, register), states, (carrier,) if carrier else ())
    return Flight(leg, register, carrier, places, tuple(_party(assembly, places)))


def state_of(place: Place | None) -> str | None:
    """Return the state in which a place lies, by its own word or by its time zone."""
    return None if place is None else place.state or state_of_zone(place.timezone)


def _day(assembly: Assembly, register: Register) -> dt.date:
    """Return the day of the rig's night, or the last day of which the rules are known; never today."""
    night = assembly.rig.night
    return night.date if night is not None and night.date is not None else register.known


def _party(assembly: Assembly, places: tuple[Stowage, ...]) -> Iterator[Article]:
    held = {id_: bag for bag in assembly.rig.bags for id_ in bag.holds}
    masses = _packed_masses(assembly)
    for item in assembly.items:
        into = places
        bag = assembly.catalogue.parts.get(held[item.part.id].part) if item.part.id in held else None
        if isinstance(bag, Bag) and bag.goes_in in ("cabin", "hold"):
            into = (bag.goes_in,)
        mass = masses.get(item.part.id) if item.role == "bag" else None
        yield from articles_of(item.part, item.count, packed_mass=mass, into=into)


def _packed_masses(assembly: Assembly) -> dict[str, Reading]:
    """Return the mass of each sort of bag as it is packed, the heaviest where there are several.

    A bag is left out where something is unsaid of what is in it, and all are where something is in none.
    """
    found = assembly.once(packed)
    if sum(len(bag.contents) for bag in found.bags) < len(found.kit.parts):
        return {}
    heaviest: dict[str, float] = {}
    unsure: set[str] = set()
    for bag in found.bags:
        id_ = bag.bag.part.id
        heaviest[id_] = max(heaviest.get(id_, 0.0), bag.mass.total)
        if not bag.mass.complete:
            unsure.add(id_)
    # Masses are exact decimals to the rules: noise of binary sums is cut off far below a gram.
    return {id_: Reading(round(mass, 6), "mass", "computed") for id_, mass in heaviest.items() if id_ not in unsure}
