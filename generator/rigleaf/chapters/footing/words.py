"""Words for directions and winds."""

from collections.abc import Iterable

from rigleaf.catalogue.wording import listed
from rigleaf.chapters.footing import physics

POINTS: tuple[str, ...] = (
    "north", "north-north-east", "north-east", "east-north-east", "east", "east-south-east", "south-east",
    "south-south-east", "south", "south-south-west", "south-west", "west-south-west", "west", "west-north-west",
    "north-west", "north-north-west",
)  # fmt: skip

SHORT: tuple[str, ...] = (
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
)  # fmt: skip

WINDS: tuple[str, ...] = (
    "a calm", "light air", "a light breeze", "a gentle breeze", "a moderate breeze", "a fresh breeze",
    "a strong breeze", "a near gale", "a gale", "a strong gale", "a storm", "a violent storm", "a hurricane",
)  # fmt: skip
"""Names of the Beaufort scale, as weather services use them."""


def compass(azimuth: float) -> str:
    """Name the point of the compass nearest to an azimuth in deg."""
    return POINTS[round(azimuth / 22.5) % len(POINTS)]


def points(azimuths: Iterable[float], word: str = "and") -> str:
    """Name several directions, each once: "the west-south-west and the east-south-east"."""
    return listed(list(dict.fromkeys(f"the {compass(azimuth)}" for azimuth in azimuths)), word)


def short_points(azimuths: Iterable[float], word: str = "and") -> str:
    """Name several directions by their letters, as a table has room for: "WSW and ESE"."""
    return listed(list(dict.fromkeys(SHORT[round(azimuth / 22.5) % len(SHORT)] for azimuth in azimuths)), word)


def wind_name(speed: float) -> str:
    """Name a wind in m/s: "a fresh breeze, Beaufort 5"."""
    force = round(physics.beaufort(speed))
    return f"{WINDS[force]}, Beaufort {force}"
