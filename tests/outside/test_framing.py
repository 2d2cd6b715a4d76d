"""Framing against random points, another library's polygons, astropy's sky offset frame, and cases done by hand."""

from collections.abc import Callable
from math import asin, pi, sqrt

import numpy as np
import pytest
from astropy import units
from numpy.typing import NDArray
from shapely import Polygon

from rigleaf.chapters.in_the_frame import physics
from rigleaf.chapters.in_the_frame.physics import Beside, Ellipse, outline_on_plane
from rigleaf.sky.projection import Frame, point_at, project
from rigleaf.sky.stars import stars_in_cone
from rigleaf.sky.targets import mean_surface_brightness

Array = NDArray[np.float64]
OffsetAngles = Callable[[Array, Array, tuple[float, float], float], tuple[Array, Array]]

# Major and minor half axis (deg), its position angle, frame's sides and angle, and where its middle is in the picture.
CASES = [
    (1.5, 0.6, 35.0, 2.3, 1.5, 80.0, 0.0, 0.0),
    (1.5, 0.6, 35.0, 2.3, 1.5, 125.0, 0.4, -0.2),
    (0.8, 0.8, 0.0, 1.5, 1.0, 12.0, 0.0, 0.0),
    (2.0, 0.3, 170.0, 1.0, 3.0, 300.0, -0.3, 0.9),
    (0.2, 0.1, 90.0, 5.0, 4.0, 45.0, 0.0, 0.0),
    (4.0, 3.0, 10.0, 1.0, 0.7, 200.0, 1.0, 1.0),
]


@pytest.fixture(scope="module")
def offset_angles() -> OffsetAngles:
    """Angles to the right and up, deg, in a picture whose top is at a position angle, as astropy turns the sky."""
    from astropy import units as u
    from astropy.coordinates import SkyCoord

    def found(ra: Array, dec: Array, middle: tuple[float, float], angle: float) -> tuple[Array, Array]:
        # A sky offset frame with this rotation has its latitude along the position angle.
        frame = SkyCoord(*middle, unit="deg").skyoffset_frame(rotation=angle * u.deg)
        turned = SkyCoord(ra, dec, unit="deg").transform_to(frame)
        lon, lat = turned.lon.wrap_at(180 * u.deg).radian, turned.lat.radian
        # From angles on the sphere to the tangent plane; east is left.
        return -np.degrees(np.tan(lon)), np.degrees(np.tan(lat) / np.cos(lon))

    return found


def points_in(ellipse: Ellipse, number: int) -> tuple[Array, Array]:
    """Random points of an ellipse on the plane: xi and eta."""
    random = np.random.default_rng(20270321)
    far, turn = np.sqrt(random.random(number)), 2 * pi * random.random(number)
    along, aside = ellipse.major * far * np.cos(turn), ellipse.minor * far * np.sin(turn)
    angle = np.radians(ellipse.angle)
    return along * np.sin(angle) + aside * np.cos(angle), along * np.cos(angle) - aside * np.sin(angle)


@pytest.mark.parametrize("case", CASES)
def test_share_inside_by_random_points(case: tuple[float, ...]) -> None:
    major, minor, tilt, width, height, angle, x, y = case
    ellipse = Ellipse(major, minor, tilt)
    xi, eta = map(float, Frame(1, 1, angle).to_plane(x, y))
    inside = Frame(width, height, angle, xi, eta).contains(*points_in(ellipse, 200_000)).mean()
    assert physics.share_inside(ellipse, width, height, angle, x, y) == pytest.approx(inside, abs=0.004)


def outline_of(ellipse: Ellipse) -> Polygon:
    """The ellipse on the tangent plane, east and north, as a polygon of 4000 corners."""
    turn, tilted = np.linspace(0, 2 * pi, 4000, endpoint=False), np.radians(ellipse.angle)
    along, aside = ellipse.major * np.cos(turn), ellipse.minor * np.sin(turn)
    east = along * np.sin(tilted) + aside * np.cos(tilted)
    north = along * np.cos(tilted) - aside * np.sin(tilted)
    return Polygon(np.stack([east, north], axis=-1))


@pytest.mark.parametrize("case", CASES)
def test_share_inside_by_polygons_of_another_library(case: tuple[float, ...]) -> None:
    # shapely.
    major, minor, tilt, width, height, angle, x, y = case
    xi, eta = map(float, Frame(1, 1, angle).to_plane(x, y))
    frame = Polygon(Frame(width, height, angle, xi, eta).corners())
    outline = outline_of(Ellipse(major, minor, tilt))
    theirs = frame.intersection(outline).area / outline.area
    assert physics.share_inside(Ellipse(major, minor, tilt), width, height, angle, x, y) == pytest.approx(
        theirs, abs=2e-6
    )


@pytest.mark.parametrize("angle", [0.0, 35.0, 80.0, 125.0, 300.0])
def test_room_by_the_distance_that_another_library_measures(angle: float) -> None:
    # shapely: from the outline to the edges of the frame.
    ellipse, width, height = Ellipse(1.0, 0.4, 35.0), 2.9, 2.2
    away = outline_of(ellipse).distance(Polygon(Frame(width, height, angle).corners()).exterior)
    assert float(physics.room(ellipse, width, height, angle)) == pytest.approx(away, abs=1e-5)


def test_worked_cases_of_circle_and_square() -> None:
    # School geometry: a square inside the circle, a circle inside the square, a half plane, and four segments cut off.
    circle = Ellipse(1.0, 1.0)
    assert physics.share_inside(circle, sqrt(2), sqrt(2), 45.0) == pytest.approx(2 / pi, abs=1e-12)
    assert physics.share_inside(circle, 2.0, 2.0, 10.0) == pytest.approx(1.0, abs=1e-12)
    assert physics.share_inside(circle, 10.0, 10.0, 0.0, 5.0, 0.0) == pytest.approx(0.5, abs=1e-12)
    strip = 2 / pi * (asin(0.5) + 0.5 * sqrt(0.75))
    assert physics.share_inside(circle, 1.0, 8.0, 0.0) == pytest.approx(strip, abs=1e-12)
    assert physics.share_inside(circle, 1.0, 1.0, 0.0, 3.0, 0.0) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("ra", "dec"), [(10.68, 41.27), (0.2, -72.0), (150.0, 88.0)])
@pytest.mark.parametrize("angle", [0.0, 50.0, 133.0])
def test_extents_by_points_on_the_outline_projected_by_another_library(
    ra: float, dec: float, angle: float, offset_angles: OffsetAngles
) -> None:
    # The outline of a galaxy of 178' by 70', set point by point on the sphere. Between the axes its distances from the
    # middle are those of an ellipse of angles; the plane stretches them by a tenth of a per cent at most.
    major, minor, tilt = 178.0 / 120, 70.0 / 120, 35.0
    turn = np.radians(np.arange(0, 360, 0.25))
    along, aside = major * np.cos(turn), minor * np.sin(turn)
    far, direction = np.hypot(along, aside), tilt + np.degrees(np.arctan2(aside, along))
    x, y = offset_angles(*point_at(ra, dec, direction, far), (ra, dec), angle)
    across, up = physics.half_extents(outline_on_plane(178.0, 70.0, tilt), angle)
    assert across == pytest.approx(np.abs(x).max(), rel=1e-3)
    assert up == pytest.approx(np.abs(y).max(), rel=1e-3)


@pytest.mark.parametrize("tilt", [0.0, 35.0, 122.0])
def test_best_angle_of_an_oblong_target_lays_it_along_the_long_side(tilt: float) -> None:
    # Common practice, no source: a thin galaxy that fills the frame lies along the long side or near its diagonal; it
    # never stands along the short one.
    angles = np.arange(180.0)
    ellipse = Ellipse(0.9, 0.2, tilt)
    good = physics.good_angles(ellipse, 3.0, 2.0, angles, 0.2)
    best = physics.best_angle(ellipse, 3.0, 2.0, angles, good)
    from_long_side = abs((best + 90 - tilt + 90) % 180 - 90)
    assert from_long_side <= 45


def test_stars_on_the_second_sensor_as_sky_offsets_place_them(offset_angles: OffsetAngles) -> None:
    beside, middle = Beside(0.0, -2.6, 0.7, 0.5), (98.0, 4.95)
    field = stars_in_cone(*middle, 4.0)
    for angle in (0.0, 57.0, 190.0, 301.0):
        x, y = offset_angles(field.ra, field.dec, middle, angle)
        theirs = (np.abs(x) <= 0.35) & (np.abs(y + 2.6) <= 0.25)
        ours = beside.frame(angle).contains(*project(field.ra, field.dec, *middle))
        assert np.array_equal(ours, theirs)
        assert theirs.sum() > 3
        # Light of those away from the edges, a twentieth of a side each; fluxes by astropy.units.
        well_on = (np.abs(x) <= 0.315) & (np.abs(y + 2.6) <= 0.225)
        expected = units.Magnitude(np.maximum(field.mag[well_on], 4.0)).physical.value.sum()
        xi, eta = project(field.ra, field.dec, *middle)
        light = physics.light_at_angles(xi, eta, field.mag, beside, np.array([angle]))
        assert float(light[0]) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("place", "major", "minor", "tilt"),
    [
        ((10.68, 41.27), 178.0, 70.0, 35.0),
        ((80.9, -69.76), 646.0, 550.0, 170.0),
        ((200.0, 88.5), 300.0, 300.0, None),
    ],
)
def test_panels_cover_the_object_on_the_sphere(
    place: tuple[float, float], major: float, minor: float, tilt: float | None, offset_angles: OffsetAngles
) -> None:
    width, height, overlap = 2.3, 1.5, 0.2
    ellipse = outline_on_plane(major, minor, tilt)
    grid = physics.smallest_grid(ellipse, width, height, 0.1 * height, overlap)
    panels = physics.panels(place, ellipse, width, height, grid, overlap, 0.1 * height)
    random = np.random.default_rng(7)
    far, turn = np.sqrt(random.random(3000)), 2 * pi * random.random(3000)
    along, aside = major / 120 * far * np.cos(turn), minor / 120 * far * np.sin(turn)
    ra, dec = point_at(*place, (tilt or 0.0) + np.degrees(np.arctan2(aside, along)), np.hypot(along, aside))
    seen = np.zeros(len(ra), dtype=bool)
    for panel in panels:
        x, y = offset_angles(ra, dec, (panel.ra, panel.dec), panel.position_angle)
        near = np.cos(np.radians(x)) > 0
        seen |= near & (np.abs(x) <= width / 2) & (np.abs(y) <= height / 2)
    assert seen.all()
    assert 1 < len(panels) <= grid.cells


def test_panels_of_a_strip_by_hand() -> None:
    # Sides of 2 with an overlap of a quarter: each further panel adds 1.5, so 2, 3.5, 5, 6.5.
    assert [int(physics.panels_along(extent, 2.0, 0.25)) for extent in (0.1, 2.0, 2.1, 3.5, 3.6, 5.0, 6.5, 6.51)] == [
        1, 1, 2, 2, 3, 3, 4, 5,
    ]  # fmt: skip


def test_surface_brightness_by_hand() -> None:
    # One square degree has 3600^2 square arcsec, 17.78 mag; an ellipse of 60' by 60' is pi/4 of it, 17.52 mag.
    assert mean_surface_brightness(5.0, 60.0, 60.0) == pytest.approx(5 + 17.7815 - 0.2623, abs=1e-4)
    # From memory: the Andromeda Galaxy's mean is given as 22 to 23 mag/arcsec2 with these magnitudes and axes.
    assert 22 < mean_surface_brightness(3.44, 178.0, 70.0) < 23


def test_common_practice_of_the_moon_on_a_sensor() -> None:
    # Common practice, no source: focal length over 110 is the Moon's diameter on the sensor, half a degree across.
    focal_length, pixel_mm = 1100.0, 0.00376
    scale = 206.265 * pixel_mm * 1000 / focal_length
    assert physics.pixels_along(31.1, scale) * pixel_mm == pytest.approx(focal_length / 110, rel=0.01)


def test_common_practice_of_the_ring_nebula() -> None:
    # Common practice, no source: with about 500 mm and ordinary seeing the Ring Nebula, 1.4', is a dot with a hole.
    scale = 206.265 * 3.76 / 500
    elements = physics.resolved_elements(1.4, physics.finest_detail(3.5, scale))
    assert 10 < elements < 30
    # By hand: 84" over a star of 3.5"; under a steadier sky over two pixels of 1.551", as the sampling theorem has it.
    assert elements == pytest.approx(24.0, rel=1e-9)
    assert physics.resolved_elements(1.4, physics.finest_detail(2.0, scale)) == pytest.approx(27.08, rel=1e-3)
    assert physics.pixels_along(1.4, scale) == pytest.approx(54, abs=1)
