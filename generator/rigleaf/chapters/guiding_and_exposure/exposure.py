"""Light on the sensor as pure functions: photons, electrons, sub-exposures and signal to noise.

Every function takes plain floats or numpy arrays and returns the same kind, elementwise. Units are in the
parameter names and docstrings; rates are in electrons (or photons) per second. Nothing here judges.
The sources and outside checks of every formula stand in `methods.yml` beside this file.
"""

from dataclasses import dataclass
from math import erf, log, pi, sqrt
from types import MappingProxyType
from typing import Any

import numpy as np

from rigleaf.chapters.scale_and_field.physics import ARCSEC_PER_RADIAN, FWHM_PER_SIGMA, N, elementwise

PLANCK_J_S = 6.62607015e-34  # exact, SI
LIGHT_NM_S = 2.99792458e17  # exact, SI
AB_ZERO_JY = 3630.780547701  # 10^(-48.60/2.5) erg/s/cm2/Hz
SQUARE_ARCSEC_SR = ARCSEC_PER_RADIAN**-2
LOG_PER_MAGNITUDE = 0.4 * log(10)  # natural logarithm of the brightness of one magnitude
DARK_DOUBLING_K = 6.5  # step that doubles the dark current: common practice, no source; 6 to 7 K are quoted
READ_NOISE_SHARE = 0.05  # noise that reading may add to a sub-exposure: a choice of this guide


@dataclass(frozen=True, slots=True)
class Band:
    """A photometric band: middle in nm, width over wavelength, and the flux of magnitude 0 in jansky."""

    wavelength_nm: float
    relative_width: float
    zero_jy: float


BANDS = MappingProxyType(
    {
        "U": Band(360.0, 0.15, 1810.0),
        "B": Band(440.0, 0.22, 4260.0),
        "V": Band(550.0, 0.16, 3640.0),
        "R": Band(640.0, 0.23, 3080.0),
        "I": Band(790.0, 0.19, 2550.0),
    }
)
"""Bands and zero points of 1979, from the course notes AY145 (read)."""

ZERO_FLUX_PER_ANGSTROM = MappingProxyType(
    {"U": (366.0, 417.5e-11), "B": (438.0, 632.0e-11), "V": (545.0, 363.1e-11), "R": (641.0, 217.7e-11),
     "I": (798.0, 112.6e-11)}
)  # fmt: skip
"""Middle in nm and erg/s/cm2/A of magnitude 0: A&A 333, 231 (1998), Table A2 (read in five codes that cite it).
Against BANDS they differ by 1 % in V and by up to 8 % elsewhere: no zero point is better than that."""

EXTINCTION_LA_SILLA = MappingProxyType(
    {360.0: 0.46, 400.0: 0.30, 440.0: 0.20, 500.0: 0.13, 540.0: 0.11, 560.0: 0.11, 600.0: 0.09, 660.0: 0.05,
     700.0: 0.04, 800.0: 0.02, 900.0: 0.01}
)  # fmt: skip
"""Magnitudes per air mass by wavelength in nm: La Silla, ESO users manual 1993 (read). A mountain in clear air;
a lowland site is worse."""

LUMINANCE_CONVENTIONAL = 10.8e4
LUMINANCE_AB = 10.96e4
LUMINANCE_RANGE = (11.8e4, 14.3e4)
"""cd/m2 of 0 mag/arcsec2 in Johnson V (Vega) for spectra of real skies: MNRAS 493, 2429 (2020), read. The conventional
constant lies below the whole range, so a luminance deserves one digit."""


# --- Photons ------------------------------------------------------------------------------------------------


def _pogson(magnitude: N) -> N:
    """Brightness of a magnitude, that of magnitude 0 being 1."""
    return elementwise(np.exp, -LOG_PER_MAGNITUDE * magnitude)


def jansky(magnitude: N, zero_jy: float = AB_ZERO_JY) -> N:
    """Spectral flux in jansky; AB magnitudes unless the zero point of another system is given."""
    return zero_jy * _pogson(magnitude)


def photons(flux_jy: N, relative_width: N | float) -> N:
    """Photons per second on a square metre above the air, in a band of width over wavelength."""
    return flux_jy * (1e-26 / PLANCK_J_S) * relative_width


def photons_in_band(magnitude: N, centre_nm: N | float, width_nm: N | float, zero_jy: float = AB_ZERO_JY) -> N:
    """Photons per second on a square metre above the air, in a pass band of a width in nm.

    The flux per hertz is taken as flat over the band. A magnitude per square arcsec gives photons per square
    arcsec. A V magnitude may stand for AB within 4 %; for a band far from V the colour of the thing is missing.
    """
    return photons(jansky(magnitude, zero_jy), width_nm / centre_nm)


def photons_per_angstrom(flux_cgs: N, wavelength_nm: N | float) -> N:
    """Photons/s/cm2/A of a flux in erg/s/cm2/A."""
    return flux_cgs * 1e-7 * wavelength_nm / (PLANCK_J_S * LIGHT_NM_S)


def line_photons(rayleighs: N) -> N:
    """Photons per second, square metre and square arcsec of an emission line's surface brightness in rayleighs."""
    return rayleighs * (1e10 / (4 * pi) * SQUARE_ARCSEC_SR)


def narrowed_continuum(rate: N, wide_nm: N | float, narrow_nm: N | float) -> N:
    """What a narrow band leaves of a rate known for a wide one: even light, such as sky glow, goes by width."""
    return rate * narrow_nm / wide_nm


def narrowed_object(rate: N, line_share: N | float, wide_nm: N | float, narrow_nm: N | float) -> N:
    """The same for an object of whose light a share (0 to 1) is lines inside the narrow band: they pass whole."""
    return rate * (line_share + (1 - line_share) * narrow_nm / wide_nm)


def mean_surface_brightness(magnitude: N, major_arcmin: N | float, minor_arcmin: N | float) -> N:
    """Mean magnitude per square arcsec of an ellipse with these full axes; cores are brighter, rims fainter."""
    return elementwise(
        lambda total, major, minor: total + 2.5 * np.log10(pi / 4 * 3600 * major * minor),
        magnitude,
        major_arcmin,
        minor_arcmin,
    )


def extinction(coefficient: N, airmass: N | float) -> N:
    """Magnitudes that the air takes, from magnitudes per air mass."""
    return coefficient * airmass


def air_transmission(coefficient: N, airmass: N | float) -> N:
    """Part of the light that comes through the air. Sky glow is measured below most of it: do not dim it."""
    return _pogson(extinction(coefficient, airmass))


def mountain_extinction(wavelength_nm: N) -> N:
    """Magnitudes per air mass in clear mountain air, 360 to 900 nm, between the rows of EXTINCTION_LA_SILLA."""
    known = list(EXTINCTION_LA_SILLA), list(EXTINCTION_LA_SILLA.values())
    return elementwise(lambda wavelength: np.interp(wavelength, *known), wavelength_nm)


def luminance(magnitude: N, zero_point: float = LUMINANCE_CONVENTIONAL) -> N:
    """cd/m2 of a sky in mag/arcsec2. Good to one digit: see LUMINANCE_RANGE."""
    return zero_point * _pogson(magnitude)


def sky_magnitude(luminance_cd_m2: N, zero_point: float = LUMINANCE_CONVENTIONAL) -> N:
    """mag/arcsec2 of a luminance; `luminance` turned round."""
    return -2.5 * elementwise(np.log10, luminance_cd_m2 / zero_point)


# --- Electrons ----------------------------------------------------------------------------------------------


def collecting_area(aperture_mm: N, obstruction_mm: N | float = 0.0) -> N:
    """Square metres of a round aperture less its round central obstruction."""
    return pi / 4 * 1e-6 * (aperture_mm * aperture_mm - obstruction_mm * obstruction_mm)


def electron_rate(photons_m2: N, area_m2: N | float, *parts_kept: float) -> N:
    """Electrons per second from photons on a square metre: optics', filter's and air's transmission, then QE."""
    rate: N = photons_m2 * area_m2
    for part in parts_kept:
        rate = rate * part
    return rate


def per_pixel(rate_per_square_arcsec: N, image_scale_arcsec: N | float) -> N:
    """Rate on one pixel from the rate per square arcsec."""
    return rate_per_square_arcsec * (image_scale_arcsec * image_scale_arcsec)


def dark_rate(rate: N, stated_at_degc: N | float, degc: N | float, doubling_k: float = DARK_DOUBLING_K) -> N:
    """Dark current at a temperature, from that at another one."""
    return elementwise(lambda known, at, now: known * np.exp2((now - at) / doubling_k), rate, stated_at_degc, degc)


# --- One sub-exposure ---------------------------------------------------------------------------------------


def read_noise_share(read_noise: N, background_rate: N | float, sub_s: N | float) -> N:
    """How much more noise a sub-exposure has for being read, as a fraction of its shot noise."""
    return elementwise(np.sqrt, 1 + read_noise * read_noise / (background_rate * sub_s)) - 1


def sub_exposure(read_noise: N, background_rate: N | float, share: float = READ_NOISE_SHARE) -> N:
    """Seconds after which reading adds no more than this share of noise to a pixel of bare background.

    Background is sky and dark current together, e-/s/px. Longer exposures gain next to nothing.
    """
    return read_noise * read_noise / (background_rate * ((1 + share) ** 2 - 1))


def stack_efficiency(shot_variance: N, read_variance: N | float, subs: N | float) -> N:
    """Signal to noise of a stack of n subs, against one exposure of the same total time (1: nothing lost).

    `shot_variance` is that of the whole time, `read_variance` the square of the read noise, both in e-^2.
    """
    return elementwise(np.sqrt, (shot_variance + read_variance) / (shot_variance + subs * read_variance))


def peak_pixel_share(fwhm_px: float) -> float:
    """Part of a Gaussian star's light on the pixel that it is centred on: the worst case for saturation."""
    return erf(FWHM_PER_SIGMA / (2 * sqrt(2) * fwhm_px)) ** 2


def full_well_exposure(star_rate: N, peak_share: N | float, full_well: N | float, background_rate: N | float) -> N:
    """Seconds until the brightest pixel of a star (e-/s in all) is full."""
    return full_well / (star_rate * peak_share + background_rate)


def brightest_unsaturated(
    exposure_s: N, rate_at_zero: N | float, peak_share: N | float, full_well: N | float, background_rate: N | float
) -> N:
    """Magnitude of the star that just fills its brightest pixel; infinite when the background alone does.

    `rate_at_zero` is the rate of a star of magnitude 0, e-/s.
    """
    room = elementwise(np.maximum, full_well / exposure_s - background_rate, 0.0)
    fraction = room / (rate_at_zero * peak_share)
    return elementwise(
        lambda part: np.where(part > 0, -2.5 * np.log10(np.where(part > 0, part, 1.0)), np.inf), fraction
    )


# --- Signal to noise ----------------------------------------------------------------------------------------


def ccd_signal_to_noise(
    signal: N, background: N | float, dark: N | float, read_noise: N | float, pixels: N | float,
    background_pixels: float = float("inf"), gain: float = 0.0, digitisation: float = 0.289,
) -> N:  # fmt: skip
    """Signal to noise of one exposure, everything in electrons (per pixel, but for the signal in all).

    `background_pixels` is the area that the background was measured on; `gain` in e-/ADU with `digitisation`
    adds the noise of rounding to whole ADU.
    """
    per_px = background + dark + read_noise * read_noise + (gain * digitisation) ** 2
    return signal / elementwise(np.sqrt, signal + pixels * (1 + pixels / background_pixels) * per_px)


def _per_second(object_rate: Any, background_rate: Any, read_noise: Any, sub_s: Any) -> Any:
    """Variance that one pixel gathers in a second, reading spread over the sub-exposure."""
    return object_rate + background_rate + read_noise * read_noise / sub_s


def signal_to_noise(
    object_rate: N, background_rate: N | float, read_noise: N | float, sub_s: N | float, total_s: N | float,
    pixels: N | float = 1.0,
) -> N:  # fmt: skip
    """Signal to noise of an even glow over so many pixels, after a total time in sub-exposures.

    Rates in e-/s/px. The background is taken as known exactly: a real one costs more near bright nebulae.
    """

    def ratio(glow: Any, background: Any, read: Any, sub: Any, total: Any, area: Any) -> Any:
        return glow * np.sqrt(area * total / _per_second(glow, background, read, sub))

    return elementwise(ratio, object_rate, background_rate, read_noise, sub_s, total_s, pixels)


def time_to_signal_to_noise(
    wanted: N, object_rate: N | float, background_rate: N | float, read_noise: N | float, sub_s: N | float,
    pixels: N | float = 1.0,
) -> N:  # fmt: skip
    """Seconds in all until that signal to noise; `signal_to_noise` turned round, not rounded to whole subs."""

    def seconds(ratio: Any, glow: Any, background: Any, read: Any, sub: Any, area: Any) -> Any:
        return ratio**2 * _per_second(glow, background, read, sub) / (area * glow**2)

    return elementwise(seconds, wanted, object_rate, background_rate, read_noise, sub_s, pixels)


def time_error(
    object_rate: N, sky_rate: N | float, dark: N | float, read_noise: N | float, sub_s: N | float,
    sky_magnitude_error: float = 0.2, throughput_error: float = 0.15, object_magnitude_error: float = 0.0,
) -> N:  # fmt: skip
    """Relative uncertainty of `time_to_signal_to_noise`, in natural logarithm, one standard deviation.

    First-order propagation of independent errors: sky and object in magnitudes, throughput (transmission times
    QE, the same for object and sky) as a fraction. The sub-exposure stays as it is.
    """

    def error(glow: Any, sky: Any, dark: Any, read: Any, sub: Any) -> Any:
        # Derivatives of the logarithm of the time: it goes as variance over the square of the glow.
        variance = _per_second(glow, sky + dark, read, sub)
        by_object, by_sky = glow / variance - 2, sky / variance
        return np.sqrt(
            (by_sky * LOG_PER_MAGNITUDE * sky_magnitude_error) ** 2
            + (by_object * LOG_PER_MAGNITUDE * object_magnitude_error) ** 2
            + ((by_object + by_sky) * throughput_error) ** 2
        )

    return elementwise(error, object_rate, sky_rate, dark, read_noise, sub_s)


def error_band(value: N, error: N | float) -> tuple[N, N]:
    """Lower and upper end of a value whose logarithm is uncertain by `error`."""
    high = elementwise(lambda middle, log_error: middle * np.exp(log_error), value, error)
    return value * value / high, high
