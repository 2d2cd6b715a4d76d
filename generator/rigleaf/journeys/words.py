"""Words of journeys: numbers with names, where things go, and where a rule stands."""

from collections.abc import Sequence

from rigleaf.catalogue.models.flight_fields import FlightWord
from rigleaf.catalogue.models.guide import Guide
from rigleaf.catalogue.models.trip import Means, Spot
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.at_the_airport.words import source
from rigleaf.chapters.figures import WORST_FIRST, Verdict
from rigleaf.chapters.formatting import show
from rigleaf.journeys.result import RuleNote
from rigleaf.rules.register import Rule

IN_SPOT: dict[Spot, str] = {
    "cabin": "in the cabin",
    "hold": "in the hold",
    "on the person": "on the person",
    "car": "in the car",
    "sent ahead": "sent ahead",
}

BY: dict[Means, str] = {
    "plane": "by plane",
    "train": "by train",
    "bus": "by bus",
    "ship": "by ship",
    "car": "by car",
    "bicycle": "by bicycle",
    "foot": "on foot",
}

OUTCOMES: dict[FlightWord | Verdict, str] = {
    "may fly": "everything may fly",
    "ask first": "everything may fly once you have asked",
    "say more": "something still cannot be judged",
    "stays home": "something still stays home",
    "sound": "everything goes along with room to spare",
    "tight": "everything goes along, but barely",
    "fails": "something still does not go along",
    "unsaid": "something still cannot be judged",
}
"""What a word for the whole journey means, in words that follow "then"."""


def named(name: str, count: int) -> str:
    """Return a name with its number where it is more than one."""
    return f"{count} × {name}" if count > 1 else name


def names(pairs: Sequence[tuple[str, int]], most: int = 5) -> str:
    """Return names with numbers as a sentence lists them, of many the first few and how many more."""
    words = [named(name, count) for name, count in pairs]
    if len(words) > most:
        words = [*words[: most - 1], f"{len(words) - most + 1} more"]
    return listed(words)


def number_word(count: int, one: str, many: str = "") -> str:
    """Return a small number in letters with its noun."""
    letters = ("no", "one", "two", "three", "four", "five", "six")
    word = letters[count] if count < len(letters) else str(count)
    return f"{word} {one if count == 1 else many or one + 's'}"


def short_name(name: str) -> str:
    """Return the name of a place without what stands behind its comma, as a sentence needs it."""
    return name.partition(",")[0]


def upper_first(text: str) -> str:
    """Return a text with its first letter in upper case, the rest as it is."""
    return text[:1].upper() + text[1:]


def rule_note(rule: Rule) -> RuleNote:
    """Return a rule as a page cites it."""
    edition = f", {rule.edition}" if rule.edition else ""
    return RuleNote(rule.id, rule.by, rule.body.says, f"{source(rule)}{edition}", rule.read, rule.confidence)


def say(guide: Guide, value: float, dimension: str) -> str:
    """Write a value in the guide's own units."""
    return show(value, dimension, guide.units).first


def worst(verdicts: Sequence[Verdict]) -> Verdict:
    """Return the worst of some verdicts, sound where there is none."""
    return next((verdict for verdict in WORST_FIRST if verdict in verdicts), "sound")
