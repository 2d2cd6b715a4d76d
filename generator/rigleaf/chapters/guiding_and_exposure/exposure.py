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

from rigleaf.chapters.scale_and_field.physics import FWHM_PER_SIGMA, N, elementwise

PLANCK_J_S = 6.62607015e-34  # exact, SI
AB_ZERO_JY = 3630.780547701  # 10^(-48.60/2.5) erg/s/cm2/Hz
LOG_PER_MAGNITUDE = 0.4 * log(10)  # natural logarithm of the brightness of one magnitude
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

EXTINCTION_LA_SILLA = MappingProxyType(
    {360.0: 0.46, 400.0: 0.30, 440.0: 0.20, 500.0: 0.13, 540.0: 0.11, 560.0: 0.11, 600.0: 0.09, 660.0: 0.05,
     700.0: 0.04, 800.0: 0.02, 900.0: 0.01}
)  # fmt: skip
"""Magnitudes per air mass by wavelength in nm: La Silla, ESO users manual 1993 (read). A mountain in clear air;
a lowland site is worse."""

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


def narrowed_object(rate: N, line_share: N | float, wide_nm: N | float, narrow_nm: N | float) -> N:
    """The same for an object of whose light a share (0 to 1) is lines inside the narrow band: they pass whole."""
    return rate * (line_share + (1 - line_share) * narrow_nm / wide_nm)


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
