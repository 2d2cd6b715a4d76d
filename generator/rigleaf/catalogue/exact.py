"""Quantities as exact decimals, for limits that must not be missed by a rounding: 12.8 V x 12.5 Ah is 160 Wh sharp."""

import re
from decimal import Decimal

from rigleaf.quantities import Reading

_FACTORS: dict[str, dict[str, str]] = {
    "energy": {"Wh": "1", "kWh": "1000"},
    "charge": {"Ah": "1", "mAh": "0.001"},
    "voltage": {"V": "1", "volts": "1", "mV": "0.001"},
    "power": {"W": "1", "watts": "1", "mW": "0.001", "kW": "1000"},
    "mass": {"kg": "1", "g": "0.001", "grams": "0.001", "mg": "0.000001", "lb": "0.45359237", "lbs": "0.45359237",
             "pounds": "0.45359237", "oz": "0.028349523125", "ounces": "0.028349523125"},
    "length": {"mm": "1", "cm": "10", "m": "1000", "in": "25.4", '"': "25.4", "inch": "25.4", "inches": "25.4",
               "ft": "304.8", "feet": "304.8"},
    "volume": {"l": "1", "L": "1", "litre": "1", "litres": "1", "cl": "0.01", "ml": "0.001", "mL": "0.001"},
}  # fmt: skip
"""Canonical units in one of each unit that people write; exact, the pound and the inch by their definition of 1959."""

_TEXT = re.compile(r"\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*([A-Za-z\"]+)?\s*(?:(?:\+-|\+/-|±).*)?")


def exact(reading: Reading) -> Decimal:
    """Return the value of ``reading`` in its canonical unit, as exactly as its text says it.

    Where the text is unusual (a power of ten, a rare unit), the shortest decimal of the number is returned, which
    differs from the text by less than a part in 10^15.
    """
    match = _TEXT.fullmatch(reading.text)
    factor = _FACTORS.get(reading.dimension, {}).get(match[2] or "") if match else None
    if match is None or factor is None:
        return Decimal(repr(reading.value))
    return Decimal(match[1]) * Decimal(factor)


def spread(reading: Reading) -> tuple[Decimal, Decimal]:
    """Return the least and the largest value that ``reading`` leaves open, its uncertainty counted."""
    value = exact(reading)
    error = Decimal(repr(reading.uncertainty or 0.0))
    return max(value - error, Decimal(0)), value + error
