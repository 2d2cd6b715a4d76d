"""Field types of the models: quantities, sizes, connections and words, each read from plain YAML values."""

import re
from collections.abc import Iterable
from typing import Annotated, Any, NamedTuple

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainValidator,
    StringConstraints,
    WithJsonSchema,
)

from rigleaf.catalogue.models.connections import Connection, read_connection
from rigleaf.catalogue.models.quantity_field import QuantityField, refuse
from rigleaf.catalogue.wording import shown
from rigleaf.quantities import QuantityError, Reading, parse_text

_GIVEN: dict[frozenset[str], set[str]] = {}
"""One set for all entries that give the same fields. Nobody adds to one: copies of entries have sets of their own."""


class Entry(BaseModel):
    """Base of all models: unknown keys are refused and nothing changes after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, populate_by_name=False)

    def model_post_init(self, _: Any, /) -> None:
        """Share the set of the fields that were given with all entries that have the same: most of them do."""
        given = frozenset(self.model_fields_set)
        object.__setattr__(self, "__pydantic_fields_set__", _GIVEN.setdefault(given, set(given)))


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


def _quantity(dimension: str, **limits: Any) -> tuple[PlainValidator, WithJsonSchema]:
    quantity = QuantityField(dimension, **limits)
    return PlainValidator(quantity.read), WithJsonSchema(quantity.schema())


Length = Annotated[Reading, *_quantity("length")]
OpticalLength = Annotated[Reading, *_quantity("optical_length")]
"""A length along or across the light; the trade gives these in mm whatever the guide's units."""
SmallLength = Annotated[Reading, *_quantity("small_length")]
SignedLength = Annotated[Reading, *_quantity("offset")]
Wavelength = Annotated[Reading, *_quantity("wavelength", positive=True)]
Elevation = Annotated[Reading, *_quantity("elevation")]
Distance = Annotated[Reading, *_quantity("distance", positive=True)]
"""A way on foot."""
Mass = Annotated[Reading, *_quantity("mass")]
Time = Annotated[Reading, *_quantity("time", lowest=0.0, highest=86_400.0)]
"""The time that something takes in the course of a night."""
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
PositiveSpeed = Annotated[Reading, *_quantity("speed", positive=True)]
Volume = Annotated[Reading, *_quantity("volume", positive=True)]
Electrons = Annotated[Reading, *_quantity("electrons")]
ElectronRate = Annotated[Reading, *_quantity("electron_rate")]
SkyBrightness = Annotated[Reading, *_quantity("sky_brightness")]
Number = Annotated[Reading, *_quantity("number")]
Fraction = Annotated[Reading, *_quantity("fraction")]


# What would make no sense, or make physics divide by nothing, when it is zero.
PositiveData = Annotated[Reading, *_quantity("data", positive=True)]
PositiveLength = Annotated[Reading, *_quantity("length", positive=True)]
PositiveOpticalLength = Annotated[Reading, *_quantity("optical_length", positive=True)]
PositiveSmallLength = Annotated[Reading, *_quantity("small_length", positive=True)]
PositiveMass = Annotated[Reading, *_quantity("mass", positive=True)]
PositivePower = Annotated[Reading, *_quantity("power", positive=True)]
PositiveTime = Annotated[Reading, *_quantity("time", positive=True)]
PositiveElectrons = Annotated[Reading, *_quantity("electrons", positive=True)]
PositiveAngle = Annotated[Reading, *_quantity("angle", positive=True)]
PositiveSmallAngle = Annotated[Reading, *_quantity("small_angle", positive=True)]
PositiveNumber = Annotated[Reading, *_quantity("number", positive=True)]
PositiveFraction = Annotated[Reading, *_quantity("fraction", positive=True)]

Latitude = Annotated[Reading, *_quantity("angle", lowest=-90.0, highest=90.0)]
Longitude = Annotated[Reading, *_quantity("angle", lowest=-180.0, highest=360.0)]
PositionAngle = Annotated[Reading, *_quantity("angle", lowest=-180.0, highest=360.0)]
Magnitude = Annotated[Reading, *_quantity("number", lowest=-30.0, highest=30.0)]
Azimuth = Annotated[Reading, *_quantity("angle", lowest=0.0, highest=360.0)]
Skyline = Annotated[Reading, *_quantity("angle", lowest=-10.0, highest=90.0)]
"""The altitude at which the sky begins; from a mountain it may lie below the horizontal."""
Margin = Annotated[Reading, *_quantity("fraction", lowest=0.0, highest=0.4)]
Overlap = Annotated[Reading, *_quantity("fraction", lowest=0.05, highest=0.5)]
Altitude = Annotated[Reading, *_quantity("angle", positive=True, lowest=0.0, highest=90.0)]

_SIDE = r"(\d+(?:\.\d*)?|\.\d+)"
_SIZE = re.compile(rf"{_SIDE}\s*[x×]\s*{_SIDE}\s*[x×]\s*{_SIDE}\s*(\S.*)?")
_PIXELS = re.compile(r"(\d{1,6})\s*[x×]\s*(\d{1,6})")
_MOST_CHARACTERS = 100


def _matched(pattern: re.Pattern[str], raw: object) -> re.Match[str] | None:
    # Longer text is no size, and could make the matching slow.
    return pattern.fullmatch(raw.strip()) if isinstance(raw, str) and len(raw) <= _MOST_CHARACTERS else None


def read_box(raw: object) -> Box:
    """Read three lengths with one unit, such as "420 x 180 x 160 mm"."""
    cure = "write three lengths and a unit, like '420 x 180 x 160 mm'"
    match = _matched(_SIZE, raw)
    if match is None:
        refuse("size", f"{shown(raw)} is not a size; {cure}")
    if not match[4]:
        refuse("size", f"{shown(raw)} needs a unit; {cure}")
    try:
        sides = [parse_text(f"{match[i]} {match[4]}", "length").value for i in (1, 2, 3)]
    except QuantityError as error:
        refuse("size", f"{str(error).partition(';')[0]}; {cure}")
    if min(sides) <= 0:
        refuse("size", f"{shown(raw)} has a side of no length; {cure}")
    return Box(*sides)


def _read_pixels(raw: object) -> Pixels:
    match = _matched(_PIXELS, raw)
    if match is None or not int(match[1]) or not int(match[2]):
        refuse("pixels", f"{shown(raw)} is not a pixel count; write it like '6000 x 4000'")
    return Pixels(int(match[1]), int(match[2]))


def _read_offset(raw: object) -> Offset:
    cure = "write it like ['0 mm', '17.5 mm'] (along the long side, along the short side)"
    if not isinstance(raw, list) or len(raw) != 2:
        refuse("offset", f"an offset has two lengths; {cure}")
    length = QuantityField("offset")
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
    PlainValidator(read_box),
    WithJsonSchema({"type": "string", "examples": ["420 x 180 x 160 mm"], "x-dimension": "size"}),
]
PixelCount = Annotated[
    Pixels, PlainValidator(_read_pixels), WithJsonSchema({"type": "string", "examples": ["6000 x 4000"]})
]
SensorOffset = Annotated[
    Offset,
    PlainValidator(_read_offset),
    WithJsonSchema({"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2}),
]
Joint = Annotated[
    Connection,
    PlainValidator(_read_joint),
    WithJsonSchema({"type": "string", "examples": ["M48 x 0.75 female", "2 in barrel male", "bayonet B54 female"]}),
]

Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=4000)]
Line = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200, pattern=r"^[^\n]*$")]

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


def _read_reference(raw: object) -> object:
    if not isinstance(raw, str):
        refuse("id", f"{shown(raw)} is not an id; one id is wanted here")
    return raw


def is_reference(metadata: Iterable[object]) -> bool:
    """Say whether a field whose type carries ``metadata`` holds the id of another entry."""
    return any(isinstance(one, BeforeValidator) and one.func is _read_reference for one in metadata)


_ID_SCHEMA = WithJsonSchema({"type": "string", "pattern": _ID, "maxLength": _LONGEST_ID, "examples": ["travel-rig"]})
Id = Annotated[str, BeforeValidator(_read_id), _ID_SCHEMA]
Reference = Annotated[str, BeforeValidator(_read_reference), _ID_SCHEMA]
"""The id of another entry. A mistyped one is reported when it is looked up, with the nearest known."""

Count = Annotated[int, Field(strict=True, ge=1, le=10_000)]
Owned = Annotated[int, Field(strict=True, ge=0, le=100_000)]
Truth = Annotated[bool, Field(strict=True)]
