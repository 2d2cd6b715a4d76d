"""Optics of a rig as pure functions: scale and field, diffraction, seeing and sampling.

Every function takes plain floats or numpy arrays and returns the same kind, elementwise. Units are in the
parameter names and docstrings; "same unit" means that any unit will do. Nothing here judges: `study` does.
The sources and outside checks of every formula stand in `methods.yml` beside this file.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import log, pi, sqrt
from typing import Any, Generic, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

N = TypeVar("N", float, NDArray[np.float64])

ARCSEC_PER_RADIAN = 648_000 / pi
GREEN_NM = 550.0  # middle of the visible band; the default for everything that depends on wavelength
SEEING_REFERENCE_NM = 500.0  # wavelength at which seeing is quoted by convention

FIRST_DARK_RING = 1.2196698912665045  # first zero of J1(x), divided by pi: radius in lambda/D
AIRY_FWHM = 1.0289939699619919  # full width at which (2 J1(x)/x)^2 is one half, in lambda/D
FWHM_PER_SIGMA = 2 * sqrt(2 * log(2))  # of a Gaussian
KOLMOGOROV_FWHM = 0.9759  # width of the long-exposure seeing image in lambda/r0 ...
KOLMOGOROV_EXPONENT = 3.4419  # ... whose transfer function is exp(-3.4419 (lambda f/r0)^(5/3))


def elementwise(function: Callable[..., Any], first: N, *others: N | float) -> N:
    """Apply a numpy function, giving a plain float (not a numpy scalar) for plain numbers."""
    result = function(first, *others)
    return cast(N, result if np.ndim(result) else float(result))


# --- Scale and field ----------------------------------------------------------------------------------------


def effective_focal_length(focal_length_mm: N, *factors: float) -> N:
    """Focal length in mm behind reducers and extenders, whose factors multiply in any order."""
    for factor in factors:
        focal_length_mm = focal_length_mm * factor
    return focal_length_mm


def focal_ratio(focal_length_mm: N, aperture_mm: N | float) -> N:
    """Effective focal length over the diameter of the entrance pupil; obstruction is not counted."""
    return focal_length_mm / aperture_mm


def thin_lens_image(focal_length_mm: N, object_mm: N | float) -> N:
    """Distance in mm from a thin lens to the image of something at `object_mm`.

    A negative object distance means converging light that would meet at that distance behind the lens.
    """
    return 1 / (1 / focal_length_mm - 1 / object_mm)


def reducer_factor(reducer_focal_length_mm: N, lens_to_sensor_mm: N | float) -> N:
    """Factor of a thin reducer (or, with a negative focal length, extender) at a distance before the sensor.

    A real corrector is thick and counts the distance from its rear principal plane, which is rarely
    published: the result estimates how the factor changes with spacing, not the factor.
    """
    return 1 - lens_to_sensor_mm / reducer_focal_length_mm


def reducer_factor_from_prime(reducer_focal_length_mm: N, lens_to_prime_mm: N | float) -> N:
    """The same factor from the distance in mm between the lens and the focus as it was without the lens."""
    return thin_lens_image(reducer_focal_length_mm, -lens_to_prime_mm) / lens_to_prime_mm


def reducer_focal_length(factor: N, lens_to_sensor_mm: N | float) -> N:
    """Focal length in mm of the thin lens that has this factor at this distance; negative for an extender."""
    return lens_to_sensor_mm / (1 - factor)


def plate_scale(focal_length_mm: N) -> N:
    """Arcseconds of sky on one millimetre of the focal plane, at its centre."""
    return ARCSEC_PER_RADIAN / focal_length_mm


def image_scale(pixel_um: N, focal_length_mm: N | float) -> N:
    """Arcseconds of sky on one pixel, at the centre of the field."""
    return ARCSEC_PER_RADIAN * 1e-3 * pixel_um / focal_length_mm


def sensor_extent(pixels: N, pixel_um: N | float) -> N:
    """Length in mm of a row or column of the sensor."""
    return pixels * pixel_um * 1e-3


def diagonal(width: N, height: N) -> N:
    """Diagonal of a rectangle, in the unit of its sides."""
    return elementwise(np.hypot, width, height)


def field_of_view(extent_mm: N, focal_length_mm: N | float) -> N:
    """Angle in degrees that a centred length in mm spans on the sky; exact for a lens without distortion."""
    return 2 * elementwise(np.arctan, extent_mm / (2 * focal_length_mm)) * (180 / pi)


def angle_between(x1_mm: N, y1_mm: N, x2_mm: N, y2_mm: N, focal_length_mm: N | float) -> N:
    """Angle on the sky, in degrees, between two points of the focal plane given in mm from the optical axis.

    Exact for a lens without distortion (gnomonic projection), at any separation.
    """
    # The rays are (x, y, f); cross and dot product stay exact for small angles too.
    f = focal_length_mm
    cross = ((y1_mm - y2_mm) * f) ** 2 + ((x2_mm - x1_mm) * f) ** 2 + (x1_mm * y2_mm - x2_mm * y1_mm) ** 2
    dot = x1_mm * x2_mm + y1_mm * y2_mm + f * f
    return elementwise(np.arctan2, elementwise(np.sqrt, cross), dot) * (180 / pi)


@dataclass(frozen=True)
class OffsetField(Generic[N]):
    """Field of a sensor beside the optical axis, all in degrees.

    `offset` is the distance of its centre from the axis, `direction` that of the centre in the focal plane,
    from +x towards +y, -180 to 180; `width` and `height` are measured through the centre.
    """

    offset: N
    direction: N
    width: N
    height: N


def offset_field(
    width_mm: N, height_mm: N, offset_x_mm: N, offset_y_mm: N, focal_length_mm: N | float
) -> OffsetField[N]:
    """Field of a second sensor in the focal plane, its centre offset in mm from the axis, sides parallel."""
    x, y, f = offset_x_mm, offset_y_mm, focal_length_mm
    right, up = width_mm / 2, height_mm / 2
    return OffsetField(
        offset=elementwise(np.arctan, elementwise(np.hypot, x, y) / f) * (180 / pi),
        direction=elementwise(np.arctan2, y, x) * (180 / pi),
        width=angle_between(x - right, y, x + right, y, f),
        height=angle_between(x, y - up, x, y + up, f),
    )


# --- Diffraction --------------------------------------------------------------------------------------------


def _wavelengths_per_aperture(aperture_mm: N, wavelength_nm: N | float) -> N:
    """lambda/D in arcsec."""
    return ARCSEC_PER_RADIAN * 1e-6 * wavelength_nm / aperture_mm


def airy_fwhm(aperture_mm: N, wavelength_nm: N | float = GREEN_NM) -> N:
    """Full width at half maximum, in arcsec, of a star drawn by diffraction alone at a clear round aperture.

    A central obstruction narrows this core but throws light into the rings: where seeing is the wider blur,
    the star grows by it. Putting the narrower core into `quadrature` would go the wrong way.
    """
    return AIRY_FWHM * _wavelengths_per_aperture(aperture_mm, wavelength_nm)


def airy_ring_diameter(focal_ratio: N, wavelength_nm: N | float = GREEN_NM) -> N:
    """Diameter of the first dark ring in the focal plane, um."""
    return 2 * FIRST_DARK_RING * 1e-3 * wavelength_nm * focal_ratio


def rayleigh(aperture_mm: N, wavelength_nm: N | float = GREEN_NM) -> N:
    """Separation in arcsec at which one star of an equal pair stands on the first dark ring of the other."""
    return FIRST_DARK_RING * _wavelengths_per_aperture(aperture_mm, wavelength_nm)


def cutoff_frequency(focal_ratio: N, wavelength_nm: N | float = GREEN_NM) -> N:
    """Finest detail that a lens passes at all, in cycles per mm of the focal plane."""
    return 1e6 / (wavelength_nm * focal_ratio)


def critical_pixel(focal_ratio: N, wavelength_nm: N | float = GREEN_NM) -> N:
    """Pixel in um that has two samples in every cycle of the cut-off: a smaller one cannot record more."""
    return wavelength_nm * focal_ratio * 1e-3 / 2


def diffraction_contrast(frequency: N, cutoff: N | float) -> N:
    """Contrast that a clear round aperture leaves to detail of a frequency (same unit as the cut-off)."""
    v = elementwise(np.minimum, frequency / cutoff, 1.0)
    return (2 / pi) * (elementwise(np.arccos, v) - v * elementwise(np.sqrt, 1 - v * v))


# --- Seeing and the star that results -----------------------------------------------------------------------


def airmass(altitude_deg: N) -> N:
    """Air mass at an apparent altitude in degrees: 1 at the zenith, about 38 at the horizon, NaN below."""
    # The base is kept positive below the horizon too, where the result is thrown away.
    seen = elementwise(np.maximum, altitude_deg, 0.0)
    fitted = 1 / (elementwise(np.sin, seen * (pi / 180)) + 0.50572 * elementwise(np.power, seen + 6.07995, -1.6364))
    clamped = elementwise(np.maximum, fitted, 1.0)  # the fit gives 0.9997 at the zenith
    return elementwise(lambda altitude: np.where(altitude < 0, np.nan, clamped), altitude_deg)


def seeing_at(zenith_fwhm_arcsec: N, airmass: N | float, wavelength_nm: N | float = SEEING_REFERENCE_NM) -> N:
    """Seeing in arcsec at an air mass and wavelength, from the seeing at the zenith and 500 nm.

    Long exposures, infinite outer scale: large telescopes do a little better.
    """
    growth: N | float = airmass**0.6 * (wavelength_nm / SEEING_REFERENCE_NM) ** -0.2
    return elementwise(np.multiply, zenith_fwhm_arcsec, growth)


def seeing_contrast(frequency: N, fwhm: N | float) -> N:
    """Contrast that seeing of this width leaves to detail of a frequency (cycles per unit of the width)."""
    return elementwise(np.exp, -KOLMOGOROV_EXPONENT * elementwise(np.power, frequency * fwhm / KOLMOGOROV_FWHM, 5 / 3))


def axis_rms(total_rms: N) -> N:
    """RMS of one axis out of the total of two equal and independent axes, same unit."""
    return total_rms / sqrt(2)


def fwhm_from_rms(axis_rms: N) -> N:
    """Width of the smear of a wandering star, from the RMS along one axis (same unit; Gaussian)."""
    return FWHM_PER_SIGMA * axis_rms


def pixel_blur(pixel: N) -> N:
    """Width that averaging over a pixel adds in quadrature: a Gaussian of the same variance, p^2/12."""
    return FWHM_PER_SIGMA / sqrt(12) * pixel


def quadrature(width: N, *others: N | float) -> N:
    """Width of several blurs in succession (same unit): exact for Gaussians, a fair estimate for others."""
    total = width * width
    for other in others:
        total = total + other * other
    return elementwise(np.sqrt, total)


# --- Sampling -----------------------------------------------------------------------------------------------


def pixels_across(fwhm: N, interval: N | float) -> N:
    """How many sampling intervals a star's width spans (same unit)."""
    return fwhm / interval


def green_interval(pixel: N) -> N:
    """Interval between the green photosites of a colour mosaic along the diagonal, where it is widest.

    They stand on a chequerboard: along rows and columns they resolve as much as all pixels together.
    """
    return sqrt(2) * pixel


def red_blue_interval(pixel: N) -> N:
    """Interval between the red (or blue) photosites of a colour mosaic along rows and columns, the widest."""
    return 2 * pixel


def contrast_at_limit(fwhm_intervals: N) -> N:
    """Contrast that a Gaussian star of this width leaves to the finest detail the sampling can hold.

    That detail has two samples in a cycle. What contrast is left there is lost or turns into false detail.
    """
    return elementwise(np.exp, -(pi**2) / (16 * log(2)) * fwhm_intervals * fwhm_intervals)


def image_contrast(frequency: N, seeing_fwhm: N | float, cutoff: N | float, guiding_fwhm: N | float = 0.0) -> N:
    """Contrast left to detail of a frequency by seeing, diffraction and guiding together.

    The three multiply; no Gaussian is assumed of seeing or diffraction. Frequency and cut-off in cycles per
    arcsec (or px), widths in arcsec (or px). Clear aperture, perfect optics, no pixel's averaging.
    """
    guiding = elementwise(np.exp, -((pi * frequency * guiding_fwhm) ** 2) / (4 * log(2)))
    return seeing_contrast(frequency, seeing_fwhm) * diffraction_contrast(frequency, cutoff) * guiding


def interval_for_contrast(contrast: float, seeing_fwhm: float, cutoff: float, guiding_fwhm: float = 0.0) -> float:
    """Sampling interval at whose limit the image leaves just this contrast, 0 to 1; `image_contrast` turned round.

    Units as there: cut-off in cycles per arcsec and widths in arcsec give an interval in arcsec. The contrast is
    looked up on a fine grid of frequencies, which is good to 1e-4 of the interval.
    """
    frequencies = cutoff * np.geomspace(1e-4, 1.0, 4096)
    left = image_contrast(frequencies, seeing_fwhm, cutoff, guiding_fwhm)
    return 1 / (2 * float(np.interp(-contrast, -left, frequencies)))


def pixel_sky_area(image_scale_arcsec: N) -> N:
    """Sky that one pixel sees, in square arcsec."""
    return image_scale_arcsec * image_scale_arcsec


def signal_ratio(image_scale_arcsec: N, reference_arcsec: N | float) -> N:
    """Light of an even glow on one pixel, against one of the reference scale behind the same aperture."""
    return (image_scale_arcsec / reference_arcsec) ** 2
