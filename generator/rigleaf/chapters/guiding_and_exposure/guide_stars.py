"""Guide stars as pure functions: how faint a guide sensor sees, and how many such stars there are to be seen.

Every function takes plain floats or numpy arrays and returns the same kind, elementwise. Rates are in electrons
per second. The sources and outside checks of every formula stand in `methods.yml` beside this file.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import log, pi
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rigleaf.chapters.scale_and_field.physics import N, elementwise

BEST_RADIUS = 0.673  # in FWHM: the aperture with the best signal to noise for a faint Gaussian star
WANTED_SIGNAL_TO_NOISE = 10.0  # of a guide star; common practice, no source


# --- One star -----------------------------------------------------------------------------------------------


def aperture_pixels(fwhm_px: N, radius_fwhm: float = BEST_RADIUS) -> N:
    """Pixels in the measuring aperture, at least one."""
    return elementwise(np.maximum, pi * (radius_fwhm * fwhm_px) ** 2, 1.0)


def light_in_aperture(radius_fwhm: N) -> N:
    """Part of a Gaussian star's light inside a round aperture of this radius."""
    return 1 - elementwise(np.exp, -4 * log(2) * radius_fwhm * radius_fwhm)


def star_rate(magnitude: N, rate_at_zero: N | float) -> N:
    """Electrons per second of a star, from those of magnitude 0."""
    return rate_at_zero * elementwise(np.exp, -0.4 * log(10) * magnitude)


def star_magnitude(rate: N, rate_at_zero: N | float) -> N:
    """Magnitude of a star that gives this rate; `star_rate` turned round."""
    return -2.5 * elementwise(np.log10, rate / rate_at_zero)


def star_signal_to_noise(
    rate: N, exposure_s: N | float, background_rate: N | float, read_noise: N | float, pixels: N | float
) -> N:
    """Signal to noise of a star whose light in the aperture is `rate`; background is sky and dark, e-/s/px."""
    signal = rate * exposure_s
    noise = signal + pixels * (background_rate * exposure_s + read_noise * read_noise)
    return signal / elementwise(np.sqrt, noise)


def faintest_rate(
    wanted: N, exposure_s: N | float, background_rate: N | float, read_noise: N | float, pixels: N | float
) -> N:
    """Rate in the aperture that just gives the wanted signal to noise in this exposure."""
    floor = pixels * (background_rate * exposure_s + read_noise * read_noise)
    square = wanted * wanted
    return (square / 2 + elementwise(np.sqrt, square * square / 4 + square * floor)) / exposure_s


def exposure_for_rate(
    rate: N, wanted: N | float, background_rate: N | float, read_noise: N | float, pixels: N | float
) -> N:
    """Seconds after which a star of this rate in the aperture has the wanted signal to noise."""
    square = wanted * wanted
    linear = square * (rate + pixels * background_rate)
    constant = square * pixels * read_noise * read_noise
    return (linear + elementwise(np.sqrt, linear * linear + 4 * rate * rate * constant)) / (2 * rate * rate)


@dataclass(frozen=True, slots=True)
class GuideView:
    """What a guide sensor has to work with, behind its optic, filter and air.

    `rate_at_zero` is the rate of a star of magnitude 0 on the whole, e-/s; `background_rate` sky and dark
    current, e-/s/px; `read_noise` e-; `fwhm_px` the star's width on this sensor.
    """

    rate_at_zero: float
    background_rate: float
    read_noise: float
    fwhm_px: float

    @property
    def rate_in_aperture(self) -> float:
        """Rate of a star of magnitude 0 inside the measuring aperture, e-/s."""
        return self.rate_at_zero * light_in_aperture(BEST_RADIUS)

    @property
    def pixels(self) -> float:
        """Pixels in the measuring aperture."""
        return aperture_pixels(self.fwhm_px)


def reachable_magnitude(view: GuideView, exposure_s: N, wanted: float = WANTED_SIGNAL_TO_NOISE) -> N:
    """Magnitude of the faintest star with the wanted signal to noise in this exposure."""
    target = elementwise(np.multiply, exposure_s, 0.0) + wanted  # of the exposure's kind
    rate = faintest_rate(target, exposure_s, view.background_rate, view.read_noise, view.pixels)
    return star_magnitude(rate, view.rate_in_aperture)


def needed_exposure(view: GuideView, magnitude: N, wanted: float = WANTED_SIGNAL_TO_NOISE) -> N:
    """Seconds in which a star of this magnitude has the wanted signal to noise."""
    rate = star_rate(magnitude, view.rate_in_aperture)
    return exposure_for_rate(rate, wanted, view.background_rate, view.read_noise, view.pixels)


# --- How many stars -----------------------------------------------------------------------------------------

SKY_SQUARE_DEGREES = 41_252.96
WHOLE_SKY_COUNTS = MappingProxyType(
    {4.0: 704, 5.0: 2_238, 6.0: 6_834, 7.0: 21_399, 8.0: 62_793, 9.0: 177_496, 10.0: 482_176,
     11.0: 1.24e6, 12.0: 3.1e6, 13.0: 7.4e6, 14.0: 17e6, 15.0: 37e6, 16.0: 78e6, 17.0: 155e6, 18.0: 302e6}
)  # fmt: skip
"""Stars on the whole sky brighter than a Gaia G magnitude. To 10: counted in the star data of Gaia DR3 and
Hipparcos that this guide ships. From 11: Gaia's counts from memory, good to about 15 %."""

CONCENTRATION = MappingProxyType({7.0: 0.471, 8.0: 0.540, 9.0: 0.638, 10.0: 0.755, 21.0: 1.645})
"""Logarithm of how many times denser the galactic equator is than the poles, by limiting magnitude. To 10:
fitted to the same stars. At 21: a factor of 44, the classical figure, from memory."""

_SHAPE_POWER = 1.2  # of (1 - sin|b|): fitted to the same stars, G < 10
COUNT_FACTOR = 2.0
"""A single field may hold so many times more or fewer stars than expected. Among fields of 1 degree radius with
some 37 stars of G < 10, nine in ten held 0.58 to 1.44 times the expectation, near the plane 0.46 to 1.54 times;
dust and clusters scatter fainter stars more."""


@lru_cache(maxsize=1)
def _over_the_sphere() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Nodes and weights that average a function of (1 - sin|b|) ** _SHAPE_POWER over the sphere."""
    nodes, weights = np.polynomial.legendre.leggauss(48)
    return ((1 - nodes) / 2) ** _SHAPE_POWER, weights / 2


def stars_per_square_degree(limit_magnitude: N, galactic_latitude_deg: N | float) -> N:
    """Mean number of stars brighter than a G magnitude (4 to 18) on a square degree at a galactic latitude.

    Averaged over galactic longitude, where single fields differ by COUNT_FACTOR and more. Magnitudes outside the
    table are taken as its ends, so that nothing is promised that was not counted.
    """

    def density(limit: float | NDArray[np.float64], latitude: float | NDArray[np.float64]) -> NDArray[np.float64]:
        total = 10 ** np.interp(limit, list(WHOLE_SKY_COUNTS), np.log10(list(WHOLE_SKY_COUNTS.values())))
        rise = np.interp(limit, list(CONCENTRATION), list(CONCENTRATION.values()))
        shapes, weights = _over_the_sphere()
        mean = np.asarray((10 ** (np.asarray(rise)[..., np.newaxis] * shapes)) @ weights)
        height = (1 - np.sin(np.abs(np.radians(latitude)))) ** _SHAPE_POWER
        return np.asarray(total / SKY_SQUARE_DEGREES * 10 ** (rise * height) / mean)

    return elementwise(density, limit_magnitude, galactic_latitude_deg)


POLE_RA, POLE_DEC = 192.85948, 27.12825
"""North galactic pole, ICRS, deg: the pole of 1958 as Hipparcos carried it over (from memory)."""


def galactic_latitude(ra_deg: N, dec_deg: N | float) -> N:
    """Galactic latitude in deg of a place on the sky, ICRS."""

    def latitude(ra: Any, dec: Any) -> Any:
        pole, lat, turn = np.radians(POLE_DEC), np.radians(dec), np.radians(ra - POLE_RA)
        sine = np.sin(pole) * np.sin(lat) + np.cos(pole) * np.cos(lat) * np.cos(turn)
        return np.degrees(np.arcsin(np.clip(sine, -1, 1)))

    return elementwise(latitude, ra_deg, dec_deg)


def expected_stars(density: N, width_deg: N | float, height_deg: N | float) -> N:
    """Mean number of stars on a small rectangular field."""
    return density * width_deg * height_deg


def chance_of_at_least(wanted: int, expected: N) -> N:
    """Probability of finding at least so many stars where so many are expected, stars scattered at random.

    Clusters make it higher in some fields and lower in the rest.
    """
    term = elementwise(np.exp, -expected)
    missing = term * 0
    for count in range(wanted):
        missing = missing + term
        term = term * expected / (count + 1)
    return elementwise(np.clip, 1 - missing, 0.0, 1.0)
