"""Statics of a loaded tripod and the wind on it, as pure functions.

Every function takes plain floats or numpy arrays and returns the same kind, elementwise. Places are given from the
plumb line through the tripod's centre: east, north and up, in mm. Directions are azimuths in deg from north through
east. The sources and outside checks of every formula stand in `methods.yml` beside this file.
"""

from functools import partial

import numpy as np

from rigleaf.chapters.scale_and_field.physics import N, elementwise

GRAVITY = 9.80665  # m/s2, standard

ISA_TEMPERATURE_K, ISA_PRESSURE_PA, ISA_LAPSE, ISA_EXPONENT = 288.15, 101_325.0, 0.0065, 5.25588
GAS_CONSTANT = 287.05287  # J/(kg K), of dry air

# Drag of a cylinder across the flow, below the drag crisis: thickness over length, and coefficient.
CYLINDER_SLIMNESS = (0.0, 0.025, 0.1, 0.2, 0.5, 1.0)
CYLINDER_DRAG = (1.20, 0.98, 0.82, 0.74, 0.68, 0.63)

BEAUFORT_LAW = 0.836  # m/s: v = 0.836 B^1.5
BEAUFORT_HIGHEST = 12.0


def _sin(angle_deg: N) -> N:
    return elementwise(np.sin, angle_deg * (np.pi / 180))


def _cos(angle_deg: N) -> N:
    return elementwise(np.cos, angle_deg * (np.pi / 180))


# --- Where the masses are -------------------------------------------------------------------------------------


def axis_east(turn_deg: N) -> N:
    """Eastward part of a unit vector in the plane of the celestial equator at an hour angle."""
    return -_sin(turn_deg)


def axis_north(turn_deg: N, latitude_deg: N | float) -> N:
    """Northward part of a unit vector in the plane of the celestial equator at an hour angle."""
    return -_cos(turn_deg) * _sin(latitude_deg + 0 * turn_deg)


def axis_up(turn_deg: N, latitude_deg: N | float) -> N:
    """Upward part of a unit vector in the plane of the celestial equator at an hour angle."""
    return _cos(turn_deg) * _cos(latitude_deg + 0 * turn_deg)


def pole_north(latitude_deg: N) -> N:
    """Northward part of a unit vector towards the pole that is above the horizon; negative in the south."""
    return _cos(latitude_deg) * elementwise(np.copysign, latitude_deg * 0 + 1, latitude_deg)


def pole_up(latitude_deg: N) -> N:
    """Upward part of a unit vector towards the pole that is above the horizon."""
    return elementwise(np.abs, _sin(latitude_deg))


# --- Standing -------------------------------------------------------------------------------------------------


def foot_share(east_mm: N, north_mm: N | float, foot_radius_mm: N | float, leg_deg: N | float) -> N:
    """Part of the weight that one of three equal legs carries; below 0 the foot would have to be held down.

    Args:
        east_mm: centre of gravity.
        north_mm: centre of gravity.
        foot_radius_mm: distance of every foot from the centre.
        leg_deg: azimuth of this leg; the others stand at 120 deg on both sides.
    """
    leg = leg_deg + 0 * east_mm
    return 1 / 3 + (2 / 3) * (east_mm * _sin(leg) + north_mm * _cos(leg)) / foot_radius_mm


def edge_margin(east_mm: N, north_mm: N | float, foot_radius_mm: N | float, leg_deg: N | float) -> N:
    """Level distance in mm of the centre of gravity from the line between the two feet opposite to a leg.

    It is positive inside the triangle. About this line the tripod tips when that leg lifts.
    """
    return 1.5 * foot_radius_mm * foot_share(east_mm, north_mm, foot_radius_mm, leg_deg)


def lean(margin_mm: N, height_mm: N | float) -> N:
    """Lean in deg at which a body tips whose centre of gravity stands so far inside its edge and so high."""
    return elementwise(np.arctan2, margin_mm, height_mm) * (180 / np.pi)


def ballast_for_lean(mass_kg: N, margin_mm: N | float, height_mm: N | float, foot_radius_mm: float, deg: float) -> N:
    """Mass in kg, hung just above the ground in the tripod's centre, with which it bears a lean; 0 where it does."""
    short = height_mm * float(np.tan(np.radians(deg))) - margin_mm
    return elementwise(np.maximum, mass_kg * short / (foot_radius_mm / 2), 0.0)


# --- Wind -----------------------------------------------------------------------------------------------------


def drag_coefficient(length_mm: N, thickness_mm: N | float) -> N:
    """Drag coefficient of a cylinder across the wind, on its outline; the longer side counts as its length."""
    other = thickness_mm + 0 * length_mm
    slimness = elementwise(np.minimum, length_mm, other) / elementwise(np.maximum, length_mm, other)
    return elementwise(partial(np.interp, xp=CYLINDER_SLIMNESS, fp=CYLINDER_DRAG), slimness)


def drag_area(length_mm: N, thickness_mm: N | float) -> N:
    """Outline of a cylinder across the wind times its drag coefficient, m2."""
    return drag_coefficient(length_mm, thickness_mm) * length_mm * thickness_mm * 1e-6


def air_pressure(elevation_m: N) -> N:
    """Pressure in Pa of the standard atmosphere, below 11 km."""
    return ISA_PRESSURE_PA * elementwise(np.power, 1 - ISA_LAPSE * elevation_m / ISA_TEMPERATURE_K, ISA_EXPONENT)


def standard_temperature(elevation_m: N) -> N:
    """Temperature in deg C of the standard atmosphere, below 11 km."""
    return ISA_TEMPERATURE_K - ISA_LAPSE * elevation_m - 273.15


def air_density(elevation_m: N, temperature_degc: N | float) -> N:
    """Density in kg/m3 of dry air at the standard pressure of an elevation."""
    return air_pressure(elevation_m) / (GAS_CONSTANT * (temperature_degc + 273.15))


def dynamic_pressure(density: N, speed: N | float) -> N:
    """Pressure of the wind in Pa, from air density in kg/m3 and speed in m/s."""
    return density * speed**2 / 2


def wind_moment(drag_moment_m3: N, density: N | float, speed: N | float) -> N:
    """Moment in N m of the wind about an edge on the ground, straight across it.

    Args:
        drag_moment_m3: sum over all bodies of drag area in m2 times height above the ground in m.
        density: of the air, kg/m3.
        speed: of the wind, m/s.
    """
    return drag_moment_m3 * dynamic_pressure(density + 0 * drag_moment_m3, speed)


def holding_moment(mass_kg: N, margin_mm: N | float) -> N:
    """Moment in N m with which the weight holds against tipping about an edge."""
    return mass_kg * GRAVITY * margin_mm / 1000


def tipping_speed(mass_kg: N, margin_mm: N | float, drag_moment_m3: N | float, density: N | float) -> N:
    """Wind in m/s that tips a body about an edge; 0 where it does not even stand without wind."""
    held = elementwise(np.maximum, holding_moment(mass_kg, margin_mm), 0.0)
    return elementwise(np.sqrt, 2 * held / (density * drag_moment_m3))


def ballast_for_wind(mass_kg: N, margin_mm: N | float, foot_radius_mm: N | float, moment_nm: N | float) -> N:
    """Mass in kg that, hung in the tripod's centre, makes the weight hold a moment about an edge; 0 where it does."""
    short = moment_nm - holding_moment(mass_kg, margin_mm)
    return elementwise(np.maximum, short / (GRAVITY * foot_radius_mm / 2 / 1000), 0.0)


def beaufort(speed: N) -> N:
    """Force of a wind in m/s on the Beaufort scale, 0 to 12: its law v = 0.836 B^1.5, to the nearest whole."""
    force = elementwise(np.rint, elementwise(np.power, speed / BEAUFORT_LAW, 2 / 3))
    return elementwise(np.minimum, force, BEAUFORT_HIGHEST)
