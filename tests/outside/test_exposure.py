"""Photons, electrons and signal to noise against published figures, astropy and simulated exposures.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from math import pi, sin, sqrt

import numpy as np
import pytest
from astropy import constants
from astropy import units as u
from astropy.modeling.functional_models import Gaussian2D
from astropy.stats import signal_to_noise_oir_ccd

from rigleaf.chapters.guiding_and_exposure import exposure, guide_stars
from rigleaf.chapters.guiding_and_exposure.exposure import BANDS, EXTINCTION_LA_SILLA
from rigleaf.chapters.scale_and_field import physics
from rigleaf.sky.targets import mean_surface_brightness

V = BANDS["V"]

FLUX_OF_1998 = {"U": (366.0, 417.5e-11), "B": (438.0, 632.0e-11), "V": (545.0, 363.1e-11), "R": (641.0, 217.7e-11),
                "I": (798.0, 112.6e-11)}  # fmt: skip
"""Middle in nm and erg/s/cm2/A of magnitude 0: A&A 333, 231 (1998), Table A2, READ in five codes that cite it."""


# --- Photons -----------------------------------------------------------------------------------------------


def test_photons_in_a_jansky() -> None:
    """Course notes AY145, "Photometric magnitude systems", READ.

    "1 Jy = 1.51e7 photons sec^-1 m^-2 (dlambda/lambda)^-1"; COMPUTED with astropy's constant 1.50919e7.
    """
    assert exposure.photons(1.0, 1.0) == pytest.approx(1.51e7, abs=1e5)
    assert exposure.photons(1.0, 1.0) == pytest.approx(1e-26 / constants.h.si.value, rel=1e-12)


def test_photons_of_v_23_9_on_a_square_metre() -> None:
    """Same notes, worked example, READ: "f=1.e-6 Jy * 1.51e7 * 0.16 = 2.42 photons sec^-1"."""
    rate = exposure.photons(exposure.jansky(23.9, V.zero_jy), V.relative_width)
    assert rate == pytest.approx(2.42, abs=5e-3)
    # The notes' own V = V(AB) + 0.044 would mean 3781 Jy, 4 % more than their table; it must NOT come out.
    assert exposure.jansky(0.0, V.zero_jy) != pytest.approx(3781, rel=0.01)


def test_ab_magnitude_zero() -> None:
    """Same notes, READ: "m(AB) = -2.5 log(f) - 48.60", which is 3630.78 Jy; COMPUTED with astropy.units."""
    assert exposure.jansky(0.0) == pytest.approx(3630.78, abs=0.01)
    for magnitude in (0.0, 12.3, 24.0):
        assert exposure.jansky(magnitude) == pytest.approx((magnitude * u.ABmag).to_value(u.Jy), rel=1e-9)


@pytest.mark.parametrize("band", sorted(BANDS))
def test_two_lists_of_zero_points_agree_roughly(band: str) -> None:
    """Zero points of 1979 in the course notes AY145, READ; A&A 333, 231 (1998), Table A2, READ at second hand.

    Photons per wavelength step of the two agree to 8 % in every band and to 2 % in V.
    """
    wavelength, flux = FLUX_OF_1998[band]
    density = (flux * u.erg / u.s / u.cm**2 / u.AA).to(
        u.photon / u.s / u.m**2 / u.AA, equivalencies=u.spectral_density(wavelength * u.nm)
    )
    newer = density.value * wavelength * 10  # a whole dlambda/lambda
    older = exposure.photons(exposure.jansky(0.0, BANDS[band].zero_jy), 1.0)
    assert newer == pytest.approx(older, rel=0.02 if band == "V" else 0.08)


def test_photons_in_a_narrow_band_by_astropy() -> None:
    """COMPUTED with astropy.units: AB 12 through 7 nm at 656.3 nm, on a square metre."""
    density = (12 * u.ABmag).to(u.photon / u.s / u.m**2 / u.nm, equivalencies=u.spectral_density(656.3 * u.nm))
    assert exposure.photons_in_band(12.0, 656.3, 7.0) == pytest.approx((density * 7 * u.nm).value, rel=1e-9)


def test_narrow_band_keeps_lines_and_thins_the_continuum() -> None:
    """COMPUTED by adding up a made-up spectrum: two lines on an even glow, seen through 100 nm and through 7 nm."""
    wavelengths = np.arange(600.0, 700.0, 0.01) + 0.005
    even = np.full_like(wavelengths, 0.02)
    lines = 3.0 * np.exp(-0.5 * ((wavelengths - 656.3) / 0.1) ** 2)
    narrow = np.abs(wavelengths - 656.3) < 3.5
    wide_rate, line_rate = float((even + lines).sum()), float(lines.sum())
    seen = exposure.narrowed_object(wide_rate, line_rate / wide_rate, 100.0, 7.0)
    assert seen == pytest.approx(float((even + lines)[narrow].sum()), rel=1e-6)
    # Even light, such as sky glow, goes by the width alone.
    assert exposure.narrowed_object(float(even.sum()), 0.0, 100.0, 7.0) == pytest.approx(float(even[narrow].sum()))


def test_mean_surface_brightness_of_a_large_galaxy() -> None:
    """COMPUTED with astropy.units: V 3.44 on 177.8 by 69.7 arcmin shines as one star on every square arcsec."""
    area = pi * (177.8 * u.arcmin / 2) * (69.7 * u.arcmin / 2)
    known = 3.44 + 2.5 * np.log10(area.to_value(u.arcsec**2))
    assert mean_surface_brightness(3.44, 177.8, 69.7) == pytest.approx(known, abs=1e-9)


# --- Air and sky -------------------------------------------------------------------------------------------


def test_extinction_at_la_palma() -> None:
    """Isaac Newton Group, "Extinction at La Palma", READ: "A value of 0.15 is more typical".

    At air mass 2 that is 0.30 magnitudes, a transmission of 0.75858 (Pogson's scale, arithmetic).
    """
    assert exposure.extinction(0.15, 2.0) == pytest.approx(0.3, abs=1e-12)
    assert exposure.air_transmission(0.15, 2.0) == pytest.approx(0.75858, abs=1e-5)


@pytest.mark.parametrize(("nanometres", "coefficient"), [
    (360, 0.46), (400, 0.3), (440, 0.2), (500, 0.13), (540, 0.11), (560, 0.11), (600, 0.09), (660, 0.05),
    (700, 0.04), (800, 0.02), (900, 0.01),
])  # fmt: skip
def test_extinction_of_la_silla(nanometres: float, coefficient: float) -> None:
    """ESO users manual 1993, La Silla Extinction Coefficients, READ."""
    assert EXTINCTION_LA_SILLA[nanometres] == coefficient
    assert exposure.mountain_extinction(float(nanometres)) == pytest.approx(coefficient, abs=1e-12)


def test_extinction_of_mauna_kea_lies_near() -> None:
    """PASP 99, 887 (1987) and a note of 1996, READ: mean V 0.119 +- 0.005, B 0.198 +- 0.008 on another mountain."""
    assert exposure.mountain_extinction(550.0) == pytest.approx(0.119, abs=0.015)
    assert exposure.mountain_extinction(440.0) == pytest.approx(0.198, abs=0.008)


def other_airmass(altitude_deg: float) -> float:
    """Air mass after DIO 12 (2002), as coded and cited in pvlib (READ at second hand)."""
    return 1 / sin(np.radians(altitude_deg + 244 / (165 + 47 * altitude_deg**1.1)))


@pytest.mark.parametrize(("altitude", "airmass"), [
    (0, 38.749399), (10, 5.580737), (30, 1.993154), (60, 1.154058), (90, 1.0),
])  # fmt: skip
def test_airmass_is_near_another_model(altitude: float, airmass: float) -> None:
    """DIO 12 (2002), COMPUTED with pvlib 0.16.1: ours differs by 2.2 % at the horizon, by 0.1 % above 10 deg."""
    assert other_airmass(altitude) == pytest.approx(airmass, abs=2e-6)
    assert physics.airmass(float(altitude)) == pytest.approx(airmass, rel=1e-3 if altitude else 0.023)


@pytest.mark.parametrize(("altitude", "table", "miss"), [
    (0, 38.0868, 0.006), (5, 10.3164, 0.0012), (10, 5.5841, 0.0006),
])  # fmt: skip
def test_airmass_against_the_table_of_its_authors(altitude: float, table: float, miss: float) -> None:
    """Applied Optics 28, 4735 (1989), Table II, READ at second hand: the formula misses its own table."""
    assert physics.airmass(float(altitude)) == pytest.approx(table, rel=miss)


@pytest.mark.parametrize(("altitude", "airmass"), [(0, 37.919608), (10, 5.586036), (30, 1.994293)])
def test_airmass_is_that_of_another_program(altitude: float, airmass: float) -> None:
    """COMPUTED with pvlib 0.16.1, kastenyoung1989. At the zenith that gives 0.999712, which must NOT come out."""
    assert physics.airmass(float(altitude)) == pytest.approx(airmass, abs=2e-6)
    assert physics.airmass(90.0) == 1.0


# --- Electrons ---------------------------------------------------------------------------------------------


def test_sky_electrons_from_end_to_end() -> None:
    """COMPUTED with astropy.units from beginning to end: 0.4628 e-/s/px.

    Sky 21.0 mag/arcsec2 in V, 100 mm of aperture, 500 mm of focal length, 3.76 um, 0.7 of the photons counted.
    """
    glow = exposure.photons(exposure.jansky(21.0, V.zero_jy), V.relative_width)
    rate = exposure.per_pixel(
        exposure.electron_rate(glow, exposure.collecting_area(100.0), 0.7), physics.image_scale(3.76, 500.0)
    )
    flux = 3640 * u.Jy * 10 ** (-0.4 * 21.0) / u.arcsec**2
    width = 0.16 * (constants.c / (550 * u.nm))
    pixel = (3.76 * u.um / (500 * u.mm) * u.rad) ** 2
    energy = flux * width * (pi / 4 * (100 * u.mm) ** 2) * pixel * 0.7
    known = (energy / (constants.h * constants.c / (550 * u.nm))).to_value(1 / u.s)
    assert rate == pytest.approx(known, rel=1e-9)
    assert rate == pytest.approx(0.4628, abs=5e-5)


def test_collecting_area_of_an_obstructed_mirror() -> None:
    """COMPUTED by counting points of a fine grid: 200 mm with 70 mm in front."""
    axis = np.linspace(-100, 100, 4001)
    radius = np.hypot(axis[:, np.newaxis], axis)
    counted = float(((radius <= 100) & (radius >= 35)).mean()) * (200.05e-3) ** 2
    assert exposure.collecting_area(200.0, 70.0) == pytest.approx(counted, rel=1e-3)


# --- One sub-exposure --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("share", "factor"), [(0.05, 9.7561), (0.1, 4.7619)])
def test_factor_of_the_sub_exposure(share: float, factor: float) -> None:
    """Algebra from the CCD equation: 9.756 R^2/sky for 5 % more noise, 4.762 for 10 %."""
    assert exposure.sub_exposure(1.0, 1.0, share) == pytest.approx(factor, abs=1e-4)


def test_noise_of_the_sub_exposure_by_monte_carlo() -> None:
    """COMPUTED with numpy: 400 000 pixels, read noise 1.5 e-, sky 0.5 e-/s/px, 43.902 s; noise grows by 1.05."""
    seconds = exposure.sub_exposure(1.5, 0.5)
    assert seconds == pytest.approx(43.902, abs=1e-3)
    rng = np.random.default_rng(7)

    def growth(time: float) -> float:
        sky = rng.poisson(0.5 * time, 400_000)
        return float((sky + rng.normal(0, 1.5, sky.size)).std() / sqrt(0.5 * time))

    assert growth(seconds) == pytest.approx(1.05, abs=4e-3)
    assert exposure.read_noise_share(1.5, 0.5, seconds) == pytest.approx(0.05, rel=1e-9)
    for time in (seconds, seconds / 4):
        assert 1 + exposure.read_noise_share(1.5, 0.5, time) == pytest.approx(growth(time), abs=4e-3)


def test_efficiency_of_a_stack_of_ten() -> None:
    """University slides on stacking, READ: "E = sqrt[(x + y) / (x + 10y)]"; COMPUTED by Monte-Carlo with numpy."""
    shot, read = 400.0, 9.0
    rng = np.random.default_rng(11)

    def noise(subs: int) -> float:
        frames = rng.poisson(shot / subs, (subs, 200_000)) + rng.normal(0, sqrt(read), (subs, 200_000))
        return float(frames.sum(axis=0).std())

    efficiency = exposure.stack_efficiency(shot, read, 10)
    assert efficiency == pytest.approx(sqrt((shot + read) / (shot + 10 * read)), rel=1e-12)
    assert efficiency == pytest.approx(noise(1) / noise(10), rel=6e-3)


@pytest.mark.parametrize("fwhm", [1.2, 2.0, 3.5, 6.0])
def test_peak_pixel_of_a_gaussian_star(fwhm: float) -> None:
    """COMPUTED with astropy.modeling: a Gaussian star of light 1, summed over the pixel in its middle."""
    sigma = fwhm / 2.354820045
    star = Gaussian2D(1 / (2 * pi * sigma**2), 0, 0, sigma, sigma)
    grid = (np.arange(200) + 0.5) / 200 - 0.5
    across, along = np.meshgrid(grid, grid)
    assert exposure.peak_pixel_share(fwhm) == pytest.approx(float(star(across, along).mean()), rel=1e-4)


def test_full_well_by_a_drawn_star() -> None:
    """COMPUTED with astropy.modeling: the brightest pixel of a drawn star holds just the full well."""
    seconds = exposure.full_well_exposure(12_000.0, exposure.peak_pixel_share(2.5), 50_000.0, 3.0)
    sigma = 2.5 / 2.354820045
    grid = (np.arange(200) + 0.5) / 200 - 0.5
    across, along = np.meshgrid(grid, grid)
    light = Gaussian2D(12_000 / (2 * pi * sigma**2), 0, 0, sigma, sigma)(across, along).mean()
    assert (float(light) + 3.0) * seconds == pytest.approx(50_000.0, rel=1e-4)
    # The same star by its magnitude: 5 magnitudes brighter is a hundred times the rate.
    assert exposure.brightest_unsaturated(
        seconds, 1_200_000.0, exposure.peak_pixel_share(2.5), 50_000.0, 3.0
    ) == pytest.approx(5.0, abs=1e-9)


# --- Signal to noise ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("seconds", [5.0, 300.0])
def test_ccd_equation_is_that_of_astropy(seconds: float) -> None:
    """COMPUTED with astropy.stats.signal_to_noise_oir_ccd, for a star on 21 px and for a glow on 50 px."""
    known = signal_to_noise_oir_ccd(seconds, 40.0, 1.3, 0.02, 3.0, 21.0, 1.0)
    ours = guide_stars.star_signal_to_noise(40.0, seconds, 1.32, 3.0, 21.0)
    assert ours == pytest.approx(float(known), rel=1e-12)
    glow = signal_to_noise_oir_ccd(seconds, 0.2 * 50, 1.3, 0.02, 3.0, 50, 1.0)
    assert exposure.signal_to_noise(0.2, 1.32, 3.0, seconds, seconds, 50.0) == pytest.approx(float(glow), rel=1e-12)


def test_signal_to_noise_of_a_stack_by_monte_carlo() -> None:
    """COMPUTED with numpy: 40 subs of 60 s, glow 0.05, sky 0.4, read noise 1.6 e-, means over 4 pixels."""
    rng = np.random.default_rng(23)
    areas = 100_000
    counts = rng.poisson(0.45 * 60 * 40 * 4, areas) + rng.normal(0, 1.6 * sqrt(40 * 4), areas)
    glow = counts - 0.4 * 60 * 40 * 4
    ratio = exposure.signal_to_noise(0.05, 0.4, 1.6, 60.0, 2400.0, 4.0)
    assert ratio == pytest.approx(float(glow.mean() / glow.std()), rel=0.01)
    assert exposure.time_to_signal_to_noise(ratio, 0.05, 0.4, 1.6, 60.0, 4.0) == pytest.approx(2400.0, rel=1e-9)


def test_error_of_the_time_by_monte_carlo() -> None:
    """COMPUTED with numpy: 200 000 draws of sky, throughput and object; the spread of the logarithm of the time."""
    rng = np.random.default_rng(5)
    draws = 200_000
    throughput = np.exp(rng.normal(0, 0.08, draws))
    sky = 0.5 * throughput * 10 ** (-0.4 * rng.normal(0, 0.2, draws))
    glow = 0.04 * throughput * 10 ** (-0.4 * rng.normal(0, 0.1, draws))
    times = 400 * (glow + sky + 0.01 + 1.5**2 / 60) / glow**2
    error = exposure.time_error(0.04, 0.5, 0.01, 1.5, 60.0, 0.2, 0.08, 0.1)
    assert error == pytest.approx(float(np.log(times).std()), rel=0.01)
    middle = exposure.time_to_signal_to_noise(20.0, 0.04, 0.51, 1.5, 60.0)
    low, high = exposure.error_band(middle, error)
    assert (low, high) == pytest.approx(tuple(np.percentile(times, [15.87, 84.13])), rel=0.01)
