"""Limits of rules: which values lie within, without, or cannot be told."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from rigleaf.catalogue.exact import exact
from rigleaf.catalogue.models.flight_fields import EnergyLimits, Limits, LithiumLimits, Sizes
from rigleaf.quantities import Reading, parse_text
from rigleaf.rules.energy import UNKNOWN
from rigleaf.rules.matching import RANGES, speaks
from tests.rules.kit import bank, published_rule

ENERGY: TypeAdapter[Limits] = TypeAdapter(EnergyLimits)


def holds(text: str, least: str, most: str | None = None) -> bool | None:
    limits = ENERGY.validate_python(text)
    return limits.holds(Decimal(least), Decimal(most) if most else None)


@pytest.mark.parametrize(
    ("text", "inside", "outside"),
    [
        ("up to 100 Wh", ["0", "100", "100.0"], ["100.0000001", "160"]),
        ("over 100 Wh up to 160 Wh", ["100.1", "160"], ["100", "160.1"]),
        ("over 160 Wh", ["160.00001"], ["160", "0"]),
        ("over 100 Wh below 160 Wh", ["159.9"], ["160", "100"]),
        ("from 160 Wh up to 160 Wh", ["160"], ["159.9", "160.1"]),
        ("below 0.1 kWh", ["99.9"], ["100"]),
    ],
)
def test_one_value(text: str, inside: list[str], outside: list[str]) -> None:
    assert [holds(text, value, value) for value in inside] == [True] * len(inside)
    assert [holds(text, value, value) for value in outside] == [False] * len(outside)


@pytest.mark.parametrize(
    ("text", "least", "most", "expected"),
    [
        ("up to 100 Wh", "90", "110", None),
        ("up to 100 Wh", "0", None, None),
        ("up to 100 Wh", "101", None, False),
        ("over 100 Wh", "101", None, True),
        ("over 100 Wh", "90", None, None),
        ("over 100 Wh", "0", "100", False),
        ("over 100 Wh up to 160 Wh", "90", "200", None),
    ],
)
def test_a_band(text: str, least: str, most: str | None, expected: bool | None) -> None:
    assert holds(text, least, most) is expected


@settings(deadline=None)
@given(*(st.decimals("0", "300", places=1) for _ in range(3)))
def test_a_band_is_decided_only_where_all_of_its_values_agree(one: Decimal, other: Decimal, between: Decimal) -> None:
    least, most = sorted((one, other))
    between = min(max(between, least), most)
    limits = ENERGY.validate_python("over 100 Wh up to 160 Wh")
    whole = limits.holds(least, most)
    assert whole is None or limits.holds(between, between) is whole


def test_lithium_is_counted_in_grams() -> None:
    limits: Limits = TypeAdapter(LithiumLimits).validate_python("up to 2 g")
    assert limits.high == Decimal(2)


def test_sizes_are_compared_side_by_side_longest_first() -> None:
    within = TypeAdapter(Sizes).validate_python("within 25 x 56 x 45 cm")
    larger = TypeAdapter(Sizes).validate_python("larger than 56 x 45 x 25 cm")
    fits, too_deep = (Decimal(560), Decimal(450), Decimal(250)), (Decimal(300), Decimal(260), Decimal("250.5"))
    assert (within.holds(fits), larger.holds(fits)) == (True, False)
    assert (within.holds(too_deep), larger.holds(too_deep)) == (False, True)
    assert within.holds(None) is None


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [("26800 mAh", "charge", "26.8"), ("7 in", "length", "177.8"), ("1 lb", "mass", "0.45359237"),
     ("0.1 kWh +- 5 %", "energy", "100"), ("100 ml", "volume", "0.1"), ("−1 mm", "offset", "-1")],
)  # fmt: skip
def test_exact_decimals(text: str, dimension: str, value: str) -> None:
    assert exact(parse_text(text, dimension)) == Decimal(value)


def test_readings_without_text_are_as_exact_as_their_number() -> None:
    assert exact(Reading(12.8, "voltage")) == Decimal("12.8")


@settings(deadline=None)
@given(st.decimals("0.001", "9999", places=3), st.sampled_from(["Wh", "kWh"]))
def test_exact_agrees_with_the_plain_number(value: Decimal, unit: str) -> None:
    reading = parse_text(f"{value / 10} {unit}", "energy")
    assert float(exact(reading)) == pytest.approx(reading.value, rel=1e-12)


def test_a_rule_names_all_that_it_misses() -> None:
    body = published_rule("r", energy="up to 100 Wh", voltage="up to 12 V", cells=["lithium-ion"])
    assert speaks(body, bank("74"), "cabin") == (None, ("voltage",))
    assert speaks(body, bank("174"), "cabin") == (False, ())
    assert speaks(body, bank("74"), "hold") == (False, ())


def test_every_range_of_a_rule_is_a_quantity_of_an_article() -> None:
    body, one = published_rule("r"), bank("74")
    assert all(hasattr(body, name) for name in RANGES)
    assert {getattr(one, name) for name in RANGES if name != "energy"} == {UNKNOWN}


def test_states_that_may_or_may_not_be_true_leave_it_open() -> None:
    body = published_rule("r", only_when=["damaged"])
    assert speaks(body, bank("74"), "cabin")[0] is False
    assert speaks(body, replace(bank("74"), true=frozenset({"damaged"})), "cabin")[0] is True
    assert speaks(body, replace(bank("74"), unsaid=frozenset({"damaged"})), "cabin") == (None, ("damaged",))
    spared = published_rule("r", not_when=["medical"])
    assert speaks(spared, replace(bank("74"), true=frozenset({"medical"})), "cabin")[0] is False
