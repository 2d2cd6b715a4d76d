"""What a battery gives in the night: its usable energy, as low and as high as it may be."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night import physics

LEAD_ACID = "sealed lead-acid"
RATED_HOURS, PEUKERT = 20.0, 1.2
"""What a lead-acid battery counts with where it states neither: common practice, no source."""
CAR_VOLTAGE = 12.0
FLOATING = 20.0
"""Temperature in deg C that batteries count with where the place states none."""


@dataclass(frozen=True, slots=True)
class Store:
    """Usable energy of one or several batteries.

    Attributes:
        low: the least that is to be expected, Wh.
        high: the most, Wh; the same where nothing is disputed.
        rated: energy on the label, Wh.
        reasons: what took the difference, in words, and what was assumed.
    """

    low: float
    high: float
    rated: float
    reasons: tuple[str, ...] = ()


def rated_energy(battery: Battery) -> float | None:
    """Return the energy on a battery's label in Wh; None where it states neither that nor charge and voltage."""
    if battery.marked_energy is not None:
        return battery.marked_energy.value
    if battery.charge is None or battery.nominal_voltage is None:
        return None
    return physics.rated_energy(battery.charge.value, battery.nominal_voltage.value)


def cold_band(battery: Battery, temperature: float) -> tuple[float, float]:
    """Return the least and the most of its charge that a battery gives at a temperature in deg C."""
    if battery.in_the_cold:
        points = sorted((point.at.value, point.left.value) for point in battery.in_the_cold)
        # Colder than it was tried, it gives less by as much again; a single point says nothing about a slope.
        left = float(np.interp(temperature, [at for at, _ in points], [given for _, given in points]))
        if temperature < points[0][0] and len(points) > 1:
            (at, given), (next_at, next_given) = points[:2]
            slope = max((next_given - given) / (next_at - at), 0.0) if next_at > at else 0.0
            left = max(given - slope * (at - temperature), 0.0)
        return left, left
    if battery.chemistry == LEAD_ACID:
        left = physics.lead_acid_left(temperature)
        return left, left
    return _lithium_band(temperature)


@lru_cache(maxsize=256)
def _lithium_band(temperature: float) -> tuple[float, float]:
    low, high = (physics.lithium_left(temperature, share) for share in physics.LITHIUM_AT_COLD)
    return low, high


def store(assembly: Assembly, battery: Battery, count: int, temperature: float, watts: float) -> Store | None:
    """Return what so many batteries of one sort give, used one after the other.

    Args:
        assembly: the rig, for what the guide chooses.
        battery: the battery.
        count: how many of it.
        temperature: of the battery, deg C.
        watts: mean power that the one in use gives, W; what lead-acid gives depends on it.

    Returns:
        None where the battery's energy is unsaid.
    """
    rated = rated_energy(battery)
    if rated is None:
        return None
    lead = battery.chemistry == LEAD_ACID
    chosen = assembly.choice("lead_acid_usable" if lead else "lithium_usable").value
    usable = battery.usable.value if battery.usable is not None else chosen
    low, high = cold_band(battery, temperature)
    reasons = []
    if lead:
        share = _rate(battery, rated, watts)
        low, high = low * share, high * share
        if battery.peukert is None or battery.rated_hours is None:
            reasons.append(
                f"{battery.name} states no Peukert exponent or no rated hours: "
                f"{PEUKERT:g} and {RATED_HOURS:g} h are assumed"
            )
    elif not battery.in_the_cold and low < high:
        reasons.append("vendors disagree on lithium in the cold")
    whole = rated * count * usable
    return Store(whole * low, whole * high, rated * count, tuple(reasons))


def _rate(battery: Battery, rated: float, watts: float) -> float:
    """Part of its charge that one lead-acid battery gives at this power."""
    voltage, charge, hours, exponent = emptying(battery, rated)
    return physics.peukert_share(charge, hours, watts / voltage, exponent) if watts > 0 else 1.0


def emptying(battery: Battery, rated: float) -> tuple[float, float, float, float]:
    """Return voltage in V, charge in Ah, hours in which that is rated, and Peukert exponent of a lead-acid battery.

    ``rated`` is its energy in Wh. What it does not state is assumed.
    """
    voltage = battery.nominal_voltage.value if battery.nominal_voltage is not None else CAR_VOLTAGE
    charge = battery.charge.value if battery.charge is not None else rated / voltage
    hours = battery.rated_hours.value / 3600 if battery.rated_hours is not None else RATED_HOURS
    exponent = max(battery.peukert.value, 1.0) if battery.peukert is not None else PEUKERT
    return voltage, charge, hours, exponent


def starter(assembly: Assembly) -> Store:
    """Return what may be taken of a car's starter battery, so that the engine still starts."""
    whole = physics.rated_energy(assembly.choice("starter_charge").value, CAR_VOLTAGE)
    part = whole * assembly.choice("starter_share").value
    return Store(part, part, whole)


def sum_stores(found: list[Store]) -> Store:
    """Add what several sorts of battery give."""
    reasons = tuple(dict.fromkeys(reason for one in found for reason in one.reasons))
    return Store(sum(s.low for s in found), sum(s.high for s in found), sum(s.rated for s in found), reasons)
