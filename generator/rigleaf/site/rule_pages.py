"""The page of flight rules: every rule in words, where it stands, since when, and whether it was read."""

from collections.abc import Iterable
from dataclasses import dataclass

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.rules.carriers import rules_of
from rigleaf.rules.register import Register, Rule, register_of
from rigleaf.site.addresses import RULES_ADDRESS, Addresses
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.templating import Writer

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
class RuleRow:
    """One rule as the page shows it; each field but the first two is a sentence or a part of one."""

    id: str
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


def rule_page(catalogue: Catalogue, addresses: Addresses) -> PageRecord:
    """Return the page of all flight rules, the guide's own and those of its carriers among them."""
    register = register_of(tuple(catalogue.rules.values()), catalogue.guide.rules_read_on)
    groups = [*_published(register), *_carriers(catalogue)]
    html = Writer(RULES_ADDRESS, addresses, catalogue.guide.units).render(
        "flight_rules.html",
        groups=groups,
        known=_day(register.known),
        due=[(_day(new.day), new.what) for new in register.due],
    )
    contents = tuple(Heading(group.title, group.anchor) for group in groups)
    text = "Flight rules for batteries, power banks, tools, tripods, liquids and bags: cabin, hold, on the person. "
    text += ", ".join(group.title for group in groups)
    words = "What may fly, by whose rules, since when, and where it stands."
    return PageRecord(RULES_ADDRESS, "Flight rules", html, words, SearchEntry(text), contents=contents)


def _day(on: object) -> str:
    year, month, day = (int(number) for number in str(on).split("-"))
    return f"{day} {MONTHS[month - 1]} {year}"


def _published(register: Register) -> Iterable[RuleGroup]:
    codes = {rule.authority for rule in register.rules.values()}
    states = sorted(codes - {*FIRST, "everywhere"}, key=register.name)
    for code in (*FIRST, *states, "everywhere"):
        rules = [rule for rule in register.rules.values() if rule.authority == code]
        if rules:
            yield RuleGroup(f"by-{code.lower()}", register.name(code), "", tuple(map(_row, rules)))


def _carriers(catalogue: Catalogue) -> Iterable[RuleGroup]:
    for carrier in catalogue.carriers.values():
        words = [carrier.summary or "", f"How it wants to be asked: {carrier.ask}" if carrier.ask else ""]
        rows = tuple(map(_row, rules_of(carrier)))
        yield RuleGroup(f"carrier-{carrier.id}", carrier.name, " ".join(filter(None, words)), rows)


def _row(rule: Rule) -> RuleRow:
    body = rule.body
    since = f"in force since {_day(body.since)}" if body.since else ""
    until = f"until {_day(body.until)}" if body.until else ""
    read = READ.get(rule.read, f"read {rule.read}")
    return RuleRow(
        rule.id,
        body.says,
        ", ".join(text for text in (rule.document, rule.edition, body.section or "") if text),
        " ".join(filter(None, (since, until))),
        read if rule.authority == "carrier" else f"{read}; confidence {rule.confidence}",
        body.provided,
        body.note or "",
    )
