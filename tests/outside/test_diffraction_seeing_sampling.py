"""Diffraction, seeing, star width and sampling against published figures and independent computations.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from math import log, pi, sqrt

import numpy as np
import pytest
from astropy.modeling.functional_models import AiryDisk2D
from astropy.stats import gaussian_sigma_to_fwhm
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import j1, jn_zeros

from rigleaf.chapters.scale_and_field import physics
from tests.outside.star_images import half_width, profile_fwhm, pupil_contrast, star_fwhm

Array = NDArray[np.float64]
LAMBDA_PER_D = 550e-9 / 0.100 * 648_000 / pi  # of 100 mm at 550 nm, in arcsec


# --- Diffraction -------------------------------------------------------------------------------------------


def test_airy_fwhm_is_the_half_maximum_of_the_airy_pattern() -> None:
    """COMPUTED with scipy: the root of (2 J1(x)/x)^2 = 1/2 is 1.0289939699619919 lambda/D full width."""
    x = half_width(lambda x: float((2 * j1(x) / x) ** 2) if x else 1.0, 1.0, 2.0)
    assert 2 * x / pi == pytest.approx(1.0289939699619919, abs=1e-9)
    assert physics.airy_fwhm(100.0, 550.0) == pytest.approx(2 * x / pi * LAMBDA_PER_D, rel=1e-9)


def test_airy_fwhm_is_that_of_another_airy_model() -> None:
    """COMPUTED with astropy's AiryDisk2D, which is scaled by its first dark ring."""
    ring = float(jn_zeros(1, 1)[0]) / pi * LAMBDA_PER_D
    disk = AiryDisk2D(amplitude=1.0, x_0=0.0, y_0=0.0, radius=ring)
    radius = half_width(lambda r: float(disk(r, 0.0)), ring / 10, ring)
    assert physics.airy_fwhm(100.0, 550.0) == pytest.approx(2 * radius, rel=1e-8)


def test_airy_ring_diameter_at_f8() -> None:
    """COMPUTED with scipy, first zero of J1: 10.733095 um at f/8 and 550 nm."""
    ring = 2 * float(jn_zeros(1, 1)[0]) / pi * 0.550 * 8
    assert ring == pytest.approx(10.733095, abs=1e-4)
    assert physics.airy_ring_diameter(8.0, 550.0) == pytest.approx(ring, rel=1e-12)


def test_rayleigh_of_a_2_4_m_telescope() -> None:
    """OpenStax, College Physics, "Limits of Resolution: The Rayleigh Criterion", 2.40 m space telescope.

    READ: 2.80 x 10^-7 rad at 550 nm.
    """
    radians = physics.rayleigh(2400.0, 550.0) / physics.ARCSEC_PER_RADIAN
    assert radians == pytest.approx(2.80e-7, abs=5e-10)


def test_rayleigh_is_138_4_arcsec_over_millimetres() -> None:
    """COMPUTED with scipy from the first zero of J1, at 550 nm."""
    assert physics.rayleigh(1.0) == pytest.approx(138.4, abs=0.05)
    assert physics.rayleigh(1.0) == pytest.approx(float(jn_zeros(1, 1)[0]) * 550e-6 / pi * 648_000 / pi, rel=1e-9)


def test_cutoff_and_critical_pixel_at_f8() -> None:
    """COMPUTED with numpy: at 550 nm a pupil of D = f/8 stops overlapping itself at a shift of 1/(lambda N).

    The reference values are 227.27 cycles/mm and, by the sampling theorem, a critical pixel of 2.2 um.
    """
    focal_length, step = 800.0, 0.05  # mm; the pupil is a slit of 100 mm in steps of 0.05 mm
    slit = np.ones(2000)
    overlap = np.correlate(slit, slit, mode="full")[slit.size - 1 :]
    last_shift = np.flatnonzero(overlap)[-1] * step
    cutoff = last_shift / (550e-6 * focal_length)
    assert physics.cutoff_frequency(8.0, 550.0) == pytest.approx(cutoff, rel=1e-3)
    assert physics.cutoff_frequency(8.0, 550.0) == pytest.approx(227.27, abs=0.005)
    assert physics.critical_pixel(8.0, 550.0) == pytest.approx(2.2, abs=1e-9)


@pytest.mark.parametrize("part", [0.05, 0.3, 0.5, 0.8, 0.97])
def test_diffraction_contrast_is_the_overlap_of_the_pupil(part: float) -> None:
    """COMPUTED with scipy: the area common to a round pupil and itself, shifted; 0.39100 at half way."""
    assert physics.diffraction_contrast(part * 227.27, 227.27) == pytest.approx(pupil_contrast(part), rel=1e-6)


def test_diffraction_contrast_at_f8() -> None:
    """COMPUTED elsewhere with an optics library: 0.391002 at half the cut-off, 0 close to it and beyond."""
    cutoff = physics.cutoff_frequency(8.0, 550.0)
    assert physics.diffraction_contrast(113.636364, cutoff) == pytest.approx(0.391002, abs=5e-5)
    assert physics.diffraction_contrast(227.0, cutoff) == pytest.approx(0.0, abs=1e-4)
    assert physics.diffraction_contrast(300.0, cutoff) == 0.0


# --- Air mass and seeing -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("altitude", "table", "tolerance"),
    [(0.0, 38.0868, 0.006), (1.0, 26.2595, 0.0025), (5.0, 10.3164, 0.0012), (10.0, 5.5841, 0.0006)],
)
def test_airmass_against_the_table(altitude: float, table: float, tolerance: float) -> None:
    """Applied Optics 28, 4735 (1989), "Revised optical air mass tables and approximation formula", Table II.

    READ in research notes that list its rows. The formula misses the table by 0.44 % at the horizon, 0.19 %
    at 1 deg, 0.10 % at 5 deg and 0.03 % at 10 deg.
    """
    assert physics.airmass(altitude) == pytest.approx(table, rel=tolerance)


@pytest.mark.parametrize(("altitude", "value"), [(0.0, 37.919608), (10.0, 5.586036), (30.0, 1.994293)])
def test_airmass_as_another_program_has_it(altitude: float, value: float) -> None:
    """The same formula COMPUTED elsewhere with a solar-energy library."""
    assert physics.airmass(altitude) == pytest.approx(value, abs=2e-6)


def test_airmass_is_one_at_the_zenith() -> None:
    """The unclamped formula gives 0.999712 (COMPUTED with that library), which must NOT be reproduced."""
    assert physics.airmass(90.0) == 1.0


@pytest.mark.parametrize(("altitude", "other"), [(10.0, 5.580737), (30.0, 1.993154), (60.0, 1.154058)])
def test_airmass_agrees_with_another_fit(altitude: float, other: float) -> None:
    """Values of a second published fit, DIO 12 (2002), READ in another text; the two agree to 0.1 %."""
    assert physics.airmass(altitude) == pytest.approx(other, rel=1e-3)


def kolmogorov_fwhm(depth: float) -> float:
    """Return the width of the image whose transfer function is exp(-depth f^(5/3)), by a Hankel transform."""
    frequency = np.linspace(0.0, 4.0 / depth**0.6, 8001)
    return profile_fwhm(np.exp(-depth * frequency ** (5 / 3)), frequency, depth**0.6 * 0.5)


def test_seeing_contrast_is_that_of_an_image_of_that_width() -> None:
    """COMPUTED with scipy: the Hankel transform of the seeing contrast for 2.5 arcsec is 2.5 arcsec wide."""
    frequency = np.linspace(0.0, 1.6, 4001)
    contrast = physics.seeing_contrast(frequency, 2.5)
    assert profile_fwhm(contrast, frequency, 2.5) == pytest.approx(2.5, rel=1e-3)


def test_seeing_width_in_terms_of_r0() -> None:
    """COMPUTED with scipy: exp(-3.44 (lambda f/r0)^(5/3)) is 0.976 lambda/r0 wide, as in print (MEMORY).

    The forms 1 lambda/r0 of wiki pages and 1.27 lambda/r0 of a list post must NOT be reproduced.
    """
    assert kolmogorov_fwhm(3.44) == pytest.approx(0.976, abs=0.001)
    at_one = physics.seeing_contrast(1.0, 0.976)  # for lambda/r0 = 1, detail of one cycle per lambda/r0
    assert at_one == pytest.approx(np.exp(-3.44), rel=0.005)
    assert physics.seeing_contrast(1.0, 1.27) != pytest.approx(np.exp(-3.44), rel=0.1)
    assert physics.seeing_contrast(1.0, 1.0) != pytest.approx(np.exp(-3.44), rel=0.1)


@pytest.mark.parametrize(("air", "wavelength"), [(1.0, 500.0), (2.0, 500.0), (1.0, 656.3), (1.5, 400.0)])
def test_seeing_grows_with_airmass_and_shrinks_with_wavelength(air: float, wavelength: float) -> None:
    """European Southern Observatory, "Seeing Conditions at Paranal".

    READ: "The seeing varies with the airmass to the power of 3/5th and with the wavelength to the power of
    -1/5th". COMPUTED with scipy: phase variance goes with the path and the inverse square of the wavelength,
    and the phase difference across a baseline b = lambda f acts on detail of f cycles per radian.
    """
    ratio = wavelength / 500.0
    depth = 3.44 * air / ratio**2 * ratio ** (5 / 3)
    expected = 1.2 * kolmogorov_fwhm(depth) / kolmogorov_fwhm(3.44)
    assert physics.seeing_at(1.2, air, wavelength) == pytest.approx(expected, rel=1e-4)


# --- Width of the star -------------------------------------------------------------------------------------


def gaussian(fwhm: float, reach: float = 40.0, step: float = 0.01) -> tuple[Array, Array]:
    x = np.arange(-reach, reach + step / 2, step)
    return x, np.exp(-4 * log(2) * (x / fwhm) ** 2)


def measured_fwhm(x: Array, profile: Array) -> float:
    """Return the full width at half maximum of a sampled symmetric profile, by linear interpolation."""
    middle = len(x) // 2
    return 2 * float(np.interp(-0.5 * profile[middle], -profile[middle:], x[middle:]))


def test_widths_of_gaussians_add_in_quadrature() -> None:
    """COMPUTED with numpy's convolution: 3 px and 4 px make 5 px."""
    x, three = gaussian(3.0)
    convolved = np.convolve(three, gaussian(4.0)[1], mode="same")
    assert measured_fwhm(x, convolved) == pytest.approx(5.0, abs=1e-4)
    assert physics.quadrature(3.0, 4.0) == pytest.approx(5.0, abs=1e-12)
    assert physics.quadrature(2.0, 3.0, 6.0) == pytest.approx(7.0, abs=1e-12)


def test_guiding_width_from_rms() -> None:
    """COMPUTED with astropy.stats, sigma to FWHM 2.3548200, and numpy: the two axes of a wandering star."""
    assert physics.fwhm_from_rms(1.0) == pytest.approx(gaussian_sigma_to_fwhm, rel=1e-12)
    wander = np.random.default_rng(7).normal(0.0, 0.55, size=(2, 200_000))
    total = float(np.sqrt((wander**2).sum(axis=0).mean()))
    assert physics.axis_rms(total) == pytest.approx(0.55, rel=0.005)


def test_pixel_blur_has_the_variance_of_a_pixel() -> None:
    """COMPUTED with numpy: the variance of an even pixel, and a 3 px Gaussian averaged over it."""
    box = np.linspace(-0.5, 0.5, 100_001)
    assert physics.pixel_blur(1.0) == pytest.approx(gaussian_sigma_to_fwhm * float(box.std()), rel=1e-4)
    x, star = gaussian(3.0)
    averaged = np.convolve(star, np.ones(101), mode="same")
    assert measured_fwhm(x, averaged) == pytest.approx(physics.quadrature(3.0, physics.pixel_blur(1.0)), rel=2e-3)


APERTURES_MM = (20.0, 50.0, 70.0, 100.0, 200.0)
SEEINGS = (1.0, 2.0, 4.0)


def estimate_error(seeing: float, aperture: float, guiding: float, obstruction: float) -> float:
    """Return how far the quadrature estimate lies above (+) or below (-) the image, as a fraction."""
    estimate = physics.quadrature(seeing, physics.airy_fwhm(aperture, 550.0), guiding)
    image = star_fwhm(seeing, LAMBDA_PER_D * 100 / aperture, guiding, obstruction)
    return estimate / image - 1


@pytest.mark.parametrize("guiding", [0.0, 1.0])
def test_quadrature_is_a_fair_estimate_of_the_star(guiding: float) -> None:
    """COMPUTED with scipy: Kolmogorov seeing, round pupil and guiding, transformed; within -5 % to +1 %."""
    errors = [estimate_error(seeing, mm, guiding, 0.0) for seeing in SEEINGS for mm in APERTURES_MM]
    assert -0.05 < min(errors) < max(errors) < 0.01


@pytest.mark.parametrize(("obstruction", "most"), [(0.35, 0.085), (0.5, 0.145)])
def test_quadrature_behind_an_obstruction(obstruction: float, most: float) -> None:
    """COMPUTED with scipy: the estimate is up to 8 % or 14 % off either way.

    The star is wider than estimated wherever seeing is more than twice the width of diffraction.
    """
    errors = {(seeing, mm): estimate_error(seeing, mm, 0.0, obstruction) for seeing in SEEINGS for mm in APERTURES_MM}
    assert max(abs(error) for error in errors.values()) < most
    wide = [error for (seeing, mm), error in errors.items() if seeing > 2 * physics.airy_fwhm(mm, 550.0)]
    assert wide
    assert max(wide) < 0


# --- Sampling ----------------------------------------------------------------------------------------------


def test_pixels_across_a_star() -> None:
    """Lecture notes, READ: seeing of 1 arcsec on 0.5 arcsec/px has 2 pixels per FWHM."""
    assert physics.pixels_across(1.0, 0.5) == pytest.approx(2.0, rel=1e-12)


def contrast_of_waves(fwhm: float, interval: float) -> float:
    """Return what a Gaussian image leaves of a wave of two intervals, by summing the image against it."""
    x, star = gaussian(fwhm)
    return float((star * np.cos(pi * x / interval)).sum() / star.sum())


@pytest.mark.parametrize(
    ("across", "left", "tolerance"), [(1.0, 0.411, 5e-4), (2.0, 0.028, 5e-4), (3.0, 0.000332343497, 3e-8)]
)
def test_contrast_at_the_limit_of_sampling(across: float, left: float, tolerance: float) -> None:
    """ "Detector Sampling of Optical/IR Spectra: How Many Pixels per FWHM?", PASA 34, e035 (2017), abstract.

    READ: "The common maxim that 2 pixels per Full Width at Half Maximum is the Nyquist limit is incorrect".
    COMPUTED with numpy: a sampled Gaussian against a wave; 2.8 % is left at 2 px, 0.033 % at 3 px.
    """
    assert physics.contrast_at_limit(across) == pytest.approx(left, abs=tolerance)
    assert physics.contrast_at_limit(across) == pytest.approx(contrast_of_waves(across, 1.0), rel=1e-6)


def finest_detail(mosaic: NDArray[np.bool_], degrees: float) -> float:
    """Return the finest detail, in cycles per pixel along a direction, that a pattern of photosites can hold.

    A pattern copies every image to each frequency at which the pattern itself has power. A wave is confused
    with its copy about one of them as soon as the copy is as coarse as the wave.
    """
    side = mosaic.shape[0]
    power = np.abs(np.fft.fft2(mosaic))
    fy, fx = (((index + side // 2) % side - side // 2) / side for index in np.nonzero(power > 1e-6 * power[0, 0]))
    whole = np.array([[dx, dy] for dx in (-1, 0, 1) for dy in (-1, 0, 1)])  # the pixel grid itself repeats them
    copies = (np.stack([fx, fy], axis=1)[:, np.newaxis] + whole).reshape(-1, 2)
    ahead = copies @ np.array([np.cos(np.deg2rad(degrees)), np.sin(np.deg2rad(degrees))])
    # The wave s u is as long as its copy c - s u where s = c.c / (2 c.u).
    return float(min((c @ c) / (2 * a) for c, a in zip(copies, ahead, strict=True) if a > 1e-9))


def test_intervals_of_a_colour_mosaic() -> None:
    """COMPUTED with numpy: the pattern of each colour's photosites and where its Fourier transform has power.

    Common practice, no source, for the pattern itself: of every 2 x 2 pixels two are green, on a diagonal.
    """
    y, x = np.mgrid[0:16, 0:16]
    green, red, every = (x + y) % 2 == 0, (x % 2 == 0) & (y % 2 == 0), np.ones((16, 16), dtype=np.bool_)
    worst_of = {
        name: min(finest_detail(sites, a) for a in range(180))
        for name, sites in {"green": green, "red": red, "every": every}.items()
    }
    assert 1 / (2 * physics.green_interval(1.0)) == pytest.approx(worst_of["green"], rel=1e-9)
    assert 1 / (2 * physics.red_blue_interval(1.0)) == pytest.approx(worst_of["red"], rel=1e-9)
    assert worst_of["every"] == pytest.approx(0.5)
    # Green is worst on the diagonal, red along a row; along a row green holds what all pixels together hold.
    assert finest_detail(green, 45) == pytest.approx(worst_of["green"])
    assert finest_detail(red, 0) == pytest.approx(worst_of["red"])
    assert finest_detail(green, 0) == pytest.approx(finest_detail(every, 0))


@pytest.mark.parametrize(("seeing", "mm", "guiding"), [(2.0, 60.0, 0.0), (3.0, 100.0, 1.2), (1.5, 200.0, 0.6)])
def test_image_contrast_is_the_product_of_three_computed_apart(seeing: float, mm: float, guiding: float) -> None:
    """COMPUTED with numpy and scipy: pupil overlap, seeing's structure function, a wave on a Gaussian."""
    # In cycles per arcsec, whatever the focal length.
    cutoff = physics.cutoff_frequency(1000.0 / mm, 550.0) / physics.plate_scale(1000.0)
    assert cutoff == pytest.approx(1 / (LAMBDA_PER_D * 100 / mm), rel=1e-9)
    for interval in (0.8, 1.6, 2.4):
        frequency = 1 / (2 * interval)
        expected = pupil_contrast(min(frequency / cutoff, 1.0))
        expected *= np.exp(-3.44 * (frequency * seeing / kolmogorov_fwhm(3.44)) ** (5 / 3))
        expected *= contrast_of_waves(guiding, interval) if guiding else 1.0
        got = physics.image_contrast(frequency, seeing, cutoff, guiding)
        assert got == pytest.approx(expected, rel=0.004, abs=1e-6)


@pytest.mark.parametrize("contrast", [0.01, 0.05, 0.1, 0.5])
@pytest.mark.parametrize(("seeing", "mm", "guiding"), [(2.0, 60.0, 1.0), (3.0, 200.0, 1.7)])
def test_interval_that_leaves_a_contrast(seeing: float, mm: float, guiding: float, contrast: float) -> None:
    """COMPUTED with numpy and scipy: the root of the product of three contrasts, each computed apart."""
    cutoff = 1 / (LAMBDA_PER_D * 100 / mm)

    def left(interval: float) -> float:
        frequency = 1 / (2 * interval)
        turbulence = np.exp(-3.44 * (frequency * seeing / kolmogorov_fwhm(3.44)) ** (5 / 3))
        return float(pupil_contrast(min(frequency / cutoff, 1.0)) * turbulence * contrast_of_waves(guiding, interval))

    found = brentq(lambda interval: left(interval) - contrast, 0.6, 12.0, xtol=1e-4)
    assert physics.interval_for_contrast(contrast, seeing, cutoff, guiding) == pytest.approx(found, rel=0.003)


@pytest.mark.parametrize(("across", "low", "high"), [(1.0, -0.14, 0.0), (1.5, -0.05, 0.02), (2.0, -0.02, 0.01)])
def test_gaussian_contrast_against_the_real_image(across: float, low: float, high: float) -> None:
    """COMPUTED with scipy: with one pixel across the star the Gaussian promises up to 0.13 too much."""
    for seeing in SEEINGS:
        for mm in APERTURES_MM:
            lambda_per_d = LAMBDA_PER_D * 100 / mm
            frequency = across / (2 * sqrt(seeing**2 + (1.02899 * lambda_per_d) ** 2))
            real = pupil_contrast(min(frequency * lambda_per_d, 1.0))
            real *= float(np.exp(-3.44 * (frequency * seeing / 0.97553) ** (5 / 3)))
            assert low < real - physics.contrast_at_limit(across) < high
