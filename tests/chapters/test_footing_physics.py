"""Statics and wind as functions: arrays like floats, and what holds for any tripod and load."""

from math import isclose

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.chapters.footing import physics
from tests.chapters.elementwise import Call, between, check, each, public_functions

CALLS: list[Call] = [
    (physics.axis_east, (31.0,)),
    (physics.axis_north, (31.0, 50.0)),
    (physics.axis_up, (31.0, -23.0)),
    (physics.pole_north, (-23.0,)),
    (physics.pole_north, (0.0,)),
    (physics.pole_up, (-23.0,)),
    (physics.foot_share, (40.0, -30.0, 500.0, 120.0)),
    (physics.edge_margin, (40.0, -30.0, 500.0, 120.0)),
    (physics.lean, (150.0, 900.0)),
    (physics.drag_coefficient, (500.0, 100.0)),
    (physics.drag_area, (500.0, 100.0)),
    (physics.air_pressure, (512.0,)),
    (physics.standard_temperature, (512.0,)),
    (physics.air_density, (512.0, -2.0)),
    (physics.dynamic_pressure, (1.2, 8.0)),
    (physics.wind_moment, (0.1, 1.2, 8.0)),
    (physics.holding_moment, (12.0, 200.0)),
    (physics.tipping_speed, (12.0, 200.0, 0.1, 1.2)),
    (physics.tipping_speed, (12.0, -5.0, 0.1, 1.2)),
    (physics.ballast_for_wind, (12.0, 200.0, 500.0, 40.0)),
    (physics.ballast_for_wind, (12.0, 200.0, 500.0, 1.0)),
    (physics.beaufort, (8.0,)),
]

places = between(-400.0, 400.0)
radii = between(200.0, 900.0)
azimuths = between(0.0, 360.0)


@each(CALLS)
def test_functions_are_elementwise(function: object, arguments: tuple[float, ...]) -> None:
    check(function, arguments)  # type: ignore[arg-type]


def test_ballast_for_a_lean_is_elementwise_in_what_stands() -> None:
    check(physics.ballast_for_lean, (12.0, 50.0, 900.0, 500.0, 6.0), 3)


def test_every_function_is_checked() -> None:
    named = {function.__name__ for function, _ in CALLS} | {"ballast_for_lean"}
    assert named == public_functions(physics)


@given(places, places, radii, azimuths)
def test_the_feet_bear_the_whole_weight(east: float, north: float, radius: float, leg: float) -> None:
    shares = [physics.foot_share(east, north, radius, leg + turn) for turn in (0.0, 120.0, 240.0)]
    assert sum(shares) == pytest.approx(1.0)


@given(places, places, radii, azimuths)
def test_east_and_west_mirror_each_other(east: float, north: float, radius: float, leg: float) -> None:
    here = physics.edge_margin(east, north, radius, leg)
    assert physics.edge_margin(-east, north, radius, -leg) == pytest.approx(here, abs=1e-9)


@given(radii, azimuths, between(0.0, 300.0), between(1.0, 100.0))
def test_the_least_margin_falls_as_the_centre_moves_out(radius: float, way: float, out: float, more: float) -> None:
    def least(distance: float) -> float:
        east, north = distance * float(np.sin(np.radians(way))), distance * float(np.cos(np.radians(way)))
        return min(physics.edge_margin(east, north, radius, turn) for turn in (0.0, 120.0, 240.0))

    # Half way between two edges the nearest one comes nearer by half the step.
    assert least(out + more) <= least(out) - 0.499 * more


@given(between(1.0, 40.0), between(-100.0, 300.0), radii, between(0.0, 200.0))
def test_ballast_makes_up_for_exactly_what_lacks(mass: float, margin: float, radius: float, moment: float) -> None:
    kg = physics.ballast_for_wind(mass, margin, radius, moment)
    held = physics.holding_moment(mass, margin) + physics.holding_moment(kg, radius / 2)
    assert held >= moment - 1e-9
    assert kg == 0 or isclose(held, moment, abs_tol=1e-9)


@given(between(1.0, 40.0), between(-100.0, 300.0), between(200.0, 1500.0), radii)
def test_ballast_on_the_ground_brings_the_lean_asked_for(
    mass: float, margin: float, height: float, radius: float
) -> None:
    kg = physics.ballast_for_lean(mass, margin, height, radius, 6.0)
    whole = mass + kg
    assert physics.lean((mass * margin + kg * radius / 2) / whole, mass * height / whole) >= 6.0 - 1e-9


@given(between(1.0, 40.0), between(1.0, 300.0), between(0.01, 0.5), between(0.9, 1.4))
def test_at_the_tipping_speed_wind_and_weight_are_in_balance(
    mass: float, margin: float, drag: float, density: float
) -> None:
    speed = physics.tipping_speed(mass, margin, drag, density)
    assert physics.wind_moment(drag, density, speed) == pytest.approx(physics.holding_moment(mass, margin))


@given(between(20.0, 2000.0), between(20.0, 2000.0))
def test_a_longer_body_of_one_thickness_catches_more_wind(length: float, thickness: float) -> None:
    assert physics.drag_area(length * 1.1, thickness) > physics.drag_area(length, thickness)
    assert physics.drag_coefficient(length, thickness) == pytest.approx(physics.drag_coefficient(thickness, length))


@given(st.sampled_from([0.0, 0.1, 60.0, 200.0]))
def test_the_beaufort_scale_ends_at_twelve(speed: float) -> None:
    assert 0 <= physics.beaufort(speed) <= 12
