"""What must hold of the projection and of a frame, whatever the numbers."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rigleaf.sky.projection import Frame, point_at, position_angle, project, separation, unproject

ras = st.floats(0, 360, exclude_max=True)
decs = st.floats(-90, 90)
turns = st.floats(-720, 720)


def apart(ra: float, dec: float, other: tuple[object, object]) -> float:
    return float(separation(ra, dec, np.asarray(other[0], float), np.asarray(other[1], float)))


@given(ras, decs, st.floats(0, 360), st.floats(0, 85))
def test_a_point_survives_the_plane_and_back(ra0: float, dec0: float, angle: float, distance: float) -> None:
    ra, dec = point_at(ra0, dec0, angle, distance)
    back = unproject(*project(ra, dec, ra0, dec0), ra0, dec0)
    assert apart(float(ra), float(dec), back) < 1e-9


@given(ras, decs, st.floats(0, 360), st.floats(1e-3, 85))
def test_distance_on_the_plane_is_the_tangent_and_direction_the_position_angle(
    ra0: float, dec0: float, angle: float, distance: float
) -> None:
    xi, eta = project(*point_at(ra0, dec0, angle, distance), ra0, dec0)
    assert math.hypot(xi, eta) == pytest.approx(math.degrees(math.tan(math.radians(distance))), rel=1e-9)
    assert math.remainder(math.degrees(math.atan2(xi, eta)) - angle, 360) == pytest.approx(0, abs=1e-6)


@given(ras, st.floats(-89.9, 89.9), st.floats(0, 360), st.floats(1e-3, 179.9))
def test_going_somewhere_and_looking_back_agree(ra: float, dec: float, angle: float, distance: float) -> None:
    there = point_at(ra, dec, angle, distance)
    assert apart(ra, dec, there) == pytest.approx(distance, abs=1e-9)
    assert math.remainder(float(position_angle(ra, dec, *there)) - angle, 360) == pytest.approx(0, abs=1e-4)


@given(ras, decs, ras, decs)
def test_results_stay_in_their_ranges(ra1: float, dec1: float, ra2: float, dec2: float) -> None:
    assert 0 <= separation(ra1, dec1, ra2, dec2) <= 180
    assert 0 <= position_angle(ra1, dec1, ra2, dec2) < 360
    xi, eta = project(ra2, dec2, ra1, dec1)
    ra, dec = unproject(np.nan_to_num(xi), np.nan_to_num(eta), ra1, dec1)
    assert 0 <= ra < 360
    assert -90 <= dec <= 90


def test_a_tiny_step_west_of_0h_does_not_become_360() -> None:
    assert float(point_at(0.0, 0.0, 270, 1e-15)[0]) == 0.0


@given(ras, decs, st.floats(0, 360), st.floats(90, 180))
def test_what_is_behind_has_no_place_on_the_plane(ra0: float, dec0: float, angle: float, distance: float) -> None:
    xi, eta = project(*point_at(ra0, dec0, angle, distance), ra0, dec0)
    assert np.isnan(xi)
    assert np.isnan(eta)
    assert not Frame(170, 170).contains(xi, eta)


def test_arrays_broadcast() -> None:
    xi, eta = project(np.array([10.0, 11.0, 12.0]), np.array([[0.0], [1.0]]), 11.0, 0.5)
    assert xi.shape == eta.shape == (2, 3)
    assert (np.diff(xi, axis=1) > 0).all()
    assert (np.diff(eta, axis=0) > 0).all()


@given(turns, st.booleans(), st.tuples(*[st.floats(-5, 5)] * 4))
def test_a_place_survives_the_frame_and_back(
    turn: float, mirrored: bool, places: tuple[float, float, float, float]
) -> None:
    frame = Frame(3, 2, turn, xi=places[0], eta=places[1], mirrored=mirrored)
    x, y = frame.to_frame(places[2], places[3])
    assert np.allclose(frame.to_plane(x, y), places[2:], atol=1e-12)


@given(turns, st.booleans(), st.floats(-1.5, 1.5), st.floats(-1, 1))
def test_a_frame_holds_its_inside_and_nothing_else(turn: float, mirrored: bool, x: float, y: float) -> None:
    frame = Frame(3, 2, turn, xi=0.4, eta=-0.2, mirrored=mirrored)
    assert frame.contains(*frame.to_plane(x * 0.999, y * 0.999))
    assert not frame.contains(*frame.to_plane(x, 1.001 + abs(y)))
    assert not frame.contains(*frame.to_plane(1.501 + abs(x), y))


def test_north_up_has_east_on_the_left_and_a_mirror_puts_it_on_the_right() -> None:
    assert Frame(3, 2).to_frame(1, 0)[0] < 0
    assert Frame(3, 2, mirrored=True).to_frame(1, 0)[0] > 0
    assert Frame(3, 2).parity == -Frame(3, 2, mirrored=True).parity == 1


def test_position_angle_is_that_of_the_upper_edge() -> None:
    x, y = Frame(3, 2, position_angle=90).to_frame(1, 0)  # east is up
    assert np.allclose([x, y], [0, 1])
    assert Frame(3, 2, position_angle=90).to_frame(0, 1)[0] > 0  # then north is on the right


@pytest.mark.parametrize(("mirrored", "sense"), [(False, -1), (True, 1)])
def test_corners_go_round_from_top_left(mirrored: bool, sense: int) -> None:
    frame = Frame(3, 2, 20, mirrored=mirrored)
    corners = frame.corners()
    x, y = frame.to_frame(*corners.T)
    assert np.allclose(x, [-1.5, 1.5, 1.5, -1.5])
    assert np.allclose(y, [1.0, 1.0, -1.0, -1.0])
    ahead = np.roll(corners, -1, axis=0)
    area = float(np.sum(corners[:, 0] * ahead[:, 1] - corners[:, 1] * ahead[:, 0])) / 2
    # xi runs to the left on a picture that is not mirrored: clockwise there is anticlockwise in (xi, eta).
    assert area == pytest.approx(-sense * 6)


def test_margin_shrinks_the_frame() -> None:
    frame = Frame(3, 2)
    assert frame.contains(0, 1)
    assert not frame.contains(0, 1, margin=0.01)
    assert frame.contains(0, 1.01, margin=-0.02)


@pytest.mark.parametrize("size", [(0, 1), (1, 0), (-1, 1), (math.nan, 1)])
def test_a_frame_without_size_is_refused(size: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="above 0"):
        Frame(*size)


@given(ras, decs)
def test_a_point_has_no_distance_from_itself(ra: float, dec: float) -> None:
    assume(abs(dec) <= 90)
    assert separation(ra, dec, ra, dec) == pytest.approx(0, abs=1e-12)
