"""Articles that no rule tells apart: they have the same answer, but for what they are called."""

from collections.abc import Hashable, Iterable
from dataclasses import fields

from rigleaf.catalogue.models.flight_fields import ArticleSort, Limits
from rigleaf.rules.articles import Article
from rigleaf.rules.matching import RANGES
from rigleaf.rules.register import Rule

_ONLY_SAID: frozenset[str] = frozenset({"name", "part", "taken", "or_else"})
"""What answers say of an article, and no rule asks for."""
_PLAIN: tuple[str, ...] = tuple(one.name for one in fields(Article) if one.name not in _ONLY_SAID.union(RANGES))


class Likeness:
    """What some rules can see of an article."""

    def __init__(self, rules: Iterable[Rule]) -> None:
        """Note all that the rules may ask for; whichever of them hold on a flight sees no more of an article."""
        found: dict[ArticleSort, dict[str, dict[Limits, None]]] = {}
        for rule in rules:
            for sort in rule.body.of:
                for name in RANGES:
                    if (limits := getattr(rule.body, name)) is not None:
                        found.setdefault(sort, {}).setdefault(name, {})[limits] = None
        self._limits = {
            sort: tuple((name, limits) for name, all_of in by_name.items() for limits in all_of)
            for sort, by_name in found.items()
        }

    def of(self, article: Article) -> Hashable:
        """Return what two articles have in common if and only if no rule can tell them apart."""
        amounts = ((getattr(article, name), limits) for name, limits in self._limits.get(article.sort, ()))
        return (
            *(getattr(article, name) for name in _PLAIN),
            *(limits.holds(amount.least, amount.most) for amount, limits in amounts),
        )
