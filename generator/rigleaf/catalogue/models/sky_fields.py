"""Field types for places in the sky: right ascension and declination as people write them."""

import re
from typing import Annotated, Any

from pydantic import PlainValidator, WithJsonSchema

from rigleaf.catalogue.models.quantity_field import QuantityField, refuse
from rigleaf.catalogue.wording import shown
from rigleaf.quantities import Reading

_MOST_CHARACTERS = 100
_NUMBER = r"(\d{1,3}(?:\.\d*)?)"
_HOURS = re.compile(rf"{_NUMBER}\s*h(?:\s*{_NUMBER}\s*m(?:in)?)?(?:\s*{_NUMBER}\s*s(?:ec)?)?")
_DEGREES = re.compile(rf"([+-]?)\s*{_NUMBER}\s*[d°](?:\s*{_NUMBER}\s*['′m])?(?:\s*{_NUMBER}\s*(?:[\"″s]|''))?")

_RA = QuantityField("angle", lowest=0.0, highest=360.0)
_DEC = QuantityField("angle", lowest=-90.0, highest=90.0)
RA_EXAMPLE, DEC_EXAMPLE = "5h 35.3m", "-5d 23'"


def _sixty(parts: tuple[str | None, ...], raw: object) -> float:
    """Return the sum of whole ones, sixtieths and sixtieths of those."""
    whole, minutes, seconds = (float(part or 0) for part in parts)
    if minutes >= 60 or seconds >= 60:
        refuse("place", f"{shown(raw)} has 60 or more minutes or seconds")
    return whole + minutes / 60 + seconds / 3600


def _text(raw: object) -> str:
    # Longer text is no place, and could make the matching slow.
    return raw.strip().replace("−", "-") if isinstance(raw, str) and len(raw) <= _MOST_CHARACTERS else ""


def _read_ra(raw: object) -> Reading:
    if match := _HOURS.fullmatch(_text(raw)):
        hours = _sixty(match.groups(), raw)
        if hours > 24:
            refuse("place", f"{shown(raw)} is more than 24 hours")
        return Reading(15 * hours, "angle", text=str(raw))
    if isinstance(raw, (int, float)) or not re.search(r"[a-zA-Z°]", _text(raw)):
        refuse("place", f"{shown(raw)} is not a right ascension; write it like '{RA_EXAMPLE}' or '83.82 deg'")
    return _RA.read(raw)


def _read_dec(raw: object) -> Reading:
    if match := _DEGREES.fullmatch(_text(raw)):
        degrees = _sixty(match.groups()[1:], raw)
        if degrees > 90:
            refuse("place", f"{shown(raw)} is not between -90 deg and 90 deg")
        return Reading((-degrees if match[1] == "-" else degrees) + 0.0, "angle", text=str(raw))
    if isinstance(raw, (int, float)) or not re.search(r"[a-zA-Z°]", _text(raw)):
        refuse("place", f"{shown(raw)} is not a declination; write it like \"{DEC_EXAMPLE}\" or '-5.39 deg'")
    return _DEC.read(raw)


def _schema(example: str, other: str) -> dict[str, Any]:
    return {"type": "string", "examples": [example, other], "x-dimension": "angle"}


RightAscension = Annotated[Reading, PlainValidator(_read_ra), WithJsonSchema(_schema(RA_EXAMPLE, "83.82 deg"))]
"""In hours, minutes and seconds, or in degrees; kept in degrees."""
Declination = Annotated[Reading, PlainValidator(_read_dec), WithJsonSchema(_schema(DEC_EXAMPLE, "-5.39 deg"))]
"""In degrees, minutes and seconds of arc, or in degrees."""
