"""Images of a star without the formulas under test: overlapping pupils and Hankel transforms, by scipy."""

from collections.abc import Callable
from math import log, pi, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import j0

Array = NDArray[np.float64]


def overlap_of_discs(distance: float, one: float, other: float) -> float:
    """Return the area common to two discs of given radii, integrated strip by strip."""

    def strip(x: float) -> float:
        return 2 * sqrt(min(max(one**2 - x**2, 0.0), max(other**2 - (x - distance) ** 2, 0.0)))

    left, right = max(-one, distance - other), min(one, distance + other)
    if left >= right:
        return 0.0
    crossing = (distance**2 + one**2 - other**2) / (2 * distance) if distance else left
    points = [crossing] if left < crossing < right else None
    return float(quad(strip, left, right, points=points, limit=200)[0])


def pupil_contrast(frequency: float, obstruction: float = 0.0) -> float:
    """Return the overlap of an annular pupil with itself, shifted by a part (0 to 1) of its diameter."""
    whole = overlap_of_discs(2 * frequency, 1.0, 1.0)
    if obstruction:
        whole -= 2 * overlap_of_discs(2 * frequency, 1.0, obstruction)
        whole += overlap_of_discs(2 * frequency, obstruction, obstruction)
    return whole / (pi * (1 - obstruction**2))


def profile_fwhm(contrast: Array, frequency: Array, guess: float) -> float:
    """Return the full width at half maximum, near a guess, of the round image with this contrast."""

    def height(radius: float) -> float:
        return float(np.trapezoid(contrast * j0(2 * pi * frequency * radius) * frequency, frequency))

    return 2 * half_width(height, guess / 6, guess * 1.5)


def star_fwhm(seeing: float, wavelengths_per_aperture: float, guiding: float = 0.0, obstruction: float = 0.0) -> float:
    """Return the width of a star behind Kolmogorov seeing, an annular pupil and Gaussian guiding, in arcsec.

    Seeing is given by its width; its transfer function exp(-3.44 (lambda f/r0)^(5/3)) makes an image that is
    0.97553 lambda/r0 wide (root of its Hankel transform).
    """
    part = np.linspace(0.0, 1.0, 2001)
    frequency = part / wavelengths_per_aperture
    coarse = np.linspace(0.0, 1.0, 101)
    pupil: Array = np.interp(part, coarse, [pupil_contrast(float(v), obstruction) for v in coarse])
    atmosphere = np.exp(-3.44 * (frequency * seeing / 0.97553) ** (5 / 3))
    wander = np.exp(-((pi * frequency * guiding) ** 2) / (4 * log(2)))
    guess = float(np.linalg.norm([seeing, wavelengths_per_aperture, guiding]))
    return profile_fwhm(pupil * atmosphere * wander, frequency, guess)


def half_width(image: Callable[[float], float], least: float, most: float) -> float:
    """Return the radius, between two bounds, at which an image falls to half of its centre."""
    root: float = brentq(lambda r: image(r) - 0.5 * image(0.0), least, most, xtol=1e-14)
    return root
