"""What a mount does to stars as pure functions: sidereal motion, polar error, periodic error, guiding.

Every function takes plain floats or numpy arrays and returns the same kind, elementwise, save where plain
floats are asked for. Hour angles are counted from the hour circle that the mount's wrong pole lies on.
The sources and outside checks of every formula stand in `methods.yml` beside this file.
"""

from math import cos, hypot, inf, pi, radians
from typing import Any

import numpy as np

from rigleaf.chapters.scale_and_field.physics import FWHM_PER_SIGMA, N, elementwise

SIDEREAL_DAY_S = 86_164.0905  # mean sidereal day
SIDEREAL_RATE = 1_296_000 / SIDEREAL_DAY_S  # arcsec/s
TURN = 2 * pi / SIDEREAL_DAY_S  # rad/s

CENTROID_SHARE = 0.1  # of a pixel: what guiding programs find a star to; common practice, no source
GUIDE_RATIO_LIMIT = 5.0  # guide pixel over imaging pixel, on the sky; common practice, no source


def _cos(angle_deg: Any) -> Any:
    return np.cos(np.radians(angle_deg))


# --- No tracking --------------------------------------------------------------------------------------------


def longest_untracked(trail_arcsec: N, declination_deg: N | float = 0.0) -> N:
    """Seconds until a star has left a trail of this length on a camera at rest."""
    return elementwise(lambda trail, dec: trail / (SIDEREAL_RATE * _cos(dec)), trail_arcsec, declination_deg)


# --- Polar error --------------------------------------------------------------------------------------------


def declination_drift(polar_error_arcmin: N, hour_angle_deg: N | float = 90.0) -> N:
    """Drift in declination, arcsec a minute, whatever the declination; largest at the default hour angle.

    Nothing that turns with the sky's pole can drift faster: it is the largest drift in any direction too.
    """
    return elementwise(
        lambda error, angle: 3600 * TURN * error * np.sin(np.radians(angle)), polar_error_arcmin, hour_angle_deg
    )


def polar_rotation(
    polar_error_arcmin: N, seconds: N | float, declination_deg: N | float, hour_angle_deg: N | float = 0.0
) -> N:
    """Turn of the field, in arcmin, about a star that is held perfectly; largest at the default hour angle.

    For exposures short against a day and stars far from the pole against the polar error.
    """
    return elementwise(
        lambda error, time, dec, angle: error * TURN * time * _cos(angle) / _cos(dec),
        polar_error_arcmin,
        seconds,
        declination_deg,
        hour_angle_deg,
    )


def rotation_trail(rotation_arcmin: N, distance: N | float) -> N:
    """Trail that a turn of the field leaves at a distance from the guide star, in the unit of the distance."""
    return rotation_arcmin * (pi / 10_800) * distance


def polar_tolerance(trail_um: N, seconds: N | float, declination_deg: N | float, distance_mm: N | float) -> N:
    """Polar error in arcmin at which the turn of the field leaves this trail, at the worst hour angle.

    `distance_mm` lies in the focal plane, from the guide star to the farthest corner.
    """
    turn_arcmin = trail_um * 1e-3 / distance_mm * (10_800 / pi)
    return elementwise(lambda turn, time, dec: turn * _cos(dec) / (TURN * time), turn_arcmin, seconds, declination_deg)


# --- Alt-azimuth mounts -------------------------------------------------------------------------------------


def altaz_rotation(latitude_deg: N, azimuth_deg: N | float, altitude_deg: N | float) -> N:
    """Turn of the field on an alt-azimuth mount, degrees an hour; positive when the parallactic angle grows.

    Azimuth counts from north through east; formulas that count from the south have the other sign. Without
    bound towards the zenith.
    """
    return elementwise(
        lambda lat, azimuth, altitude: -SIDEREAL_RATE * _cos(lat) * _cos(azimuth) / _cos(altitude),
        latitude_deg,
        azimuth_deg,
        altitude_deg,
    )


def altaz_exposure(trail_px: N, distance_px: N | float, rotation_deg_h: N | float) -> N:
    """Seconds until a turn of the field leaves a trail of so many pixels at a distance from the centre.

    Infinite where the field stands still.
    """
    turn = elementwise(lambda trail, distance: trail / distance * (180 / pi), trail_px, distance_px)
    return elementwise(
        lambda degrees, rate: np.where(rate == 0, inf, 3600 * degrees / np.where(rate == 0, 1.0, np.abs(rate))),
        turn,
        rotation_deg_h,
    )


# --- Periodic error -----------------------------------------------------------------------------------------


def periodic_rate(peak_to_peak_arcsec: N, period_s: N | float) -> N:
    """Largest rate of a sinusoidal periodic error, arcsec/s. Makers state it peak to peak."""
    return pi * peak_to_peak_arcsec / period_s


def periodic_motion(peak_to_peak_arcsec: N, period_s: N | float, seconds: N | float) -> N:
    """Largest motion in arcsec that a sinusoidal periodic error makes inside any stretch of so many seconds."""
    return elementwise(
        lambda swing, period, time: swing * np.sin(np.minimum(pi * time / period, pi / 2)),
        peak_to_peak_arcsec,
        period_s,
        seconds,
    )


def guide_interval(peak_to_peak_arcsec: N, period_s: N | float, allowed_arcsec: N | float) -> N:
    """Seconds between corrections that keep the motion between them at what is allowed; infinite if it always is.

    `periodic_motion` turned round. One correction a cycle, no delay: exposure, download and correction together
    must fit.
    """

    def interval(swing: Any, period: Any, allowed: Any) -> Any:
        enough = np.less_equal(swing, allowed)
        share = np.where(enough, 0.0, allowed) / np.where(enough, 1.0, swing)
        return np.where(enough, inf, period / pi * np.arcsin(share))

    return elementwise(interval, peak_to_peak_arcsec, period_s, allowed_arcsec)


def guide_slack(drive_allows_s: N, star_needs_s: N | float, delay_s: N | float = 0.0) -> N:
    """Seconds left between what the drive allows and what the guide star needs; negative means they conflict."""
    return drive_allows_s - star_needs_s - delay_s


def unguided_motion(
    seconds: float,
    peak_to_peak_arcsec: float = 0.0,
    period_s: float = inf,
    polar_error_arcmin: float = 0.0,
    rate_error_arcsec_s: float = 0.0,
    declination_deg: float = 0.0,
) -> float:
    """Largest motion on the sky in arcsec within so many seconds, nothing correcting it.

    Periodic error and a wrong rate (the sidereal rate itself for a camera at rest) run along right ascension and
    shrink with declination; both are taken at their worst, so they add up. Polar error is taken at its worst in
    declination, at right angles. Plain floats.
    """
    along = cos(radians(declination_deg)) * (
        periodic_motion(peak_to_peak_arcsec, period_s, seconds) + abs(rate_error_arcsec_s) * seconds
    )
    across = declination_drift(polar_error_arcmin) * seconds / 60
    return hypot(along, across)


def longest_unguided(
    allowed_arcsec: float,
    peak_to_peak_arcsec: float = 0.0,
    period_s: float = inf,
    polar_error_arcmin: float = 0.0,
    rate_error_arcsec_s: float = 0.0,
    declination_deg: float = 0.0,
) -> float:
    """Seconds that keep `unguided_motion` at what is allowed; infinite where it never grows beyond. Plain floats.

    The motion never shrinks with time, so halving a bracket finds the answer.
    """

    def motion(seconds: float) -> float:
        return unguided_motion(
            seconds, peak_to_peak_arcsec, period_s, polar_error_arcmin, rate_error_arcsec_s, declination_deg
        )

    high = 1.0
    while motion(high) <= allowed_arcsec:
        high *= 2
        if high > 1e9:
            return inf
    low = 0.0
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if motion(middle) <= allowed_arcsec else (low, middle)
    return low


# --- Guiding ------------------------------------------------------------------------------------------------


def guide_ratio(guide_scale_arcsec: N, image_scale_arcsec: N | float) -> N:
    """How many imaging pixels one guide pixel covers along a side."""
    return guide_scale_arcsec / image_scale_arcsec


def centroid_limit(fwhm: N, signal_to_noise: N | float) -> N:
    """Error of a Gaussian star's place along one axis, in the unit of its width: photon noise alone, no pixels.

    Nothing measures better; background, read noise and coarse pixels make it worse.
    """
    return fwhm / (FWHM_PER_SIGMA * signal_to_noise)


def guide_accuracy(guide_scale_arcsec: N, image_scale_arcsec: N | float, share: float = CENTROID_SHARE) -> N:
    """Error in imaging pixels of a guide star that is found to a share of a guide pixel."""
    return share * guide_ratio(guide_scale_arcsec, image_scale_arcsec)
