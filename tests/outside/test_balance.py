"""Balance, torque and fit of a mount against worked examples, vector algebra, simulation and published threads."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import optimize

from rigleaf.catalogue.models.connections import read_connection
from rigleaf.chapters.image_train.mating import mates
from rigleaf.chapters.on_the_mount import physics
from rigleaf.chapters.on_the_mount.physics import STANDARD_GRAVITY
from rigleaf.chapters.what_it_weighs.physics import Load, sum_masses
from rigleaf.quantities import to_canonical

Vector = NDArray[np.float64]

# OpenStax, College Physics, worked example of two children on a seesaw (READ): 26.0 kg sit 1.60 m from the pivot,
# 32.0 kg balance them at 1.30 m, and the pivot bears 568 N.
LIGHT_KG, LIGHT_M, HEAVY_KG, HEAVY_M, PIVOT_N = 26.0, 1.60, 32.0, 1.30, 568.0


def test_two_children_on_a_seesaw() -> None:
    """The example's distance, printed to three digits."""
    held = physics.moment(LIGHT_KG, LIGHT_M * 1000)
    assert physics.balancing_distance(held, HEAVY_KG) == pytest.approx(HEAVY_M * 1000, rel=0.005)


def test_force_on_the_pivot_of_a_seesaw() -> None:
    """The same example: what stands on the pivot is the sum of the masses; it reckons with 9.80 m/s2."""
    total = sum_masses([Load(LIGHT_KG), Load(HEAVY_KG)]).total
    assert total * 9.80 == pytest.approx(PIVOT_N, rel=0.002)


def test_torque_of_a_kilogram_on_a_metre() -> None:
    """A kilogram-force metre is 9.80665 N m (MEMORY, 3rd CGPM 1901 and ISO 80000-4, which names the unit)."""
    assert physics.polar_torque(1000.0, 0.0) == pytest.approx(9.80665, rel=1e-12)


def worst_torque(bodies: list[tuple[float, float]], latitude: float) -> float:
    """COMPUTED with numpy: the greatest torque about the polar axis over a day of hour angles, in N m.

    Bodies are (kg, mm along the declination axis). North is x, up is z. Each body is set at its place in space, the
    pull of gravity crossed with its arm, and what lies along the polar axis summed.
    """
    phi = np.radians(latitude)
    pole: Vector = np.array([np.cos(phi), 0.0, np.sin(phi)])
    east: Vector = np.array([0.0, 1.0, 0.0])
    north: Vector = np.cross(pole, east)
    angles = np.linspace(0, 2 * np.pi, 7201)
    axis = np.outer(np.cos(angles), east) + np.outer(np.sin(angles), north)
    about_pole = np.zeros_like(angles)
    for mass, distance in bodies:
        # Every body stands a little up the polar axis too, which must not matter.
        arm = axis * distance * 1e-3 + 0.12 * pole
        pull = np.broadcast_to(np.array([0.0, 0.0, -STANDARD_GRAVITY * mass]), arm.shape)
        about_pole += np.cross(arm, pull) @ pole
    return float(np.max(np.abs(about_pole)))


@pytest.mark.parametrize("latitude", [-33.9, 0.0, 23.4, 50.1, 69.6, 89.0])
def test_torque_about_the_polar_axis_by_cross_products(latitude: float) -> None:
    """COMPUTED with numpy: a load of 6.9 kg that stands 163 mm out."""
    ours = physics.polar_torque(physics.moment(6.9, 163.0), latitude)
    assert ours == pytest.approx(worst_torque([(6.9, 163.0)], latitude), rel=1e-6)


@pytest.mark.parametrize(("weights", "at"), [(3.8, 200.0), (2.3, 302.0), (5.1, 260.0)])
def test_torque_with_weights_on_the_bar_by_cross_products(weights: float, at: float) -> None:
    """COMPUTED with numpy: the same with a bar and weights opposite, lighter and heavier than the load."""
    left = physics.moment(6.9, 163.0) - physics.moment(0.6, 220.0) - physics.moment(weights, at)
    bodies = [(6.9, 163.0), (0.6, -220.0), (weights, -at)]
    assert physics.polar_torque(left, 50.1) == pytest.approx(worst_torque(bodies, 50.1), rel=1e-6)


def test_torque_with_a_bar_as_a_row_of_slices() -> None:
    """COMPUTED with numpy: a bar in two hundred slices pulls as one mass in its middle does."""
    slices = [(0.6 / 200, -(110.0 + 220.0 * (number + 0.5) / 200)) for number in range(200)]
    left = physics.moment(5.0, 160.0) - physics.moment(0.6, 110.0 + 220.0 / 2)
    assert physics.polar_torque(left, 40.0) == pytest.approx(worst_torque([(5.0, 160.0), *slices], 40.0), rel=1e-6)


def test_balance_of_load_bar_and_weights_by_root_finding() -> None:
    """COMPUTED with scipy: where the signed torque of load, bar and weights passes through nothing."""

    def torque(at: float) -> float:
        arms, pulls = np.outer([-163.0, 220.0, at], [1, 0, 0]), np.outer([6.9, 0.6, 3.8], [0, 0, -1])
        return float(np.sum(np.cross(arms, pulls), axis=0)[1])

    root = optimize.brentq(torque, 1.0, 1000.0)
    left = physics.moment(6.9, 163.0) - physics.moment(0.6, 220.0)
    assert physics.balancing_distance(left, 3.8) == pytest.approx(root, rel=1e-9)


def test_uncertainty_of_the_balancing_distance_by_simulation() -> None:
    """COMPUTED with numpy: many measurements of mass and distance; a formula 2 % off is seen."""
    random = np.random.default_rng(20270802)
    loads, reaches = random.normal(6.9, 0.05, 400_000), random.normal(163.0, 3.0, 400_000)
    spread = float(np.std(loads * reaches / 3.8))
    assert physics.balancing_uncertainty(6.9, 0.05, 163.0, 3.0, 3.8) == pytest.approx(spread, rel=0.01)


def test_part_of_a_capacity_used() -> None:
    """International Yard and Pound Agreement of 1959 (MEMORY): 15 kg of a capacity of 50 lb are 66.14 %."""
    capacity = to_canonical(50.0, "lb", "mass")
    assert physics.part_used(15.0, capacity) == pytest.approx(0.6614, abs=5e-5)


# ASME B1.1 / ISO 263 basic major diameters in inches and threads per inch (MEMORY), as ISO 1222 names them for tripods.
SCREWS: dict[str, tuple[float, float]] = {"1/4-20 UNC": (0.2500, 20), "3/8-16 UNC": (0.3750, 16)}
IN_MM: dict[str, tuple[float, float]] = {"1/4-20 UNC": (6.350, 1.270), "3/8-16 UNC": (9.525, 1.5875)}


@pytest.mark.parametrize("name", SCREWS)
def test_photo_screws_have_the_diameters_and_pitches_of_the_standard(name: str) -> None:
    """ISO 1222 and ASME B1.1 (MEMORY): 6.350 mm by 1.270 mm and 9.525 mm by 1.5875 mm."""
    read = read_connection(f"{name} male")
    inches, turns = SCREWS[name]
    assert (read.diameter, read.pitch) == pytest.approx(IN_MM[name], abs=5e-4)
    assert (read.diameter, read.pitch) == pytest.approx((inches * 25.4, 25.4 / turns))


# Whether the screw on the left goes into the base on the right: ISO 1222 knows a small and a large screw, and the bush
# that takes the one into the other (MEMORY). M10 x 1.5 is nearly as wide as the large one, and jams (no source).
PAIRS = [
    ("3/8-16 UNC male", "3/8-16 UNC female", True),
    ("1/4-20 UNC male", "1/4-20 UNC female", True),
    ("1/4-20 UNC male", "3/8-16 UNC female", False),
    ("3/8-16 UNC male", "1/4-20 UNC female", False),
    ("3/8-16 UNC male", "3/8-16 UNC male", False),
    ("3/8-16 UNC male", "M10 x 1.5 female", False),
    ("M10 x 1.5 male", "M10 x 1.5 female", True),
    ("M6 x 1 male", "1/4-20 UNC female", False),
]


@pytest.mark.parametrize(("top", "base", "fits"), PAIRS)
def test_which_tripod_screws_go_into_which_bases(top: str, base: str, fits: bool) -> None:
    """ISO 1222 (MEMORY)."""
    assert mates(read_connection(top), read_connection(base)) is fits
