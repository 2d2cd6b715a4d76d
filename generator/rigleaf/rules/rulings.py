"""What the rules say of one article at one place: every ruling of every law, and the strictest of them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from rigleaf.catalogue.models.flight_fields import FLIGHT_WORDS, FlightWord, Stowage
from rigleaf.rules.articles import Article
from rigleaf.rules.journey import Law, Pool
from rigleaf.rules.matching import RANGES, speaks
from rigleaf.rules.register import Rule

STRICTNESS: dict[FlightWord, int] = {word: index for index, word in enumerate(FLIGHT_WORDS)}


def strictest(*words: FlightWord) -> FlightWord:
    """Return the strictest of some words."""
    return max(words, key=STRICTNESS.__getitem__)


@dataclass(frozen=True, slots=True)
class Ruling:
    """One rule applied to one article at one place.

    Attributes:
        rule: the rule.
        place: where.
        word: what it says there; what it might say where ``missing`` is not empty.
        who: state or carrier whose law it is.
        missing: what would have to be known to tell whether it speaks of the article.
        pool: how many are counted and may go, where the rule limits the number.
    """

    rule: Rule
    place: Stowage
    word: FlightWord
    who: str
    missing: tuple[str, ...] = ()
    pool: Pool | None = None

    @property
    def over(self) -> bool:
        """Whether more are carried than the rule lets pass."""
        return self.pool is not None and self.pool.over


@dataclass(frozen=True, slots=True)
class Placed:
    """The strictest answer for one article at one place; ``ruling`` is behind it, ``all`` are all, strictest first."""

    place: Stowage
    word: FlightWord
    ruling: Ruling
    all: tuple[Ruling, ...]
    missing: tuple[str, ...] = ()


def placed(article: Article, place: Stowage, legal: Iterable[tuple[Law, Mapping[str, Pool]]]) -> Placed:
    """Return the strictest answer over some laws, each with its counts by rule.

    Each law answers by itself, so that another one can only make the answer stricter. A law that says nothing of such
    an article there is passed over; at least one must speak.
    """
    found = [one for law, counts in legal if (one := _under(article, place, law, counts))]
    chosen = min(found, key=lambda one: (-STRICTNESS[one.word], _order(one.ruling)[1:]))
    rulings = tuple(sorted((ruling for one in found for ruling in one.all), key=_order))
    if article.unsure and chosen.word != "stays home":
        return Placed(place, "say more", chosen.ruling, rulings, (article.unsure,))
    return replace(chosen, all=rulings)


def _under(article: Article, place: Stowage, law: Law, counts: Mapping[str, Pool]) -> Placed | None:
    """Return the answer under one law, or None where it says nothing.

    Where a rule that could be stricter than all that surely speak cannot be told from what is known, the answer is
    ``say more``; so it is where no rule surely speaks.
    """
    rulings = sorted(_rulings(article, place, law, counts), key=_order)
    if not rulings:
        return None
    sure = next((ruling for ruling in rulings if not ruling.missing), None)
    least = STRICTNESS[sure.word] if sure else -1
    worst = [ruling for ruling in rulings if ruling.missing and STRICTNESS[ruling.word] > least]
    if sure is not None and (not worst or sure.word == "stays home"):
        return Placed(place, sure.word, sure, tuple(rulings))
    missing = tuple(dict.fromkeys(name for ruling in worst for name in ruling.missing))
    return Placed(place, "say more", worst[0], tuple(rulings), missing)


def _order(ruling: Ruling) -> tuple[int, bool, bool, bool, bool]:
    """Sort the strictest first; of equals what surely speaks, names the place, has a limit, names a chemistry.

    Sorting is stable: of equals the law that was asked first comes first.
    """
    body = ruling.rule.body
    limited = any(getattr(body, name) is not None for name in RANGES)
    elsewhere = ruling.place not in body.where
    return -STRICTNESS[ruling.word], bool(ruling.missing), elsewhere, not limited, not body.cells


def _rulings(article: Article, place: Stowage, law: Law, counts: Mapping[str, Pool]) -> list[Ruling]:
    found: list[Ruling] = []
    fallbacks: list[Ruling] = []
    for rule in law.about(article.sort):
        holds, missing = speaks(rule.body, article, place)
        if holds is False:
            continue
        ruling = Ruling(rule, place, rule.body.word, law.who, missing, counts.get(rule.id))
        if ruling.over:
            ruling = replace(ruling, word=strictest(rule.body.word, rule.body.beyond))
        (fallbacks if rule.body.otherwise else found).append(ruling)
    return found or fallbacks
