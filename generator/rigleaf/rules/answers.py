"""May this fly, and where? The strictest answer for each article of a party, with the rule behind it and all others.

An answer is advice with a date and never a permission: operator, airport and state decide.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rigleaf.catalogue.models.flight_fields import FlightWord, Stowage
from rigleaf.rules.articles import BATTERIES, Article
from rigleaf.rules.journey import Counting, Law, Leg, Pool, laws_of_journey
from rigleaf.rules.register import Register, Rule, published
from rigleaf.rules.rulings import STRICTNESS, Placed, Ruling, placed
from rigleaf.rules.sentences import sentence


@dataclass(frozen=True, slots=True)
class Answer:
    """What the rules say of one article.

    Attributes:
        article: what was asked about.
        word: the word of the place where it fares best, strictest over all laws of all legs.
        where: the places in which it has that word; where it stays home, those in which some of them may go.
        rule: the rule behind it.
        sentence: the answer in words that stand alone when read aloud.
        may_go: how many of ``article.count`` may go; fewer than all where only their number keeps them at home.
        provided: conditions that come with it.
        missing: what would have to be known.
        places: the answer at each place; for batteries at the gate, too.
        others: every other ruling behind it, strictest first.
    """

    article: Article
    word: FlightWord
    where: tuple[Stowage, ...]
    rule: Rule
    sentence: str
    may_go: int
    provided: tuple[str, ...]
    missing: tuple[str, ...]
    places: Mapping[Stowage, Placed]
    others: tuple[Ruling, ...]

    def at(self, place: Stowage) -> FlightWord:
        """Return the word for one place; for a place that nobody would choose, such as a pocket, it stays home."""
        found = self.places.get(place)
        return found.word if found else "stays home"


def answer_article(article: Article, leg: Leg, register: Register | None = None, travellers: int = 1) -> Answer:
    """Return the answer for one article on one flight, as if nothing else were carried."""
    return answer_party((article,), (leg,), register, travellers)[0]


def answer_party(
    party: Sequence[Article], legs: Sequence[Leg], register: Register | None = None, travellers: int = 1
) -> tuple[Answer, ...]:
    """Return the answer for each article that a party takes on a journey; numbers are counted for each person.

    Args:
        party: everything that is taken, of all travellers together.
        legs: the flights, each with its day, states and carriers.
        register: the rules; without it those of the package alone.
        travellers: how many people share what is taken.

    Raises:
        ValueError: when there is no leg, or one touches no state.
    """
    legal = _legal(party, legs, register, travellers)
    return tuple(_answer(article, legal) for article in party)


class Among:
    """Answers for one article or another that is taken along with the rest of a party."""

    def __init__(
        self, rest: Sequence[Article], legs: Sequence[Leg], register: Register | None = None, travellers: int = 1
    ) -> None:
        """Count the rest once; ``answer_party`` has the details."""
        laws = laws_of_journey(legs, register or published())
        self._legs = [(of_leg, Counting(rest, of_leg, travellers)) for of_leg in laws]

    def answer(self, article: Article) -> Answer:
        """Return the answer for an article, the rest of the party counted with it."""
        legal: list[tuple[Law, dict[str, Pool]]] = []
        for laws, rest in self._legs:
            counts = rest.pools(article)
            legal += [(law, counts) for law in laws]
        return _answer(article, legal)


def _legal(
    party: Sequence[Article], legs: Sequence[Leg], register: Register | None, travellers: int
) -> list[tuple[Law, dict[str, Pool]]]:
    """Return every law of every leg, each with what its limits of number count."""
    found: list[tuple[Law, dict[str, Pool]]] = []
    for laws in laws_of_journey(legs, register or published()):
        counts = Counting(party, laws, travellers).pools()
        found += [(law, counts) for law in laws]
    return found


def _answer(article: Article, legal: Sequence[tuple[Law, Mapping[str, Pool]]]) -> Answer:
    found = {place: placed(article, place, legal) for place in article.places}
    best = min((one.word for one in found.values()), key=STRICTNESS.__getitem__)
    passing = {place: _passing(article, one) for place, one in found.items() if one.word == best}
    may_go = max(passing.values())
    where = tuple(place for place, count in passing.items() if count == may_go)
    chosen = found[where[0]]
    others = {ruling.rule.id: ruling for ruling in reversed(_unlike(chosen.ruling, found))}
    return Answer(
        article=article,
        word=best,
        where=where if may_go or best != "stays home" else (),
        rule=chosen.ruling.rule,
        sentence=sentence(article, found, where, may_go),
        may_go=may_go,
        provided=_provided(chosen),
        missing=chosen.missing,
        places={**found, "gate": placed(article, "gate", legal)} if article.sort in BATTERIES else found,
        others=tuple(sorted(others.values(), key=lambda ruling: -STRICTNESS[ruling.word])),
    )


def _unlike(behind: Ruling, found: Mapping[Stowage, Placed]) -> list[Ruling]:
    return [ruling for one in found.values() for ruling in one.all if ruling.rule.id != behind.rule.id]


def _provided(chosen: Placed) -> tuple[str, ...]:
    """Return the conditions of all rules that surely speak where it goes, each once."""
    return tuple(
        dict.fromkeys(text for ruling in chosen.all if not ruling.missing for text in ruling.rule.body.provided)
    )


def _passing(article: Article, one: Placed) -> int:
    """Return how many the limits of number let pass at one place; those who must ask for more are let pass."""
    if one.word == "say more":
        return 0
    barring = [ruling for ruling in one.all if ruling.word == "stays home" and not ruling.missing]
    if any(not ruling.over or ruling.rule.body.word == "stays home" for ruling in barring):
        return 0
    return min([article.count, *(ruling.pool.allowed for ruling in barring if ruling.pool is not None)])
