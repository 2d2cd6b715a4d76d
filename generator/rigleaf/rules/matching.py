"""Whether a rule speaks of an article: yes, no, or not to be told until something unsaid is known."""

from rigleaf.catalogue.models.flight import RuleBody
from rigleaf.catalogue.models.flight_fields import Limits, Stowage
from rigleaf.rules.articles import Article

RANGES: tuple[str, ...] = (
    "energy", "voltage", "lithium", "length", "blade", "volume", "mass", "girth", "laser_power",
)  # fmt: skip
"""Quantities that a rule may limit; an article has an amount of the same name."""


def speaks(body: RuleBody, article: Article, place: Stowage) -> tuple[bool | None, tuple[str, ...]]:
    """Say whether a rule speaks of ``article`` at ``place``, and what would have to be known to tell.

    What a rule says of the hold holds for a bag that is taken at the gate, too.
    """
    places = {place, "hold"} if place == "gate" else {place}
    if article.sort not in body.of or not places.intersection(body.where):
        return False, ()
    if not (article.true | article.unsaid).issuperset(body.only_when) or article.true.intersection(body.not_when):
        return False, ()
    missing: list[str] = [state for state in body.only_when if state not in article.true]
    if body.cells and article.cells is None:
        missing.append("chemistry")
    elif body.cells and article.cells not in body.cells:
        return False, ()
    for name in RANGES:
        limits: Limits | None = getattr(body, name)
        if limits is None:
            continue
        amount = getattr(article, name)
        holds = limits.holds(amount.least, amount.most)
        if holds is False:
            return False, ()
        if holds is None:
            missing.append(name)
    if body.size is not None:
        holds = body.size.holds(article.sides)
        if holds is False:
            return False, ()
        if holds is None:
            missing.append("size")
    return None if missing else True, tuple(missing)
