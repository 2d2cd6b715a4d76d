"""A place on Earth as the sky needs it: where it is, which clock it keeps and what hides its horizon."""

import datetime as dt
import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

EQUATOR_KM = 6378.137
FLATTENING = 1 / 298.257223563
"""The ellipsoid of WGS 84."""


@dataclass(frozen=True)
class Site:
    """One place; equal places are equal, so that what is computed for one serves every rig there.

    Attributes:
        latitude: Geodetic, deg, north positive.
        longitude: Deg, east positive.
        elevation: Height above sea level, m.
        zone: IANA name of its time zone; "" where nobody says, and then its clock shows UTC.
        horizon: Azimuth (deg, from north through east) and altitude (deg) of points along the skyline, straight
            between them; none for a flat one.
    """

    latitude: float
    longitude: float
    elevation: float = 0.0
    zone: str = ""
    horizon: tuple[tuple[float, float], ...] = ()

    @cached_property
    def up(self) -> tuple[float, float]:
        """Cosine and sine of the latitude: the zenith's distance from and along the Earth's axis."""
        angle = math.radians(self.latitude)
        return math.cos(angle), math.sin(angle)

    @cached_property
    def from_centre(self) -> tuple[float, float]:
        """Distance from the Earth's axis and along it, km."""
        across, along = self.up
        squared = (1 - FLATTENING) ** 2
        radius = EQUATOR_KM / math.sqrt(across**2 + squared * along**2)
        height = self.elevation / 1000
        return (radius + height) * across, (radius * squared + height) * along

    def skyline(self, azimuth: ArrayLike) -> Array:
        """Altitude of the skyline in deg at azimuths in deg."""
        if not self.horizon:
            return np.zeros(np.shape(azimuth))
        points = sorted(self.horizon, key=lambda point: point[0] % 360)
        angles = [point[0] % 360 for point in points]
        heights = [point[1] for point in points]
        # Once round: the last point stands before the first one too, and the first one after the last.
        angles = [angles[-1] - 360, *angles, angles[0] + 360]
        heights = [heights[-1], *heights, heights[0]]
        return np.asarray(np.interp(np.mod(azimuth, 360), angles, heights))

    def clock(self, instant: float) -> dt.datetime:
        """Return what the clocks of the place show at an instant in seconds since 1970."""
        return dt.datetime.fromtimestamp(instant, _zone(self.zone))

    def instant(self, day: dt.date, hour: int = 0) -> float:
        """Return the instant at which the clocks of the place show a full hour of a day."""
        return dt.datetime(day.year, day.month, day.day, hour, tzinfo=_zone(self.zone)).timestamp()


@lru_cache(maxsize=64)
def _zone(name: str) -> dt.tzinfo:
    return ZoneInfo(name) if name else dt.UTC
