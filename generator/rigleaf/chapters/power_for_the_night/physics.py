"""Electricity of a portable rig as pure functions: coolers, batteries, copper leads.

Every function takes plain floats or numpy arrays and returns the same kind, elementwise. Units stand in the names.
What is data and no law (batteries in the cold) is a table with its source beside it.
"""

from typing import cast

import numpy as np

from rigleaf.chapters.scale_and_field.physics import N, elementwise

# --- What a cooler draws -----------------------------------------------------------------------------------------


def cooler_draw(depth_k: N, idle_w: float, usual_w: float, peak_w: float, usual_k: float, most_k: float) -> N:
    """Draw in W of a camera whose sensor is held at a depth below the air.

    Both the heat of the current and the work of pumping grow with the square of the depth while little heat comes in
    from elsewhere, so the draw is straight in that square, through the three points that makers state. Deeper than
    the cooler reaches it draws its most; a sensor that need not be cooled draws the idle power.

    Args:
        depth_k: air minus sensor, K; below zero counts as zero.
        idle_w: draw without cooling.
        usual_w: draw at the usual depth; limited to what lies between the other two.
        peak_w: draw at the greatest depth.
        usual_k: the usual depth; beyond the greatest one it says nothing.
        most_k: the greatest depth, above zero.
    """
    if usual_k >= most_k:
        points, draws = (0.0, most_k**2), (idle_w, peak_w)
    else:
        middle = min(max(usual_w, idle_w), peak_w)
        points, draws = (0.0, usual_k**2, most_k**2), (idle_w, middle, peak_w)  # type: ignore[assignment]
    warmer = elementwise(np.maximum, depth_k, 0.0)
    return elementwise(np.interp, warmer * warmer, cast(float, points), cast(float, draws))


# --- What a battery gives ----------------------------------------------------------------------------------------


def rated_energy(charge_ah: N, voltage_v: N | float) -> N:
    """Energy in Wh of a charge at a voltage."""
    return charge_ah * voltage_v


def peukert_hours(charge_ah: N, rated_hours: N | float, current_a: N | float, exponent: N | float) -> N:
    """Hours that a lead-acid battery lasts at a current, from a charge rated over so many hours (the rated form).

    The other form in use, t = C1/I^k, asks for the charge measured at 1 A; a label does not give it.
    """
    return rated_hours * elementwise(np.power, charge_ah / (current_a * rated_hours), exponent)


def peukert_share(charge_ah: N, rated_hours: N | float, current_a: N | float, exponent: N | float) -> N:
    """Part of its rated charge that a lead-acid battery gives at a current; never more than all of it.

    The law promises more below the rated current; nobody should plan on that.
    """
    given = current_a * peukert_hours(charge_ah, rated_hours, current_a, exponent) / charge_ah
    return elementwise(np.minimum, given, 1.0)


LEAD_ACID_DEG_C = (0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)
LEAD_ACID_LEFT = (0.84, 0.88, 0.90, 0.94, 0.99, 1.00, 1.03, 1.04, 1.05)
"""Charge that sealed lead-acid batteries give, slower than in an hour: a battery maker's published table."""
LEAD_ACID_PER_K = 0.008
"""Loss for each kelvin below that table: its last step goes on. Assumed."""

LITHIUM_FULL_DEG_C, LITHIUM_COLD_DEG_C = 20.0, -20.0
LITHIUM_AT_COLD = (0.50, 0.85)
"""Least and most that vendors claim of lithium batteries at that cold; no published curve was found."""


def lead_acid_left(temperature_c: N) -> N:
    """Part of its charge that a lead-acid battery gives at a temperature in deg C; not below 0."""
    inside = elementwise(np.interp, temperature_c, cast(float, LEAD_ACID_DEG_C), cast(float, LEAD_ACID_LEFT))
    below = elementwise(np.maximum, LEAD_ACID_DEG_C[0] - temperature_c, 0.0)
    return elementwise(np.maximum, inside - LEAD_ACID_PER_K * below, 0.0)


def lithium_left(temperature_c: N, at_cold: float) -> N:
    """Part of its charge that a lithium battery gives: straight from all at 20 deg C to `at_cold` at -20 deg C."""
    cold = (LITHIUM_FULL_DEG_C - temperature_c) / (LITHIUM_FULL_DEG_C - LITHIUM_COLD_DEG_C)
    return elementwise(np.clip, 1 - (1 - at_cold) * elementwise(np.maximum, cold, 0.0), 0.0, 1.0)


# --- Copper leads ------------------------------------------------------------------------------------------------

COPPER_OHM_MM2_PER_M = 0.017241
"""Resistivity of annealed copper at 20 deg C, the international standard of 1913."""
COPPER_PER_K = 0.0039
"""Temperature coefficient of its resistance at 20 deg C."""
MM_PER_INCH = 25.4


def wire_diameter(gauge: N) -> N:
    """Diameter in mm of a wire of an American wire gauge (ASTM B258: 36 is 0.005 in, 0000 is 0.46 in)."""
    return 0.005 * MM_PER_INCH * elementwise(np.exp, (36 - gauge) * (float(np.log(92.0)) / 39))


def wire_resistance(gauge: N, length_m: N | float, temperature_c: N | float = 20.0) -> N:
    """Resistance in ohm of one copper conductor of a lead."""
    area = np.pi / 4 * wire_diameter(gauge) ** 2
    return COPPER_OHM_MM2_PER_M * length_m / area * (1 + COPPER_PER_K * (temperature_c - 20))


def loop_resistance(gauge: N, one_way_m: N | float, temperature_c: N | float = 20.0) -> N:
    """Resistance in ohm of a lead there and back."""
    return 2 * wire_resistance(gauge, one_way_m, temperature_c)


def voltage_behind(source_v: N, resistance_ohm: N | float, power_w: N | float) -> N:
    """Voltage at a device that takes a power through a resistance.

    The device takes more current as its voltage sinks: V = U - R P/V. Where no voltage satisfies that, the lead cannot
    carry the power at all, and half the source's voltage is returned, the least at which anything could.
    """
    inside = elementwise(np.maximum, source_v**2 - 4 * resistance_ohm * power_w, 0.0)
    return (source_v + elementwise(np.sqrt, inside)) / 2
