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

    Where a rule that could be stricter than all that surely speak cannot be told from what is known, the answer is
    ``say more``; so it is where no rule surely speaks at all.
    """
    rulings = [ruling for law, counts in legal for ruling in _rulings(article, place, law, counts)]
    rulings.sort(key=_order)
    sure = [ruling for ruling in rulings if not ruling.missing]
    doubtful = [ruling for ruling in rulings if ruling.missing]
    known: FlightWord | None = sure[0].word if sure else None
    if known is not None and (not doubtful or STRICTNESS[doubtful[0].word] <= STRICTNESS[known]):
        if article.unsure and known != "stays home":
            return Placed(place, strictest(known, "say more"), sure[0], tuple(rulings), (article.unsure,))
        return Placed(place, known, sure[0], tuple(rulings))
    worst = [ruling for ruling in doubtful if known is None or STRICTNESS[ruling.word] > STRICTNESS[known]]
    missing = tuple(dict.fromkeys(name for ruling in worst for name in ruling.missing))
    word = strictest(known, "say more") if known else "say more"
    return Placed(place, word, worst[0], tuple(rulings), missing)


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
