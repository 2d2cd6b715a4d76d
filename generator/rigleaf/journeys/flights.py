"""The flights of a journey: their laws, and what they say of one article at one place."""

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.flight_fields import FLIGHT_WORDS, FlightWord, Stowage
from rigleaf.catalogue.models.trip import Leg as TripLeg
from rigleaf.catalogue.models.trip import Spot, Trip
from rigleaf.rules.answers import Answer, answer_party
from rigleaf.rules.articles import LOOSE, Article
from rigleaf.rules.energy import one_value
from rigleaf.rules.journey import Counting, Law, Leg, laws_of_journey
from rigleaf.rules.matching import speaks
from rigleaf.rules.register import Register, Rule, register_of
from rigleaf.rules.rulings import STRICTNESS, strictest

NOWHERE = "ICAO"
"""Whose rules are asked on a leg that names no state: those that nearly all states keep."""


LawKey = frozenset[tuple[str, tuple[str, ...]]]
"""The laws of one leg: who makes each, and the ids of the rules in force."""


@dataclass(frozen=True)
class Flights:
    """The legs of a journey that fly.

    Attributes:
        register: the rules.
        legs: the flights.
        numbers: number of each among all legs, from 1.
    """

    register: Register
    legs: tuple[Leg, ...]
    numbers: tuple[int, ...]

    @cached_property
    def _by_law(self) -> dict[LawKey, Leg]:
        found: dict[LawKey, Leg] = {}
        for leg, laws in zip(self.legs, laws_of_journey(self.legs, self.register), strict=True):
            found.setdefault(frozenset((law.who, tuple(rule.id for rule in law.rules)) for law in laws), leg)
        return found

    @property
    def distinct(self) -> tuple[Leg, ...]:
        """The legs without those that keep to the same laws as another one, as the way back often does."""
        return tuple(self._by_law.values())

    @property
    def key(self) -> frozenset[LawKey]:
        """All laws of all legs; flights of one register with the same key answer alike."""
        return frozenset(self._by_law)

    def answers(self, party: Sequence[Article]) -> tuple[Answer, ...]:
        """Return the answers for everything that one person takes, counted together."""
        return answer_party(party, self.distinct, self.register)

    @cached_property
    def laws(self) -> tuple[Law, ...]:
        """Every law of every leg."""
        return tuple(law for laws in laws_of_journey(self.distinct, self.register) for law in laws)

    @cached_property
    def _alone(self) -> dict[tuple[Article, Stowage], Answer]:
        return {}

    def alone(self, article: Article, place: Stowage) -> Answer:
        """Return the answer to one article at one place, as if nothing else were carried."""
        one = replace(article, into=(place,), count=1)
        if (one, place) not in self._alone:
            self._alone[one, place] = self.answers((one,))[0]
        return self._alone[one, place]

    def together(self, article: Article, count: int) -> Answer:
        """Return the answer to several of one article with one person, where it fares best."""
        return self.answers((replace(article, into=(), count=count),))[0]

    def word(self, article: Article, place: Stowage) -> FlightWord:
        """Return the word of that answer."""
        return self.alone(article, place).at(place)

    def counted(self, article: Article) -> bool:
        """Say whether any law limits how many of such articles one person takes."""
        return any(rule.body.most is not None for law in self.laws for rule in law.about(article.sort))

    def limits(self, article: Article) -> tuple[Rule, ...]:
        """Return the limits of number that count such an article, or may."""
        return tuple(
            rule
            for law in self.laws
            for rule in law.about(article.sort)
            if rule.body.most is not None
            and any(speaks(rule.body, article, place)[0] is not False for place in rule.body.where)
        )

    def limit_exceeded(self, article: Article, party: Sequence[Article], travellers: int) -> Rule:
        """Return the tightest limit of number by which an article of a party is one too many for some travellers.

        Limits that only ask for an approval beyond them come last.
        """
        counts = Counting(party, self.laws, travellers).pools()
        return min(
            self.limits(article),
            key=lambda rule: (
                not counts[rule.id].over,
                strictest(rule.body.word, rule.body.beyond) != "stays home",
                counts[rule.id].allowed,
                bool(speaks(rule.body, article, rule.body.where[0])[1]),
            ),
        )

    def most_mass(self, bag: Article, place: Stowage) -> dict[FlightWord, Decimal | None]:
        """Return the largest mass in kg up to which a bag has each word at a place; None where nothing limits it.

        A word is left out where a bag of that size never has it, however light it is.
        """
        bounds = {
            bound
            for law in self.laws
            for rule in law.about("bag")
            if rule.body.mass is not None and place in rule.body.where
            for bound in (rule.body.mass.low, rule.body.mass.high)
            if bound is not None
        }
        marks = sorted(bounds)
        beyond = (marks[-1] + 1) if marks else Decimal(1)
        words = [(mark, self._at_mass(bag, place, mark)) for mark in (*marks, beyond)]
        found: dict[FlightWord, Decimal | None] = {}
        for word in FLIGHT_WORDS[:3]:
            under = [mark for mark, is_ in words if STRICTNESS[is_] <= STRICTNESS[word]]
            if under:
                found[word] = None if beyond in under else max(under)
        return found

    def _at_mass(self, bag: Article, place: Stowage, mass: Decimal) -> FlightWord:
        return self.word(replace(bag, mass=one_value(mass, "marked")), place)

    def changed(self, leg: int, other: Leg) -> "Flights":
        """Return the flights with another one in place of the one with that index."""
        return Flights(self.register, (*self.legs[:leg], other, *self.legs[leg + 1 :]), self.numbers)

    def only(self, leg: int) -> "Flights":
        """Return one flight by itself."""
        return Flights(self.register, (self.legs[leg],), (self.numbers[leg],))


def flights_of(catalogue: Catalogue, trip: Trip) -> Flights | None:
    """Return the flights of a journey, or None where nothing flies."""
    flying = [(number, leg) for number, leg in enumerate(trip.legs, 1) if leg.by == "plane"]
    if not flying:
        return None
    register = register_of(tuple(catalogue.rules.values()), catalogue.guide.rules_read_on)
    return Flights(
        register, tuple(flight(catalogue, leg) for _, leg in flying), tuple(number for number, _ in flying)
    )  # fmt: skip


def flight(catalogue: Catalogue, leg: TripLeg) -> Leg:
    """Return one leg as rules see it; its states sorted, so that of equal rules always the same one is cited."""
    carrier = catalogue.carriers.get(leg.carrier or "")
    found = Leg(leg.date, tuple(sorted(leg.states)), (carrier,) if carrier else ())
    return found if found.all_states else replace(found, states=(NOWHERE,))


def stowage(spot: Spot | None, article: Article | None = None) -> Stowage | None:
    """Return where rules see what goes to a spot; None for what no flight takes.

    Only loose batteries have rules of their own for pockets; all else that is worn passes the checkpoint of the cabin.
    """
    match spot:
        case "cabin" | "hold":
            return spot
        case "on the person":
            return "person" if article is not None and article.sort in LOOSE else "cabin"
    return None


def milder(one: FlightWord, other: FlightWord) -> bool:
    """Say whether a word is milder than another."""
    return STRICTNESS[one] < STRICTNESS[other]


def days_of_change(rules: Iterable[Rule], first: dt.date, last: dt.date) -> Iterator[dt.date]:
    """Yield the days, after ``first`` and up to ``last``, from which on another set of rules is in force."""
    for rule in rules:
        since, until = rule.body.since, rule.body.until
        for day in (since, until + dt.timedelta(days=1) if until else None):
            if day is not None and first < day <= last:
                yield day
