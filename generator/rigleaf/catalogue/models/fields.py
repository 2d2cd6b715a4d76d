"""Field types of the models: quantities, sizes, connections and words, each read from plain YAML values.

A quantity may be written as text (``"4.2 kg"``, ``"55 mm +- 0.5 mm"``) or as a mapping with any of the keys
``stated``, ``measured`` and ``on`` (the day of the measurement). Measured wins over stated.
"""

import datetime as dt
import math
import re
from dataclasses import dataclass
from typing import Annotated, Any, NamedTuple, NoReturn

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainValidator,
    StringConstraints,
    WithJsonSchema,
)
from pydantic_core import PydanticCustomError

from rigleaf.catalogue.models.connections import Connection, read_connection
from rigleaf.catalogue.wording import shown
from rigleaf.nearest import nearest
from rigleaf.quantities import DIMENSIONS, QuantityError, Reading, measured_over, parse_text, short


class Entry(BaseModel):
    """Base of all models: unknown keys are refused and nothing changes after reading."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, arbitrary_types_allowed=True, populate_by_name=False
    )


class Box(NamedTuple):
    """Outer dimensions in mm, in the order given."""

    length: float
    width: float
    height: float


class Pixels(NamedTuple):
    """Number of pixels along the long and the short side as the maker counts them."""

    across: int
    down: int


class Offset(NamedTuple):
    """Place of a second sensor's centre from the main one's in mm, along its long and its short side."""

    x: float
    y: float


def refuse(code: str, message: str, *, at: str | int | None = None) -> NoReturn:
    """Refuse a value with a whole sentence; ``at`` is the key or index inside the value that is at fault."""
    # The message travels as context so that braces in a user's text are never read as placeholders.
    raise PydanticCustomError("rigleaf_" + code, "{message}", {"message": message, "at": at})


@dataclass(frozen=True, slots=True)
class _Quantity:
    """What one field takes: a dimension, and the limits of this field where they are narrower."""

    dimension: str
    positive: bool = False
    lowest: float = -math.inf
    highest: float = math.inf

    def read(self, raw: object) -> Reading:
        """Read text, or a mapping of ``stated``, ``measured`` and ``on``."""
        if isinstance(raw, dict):
            return self._both(raw)
        return self.one(raw)

    def one(self, raw: object, at: str | int | None = None, on: dt.date | None = None) -> Reading:
        """Read text; ``at`` is its key or index inside the value of the field."""
        if isinstance(raw, bool) or not isinstance(raw, (str, int, float)):
            cure = f"write it like '{DIMENSIONS[self.dimension].example}'"
            refuse("quantity", f"{shown(raw)} is not a quantity; {cure}", at=at)
        try:
            reading = parse_text(raw, self.dimension, "measured" if at == "measured" else "stated", on)
        except QuantityError as error:
            refuse("quantity", str(error), at=at)
        if self.positive and reading.value <= 0:
            refuse("quantity", f"{shown(raw)} must be more than zero", at=at)
        if not self.lowest <= reading.value <= self.highest:
            unit = DIMENSIONS[self.dimension].unit
            refuse(
                "quantity",
                f"{shown(raw)} is not between {self.lowest:g} {unit} and {self.highest:g} {unit}",
                at=at,
            )
        return reading

    def _both(self, raw: dict[str, object]) -> Reading:
        for key in raw:
            if key not in ("stated", "measured", "on"):
                near = nearest(key, ("stated", "measured", "on"))
                cure = f"did you mean '{near}'?" if near else "a quantity has 'stated', 'measured' and 'on'"
                refuse("unknown-key", f"unknown key '{short(key)}' in a quantity; {cure}", at=key)
        if "stated" not in raw and "measured" not in raw:
            refuse("quantity", "neither 'stated' nor 'measured' is given here")
        on = None
        if "on" in raw:
            on = _day(raw["on"])
            if "measured" not in raw:
                refuse("date", "'on' is the day of a measurement, but 'measured' is missing", at="on")
        stated = self.one(raw["stated"], "stated") if "stated" in raw else None
        if "measured" not in raw:
            assert stated is not None  # noqa: S101 - one of the two is there
            return stated
        return measured_over(stated, self.one(raw["measured"], "measured", on))

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema of such a field."""
        known = DIMENSIONS[self.dimension]
        one = {"type": "string" if known.unit else ["string", "number"]}
        both = {
            "type": "object",
            "description": "What the maker states and what the club measured; measured wins.",
            "properties": {
                "stated": {"description": "As the maker states it.", **one},
                "measured": {"description": "As the club measured it.", **one},
                "on": {"description": "Day of the measurement.", "type": "string", "format": "date"},
            },
            "additionalProperties": False,
            "anyOf": [{"required": ["stated"]}, {"required": ["measured"]}],
            "dependentRequired": {"on": ["measured"]},
        }
        return {"anyOf": [one, both], "examples": [known.example], "x-dimension": self.dimension}


def _day(raw: object) -> dt.date:
    try:
        if isinstance(raw, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", raw):
            return dt.date.fromisoformat(raw)
    except ValueError:
        pass
    refuse("date", f"{shown(raw)} is not a date; write it like 2026-03-21", at="on")


def _quantity(dimension: str, **limits: Any) -> tuple[PlainValidator, WithJsonSchema]:
    quantity = _Quantity(dimension, **limits)
    return PlainValidator(quantity.read), WithJsonSchema(quantity.schema())


Length = Annotated[Reading, *_quantity("length")]
SmallLength = Annotated[Reading, *_quantity("small_length")]
SignedLength = Annotated[Reading, *_quantity("offset")]
Wavelength = Annotated[Reading, *_quantity("wavelength", positive=True)]
Elevation = Annotated[Reading, *_quantity("elevation")]
Mass = Annotated[Reading, *_quantity("mass")]
Time = Annotated[Reading, *_quantity("time")]
Power = Annotated[Reading, *_quantity("power")]
Energy = Annotated[Reading, *_quantity("energy", positive=True)]
Voltage = Annotated[Reading, *_quantity("voltage", positive=True)]
Current = Annotated[Reading, *_quantity("current", positive=True)]
Charge = Annotated[Reading, *_quantity("charge", positive=True)]
Angle = Annotated[Reading, *_quantity("angle")]
SmallAngle = Annotated[Reading, *_quantity("small_angle")]
Temperature = Annotated[Reading, *_quantity("temperature")]
TemperatureStep = Annotated[Reading, *_quantity("temperature_step")]
Torque = Annotated[Reading, *_quantity("torque", positive=True)]
Speed = Annotated[Reading, *_quantity("speed")]
Volume = Annotated[Reading, *_quantity("volume", positive=True)]
Electrons = Annotated[Reading, *_quantity("electrons")]
SkyBrightness = Annotated[Reading, *_quantity("sky_brightness")]
Number = Annotated[Reading, *_quantity("number")]
Fraction = Annotated[Reading, *_quantity("fraction")]


# What would make no sense, or make physics divide by nothing, when it is zero.
PositiveLength = Annotated[Reading, *_quantity("length", positive=True)]
PositiveSmallLength = Annotated[Reading, *_quantity("small_length", positive=True)]
PositiveMass = Annotated[Reading, *_quantity("mass", positive=True)]
PositiveTime = Annotated[Reading, *_quantity("time", positive=True)]
PositiveElectrons = Annotated[Reading, *_quantity("electrons", positive=True)]
PositiveAngle = Annotated[Reading, *_quantity("angle", positive=True)]
PositiveSmallAngle = Annotated[Reading, *_quantity("small_angle", positive=True)]
PositiveNumber = Annotated[Reading, *_quantity("number", positive=True)]
PositiveFraction = Annotated[Reading, *_quantity("fraction", positive=True)]

Latitude = Annotated[Reading, *_quantity("angle", lowest=-90.0, highest=90.0)]
Longitude = Annotated[Reading, *_quantity("angle", lowest=-180.0, highest=360.0)]
Altitude = Annotated[Reading, *_quantity("angle", positive=True, lowest=0.0, highest=90.0)]

_SIDE = r"(\d+(?:\.\d*)?|\.\d+)"
_SIZE = re.compile(rf"{_SIDE}\s*[x×]\s*{_SIDE}\s*[x×]\s*{_SIDE}\s*(\S.*)?")
_PIXELS = re.compile(r"(\d{1,6})\s*[x×]\s*(\d{1,6})")
_MOST_CHARACTERS = 100


def _matched(pattern: re.Pattern[str], raw: object) -> re.Match[str] | None:
    # Longer text is no size, and could make the matching slow.
    return pattern.fullmatch(raw.strip()) if isinstance(raw, str) and len(raw) <= _MOST_CHARACTERS else None


def _read_box(raw: object) -> Box:
    cure = "write three lengths and a unit, like '420 x 180 x 160 mm'"
    match = _matched(_SIZE, raw)
    if match is None:
        refuse("size", f"{shown(raw)} is not a size; {cure}")
    if not match[4]:
        refuse("size", f"{shown(raw)} needs a unit; {cure}")
    try:
        sides = [parse_text(f"{match[i]} {match[4]}", "length").value for i in (1, 2, 3)]
    except QuantityError as error:
        refuse("size", str(error))
    if min(sides) <= 0:
        refuse("size", f"{shown(raw)} has a side of no length; {cure}")
    return Box(*sides)


def _read_pixels(raw: object) -> Pixels:
    match = _matched(_PIXELS, raw)
    if match is None or not int(match[1]) or not int(match[2]):
        refuse("pixels", f"{shown(raw)} is not a pixel count; write it like '6248 x 4176'")
    return Pixels(int(match[1]), int(match[2]))


def _read_offset(raw: object) -> Offset:
    cure = "write two lengths, like ['0 mm', '17.5 mm'] (along the long side, along the short side)"
    if not isinstance(raw, list) or len(raw) != 2:
        refuse("offset", f"an offset has two lengths; {cure}")
    length = _Quantity("offset")
    return Offset(length.one(raw[0], at=0).value, length.one(raw[1], at=1).value)


def _read_joint(raw: object) -> Connection:
    if not isinstance(raw, str):
        refuse("connection", f"{shown(raw)} is not a connection; write it like 'M48 x 0.75 female'")
    try:
        return read_connection(raw)
    except ValueError as error:
        refuse("connection", str(error))


Size = Annotated[
    Box,
    PlainValidator(_read_box),
    WithJsonSchema({"type": "string", "examples": ["420 x 180 x 160 mm"], "x-dimension": "size"}),
]
PixelCount = Annotated[
    Pixels, PlainValidator(_read_pixels), WithJsonSchema({"type": "string", "examples": ["6248 x 4176"]})
]
SensorOffset = Annotated[
    Offset,
    PlainValidator(_read_offset),
    WithJsonSchema({"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2}),
]
Joint = Annotated[
    Connection,
    PlainValidator(_read_joint),
    WithJsonSchema(
        {"type": "string", "examples": ["M48 x 0.75 female", "2 in barrel male", "bayonet B54 female"]}
    ),
]

Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=4000)]
Line = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200, pattern=r"^[^\n]*$")
]

_ID = r"^[a-z0-9]+(-[a-z0-9]+)*$"
_LONGEST_ID = 80


def nearest_id(text: str) -> str:
    """Return what ``text`` would be as an id."""
    return re.sub(r"[^a-z0-9]+", "-", text.casefold())[:_LONGEST_ID].strip("-") or "my-rig"


def is_id(text: str) -> bool:
    """Say whether ``text`` can be an id."""
    return len(text) <= _LONGEST_ID and re.fullmatch(_ID, text) is not None


def _read_id(raw: object) -> object:
    if isinstance(raw, str) and not is_id(raw):
        if len(raw) > _LONGEST_ID:
            refuse("id", f"{shown(raw)} is longer than {_LONGEST_ID} characters, which an id may not be")
        cure = f"use small letters, digits and hyphens, like '{nearest_id(raw)}'"
        refuse("id", f"{shown(raw)} is not an id; {cure}")
    return raw


Id = Annotated[
    str,
    BeforeValidator(_read_id),
    WithJsonSchema({"type": "string", "pattern": _ID, "maxLength": _LONGEST_ID, "examples": ["travel-rig"]}),
]
Count = Annotated[int, Field(strict=True, ge=1, le=10_000)]
Owned = Annotated[int, Field(strict=True, ge=0, le=100_000)]
Truth = Annotated[bool, Field(strict=True)]
