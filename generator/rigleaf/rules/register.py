"""The register of rules: those of the package, those that a guide adds or replaces, and those of carriers.

Nothing but this module reads the package's data; everything else works on what it returns.
"""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files
from typing import Any

import yaml

from rigleaf.catalogue.models.flight import FlightRule, RuleBody
from rigleaf.catalogue.states import states

_NOT_RULES = "authorities.yml"
_LAST = "unread"
"""Id of the rule that speaks where no other does; a guide cannot take it away, or a question would have no answer."""


class RuleError(ValueError):
    """The rules of the package contradict themselves."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule with who makes it.

    Attributes:
        id: name in addresses; a carrier's begins with the carrier's own.
        authority: code of who makes it, or ``carrier``.
        by: name of who makes it.
        body: what it says, of which articles, since when.
        document: where it stands, empty where a carrier does not say.
        edition: edition or day of that document.
        read: in what form it was read.
        confidence: high, medium or low.
    """

    id: str
    authority: str
    by: str
    body: RuleBody
    document: str
    edition: str
    read: str
    confidence: str

    def in_force(self, on: dt.date) -> bool:
        """Say whether the rule holds on a day, its first and last day counted."""
        since, until = self.body.since, self.body.until
        return (since is None or since <= on) and (until is None or on <= until)


@dataclass(frozen=True, slots=True)
class Due:
    """A new edition that was announced: rules for travel from that day on must be read again."""

    day: dt.date
    what: str


@dataclass(frozen=True, eq=False)
class Register:
    """All published rules, and who keeps whose.

    ``rules`` go by id; ``known`` is the day up to which rules were looked for; ``due`` are announced new editions.
    """

    rules: Mapping[str, Rule]
    known: dt.date
    due: tuple[Due, ...]
    names: Mapping[str, str]
    _bloc: Mapping[str, str]
    _keeps: Mapping[str, tuple[str, ...]]
    _others: tuple[str, ...]

    def authorities(self, state: str) -> tuple[str, ...]:
        """Return whose rules hold in ``state``, its own first; ICAO, IATA or EU may be asked for by themselves."""
        if state in self.names:
            chain = {"everywhere": (), "ICAO": ("everywhere",)}.get(state, self._others)
            return tuple(dict.fromkeys((state, *chain)))
        bloc = (self._bloc[state],) if state in self._bloc else ()
        return (state, *bloc, *self._keeps.get(state, self._others))

    def in_force(self, state: str, on: dt.date) -> tuple[Rule, ...]:
        """Return the rules that hold in ``state`` on a day, the state's own first."""
        order = self.authorities(state)
        found = [rule for rule in self.rules.values() if rule.authority in order and rule.in_force(on)]
        return tuple(sorted(found, key=lambda rule: order.index(rule.authority)))

    def name(self, code: str) -> str:
        """Return the name of a state or of a body that makes rules."""
        return self.names.get(code) or states().get(code, code)

    def stale(self, on: dt.date) -> str:
        """Say why rules for travel on ``on`` must be read again; empty where nothing new is known to be due."""
        due = [new.what for new in self.due if new.day <= on]
        return f"Since these rules were read, new editions were due: {'; '.join(due)}." if due else ""

    def of_guide(self, own: Iterable[FlightRule], read_on: dt.date | None = None) -> "Register":
        """Return the register of a guide.

        Args:
            own: rules that the guide adds; one with a known id takes the other's place.
            read_on: day on which the guide last read the documents; editions that were due by then are no longer.
        """
        added = {rule.id: _rule(rule, self.names) for rule in own if rule.id != _LAST}
        known = max(self.known, read_on or self.known)
        due = tuple(new for new in self.due if new.day > known)
        return replace(self, rules={**self.rules, **added}, known=known, due=due)


def _rule(entry: FlightRule, names: Mapping[str, str]) -> Rule:
    by = names.get(entry.authority) or states().get(entry.authority, entry.authority)
    return Rule(entry.id, entry.authority, by, entry, entry.document, entry.edition or "", entry.read, entry.confidence)


@lru_cache(maxsize=1)
def published() -> Register:
    """Return the rules of the package.

    Raises:
        RuleError: when an id is given twice, or a rule ends before it begins.
        pydantic.ValidationError: when an entry is not a rule.
    """
    who = _load(_NOT_RULES)
    names = {body["code"]: body["name"] for body in who["bodies"]}
    rules: dict[str, Rule] = {}
    for name in sorted(entry.name for entry in _folder().iterdir() if entry.name.endswith(".yml")):
        for entry in _entries(name):
            if entry.id in rules:
                raise RuleError(f"the rule '{entry.id}' is given twice")
            if entry.since and entry.until and entry.until < entry.since:
                raise RuleError(f"the rule '{entry.id}' ends before it begins")
            rules[entry.id] = _rule(entry, names)
    return Register(
        rules=rules,
        known=who["known"],
        due=tuple(Due(**new) for new in who["due"]),
        names=names,
        _bloc={state: body["code"] for body in who["bodies"] for state in body.get("states", ())},
        _keeps={state: tuple(bodies) for state, bodies in who["keeps"].items()},
        _others=tuple(who["others"]),
    )


@lru_cache(maxsize=8)
def register_of(own: tuple[FlightRule, ...], read_on: dt.date | None = None) -> Register:
    """Return the rules of the package as a guide completes them."""
    return published().of_guide(own, read_on) if own or read_on else published()


def _folder() -> Any:
    return files("rigleaf.rules") / "data"


def _load(name: str) -> dict[str, Any]:
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    loaded: dict[str, Any] = yaml.load((_folder() / name).read_text(encoding="utf-8"), loader)  # noqa: S506 -- both safe
    return loaded


def _entries(name: str) -> Iterable[FlightRule]:
    """Yield the rules of one file; what stands at its head holds for each rule that does not say otherwise."""
    if name == _NOT_RULES:
        return
    data = _load(name)
    head = {key: value for key, value in data.items() if key != "rules"}
    for entry in data["rules"]:
        yield FlightRule.model_validate({**head, **_plain(entry)})


def _plain(entry: dict[str, Any]) -> dict[str, Any]:
    """Return days as text, as the model reads them."""
    return {key: value.isoformat() if isinstance(value, dt.date) else value for key, value in entry.items()}
