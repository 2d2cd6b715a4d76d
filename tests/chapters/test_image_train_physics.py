"""Invariants of the physics of an image train: glass, threads, coverage, cones and holes."""

from collections.abc import Callable
from math import hypot, inf
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.chapters.image_train import light_physics, physics
from rigleaf.chapters.image_train.light_physics import Beam, Hole
from rigleaf.chapters.image_train.physics import THREADS, Band, Thread
from tests.chapters.elementwise import Call, between, check, each, public_functions

ratios = between(1.4, 20.0)
distances = between(0.0, 200.0)
places = between(-30.0, 30.0)
diameters = between(1.0, 120.0)
pupils = st.one_of(between(210.0, 5000.0), between(-5000.0, -210.0), st.just(inf))
obstructions = st.one_of(st.just(0.0), between(0.05, 0.6))
holes = st.builds(Hole, distances, diameters)
beams = st.builds(Beam, ratios, pupils, obstructions)


# --- One kind in, the same kind out ------------------------------------------------------------------------

CALLS: list[Call] = [
    (physics.glass_shift, (2.0, 1.52)),
    (physics.glass_shift_marginal, (2.0, 1.52, 4.0)),
    (physics.reducer_factor_at, (0.8, 55.0, 58.0)),
    (physics.thread_pitch_diameter, (48.0, 0.75)),
    (physics.female_hole, (48.0, 0.75)),
    (physics.male_root, (48.0, 0.75)),
    (physics.male_bore, (48.0, 0.75, 1.0)),
    (physics.magnitudes_lost, (24.0,)),
    (physics.farthest_corner, (23.5, 15.7)),
    (physics.farthest_corner, (5.6, 3.1, 0.0, -17.8)),
    (physics.circle_margin, (44.0, 21.6)),
    (physics.share_in_circle, (40.0, 36.0, 24.0)),
    (physics.share_in_circle, (34.0, 5.6, 3.1, 2.0, -17.8)),
    (physics.tilt_allowance, (18.0, 21.6)),
    (physics.tilt_rise, (2.8, 54.0)),
    (light_physics.cone_radius, (55.0, 5.0)),
    (light_physics.cone_centre, (21.6, 55.0, 500.0)),
    (light_physics.clear_diameter, (55.0, 5.0, 21.6, 500.0)),
    (light_physics.clear_diameter, (55.0, 5.0, 21.6)),
    (light_physics.exit_pupil_distance, (480.0, 0.8, 80.0)),
    (light_physics.overlap_fraction, (4.0, 5.0, 6.0)),
    (light_physics.overlap_fraction, (0.0, 0.0, 6.0)),
    (light_physics.overlap_fraction, (1.0, 5.0, 3.0)),
    (light_physics.illumination, (18.0, 40.0, 39.0, 5.0, 480.0)),
    (light_physics.stops_lost, (0.3,)),
    (light_physics.stops_lost, (0.0,)),
]


@each(CALLS)
def test_floats_give_plain_floats_and_arrays_the_same_elementwise(
    function: Callable[..., Any], arguments: tuple[float, ...]
) -> None:
    check(function, arguments)


def test_every_function_is_in_that_list() -> None:
    public = public_functions(physics, light_physics)
    # These take lists of things rather than numbers.
    others = {"stack_uncertainty", "smallest_thread", "guide_exposure_factor", "light_through", "culprit"}
    assert public - others == {function.__name__ for function, _ in CALLS}


def test_heights_along_a_diagonal_at_once() -> None:
    heights = np.linspace(0.0, 25.0, 6)
    light = light_physics.illumination(heights, 40.0, 39.0, 4.8)
    assert [light_physics.illumination(float(h), 40.0, 39.0, 4.8) for h in heights] == pytest.approx(light.tolist())


# --- Lengths -----------------------------------------------------------------------------------------------


@given(between(0.1, 10.0), between(1.01, 2.0), ratios)
def test_the_edge_of_the_aperture_is_shifted_more_than_the_middle(thickness: float, index: float, ratio: float) -> None:
    middle = physics.glass_shift(thickness, index)
    assert 0 < middle < physics.glass_shift_marginal(thickness, index, ratio) < thickness
    assert physics.glass_shift_marginal(thickness, index, 1e4) == pytest.approx(middle, rel=1e-6)


@given(st.lists(between(0.0, 1.0), max_size=6), between(0.0, 1.0))
def test_one_more_piece_never_makes_a_stack_more_certain(tolerances: list[float], more: float) -> None:
    known = physics.stack_uncertainty(tolerances)
    assert known <= physics.stack_uncertainty([*tolerances, more]) <= known + more + 1e-12


@given(between(0.4, 3.0), between(20.0, 150.0))
def test_a_reducer_at_its_own_distance_has_its_own_factor(factor: float, nominal: float) -> None:
    assert physics.reducer_factor_at(factor, nominal, nominal) == pytest.approx(factor)
    farther = physics.reducer_factor_at(factor, nominal, nominal + 5.0)
    assert (farther - factor) * (factor - 1) >= 0  # reduces more, or extends more


# --- Threads -----------------------------------------------------------------------------------------------


@given(between(10.0, 100.0), between(0.25, 1.5), between(0.0, 3.0))
def test_diameters_of_a_thread_keep_their_order(diameter: float, pitch: float, wall: float) -> None:
    root, hole = physics.male_root(diameter, pitch), physics.female_hole(diameter, pitch)
    assert root < hole < physics.thread_pitch_diameter(diameter, pitch) < diameter
    assert physics.male_bore(diameter, pitch, wall) == pytest.approx(root - 2 * wall)


@given(between(1.0, 90.0), st.one_of(st.none(), between(0.0, 2.0)))
def test_smallest_thread_clears_and_the_next_smaller_does_not(clear: float, wall: float | None) -> None:
    def hole(thread: Thread) -> float:
        if wall is None:
            return physics.female_hole(thread.diameter, thread.pitch)
        return physics.male_bore(thread.diameter, thread.pitch, wall)

    found = physics.smallest_thread(clear, wall_mm=wall)
    narrower = [thread for thread in THREADS if found is None or thread.diameter < found.diameter]
    assert found is None or hole(found) >= clear
    assert all(hole(thread) < clear for thread in narrower)


def test_threads_are_named_as_the_trade_does() -> None:
    assert [thread.name for thread in THREADS[:6]] == [
        "M28.5 x 0.6", "M42 x 0.75", "M48 x 0.75", "M54 x 0.75", "M56 x 0.75", "M63 x 1",
    ]  # fmt: skip
    assert physics.smallest_thread(40.0, threads=[Thread(50.0, 1.0), Thread(45.0, 1.0)]) == Thread(45.0, 1.0)
    assert physics.smallest_thread(100.0) is None


# --- Coverage, tilt, guiding -------------------------------------------------------------------------------


@given(diameters, between(1.0, 40.0), between(1.0, 40.0), places, places)
def test_a_sensor_is_wholly_in_the_circle_when_its_farthest_corner_is(
    circle: float, width: float, height: float, x: float, y: float
) -> None:
    share = physics.share_in_circle(circle, width, height, x, y)
    margin = physics.circle_margin(circle, physics.farthest_corner(width, height, x, y))
    assert 0 <= share <= 1
    if margin >= 0:
        assert share == pytest.approx(1.0)
    elif margin < -0.1:
        assert share < 1
    assert share <= physics.share_in_circle(circle + 1.0, width, height, x, y) + 1e-9
    mirrored = physics.share_in_circle(circle, width, height, -x, y)
    assert mirrored == pytest.approx(share, abs=1e-9)


@given(between(1.0, 200.0), between(1.0, 40.0))
def test_tilt_and_rise_are_each_other_turned_round(half_depth: float, reach: float) -> None:
    tilt = physics.tilt_allowance(half_depth, reach)
    assert physics.tilt_rise(tilt, reach) == pytest.approx(half_depth)
    assert physics.tilt_allowance(half_depth, reach * 1.5) < tilt


bands = st.builds(Band, between(350.0, 900.0), between(1.0, 400.0), between(0.01, 1.0))


@given(st.lists(bands, max_size=4), bands)
def test_a_filter_never_shortens_the_exposure_of_the_guide_sensor(some: list[Band], more: Band) -> None:
    factor = physics.guide_exposure_factor(some)
    assert factor >= 1 - 1e-12
    assert physics.guide_exposure_factor([*some, more]) <= factor * (1 + 1e-12)


def test_filters_at_the_ends() -> None:
    assert physics.guide_exposure_factor([]) == inf
    assert physics.guide_exposure_factor([Band(850.0, 100.0, 0.9)]) == inf
    assert physics.guide_exposure_factor([Band(550.0, 1000.0, 1.0)]) == pytest.approx(1.0)
    assert physics.guide_exposure_factor([Band(700.0, 60.0, 1.0)]) == pytest.approx(10.0)  # half of it counts


# --- Cones and holes ---------------------------------------------------------------------------------------


@given(distances, ratios, places, pupils)
def test_the_clear_diameter_just_holds_the_cone(distance: float, ratio: float, height: float, pupil: float) -> None:
    need = light_physics.clear_diameter(distance, ratio, height, pupil)
    centre = light_physics.cone_centre(height, distance, pupil)
    assert need == pytest.approx(2 * (abs(centre) + light_physics.cone_radius(distance, ratio)))
    assert light_physics.illumination(height, distance, need * (1 + 1e-9) + 1e-9, ratio, pupil) == 1.0
    if pupil > 0:
        assert need <= light_physics.clear_diameter(distance, ratio, height) + 1e-9


@given(between(100.0, 2000.0))
def test_without_a_corrector_the_pupil_is_at_the_objective(focal_length: float) -> None:
    assert light_physics.exit_pupil_distance(focal_length) == pytest.approx(focal_length)
    assert light_physics.exit_pupil_distance(focal_length, 1.0, 55.0) == pytest.approx(focal_length)


def test_a_reducer_that_makes_the_light_telecentric() -> None:
    # Its focal length, 60 / (1 - 0.75) = 240 mm, is just its distance from the objective, 320 - 60 / 0.75.
    assert abs(light_physics.exit_pupil_distance(320.0, 0.75, 60.0)) == inf


@given(between(0.0, 60.0), between(0.0, 40.0), between(0.0, 60.0), between(0.0, 5.0))
def test_light_falls_with_the_offset_and_grows_with_the_hole(
    offset: float, cone: float, hole: float, more: float
) -> None:
    light = light_physics.overlap_fraction(offset, cone, hole)
    assert 0 <= light <= 1
    assert light_physics.overlap_fraction(offset + more, cone, hole) <= light + 1e-9
    assert light_physics.overlap_fraction(offset, cone, hole + more) >= light - 1e-9
    if hole >= offset + cone:
        assert light == 1
    if offset >= hole + cone and offset > hole:
        assert light == 0


def test_circles_in_special_places() -> None:
    overlap = light_physics.overlap_fraction
    assert overlap(0.0, 5.0, 5.0) == 1.0
    assert overlap(10.0, 5.0, 5.0) == 0.0
    assert overlap(1.0, 5.0, 3.0) == pytest.approx(9 / 25)
    assert overlap(1.0, 5.0, 0.0) == 0.0
    assert (overlap(4.9, 0.0, 5.0), overlap(5.0, 0.0, 5.0), overlap(5.1, 0.0, 5.0)) == (1.0, 1.0, 0.0)


@given(places, places, st.lists(holes, max_size=5), holes, beams)
def test_each_hole_takes_light_and_none_gives_any(x: float, y: float, some: list[Hole], more: Hole, beam: Beam) -> None:
    light = light_physics.light_through(x, y, some, beam)
    assert 0 <= light <= 1
    less = light_physics.light_through(x, y, [*some, more], beam)
    assert less <= light + 1e-9
    assert less <= light_physics.light_through(x, y, [more], beam) + 1e-9
    assert light_physics.light_through(x, y, [*some, more, more], beam) == pytest.approx(less, abs=1e-9)
    assert light_physics.light_through(x, y, [more, *reversed(some)], beam) == pytest.approx(less, abs=1e-9)
    assert light_physics.light_through(-x, y, [*some, more], beam) == pytest.approx(less, abs=1e-9)


@given(places, places, st.lists(distances, min_size=1, max_size=5), beams)
def test_holes_that_are_wide_enough_leave_all_light(x: float, y: float, planes: list[float], beam: Beam) -> None:
    wide = [
        Hole(d, light_physics.clear_diameter(d, beam.focal_ratio, hypot(x, y), beam.pupil) * (1 + 1e-9) + 1e-9)
        for d in planes
    ]
    assert light_physics.light_through(x, y, wide, beam) == pytest.approx(1.0, abs=1e-9)
    assert light_physics.culprit(x, y, wide, beam) is None


@given(places, places, holes, ratios, pupils)
def test_one_hole_alone_is_the_overlap(x: float, y: float, hole: Hole, ratio: float, pupil: float) -> None:
    alone = light_physics.light_through(x, y, [hole], Beam(ratio, pupil))
    formula = light_physics.illumination(hypot(x, y), hole.distance, hole.diameter, ratio, pupil)
    assert alone == pytest.approx(formula, abs=1e-6)


def test_the_culprit_is_the_hole_that_costs_most() -> None:
    beam = Beam(5.0)
    train = [Hole(60.0, 60.0), Hole(40.0, 39.0), Hole(20.0, 40.0)]
    assert light_physics.culprit(18.0, 0.0, train, beam) == 1
    assert light_physics.culprit(0.0, 0.0, train, beam) is None
    twins = [Hole(60.0, 60.0), Hole(40.0, 39.0), Hole(40.0, 39.0)]
    assert light_physics.culprit(18.0, 0.0, twins, beam) == 1  # neither helps alone; the first of equals
