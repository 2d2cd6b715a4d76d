"""The page of flight rules: every rule in words, where it stands, since when, and whether it was read."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.flight_fields import FLIGHT_WORDS, FlightWord
from rigleaf.chapters.at_the_airport.words import day
from rigleaf.rules.carriers import rules_of
from rigleaf.rules.register import Register, Rule, register_of
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.typeset.addresses import RULES_ADDRESS, Addresses
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

READ: dict[str, str] = {
    "official text": "read in the official text",
    "official page": "read on an official page",
    "copy": "read in a copy",
    "report": "read in a report of it",
    "no": "from memory",
}
FIRST = ("ICAO", "IATA", "EU")
"""Whose rules are told first; the states follow by name, then what is alike everywhere."""


@dataclass(frozen=True, slots=True)
class RuleWord:
    """What one rule answers, and of what where several rules share a sentence: ``text`` is "may fly: up to 8 kg"."""

    id: str
    word: FlightWord
    text: str


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule as the page shows it, or several that say one sentence; texts are sentences or parts of one."""

    words: tuple[RuleWord, ...]
    says: str
    source: str
    days: str
    read: str
    provided: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True)
class RuleGroup:
    """The rules of one authority or carrier."""

    anchor: str
    title: str
    summary: str
    rows: tuple[RuleRow, ...]

    @property
    def size(self) -> int:
        """How many rules there are, two that share a sentence counted as two."""
        return sum(len(row.words) for row in self.rows)

    @property
    def tally(self) -> tuple[tuple[FlightWord, str], ...]:
        """How many rules give each answer, the mildest first, in words."""
        found = Counter(one.word for row in self.rows for one in row.words)
        return tuple((word, f"{found[word]} {tr(word)}") for word in FLIGHT_WORDS if found[word])


def rule_page(catalogue: Catalogue, addresses: Addresses) -> PageRecord:
    """Return the page of all flight rules, the guide's own and those of its carriers among them."""
    register = register_of(tuple(catalogue.rules.values()), catalogue.guide.rules_read_on)
    groups = [*_published(register), *_carriers(catalogue)]
    html = Writer(RULES_ADDRESS, addresses, catalogue.guide.units).render(
        "flight_rules.html",
        groups=groups,
        known=day(register.known),
        due=[(day(new.day), new.what) for new in register.due],
    )
    contents = tuple(Heading(group.title, group.anchor) for group in groups)
    text = tr("Flight rules for batteries, power banks, tools, tripods, liquids and bags: cabin, hold, on the person. ")
    text += ", ".join(group.title for group in groups)
    words = tr("What may fly, by whose rules, since when, and where it stands.")
    return PageRecord(RULES_ADDRESS, tr("Flight rules"), html, words, SearchEntry(text), contents=contents)


def _published(register: Register) -> Iterable[RuleGroup]:
    codes = {rule.authority for rule in register.rules.values()}
    states = sorted(codes - {*FIRST, "everywhere"}, key=register.name)
    for code in (*FIRST, *states, "everywhere"):
        rules = [rule for rule in register.rules.values() if rule.authority == code]
        if rules:
            yield RuleGroup(f"by-{code.lower()}", tr(register.name(code)), "", tuple(_rows(rules)))


def _carriers(catalogue: Catalogue) -> Iterable[RuleGroup]:
    for carrier in catalogue.carriers.values():
        words = [carrier.summary or "", tr("How it wants to be asked: {ask}", ask=carrier.ask) if carrier.ask else ""]
        rows = tuple(_rows(rules_of(carrier)))
        yield RuleGroup(f"carrier-{carrier.id}", carrier.name, " ".join(filter(None, words)), rows)


def _rows(rules: Iterable[Rule]) -> Iterator[RuleRow]:
    """Yield a row for each rule; those that say one sentence, such as the two sides of a limit, share a row."""
    alike: dict[RuleRow, list[Rule]] = {}
    for rule in rules:
        alike.setdefault(_row(rule), []).append(rule)
    for row, several in alike.items():
        words = (RuleWord(one.id, one.body.word, _word(one, alone=len(several) == 1)) for one in several)
        yield replace(row, words=tuple(words))


def _word(rule: Rule, *, alone: bool) -> str:
    """Return the answer of a rule, with its limit where another one stands beside it."""
    body = rule.body
    limits = [limit.text for limit in (body.energy, body.mass, body.girth, body.size) if limit is not None]
    return tr(body.word) if alone or not limits else f"{tr(body.word)}: {', '.join(limits)}"


def _row(rule: Rule) -> RuleRow:
    """Return what stands beside the answer of a rule."""
    body = rule.body
    since = tr("in force since {day}", day=day(body.since)) if body.since else ""
    until = tr("until {day}", day=day(body.until)) if body.until else ""
    read = tr(READ[rule.read]) if rule.read in READ else f"read {rule.read}"
    return RuleRow(
        (),
        body.says,
        ", ".join(text for text in (rule.document, rule.edition, body.section or "") if text),
        " ".join(filter(None, (since, until))),
        read
        if rule.authority == "carrier"
        else tr("{read}; confidence {confidence}", read=read, confidence=tr(rule.confidence)),
        body.provided,
        body.note or "",
    )
