"""Cones of light and the holes that cut them, against enumerated rays and an independent geometry library.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from math import hypot, inf, pi

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import Point

from rigleaf.chapters.image_train import light_physics as light
from rigleaf.chapters.image_train.light_physics import Beam, Hole
from rigleaf.chapters.image_train.physics import female_hole, male_bore, smallest_thread

Array = NDArray[np.float64]


def pupil_points(count: int, obstruction: float = 0.0) -> Array:
    """Points spread evenly over a unit disc with a dark middle (a sunflower), for counting rays."""
    index = np.arange(count) + 0.5
    radius = np.sqrt(obstruction**2 + (1 - obstruction**2) * index / count)
    angle = index * pi * (3 - 5**0.5)
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)


def at_plane(point: Array, pupil: Array, distance: float, pupil_distance: float) -> Array:
    """Where straight rays from points of the pupil to a point of the sensor cross a plane before the sensor."""
    crossing: Array = point + (pupil - point) * (distance / pupil_distance)
    return crossing


# --- The cone ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ratio", "distance", "height", "pupil", "expected"),
    [(5.0, 55.0, 21.6, 500.0, 49.448), (7.0, 17.5, 14.15, 700.0, 30.0925), (5.0, 55.0, 21.6, inf, 54.2)],
)
def test_clear_diameter_by_enumerating_rays(
    ratio: float, distance: float, height: float, pupil: float, expected: float
) -> None:
    """COMPUTED with numpy: rays from the pupil's edge to every point of a ring on the sensor.

    f/5, 55 mm, 21.6 mm: 49.448 mm with the pupil at 500 mm, 54.2 mm telecentric; f/7, 17.5 mm, 14.15 mm: 30.0925 mm.
    """
    far = min(pupil, 1e12)
    turn = np.linspace(0, 2 * pi, 361)
    circle = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    widest = max(
        float(np.hypot(*at_plane(height * towards, far / (2 * ratio) * circle, distance, far).T).max())
        for towards in circle
    )
    assert 2 * widest == pytest.approx(expected, abs=1e-6)
    on_axis = at_plane(np.zeros(2), far / (2 * ratio) * circle, distance, far)
    assert light.cone_radius(distance, ratio) == pytest.approx(float(np.hypot(*on_axis.T).max()), rel=1e-9)
    assert light.clear_diameter(distance, ratio, height, pupil) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(("factor", "to_sensor"), [(1.0, 60.0), (0.8, 90.0), (0.8, 60.0), (0.6, 55.0), (2.0, 100.0)])
def test_exit_pupil_behind_a_corrector_by_ray_matrices(factor: float, to_sensor: float) -> None:
    """COMPUTED with ray-transfer matrices: a ray through the middle of a 480 mm objective and the corrector."""
    power = (1 - factor) / to_sensor
    between = 480.0 - to_sensor / factor
    height, slope = between * 0.01, 0.01  # of a ray that leaves the objective's middle, at the corrector
    slope -= height * power
    at_sensor = height + slope * to_sensor
    pupil = light.exit_pupil_distance(480.0, factor, to_sensor)
    assert pupil == pytest.approx(at_sensor / slope, rel=1e-9)
    # The same ray at a plane 40 mm before the sensor is the centre of the cone of the point that it ends on.
    assert light.cone_centre(at_sensor, 40.0, pupil) == pytest.approx(at_sensor - 40.0 * slope, rel=1e-9)


def test_a_strong_reducer_widens_the_path_beyond_the_telecentric_one() -> None:
    """COMPUTED as above: a 0.6 reducer 55 mm before the sensor leans the rays outwards towards the sky."""
    pupil = light.exit_pupil_distance(480.0, 0.6, 55.0)
    assert pupil < 0
    assert light.clear_diameter(40.0, 5.0, 14.0, pupil) > light.clear_diameter(40.0, 5.0, 14.0)


# --- Holes -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("separation", [0.0, 0.4, 2.0, 3.9, 6.1, 8.0, 9.5])
@pytest.mark.parametrize("hole", [1.5, 3.0, 5.0, 26.0])
def test_overlap_of_two_circles(separation: float, hole: float) -> None:
    """COMPUTED with shapely: two polygons of 16 384 corners cut by each other."""
    cone = Point(separation, 0).buffer(5.0, quad_segs=4096)
    cut = cone.intersection(Point(0, 0).buffer(hole, quad_segs=4096)).area / cone.area
    assert light.overlap_fraction(separation, 5.0, hole) == pytest.approx(cut, abs=1e-6)
    shallow = light.overlap_fraction(hole + 5.0 - 1e-3, 5.0, hole)
    assert 0 < shallow < 1e-4


@pytest.mark.parametrize("obstruction", [0.0, 0.45])
@pytest.mark.parametrize("pupil", [480.0, -900.0, inf])
def test_several_holes_by_counting_rays(pupil: float, obstruction: float) -> None:
    """COMPUTED with numpy: 200 000 rays from a pupil followed through four holes to points of the sensor."""
    ratio = 4.8
    holes = [Hole(60.0, 45.0), Hole(38.0, 39.0), Hole(30.0, 30.0, 3.0, -1.0), Hole(12.0, 36.0)]
    far = 1e9 if pupil == inf else pupil
    rays = pupil_points(200_000, obstruction) * far / (2 * ratio)
    beam = Beam(ratio, pupil, obstruction)
    seen = []
    for point in ((0.0, 0.0), (11.7, 7.8), (0.0, -17.8), (2.8, -19.4), (14.0, -11.0), (30.0, 0.0)):
        passes = np.ones(len(rays), dtype=bool)
        for hole in holes:
            crossing = at_plane(np.array(point), rays, hole.distance, far) - (hole.x, hole.y)
            passes &= np.hypot(*crossing.T) <= hole.diameter / 2
        counted = float(passes.mean())
        assert light.light_through(*point, holes, beam) == pytest.approx(counted, abs=2e-4)
        seen.append(counted)
    assert max(seen) > 0.99
    assert sum(0.01 < part < 0.99 for part in seen) >= 2, seen


def test_one_hole_is_the_overlap_of_two_circles() -> None:
    """COMPUTED by the two ways of this project and by shapely, for a guide sensor's corner behind M48."""
    beam = Beam(4.8)
    cone = Point(19.4, 0).buffer(30.0 / 9.6, quad_segs=4096)
    cut = cone.intersection(Point(0, 0).buffer(20.5, quad_segs=4096)).area / cone.area
    assert light.light_through(19.4, 0.0, [Hole(30.0, 41.0)], beam) == pytest.approx(cut, abs=1e-6)
    assert light.illumination(19.4, 30.0, 41.0, 4.8) == pytest.approx(cut, abs=1e-6)


# --- Common practice ---------------------------------------------------------------------------------------

# A camera with an APS-C sensor and a guide sensor below its long edge, in one plane (common practice, no source).
MAIN = hypot(23.49, 15.7) / 2
GUIDE = hypot(5.57 / 2, 17.8 + 3.13 / 2)  # its far corner
RING = 40.0  # mm before the sensor: a ring in front of a filter drawer


@pytest.mark.parametrize("pupil", [384.0, inf])
def test_a_guide_sensor_beside_the_main_one_wants_m54(pupil: float) -> None:
    """Common practice, no source: M48 or a 42 mm T-thread shades the guide sensor, M54 clears it.

    At f/4.8; a tube with a male thread and 0.5 mm of wall, as rings are made, 40 mm before the sensor.
    """
    m42, m48, m54 = (male_bore(diameter, 0.75, 0.5) for diameter in (42.0, 48.0, 54.0))

    def lit(height: float, hole: float) -> float:
        return light.illumination(height, RING, hole, 4.8, pupil)

    assert lit(GUIDE, m54) == 1.0
    assert lit(MAIN, m48) == 1.0  # the picture looks fine ...
    assert lit(MAIN, m42) > 0.98  # ... and nearly so behind the narrower one
    assert lit(GUIDE, m42) < 0.85
    if pupil == inf:
        assert 0.5 < lit(GUIDE, m48) < 0.99
    need = light.clear_diameter(RING, 4.8, GUIDE)
    thread = smallest_thread(need, wall_mm=0.5)
    assert thread is not None
    assert thread.name == "M54 x 0.75"
    assert female_hole(48.0, 0.75) < need <= m54


def test_half_the_light_is_one_stop() -> None:
    """Definition of the photographic stop, a factor of two (common practice, no source)."""
    assert light.stops_lost(0.5) == pytest.approx(1.0)
    assert light.stops_lost(0.125) == pytest.approx(3.0)
    assert light.stops_lost(0.0) == inf
