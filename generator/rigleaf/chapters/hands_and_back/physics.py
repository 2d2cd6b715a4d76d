"""The revised lifting equation of NIOSH as pure functions: what one person may lift with both hands, and how often.

Source: Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) publication 94-110 (revised 9/2021),
public domain, read in a page-cited copy. Lengths in mm, masses in kg, frequency in lifts a minute. Every
function takes plain floats or numpy arrays and returns the same kind, elementwise. By the manual the equation is not
for: one hand, more than eight hours, sitting or kneeling, little room, loads that shift, carrying, pushing, a slippery
footing, and air outside 19 to 26 deg C. A night in a field is several of these: its limits are then too high.
"""

from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from rigleaf.chapters.scale_and_field.physics import N, elementwise

Grip = Literal["good", "fair", "poor"]


@dataclass(frozen=True)
class Equation:
    """The constants of the equation in one system of units; lengths in mm, so that systems can be told apart.

    Attributes:
        load: load constant, kg: what may be lifted under the best conditions.
        near, far: distance of the hands from the ankles that costs nothing, and the largest one.
        knuckles: height of the hands from which lifting is easiest.
        height_slope: what each mm of height above or below costs.
        highest: largest height of the hands.
        travel: term of the way that the hands move up or down; 0.82 and it over the way make the multiplier.
        shortest, longest: ways that cost nothing, and the largest one.
    """

    load: float
    near: float
    far: float
    knuckles: float
    height_slope: float
    highest: float
    travel: float
    shortest: float
    longest: float


METRIC = Equation(23.0, 250.0, 630.0, 750.0, 0.0003, 1750.0, 45.0, 250.0, 1750.0)
"""Section 1.3 of the manual, page 7."""

TRAVEL_BASE = 0.82
TURN_SLOPE, WIDEST_TURN = 0.0032, 135.0

FREQUENCY: tuple[tuple[float, ...], ...] = (
    (0.2, 1.00, 1.00, 0.95, 0.95, 0.85, 0.85),
    (0.5, 0.97, 0.97, 0.92, 0.92, 0.81, 0.81),
    (1.0, 0.94, 0.94, 0.88, 0.88, 0.75, 0.75),
    (2.0, 0.91, 0.91, 0.84, 0.84, 0.65, 0.65),
    (3.0, 0.88, 0.88, 0.79, 0.79, 0.55, 0.55),
    (4.0, 0.84, 0.84, 0.72, 0.72, 0.45, 0.45),
    (5.0, 0.80, 0.80, 0.60, 0.60, 0.35, 0.35),
    (6.0, 0.75, 0.75, 0.50, 0.50, 0.27, 0.27),
    (7.0, 0.70, 0.70, 0.42, 0.42, 0.22, 0.22),
    (8.0, 0.60, 0.60, 0.35, 0.35, 0.18, 0.18),
    (9.0, 0.52, 0.52, 0.30, 0.30, 0.00, 0.15),
    (10.0, 0.45, 0.45, 0.26, 0.26, 0.00, 0.13),
    (11.0, 0.41, 0.41, 0.00, 0.23, 0.00, 0.00),
    (12.0, 0.37, 0.37, 0.00, 0.21, 0.00, 0.00),
    (13.0, 0.00, 0.34, 0.00, 0.00, 0.00, 0.00),
    (14.0, 0.00, 0.31, 0.00, 0.00, 0.00, 0.00),
    (15.0, 0.00, 0.28, 0.00, 0.00, 0.00, 0.00),
)
"""Table 5 of the manual, page 15: lifts a minute; then for work up to 1, 2 and 8 hours, with hands that start below and
from 750 mm upwards."""

LONGEST_WORK: tuple[float, ...] = (1.0, 2.0, 8.0)
"""Hours of work at which the columns of FREQUENCY end."""

COUPLING: dict[Grip, tuple[float, float]] = {"good": (1.0, 1.0), "fair": (0.95, 1.0), "poor": (0.9, 0.9)}
"""Table 7 of the manual, page 18: with hands below and from 750 mm upwards."""


def horizontal_multiplier(reach_mm: N, equation: Equation = METRIC) -> N:
    """Multiplier for the distance of the hands from the middle between the ankles; 0 beyond arm's length."""
    found = equation.near / elementwise(np.maximum, reach_mm, equation.near)
    return found * (reach_mm <= equation.far)


def vertical_multiplier(height_mm: N, equation: Equation = METRIC) -> N:
    """Multiplier for the height of the hands above the floor; 0 above the reach of short people."""
    found = 1 - equation.height_slope * elementwise(np.abs, height_mm - equation.knuckles)
    return found * (height_mm <= equation.highest)


def distance_multiplier(way_mm: N, equation: Equation = METRIC) -> N:
    """Multiplier for the way that the hands move up or down."""
    found = TRAVEL_BASE + equation.travel / elementwise(np.maximum, way_mm, equation.shortest)
    return found * (way_mm <= equation.longest)


def asymmetry_multiplier(turn_deg: N) -> N:
    """Multiplier for the angle by which the load stands beside the body."""
    return (1 - TURN_SLOPE * turn_deg) * (turn_deg <= WIDEST_TURN)


def frequency_multiplier(lifts_a_minute: N, hours: float, origin_mm: float, equation: Equation = METRIC) -> N:
    """Multiplier for how often is lifted, straight between the rows of the table.

    Args:
        lifts_a_minute: below 0.2 counts as 0.2; above 15 gives 0.
        hours: how long the work lasts, at most 8.
        origin_mm: height of the hands where the lift begins, also when its end is evaluated.
        equation: constants.
    """
    column = 1 + 2 * next(i for i, longest in enumerate(LONGEST_WORK) if hours <= longest)
    column += origin_mm >= equation.knuckles
    rates, values = ([row[i] for row in FREQUENCY] for i in (0, column))
    return elementwise(lambda rate: np.interp(rate, rates, values, right=0.0), lifts_a_minute)


def coupling_multiplier(grip: Grip, height_mm: float, equation: Equation = METRIC) -> float:
    """Multiplier for how well hands hold the load, at the height at which it is held."""
    return COUPLING[grip][height_mm >= equation.knuckles]


class Multipliers(NamedTuple):
    """The six multipliers of one end of a lift."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float


class Hold(NamedTuple):
    """One end of a lift: how far the hands stand from the ankles and how high above the floor, in mm."""

    reach: float
    height: float


def multipliers(
    held: Hold, way_mm: float, grip: Grip, origin_mm: float, turn_deg: float = 0.0,
    lifts_a_minute: float = 0.2, hours: float = 1.0, equation: Equation = METRIC,
) -> Multipliers:  # fmt: skip
    """Return the multipliers of one end of a lift.

    Args:
        held: the end that is evaluated.
        way_mm: how far the hands move up or down.
        grip: how well they hold.
        origin_mm: height of the hands where the lift begins.
        turn_deg: angle by which the load stands beside the body.
        lifts_a_minute: how often is lifted.
        hours: how long.
        equation: constants.
    """
    return Multipliers(
        horizontal_multiplier(held.reach, equation),
        vertical_multiplier(held.height, equation),
        distance_multiplier(way_mm, equation),
        asymmetry_multiplier(turn_deg),
        frequency_multiplier(lifts_a_minute, hours, origin_mm, equation),
        coupling_multiplier(grip, held.height, equation),
    )


def recommended_limit(found: Multipliers, equation: Equation = METRIC) -> float:
    """Recommended weight limit in kg: the load constant times all multipliers."""
    limit = equation.load
    for one in found:
        limit *= one
    return limit


def lifting_index(mass_kg: float, limit_kg: float) -> float:
    """Mass over its limit; infinite where nothing may be lifted so. Jobs are to be laid out for 1 or less."""
    return mass_kg / limit_kg if limit_kg > 0 else float("inf")


def reach_around(depth_mm: float, height_mm: float) -> float:
    """Distance of the hands from the ankles in mm that the manual estimates where nobody measured it.

    Args:
        depth_mm: depth of the load, front to back.
        height_mm: height of the hands; below 250 mm the knees are in the way.
    """
    body = 200.0 if height_mm >= METRIC.near else 250.0
    return max(body + depth_mm / 2, METRIC.near)
