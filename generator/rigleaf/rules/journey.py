"""A journey: its legs, each with a day, the states that it touches and its carriers, and whose rules hold on them.

All rules of all legs are asked, and the strictest answer counts: what is packed in one bag stays in it.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.catalogue.models.flight_fields import ArticleSort
from rigleaf.rules.articles import Article
from rigleaf.rules.carriers import rules_of
from rigleaf.rules.matching import speaks
from rigleaf.rules.register import Register, Rule


@dataclass(frozen=True, slots=True)
class Leg:
    """One flight.

    Attributes:
        on: day of the flight.
        states: every state touched (departure, transit, arrival) by its two letters; a body such as "ICAO" may stand
            for one.
        carriers: who operates it, not who sold the ticket. The state that licenses a carrier counts as touched.
    """

    on: dt.date
    states: tuple[str, ...]
    carriers: tuple[Carrier, ...] = ()

    @property
    def all_states(self) -> tuple[str, ...]:
        """The states touched and those that license the carriers, each once."""
        licensed = (carrier.state for carrier in self.carriers if carrier.state)
        return tuple(dict.fromkeys((*self.states, *licensed)))


@dataclass(frozen=True)
class Law:
    """The rules of one state, or of one carrier, in force on one day, by the sort of article that they speak of.

    ``who`` names the state or carrier. A law of a carrier has no fallbacks.
    """

    who: str
    rules: tuple[Rule, ...]
    by_sort: dict[ArticleSort, tuple[Rule, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        sorts = dict.fromkeys(sort for rule in self.rules for sort in rule.body.of)
        found = {sort: tuple(rule for rule in self.rules if sort in rule.body.of) for sort in sorts}
        object.__setattr__(self, "by_sort", found)

    def about(self, sort: ArticleSort) -> tuple[Rule, ...]:
        """Return the rules that speak of a sort of article."""
        return self.by_sort.get(sort, ())


@lru_cache(maxsize=256)
def _law_of_state(register: Register, state: str, on: dt.date) -> Law:
    return Law(register.name(state), register.in_force(state, on))


@lru_cache(maxsize=256)
def _law_of_carrier(carrier: Carrier, on: dt.date) -> Law:
    return Law(carrier.name, tuple(rule for rule in rules_of(carrier) if rule.in_force(on)))


def laws(leg: Leg, register: Register) -> tuple[Law, ...]:
    """Return the laws that hold on a leg, those of states first."""
    own = [_law_of_carrier(carrier, leg.on) for carrier in dict.fromkeys(leg.carriers)]
    return (*(_law_of_state(register, state, leg.on) for state in leg.all_states), *own)


def laws_of_journey(legs: Iterable[Leg], register: Register) -> tuple[tuple[Law, ...], ...]:
    """Return the laws of every leg.

    Raises:
        ValueError: when there is no leg, or one that touches no state, so that nothing could be said of it.
    """
    asked = tuple(legs)
    if not asked or not all(leg.all_states for leg in asked):
        raise ValueError("a journey needs legs, and each of them a state that it touches")
    return tuple(laws(leg, register) for leg in asked)


@dataclass(frozen=True, slots=True)
class Pool:
    """How many articles of a party one limit of number counts, and how many it lets pass."""

    carried: int
    allowed: int

    @property
    def over(self) -> bool:
        """Whether there are more than may go."""
        return self.carried > self.allowed


class Counting:
    """A party's articles counted against every limit of number.

    Rules of one authority with the same ``pool`` count together. An article of which a rule may speak is counted,
    whatever bag it is in; only of bags themselves those count that are meant for the place of which the rule speaks.
    """

    def __init__(self, party: Sequence[Article], legal: Iterable[Law], travellers: int) -> None:
        rules = {rule.id: rule for law in legal for rule in law.rules if rule.body.most is not None}
        by_pool: dict[tuple[str, str, str], list[Rule]] = {}
        for rule in rules.values():
            by_pool.setdefault((rule.authority, rule.by, rule.body.pool or rule.id), []).append(rule)
        self._travellers = travellers
        self._carried = [(together, _carried(together, party)) for together in by_pool.values()]

    def pools(self, *more: Article) -> dict[str, Pool]:
        """Return by the id of each rule how many it counts and lets pass, with some articles more."""
        found: dict[str, Pool] = {}
        for together, carried in self._carried:
            count = carried + _carried(together, more)
            for rule in together:
                found[rule.id] = Pool(count, (rule.body.most or 0) * self._travellers)
        return found


def _carried(together: Sequence[Rule], party: Sequence[Article]) -> int:
    return sum(article.count for article in party if any(_counts(rule, article) for rule in together))


def _counts(rule: Rule, article: Article) -> bool:
    if article.sort == "bag" and article.into and not set(article.into) & set(rule.body.where):
        return False
    return any(speaks(rule.body, article, place)[0] is not False for place in rule.body.where)
