"""The span of a night that this chapter looks at, and what each glass does in it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.optics import DewHeater
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold.glass import Glass
from rigleaf.chapters.dew_and_cold.need import HeatNeed, band_watts, first_at_or_below, glasses, heat_needs
from rigleaf.chapters.night_out.air import Air, air_at
from rigleaf.chapters.night_out.chosen import ChosenNight, chosen_night
from rigleaf.chapters.night_out.humid_air import deposit_point
from rigleaf.chapters.setting_up.schedule import schedule

Array = NDArray[np.float64]

POINTS = 121
"""Instants of an evening, about seven minutes apart in the longest nights."""
DEW_POINT_K, WIND_M_S, TUBE_SHARE = 2.0, 0.5, 0.3
"""By how much an evening's dew point and breeze differ from the usual ones, and how well the heat along a tube is
known; common practice, no source."""


@dataclass(frozen=True, eq=False)
class Evening:
    """A night from unpacking (from sunset, if things are unpacked by day) to the last picture.

    ``point`` is where dew or frost settles, deg C at each instant, None where the humidity is unsaid; ``cased`` pairs
    each need with its glass.
    """

    assembly: Assembly
    night: ChosenNight
    air: Air
    point: Array | None
    cased: tuple[tuple[Glass, HeatNeed], ...]

    @property
    def during(self) -> NDArray[np.bool_]:
        """Which instants lie between the first picture and the last."""
        return np.asarray(self.air.instants >= self.night.start - 1)

    @property
    def soaked(self) -> float | None:
        """First instant at which the air itself is saturated, in seconds since 1970 UTC; None where it stays drier."""
        return None if self.point is None else first_at_or_below(self.air.instants, self.air.temperature, self.point)

    def clock(self, instant: float) -> str:
        """What the clocks of the place show."""
        return self.night.clock(instant)


def evening_of(assembly: Assembly) -> Evening | None:
    """Return the evening of a rig's night, or None where its place, its nights or their temperature are unsaid."""
    night = chosen_night(assembly)
    if night is None:
        return None
    sunset = float(night.nights.dusk[night.index, 0])
    # In its bag no glass gathers dew, and by day the Sun dries it.
    arrive = schedule(assembly, night).arrive
    begin = min(max(arrive, sunset) if np.isfinite(sunset) else arrive, night.start)
    air = air_at(assembly, night, np.linspace(begin, night.end, POINTS))
    if air is None:
        return None
    point = deposit_point(air.dew_point, air.temperature) if air.dew_point is not None else None
    needs = heat_needs(assembly, air)
    cased = tuple(zip(glasses(assembly), needs, strict=True)) if needs else ()
    return Evening(assembly, night, air, point, cased)


@dataclass(frozen=True)
class Demand:
    """The heat that one glass asks for while pictures are taken, in W.

    Attributes:
        most: that keeps the margin wanted, at the worst instant.
        bare: that keeps it just above the dew point.
        error: standard uncertainty of `most`.
        doubt: what most of that uncertainty comes from, in words.
        nearest: smallest distance of the unheated glass from the dew point, K; negative where it falls below.
    """

    most: float
    bare: float
    error: float
    doubt: str
    nearest: float


def demand(evening: Evening, glass: Glass, need: HeatNeed) -> Demand:
    """Return what heat a glass asks for at most, and how well that is known."""
    air, point, during = evening.air, evening.point, evening.during
    assert air.dew_point is not None  # noqa: S101 - needs exist only where the humidity is known
    assert point is not None  # noqa: S101
    nearest = float((need.unheated - point)[during].min())
    most = float(need.watts[during].max())
    worst = int(np.argmax(np.where(during, need.watts, -1.0)))
    wind = evening.assembly.choice("dew_wind").value
    margin = evening.assembly.choice("optic_margin").value
    temperature, dew, wanted = (row[worst : worst + 1] for row in (air.temperature, air.dew_point, point))

    def watts(above: float, breeze: float) -> float:
        return float(band_watts(glass, temperature, dew, wanted + above, breeze)[0])

    bare = watts(0.0, wind)
    doubts = {
        "how moist the night is": watts(margin + DEW_POINT_K, wind) - most,
        "the breeze": watts(margin, wind + WIND_M_S) - most,
        "how much heat the tube carries away": TUBE_SHARE * most,
    }
    error = sum(one**2 for one in doubts.values()) ** 0.5 if most else 0.0
    return Demand(most, bare, error, max(doubts, key=lambda name: abs(doubts[name])), nearest)


def gives(band: DewHeater) -> float | None:
    """Return the power in W of a band at full, or at its usual setting where that alone is stated."""
    draw = band.power
    stated = (draw.peak or draw.working) if draw is not None else None
    return stated.value if stated is not None else None
