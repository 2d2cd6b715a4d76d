"""Plate: the temperatures of a night: air, the glass without heat, and the point at which dew or frost settles."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigleaf.chapters.dew_and_cold.dew_study import Case
from rigleaf.chapters.dew_and_cold.evening import Evening
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.formatting import show
from rigleaf.chapters.svg import PLATE_WIDTH, Plate
from rigleaf.sky.night import LEVELS

Array = NDArray[np.float64]

LEFT, RIGHT, TOP, HEIGHT = 62.0, 104.0, 14.0, 220.0
EVERY = 4
"""Instants between the points of a curve."""
LETTERING = 19.0
"""Room in height that a line of words takes."""
MOST_LEVELS = 6
DARK = LEVELS.index(-18.0)
HOUR = 3600.0


@dataclass(frozen=True)
class Curve:
    """One line of the plate with its name and style."""

    name: str
    values: Array
    style: str

    @property
    def last(self) -> float:
        """Its value at the end."""
        return float(self.values[-1])


@dataclass(frozen=True)
class Frame:
    """Where instants and temperatures stand on the plate."""

    begin: float
    end: float
    bottom: int
    top: int
    step: int

    def x(self, instant: float) -> float:
        """Place of an instant."""
        return LEFT + (instant - self.begin) / (self.end - self.begin) * (PLATE_WIDTH - LEFT - RIGHT)

    def y(self, temperature: float) -> float:
        """Height of a temperature."""
        return TOP + (self.top - temperature) / (self.top - self.bottom) * HEIGHT


def night_plate(evening: Evening, cases: tuple[Case, ...]) -> Drawing:
    """Draw the temperatures from sunset to the last picture, the dark hours tinted."""
    air = evening.air
    case = cases[0] if cases else None
    curves = [Curve("air", air.temperature, "ink")]
    if case is not None:
        curves.append(Curve("bare glass", case.need.unheated, "accent"))
    if evening.point is not None:
        name = "dew point" if float(evening.point[0]) >= 0 else "frost point"
        curves.append(Curve(name, evening.point, "ink hidden-line"))
    frame = _frame(evening, curves)
    title = "Temperatures of the night"
    plate = Plate(
        f"{evening.assembly.rig.id}-night-air", PLATE_WIDTH, TOP + HEIGHT + 42, title, _words(evening, curves)
    )
    _dark(plate, evening, frame)
    plate.rect(LEFT, TOP, PLATE_WIDTH - LEFT - RIGHT, HEIGHT)
    _levels(plate, evening, frame)
    _hours(plate, evening, frame)
    for curve in curves:
        picked = [*range(0, len(curve.values) - 1, EVERY), len(curve.values) - 1]
        points = ((frame.x(float(air.instants[i])), frame.y(float(curve.values[i]))) for i in picked)
        plate.path(points, curve.style)
    heights = _spread([frame.y(curve.last) for curve in curves])
    for curve, y in zip(curves, heights, strict=True):
        plate.text(PLATE_WIDTH - RIGHT + 6, y + 5, curve.name, "accent" if curve.style == "accent" else "label")
    if case is not None and case.need.reached is not None:
        wet = case.need.reached
        plate.circle(frame.x(wet), frame.y(float(np.interp(wet, air.instants, case.need.unheated))), 5, "accent")
    return Drawing("night", title, plate.description, _caption(evening, case), plate.render())


def _frame(evening: Evening, curves: list[Curve]) -> Frame:
    low = min(float(curve.values.min()) for curve in curves)
    high = max(float(curve.values.max()) for curve in curves)
    step = next((one for one in (1, 2, 5, 10) if (high - low) / one <= MOST_LEVELS), 20)
    bottom = math.floor(low / step) * step
    top = max(math.ceil(high / step) * step, bottom + step)
    return Frame(float(evening.air.instants[0]), float(evening.air.instants[-1]), bottom, top, step)


def _dark(plate: Plate, evening: Evening, frame: Frame) -> None:
    """Tint the hours of astronomical darkness."""
    nights, index = evening.night.nights, evening.night.index
    dusk, dawn = float(nights.dusk[index, DARK]), float(nights.dawn[index, DARK])
    if not (math.isfinite(dusk) and math.isfinite(dawn)):
        return
    first, last = max(dusk, frame.begin), min(dawn, frame.end)
    if last > first:
        plate.rect(frame.x(first), TOP, frame.x(last) - frame.x(first), HEIGHT, "fill-tint")


def _levels(plate: Plate, evening: Evening, frame: Frame) -> None:
    units = evening.assembly.catalogue.guide.units
    for level in range(frame.bottom, frame.top + 1, frame.step):
        y = frame.y(level)
        plate.line(LEFT - 4, y, LEFT, y, "dim")
        plate.text(LEFT - 8, y + 5, show(float(level), "temperature", units).first, "dim", "end")


def _hours(plate: Plate, evening: Evening, frame: Frame) -> None:
    """Write full hours by the clocks of the place below the frame."""
    span = (frame.end - frame.begin) / HOUR
    every = next((one for one in (1, 2, 3) if span / one <= MOST_LEVELS), 4)
    first = math.ceil(frame.begin / HOUR) * int(HOUR)
    for instant in range(first, int(frame.end) + 1, int(HOUR)):
        clock = evening.night.nights.site.clock(float(instant))
        if clock.hour % every or clock.minute:
            continue
        x = frame.x(instant)
        plate.line(x, TOP + HEIGHT, x, TOP + HEIGHT + 4, "dim")
        plate.text(x, TOP + HEIGHT + 20, f"{clock.hour}:00", "dim", "middle")


def _spread(heights: list[float]) -> list[float]:
    """Return heights moved apart so that names do not cover each other, in the order given."""
    order = sorted(range(len(heights)), key=lambda i: heights[i])
    placed = [0.0] * len(heights)
    last = -math.inf
    for i in order:
        last = max(heights[i], last + LETTERING)
        placed[i] = last
    over = max(0.0, last - (TOP + HEIGHT))
    return [height - over for height in placed]


def _words(evening: Evening, curves: list[Curve]) -> str:
    units = evening.assembly.catalogue.guide.units
    first, last = (evening.clock(float(evening.air.instants[i])) for i in (0, -1))
    told = "; ".join(
        f"{curve.name} {show(float(curve.values[0]), 'temperature', units).first} at {first} and "
        f"{show(curve.last, 'temperature', units).first} at {last}"
        for curve in curves
    )
    return f"{told[:1].upper()}{told[1:]}."


def _caption(evening: Evening, case: Case | None) -> str:
    night = evening.night
    words = (
        f"Temperatures of the evening of {night.date_words} at {night.place.name}, by the usual weather of its month "
        "under a clear sky; the dark hours are tinted."
    )
    if case is None:
        return words
    glass = f"The accented line is {case.name}, without heat"
    if case.need.reached is None:
        return f"{words} {glass}."
    return f"{words} {glass}; from the ring on, at {evening.clock(case.need.reached)}, it gathers {case.deposit}."
