"""Articles, flights and carriers for the tests of the rules."""

import datetime as dt
from decimal import Decimal
from typing import Any

from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.catalogue.models.flight import FlightRule
from rigleaf.catalogue.models.flight_fields import ArticleSort
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.part import Part
from rigleaf.rules.articles import Article, articles_of
from rigleaf.rules.energy import one_value
from rigleaf.rules.journey import Leg

TODAY = dt.date(2026, 11, 25)


def leg(*states: str, on: dt.date = TODAY, carriers: tuple[Carrier, ...] = ()) -> Leg:
    return Leg(on, states or ("DE",), carriers)


def part(kind: str, **stated: Any) -> Part:
    return KINDS[kind].model.model_validate({"id": kind, "kind": kind, "name": kind.capitalize(), **stated})


def article(kind: str, **stated: Any) -> Article:
    (found,) = articles_of(part(kind, **stated))
    return found


def battery(name: str, sort: ArticleSort, energy: str, count: int) -> Article:
    return Article(name, sort, count, cells="lithium-ion", energy=one_value(Decimal(energy), "marked"))


def bank(energy: str, count: int = 1) -> Article:
    return battery("Bank", "power bank", energy, count)


def spare(energy: str, count: int = 1) -> Article:
    return battery("Spare", "spare battery", energy, count)


def installed(energy: str, count: int = 1) -> Article:
    return battery("Device", "installed battery", energy, count)


def carrier(id_: str = "carrier", **stated: Any) -> Carrier:
    return Carrier.model_validate({"id": id_, "name": f"The {id_}", **stated})


def published_rule(id_: str, **stated: Any) -> FlightRule:
    entry = {
        "id": id_, "says": "So it is.", "of": ["power bank"], "where": ["cabin"], "word": "stays home",
        "authority": "everywhere", "document": "A document", "read": "copy", "confidence": "high",
    }  # fmt: skip
    return FlightRule.model_validate({**entry, **stated})
