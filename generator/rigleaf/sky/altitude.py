"""From directions about the Earth to the sky over a place: altitude, azimuth, and what the air lifts.

Angles are in degrees and lengths in km. Altitudes are geometric (without air) unless a name says otherwise, and
azimuths count from north through east. Vectors are those of `ephemeris`: three numbers for each instant.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rigleaf.sky.site import Site

Array = NDArray[np.float64]


def local_angle(site: Site, rotation: ArrayLike) -> Array:
    """Return the angle in rad from the origin of right ascensions to the meridian of the place."""
    return np.asarray(np.asarray(rotation, dtype=np.float64) + np.radians(site.longitude))


def altitude_of_body(site: Site, angle: Array, body: Array) -> Array:
    """Altitude of the centre of Sun or Moon, seen from the place and not from the Earth's centre."""
    across, along = site.from_centre
    cosine, sine = np.cos(angle), np.sin(angle)
    x = body[..., 0] - across * cosine
    y = body[..., 1] - across * sine
    z = body[..., 2] - along
    up, pole = site.up
    height = (x * cosine + y * sine) * up + z * pole
    return np.asarray(np.degrees(np.arcsin(height / np.sqrt(x * x + y * y + z * z))))


def altitude_of_star(site: Site, angle: Array, star: Array) -> Array:
    """Altitude of a star whose unit vector is ``star``."""
    up, pole = site.up
    height = (star[0] * np.cos(angle) + star[1] * np.sin(angle)) * up + star[2] * pole
    return np.asarray(np.degrees(np.arcsin(np.clip(height, -1.0, 1.0))))


def azimuth_of_star(site: Site, angle: Array, star: Array) -> Array:
    """Azimuth of a star whose unit vector is ``star``, 0 to 360 deg."""
    up, pole = site.up
    south = (star[0] * np.cos(angle) + star[1] * np.sin(angle)) * pole - star[2] * up
    east = star[1] * np.cos(angle) - star[0] * np.sin(angle)
    return np.asarray(np.mod(np.degrees(np.arctan2(east, -south)), 360.0))


def apparent_altitude(altitude: ArrayLike) -> Array:
    """Altitude at which air of 1010 hPa and 10 degC shows what stands at a geometric altitude.

    Sæmundsson's formula, good to 0.1 arcmin above the horizon; below -1 deg, where nothing is seen, no refraction
    is added.
    """
    height = np.asarray(altitude, dtype=np.float64)
    inner = np.radians(np.maximum(height, -1.0) + 10.3 / (np.maximum(height, -1.0) + 5.11))
    lifted = np.minimum(height + 1.02 / 60 / np.tan(inner), 90.0)
    return np.where(height < -1.0, height, np.maximum(lifted, height))


def illuminated(sun: Array, moon: Array) -> Array:
    """Part of the Moon's disc that is lit, 0 to 1, as seen from the Earth's centre."""
    to_sun, to_earth = sun - moon, -moon
    size = np.linalg.norm(to_sun, axis=-1) * np.linalg.norm(to_earth, axis=-1)
    return np.asarray((1 + (to_sun * to_earth).sum(axis=-1) / size) / 2)
