"""How one field of a model reads a quantity, and how a value is refused.

A quantity may be written as text (``"4.2 kg"``, ``"55 mm +- 0.5 mm"``) or as a mapping with any of the keys
``stated``, ``measured`` and ``on`` (the day of the measurement). Measured wins over stated.
"""

import datetime as dt
import math
import re
from dataclasses import dataclass
from typing import Any, NoReturn

from pydantic_core import PydanticCustomError

from rigleaf.catalogue.wording import shown
from rigleaf.nearest import nearest
from rigleaf.quantities import DIMENSIONS, FINEST, QuantityError, Reading, measured_over, parse_text, short


def refuse(code: str, message: str, *, at: str | int | None = None) -> NoReturn:
    """Refuse a value with a whole sentence; ``at`` is the key or index inside the value that is at fault."""
    # The message travels as context so that braces in a user's text are never read as placeholders.
    raise PydanticCustomError("rigleaf_" + code, "{message}", {"message": message, "at": at})


@dataclass(frozen=True, slots=True)
class QuantityField:
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
        if self.positive and reading.value < FINEST * DIMENSIONS[self.dimension].highest:
            cure = f"write it like '{DIMENSIONS[self.dimension].example}'"
            refuse("quantity", f"{shown(raw)} is too little to make sense; {cure}", at=at)
        if not self.lowest <= reading.value <= self.highest:
            lowest, highest = (self._limit(limit) for limit in (self.lowest, self.highest))
            refuse("quantity", f"{shown(raw)} is not between {lowest} and {highest}", at=at)
        return reading

    def _limit(self, value: float) -> str:
        if self.dimension == "fraction":
            return f"{value:.0%}".replace("%", " %")
        return f"{value:g} {DIMENSIONS[self.dimension].unit}".rstrip()

    def _both(self, raw: dict[str, object]) -> Reading:
        for key in raw:
            if key not in ("stated", "measured", "on"):
                near = nearest(key, ("stated", "measured", "on"))
                cure = f"did you mean '{near}'?" if near else "a quantity has 'stated', 'measured' and 'on'"
                refuse("unknown-key", f"unknown key '{short(key)}' in a quantity; {cure}", at=key)
        on = None
        if "on" in raw:
            on = read_day(raw["on"], at="on")
            if "measured" not in raw:
                refuse("date", "'on' is the day of a measurement, but 'measured' is missing", at="on")
        stated = self.one(raw["stated"], "stated") if "stated" in raw else None
        if "measured" in raw:
            return measured_over(stated, self.one(raw["measured"], "measured", on))
        if stated is None:
            refuse("quantity", "neither 'stated' nor 'measured' is given here")
        return stated

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


def read_day(raw: object, at: str | None = None) -> dt.date:
    """Read a date as ISO 8601 writes it; ``at`` is the key below the field that a fault points to."""
    try:
        if isinstance(raw, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", raw):
            return dt.date.fromisoformat(raw)
    except ValueError:
        pass
    refuse("date", f"{shown(raw)} is not a date; write it like 2026-03-21", at=at)
