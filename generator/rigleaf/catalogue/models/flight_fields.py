"""Field types of flight rules: exact limits in words, days, states, and the words that rules use."""

import datetime as dt
import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import PlainValidator, WithJsonSchema

from rigleaf.catalogue.exact import exact
from rigleaf.catalogue.models.fields import read_box
from rigleaf.catalogue.models.quantity_field import QuantityField, read_day, refuse
from rigleaf.catalogue.states import states
from rigleaf.catalogue.wording import shown
from rigleaf.nearest import nearest
from rigleaf.quantities import DIMENSIONS

FlightWord = Literal["may fly", "ask first", "say more", "stays home"]
"""From the mildest to the strictest. Under a rule, 'stays home' bars the places that the rule names."""
FLIGHT_WORDS: tuple[FlightWord, ...] = ("may fly", "ask first", "say more", "stays home")

Stowage = Literal["cabin", "person", "hold", "gate"]
"""In a cabin bag, in a pocket, in the hold, or in a cabin bag that is taken at the gate and goes to the hold."""

ArticleSort = Literal[
    "installed battery", "spare battery", "power bank", "removable bag battery", "fixed bag battery", "hand tool",
    "power tool", "knife", "tripod", "blunt piece", "cable ties", "laser pointer", "liquid", "flammable liquid",
    "compressed gas", "gas cartridge", "fuel", "iron hand warmer", "fuel hand warmer", "bag", "bought seat", "other",
]  # fmt: skip

Cells = Literal["lithium-ion", "lithium-metal", "sealed lead-acid", "open lead-acid", "dry"]
"""Chemistry as the rules tell it apart: polymer and LiFePO4 cells are lithium-ion, NiMH and alkaline ones are dry."""

State = Literal["damaged", "left on", "for sale", "medical", "no CCC mark", "unmarked"]
Read = Literal["official text", "official page", "copy", "report", "no"]


@dataclass(frozen=True, slots=True)
class Limits:
    """A range of one quantity in its canonical unit; None is an open end, ``low_in`` and ``high_in`` take ends in."""

    low: Decimal | None
    low_in: bool
    high: Decimal | None
    high_in: bool
    text: str

    def holds(self, least: Decimal, most: Decimal | None) -> bool | None:
        """Say whether a value between ``least`` and ``most`` (None: without bound) lies in it; None if it may."""
        above = self.low is None or least > self.low or (self.low_in and least == self.low)
        below = self.high is None or (most is not None and (most < self.high or (self.high_in and most == self.high)))
        if above and below:
            return True
        if self.low is not None and most is not None and (most < self.low or (most == self.low and not self.low_in)):
            return False
        if self.high is not None and (least > self.high or (least == self.high and not self.high_in)):
            return False
        return None


_LIMITS = re.compile(r"(?:(over|from)\s+(.+?))?\s*(?:(?:^|\s)(up to|below)\s+(.+))?")


def _limits(dimension: str, scale: int = 1) -> tuple[PlainValidator, WithJsonSchema]:
    field = QuantityField(dimension)
    example = f"up to {DIMENSIONS[dimension].example}"
    cure = f"write it like '{example}' or 'over {DIMENSIONS[dimension].example}'"

    def end(text: str | None) -> Decimal | None:
        return None if text is None else scale * exact(field.one(text))

    def read(raw: object) -> Limits:
        match = _LIMITS.fullmatch(raw.strip()) if isinstance(raw, str) and 0 < len(raw.strip()) <= 100 else None
        if match is None:
            refuse("limits", f"{shown(raw)} is not a range; {cure}")
        low, high = end(match[2]), end(match[4])
        if low is not None and high is not None and low > high:
            refuse("limits", f"{shown(raw)} ends before it begins; {cure}")
        return Limits(low, match[1] == "from", high, match[3] == "up to", str(raw).strip())

    return PlainValidator(read), WithJsonSchema({"type": "string", "examples": [example]})


EnergyLimits = Annotated[Limits, *_limits("energy")]
VoltageLimits = Annotated[Limits, *_limits("voltage")]
MassLimits = Annotated[Limits, *_limits("mass")]
LithiumLimits = Annotated[Limits, *_limits("mass", scale=1000)]
"""In g, as the rules count lithium."""
LengthLimits = Annotated[Limits, *_limits("length")]
VolumeLimits = Annotated[Limits, *_limits("volume")]
PowerLimits = Annotated[Limits, *_limits("power")]


@dataclass(frozen=True, slots=True)
class SizeLimits:
    """Outer size that a bag keeps within, or exceeds: three sides in mm, longest first."""

    sides: tuple[Decimal, Decimal, Decimal]
    within: bool
    text: str

    def holds(self, sides: tuple[Decimal, Decimal, Decimal] | None) -> bool | None:
        """Say whether a bag with these sides (mm, longest first) is meant; None where its size is unknown."""
        if sides is None:
            return None
        return all(side <= most for side, most in zip(sides, self.sides, strict=True)) is self.within


def _read_size(raw: object) -> SizeLimits:
    words = ("within ", "larger than ")
    start = next((word for word in words if isinstance(raw, str) and raw.startswith(word)), None)
    if start is None:
        refuse("limits", f"{shown(raw)} is not a limit of size; write it like 'within 560 x 450 x 250 mm'")
    text = str(raw)[len(start) :]
    longest, middle, shortest = sorted((Decimal(repr(side)) for side in read_box(text)), reverse=True)
    return SizeLimits((longest, middle, shortest), start == "within ", str(raw))


Sizes = Annotated[
    SizeLimits,
    PlainValidator(_read_size),
    WithJsonSchema({"type": "string", "examples": ["within 560 x 450 x 250 mm"]}),
]

Day = Annotated[dt.date, PlainValidator(read_day), WithJsonSchema({"type": "string", "format": "date"})]

BODIES = ("EU", "IATA", "ICAO", "everywhere")
"""Who makes rules beside states."""


def _read_state(raw: object) -> str:
    if not isinstance(raw, str) or raw not in states():
        refuse("state", f"{shown(raw)} is not a state; {_near_state(raw)}")
    return raw


def _near_state(raw: object) -> str:
    word = raw if isinstance(raw, str) else ""
    by_name = {name.casefold(): code for code, name in states().items()}
    near = word.upper() if word.upper() in states() else by_name.get(word.casefold())
    if near is None and (name := nearest(word.casefold(), sorted(by_name))):
        near = by_name[name]
    return f"did you mean '{near}'?" if near else "write its two letters, like 'DE'"


def _read_authority(raw: object) -> str:
    if not isinstance(raw, str) or (raw not in BODIES and raw not in states()):
        cure = f"write {', '.join(BODIES)} or the two letters of a state, like 'DE'"
        refuse("authority", f"{shown(raw)} makes no rules; {cure}")
    return raw


_LETTERS = {"type": "string", "pattern": "^[A-Z]{2}$", "examples": ["DE"]}
StateCode = Annotated[str, PlainValidator(_read_state), WithJsonSchema(_LETTERS)]
Authority = Annotated[str, PlainValidator(_read_authority), WithJsonSchema({"type": "string", "examples": ["ICAO"]})]
