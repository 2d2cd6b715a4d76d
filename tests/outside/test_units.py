"""Conversions of units against exact published values.

Sources, quoted from memory:

* International yard and pound: agreement of 1 July 1959 between the standards laboratories of six countries:
  1 yd = 0.9144 m and 1 lb = 0.45359237 kg, both exact. Hence 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 oz = 1/16 lb.
* NIST Special Publication 811 (2008), appendix B: t/degC = (t/degF - 32)/1.8, T/K = t/degC + 273.15;
  1 h = 3600 s; 1 deg = 60 arcmin = 3600 arcsec; 1 kW h = 3.6 MJ; 1 A h = 3600 C; 1 l = 1 dm3;
  1 mile = 1609.344 m; 1 knot = 1852/3600 m/s.
* The boiling point of water as Fahrenheit's scale has it: 212 degF = 100 degC; both scales meet at -40.
"""

import pytest

from rigleaf.quantities import parse_text, to_canonical


@pytest.mark.parametrize(
    ("value", "unit", "dimension", "exact"),
    [
        (1.0, "in", "length", 25.4),
        (1.0, '"', "length", 25.4),
        (1.0, "ft", "length", 304.8),
        (1.0, "yd", "length", 914.4),
        (1.0, "cm", "length", 10.0),
        (1.0, "in", "small_length", 25_400.0),
        (1.0, "ft", "elevation", 0.3048),
        (1.0, "lb", "mass", 0.45359237),
        (16.0, "oz", "mass", 0.45359237),
        (1.0, "g", "mass", 0.001),
        (1.0, "h", "time", 3600.0),
        (1.0, "deg", "small_angle", 3600.0),
        (1.0, "arcmin", "small_angle", 60.0),
        (60.0, "arcmin", "angle", 1.0),
        (3.6, "MJ", "energy", 1000.0),
        (1.0, "kWh", "energy", 1000.0),
        (3600.0, "C", "charge", 1.0),
        (1000.0, "mAh", "charge", 1.0),
        (1.0, "dm3", "volume", 1.0),
        (1.0, "mph", "speed", 1609.344 / 3600),
        (1.0, "kn", "speed", 1852 / 3600),
        (32.0, "degF", "temperature", 0.0),
        (212.0, "degF", "temperature", 100.0),
        (-40.0, "degF", "temperature", -40.0),
        (-459.67, "degF", "temperature", -273.15),
        (273.15, "K", "temperature", 0.0),
        (1.8, "degF", "temperature_step", 1.0),
        (1.0, "degC", "temperature_step", 1.0),
        (1.0, "%", "fraction", 0.01),
    ],
)
def test_exact_conversions(value: float, unit: str, dimension: str, exact: float) -> None:
    assert to_canonical(value, unit, dimension) == pytest.approx(exact, rel=1e-14, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "exact"),
    [
        ("2 in", "length", 50.8),
        ("1.25 in", "length", 31.75),
        ("22 lb", "mass", 22 * 0.45359237),
        ("68 degF", "temperature", 20.0),
    ],
)
def test_text_as_people_write_it(text: str, dimension: str, exact: float) -> None:
    assert parse_text(text, dimension).value == pytest.approx(exact, rel=1e-14)
