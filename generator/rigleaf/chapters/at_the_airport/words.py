"""Words of the airport: lists of names, how articles are called together, and where an answer comes from."""

import datetime as dt
from collections.abc import Sequence

from rigleaf.catalogue.days import day_in_words
from rigleaf.catalogue.models.flight_fields import BODIES, FlightWord
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.figures import Verdict
from rigleaf.rules.answers import Answer
from rigleaf.rules.articles import Article
from rigleaf.rules.register import Rule
from rigleaf.rules.sentences import plain

VERDICTS: dict[FlightWord, Verdict] = {
    "may fly": "sound",
    "ask first": "tight",
    "stays home": "fails",
    "say more": "unsaid",
}
"""The finding that each answer makes."""

MOST_NAMES = 5


def first_of(names: Sequence[str], joint: str = "and") -> str:
    """Return names as a sentence lists them; of many the first few and how many more."""
    known = list(dict.fromkeys(names))
    if len(known) > MOST_NAMES:
        known = [*known[: MOST_NAMES - 1], f"{len(known) - MOST_NAMES + 1} more"]
    return listed(known, joint)


def called(answer: Answer) -> str:
    """Return what an article is called, with how many of it."""
    article = answer.article
    return article.name if article.count == 1 else f"{article.count} × {article.name}"


def source(rule: Rule) -> str:
    """Say where a rule stands, and whose it is where its document does not say so."""
    named = rule.by if rule.authority not in BODIES else ""
    place = ", ".join(text for text in (rule.document, rule.body.section or "") if text)
    return ": ".join(text for text in (named, place) if text)


def in_full(rule: Rule) -> str:
    """Say where a rule stands, in which edition and section, and since when it is in force."""
    named = rule.by if rule.authority not in BODIES else ""
    place = ", ".join(text for text in (rule.document, rule.edition, rule.body.section or "") if text)
    since = f"in force since {day(rule.body.since)}" if rule.body.since else ""
    return "; ".join(filter(None, (": ".join(filter(None, (named, place))), since)))


def energy_of(article: Article) -> str:
    """Return the energy of a battery in Wh, exact as a rule takes it, or between what it lies, or that it is unsaid."""
    energy = article.energy
    if energy.most is None:
        return "unsaid"
    most = f"{plain(energy.most)} Wh"
    return most if energy.exact else f"{plain(energy.least)} to {most}"


def why(answer: Answer) -> str:
    """Say in a sentence or two that stand alone why a battery may fly, or not."""
    rule = answer.rule.body.says
    return answer.sentence if answer.word == "say more" or rule in answer.sentence else f"{answer.sentence} {rule}"


def behind(rule: Rule) -> str:
    """Say in a few words whose rule it is, for a table that links it."""
    if rule.authority in ("ICAO", "IATA", "EU"):
        return rule.authority
    return "everywhere" if rule.authority == "everywhere" else rule.by


def day(on: dt.date) -> str:
    """Write a day as people say it."""
    return day_in_words(on)
