"""Which bags may hold each thing: where rules let it go, where it fares best, and what the journey says."""

from dataclasses import dataclass
from functools import cached_property

from rigleaf.catalogue.defaults import choice
from rigleaf.catalogue.models.flight_fields import FlightWord
from rigleaf.catalogue.models.guide import Guide
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.trip import Spot
from rigleaf.chapters.hands_and_back.loads import POCKET_KG
from rigleaf.chapters.in_the_bag.packed import STEPS
from rigleaf.journeys.bags import TravelBag
from rigleaf.journeys.cargo import Cargo
from rigleaf.journeys.flights import Flights, stowage
from rigleaf.journeys.result import LeftReason
from rigleaf.rules.articles import Article, articles_of
from rigleaf.rules.rulings import STRICTNESS, strictest

POCKET_MM = 200.0
"""Longest side of what goes into a pocket; common practice, no source."""


@dataclass(frozen=True)
class Plan:
    """What is to be stowed, in which bags, with whom, for which flights (None where nothing flies).

    ``outside`` is where things go that are in no bag. ``renamed`` takes batteries of which the class is in doubt
    for what else they may be.
    """

    guide: Guide
    people: tuple[str, ...]
    cargo: Cargo
    bags: tuple[TravelBag, ...]
    flights: Flights | None
    outside: Spot = "on the person"
    steps: int = STEPS
    renamed: bool = False

    @property
    def spare_load(self) -> float:
        """Part of a bag's own load limit that the guide leaves unused."""
        return choice(self.guide, "load_margin").value

    @cached_property
    def articles(self) -> dict[str, tuple[Article, ...]]:
        """What rules see in each part of the cargo, by its id."""
        found = {load.part.id: articles_of(load.part) for load in self.cargo.loads}
        if not self.renamed:
            return found
        return {id_: tuple(article.called_otherwise for article in articles) for id_, articles in found.items()}


@dataclass(frozen=True)
class Choice:
    """Bags for one part.

    Those where it fares best, all that it may go in by the journey's word, all that rules let it go in; whether the
    journey pins it, and whether a rule moved it.
    """

    best: tuple[int, ...]
    all: tuple[int, ...]
    open: tuple[int, ...]
    pinned: bool
    moved: bool


def with_inside(plan: Plan, part: Part) -> tuple[Article, ...]:
    """Return what rules see in a part and in the batteries that are installed in it."""
    inside = [id_ for id_, host in plan.cargo.hosts.items() if host == part.id]
    return (*plan.articles[part.id], *(article for id_ in sorted(inside) for article in plan.articles.get(id_, ())))


def word_in(plan: Plan, part: Part, bag: TravelBag) -> FlightWord:
    """Return the word for a part in a bag, what is installed in it counted; what does not fly may go anywhere."""
    if plan.flights is None or bag.place is None:
        return "may fly"
    found = []
    for article in with_inside(plan, part):
        place = stowage(bag.spot, article)
        found += [plan.flights.word(article, place)] if place is not None else []
    return strictest(*found)


def choose(plan: Plan, part: Part) -> Choice:
    """Return the bags in which a part may go.

    What the journey pins goes where it says, unless a rule bars it from there and not from another bag. Bags that fly
    with nobody, in the car or sent ahead, hold only what is pinned to them.
    """
    pinned = [number for number, bag in enumerate(plan.bags) if part.id in bag.bag.holds]
    flying = [n for n, bag in enumerate(plan.bags) if plan.flights is None or bag.place is not None]
    words = {n: word_in(plan, part, plan.bags[n]) for n in dict.fromkeys((*pinned, *flying))}
    held = [n for n in pinned if words[n] != "stays home"]
    free = [n for n in flying if words[n] != "stays home"]
    usable = held or free
    if not usable:
        return Choice((), (), (), bool(pinned), False)
    mildest = min(STRICTNESS[words[n]] for n in usable)
    best = tuple(n for n in usable if STRICTNESS[words[n]] == mildest)
    return Choice(best, tuple(usable), tuple(free), bool(held), bool(pinned) and not held)


def why_nowhere(plan: Plan, part: Part) -> LeftReason:
    """Say whether rules bar a part everywhere, or only from the bags that there are."""
    if plan.flights is None:
        return "no bag"
    words = [
        strictest(*(plan.flights.word(article, place) for article in with_inside(plan, part)))
        for place in ("cabin", "hold")
    ]
    return "rule" if all(word == "stays home" for word in words) else "no bag"


def in_pocket(plan: Plan, part: Part) -> bool:
    """Say whether something is so small that it goes into a pocket, and may, where no bag has room for it."""
    light = part.mass is not None and part.mass.value <= POCKET_KG
    short = part.packed is not None and max(part.packed) <= POCKET_MM
    if not (light and short):
        return False
    if plan.flights is not None:
        for article in plan.articles[part.id]:
            place = stowage("on the person", article)
            if place is None or plan.flights.word(article, place) == "stays home":
                return False
    return True
