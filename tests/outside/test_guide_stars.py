"""Reach of a guide sensor and numbers of guide stars against astropy, scipy, simulations and star counts.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from itertools import pairwise
from math import log10, pi

import numpy as np
import pytest
from astropy.coordinates import SkyCoord
from astropy.modeling.functional_models import Gaussian2D
from astropy.stats import signal_to_noise_oir_ccd
from scipy import integrate, optimize, stats

from rigleaf.chapters.guiding_and_exposure import exposure, guide_stars
from rigleaf.chapters.guiding_and_exposure.guide_stars import GuideView
from rigleaf.chapters.scale_and_field import physics

# --- One star ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("radius", [0.5, 0.673, 1.0, 2.0])
def test_light_in_the_aperture_of_a_gaussian_star(radius: float) -> None:
    """COMPUTED with scipy.integrate over rings of astropy's Gaussian of width 1."""
    star = Gaussian2D(1.0, 0, 0, 1 / 2.354820045, 1 / 2.354820045)

    def ring(distance: float) -> float:
        return float(star(distance, 0.0)) * 2 * pi * distance

    inside, whole = (integrate.quad(ring, 0, end)[0] for end in (radius, 6.0))
    assert guide_stars.light_in_aperture(radius) == pytest.approx(inside / whole, rel=1e-7)


def test_best_aperture_of_a_faint_star() -> None:
    """COMPUTED with scipy.optimize: where background rules, light over the square root of the area is greatest."""
    best = optimize.minimize_scalar(
        lambda radius: -(1 - 0.5 ** (4 * radius**2)) / radius, bounds=(0.2, 2.0), method="bounded"
    )
    assert pytest.approx(float(best.x), abs=1e-3) == guide_stars.BEST_RADIUS
    assert guide_stars.aperture_pixels(4.0) == pytest.approx(pi * (float(best.x) * 4) ** 2, rel=3e-3)


@pytest.mark.parametrize(("rate", "seconds"), [(30.0, 4.5), (2_000.0, 1.0), (9.0, 60.0)])
def test_signal_to_noise_of_a_star_is_that_of_astropy(rate: float, seconds: float) -> None:
    """COMPUTED with astropy.stats.signal_to_noise_oir_ccd, and both ways round by scipy.optimize."""

    def known(star: float, time: float) -> float:
        return float(signal_to_noise_oir_ccd(time, star, 0.3, 0.05, 1.2, 12.0, 1.0))

    ratio = known(rate, seconds)
    assert guide_stars.star_signal_to_noise(rate, seconds, 0.35, 1.2, 12.0) == pytest.approx(ratio, rel=1e-12)
    faintest = optimize.brentq(lambda star: known(star, seconds) - 10, 1e-3, 1e6)
    assert guide_stars.faintest_rate(10.0, seconds, 0.35, 1.2, 12.0) == pytest.approx(faintest, rel=1e-8)
    time = optimize.brentq(lambda time: known(rate, time) - 10, 1e-5, 1e6)
    assert guide_stars.exposure_for_rate(rate, 10.0, 0.35, 1.2, 12.0) == pytest.approx(time, rel=1e-8)


def test_magnitudes_are_on_pogson_s_scale() -> None:
    """Pogson's scale: five magnitudes are a factor of 100."""
    assert guide_stars.star_rate(5.0, 3e6) == pytest.approx(3e4, rel=1e-12)
    assert guide_stars.star_magnitude(3e4, 3e6) == pytest.approx(5.0, abs=1e-12)


def behind_dual_band(image_scale: float, sky: float) -> GuideView:
    """Return the view of a sensitive guide sensor beside the main one, 80 mm f/4.8, two bands of 7 nm.

    QE 0.8, filter 0.9, optics 0.9, read noise 1 e-, stars 4 arcsec wide: typical numbers, nobody's in particular.
    """
    area = exposure.collecting_area(80.0)

    def electrons(magnitude: float) -> float:
        light = sum(exposure.photons_in_band(magnitude, centre, 7.0) for centre in (500.7, 656.3))
        return exposure.electron_rate(light, area, 0.8, 0.9, 0.9)

    background = exposure.per_pixel(electrons(sky), image_scale) + 0.05
    return GuideView(electrons(0.0), background, 1.0, 4.0 / image_scale)


def test_common_practice_of_guiding_behind_a_dual_band_filter() -> None:
    """Common practice, no source: 4 to 5 s suffice for a sensitive guide sensor behind a dual-band filter.

    With these numbers that means stars down to magnitude 12.8 at signal to noise 10 and 10.9 at 25. A sensor of
    5.6 by 3.2 mm then has a star at 25 even at the galactic poles, where one second would often leave it without.
    """
    view = behind_dual_band(physics.image_scale(2.9, 384.0), 20.5)
    reach = guide_stars.reachable_magnitude(view, 4.5)
    assert reach == pytest.approx(12.8, abs=0.15)
    rate = guide_stars.star_rate(reach, view.rate_in_aperture)
    known = signal_to_noise_oir_ccd(4.5, rate, view.background_rate, 0.0, view.read_noise, view.pixels, 1.0)
    assert float(known) == pytest.approx(10.0, rel=1e-9)
    assert guide_stars.needed_exposure(view, reach) == pytest.approx(4.5, rel=1e-9)

    sides = [physics.field_of_view(side, 384.0) for side in (5.6, 3.2)]

    def expected_at_the_poles(seconds: float, wanted: float) -> float:
        limit = guide_stars.reachable_magnitude(view, seconds, wanted)
        return guide_stars.expected_stars(guide_stars.stars_per_square_degree(limit, 90.0), *sides)

    assert guide_stars.reachable_magnitude(view, 4.5, 25.0) == pytest.approx(10.9, abs=0.15)
    assert guide_stars.chance_of_at_least(5, expected_at_the_poles(4.5, 10.0) / guide_stars.COUNT_FACTOR) > 0.9
    assert guide_stars.chance_of_at_least(1, expected_at_the_poles(4.5, 25.0)) > 0.95
    assert guide_stars.chance_of_at_least(1, expected_at_the_poles(1.0, 25.0)) < 0.7
    # The filter is what costs the reach: without it, 300 nm wide, a second sees fainter stars than that.
    light = exposure.photons_in_band(0.0, 550.0, 300.0)
    open_rate = exposure.electron_rate(light, exposure.collecting_area(80.0), 0.8, 0.9)
    sky = exposure.per_pixel(guide_stars.star_rate(20.5, open_rate), physics.image_scale(2.9, 384.0))
    open_view = GuideView(open_rate, sky + 0.05, 1.0, view.fwhm_px)
    assert guide_stars.reachable_magnitude(open_view, 1.0) > reach


# --- How many stars ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("ra", "dec"), [(10.68, 41.27), (83.82, -5.39), (266.4, -29.0), (192.9, 27.1), (0.0, -90.0)])
def test_galactic_latitude_is_that_of_astropy(ra: float, dec: float) -> None:
    """COMPUTED with astropy.coordinates, ICRS to galactic."""
    known = SkyCoord(ra, dec, unit="deg").galactic.b.deg
    assert guide_stars.galactic_latitude(ra, dec) == pytest.approx(float(known), abs=1e-3)


LATITUDES = (0, 5, 10, 15, 20, 25, 30, 40, 50, 60, 75, 90)
COUNTED = {
    7: (0.884, 0.751, 0.662, 0.620, 0.528, 0.477, 0.423, 0.380, 0.359, 0.347, 0.334),
    8: (2.748, 2.276, 2.010, 1.776, 1.597, 1.431, 1.244, 1.075, 0.991, 0.892, 0.853),
    9: (8.312, 6.944, 5.881, 5.167, 4.545, 3.959, 3.374, 2.819, 2.509, 2.238, 2.067),
    10: (24.349, 20.475, 17.086, 14.316, 12.060, 10.290, 8.615, 6.959, 6.010, 5.295, 4.781),
}
"""Stars per square degree brighter than G, by galactic latitude on both sides of the plane: counted in the
482 176 stars of Gaia DR3 and Hipparcos with G < 10 (data CC BY-SA 3.0 IGO, ESA/Gaia/DPAC)."""


def mean_between(limit: float, low: float, high: float) -> float:
    """Return the mean density between two latitudes, on the sphere."""
    heights = np.linspace(np.sin(np.radians(low)), np.sin(np.radians(high)), 401)
    latitudes = np.degrees(np.arcsin(heights))
    densities = guide_stars.stars_per_square_degree(np.full_like(latitudes, limit), latitudes)
    return float(np.trapezoid(densities, heights) / (heights[-1] - heights[0]))


@pytest.mark.parametrize("limit", sorted(COUNTED))
def test_density_by_latitude_is_that_of_counted_stars(limit: int) -> None:
    """Counted stars, READ in the data: every strip of latitude within 10 % for G < 9 and 10, 20 % for brighter."""
    for counted, (low, high) in zip(COUNTED[limit], pairwise(LATITUDES), strict=True):
        assert mean_between(limit, low, high) == pytest.approx(counted, rel=0.1 if limit >= 9 else 0.2)


@pytest.mark.parametrize(("limit", "stars"), [(7, 21_399), (8, 62_793), (9, 177_496), (10, 482_176)])
def test_density_adds_up_to_the_stars_of_the_whole_sky(limit: int, stars: int) -> None:
    """The same counts, READ in the data; the sphere is summed with numpy and has 41 252.96 square degrees."""
    assert mean_between(limit, 0.0, 90.0) * 4 * pi * (180 / pi) ** 2 == pytest.approx(stars, rel=2e-3)


def test_density_of_the_tycho_2_catalogue() -> None:
    """Guide to the Tycho-2 Catalogue (2000), MEMORY: 2.54 million stars, and per square degree 150 at the
    galactic equator, 50 at 30 degrees and 25 at the poles: round figures of a limit that varies, good to a quarter.
    """
    limit = optimize.brentq(lambda magnitude: mean_between(magnitude, 0.0, 90.0) - 2.54e6 / 41_253, 8.0, 15.0)
    assert 11.0 < limit < 12.2
    for latitude, density in ((0.0, 150.0), (30.0, 50.0), (90.0, 25.0)):
        assert guide_stars.stars_per_square_degree(limit, latitude) == pytest.approx(density, rel=0.25)


@pytest.mark.parametrize(("limit", "stars"), [
    (11, 870e3), (12, 2.27e6), (13, 5.7e6), (14, 13.8e6), (15, 32e6), (16, 71e6), (17, 150e6),
])  # fmt: skip
def test_counts_of_an_older_table(limit: int, stars: float) -> None:
    """Allen's Astrophysical Quantities, numbers of stars brighter than V, MEMORY: another table, other data.

    Gaia's G is some 0.3 brighter than V for an ordinary star, so the counts are compared there, within 25 %.
    """
    assert mean_between(limit - 0.3, 0.0, 90.0) * 41_253 == pytest.approx(stars, rel=0.25)


def test_star_fields_thrown_at_random() -> None:
    """COMPUTED with scipy.stats.poisson, and with fields that numpy throws at random."""
    for expected in (0.1, 1.0, 3.7, 20.0):
        for wanted in (1, 2, 5):
            known = float(stats.poisson.sf(wanted - 1, expected))
            assert guide_stars.chance_of_at_least(wanted, expected) == pytest.approx(known, rel=1e-9)
    rng = np.random.default_rng(3)
    places = rng.random((200_000, 2)) * 100  # 20 stars on a square degree, a field of 0.5 by 0.3
    fields = np.histogram2d(places[:, 0], places[:, 1], bins=[np.arange(0, 100.1, 0.5), np.arange(0, 99.1, 0.3)])[0]
    expected = guide_stars.expected_stars(20.0, 0.5, 0.3)
    assert expected == pytest.approx(float(fields.mean()), rel=0.01)
    assert guide_stars.chance_of_at_least(3, expected) == pytest.approx(float((fields >= 3).mean()), abs=6e-3)


def test_whole_sky_counts_grow_by_less_and_less() -> None:
    """Star counts in an endless even space would grow by 10^0.6 a magnitude; the Galaxy thins out (MEMORY)."""
    counts = list(guide_stars.WHOLE_SKY_COUNTS.values())
    steps = [log10(more / fewer) for fewer, more in pairwise(counts)]
    assert max(steps) < 0.6
    assert all(later < earlier + 0.02 for earlier, later in pairwise(steps))
