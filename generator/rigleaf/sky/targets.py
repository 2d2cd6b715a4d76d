"""A target as the chapters see it: its place, its outline, its light, and what is known of where these come from."""

from dataclasses import dataclass
from math import log10, pi
from typing import Final

MOON_ARCMIN: Final = 31.1
"""Mean apparent diameter of the Moon, 2 x asin(1737.4 km / 384,400 km); radius and distance from memory."""
SUN_ARCMIN: Final = 32.0
"""Mean apparent diameter of the Sun, 2 x asin(695,700 km / 149,597,871 km); nominal radius of IAU 2015, from memory."""


@dataclass(frozen=True, slots=True)
class SkyTarget:
    """Something to photograph. What is not known is None, never 0.

    Attributes:
        id: Name of the target in the guide's files.
        name: What people call it.
        sort: What it is in one of the guide's words: "nebula", "galaxy", "Moon" ...; "" where unsaid.
        ra: Right ascension, ICRS, deg; None for what wanders among the stars.
        dec: Declination, deg; None likewise.
        major_arcmin: Major axis of its outline (full width), arcmin.
        minor_arcmin: Minor axis, arcmin; None only where the major axis is. A round outline has two equal ones.
        position_angle: Of the major axis, from north through east, 0 to 180 deg; None where it is not known, and then
            the outline is round.
        v_mag: Total V magnitude.
        surface_brightness: Mean over its outline, V mag/arcsec2; None for clusters, whose light stands in points.
        note: Where its values come from.
        designation: How catalogues call it; "" where it is in none.
        kind: What it is in the catalogue's words, such as "HII region"; "" where it is in none.
    """

    id: str
    name: str
    sort: str
    ra: float | None
    dec: float | None
    major_arcmin: float | None
    minor_arcmin: float | None
    position_angle: float | None
    v_mag: float | None
    surface_brightness: float | None
    note: str
    designation: str = ""
    kind: str = ""

    @property
    def place(self) -> tuple[float, float] | None:
        """Right ascension and declination in deg, or None for what has no lasting place among the stars."""
        return None if self.ra is None or self.dec is None else (self.ra, self.dec)

    @property
    def outline(self) -> tuple[float, float, float | None] | None:
        """Major axis, minor axis (arcmin) and position angle; None without a size."""
        if self.major_arcmin is None or self.minor_arcmin is None:
            return None
        return self.major_arcmin, self.minor_arcmin, self.position_angle


def mean_surface_brightness(magnitude: float, major_arcmin: float, minor_arcmin: float) -> float:
    """Magnitude per square arcsecond when the whole light is spread evenly over an ellipse of these full axes."""
    return magnitude + 2.5 * log10(pi / 4 * major_arcmin * minor_arcmin * 3600)
