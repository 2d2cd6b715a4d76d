"""Numbers as a reader sees them: sensible digits, the guide's unit system first and the other beside it."""

import math
import re
from collections.abc import Callable
from typing import NamedTuple

from rigleaf.quantities import DIMENSIONS, Reading, to_canonical
from rigleaf.words import in_digits

# Unit shown beside the metric one, by dimension; what is missing here has no second system.
_IMPERIAL: dict[str, str] = {
    "length": "in",
    "offset": "in",
    "mass": "lb",
    "elevation": "ft",
    "distance": "ft",
    "speed": "mph",
    "temperature": "°F",
}

# Digits after the point where significant figures would read oddly.
_DECIMALS: dict[str, int] = {
    "mass": 2,
    "temperature": 0,
    "voltage": 1,
    "sky_brightness": 1,
    "angle": 1,
    "current": 1,
    "torque": 1,
    "speed": 1,
}

FIGURES_ONLY: dict[str, str] = {
    "focal_ratio": "", "factor": "", "stops": "stops", "tilt": "arcmin", "gap": "mm", "pixels": "px",
    "plate_scale": "arcsec/mm", "sky_area": "arcsec2", "focus_shift": "um/K",
    "magnitude": "mag", "pixel_rate": "e-/s/px", "drift": "arcsec/min", "drive_rate": "arcsec/s", "turn": "deg/h",
    "chance": "", "hours": "h",
    "position_angle": "deg", "drag_area": "m2", "air_density": "kg/m3",
}  # fmt: skip
"""Dimensions that only figures have, with their units: no YAML states them."""

_SIGN: dict[str, str] = {
    "um": "µm", "degC": "°C", "deg": "°", "arcsec": "″", "e-": "e−", "N m": "N\u00a0m",
    "um/K": "µm/K", "mag/arcsec2": "mag/arcsec²", "arcsec/px": "″/px",
    "arcsec/mm": "″/mm", "arcsec2": "arcsec²",
    "e-/s/px": "e−/s/px", "deg/h": "°/h", "m2": "m²", "kg/m3": "kg/m³",
}  # fmt: skip


class Shown(NamedTuple):
    """A value in words: in the guide's own units, and in the other system ("" where there is none)."""

    first: str
    second: str = ""


def _in_language(first: str, second: str = "") -> Shown:
    """Return a value with the decimal sign of the language that is spoken."""
    return Shown(in_digits(first), in_digits(second))


def unit_of(dimension: str) -> str:
    """Return the canonical unit of a dimension that YAML states or a figure has; "" for pure numbers and texts."""
    if dimension in FIGURES_ONLY:
        return FIGURES_ONLY[dimension]
    return DIMENSIONS[dimension].unit if dimension in DIMENSIONS else ""


def significant(value: float, figures: int = 3) -> str:
    """Return ``value`` with so many significant figures, never in powers of ten."""
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else "∞"
    decimals = figures - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, decimals)
    return f"{rounded:,.{max(decimals, 0)}f}".replace(",", "\u202f").replace("-", "−")


def decimal(value: float, decimals: int) -> str:
    """Return ``value`` with so many digits after the point and a true minus sign."""
    text = f"{value:,.{decimals}f}".replace(",", "\u202f")
    return "0" if text.strip("-0.") == "" and decimals == 0 else text.replace("-", "−")


def show(value: float, dimension: str, units: str = "metric") -> Shown:
    """Write a value in its canonical unit for people.

    Args:
        value: number in the canonical unit of ``dimension``.
        dimension: key of DIMENSIONS.
        units: "metric" or "imperial": which system stands first.
    """
    metric = _one(value, dimension)
    other = _other(value, dimension)
    if not other:
        return _in_language(metric)
    return _in_language(other, metric) if units == "imperial" else _in_language(metric, other)


def _one(value: float, dimension: str) -> str:
    if dimension in _SPECIAL:
        return _SPECIAL[dimension](value)
    unit = unit_of(dimension)
    decimals = _DECIMALS.get(dimension)
    text = significant(value) if decimals is None else _fixed(value, decimals)
    return _with_unit(text, _SIGN.get(unit, unit))


def _mm(value: float) -> str:
    return _with_unit(decimal(value, 0) if abs(value) >= 100 else _trimmed(value, 1), "mm")


def _mass(value: float) -> str:
    if 0 < abs(value) < 0.1:
        return _with_unit(_short(value * 1000), "g")
    return _with_unit(decimal(value, 1) if abs(value) >= 10 else _fixed(value, 2), "kg")


def _with_unit(text: str, unit: str) -> str:
    return f"{text}\u00a0{unit}".rstrip("\u00a0")


def _trimmed(value: float, decimals: int) -> str:
    return _fixed(value, decimals).removesuffix(".0")


def _fixed(value: float, decimals: int) -> str:
    """Return ``value`` with so many digits after the point, or with more where they would leave little of it."""
    small = decimals > 0 and 0 < abs(value) < 10 ** (1 - decimals)
    return _short(value) if small else decimal(value, decimals)


def _short(value: float) -> str:
    """Return ``value`` with at most two significant figures: 0.5, 0.05, 0.25."""
    text = significant(value, 2)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _time(seconds: float) -> str:
    if seconds < 90:
        return f"{significant(seconds, 2)}\u00a0s"
    if seconds < 90 * 60:
        return f"{decimal(seconds / 60, 0)}\u00a0min"
    return f"{_trimmed(seconds / 3600, 1)}\u00a0h"


_SPECIAL: dict[str, Callable[[float], str]] = {
    "time": _time,
    "fraction": lambda value: f"{significant(value * 100, 2 if value < 0.995 else 3)}\u202f%",
    "focal_ratio": lambda value: f"f/{significant(value, 2)}",
    "factor": lambda value: _with_unit(significant(value, 2), "times"),
    "gap": lambda value: _with_unit(_trimmed(value, 2), "mm"),
    "tilt": lambda value: f"{significant(value, 2)}′",
    "stops": lambda value: _with_unit(_fixed(value, 2), "stops"),
    "position_angle": lambda value: f"{decimal(value, 0)}°",
    "angle": lambda value: f"{significant(value * 60)}′" if abs(value) < 1 else f"{significant(value)}°",
    "small_angle": lambda value: f"{significant(value, 3 if value >= 1 else 2)}″",
    "image_scale": lambda value: f"{significant(value, 3 if value >= 1 else 2)}″/px",
    "number": lambda value: decimal(value, 0) if value == round(value) else significant(value),
    "magnitude": lambda value: _fixed(value, 1),
    "chance": lambda value: ">99\u202f%" if value > 0.99 else f"{significant(value * 100, 2)}\u202f%",
    "drive_rate": lambda value: f"{significant(value, 2)}″/s",
    "drift": lambda value: f"{significant(value, 2)}″/min",
    "data": lambda value: _with_unit(_fixed(value, 1), "GB"),
    "hours": lambda value: _with_unit(_trimmed(value, 1), "h"),
    "temperature_step": lambda value: _with_unit(_trimmed(value, 1), "K"),
    "length": _mm,
    "offset": _mm,
    "optical_length": _mm,
    "mass": _mass,
    "distance": lambda value: _with_unit(decimal(value, 0) if value >= 10 else _trimmed(value, 1), "m"),
}
"""Dimensions that the trade writes in a way of their own."""


def _other(value: float, dimension: str) -> str:
    unit = _IMPERIAL.get(dimension)
    if unit is None:
        return ""
    # The exchange runs through the same register of units as the reading did.
    if dimension == "temperature":
        return _with_unit(decimal(value * 9 / 5 + 32, 0), unit)
    converted = value / to_canonical(1.0, unit, dimension)
    if dimension == "mass" and abs(converted) < 1:
        return _with_unit(significant(converted * 16, 2), "oz")
    if dimension == "distance":
        return _with_unit(decimal(converted, 0) if converted >= 10 else _trimmed(converted, 1), unit)
    if dimension in ("length", "offset"):
        return _with_unit(_fixed(converted, 1 if abs(converted) >= 10 else 2), unit)
    return _with_unit(significant(converted, 3), unit)


def show_box(sides: tuple[float, float, float], units: str = "metric") -> Shown:
    """Write outer dimensions, given in mm, in both unit systems."""
    metric = _with_unit(" × ".join(decimal(side, 0) if side >= 10 else _short(side) for side in sides), "mm")
    inches = [side / to_canonical(1.0, "in", "length") for side in sides]
    imperial = _with_unit(" × ".join(_fixed(side, 1) for side in inches), "in")
    return _in_language(imperial, metric) if units == "imperial" else _in_language(metric, imperial)


def unit_sign(unit: str) -> str:
    """Return a unit as prose writes it: micrometres and squares with their signs, the others as they are."""
    return {"um": "µm", "um/K": "µm/K", "arcsec2": "arcsec²", "m2": "m²", "m3": "m³", "kg/m3": "kg/m³"}.get(unit, unit)


_IMPERIAL_TEXT = re.compile(r"\d\s*(?:\"|in|inch|inches|ft|foot|feet|lbs?|oz|mph|degF|°F|F)\b|\d\s*\"")
_PRETTY: tuple[tuple[str, str], ...] = (
    (r"\s*(?:\+-|\+/-|±)\s*", " ± "),
    (r"(?<=\d)\s*arcsec/px", "″/px"),
    (r"arcsec2", "arcsec²"),
    (r"(?<=\d)\s*arcsec\b", "″"),
    (r"(?<=\d)\s*arcmin\b", "′"),
    (r"(?<=\d)\s*deg\b", "°"),
    (r"\bdeg(?=[CF]\b)", "°"),
    (r"\bum\b", "µm"),
    (r"\be-", "e−"),
    (r"(?<![\w.])-(?=\d)", "−"),
    (r"(?<=\d) +(?=[^\d\s±])", "\u00a0"),
)


def as_written(reading: Reading, units: str = "metric", *, error: bool = True) -> Shown:
    """Write what somebody gave as they gave it, so that no digit is lost or gained; the other system is computed.

    Args:
        reading: the value with its text.
        units: "metric" or "imperial": which system stands first.
        error: whether the uncertainty is kept.
    """
    shown = show(reading.value, reading.dimension, units)
    text = reading.text if error else re.split(r"\+-|\+/-|±", reading.text)[0]
    for pattern, sign in _PRETTY:
        text = re.sub(pattern, sign, text.strip())
    if not text:
        return shown
    own = "imperial" if _IMPERIAL_TEXT.search(reading.text) else "metric"
    if not shown.second:
        return _in_language(text if own == "metric" else shown.first)
    return _in_language(text, shown.second) if own == units else _in_language(shown.first, text)
