"""Depth of focus and its drift with temperature against published figures and traced rays.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from math import hypot, pi, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray

from rigleaf.chapters.scale_and_field import focus_physics
from rigleaf.chapters.scale_and_field.focus_physics import EXPANSION

Array = NDArray[np.float64]


# --- Depth of focus ----------------------------------------------------------------------------------------


def exact_waves(defocus_um: float, ratio: float, wavelength_um: float, *, aplanatic: bool) -> float:
    """Return the path difference between edge and axis of the pupil, in waves, from exact lengths.

    The rays leave a flat principal plane or, by the sine condition (aplanatic), a sphere about the focus.
    """
    focal_length = 1e6  # um
    height = focal_length / (2 * ratio)
    depth = sqrt(focal_length**2 - height**2) if aplanatic else focal_length
    longer = hypot(height, depth + defocus_um) - hypot(height, depth)
    return (defocus_um - longer) / wavelength_um


def test_quarter_wave_at_f8() -> None:
    """Telescope optics reference site, "Defocus", eq. 23: "Wd = [(1/Rd)-(1/R)]D2/8", READ.

    A quarter wave of 550 nm at f/8 is +-70.4 um; COMPUTED from exact path lengths that is 0.2493 wave.
    """
    assert focus_physics.depth_quarter_wave(8.0, 550.0) == pytest.approx(70.4, abs=1e-9)
    assert exact_waves(70.4, 8.0, 0.55, aplanatic=False) == pytest.approx(0.2493, abs=1e-4)
    assert focus_physics.defocus_waves(70.4, 8.0, 550.0) == pytest.approx(0.25, abs=1e-12)


@pytest.mark.parametrize("ratio", [2.0, 2.8, 4.0, 8.0])
def test_paraxial_defocus_lies_between_two_exact_pictures(ratio: float) -> None:
    """COMPUTED from exact path lengths at the edge of the pupil.

    At f/2 and 4.4 um they give 0.2389 wave behind a flat principal plane, 0.2540 under the sine condition.
    """
    defocus = 2 * 0.55 * ratio**2
    flat = exact_waves(defocus, ratio, 0.55, aplanatic=False)
    sine = exact_waves(defocus, ratio, 0.55, aplanatic=True)
    if ratio == 2.0:
        assert (flat, sine) == pytest.approx((0.2389, 0.2540), abs=5e-4)
    waves = focus_physics.defocus_waves(defocus, ratio, 550.0)
    assert flat < waves < sine
    assert waves == pytest.approx(flat, rel=0.05)


@pytest.mark.parametrize(("waves", "strehl"), [(0.25, 0.810569), (0.1, None), (0.5, None)])
def test_strehl_of_defocus(waves: float, strehl: float | None) -> None:
    """COMPUTED with numpy: the pupil summed with its phase; 0.810569 at a quarter wave."""
    area = (np.arange(20_000) + 0.5) / 20_000  # rings of equal area: the phase of defocus is linear in it
    peak = float(np.abs(np.exp(2j * pi * waves * area).mean()) ** 2)
    assert focus_physics.defocus_strehl(waves) == pytest.approx(peak, rel=1e-6)
    if strehl is not None:
        assert peak == pytest.approx(strehl, abs=1e-5)


def test_whole_depth_is_the_numerical_aperture_form() -> None:
    """Microscopy's lambda/NA^2 with NA = 1/(2N), MEMORY: 140.8 um in all at f/8, twice our half.

    A forum answer's 2 lambda n/NA^2 = 281.6 um must NOT be reproduced.
    """
    whole = 2 * focus_physics.depth_quarter_wave(8.0, 550.0)
    assert whole == pytest.approx(0.550 / (1 / 16) ** 2, rel=1e-12)
    assert whole == pytest.approx(140.8, abs=1e-9)
    assert whole != pytest.approx(281.6, rel=0.3)


@pytest.mark.parametrize("ratio", [2.8, 5.0, 9.0])
def test_geometric_depth_by_tracing_the_marginal_rays(ratio: float) -> None:
    """COMPUTED with numpy: where the edge rays of a pupil, aimed at the focus, cross a plane beside it."""
    pupil = np.array([-0.5, 0.5]) * 400.0 / ratio  # mm; 400 mm before the focus
    defocus_mm = focus_physics.depth_geometric(ratio, 3.76) * 1e-3
    crossings = pupil - pupil / 400.0 * (400.0 + defocus_mm)
    assert float(np.ptp(crossings)) * 1e3 == pytest.approx(3.76, rel=1e-9)


@pytest.mark.parametrize(("ratio", "half_depth"), [(2.0, 4.4), (3.0, 9.9), (3.6, 13.536), (8.0, 30.08)])
def test_the_narrower_depth_binds(ratio: float, half_depth: float) -> None:
    """Arithmetic from the two sourced tolerances: for 3.76 um and 550 nm they meet at f/3.418 (no source)."""
    assert focus_physics.depth_of_focus(ratio, 3.76, 550.0) == pytest.approx(half_depth, rel=1e-9)
    meeting = 3.76 / (2 * 0.55)
    assert focus_physics.depth_quarter_wave(meeting, 550.0) == pytest.approx(
        focus_physics.depth_geometric(meeting, 3.76)
    )


def test_steps_in_the_depth_by_counting_positions() -> None:
    """COMPUTED by counting the positions of a motor within +-28 um of focus, over many starting points."""
    step, half_depth = 3.7, 28.0
    starts = np.linspace(0.0, step, 1000, endpoint=False)
    positions = starts[:, np.newaxis] + step * np.arange(-30, 30)
    mean_count = float((np.abs(positions) <= half_depth).sum(axis=1).mean())
    assert focus_physics.steps_in_depth(half_depth, step) == pytest.approx(mean_count, rel=1e-3)


def lens(focal_length: float) -> Array:
    return np.array([[1.0, 0.0], [-1.0 / focal_length, 1.0]])


def gap(length: float) -> Array:
    return np.array([[1.0, length], [0.0, 1.0]])


@pytest.mark.parametrize("corrector", [250.0, -150.0])
def test_travel_with_a_corrector_on_the_drawtube(corrector: float) -> None:
    """COMPUTED with numpy ray-transfer matrices: corrector and sensor move 10 um behind a 600 mm lens."""

    def image_behind_corrector(separation: float) -> tuple[float, float]:
        height, slope = lens(corrector) @ gap(separation) @ lens(600.0) @ np.array([1.0, 0.0])
        return float(-height / slope), float(-1 / slope / 600.0)

    before, factor = image_behind_corrector(530.0)
    after, _ = image_behind_corrector(530.0 + 0.010)
    defocus_um = (before - after) * 1e3  # the sensor stays where it is, seen from the corrector
    assert focus_physics.defocus_at_sensor(10.0, factor) == pytest.approx(defocus_um, rel=1e-3)


# --- Temperature -------------------------------------------------------------------------------------------

# "Fundamentals of Materials Science and Engineering", 3rd ed. (2007), Table B.6, READ; in 1e-6 per degC.
BOOK_TABLE = {
    "aluminium": {"6061": 23.6, "2024": 22.9, "7075": 23.4},
    "carbon fibre": {"high modulus, along": -0.5, "standard, along": -0.6},
    "steel": {"stainless 304": 17.2},
    "invar": {"Invar": 1.6, "Super Invar": 0.72},
}
TYPICAL = {"aluminium": 23.6, "carbon fibre": -0.5, "invar": 1.6}


@pytest.mark.parametrize("material", sorted(BOOK_TABLE))
def test_expansion_coefficients_are_those_of_the_handbook(material: str) -> None:
    """The table above, READ. Each value lies in our range, and a typical value is one of the table's."""
    known = EXPANSION[material]
    assert all(known.low <= value <= known.high for value in BOOK_TABLE[material].values())
    if material in TYPICAL:
        assert known.typical == TYPICAL[material]


def test_expansion_of_a_college_textbook_is_inside_our_range() -> None:
    """OpenStax, College Physics, "Thermal Expansion", READ: aluminium 25, Invar 0.9, steel 12.

    They lie 6 % and 44 % off the handbook's aluminium and Invar, which is why a range is kept.
    """
    assert EXPANSION["aluminium"].high == 25.0
    assert EXPANSION["invar"].low < 0.9 < EXPANSION["invar"].high
    assert EXPANSION["steel"].typical == 12.0


def test_length_of_a_steel_bridge() -> None:
    """OpenStax, College Physics, "Thermal Expansion", READ: 1275 m of steel grow 0.84 m in 55 degC."""
    metres = focus_physics.focus_shift_per_degree(EXPANSION["steel"].typical, 1_275_000.0) * 55 * 1e-6
    assert metres == pytest.approx(0.84, abs=0.005)


@pytest.mark.parametrize(("material", "shift_um"), [("carbon fibre", 2.0), ("aluminium", -94.4)])
def test_a_tube_of_400_mm_cools_by_10_degrees(material: str, shift_um: float) -> None:
    """The handbook's Table B.6, READ (6061; high-modulus carbon/epoxy along the fibre); arithmetic."""
    per_degree = focus_physics.focus_shift_per_degree(EXPANSION[material].typical, 400.0)
    assert -10 * per_degree == pytest.approx(shift_um, abs=1e-6)


@pytest.mark.parametrize(("primary", "secondary", "spacing"), [(450.0, -245.0, 318.0), (600.0, -260.0, 430.0)])
def test_lever_of_a_two_mirror_telescope(primary: float, secondary: float, spacing: float) -> None:
    """COMPUTED with numpy ray-transfer matrices of the unfolded mirrors, the spacing changed by 10 um."""

    def focus(apart: float) -> tuple[float, float]:
        """Return distance of the focus behind the primary's vertex and focal length of the system."""
        height, slope = lens(secondary) @ gap(apart) @ lens(primary) @ np.array([1.0, 0.0])
        return float(-height / slope) - apart, float(-1 / slope)

    behind, focal_length = focus(spacing)
    moved, _ = focus(spacing + 0.010)
    lever = focus_physics.two_mirror_lever(focal_length / 150.0, primary / 150.0)
    assert lever == pytest.approx((behind - moved) / 0.010, rel=1e-3)
    # An aluminium tube of the same spacing shifts the focus by that much more than one of a simple lens.
    plain = focus_physics.focus_shift_per_degree(23.6, spacing)
    assert focus_physics.focus_shift_per_degree(23.6, spacing, lever) == pytest.approx(lever * plain, rel=1e-12)


def test_degrees_until_refocus_by_cooling_step_by_step() -> None:
    """COMPUTED by cooling 400 mm of aluminium by hundredths of a degree until it leaves +-70.4 um."""
    length = 400.0 * 1e3
    degrees = 0.0
    while abs(400.0 * 1e3 - length) <= 70.4:
        degrees += 0.01
        length = 400.0 * 1e3 * (1 - 23.6e-6 * degrees)
    per_degree = focus_physics.focus_shift_per_degree(23.6, 400.0)
    assert focus_physics.degrees_until_refocus(70.4, per_degree) == pytest.approx(degrees, abs=0.011)
