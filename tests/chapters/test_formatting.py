"""Numbers as a reader sees them: digits, signs, spaces, and two unit systems that say the same."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.chapters.formatting import FIGURES_ONLY, Shown, decimal, show, show_box, significant, unit_of
from rigleaf.quantities import DIMENSIONS, to_canonical

NARROW, HARD = "\u202f", "\u00a0"


@pytest.mark.parametrize(
    ("value", "dimension", "first", "second"),
    [
        (4.2, "mass", "4.20 kg", "9.26 lb"),
        (12.34, "mass", "12.3 kg", "27.2 lb"),
        (0.35, "mass", "0.35 kg", "12 oz"),
        (0.012, "mass", "12 g", "0.42 oz"),
        (0.0, "mass", "0.00 kg", "0 oz"),
        (55.5, "length", "55.5 mm", "2.19 in"),
        (480.0, "length", "480 mm", "18.9 in"),
        (1350.4, "length", "1_350 mm", "53.2 in"),
        (0.02, "length", "0.02 mm", "0.00079 in"),
        (0.5, "length", "0.5 mm", "0.02 in"),
        (-17.5, "offset", "−17.5 mm", "−0.69 in"),
        (3.76, "small_length", "3.76 µm", ""),
        (-10.0, "temperature", "−10 °C", "14 °F"),
        (35.0, "temperature_step", "35 K", ""),
        (512.0, "elevation", "512 m", "1_680 ft"),
        (10.0, "speed", "10.0 m/s", "22.4 mph"),
        (2.5, "small_angle", "2.50″", ""),
        (0.75, "small_angle", "0.75″", ""),
        (1.551, "image_scale", "1.55″/px", ""),
        (0.5, "angle", "30.0′", ""),
        (3.4951, "angle", "3.50°", ""),
        (4.8, "focal_ratio", "f/4.8", ""),
        (0.85, "fraction", "85_%", ""),
        (1.0, "fraction", "100_%", ""),
        (5.0, "number", "5", ""),
        (1.2999, "number", "1.30", ""),
        (40.0, "time", "40 s", ""),
        (1200.0, "time", "20 min", ""),
        (7200.0, "time", "2 h", ""),
        (12.8, "voltage", "12.8 V", ""),
        (0.05, "current", "0.05 A", ""),
        (21.2, "sky_brightness", "21.2 mag/arcsec²", ""),
        (51000.0, "electrons", "51_000 e−", ""),
    ],
)
def test_values_are_written_as_people_write_them(value: float, dimension: str, first: str, second: str) -> None:
    def set_in_type(text: str) -> str:
        return text.replace(" ", HARD).replace("_", NARROW)

    assert show(value, dimension) == Shown(set_in_type(first), set_in_type(second))
    if second:
        assert show(value, dimension, "imperial") == Shown(set_in_type(second), set_in_type(first))
    else:
        assert show(value, dimension, "imperial") == Shown(set_in_type(first))


@pytest.mark.parametrize(
    ("value", "figures", "text"),
    [
        (0, 3, "0"),
        (1234567.0, 3, f"1{NARROW}230{NARROW}000"),
        (-0.001234, 2, "−0.0012"),
        (float("inf"), 3, "∞"),
        (99.96, 3, "100.0"),
    ],
)
def test_significant_figures(value: float, figures: int, text: str) -> None:
    assert significant(value, figures) == text


@pytest.mark.parametrize(
    ("value", "decimals", "text"), [(-0.4, 0, "0"), (-1234.5, 1, f"−1{NARROW}234.5"), (0.0, 2, "0.00")]
)
def test_decimals(value: float, decimals: int, text: str) -> None:
    assert decimal(value, decimals) == text


TWO_SYSTEMS = {
    "mm": ("length", 1.0), "in": ("length", None), "kg": ("mass", 1.0), "g": ("mass", 0.001),
    "lb": ("mass", None), "oz": ("mass", None),
    "m": ("elevation", 1.0), "ft": ("elevation", None), "m/s": ("speed", 1.0), "mph": ("speed", None),
}  # fmt: skip
"""Dimension of each unit and how much it is in the canonical one (None: as the reader of quantities has it)."""


def read_back(text: str) -> tuple[float, float]:
    """The value that a shown text stands for, in the canonical unit, and half of its last digit."""
    number, _, unit = text.replace(NARROW, "").replace("−", "-").partition(HARD)
    assert re.fullmatch(r"-?\d+(\.\d+)?", number), text
    dimension, factor = TWO_SYSTEMS[unit]
    one = to_canonical(1.0, unit, dimension) if factor is None else factor
    digits = len(number.partition(".")[2])
    last = 10.0**-digits
    if "." not in number:  # whole numbers may be rounded to significant figures
        last = 10.0 ** (len(number) - len(number.rstrip("0")))
    return float(number) * one, 0.5 * last * one


@settings(deadline=None)  # the first unit that is met takes its time
@given(
    st.sampled_from(["length", "offset", "mass", "elevation", "speed"]),
    st.floats(1e-4, 1e4).map(lambda value: float(f"{value:.6g}")),
    st.booleans(),
)
def test_both_systems_say_the_same_within_their_last_digit(dimension: str, value: float, below_zero: bool) -> None:
    if below_zero and DIMENSIONS[dimension].lowest is None:
        value = -value
    for text in show(value, dimension):
        said, half = read_back(text)
        assert said == pytest.approx(value, abs=half * (1 + 1e-6))


@settings(deadline=None)
@given(st.sampled_from(sorted({*DIMENSIONS, *FIGURES_ONLY} - {"temperature", "position_angle"})), st.floats(1e-5, 1e5))
def test_what_is_not_zero_is_never_written_as_zero_and_keeps_its_unit(dimension: str, value: float) -> None:
    for units in ("metric", "imperial"):
        for text in filter(None, show(value, dimension, units)):
            assert re.search(r"[1-9]", text), text
            assert " " not in text
            assert "e-0" not in text


@settings(deadline=None)
@given(st.floats(-60, 60))
def test_temperatures_agree_in_both_scales(value: float) -> None:
    celsius, fahrenheit = (float(text.replace("−", "-").partition(HARD)[0]) for text in show(value, "temperature"))
    assert celsius == pytest.approx(value, abs=0.5)
    assert fahrenheit == pytest.approx(value * 9 / 5 + 32, abs=0.5)


@settings(deadline=None)
@given(st.sampled_from(sorted({*DIMENSIONS, *FIGURES_ONLY})), st.floats(0.01, 1e5), st.floats(1.2, 5))
def test_the_larger_value_is_never_written_smaller(dimension: str, value: float, times: float) -> None:
    """Where two texts have the same unit, the greater value has the greater number."""
    unit = re.compile(r"[\d.,\u202f−f/]+")
    less, more = (show(one, dimension).first for one in (value, value * times))
    numbers = [
        re.sub(r"[^\d.]", "", text.replace(NARROW, "").removeprefix("f/").split(HARD)[0]) for text in (less, more)
    ]
    if unit.sub("", less) == unit.sub("", more) and dimension not in ("image_scale", "small_angle"):
        assert float(numbers[0]) <= float(numbers[1])


def test_boxes_are_written_in_both_systems() -> None:
    assert show_box((550.0, 400.0, 200.0)) == Shown(f"550 × 400 × 200{HARD}mm", f"21.7 × 15.7 × 7.9{HARD}in")
    assert show_box((550.0, 40.0, 2.5), "imperial").second == f"550 × 40 × 2.5{HARD}mm"


def test_every_dimension_has_its_unit() -> None:
    assert unit_of("length") == "mm"
    assert unit_of("focal_ratio") == unit_of("text") == unit_of("number") == ""
    assert unit_of("plate_scale") == "arcsec/mm"
    assert set(FIGURES_ONLY) & set(DIMENSIONS) == set()
