"""How a loaded tripod stands and in which wind it tips, against statics and geometry by other means.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from math import cos, pi, radians, sin

import erfa
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation
from shapely.affinity import rotate
from shapely.geometry import Point, Polygon

from rigleaf.chapters.footing import ballast, physics, wind
from rigleaf.chapters.footing.stance import stance
from tests.chapters.small_footing import assembly, standing

Array = NDArray[np.float64]
STANDARD_GRAVITY = 9.80665


def feet(radius: float, leg: float) -> Array:
    """Places of three feet, east and north, shape (3, 2)."""
    azimuths = np.radians(leg + np.array([0.0, 120.0, 240.0]))
    return radius * np.stack([np.sin(azimuths), np.cos(azimuths)], axis=1)


def reactions(places: Array, centre: Array, weight: float, push: Array, height: float) -> Array:
    """Upward reactions of three feet under a weight and a level force at a height: force and two moments in balance."""
    left = np.stack([np.ones(3), places[:, 0], places[:, 1]])
    right = np.array([weight, weight * centre[0] + push[0] * height, weight * centre[1] + push[1] * height])
    found: Array = np.linalg.solve(left, right)
    return found


# --- Statics --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("east", "north", "leg"), [(0, 0, 0), (80, -35, 0), (-120, 60, 17), (10, 240, 95), (300, 0, 45)]
)
def test_feet_by_a_linear_solve(east: float, north: float, leg: float) -> None:
    """COMPUTED with numpy: three equations for three feet, one of forces and two of moments."""
    found = reactions(feet(520.0, leg), np.array([east, north]), 1.0, np.zeros(2), 0.0)
    for azimuth, share in zip((leg, leg + 120, leg + 240), found, strict=True):
        assert physics.foot_share(float(east), float(north), 520.0, float(azimuth)) == pytest.approx(share, abs=1e-12)


@pytest.mark.parametrize(("east", "north", "leg"), [(0, 0, 0), (80, -35, 0), (-120, 60, 17), (10, 140, 95)])
def test_margin_by_the_distance_to_a_polygon(east: float, north: float, leg: float) -> None:
    """COMPUTED with shapely: distance to the outline; 0.3 m from the middle of a tripod of 0.6 m."""
    outline = Polygon(feet(600.0, leg))
    margins = [physics.edge_margin(float(east), float(north), 600.0, float(leg + a)) for a in (0, 120, 240)]
    assert min(margins) == pytest.approx(outline.exterior.distance(Point(east, north)), abs=1e-9)
    if east == north == 0:
        assert min(margins) == pytest.approx(300.0, abs=1e-9)


@pytest.mark.parametrize("counter", [["bar", "weight"], []])
@pytest.mark.parametrize("latitude", ["50 deg", "66 deg", "-23 deg"])
def test_best_leg_by_turning_a_polygon(counter: list[str], latitude: str) -> None:
    """COMPUTED with shapely: the triangle turned degree by degree over the way of the centre of gravity."""
    _, stands = standing(counterweights=counter, place={"latitude": latitude})
    points = [Point(*place) for place in zip(stands.east, stands.north, strict=True)]

    def least(leg: float) -> float:
        outline = rotate(Polygon(feet(500.0, 0.0)), -leg, origin=(0, 0))
        return min(outline.exterior.distance(point) * (1 if outline.contains(point) else -1) for point in points)

    assert stands.least(stands.best_leg) == pytest.approx(max(map(least, range(120))), abs=1.0)
    assert stands.least(stands.best_leg) == pytest.approx(least(stands.best_leg), abs=1e-6)
    assert stands.least(stands.worst_leg) == pytest.approx(min(map(least, range(120))), abs=1.0)


@pytest.mark.parametrize(("margin", "height"), [(150.0, 900.0), (40.0, 1100.0)])
def test_lean_by_tilting_a_body_step_by_step(margin: float, height: float) -> None:
    """COMPUTED with scipy: a point turned about its edge until it stands over it."""

    def inside(deg: float) -> float:
        return float(Rotation.from_euler("y", deg, degrees=True).apply([-margin, 0.0, height])[0])

    assert physics.lean(margin, height) == pytest.approx(brentq(inside, 0.0, 60.0), abs=1e-9)


@pytest.mark.parametrize(
    ("mass", "margin", "height", "radius", "deg"), [(20.0, 60.0, 1100.0, 500.0, 6.0), (9.0, 110.0, 950.0, 430.0, 10.0)]
)
def test_ballast_for_a_lean_by_tilting_both_masses_about_the_edge(
    mass: float, margin: float, height: float, radius: float, deg: float
) -> None:
    """COMPUTED with scipy: the body and what hangs at the ground in the middle, turned about the edge they stand on."""
    turn = Rotation.from_euler("y", deg, degrees=True)
    body, hung = turn.apply([[-margin, 0.0, height], [-radius / 2, 0.0, 0.0]])[:, 0]
    needed = brentq(lambda ballast_kg: mass * body + ballast_kg * hung, 0.0, 1000.0)
    assert physics.ballast_for_lean(mass, margin, height, radius, deg) == pytest.approx(needed, rel=1e-9)


def test_tipping_force_by_the_first_foot_to_lift() -> None:
    """COMPUTED with numpy over all directions: 20 kg, feet at 0.6 m, pushed at 1.3 m: 45.26 N, and 37.72 N with the
    centre 0.05 m towards the worst edge.
    """  # fmt: skip
    for offset, force in ((0.0, 45.261462), (0.05, 37.717885)):
        lifting = []
        for way in np.radians(np.arange(0.0, 360.0, 1.0)):
            push = np.array([sin(way), cos(way)])

            def lowest(newton: float, push: Array = push, offset: float = offset) -> float:
                centre = np.array([0.0, -offset])
                weight = 20 * STANDARD_GRAVITY
                return float(reactions(feet(0.6, 0.0), centre, weight, newton * push, 1.3).min())

            lifting.append(brentq(lowest, 0.0, 1000.0))
        assert min(lifting) == pytest.approx(force, abs=1e-4)
        margin = physics.edge_margin(0.0, -offset * 1000, 600.0, 0.0)
        assert physics.holding_moment(20.0, margin) / 1.3 == pytest.approx(force, abs=1e-4)


def test_a_third_over_each_foot_is_as_good_as_all_in_the_middle() -> None:
    """COMPUTED with numpy: reactions of the feet with 9 kg in the middle, and with 3 kg on each foot."""
    places, centre = feet(500.0, 20.0), np.array([70.0, -40.0])
    bare = reactions(places, centre, 12.0, np.zeros(2), 0.0)
    middle = reactions(places, centre * 12 / 21, 21.0, np.zeros(2), 0.0)
    assert middle == pytest.approx(bare + 3.0, abs=1e-9)


# --- Where the load goes --------------------------------------------------------------------------------------


@pytest.mark.parametrize("latitude", [50.121, -23.42, 66.31, 0.5])
@pytest.mark.parametrize("turn", [-90.0, -31.0, 0.0, 12.5, 90.0])
def test_direction_of_the_load_by_erfa(latitude: float, turn: float) -> None:
    """COMPUTED with ERFA (hd2ae): azimuth and altitude of hour angle and declination 0."""
    azimuth, altitude = erfa.hd2ae(radians(turn), 0.0, radians(latitude))
    assert physics.axis_east(turn) == pytest.approx(cos(altitude) * sin(azimuth), abs=1e-12)
    assert physics.axis_north(turn, latitude) == pytest.approx(cos(altitude) * cos(azimuth), abs=1e-12)
    assert physics.axis_up(turn, latitude) == pytest.approx(sin(altitude), abs=1e-12)


@pytest.mark.parametrize("latitude", [50.121, -23.42, 66.31])
def test_direction_of_the_visible_pole_by_erfa(latitude: float) -> None:
    """COMPUTED with ERFA (hd2ae): azimuth and altitude of declination 90 deg, or -90 deg in the south."""
    azimuth, altitude = erfa.hd2ae(0.3, np.copysign(pi / 2, latitude), radians(latitude))
    assert physics.pole_north(latitude) == pytest.approx(cos(altitude) * cos(azimuth), abs=1e-12)
    assert physics.pole_up(latitude) == pytest.approx(sin(altitude), abs=1e-12)
    assert physics.pole_up(latitude) > 0


@pytest.mark.parametrize("latitude", [50.0, -23.4])
@pytest.mark.parametrize("loaded", [True, False])
def test_the_night_by_turning_a_model_in_space(latitude: float, loaded: bool) -> None:
    """COMPUTED with scipy: point masses of the small rig, turned about the polar axis by rotation vectors.

    Load 5.5 kg at 200 mm; bar 0.6 kg at 225 mm; 4 kg balance at (5.5 x 200 - 0.6 x 225) / 4 = 241.25 mm. The head of
    5 kg is half way along 120 mm of polar axis from the hinge at 100 mm, on legs of 3 kg and 900 mm.
    """
    load, stands = standing(place={"latitude": f"{latitude} deg"})
    if not loaded:
        bare = stance(load, stands.tripod, loaded=False)
        assert bare is not None
        stands = bare
    visible = np.copysign(1.0, latitude)
    pole = np.array([0.0, visible * cos(radians(latitude)), abs(sin(radians(latitude)))])
    hinge = np.array([0.0, 0.0, 1000.0])
    up = np.array([0.0, -sin(radians(latitude)), cos(radians(latitude))])  # towards the meridian, on the equator
    for place, turn in enumerate(np.linspace(-90.0, 90.0, 37)):
        # The sky turns from east over the meridian to west: about the northern pole clockwise as seen from above.
        around = Rotation.from_rotvec(-radians(turn) * pole * visible)
        out = around.apply(up)
        masses = [
            (5.5 if loaded else 0.0, hinge + 120 * pole + 200 * out), (0.6, hinge + 120 * pole - 225 * out),
            (4.0, hinge + 120 * pole - 241.25 * out), (5.0, hinge + 60 * pole), (3.0, np.array([0.0, 0.0, 450.0])),
        ]  # fmt: skip
        total = sum(mass for mass, _ in masses)
        centre = sum(mass * where for mass, where in masses) / total
        assert stands.mass == pytest.approx(total)
        assert (stands.east[place], stands.north[place], stands.up[place]) == pytest.approx(tuple(centre), abs=1e-9)


# --- Wind -----------------------------------------------------------------------------------------------------

# Aeronautical Engineer Data Book, fig. 5.13(b), p. 95, READ: cylinder across the flow.
HANDBOOK = {1.0: 0.63, 2.0: 0.68, 5.0: 0.74, 10.0: 0.82, 40.0: 0.98, 1e9: 1.20}


@pytest.mark.parametrize("ratio", HANDBOOK)
def test_drag_coefficients_of_the_handbook(ratio: float) -> None:
    """The table above, READ, whichever side is the longer."""
    assert physics.drag_coefficient(ratio * 50, 50.0) == pytest.approx(HANDBOOK[ratio], rel=1e-6)
    assert physics.drag_coefficient(50.0, ratio * 50) == pytest.approx(HANDBOOK[ratio], rel=1e-6)
    assert physics.drag_area(ratio * 50, 50.0) == pytest.approx(HANDBOOK[ratio] * ratio * 0.05 * 0.05, rel=1e-6)


@pytest.mark.parametrize(
    ("mass", "coefficient", "area", "speed", "rounding"),
    [(75, 0.7, 0.18, 98, 0.5), (85, 1.0, 0.70, 44, 0.5), (80, 0.7, 0.14, 115, 0.5)],
)
def test_terminal_speeds_of_falling_people(
    mass: float, coefficient: float, area: float, speed: float, rounding: float
) -> None:
    """OpenStax, College Physics, "Drag Forces", READ, with 1.21 kg/m3 and 9.8 m/s2: drag is the weight then."""
    forces = [physics.dynamic_pressure(1.21, speed + off) * coefficient * area for off in (-rounding, rounding)]
    assert forces[0] <= mass * 9.8 <= forces[1]


@pytest.mark.parametrize(
    ("elevation", "density"), [(0.0, 1.2250), (1000.0, 1.1116), (2000.0, 1.0065), (3000.0, 0.9091)]
)
def test_density_of_the_standard_atmosphere(elevation: float, density: float) -> None:
    """ISO 2533 as two libraries of the standard atmosphere give it, COMPUTED; geopotential heights."""
    found = physics.air_density(elevation, physics.standard_temperature(elevation))
    assert found == pytest.approx(density, abs=6e-5)


def test_pressure_by_weighing_the_air_above() -> None:
    """COMPUTED with scipy: the equation of the column of air, integrated up to 1720 m."""

    def thinner(height: float, pressure: Array) -> Array:
        return -pressure * STANDARD_GRAVITY / (287.05287 * (288.15 - 0.0065 * height))

    column = solve_ivp(thinner, (0.0, 1720.0), [101_325.0], rtol=1e-10)
    assert physics.air_pressure(1720.0) == pytest.approx(float(column.y[0, -1]), rel=1e-5)


def test_density_of_cold_air() -> None:
    """Density of dry air at 0 degC and 101,325 Pa, 1.293 kg/m3 in handbooks, MEMORY."""
    assert physics.air_density(0.0, 0.0) == pytest.approx(1.293, abs=1.5e-3)


@pytest.mark.parametrize(
    ("force", "limit"),
    [(2, 3.3), (3, 5.4), (4, 7.9), (5, 10.7), (6, 13.8), (7, 17.1), (8, 20.7), (9, 24.4), (10, 28.4), (11, 32.6)],
)
def test_limits_of_the_beaufort_scale(force: int, limit: float) -> None:
    """The Beaufort wind scale's table of upper limits in m/s, READ; printed to a tenth."""
    assert physics.beaufort(limit - 0.1) == force
    assert physics.beaufort(limit + 0.15) == force + 1


def lowest_reaction(speed: float, place: int, kg: float = 0.0, times: float = 1.0, gust: float = 1.0) -> float:
    """Lowest reaction in N of any foot of the small rig, over winds from everywhere, with ballast in the middle."""
    _, stands = standing(counterweights=[])
    # Tube 500 x 100 mm, camera 100 x 80 mm, head 250 x 200 mm, three legs of hypot(900, 500) x 30 mm, by hand.
    tube, camera, head = 0.74 * 0.050, 0.65 * 0.008, 0.65 * 0.050
    length = np.hypot(0.9, 0.5)
    legs = 3 * (0.82 + (0.1 - 0.03 / length) / 0.075 * 0.16) * length * 0.03
    height = (0.9 + 0.1 + 0.06 * sin(radians(50))) * head + legs * 0.45
    moment = 1.21 * (speed * gust) ** 2 / 2 * ((tube + camera) * stands.load_up[place] / 1000 + height) * times
    mass = stands.mass + kg
    centre = np.array([stands.east[place], stands.north[place]]) / 1000 * stands.mass / mass
    ways = np.radians(np.arange(0.0, 360.0, 1.0))
    return min(
        float(reactions(feet(0.5, stands.best_leg), centre, mass * STANDARD_GRAVITY,
                        moment * np.array([sin(way), cos(way)]), 1.0).min()) for way in ways
    )  # fmt: skip


def test_tipping_wind_by_raising_it_until_a_foot_lifts() -> None:
    """COMPUTED with numpy and scipy: foot reactions under winds from 360 sides, the sizes multiplied out by hand."""
    rig = assembly(counterweights=[])
    load, stands = standing(counterweights=[])
    sails, gaps = wind.sail(rig, load.mount)
    assert gaps == ()
    assert sails is not None
    moments = wind.drag_moment(stands, sails, wind.leg_width(rig, stands.tripod))
    found = wind.tipping(stands, stands.best_leg, moments, 1.21).min(axis=0)
    for place in (0, 9, 18, 36):
        tipped = brentq(lambda speed, place=place: lowest_reaction(speed, place), 0.1, 60.0, xtol=1e-6)
        assert float(found[place]) == pytest.approx(tipped, rel=1e-4)


def test_ballast_by_the_first_foot_to_lift() -> None:
    """COMPUTED with numpy: with it no foot lifts under 1.5 times a gust; with less than the root, one does."""
    rig = assembly(counterweights=[])
    load, stands = standing(counterweights=[])
    sails, _ = wind.sail(rig, load.mount)
    assert sails is not None
    moments = wind.drag_moment(stands, sails, 30.0)
    blowing = wind.Wind(steady=12.0, gust=18.0, factor=1.5, density=1.21, whose="", air="")
    kg = ballast.needed(stands, stands.best_leg, blowing, moments, 1.5)
    assert kg > 3
    assert min(lowest_reaction(12.0, place, kg, 1.5, 1.5) for place in range(0, 37, 6)) >= -1e-6
    pushed = 1.5 * physics.wind_moment(moments, 1.21, 18.0)
    exact = physics.ballast_for_wind(0 * pushed + stands.mass, stands.at(stands.best_leg), stands.radius, pushed).max(0)
    for place in (0, 18):
        lifted = brentq(lambda mass, place=place: lowest_reaction(12.0, place, mass, 1.5, 1.5), 0.0, 60.0, xtol=1e-6)
        assert float(exact[place]) == pytest.approx(lifted, rel=1e-4)
    assert kg - 0.5 < float(exact.max()) <= kg
