"""Quantities with units: text such as ``"55 mm +- 0.5 mm"`` to and from plain numbers.

Inside the program every dimension has one canonical unit (DIMENSIONS), so that the physics works on
plain floats. Units are understood by astropy.units; it is imported only when a unit is met for the
first time, and each pair of unit and dimension is looked up once.
"""

import datetime as dt
import math
import re
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Literal, NamedTuple

from rigleaf.nearest import nearest

Basis = Literal["stated", "measured", "assumed", "computed"]


class Dimension(NamedTuple):
    """What a value measures.

    ``unit`` is the unit of the plain number ("" for pure numbers); ``example`` is quoted in faults;
    ``lowest`` is the least value that makes sense (None: as far below zero as ``highest`` is above it);
    ``kind`` is the astropy unit string; ``highest`` is the greatest value that makes sense, far above
    anything that people carry: it catches "55 Mm", and keeps the physics clear of overflow.
    """

    unit: str
    example: str
    lowest: float | None
    kind: str
    highest: float = math.inf


DIMENSIONS: dict[str, Dimension] = {
    "length": Dimension("mm", "55 mm", 0.0, "mm", 1e6),
    "optical_length": Dimension("mm", "55 mm", 0.0, "mm", 1e6),
    "offset": Dimension("mm", "-12.5 mm", None, "mm", 1e6),
    "small_length": Dimension("um", "3.76 um", 0.0, "um", 1e6),
    "wavelength": Dimension("nm", "550 nm", 0.0, "nm", 1e5),
    "elevation": Dimension("m", "420 m", None, "m", 1e4),
    "distance": Dimension("m", "900 m", 0.0, "m", 1e5),
    "mass": Dimension("kg", "4.2 kg", 0.0, "kg", 1e5),
    "time": Dimension("s", "40 min", 0.0, "s", 1e7),
    "power": Dimension("W", "7.5 W", 0.0, "W", 1e5),
    "energy": Dimension("Wh", "296 Wh", 0.0, "W h", 1e6),
    "voltage": Dimension("V", "12.8 V", 0.0, "V", 1e4),
    "current": Dimension("A", "5 A", 0.0, "A", 1e4),
    "charge": Dimension("Ah", "20 Ah", 0.0, "A h", 1e5),
    "angle": Dimension("deg", "52.4 deg", None, "deg", 360.0),
    "small_angle": Dimension("arcsec", "2.5 arcsec", 0.0, "arcsec", 1_296_000.0),
    "temperature": Dimension("degC", "-10 degC", -273.15, "deg_C", 1000.0),
    "temperature_step": Dimension("K", "35 K", 0.0, "K", 1000.0),
    "torque": Dimension("N m", "25 N m", 0.0, "N m", 1e5),
    "speed": Dimension("m/s", "6 m/s", 0.0, "m / s", 1000.0),
    "volume": Dimension("l", "100 ml", 0.0, "l", 1000.0),
    "data": Dimension("GB", "256 GB", 0.0, "Gbyte", 1e7),
    "electrons": Dimension("e-", "1.5 e-", 0.0, "electron", 1e8),
    "electron_rate": Dimension("e-/s", "0.002 e-/s", 0.0, "electron / s", 1e8),
    "sky_brightness": Dimension("mag/arcsec2", "21.3 mag/arcsec2", None, "mag / arcsec2", 30.0),
    "image_scale": Dimension("arcsec/px", "1.55 arcsec/px", 0.0, "arcsec / pix", 1e6),
    "number": Dimension("", "0.8", None, "", 1e6),
    "fraction": Dimension("", "85 %", 0.0, "percent", 1.0),
}
"""Every dimension that YAML may state."""

# What a dimension is called in a fault, where its own name would puzzle.
_WORDS: dict[str, str] = {
    "offset": "length",
    "optical_length": "length",
    "small_length": "length",
    "small_angle": "angle",
    "elevation": "height",
    "temperature_step": "temperature difference",
    "electrons": "charge in electrons",
    "electron_rate": "rate of electrons",
    "fraction": "a fraction",
}

SPELLINGS: dict[str, str] = {
    '"': "inch",
    "in": "inch",
    "inches": "inch",
    "feet": "foot",
    "yards": "yard",
    "lbs": "lb",
    "pounds": "lb",
    "ounces": "oz",
    "metre": "m",
    "metres": "m",
    "millimetre": "mm",
    "millimetres": "mm",
    "degC": "deg_C",
    "°C": "deg_C",
    "C": "deg_C",
    "degF": "deg_F",
    "°F": "deg_F",
    "F": "deg_F",
    "degrees": "deg",
    "e-": "electron",
    "e": "electron",
    "electrons": "electron",
    "e-/s": "electron / s",
    "e/s": "electron / s",
    "Nm": "N m",
    "N·m": "N m",
    "Wh": "W h",
    "kWh": "kW h",
    "Ah": "A h",
    "mAh": "mA h",
    "hours": "h",
    "minutes": "min",
    "seconds": "s",
    "sec": "s",
    "grams": "g",
    "amps": "A",
    "volts": "V",
    "watts": "W",
    "km/h": "km / h",
    "mph": "mile / h",
    "litre": "l",
    "litres": "l",
    "mag/arcsec2": "mag / arcsec2",
    "mag/arcsec²": "mag / arcsec2",
    "arcsec/px": "arcsec / pix",
}
"""Spellings that people write and astropy.units does not know; feet, pounds and the like it does know."""

# The marks of minutes and seconds of arc, tried where the spellings above (an inch) do not fit.
_ANGLE_MARKS = {'"': "arcsec", "''": "arcsec", "'": "arcmin"}

# What a mistyped unit is compared with, beside SPELLINGS.
_COMMON = (
    "mm", "cm", "m", "km", "um", "nm", "ft", "g", "kg", "lb", "oz", "s", "min", "h", "W", "mW", "kW", "J",
    "V", "A", "mA", "deg", "arcmin", "arcsec", "K", "m/s", "l", "ml", "%",
)  # fmt: skip

_MOST_CHARACTERS = 100

FINEST = 1e-15
"""A value that is no zero is at least this part of the greatest one; it keeps the physics clear of overflow too."""

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(
    rf"(?P<value>{_NUMBER})\s*(?P<unit>[^\d\s+±./-][^+±]*?)?\s*"
    rf"(?:(?:\+-|\+/-|±)\s*(?P<error>{_NUMBER})\s*(?P<error_unit>[^\d\s].*)?)?"
)


class QuantityError(ValueError):
    """Text that is not a quantity of the dimension asked for; the message says what would be."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One value as somebody gave it.

    ``value`` and ``uncertainty`` are in the canonical unit of ``dimension``; ``basis`` says who says so;
    ``date`` is the day of a measurement; ``text`` is what stood in the YAML; ``stated`` is the maker's
    value where a measurement overrides it.
    """

    value: float
    dimension: str
    basis: Basis = "stated"
    uncertainty: float | None = None
    date: dt.date | None = None
    text: str = ""
    stated: "Reading | None" = None


@lru_cache(maxsize=4096)
def _converter(unit: str, dimension: str) -> tuple[float, float] | None:
    """Return scale and zero offset from ``unit`` to the canonical unit, or None if they do not fit."""
    for spelling in (SPELLINGS.get(unit), _ANGLE_MARKS.get(unit), unit):
        if spelling and (found := _factors(spelling, dimension)):
            return found
    return None


def _factors(unit: str, dimension: str) -> tuple[float, float] | None:
    """Return scale and zero offset from an astropy unit, or None if it is none or does not fit."""
    given = _unit(unit)
    if given is None:
        return None
    from astropy import units as u
    from astropy.units import imperial

    try:
        if dimension.startswith("temperature"):
            scales = {u.deg_C: (1.0, 0.0), imperial.deg_F: (5.0 / 9.0, -160.0 / 9.0), u.K: (1.0, -273.15)}
            scale, zero = scales[given]
            # A difference has no zero point: 10 degC of cooling is 10 K, 18 degF is 10 K.
            return scale, 0.0 if dimension == "temperature_step" else zero
        scale = float((1.0 * given).to_value(u.Unit(DIMENSIONS[dimension].kind)))
    except (ValueError, TypeError, KeyError, ArithmeticError):  # astropy's own are among these
        return None
    if dimension == "fraction":
        scale /= 100.0
    return scale, 0.0


@lru_cache(maxsize=4096)
def _unit(unit: str) -> Any:
    """Return an astropy unit, or None if it is none, which takes long to find out: it looks for near ones each time."""
    from astropy import units as u  # late: costs a fifth of a second that many commands never need
    from astropy.units import imperial

    try:
        with u.add_enabled_units(imperial):
            return u.Unit(unit)
    except (ValueError, TypeError, KeyError, ArithmeticError):  # astropy's own are among these
        return None


def is_unit(unit: str, dimension: str) -> bool:
    """Say whether ``unit`` measures this dimension."""
    return _converter(unit, dimension) is not None


def is_common_unit(unit: str) -> bool:
    """Say whether ``unit`` is one that people often write, without looking it up among all that there are."""
    return unit in _COMMON or unit in SPELLINGS or any(unit and unit == known.unit for known in DIMENSIONS.values())


def to_canonical(value: float, unit: str, dimension: str) -> float:
    """Convert ``value`` in ``unit`` to the canonical unit of ``dimension``.

    Raises:
        QuantityError: when the unit is unknown or measures something else.
    """
    found = _converter(unit, dimension)
    if found is None:
        raise QuantityError(_wrong_unit(unit, dimension))
    return value * found[0] + found[1]


def _wrong_unit(unit: str, dimension: str) -> str:
    known = [spelling for spelling in (*_COMMON, *SPELLINGS) if _converter(spelling, dimension)]
    near = next((spelling for spelling in known if spelling.casefold() == unit.casefold()), None)
    measures = (name for name, other in DIMENSIONS.items() if other.unit or name == "fraction")
    other = next((name for name in measures if _converter(unit, name)), None)
    if other is None or near:  # 'ah' is no atto-hour but a mistyped 'Ah'
        wrong, near = f"'{short(unit)}' is not a unit of {_word(dimension)}", near or nearest(unit, known)
    else:
        wrong = f"'{short(unit)}' is a unit of {_word(other)}, not of {_word(dimension)}"
    return f"{wrong}; " + (f"did you mean '{near}'?" if near else f"write it like '{DIMENSIONS[dimension].example}'")


def _word(dimension: str) -> str:
    return _WORDS.get(dimension, dimension.replace("_", " "))


def parse_text(text: str | float, dimension: str, basis: Basis = "stated", on: dt.date | None = None) -> Reading:
    """Read a quantity with optional uncertainty, such as ``"55 mm +- 0.5 mm"`` or ``"31 W +- 5 %"``.

    Args:
        text: what stands in the YAML; a bare number is accepted for pure numbers only.
        dimension: a key of DIMENSIONS.
        basis: who says so.
        on: the day of a measurement.

    Raises:
        QuantityError: with a sentence that says what would be right.
    """
    known = DIMENSIONS[dimension]
    value_text, unit, error_text, error_unit = _split(str(text), known.example)
    if error_text and not unit and error_unit != "%":
        unit = error_unit  # "55 +- 0.5 mm": one unit for both
    if not unit and known.unit:
        example = known.example if error_text else f"{value_text} {known.example.partition(' ')[2]}"
        raise QuantityError(f"'{short(text)}' needs a unit, such as '{example}'")
    if unit and not known.unit and dimension != "fraction":
        cure = f"write it without a unit, like '{known.example}'"
        raise QuantityError(f"'{short(text)}' is a pure number here; {cure}")
    value = (to_canonical(float(value_text), unit, dimension) if unit else float(value_text)) + 0.0  # no -0.0
    error = _uncertainty(error_text, error_unit or unit, value, dimension) if error_text else None
    _check_limits(short(text), value, error, dimension, bool(unit))
    return Reading(value, dimension, basis, error, on, str(text))


def _split(text: str, example: str) -> tuple[str, str, str, str]:
    """Return number, unit, uncertainty and its unit as they stand in ``text``, "" for what is not there."""
    # A minus sign as pages print it; the limit keeps the matching of hostile text short.
    plain = text.strip().replace("−", "-")
    match = _QUANTITY.fullmatch(plain) if len(plain) <= _MOST_CHARACTERS else None
    if re.search(r"\d,\d", plain):
        whole = f"'{short(plain.replace(',', ''))}' or " if re.search(r"\d,\d{3}(?!\d)", plain) else ""
        raise QuantityError(f"'{short(text)}' has a comma; write {whole}'{short(plain.replace(',', '.'))}'")
    if match is None or re.search(r"\s\d", match["unit"] or ""):
        cure = f"'{example}'" + (f" or '{example} +- 5 %'" if "+" in plain[1:] or "±" in plain else "")
        raise QuantityError(f"'{short(text)}' is not a quantity; write it like {cure}")
    return match["value"], match["unit"] or "", match["error"] or "", match["error_unit"] or ""


def _uncertainty(number: str, unit: str, value: float, dimension: str) -> float:
    error = float(number)
    if error < 0:
        cure = f"write it like '+- {number.lstrip('-')}'"
        raise QuantityError(f"the uncertainty '{number}' is negative; {cure}")
    if unit == "%" and dimension != "fraction":
        return abs(value) * error / 100.0
    if not unit:
        return error
    found = _converter(unit, dimension)
    if found is None:
        raise QuantityError(_wrong_unit(unit, dimension))
    return error * found[0]


def _check_limits(text: str, value: float, error: float | None, dimension: str, has_unit: bool) -> None:
    known = DIMENSIONS[dimension]
    lowest = -known.highest if known.lowest is None else known.lowest
    if value < lowest:
        raise QuantityError(f"'{text}' is below the least that makes sense ({_limit(lowest, dimension)})")
    if value > known.highest:
        if dimension == "fraction" and not has_unit and value <= 100:
            raise QuantityError(f"'{text}' is more than the whole; did you mean '{value:g} %'?")
        raise QuantityError(f"'{text}' is above the most that makes sense ({_limit(known.highest, dimension)})")
    if known.lowest == 0 and 0 < value < FINEST * known.highest:
        raise QuantityError(f"'{text}' is too little to make sense; write it like '{known.example}'")
    if error is not None and not error <= known.highest:  # no number at all is not below it
        raise QuantityError(f"the uncertainty in '{text}' is larger than any value that makes sense")


def _limit(value: float, dimension: str) -> str:
    if dimension == "fraction":
        return f"{value:.0%}".replace("%", " %")
    number = f"{value:,.0f}" if value.is_integer() else f"{value:g}"
    return f"{number} {DIMENSIONS[dimension].unit}".rstrip()


def short(text: object, most: int = 60) -> str:
    """Return ``text`` for quoting in a sentence: one line of visible characters, at most ``most`` of them."""
    shown = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in str(text)[: most + 1])
    return shown if len(shown) <= most else shown[: most - 1] + "…"


def measured_over(stated: Reading | None, measured: Reading) -> Reading:
    """Return the measurement, remembering the maker's value that it overrides."""
    return replace(measured, stated=stated)
