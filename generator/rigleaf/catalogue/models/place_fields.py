"""Field types for places and nights: time zones, years, evenings, and values that change from month to month."""

import datetime as dt
import re
import zoneinfo
from functools import lru_cache
from typing import Annotated

from pydantic import PlainValidator, WithJsonSchema

from rigleaf.catalogue.models.quantity_field import QuantityField, read_day, refuse
from rigleaf.catalogue.wording import shown
from rigleaf.nearest import nearest
from rigleaf.quantities import DIMENSIONS, Reading, short

MONTHS: tuple[str, ...] = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip

FIRST_YEAR, LAST_YEAR = 1950, 2099
"""Where the built-in ephemeris holds and calendars and clocks are the ones that we know."""

ByMonth = tuple[Reading | None, ...]
"""Twelve values from January on, None where nothing is said."""


@lru_cache(maxsize=1)
def _zones() -> frozenset[str]:
    return frozenset(zoneinfo.available_timezones())


def _read_zone(raw: object) -> str:
    name = raw.strip() if isinstance(raw, str) else ""
    if name not in _zones():
        near = _near_zone(name)
        cure = f"did you mean '{near}'?" if near else "write it like 'Europe/Berlin'"
        refuse("timezone", f"{shown(raw)} is not a time zone; {cure}")
    return name


def _near_zone(name: str) -> str | None:
    # The zones of 'Etc' count their hours the other way round than people do: they are never proposed.
    zones = sorted(zone for zone in _zones() if not zone.startswith("Etc/"))
    # A city without its continent is the likeliest slip.
    cities = {zone.rpartition("/")[2]: zone for zone in reversed(zones)}
    city = nearest(name, sorted(cities)) if name and "/" not in name else None
    return cities[city] if city else nearest(name, zones)


def _read_year(raw: object) -> int:
    if isinstance(raw, bool) or not isinstance(raw, int) or not FIRST_YEAR <= raw <= LAST_YEAR:
        refuse("year", f"{shown(raw)} is not a year from {FIRST_YEAR} to {LAST_YEAR}; write it like 2027")
    return raw


def _read_evening(raw: object) -> dt.date:
    day = read_day(raw)
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        refuse("date", f"{shown(raw)} is not a date of the years {FIRST_YEAR} to {LAST_YEAR}")
    return day


def _read_clock(raw: object) -> int:
    found = re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)", raw.strip()) if isinstance(raw, str) else None
    if found is None:
        refuse("clock", f"{shown(raw)} is not a time of day; write it like '22:30'")
    return int(found[1]) * 60 + int(found[2])


def _read_clock_to_the_second(raw: object) -> int:
    found = re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d):([0-5]\d)", raw.strip()) if isinstance(raw, str) else None
    if found is None:
        refuse("clock", f"{shown(raw)} is not a time of day to the second; write it like '10:45:07'")
    return int(found[1]) * 3600 + int(found[2]) * 60 + int(found[3])


def _by_month(dimension: str, **limits: float) -> tuple[PlainValidator, WithJsonSchema]:
    field = QuantityField(dimension, **limits)  # type: ignore[arg-type]  # only the lowest and highest are given
    example = DIMENSIONS[dimension].example

    def read(raw: object) -> ByMonth:
        if isinstance(raw, list):
            if len(raw) != len(MONTHS):
                refuse("months", f"this list has {len(raw)} values; twelve are wanted, from January on")
            return tuple(field.one(value, at=index) for index, value in enumerate(raw))
        if not isinstance(raw, dict):
            refuse("months", f"{shown(raw)} is not a list of twelve values, nor months like '{{January: {example}}}'")
        found: dict[str, Reading] = {}
        for name, value in raw.items():
            month = _month(name)
            if month in found:
                refuse("months", f"{month} is given twice", at=name)
            found[month] = field.one(value, at=name)
        return tuple(found.get(month) for month in MONTHS)

    one = {"type": ["string", "number"], "examples": [example], "x-dimension": dimension}
    several = {
        "anyOf": [
            {"type": "array", "minItems": 12, "maxItems": 12, "items": one},
            {
                "type": "object",
                "properties": {month: {"description": f"Value in {month}.", **one} for month in MONTHS},
                "patternProperties": {_spellings(month): one for month in MONTHS},
                "additionalProperties": False,
            },
        ],
        "examples": [f"{{January: {example}}}, or a list of twelve"],
    }
    return PlainValidator(read), WithJsonSchema(several)


def _spellings(month: str) -> str:
    """Return the pattern of a month's name: in full or its first three letters, with or without a capital."""
    rest = f"(?:{month[3:]})?" if month[3:] else ""
    return f"^[{month[0]}{month[0].lower()}]{month[1:3]}{rest}$"


def _month(name: object) -> str:
    word = name if isinstance(name, str) else ""
    found = next((month for month in MONTHS if re.fullmatch(_spellings(month), word)), None)
    if found is None:
        near = nearest(word, MONTHS)
        cure = f"did you mean '{near}'?" if near else f"months are {', '.join(MONTHS)}"
        at = name if isinstance(name, str) else None
        refuse("unknown-key", f"unknown month '{short(str(name))}'; {cure}", at=at)
    return found


TimeZone = Annotated[str, PlainValidator(_read_zone), WithJsonSchema({"type": "string", "examples": ["Europe/Berlin"]})]
Year = Annotated[
    int,
    PlainValidator(_read_year),
    WithJsonSchema({"type": "integer", "minimum": FIRST_YEAR, "maximum": LAST_YEAR, "examples": [2027]}),
]
Evening = Annotated[
    dt.date,
    PlainValidator(_read_evening),
    WithJsonSchema({"type": "string", "format": "date", "examples": ["2027-08-02"]}),
]
Clock = Annotated[
    int,
    PlainValidator(_read_clock),
    WithJsonSchema({"type": "string", "pattern": "^([01]?\\d|2[0-3]):[0-5]\\d$", "examples": ["22:30"]}),
]
"""Minutes since midnight by the clocks of the place."""
ClockToTheSecond = Annotated[
    int,
    PlainValidator(_read_clock_to_the_second),
    WithJsonSchema({"type": "string", "pattern": "^([01]?\\d|2[0-3]):[0-5]\\d:[0-5]\\d$", "examples": ["10:45:07"]}),
]
"""Seconds since midnight by the clocks of the place."""
TemperatureByMonth = Annotated[ByMonth, *_by_month("temperature", lowest=-90.0, highest=60.0)]
HumidityByMonth = Annotated[ByMonth, *_by_month("fraction")]
