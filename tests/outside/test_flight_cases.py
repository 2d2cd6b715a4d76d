"""Every published case of kit at an airport, against the engine; data/flight_cases.md says where they come from."""

import csv
import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import NamedTuple, cast

import pytest

from rigleaf.catalogue.exact import exact
from rigleaf.catalogue.models.flight_fields import ArticleSort, Cells, State, Stowage
from rigleaf.quantities import parse_text
from rigleaf.rules.answers import Answer, answer_party
from rigleaf.rules.articles import Article
from rigleaf.rules.energy import UNKNOWN, Amount, battery_energy, one_value
from rigleaf.rules.journey import Leg

FILE = Path(__file__).parent / "data" / "flight_cases.csv"
CELLS = {
    "lithium-polymer": "lithium-ion",
    "lifepo4": "lithium-ion",
    "nimh": "dry",
}
DIMENSIONS = {"length": "length", "blade": "length", "girth": "length", "volume": "volume", "mass": "mass"}
INSTEAD: dict[str, Stowage] = {"cabin instead": "cabin", "hold instead": "hold"}

JUDGED_OTHERWISE = {
    # The page stops below 160 Wh, the international text takes it in, and both ask for approval: nothing that the
    # traveller could add would decide it, but the carrier can. Their word is "say more", ours "ask first".
    "F017": "ask first",
}
"""What we answer to cases whose expected answer we hold to be wrong, each with the reason."""


class Case(NamedTuple):
    """One row of the table, as text."""

    case: str
    party: str
    day: str
    what: str
    sort: str
    chemistry: str
    volts: str
    amp_hours: str
    marked_wh: str
    lithium_g: str
    number: str
    place: str
    law: str
    true: str
    limited: str
    quantity: str
    expects: str
    may_go: str
    rule: str
    confidence: str
    remark: str


def cases() -> list[Case]:
    with FILE.open(encoding="utf-8", newline="") as file:
        return [Case(**row) for row in csv.DictReader(file)]


CASES = cases()


def decimal(text: str) -> Decimal | None:
    return Decimal(text) if text else None


def article(case: Case) -> Article:
    """Return what a case is about."""
    volts = decimal(case.volts)
    limits: dict[str, Amount] = {}
    if case.sort == "bag":  # the case speaks of mass or size alone: the other is that of a small bag
        limits = {"mass": one_value(Decimal(10), "marked"), "girth": one_value(Decimal(1000), "marked")}
    if case.limited:
        value = exact(parse_text(case.quantity, DIMENSIONS[case.limited]))
        limits[case.limited] = one_value(value, "marked")
    grams = decimal(case.lithium_g)
    one = Article(
        case.what,
        cast(ArticleSort, case.sort),
        count=int(case.number),
        cells=cast(Cells, CELLS.get(case.chemistry, case.chemistry)) if case.chemistry else None,
        energy=battery_energy(
            case.chemistry or None, decimal(case.marked_wh), volts, decimal(case.amp_hours),
            cell_charge=case.sort == "power bank",
        ),
        voltage=one_value(volts, "marked") if volts is not None else UNKNOWN,
        lithium=one_value(grams, "marked") if grams is not None else UNKNOWN,
        true=frozenset({cast(State, case.true)} if case.true else ()),
    )  # fmt: skip
    return replace(one, **limits)  # type: ignore[arg-type]  # each key is a quantity of an article


def answers(asked: Case) -> Answer:
    """Return the answer to a case, what else is in its party carried along."""
    party: Sequence[Case] = [one for one in CASES if one == asked or (asked.party and one.party == asked.party)]
    leg = Leg(dt.date.fromisoformat(asked.day), (asked.law,))
    return answer_party([article(one) for one in party], (leg,))[party.index(asked)]


@pytest.mark.parametrize("case", CASES, ids=[case.case for case in CASES])
def test_published_cases(case: Case) -> None:
    answer = answers(case)
    place = cast(Stowage, case.place)
    expected = JUDGED_OTHERWISE.get(case.case, case.expects)
    if expected in INSTEAD:
        assert answer.at(place) == "stays home"
        assert answer.word != "stays home"
        assert INSTEAD[expected] in answer.where
    else:
        assert answer.at(place) == expected
    if case.rule:
        one = answer.places[place]
        # Two limits that a bag keeps are two rules of equal rank, of which one is shown.
        equal = {ruling.rule.id for ruling in one.all if ruling.word == one.word} if case.sort == "bag" else set()
        assert case.rule in equal | {one.ruling.rule.id}


COUNTED = [case for case in CASES if case.may_go and case.case not in JUDGED_OTHERWISE]


@pytest.mark.parametrize("case", COUNTED, ids=[case.case for case in COUNTED])
def test_how_many_may_go(case: Case) -> None:
    assert answers(case).may_go == int(case.may_go)


def test_every_case_is_there() -> None:
    assert len(CASES) == 105
    assert len({case.case for case in CASES}) == 105
