"""Projection, separation and position angle against worked examples and two other libraries."""

import numpy as np
import pytest
from numpy.typing import NDArray

from rigleaf.sky.projection import Frame, position_angle, project, separation, unproject

CENTRES = [(0.0, 0.0), (10.68, 41.27), (359.9, -30.0), (120.0, 89.0), (15.0, 90.0), (201.4, -90.0), (266.4, -29.0)]


@pytest.fixture(scope="module")
def points() -> NDArray[np.float64]:
    """A grid on the tangent plane, 40 by 40 deg, as (2, n)."""
    side = np.linspace(-20, 20, 9)
    return np.stack([part.ravel() for part in np.meshgrid(side, side)])


def test_worked_example_of_the_manual_of_map_projections() -> None:
    # Snyder, Map Projections - A Working Manual, USGS Professional Paper 1395 (1987), numerical examples,
    # gnomonic, sphere: 30 N, 110 W about 40 N, 100 W gives x = -0.1542826, y = -0.1694739 (read in a copy).
    x, y = np.radians(project(-110, 30, -100, 40))
    assert x == pytest.approx(-0.1542826, abs=6e-8)
    assert y == pytest.approx(-0.1694739, abs=6e-8)


def test_test_values_of_the_standards_of_fundamental_astronomy() -> None:
    # The test program of ERFA, t_erfa_c.c: t_tpsts, t_seps and t_pas (read).
    ra, dec = np.radians(unproject(*np.degrees([-0.03, 0.07]), *np.degrees([2.3, 1.5])))
    assert ra == pytest.approx(0.7596127167359629, abs=1e-13)
    assert dec == pytest.approx(1.540864645109263, abs=1e-13)
    assert np.radians(separation(*np.degrees([1, 0.1, 0.2, -3]))) == pytest.approx(2.346722016996998, abs=1e-13)
    assert np.radians(position_angle(*np.degrees([1, 0.1, 0.2, -1]))) == pytest.approx(
        -2.724544922932270 + 2 * np.pi, abs=1e-12
    )


def test_worked_example_of_the_moons_bright_limb() -> None:
    # Meeus, Astronomical Algorithms, 2nd ed., example 48.a: the bright limb points to the Sun, at 285.0 deg
    # (read in the tests of two libraries).
    assert position_angle(134.6885, 13.7684, 20.6579, 8.6964) == pytest.approx(285.0, abs=0.05)


@pytest.mark.parametrize(("ra0", "dec0"), CENTRES)
def test_plane_and_back_as_erfa_computes_them(ra0: float, dec0: float, points: NDArray[np.float64]) -> None:
    import erfa

    ra, dec = unproject(points[0], points[1], ra0, dec0)
    theirs = erfa.tpsts(*np.radians(points), *np.radians([ra0, dec0]))
    assert np.max(separation(ra, dec, *np.degrees(theirs))) < 1e-11
    plane = erfa.tpxes(*np.radians([ra, dec]), *np.radians([ra0, dec0]))
    assert np.allclose(project(ra, dec, ra0, dec0), np.degrees(plane), atol=1e-10)


@pytest.mark.parametrize(("ra0", "dec0"), CENTRES)
def test_separation_and_position_angle_as_erfa_computes_them(
    ra0: float, dec0: float, points: NDArray[np.float64]
) -> None:
    import erfa

    ra, dec = unproject(points[0], points[1], ra0, dec0)
    args = np.radians(ra0), np.radians(dec0), np.radians(ra), np.radians(dec)
    assert np.allclose(separation(ra0, dec0, ra, dec), np.degrees(erfa.seps(*args)), atol=1e-10)
    off = points.any(axis=0)  # no direction leads from a point to itself
    wrong = position_angle(ra0, dec0, ra, dec) - np.degrees(erfa.pas(*args))
    assert np.max(np.abs((wrong[off] + 180) % 360 - 180)) < 1e-8


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turn", [0.0, 33.0, 90.0, 215.0, -40.0])
@pytest.mark.parametrize(("ra0", "dec0"), [(10.68, 41.27), (359.9, -30.0), (120.0, 89.0)])
def test_a_turned_frame_as_wcslib_computes_it(
    ra0: float, dec0: float, turn: float, mirrored: bool, points: NDArray[np.float64]
) -> None:
    from astropy.wcs import WCS

    # In FITS a turn is counted the other way: CROTA2 brings the vertical axis to position angle -CROTA2.
    step = 0.01
    image = WCS(naxis=2)
    image.wcs.ctype = ["RA---TAN", "DEC--TAN"]
    image.wcs.crval = [ra0, dec0]
    image.wcs.crpix = [0, 0]
    image.wcs.cdelt = [step if mirrored else -step, step]
    image.wcs.crota = [0, -turn]
    middle, above = image.wcs_pix2world([[-1, -1], [-1, 0]], 0)
    assert (position_angle(*middle, *above) - turn + 180) % 360 - 180 == pytest.approx(0, abs=0.05)
    ra, dec = unproject(points[0], points[1], ra0, dec0)
    theirs = image.wcs_world2pix(np.stack([ra, dec], axis=-1), 0).T
    ours = Frame(1, 1, turn, mirrored=mirrored).to_frame(*points)
    assert np.allclose(ours, (theirs + 1) * step, atol=1e-8)
