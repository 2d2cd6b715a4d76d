"""The states of the world by their two letters, and the state that a time zone lies in.

Both come from the tables of the time-zone database (public domain), which every installation carries.
"""

from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType


def _rows(name: str) -> list[list[str]]:
    text = (files("tzdata") / "zoneinfo" / name).read_text(encoding="utf-8")
    return [line.split("\t") for line in text.splitlines() if line and not line.startswith("#")]


@lru_cache(maxsize=1)
def states() -> MappingProxyType[str, str]:
    """Return the usual English name of every state or territory by its two letters (ISO 3166-1)."""
    return MappingProxyType({code: name for code, name, *_ in _rows("iso3166.tab")})


@lru_cache(maxsize=1)
def _zones() -> dict[str, str]:
    return {zone: code for code, _, zone, *_ in _rows("zone.tab")}


def state_of_zone(zone: str | None) -> str | None:
    """Return the two letters of the state in which the principal city of a time zone lies, or None."""
    return _zones().get(zone or "")
