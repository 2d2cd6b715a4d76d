"""Words of the airport: lists of names, how articles are called together, and where an answer comes from."""

import datetime as dt
from collections.abc import Sequence

from rigleaf.catalogue.days import day_in_words
from rigleaf.catalogue.models.flight_fields import BODIES, FlightWord
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.figures import Verdict
from rigleaf.rules.answers import Answer
from rigleaf.rules.register import Rule

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


def behind(rule: Rule) -> str:
    """Say in a few words whose rule it is, for a table that links it."""
    if rule.authority in ("ICAO", "IATA", "EU"):
        return rule.authority
    return "everywhere" if rule.authority == "everywhere" else rule.by


def day(on: dt.date) -> str:
    """Write a day as people say it."""
    return day_in_words(on)
