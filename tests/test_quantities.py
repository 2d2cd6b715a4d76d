"""Quantities: text to numbers and back, units of every dimension, refusals in plain words."""

import datetime as dt
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.quantities import (
    DIMENSIONS,
    QuantityError,
    Reading,
    measured_over,
    parse_text,
    short,
    to_canonical,
)
from tests.strategies import quantities

TOO_LARGE = "is larger than any value that makes sense"


@given(quantities())
def test_a_quantity_in_any_unit_comes_back(drawn: tuple[float, str, str]) -> None:
    value, unit, dimension = drawn
    zero, one = to_canonical(0.0, unit, dimension), to_canonical(1.0, unit, dimension)
    known = DIMENSIONS[dimension]
    lowest = -known.highest if known.lowest is None else known.lowest
    written = f"{(value - zero) / (one - zero):.17g} {unit}"
    try:
        read = parse_text(written, dimension).value
    except QuantityError:  # rounding may carry a value at the very limit across it
        assert value == pytest.approx(lowest) or value == pytest.approx(known.highest)
    else:
        assert read == pytest.approx(value, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_the_example_of_each_dimension_can_be_read(dimension: str) -> None:
    known = DIMENSIONS[dimension]
    reading = parse_text(known.example, dimension)
    assert reading.dimension == dimension
    assert reading.text == known.example
    if known.unit:
        assert to_canonical(1.0, known.unit, dimension) == 1.0


@pytest.mark.parametrize("dimension", [name for name, known in DIMENSIONS.items() if known.unit])
def test_a_bare_number_needs_a_unit(dimension: str) -> None:
    unit = DIMENSIONS[dimension].example.partition(" ")[2]
    with pytest.raises(QuantityError) as error:
        parse_text(12, dimension)
    assert str(error.value) == f"'12' needs a unit, such as '12 {unit}'"


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_a_unit_of_another_dimension_is_refused(dimension: str) -> None:
    with pytest.raises(QuantityError):
        parse_text("5 kg" if dimension != "mass" else "5 mm", dimension)


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_values_beyond_the_limits_are_refused(dimension: str) -> None:
    known = DIMENSIONS[dimension]
    assert known.highest < 1e10
    unit = f" {known.unit}" if known.unit else ""
    lowest = -known.highest if known.lowest is None else known.lowest
    for good in (lowest, known.highest):
        assert parse_text(f"{good}{unit}", dimension).value == good
    with pytest.raises(QuantityError, match=r"above the most that makes sense|more than the whole"):
        parse_text(f"{known.highest + 1}{unit}", dimension)
    with pytest.raises(QuantityError, match="below the least that makes sense"):
        parse_text(f"{lowest - 1}{unit}", dimension)


@pytest.mark.parametrize(
    ("text", "dimension", "value", "uncertainty"),
    [
        ("55 mm +- 0.5 mm", "length", 55.0, 0.5),
        ("55 mm +/- 0.5 mm", "length", 55.0, 0.5),
        ("55 mm ± 500 um", "length", 55.0, 0.5),
        ("55 +- 0.5 mm", "length", 55.0, 0.5),
        ("55 mm +- 0.5", "length", 55.0, 0.5),
        ("55mm+-1%", "length", 55.0, 0.55),
        ("-12.5 mm +- 2 %", "offset", -12.5, 0.25),
        ("20 degC +- 1.8 degF", "temperature", 20.0, 1.0),
        ("68 degF +- 2 K", "temperature", 20.0, 2.0),
        ("85 % +- 5 %", "fraction", 0.85, 0.05),
        ("85 % +- 5", "fraction", 0.85, 0.05),
        ("0.85 +- 0.05", "fraction", 0.85, 0.05),
        ("0.8 +- 5 %", "number", 0.8, 0.04),
        ("0.8 +- 0.01", "number", 0.8, 0.01),
        (0.8, "number", 0.8, None),
        (2, "number", 2.0, None),
        ("1.5 e-", "electrons", 1.5, None),
        ("51k e-".replace("k", "e3"), "electrons", 51_000.0, None),
        (".5 kg", "mass", 0.5, None),
        ("5. kg", "mass", 5.0, None),
        ("1e3 g", "mass", 1.0, None),
        ("  4.2   kg ", "mass", 4.2, None),
        ("4.2\u00a0kg", "mass", 4.2, None),
        ("−10 °C", "temperature", -10.0, None),
        ("0 K", "temperature", -273.15, None),
        ("18 degF", "temperature_step", 10.0, None),
        ("35 degC", "temperature_step", 35.0, None),
        ('2"', "length", 50.8, None),
        ('2"', "small_angle", 2.0, None),
        ("2'", "small_angle", 120.0, None),
        ("1.5″/px".replace("″", "arcsec"), "image_scale", 1.5, None),
        ("1.9 deg", "small_angle", 6840.0, None),
        ("20000 mAh", "charge", 20.0, None),
        ("1.2 kWh", "energy", 1200.0, None),
        ("36 km/h", "speed", 10.0, None),
        ("0.5 l", "volume", 0.5, None),
        ("40 min", "time", 2400.0, None),
        ("21.3 mag/arcsec²", "sky_brightness", 21.3, None),
        ("2.5 N·m", "torque", 2.5, None),
    ],
)
def test_reading(text: str | float, dimension: str, value: float, uncertainty: float | None) -> None:
    reading = parse_text(text, dimension)
    assert reading.value == pytest.approx(value, rel=1e-12)
    assert reading.uncertainty == (None if uncertainty is None else pytest.approx(uncertainty, rel=1e-12))
    assert reading.basis == "stated"
    assert reading.text == str(text)


def test_nothing_is_never_negative() -> None:
    assert str(parse_text("-0 kg", "mass").value) == "0.0"


@pytest.mark.parametrize(
    ("text", "dimension", "message"),
    [
        ("4.2 Kg", "mass", "'Kg' is not a unit of mass; did you mean 'kg'?"),
        ("4.2 lsb", "mass", "'lsb' is not a unit of mass; did you mean 'lb'?"),
        ("4.2 bushels", "mass", "'bushels' is not a unit of mass; write it like '4.2 kg'"),
        ("4.2 mm", "mass", "'mm' is a unit of length, not of mass; write it like '4.2 kg'"),
        ("20 mah", "charge", "'mah' is not a unit of charge; did you mean 'mAh'?"),
        ("5 kg", "fraction", "'kg' is a unit of mass, not of a fraction; write it like '85 %'"),
        ("85", "fraction", "'85' is more than the whole; did you mean '85 %'?"),
        ("850", "fraction", "'850' is above the most that makes sense (100 %)"),
        ("0.8 mm", "number", "'0.8 mm' is a pure number here; write it without a unit, like '0.8'"),
        ("12", "length", "'12' needs a unit, such as '12 mm'"),
        ("12 +- 1", "length", "'12 +- 1' needs a unit, such as '55 mm'"),
        ("12 %", "length", "'%' is a unit of a fraction, not of length; write it like '55 mm'"),
        ("-300 degC", "temperature", "'-300 degC' is below the least that makes sense (-273.15 degC)"),
        ("55 Mm", "length", "'55 Mm' is above the most that makes sense (1,000,000 mm)"),
        ("1e999 mm", "length", "'1e999 mm' is above the most that makes sense (1,000,000 mm)"),
        ("5 m +- 1e9 m", "length", f"the uncertainty in '5 m +- 1e9 m' {TOO_LARGE}"),
        ("5 m +- 1e999 m", "length", f"the uncertainty in '5 m +- 1e999 m' {TOO_LARGE}"),
        ("5 mm +- -1 mm", "length", "the uncertainty '-1' is negative; write it like '+- 1'"),
        ("5 mm +- 1 kg", "length", "'kg' is a unit of mass, not of length; write it like '55 mm'"),
        ("5 mm +- x", "length", "'5 mm +- x' is not a quantity; write it like '55 mm' or '55 mm +- 5 %'"),
        ("5-6 mm", "length", "'5-6 mm' is not a quantity; write it like '55 mm'"),
        ("5 mm - 6 mm", "length", "'5 mm - 6 mm' is not a quantity; write it like '55 mm'"),
        ("nan mm", "length", "'nan mm' is not a quantity; write it like '55 mm'"),
        ("inf", "number", "'inf' is not a quantity; write it like '0.8'"),
        ("4,2 kg", "mass", "'4,2 kg' has a comma; write '4.2 kg'"),
        ("1,200 g", "mass", "'1,200 g' has a comma; write '1200 g' or '1.200 g'"),
        ("5 k\x1b[1mg", "mass", "'k\\x1b[1mg' is not a unit of mass; write it like '4.2 kg'"),
    ],
)  # fmt: skip
def test_refusals(text: str, dimension: str, message: str) -> None:
    with pytest.raises(QuantityError) as error:
        parse_text(text, dimension)
    assert str(error.value) == message


def read_or_refusal(text: str, dimension: str) -> Reading | str:
    try:
        return parse_text(text, dimension)
    except QuantityError as error:
        return str(error)


@given(st.text(max_size=120), st.sampled_from(list(DIMENSIONS)))
def test_any_text_is_read_or_refused_in_one_line(text: str, dimension: str) -> None:
    found = read_or_refusal(text, dimension)
    assert isinstance(found, Reading) or found.isprintable()


@given(
    st.sampled_from(["", "-", "5", "5.5", "1e9"]),
    st.text("mkgs()*/^-+.²·%°'\" 0123456789eAVW", max_size=12),
    st.sampled_from(list(DIMENSIONS)),
)
def test_what_looks_like_a_unit_is_read_within_limits_or_refused(number: str, unit: str, dimension: str) -> None:
    found = read_or_refusal(f"{number} {unit}", dimension)
    if isinstance(found, Reading):
        known = DIMENSIONS[dimension]
        assert (-known.highest if known.lowest is None else known.lowest) <= found.value <= known.highest
    else:
        assert found.isprintable()


def test_a_measurement_remembers_what_it_overrides() -> None:
    stated = parse_text("480 mm", "length")
    measured = parse_text("478.6 mm", "length", "measured", dt.date(2026, 3, 21))
    both = measured_over(stated, measured)
    assert both == Reading(478.6, "length", "measured", None, dt.date(2026, 3, 21), "478.6 mm", stated)
    assert measured_over(None, measured) == measured


def test_an_unknown_unit_cannot_be_converted() -> None:
    with pytest.raises(QuantityError, match="is not a unit of length"):
        to_canonical(1.0, "furlongs", "length")


def test_short_text_for_quoting() -> None:
    assert short("as it is, é and 星") == "as it is, é and 星"
    assert short("two\nlines\tand \x1b") == "two\\nlines\\tand \\x1b"
    assert short("x" * 60) == "x" * 60
    assert short("x" * 61) == "x" * 59 + "…"
    assert len(short("\n" * 1000)) == 60


def test_the_module_does_not_import_astropy_before_a_unit_is_met() -> None:
    code = (
        "import sys, rigleaf.quantities as quantities\n"
        "quantities.parse_text(0.8, 'number'); assert 'astropy' not in sys.modules\n"
        "quantities.parse_text('1 mm', 'length'); assert 'astropy' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
