"""Glass, threads, lengths, coverage and tilt of a train against published figures and traced rays.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from itertools import combinations, permutations
from math import pi, sqrt

import numpy as np
import pytest
from astropy import units
from numpy.typing import NDArray
from shapely import Point, box

from rigleaf.catalogue.models.connections import read_connection
from rigleaf.chapters.image_train import physics
from rigleaf.chapters.image_train.mating import mates
from rigleaf.chapters.image_train.solver import Gap, Ring, fill

Array = NDArray[np.float64]


# --- Joints and lengths ------------------------------------------------------------------------------------


def test_pitch_of_the_c_interface() -> None:
    """Lens interface descriptions, C, READ: "1 inch (25.4mm) in diameter with 32 threads per inch"."""
    c = read_connection("1-32 UN female")
    assert (c.diameter, c.pitch) == pytest.approx((25.4, 0.79375), abs=1e-9)
    assert mates(read_connection("1-32 UN male"), c)
    # A fine metric thread of the same diameter looks alike and jams after a turn (common practice, no source).
    for near in ("M25.4 x 0.75 male", "M25 x 0.75 male", "M25.4 x 0.8 male"):
        assert not mates(read_connection(near), c)


def test_thread_of_42_mm_lenses_is_not_the_t_thread() -> None:
    """Common practice, no source: old lenses have M42 x 1, T rings M42 x 0.75, and they must not be forced."""
    assert not mates(read_connection("M42 x 1 male"), read_connection("M42 x 0.75 female"))


def test_cs_flange_is_5_mm_shorter_than_c() -> None:
    """Lens interface descriptions, READ: C 17.526 mm, CS 12.526 mm; a ring of 5 mm makes one of the other.

    C is 0.69 in exactly. The same text prints CS as "0.49 inches (12.526mm)", and 0.49 in are 12.446 mm: the inch
    figure must NOT be reproduced.
    """
    assert physics.FLANGE_MM["C"] == pytest.approx(0.69 * 25.4, abs=1e-9)
    assert physics.FLANGE_MM["C"] - physics.FLANGE_MM["CS"] == pytest.approx(5.0, abs=1e-9)
    assert physics.FLANGE_MM["CS"] == pytest.approx(12.526, abs=1e-9)
    assert physics.FLANGE_MM["CS"] != pytest.approx(0.49 * 25.4, abs=0.01)
    c_male, c_female = read_connection("1-32 UN male"), read_connection("1-32 UN female")
    ring = Ring("five", 5.0, None, c_female, c_male)
    found = fill([Gap(c_male, c_female)], physics.FLANGE_MM["C"] - physics.FLANGE_MM["CS"], 0.01, [ring])
    assert found is not None
    assert found.gaps[0].rings == ("five",)


def test_common_practice_of_55_mm() -> None:
    """Shop-data page, READ: "T2 55.0 mm"; common practice, no source: a 17.5 mm camera wants 16.5 and 21 mm."""
    male, female = read_connection("M48 x 0.75 male"), read_connection("M48 x 0.75 female")
    shelf = [Ring(f"r{length}", length, None, female, male) for length in (5.0, 10.0, 16.5, 21.0, 30.0)]
    found = fill([Gap(male, female)], physics.FLANGE_MM["T"] - 17.5, 0.1, shelf)
    assert found is not None
    assert sorted(found.gaps[0].rings) == ["r16.5", "r21.0"]


def test_search_against_trying_everything() -> None:
    """COMPUTED by trying every order of every choice of up to three rings, each with its joints, in the open."""
    sides = {name: read_connection(name) for name in ("M42 x 0.75 male", "M48 x 0.75 male")}
    female = {name: read_connection(name.replace(" male", " female")) for name in sides}
    m42, m48 = sides
    kinds = [(4.1, m48, m48), (7.3, m48, m48), (9.2, m48, m42), (5.5, m42, m42), (2.6, m42, m48), (11.7, m42, m42)]
    shelf = [Ring(f"r{i}", length, None, female[a], sides[b]) for i, (length, a, b) in enumerate(kinds)]

    def best(target: float, tolerance: float) -> tuple[int, float] | None:
        fits = []
        for pieces in range(4):
            for chosen in combinations(range(len(kinds)), pieces):
                for order in permutations(chosen):
                    walk = [m48, *(side for i in order for side in kinds[i][1:]), m42]
                    if all(walk[i] == walk[i + 1] for i in range(0, len(walk), 2)):
                        error = abs(sum(kinds[i][0] for i in order) - target)
                        if error <= tolerance + 1e-9:
                            fits.append((pieces, round(error, 6)))
        return min(fits, default=None)

    hits = 0
    for target in np.arange(8.0, 32.0, 0.37):
        found = fill([Gap(sides[m48], female[m42])], float(target), 0.4, shelf, most_pieces=3)
        expected = best(float(target), 0.4)
        assert (found is None) == (expected is None)
        if found is not None and expected is not None:
            assert (found.pieces, abs(found.error)) == pytest.approx(expected, abs=1e-3)
            hits += 1
    assert hits > 15


def test_tolerances_of_independent_lengths() -> None:
    """COMPUTED with numpy: the spread of 400 000 stacks of five lengths, each with its own error."""
    errors = [0.05, 0.1, 0.02, 0.2, 0.1]
    stacks = np.random.default_rng(5).normal(0.0, errors, (400_000, 5)).sum(axis=1)
    assert physics.stack_uncertainty(errors) == pytest.approx(float(stacks.std()), rel=0.005)


@pytest.mark.parametrize(("factor", "nominal", "actual"), [(0.8, 80.0, 84.0), (0.8, 85.0, 80.0), (2.0, 60.0, 66.0)])
def test_reducer_at_another_distance_by_ray_matrices(factor: float, nominal: float, actual: float) -> None:
    """COMPUTED with ray-transfer matrices: the lens is moved until the image lies at the other distance."""
    power = (1 - factor) / nominal  # of the thin lens that has this factor at the nominal distance

    def behind(separation: float) -> tuple[float, float]:
        """Image distance behind the corrector and factor, behind an objective of 600 mm."""
        height, slope = lens(power) @ gap(separation) @ lens(1 / 600.0) @ np.array([1.0, 0.0])
        return float(-height / slope), float(-1 / slope / 600.0)

    low, high = 600 - 1.9 * nominal / factor, 600 - 0.1 * nominal / factor
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if behind(middle)[0] > actual else (low, middle)
    assert behind(low)[0] == pytest.approx(actual, abs=1e-6)
    assert physics.reducer_factor_at(factor, nominal, actual) == pytest.approx(behind(low)[1], rel=1e-6)


def lens(power: float) -> Array:
    return np.array([[1.0, 0.0], [-power, 1.0]])


def gap(length: float) -> Array:
    return np.array([[1.0, length], [0.0, 1.0]])


# --- Glass -------------------------------------------------------------------------------------------------


def traced_shift(thickness: float, index: float, slope: float) -> float:
    """Focus shift of a plate, by bending one ray as a vector at both faces (Snell's law) and following it."""

    def bend(ray: Array, ratio: float) -> Array:
        inward = np.array([0.0, 1.0])
        across = ratio * (ray - inward * (ray @ inward))
        bent: Array = across + inward * np.sqrt(1 - across @ across)
        return bent

    ray = np.array([-slope, 1.0]) / np.hypot(slope, 1.0)
    start = np.array([100.0 * slope, 0.0])  # without the plate the ray meets the axis 100 mm on
    inside = bend(ray, 1 / index)
    leaves = start + inside * thickness / inside[1]
    behind = bend(inside, index)
    meets = leaves[1] - leaves[0] * behind[1] / behind[0]
    return float(meets) - 100.0


def test_index_of_n_bk7() -> None:
    """Glass catalogue through opticalglass 1.1.1, COMPUTED: 1.5168 at 587.56 nm.

    Here from the catalogue's Sellmeier coefficients (MEMORY).
    """
    square = 0.5875618**2
    terms = [(1.03961212, 0.00600069867), (0.231792344, 0.0200179144), (1.01046945, 103.560653)]
    index = sqrt(1 + sum(b * square / (square - c) for b, c in terms))
    assert index == pytest.approx(1.5168, abs=1e-5)
    assert index == pytest.approx(physics.N_BK7, abs=1e-5)


def test_focus_offset_of_an_observatory() -> None:
    """Isaac Newton Group, observers' guide (1995), "Calculating of Focus Offsets", READ.

    "the refractive index is 1.6, so the focus offset = 0.38" of the thickness.
    """
    assert physics.glass_shift(1.0, 1.6) == pytest.approx(0.38, abs=0.006)


def test_shift_of_3_mm_of_glass_by_snells_law() -> None:
    """COMPUTED by bending rays at both faces: 1.02772 mm at f/5, 1.0562 mm at f/2, 1.0222 mm near the axis."""
    assert traced_shift(3.0, 1.5168, 0.1) == pytest.approx(1.027719, abs=1e-5)
    assert physics.glass_shift_marginal(3.0, 1.5168, 5.0) == pytest.approx(1.027719, abs=1e-5)
    assert physics.glass_shift_marginal(3.0, 1.5168, 2.0) == pytest.approx(1.0562, abs=1e-4)
    assert physics.glass_shift(3.0) == pytest.approx(1.0222, abs=1e-4)
    assert physics.glass_shift(3.0) == pytest.approx(traced_shift(3.0, 1.5168, 1e-5), rel=1e-6)
    for ratio in (1.4, 2.8, 4.0, 9.0):
        traced = traced_shift(2.0, 1.458, 1 / (2 * ratio))
        assert physics.glass_shift_marginal(2.0, 1.458, ratio) == pytest.approx(traced, rel=1e-9)


def test_optical_path_of_a_plate_is_not_its_focus_shift() -> None:
    """An exercise site's (n - 1) t for a plate in a converging beam, READ, must NOT be reproduced."""
    assert physics.glass_shift(3.0) != pytest.approx(0.5168 * 3.0, rel=0.2)


# --- Threads -----------------------------------------------------------------------------------------------

# "Metric Fine Thread Dimensions conform to ISO 724" (engineering reference table), READ: D, P, D2, d3, D1 in mm.
FINE = [
    (10.0, 0.75, 9.513, 9.08, 9.188),
    (12.0, 1.5, 11.026, 10.16, 10.376),
    (20.0, 1.0, 19.35, 18.773, 18.917),
    # "Metric Thread Chart (coarse)", READ.
    (4.5, 0.75, 4.013, 3.58, 3.688),
]


@pytest.mark.parametrize(("diameter", "pitch", "pitch_diameter", "root", "hole"), FINE)
def test_rows_of_the_metric_thread_tables(
    diameter: float, pitch: float, pitch_diameter: float, root: float, hole: float
) -> None:
    """The rows above, READ; they follow the basic profile of ISO 68-1."""
    assert physics.thread_pitch_diameter(diameter, pitch) == pytest.approx(pitch_diameter, abs=0.001)
    assert physics.male_root(diameter, pitch) == pytest.approx(root, abs=0.001)
    assert physics.female_hole(diameter, pitch) == pytest.approx(hole, abs=0.001)


def test_a_misprint_of_the_coarse_chart_is_not_reproduced() -> None:
    """The same chart prints 15.394 for M18 x 2.5, READ; the profile gives 15.294."""
    assert physics.female_hole(18.0, 2.5) == pytest.approx(15.294, abs=0.001)
    assert physics.female_hole(18.0, 2.5) != pytest.approx(15.394, abs=0.05)


@pytest.mark.parametrize(("diameter", "hole"), [(42.0, 41.188), (48.0, 47.188), (54.0, 53.188)])
def test_holes_of_the_threads_behind_telescopes(diameter: float, hole: float) -> None:
    """COMPUTED by the formula of ISO 68-1/ISO 724 that the rows above bear out; 6H adds up to 0.19 mm (MEMORY)."""
    assert physics.female_hole(diameter, 0.75) == pytest.approx(hole, abs=0.0005)


# --- Coverage, tilt, guiding -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("circle", "width", "height", "x", "y"),
    [(44.0, 36.0, 24.0, 0.0, 0.0), (43.0, 36.0, 24.0, 0.0, 0.0), (30.0, 23.5, 15.7, 0.0, 0.0),
     (20.0, 36.0, 24.0, 0.0, 0.0), (40.0, 5.6, 3.1, 0.0, -17.8), (34.0, 5.6, 3.1, 3.0, -17.8),
     (30.0, 5.6, 3.1, 0.0, 19.0)],
)  # fmt: skip
def test_share_of_a_sensor_in_the_image_circle(circle: float, width: float, height: float, x: float, y: float) -> None:
    """COMPUTED with shapely: the polygon of the sensor cut by a circle of 4096 corners."""
    sensor = box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
    disc = Point(0, 0).buffer(circle / 2, quad_segs=1024)
    inside = sensor.intersection(disc).area / sensor.area
    assert physics.share_in_circle(circle, width, height, x, y) == pytest.approx(inside, abs=2e-6)
    corner = max(Point(0, 0).distance(Point(p)) for p in sensor.exterior.coords)
    assert physics.farthest_corner(width, height, x, y) == pytest.approx(corner, rel=1e-12)
    assert physics.circle_margin(circle, corner) == pytest.approx(circle / 2 - corner)


def test_common_practice_of_full_frame_and_aps_c() -> None:
    """Common practice, no source: full frame wants a circle of 43.3 mm, APS-C one of 28.3 mm."""
    assert 2 * physics.farthest_corner(36.0, 24.0) == pytest.approx(43.3, abs=0.05)
    assert 2 * physics.farthest_corner(23.5, 15.7) == pytest.approx(28.3, abs=0.05)
    assert physics.circle_margin(44.0, physics.farthest_corner(36.0, 24.0)) > 0
    assert physics.circle_margin(28.0, physics.farthest_corner(23.5, 15.7)) < 0


@pytest.mark.parametrize("half_depth", [9.9, 30.1])
def test_tilt_by_turning_the_sensor(half_depth: float) -> None:
    """COMPUTED with numpy: the corners of a sensor turned about its other diagonal reach the depth's two ends."""
    width, height = 36.0, 24.0
    tilt = physics.tilt_allowance(half_depth, physics.farthest_corner(width, height)) * pi / 180 / 60
    diagonal = np.array([width, height, 0.0]) / np.hypot(width, height)
    axis = np.array([-diagonal[1], diagonal[0], 0.0])
    corners = np.array([[s * width / 2, s * height / 2, 0.0] for s in (-1, 1)])
    turned = corners * np.cos(tilt) + np.cross(axis, corners) * np.sin(tilt)  # Rodrigues; the axis is across
    assert np.abs(turned[:, 2]).max() * 1e3 == pytest.approx(half_depth, rel=1e-5)
    across = physics.tilt_rise(tilt * 180 * 60 / pi, float(np.hypot(width, height)))
    assert across == pytest.approx(2 * half_depth, rel=1e-9)


def test_common_practice_of_tilt_in_a_fast_full_frame_rig() -> None:
    """Common practice, no source: at f/4 and full frame some hundredths of a millimetre across already show."""
    half_depth = min(4.0 * 3.76, 2 * 0.55 * 16.0)
    tilt = physics.tilt_allowance(half_depth, 21.63)
    assert 2.0 < tilt < 3.0  # arcmin
    assert 0.02 < physics.tilt_rise(tilt, 54.0) * 1e-3 < 0.06  # mm on an M54 flange


def test_guiding_through_narrow_bands_by_counting_photons() -> None:
    """COMPUTED with numpy: photons of an even spectrum thrown at the filter; two bands of 7 nm pass 4.2 %."""
    bands = [physics.Band(500.7, 7.0, 0.88), physics.Band(656.3, 7.0, 0.9), physics.Band(690.0, 40.0, 0.5)]
    rng = np.random.default_rng(11)
    colours, luck = rng.uniform(400.0, 700.0, 4_000_000), rng.uniform(0.0, 1.0, 4_000_000)
    for some in (bands[:2], bands):
        chance = np.zeros_like(colours)
        for band in some:
            inside = np.abs(colours - band.centre_nm) < band.width_nm / 2
            chance[inside] = np.maximum(chance[inside], band.transmission)
        passed = float((luck < chance).mean())
        assert physics.guide_exposure_factor(some) == pytest.approx(1 / passed, rel=0.01)
    assert 1 / physics.guide_exposure_factor(bands[:2]) == pytest.approx(0.0415, abs=0.0005)


@pytest.mark.parametrize("factor", [1.0, 2.5, 24.1, 100.0])
def test_light_lost_behind_a_filter_in_magnitudes(factor: float) -> None:
    """Magnitudes are -2.5 log10 of a ratio, and 100 times is five of them: COMPUTED with astropy.units."""
    assert physics.magnitudes_lost(factor) == pytest.approx(units.Magnitude(units.Quantity(1 / factor)).value, abs=1e-9)
    assert physics.magnitudes_lost(100.0) == 5.0
