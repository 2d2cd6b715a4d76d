"""Optics of a rig as pure functions: scale and field, diffraction, seeing, sampling, focus.

Every function takes plain floats or numpy arrays and returns the same kind, elementwise. Units are in the
parameter names and docstrings; "same unit" means that any unit will do. Nothing here judges: `study` does.
The sources and outside checks of every formula stand in `methods.yml` beside this file.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import log, pi, sqrt
from types import MappingProxyType
from typing import Any, Generic, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

N = TypeVar("N", float, NDArray[np.float64])

ARCSEC_PER_RADIAN = 648_000 / pi
GREEN_NM = 550.0  # middle of the visible band; the default for everything that depends on wavelength
SEEING_REFERENCE_NM = 500.0  # wavelength at which seeing is quoted by convention

FIRST_DARK_RING = 1.2196698912665045  # first zero of J1(x), divided by pi: radius in lambda/D
AIRY_FWHM = 1.0289939699619919  # full width at which (2 J1(x)/x)^2 is one half, in lambda/D
DAWES_ARCSEC_MM = 116.0
FWHM_PER_SIGMA = 2 * sqrt(2 * log(2))  # of a Gaussian
KOLMOGOROV_FWHM = 0.9759  # width of the long-exposure seeing image in lambda/r0 ...
KOLMOGOROV_EXPONENT = 3.4419  # ... whose transfer function is exp(-3.4419 (lambda f/r0)^(5/3))


def _on(function: Callable[..., Any], first: N, *others: N | float) -> N:
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
    return _on(np.hypot, width, height)


def field_of_view(extent_mm: N, focal_length_mm: N | float) -> N:
    """Angle in degrees that a centred length in mm spans on the sky; exact for a lens without distortion."""
    return 2 * _on(np.arctan, extent_mm / (2 * focal_length_mm)) * (180 / pi)


def angle_between(x1_mm: N, y1_mm: N, x2_mm: N, y2_mm: N, focal_length_mm: N | float) -> N:
    """Angle on the sky, in degrees, between two points of the focal plane given in mm from the optical axis.

    Exact for a lens without distortion (gnomonic projection), at any separation.
    """
    # The rays are (x, y, f); cross and dot product stay exact for small angles too.
    f = focal_length_mm
    cross = ((y1_mm - y2_mm) * f) ** 2 + ((x2_mm - x1_mm) * f) ** 2 + (x1_mm * y2_mm - x2_mm * y1_mm) ** 2
    dot = x1_mm * x2_mm + y1_mm * y2_mm + f * f
    return _on(np.arctan2, _on(np.sqrt, cross), dot) * (180 / pi)


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
        offset=_on(np.arctan, _on(np.hypot, x, y) / f) * (180 / pi),
        direction=_on(np.arctan2, y, x) * (180 / pi),
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


def dawes(aperture_mm: N) -> N:
    """Separation in arcsec at which visual observers still split equal pairs: an empirical rule."""
    return DAWES_ARCSEC_MM / aperture_mm


def cutoff_frequency(focal_ratio: N, wavelength_nm: N | float = GREEN_NM) -> N:
    """Finest detail that a lens passes at all, in cycles per mm of the focal plane."""
    return 1e6 / (wavelength_nm * focal_ratio)


def critical_pixel(focal_ratio: N, wavelength_nm: N | float = GREEN_NM) -> N:
    """Pixel in um that has two samples in every cycle of the cut-off: a smaller one cannot record more."""
    return wavelength_nm * focal_ratio * 1e-3 / 2


def diffraction_contrast(frequency: N, cutoff: N | float) -> N:
    """Contrast that a clear round aperture leaves to detail of a frequency (same unit as the cut-off)."""
    v = _on(np.minimum, frequency / cutoff, 1.0)
    return (2 / pi) * (_on(np.arccos, v) - v * _on(np.sqrt, 1 - v * v))


# --- Seeing and the star that results -----------------------------------------------------------------------


def airmass(altitude_deg: N) -> N:
    """Air mass at an apparent altitude in degrees: 1 at the zenith, about 38 at the horizon, NaN below."""
    # The base is kept positive below the horizon too, where the result is thrown away.
    seen = _on(np.maximum, altitude_deg, 0.0)
    fitted = 1 / (_on(np.sin, seen * (pi / 180)) + 0.50572 * _on(np.power, seen + 6.07995, -1.6364))
    clamped = _on(np.maximum, fitted, 1.0)  # the fit gives 0.9997 at the zenith
    return _on(lambda altitude: np.where(altitude < 0, np.nan, clamped), altitude_deg)


def seeing_at(zenith_fwhm_arcsec: N, airmass: N | float, wavelength_nm: N | float = SEEING_REFERENCE_NM) -> N:
    """Seeing in arcsec at an air mass and wavelength, from the seeing at the zenith and 500 nm.

    Long exposures, infinite outer scale: large telescopes do a little better.
    """
    growth: N | float = airmass**0.6 * (wavelength_nm / SEEING_REFERENCE_NM) ** -0.2
    return _on(np.multiply, zenith_fwhm_arcsec, growth)


def seeing_contrast(frequency: N, fwhm: N | float) -> N:
    """Contrast that seeing of this width leaves to detail of a frequency (cycles per unit of the width)."""
    return _on(np.exp, -KOLMOGOROV_EXPONENT * _on(np.power, frequency * fwhm / KOLMOGOROV_FWHM, 5 / 3))


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
    return _on(np.sqrt, total)


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
    return _on(np.exp, -(pi**2) / (16 * log(2)) * fwhm_intervals * fwhm_intervals)


def interval_for_contrast(fwhm: N, contrast: N | float) -> N:
    """Sampling interval (unit of the width) at whose limit a Gaussian star leaves this contrast, 0 to 1."""
    intervals_across: N | float = 4 / pi * np.sqrt(-log(2) * np.log(contrast))
    return _on(np.divide, fwhm, intervals_across)


def image_contrast(
    frequency: N, seeing_fwhm: N | float, cutoff: N | float, guiding_fwhm: N | float = 0.0
) -> N:
    """Contrast left to detail of a frequency by seeing, diffraction and guiding together.

    The three multiply; no Gaussian is assumed of seeing or diffraction. Frequency and cut-off in cycles per
    arcsec (or px), widths in arcsec (or px). Clear aperture, perfect optics, no pixel's averaging.
    """
    guiding = _on(np.exp, -((pi * frequency * guiding_fwhm) ** 2) / (4 * log(2)))
    return seeing_contrast(frequency, seeing_fwhm) * diffraction_contrast(frequency, cutoff) * guiding


def pixel_sky_area(image_scale_arcsec: N) -> N:
    """Sky that one pixel sees, in square arcsec."""
    return image_scale_arcsec * image_scale_arcsec


def signal_ratio(image_scale_arcsec: N, reference_arcsec: N | float) -> N:
    """Light of an even glow on one pixel, against one of the reference scale behind the same aperture."""
    return (image_scale_arcsec / reference_arcsec) ** 2


# --- Focus --------------------------------------------------------------------------------------------------


def defocus_waves(defocus_um: N, focal_ratio: N | float, wavelength_nm: N | float = GREEN_NM) -> N:
    """Wavefront error of defocus, peak to valley, in waves; paraxial, within 5 % of exact down to f/2."""
    return defocus_um * 1e3 / (8 * focal_ratio**2 * wavelength_nm)


def defocus_strehl(waves: N) -> N:
    """Height of a defocused star's peak against the focused one, from peak-to-valley waves."""
    return _on(np.sinc, waves) ** 2


def depth_quarter_wave(focal_ratio: N, wavelength_nm: N | float = GREEN_NM) -> N:
    """Defocus in um, to EITHER side, that costs a quarter wave and 19 % of the peak; half the range."""
    return 2 * wavelength_nm * 1e-3 * focal_ratio**2


def depth_geometric(focal_ratio: N, blur_um: N | float) -> N:
    """Defocus in um, to EITHER side, that spreads a point of light over a disc of the allowed diameter."""
    return focal_ratio * blur_um


def depth_of_focus(focal_ratio: N, blur_um: N | float, wavelength_nm: N | float = GREEN_NM) -> N:
    """The narrower of the two tolerances, um to either side; the quarter wave binds below c/(2 lambda)."""
    quarter_wave = depth_quarter_wave(focal_ratio, wavelength_nm)
    return _on(np.minimum, quarter_wave, depth_geometric(focal_ratio, blur_um))


def defocus_at_sensor(travel_um: N, corrector_factor: N | float = 1.0) -> N:
    """Defocus in um at the sensor when camera and corrector are moved together along the axis.

    A corrector of factor M that rides with the camera turns a travel into M^2 times as much defocus.
    """
    return travel_um * corrector_factor**2


def steps_in_depth(half_depth_um: N, step_um: N | float) -> N:
    """Steps of the focus motor inside the whole in-focus range; both lengths at the sensor."""
    return 2 * half_depth_um / step_um


@dataclass(frozen=True)
class Expansion:
    """Linear expansion of a tube material in 1e-6 per degC, the least and most that sources give, and who."""

    typical: float
    low: float
    high: float
    note: str

    @property
    def worst(self) -> float:
        """The end of the range that moves the focus most."""
        return max(self.low, self.high, key=abs)


_BOOK = "Fundamentals of Materials Science and Engineering, 3rd ed., Table B.6"
_COLLEGE = "OpenStax, College Physics, Thermal Expansion"
_WOUND = "a tube wound in several directions can reach about +3 (from memory)"
EXPANSION: Mapping[str, Expansion] = MappingProxyType(
    {
        "aluminium": Expansion(
            23.6, 22.9, 25.0, f"6061 23.6, 7075 23.4, 2024 22.9 ({_BOOK}); 25 ({_COLLEGE})"
        ),
        "carbon fibre": Expansion(-0.5, -0.6, 3.0, f"-0.5 and -0.6 along, +32 across ({_BOOK}); {_WOUND}"),
        "steel": Expansion(
            12.0, 11.0, 17.2, f"12 ({_COLLEGE}); stainless 304 17.2 ({_BOOK}); 11 from memory"
        ),
        "invar": Expansion(1.6, 0.72, 1.6, f"Invar 1.6, Super Invar 0.72 ({_BOOK}); 0.9 ({_COLLEGE})"),
        "brass": Expansion(19.0, 18.0, 21.0, "from memory"),
    }
)
"""By tube material. Plastics are left out: their values run from 20 to above 100."""


def focus_shift_per_degree(expansion_1e6: N, length_mm: N | float, lever: N | float = 1.0) -> N:
    """How far the focus moves along the focuser, um per degC; positive: the tube grows with warmth.

    Only the tube between objective (or mirror) and focuser: the glass moves too, and can match it.
    """
    return expansion_1e6 * length_mm * 1e-3 * lever


def two_mirror_lever(system_ratio: N, primary_ratio: N | float) -> N:
    """Travel of the focus for a unit change of the mirror spacing in a two-mirror telescope: m^2 + 1.

    m is the magnification of the secondary, the system's focal ratio over the primary's. The length that
    expands is then the spacing of the mirrors. Small changes; mirrors of glass that hardly expands.
    """
    return (system_ratio / primary_ratio) ** 2 + 1


def degrees_until_refocus(half_depth_um: N, shift_um_per_degree: N | float) -> N:
    """Change of temperature in degC that uses up the depth of focus to one side; infinite for no shift."""
    shift: N | float = np.abs(shift_um_per_degree)
    with np.errstate(divide="ignore"):
        return _on(np.divide, half_depth_um, shift)
