"""Load and balance of a mount as pure functions. Masses in kg, distances in mm, moments in kg mm, torques in N m."""

import numpy as np

from rigleaf.chapters.scale_and_field.physics import N, elementwise

STANDARD_GRAVITY = 9.80665
"""Acceleration of free fall in m/s2 by convention (3rd CGPM, 1901); on the ground it differs by less than 0.4 %."""


def part_used(load_kg: N, capacity_kg: N | float) -> N:
    """Part of a capacity (above 0) that a load uses: 1 is all of it."""
    return load_kg / capacity_kg


def moment(mass_kg: N, distance_mm: N | float) -> N:
    """Moment of a mass about an axis at a distance, in kg mm."""
    return mass_kg * distance_mm


def balancing_distance(moment_kg_mm: N, weights_kg: N | float) -> N:
    """Distance in mm from the axis at which weights (above 0) hold a moment: m1 r1 = m2 r2."""
    return moment_kg_mm / weights_kg


def balancing_uncertainty(
    load_kg: N, load_error: N | float, reach_mm: N | float, reach_error: N | float, weights_kg: N | float
) -> N:
    """Standard uncertainty in mm of the balancing distance.

    Args:
        load_kg: mass of the load, with its standard uncertainty ``load_error``.
        load_error: in kg.
        reach_mm: distance of the load's centre from the axis, with its standard uncertainty ``reach_error``.
        reach_error: in mm.
        weights_kg: mass of the weights, taken as exact: they are few and easily weighed.
    """
    return elementwise(np.hypot, load_kg * reach_error, reach_mm * load_error) / weights_kg


def nearest_place(distance_mm: N, least_mm: N | float, most_mm: N | float) -> N:
    """The place between two ends that is nearest to a distance, in mm."""
    return elementwise(np.clip, distance_mm, least_mm, most_mm)


def polar_torque(moment_kg_mm: N, latitude_deg: N | float) -> N:
    """Greatest torque about the polar axis over all hour angles, in N m.

    The polar axis rises by the latitude, so that only the part of gravity across it turns it; the torque is greatest
    when the declination axis lies level. Offsets along the polar axis do not count, and a tube that is balanced in
    its saddle has none along itself.

    Args:
        moment_kg_mm: moment that is out of balance along the declination axis, in kg mm; its sign does not matter.
        latitude_deg: latitude of the place, either hemisphere.
    """
    across: N = elementwise(np.cos, np.radians(latitude_deg) + 0 * moment_kg_mm)
    return elementwise(np.abs, moment_kg_mm) * 1e-3 * STANDARD_GRAVITY * across
