"""Motion of stars on a tracking camera against ERFA, rotations in space and simulated drives.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from math import cos, hypot, pi, radians, sin, sqrt

import erfa
import numpy as np
import pytest
from numpy.typing import NDArray

from rigleaf.chapters.guiding_and_exposure import tracking

Array = NDArray[np.float64]
EPOCH = 2_461_041.5  # 2026-01-01, days


# --- Sidereal motion ---------------------------------------------------------------------------------------


def test_sidereal_rate_is_that_of_erfa() -> None:
    """COMPUTED with erfa.gmst06 over 6 h, 15.04106864 arcsec/s; a mean sidereal day of 86164.0905 s, MEMORY."""
    start, end = (float(erfa.gmst06(EPOCH, part, EPOCH, part)) for part in (0.0, 0.25))
    turned = np.degrees((end - start) % (2 * pi)) * 3600 / 21_600
    assert tracking.SIDEREAL_RATE == pytest.approx(turned, abs=1e-7)
    assert tracking.SIDEREAL_RATE == pytest.approx(15.04106864, abs=1e-7)
    assert 1 / tracking.longest_untracked(1.0) == pytest.approx(turned, abs=1e-7)


def test_earth_rotation_angle_is_another_rate() -> None:
    """COMPUTED with erfa.era00, 15.041067179 arcsec/s: precession parts it from the mean sidereal rate."""
    start, end = (float(erfa.era00(EPOCH, part)) for part in (0.0, 0.25))
    rate = np.degrees((end - start) % (2 * pi)) * 3600 / 21_600
    assert rate == pytest.approx(15.041067179, abs=1e-8)
    assert tracking.SIDEREAL_RATE - rate == pytest.approx(1.5e-6, abs=1e-7)


def test_untracked_trail_at_60_degrees() -> None:
    """Arithmetic: 10 s at declination 60 are 75.205 arcsec; COMPUTED too as a separation with erfa.seps."""
    along = radians(tracking.SIDEREAL_RATE * 10 / 3600)
    trail = float(np.degrees(erfa.seps(0.0, radians(60), along, radians(60)))) * 3600
    assert trail == pytest.approx(75.205, abs=1e-3)
    assert tracking.longest_untracked(trail, 60.0) == pytest.approx(10.0, rel=1e-6)


# --- Polar error -------------------------------------------------------------------------------------------


def direction(hour_angle_deg: float, declination_deg: float) -> Array:
    angle, dec = radians(hour_angle_deg), radians(declination_deg)
    return np.array([cos(dec) * cos(angle), -cos(dec) * sin(angle), sin(dec)])


def turned(vector: Array, axis: Array, angle: float) -> Array:
    """Turn a vector about an axis by the rotation formula of Rodrigues, with the sky (east to west)."""
    angle = -angle
    return vector * cos(angle) + np.cross(axis, vector) * sin(angle) + axis * float(axis @ vector) * (1 - cos(angle))


def simulated_drift(error_arcmin: float, hour_angle_deg: float, declination_deg: float, seconds: float) -> float:
    """Return how far in declination a mount with a wrong pole has left the star behind, arcsec a minute."""
    angle = 2 * pi * seconds / 86_164.0905
    star = direction(hour_angle_deg, declination_deg)
    there = turned(star, np.array([0.0, 0.0, 1.0]), angle)
    pointed = turned(star, direction(0.0, 90 - error_arcmin / 60), angle)
    return float(np.degrees(np.arcsin(there[2]) - np.arcsin(pointed[2])) * 3600 / (seconds / 60))


@pytest.mark.parametrize(("hour_angle", "declination", "drift"), [
    (90.0, 0.0, 2.62515), (90.0, 60.0, 2.62515), (45.0, 0.0, 1.8522),
])  # fmt: skip
def test_declination_drift_is_that_of_rotations_in_space(hour_angle: float, declination: float, drift: float) -> None:
    """COMPUTED with rotations in three dimensions: polar error 10 arcmin, over a second and over a minute."""
    simulated = abs(simulated_drift(10.0, hour_angle, declination, 1.0))
    assert tracking.declination_drift(10.0, hour_angle) == pytest.approx(simulated, rel=3e-4)
    # The hour angle moves by a quarter of a degree in a minute; these figures are for the minute that ends there.
    assert abs(simulated_drift(10.0, hour_angle, declination, -60.0)) == pytest.approx(drift, abs=2e-5)
    assert tracking.declination_drift(10.0, hour_angle - 0.125) == pytest.approx(drift, abs=2e-5)


def test_rule_of_drift_counts_in_arcminutes() -> None:
    """Mailing-list note after J. Br. Astron. Assoc. 99 (1989): "R = 0.262 * E", READ at second hand.

    The note says that E is in degrees; that is wrong by 60 and must NOT be reproduced.
    """
    assert tracking.declination_drift(1.0) == pytest.approx(0.262, abs=1e-3)
    assert tracking.declination_drift(60.0) != pytest.approx(0.262, rel=0.5)


def simulated_rotation(error_deg: float, declination_deg: float, minutes: float) -> float:
    """Return the turn in arcmin of the direction to the mount's pole, seen from a star about hour angle 0."""
    half = pi * minutes * 60 / 86_164.0905
    angles = [
        erfa.pas(-hour_angle, radians(declination_deg), 0.0, radians(90 - error_deg)) for hour_angle in (-half, half)
    ]
    return float(abs(np.degrees(angles[1] - angles[0])) * 60)


def test_polar_tolerance_of_30_um_in_an_hour() -> None:
    """E = 750 S cos(dec)/(T f A), after J. Br. Astron. Assoc. 99 (1989), READ at second hand.

    The constant comes out as 750.3. 30 um in 60 min at 500 mm, 2 deg from the guide star: 0.375 deg.
    COMPUTED with erfa.pas: that error trails 30 um.
    """
    distance = 500 * radians(2)
    tolerance = tracking.polar_tolerance(30.0, 3600.0, 0.0, distance)
    assert tolerance / 60 == pytest.approx(0.375, rel=5e-4)
    constant = tolerance / 60 * 60 * 500 * 2 / 30
    assert constant == pytest.approx(750.3, abs=0.05)
    trail = tracking.rotation_trail(simulated_rotation(0.375, 0.0, 60.0), distance * 1e3)
    assert trail == pytest.approx(30.0, abs=0.15)
    rotation = tracking.polar_rotation(22.5, 3600.0, 0.0)
    assert tracking.rotation_trail(rotation, distance * 1e3) == pytest.approx(30.0, abs=0.15)


@pytest.mark.parametrize("declination", [-40.0, 0.0, 60.0])
def test_turn_of_the_field_is_that_of_the_pole_of_the_mount(declination: float) -> None:
    """COMPUTED with erfa.pas, polar error 5 arcmin, ten minutes about the worst hour angle."""
    rotation = tracking.polar_rotation(5.0, 600.0, declination)
    assert rotation == pytest.approx(simulated_rotation(5 / 60, declination, 10.0), rel=4e-3)
    assert tracking.polar_tolerance(tracking.rotation_trail(rotation, 2e4), 600.0, declination, 20.0) == pytest.approx(
        5.0
    )


# --- Alt-azimuth mounts ------------------------------------------------------------------------------------


def parallactic_rate(latitude: float, azimuth: float, altitude: float) -> float:
    """Return how fast the parallactic angle grows, degrees an hour, by differences of erfa.hd2pa."""
    phi = radians(latitude)
    hour_angle, declination = erfa.ae2hd(radians(azimuth), radians(altitude), phi)
    step = 1e-5
    change = erfa.hd2pa(hour_angle + step, declination, phi) - erfa.hd2pa(hour_angle - step, declination, phi)
    change = (float(change) + pi) % (2 * pi) - pi
    return change / (2 * step) * 15.0410686


@pytest.mark.parametrize(("latitude", "azimuth", "altitude", "rate"), [
    (50.0, 0.0, 60.0, -19.336425), (35.0, 90.0, 45.0, 0.0), (50.0, 180.0, 30.0, None), (-33.0, 40.0, 55.0, None),
])  # fmt: skip
def test_alt_azimuth_rotation_is_that_of_erfa(
    latitude: float, azimuth: float, altitude: float, rate: float | None
) -> None:
    """COMPUTED by differences of erfa.hd2pa. With azimuths from the south the sign would turn: it must not."""
    found = tracking.altaz_rotation(latitude, azimuth, altitude)
    assert found == pytest.approx(parallactic_rate(latitude, azimuth, altitude), abs=2e-6)
    if rate is not None:
        assert found == pytest.approx(rate, abs=2e-6)
    if rate:
        assert found != pytest.approx(-rate, rel=0.5)


def test_alt_azimuth_exposure_leaves_the_trail_that_it_promises() -> None:
    """COMPUTED with erfa.hd2pa: the corner of a field turns by the allowed pixel in that time."""
    rate = tracking.altaz_rotation(50.0, 135.0, 40.0)
    seconds = tracking.altaz_exposure(1.0, 3000.0, rate)
    turn = radians(abs(parallactic_rate(50.0, 135.0, 40.0)) * seconds / 3600)
    assert 2 * 3000 * sin(turn / 2) == pytest.approx(1.0, rel=1e-5)


# --- Periodic error ----------------------------------------------------------------------------------------


def test_largest_rate_of_a_periodic_error() -> None:
    """COMPUTED with numpy.gradient: half a swing of 10 arcsec in 480 s is at most 0.1309 arcsec/s.

    Who takes the published peak-to-peak value for the half gets twice that, which must NOT come out.
    """
    times = np.linspace(0, 480, 100_001)
    steepest = float(np.max(np.gradient(10 * np.sin(2 * pi * times / 480), times)))
    rate = tracking.periodic_rate(20.0, 480.0)
    assert rate == pytest.approx(0.1309, abs=1e-5)
    assert rate == pytest.approx(steepest, rel=1e-4)
    assert rate != pytest.approx(2 * steepest, rel=0.1)


def swept(swing: float, period: float, seconds: float) -> float:
    """Return the largest peak-to-peak motion inside any window of a simulated drive, by brute force."""
    times = np.linspace(0, seconds, 401)
    phases = np.linspace(0, period, 2001)[:, np.newaxis]
    error = swing / 2 * np.sin(2 * pi * (times + phases) / period)
    return float(np.max(np.ptp(error, axis=1)))


@pytest.mark.parametrize("seconds", [0.5, 4.0, 60.0, 200.0, 215.0, 216.0, 300.0, 1000.0])
def test_motion_inside_a_window_is_that_of_a_simulated_drive(seconds: float) -> None:
    """COMPUTED by sweeping a sinusoidal drive: 40 arcsec peak to peak in 432 s, as a strain-wave drive may have."""
    assert tracking.periodic_motion(40.0, 432.0, seconds) == pytest.approx(swept(40.0, 432.0, seconds), rel=1e-4)


@pytest.mark.parametrize("allowed", [0.5, 1.0, 5.0, 30.0, 39.0])
def test_guide_interval_keeps_a_simulated_drive_within_bounds(allowed: float) -> None:
    """COMPUTED by sweeping the same drive over the interval."""
    assert swept(40.0, 432.0, tracking.guide_interval(40.0, 432.0, allowed)) == pytest.approx(allowed, rel=1e-4)


def test_common_practice_of_guiding_a_strain_wave_drive() -> None:
    """Common practice, no source: such drives want guide exposures of about 0.5 to 2 s, good worms several.

    30 arcsec in 288 s may move by 0.5 arcsec between corrections, as may a worm of 8 arcsec in 480 s.
    """
    assert 0.5 <= tracking.guide_interval(30.0, 288.0, 0.5) <= 2.0
    assert 5.0 <= tracking.guide_interval(8.0, 480.0, 0.5) <= 15.0
    assert tracking.guide_slack(2.0, 1.2, 0.3) == pytest.approx(0.5)
    # A star that asks for 4 s behind a narrow filter then conflicts with the one and not with the other.
    assert tracking.guide_slack(tracking.guide_interval(30.0, 288.0, 0.5), 4.0, 0.5) < 0
    assert tracking.guide_slack(tracking.guide_interval(8.0, 480.0, 0.5), 4.0, 0.5) > 0


def test_longest_unguided_exposure_of_a_simulated_drive() -> None:
    """COMPUTED: a star followed step by step on a drive with periodic error, polar error and a wrong rate."""
    swing, period, error, wrong, dec = 20.0, 480.0, 4.0, 0.01, 35.0
    seconds = tracking.longest_unguided(3.0, swing, period, error, wrong, dec)
    along = (swept(swing, period, seconds) + wrong * seconds) * cos(radians(dec))
    across = abs(simulated_drift(error, 90.0, dec, seconds)) * seconds / 60
    assert hypot(along, across) == pytest.approx(3.0, rel=1e-3)


def test_longest_unguided_exposure_of_a_camera_at_rest() -> None:
    """The same sum with nothing but the sky's own motion is the untracked trail; COMPUTED with erfa.seps."""
    seconds = tracking.longest_unguided(10.0, rate_error_arcsec_s=15.0410686, declination_deg=40.0)
    along = radians(15.0410686 * seconds / 3600)
    assert np.degrees(erfa.seps(0.0, radians(40), along, radians(40))) * 3600 == pytest.approx(10.0, rel=1e-6)


# --- Guiding -----------------------------------------------------------------------------------------------


def test_centroid_limit_by_monte_carlo() -> None:
    """COMPUTED with numpy: mean places of Gaussian stars of 400 photons, whose signal to noise is 20."""
    rng = np.random.default_rng(20_260_101)
    sigma = 3.0 / 2.354820045
    places = rng.normal(0.0, sigma, (20_000, 400)).mean(axis=1)
    assert tracking.centroid_limit(3.0, sqrt(400)) == pytest.approx(float(places.std()), rel=0.01)


def test_common_practice_of_guide_scales() -> None:
    """Common practice, no source: a guide pixel five times the imaging one, found to a tenth, errs by half a pixel."""
    assert tracking.guide_ratio(6.5, 1.3) == pytest.approx(5.0)
    assert tracking.guide_ratio(6.5, 1.3) == pytest.approx(tracking.GUIDE_RATIO_LIMIT)
    assert tracking.guide_accuracy(6.5, 1.3) == pytest.approx(0.5)
