"""Scale and field against published figures and independent programs.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from math import pi

import numpy as np
import pytest
from astropy import units as u
from astropy.coordinates import SkyCoord
from astropy.wcs import WCS
from numpy.typing import NDArray

from rigleaf.chapters.scale_and_field import physics


def test_arcseconds_in_a_radian() -> None:
    """The definition in the SI Brochure, 1 arcsec = pi/648000 rad (MEMORY); COMPUTED with astropy.units."""
    assert physics.ARCSEC_PER_RADIAN == pytest.approx(206_264.806247, abs=1e-6)
    assert physics.ARCSEC_PER_RADIAN == pytest.approx(u.rad.to(u.arcsec), rel=1e-14)


def test_plate_scale_of_an_11_m_focus() -> None:
    """Observatory wiki, Astronomical Observatory of Belgrade, "Telescopes - Basic geometry" (2023).

    READ: "plate_scale = 206265 / 11200 = 18.42" arcsec/mm.
    """
    assert physics.plate_scale(11_200.0) == pytest.approx(18.42, abs=0.005)


def test_image_scale_of_13_5_um_pixels_at_11_m() -> None:
    """Same page, READ: 0.249 arcsec/px for 13.5 um pixels; 2048 of them span 509.3 arcsec, "8.5" arcmin."""
    scale = physics.image_scale(13.5, 11_200.0)
    assert scale == pytest.approx(0.249, abs=0.0005)
    assert 2048 * scale == pytest.approx(509.3, abs=0.2)
    assert 2048 * scale / 60 == pytest.approx(8.5, abs=0.05)


@pytest.mark.parametrize(
    ("extent", "focal_length", "small_angle", "excess"),
    [(36.0, 50.0, 41.252961249, 0.04180), (23.5, 400.0, 3.366127046, 0.00029)],
)
def test_small_angle_form_is_image_scale_and_not_the_field(
    extent: float, focal_length: float, small_angle: float, excess: float
) -> None:
    """57.29578 w/f, COMPUTED with numpy: pixels times image scale reproduce it, the field must not.

    The excess of the small-angle form, 4.180 % and 0.029 %, comes from the same reference computation.
    """
    pixels = extent / 0.004
    assert pixels * physics.image_scale(4.0, focal_length) / 3600 == pytest.approx(small_angle, abs=1e-7)
    field = physics.field_of_view(extent, focal_length)
    assert field != pytest.approx(small_angle, abs=1e-4)
    assert small_angle / field - 1 == pytest.approx(excess, abs=5e-6)


def tangent_plane(focal_length: float) -> WCS:
    """Return wcslib's gnomonic projection of a plane in mm behind a lens that looks at the equator."""
    wcs = WCS(naxis=2)
    wcs.wcs.ctype = ["RA---TAN", "DEC--TAN"]
    wcs.wcs.crpix = [0.0, 0.0]
    wcs.wcs.crval = [100.0, 0.0]
    wcs.wcs.cdelt = [180 / pi / focal_length] * 2
    wcs.wcs.set()
    return wcs


def on_sky(focal_length: float, points: list[tuple[float, float]]) -> SkyCoord:
    """Return where points of the focal plane, in mm from the axis, stand on the sky."""
    places: NDArray[np.float64] = tangent_plane(focal_length).wcs_pix2world(np.array(points), 1)
    return SkyCoord(places[:, 0], places[:, 1], unit="deg")


def separation(focal_length: float, one: tuple[float, float], other: tuple[float, float]) -> float:
    sky = on_sky(focal_length, [one, other])
    return float(sky[0].separation(sky[1]).deg)


@pytest.mark.parametrize(("extent", "focal_length"), [(36.0, 50.0), (23.5, 360.0), (43.3, 14.0), (11.3, 1370.0)])
def test_field_of_view_is_that_of_the_gnomonic_projection(extent: float, focal_length: float) -> None:
    """COMPUTED with wcslib's TAN projection through astropy.wcs; 36 mm at 50 mm is 39.5978 deg."""
    edge_to_edge = separation(focal_length, (-extent / 2, 0), (extent / 2, 0))
    assert physics.field_of_view(extent, focal_length) == pytest.approx(edge_to_edge, rel=1e-9)
    if extent == 36.0:
        assert physics.field_of_view(extent, focal_length) == pytest.approx(39.5978, abs=5e-5)


def test_diagonal_field_is_corner_to_corner() -> None:
    """COMPUTED with wcslib's TAN projection: a 36 x 24 mm sensor behind 50 mm, corner to corner 46.79 deg."""
    diagonal = physics.diagonal(physics.sensor_extent(6000.0, 6.0), physics.sensor_extent(4000.0, 6.0))
    corners = separation(50.0, (-18, -12), (18, 12))
    assert physics.field_of_view(diagonal, 50.0) == pytest.approx(corners, rel=1e-9)
    assert corners == pytest.approx(46.79, abs=0.01)


def test_sensor_extent_of_the_full_frame_raster() -> None:
    """Common practice, no source: 6000 x 4000 pixels of 6 um are full frame, 36 x 24 mm, 43.27 mm across."""
    width, height = physics.sensor_extent(6000.0, 6.0), physics.sensor_extent(4000.0, 6.0)
    assert (width, height) == pytest.approx((36.0, 24.0), rel=1e-12)
    assert physics.diagonal(width, height) == pytest.approx(43.27, abs=0.01)


@pytest.mark.parametrize("focal_length", [24.0, 135.0, 448.0])
@pytest.mark.parametrize(("x", "y"), [(0.0, 19.4), (-14.5, 9.0)])
def test_second_sensor_beside_the_axis(focal_length: float, x: float, y: float) -> None:
    """COMPUTED with wcslib's TAN projection: distance and direction of the centre, width and height."""
    width, height = 6.46, 4.84
    field = physics.offset_field(width, height, x, y, focal_length)
    assert field.offset == pytest.approx(separation(focal_length, (0, 0), (x, y)), rel=1e-9)
    across = separation(focal_length, (x - width / 2, y), (x + width / 2, y))
    along = separation(focal_length, (x, y - height / 2), (x, y + height / 2))
    assert (field.width, field.height) == pytest.approx((across, along), rel=1e-9)
    # The projection keeps directions at its centre. Position angle counts from north (+y) to east (+x).
    sky = on_sky(focal_length, [(0, 0), (x, y)])
    angle = float(sky[0].position_angle(sky[1]).deg)
    assert (90 - field.direction) % 360 == pytest.approx(angle, abs=1e-6)


@pytest.mark.parametrize(("focal_length", "thing", "image"), [(100.0, 103.0, 3430.0), (500.0, 750.0, 1500.0)])
def test_thin_lens_image(focal_length: float, thing: float, image: float) -> None:
    """OpenStax, College Physics, "Image Formation by Lenses" (2026).

    READ: the slide projector, "(a) 3.43 m" for 100 mm and 103 mm; the bulb, 1.50 m for 0.50 m and 0.75 m.
    """
    assert physics.thin_lens_image(focal_length, thing) == pytest.approx(image, abs=5)


def traced_reduction(telescope: float, corrector: float, prime_distance: float) -> tuple[float, float]:
    """Return factor and lens-to-focus distance of two thin lenses, from 2 x 2 ray-transfer matrices alone."""

    def lens(focal_length: float) -> NDArray[np.float64]:
        return np.array([[1.0, 0.0], [-1.0 / focal_length, 1.0]])

    gap = np.array([[1.0, telescope - prime_distance], [0.0, 1.0]])
    system = lens(corrector) @ gap @ lens(telescope)
    height, slope = system @ np.array([1.0, 0.0])  # a ray parallel to the axis, one unit away from it
    return float(-1.0 / slope / telescope), float(-height / slope)


@pytest.mark.parametrize(("corrector", "prime_distance"), [(250.0, 78.947368421), (310.0, 70.0), (-120.0, 60.0)])
def test_reducer_factor_by_ray_matrices(corrector: float, prime_distance: float) -> None:
    """COMPUTED with numpy ray-transfer matrices behind an 800 mm telescope, reducers and an extender."""
    factor, to_sensor = traced_reduction(800.0, corrector, prime_distance)
    assert physics.reducer_factor(corrector, to_sensor) == pytest.approx(factor, rel=1e-9)
    assert physics.reducer_factor_from_prime(corrector, prime_distance) == pytest.approx(factor, rel=1e-9)
    assert physics.reducer_focal_length(factor, to_sensor) == pytest.approx(corrector, rel=1e-9)
    assert physics.effective_focal_length(800.0, factor) == pytest.approx(factor * 800.0, rel=1e-9)


def test_reducer_factor_from_the_sensor() -> None:
    """Encyclopedia article "Telecompressor", READ: f_n = f_o(1 - d/f_r), d from lens to image plane."""
    assert physics.reducer_factor(250.0, 60.0) == pytest.approx(0.76, abs=1e-12)


def test_reducer_factor_from_the_original_focus() -> None:
    """A personal page "Telecompressor", READ: "R= F/ (F+D)", where D is not the article's d."""
    assert physics.reducer_factor_from_prime(250.0, 78.947368421) == pytest.approx(0.76, abs=1e-9)
    assert physics.reducer_factor(250.0, 78.947368421) != pytest.approx(0.76, abs=0.01)


def test_common_practice_of_a_90_mm_refractor_with_its_reducer() -> None:
    """Common practice, no source: about 560 mm with a 0.8 reducer works at roughly 450 mm, near f/5.

    An APS-C sensor behind it counts as wide field: the Moon fits four times or more along either side.
    """
    focal_length = physics.effective_focal_length(560.0, 0.8)
    assert focal_length == pytest.approx(450.0, rel=0.01)
    assert physics.focal_ratio(focal_length, 90.0) == pytest.approx(5.0, rel=0.01)
    assert physics.field_of_view(23.5, focal_length) == pytest.approx(3.0, abs=0.03)
    assert physics.field_of_view(15.7, focal_length) > 4 * 0.5


def test_common_practice_of_an_extender_in_a_chain() -> None:
    """Common practice, no source: a 2x extender on an f/5 Newtonian of 150 mm makes 1500 mm at f/10."""
    focal_length = physics.effective_focal_length(750.0, 1.0, 2.0)
    assert focal_length == pytest.approx(1500.0, rel=1e-12)
    assert physics.focal_ratio(focal_length, 150.0) == pytest.approx(10.0, rel=1e-12)


def test_sky_of_a_pixel_by_another_system_of_units() -> None:
    """COMPUTED with astropy.units: the solid angle of a 3.76 um pixel at 500 mm, in arcsec^2."""
    solid_angle = ((3.76 * u.um / (500 * u.mm)).to(u.dimensionless_unscaled)) ** 2 * u.sr
    scale = physics.image_scale(3.76, 500.0)
    assert physics.pixel_sky_area(scale) == pytest.approx(solid_angle.to_value(u.arcsec**2), rel=1e-9)


def test_signal_of_a_pixel_as_counted_by_throwing_photons() -> None:
    """COMPUTED with numpy: photons thrown evenly over the sky, counted in the footprints of two pixels."""
    rng = np.random.default_rng(20_240_611)
    photons = rng.uniform(-1.0, 1.0, size=(2, 4_000_000))
    counts = [int(np.count_nonzero(np.abs(photons).max(axis=0) < scale / 2)) for scale in (1.6, 0.96)]
    assert physics.signal_ratio(1.6, 0.96) == pytest.approx(counts[0] / counts[1], rel=0.005)
