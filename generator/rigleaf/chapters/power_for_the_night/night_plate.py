"""Plate: what is drawn through the night, and what is left of the batteries, by the clocks of the place."""

import math

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.night_out.chosen import DARK
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit
from rigleaf.chapters.power_for_the_night.draws import cooler
from rigleaf.chapters.power_for_the_night.words import capital, dated, holder, suffix
from rigleaf.chapters.svg import PLATE_WIDTH, Plate
from rigleaf.chapters.under_the_sky.place_sky import clock_in_words

Array = NDArray[np.float64]

LEFT, RIGHT, TOP, HEIGHT = 42.0, 50.0, 30.0, 190.0
HOUR = 3600.0
MOST_PLATES = 3
STEPS_OF_SCALE = (5, 10, 20, 25, 50, 100, 200, 500, 1000)


class _Frame:
    """Where instants, watts and parts of a battery stand on the plate."""

    def __init__(self, budget: Budget, most: float) -> None:
        edges = budget.times.edges
        self.start, self.end = float(edges[0]), float(edges[-1])
        self.step = next((step for step in STEPS_OF_SCALE if most <= 4 * step), STEPS_OF_SCALE[-1])
        self.most = self.step * math.ceil(most / self.step)

    def x(self, instant: float) -> float:
        part = (instant - self.start) / (self.end - self.start)
        return LEFT + min(max(part, 0.0), 1.0) * (PLATE_WIDTH - LEFT - RIGHT)

    def y(self, watts: float) -> float:
        return TOP + HEIGHT * (1 - watts / self.most)

    @staticmethod
    def level(part: float) -> float:
        return TOP + HEIGHT * (1 - min(max(part, 0.0), 1.0))


def night_plates(assembly: Assembly, budget: Budget) -> tuple[Drawing, ...]:
    """Draw each circuit of which is known what it holds, the one that runs out first first; else all power drawn."""
    circuits = budget.stored[:MOST_PLATES]
    return tuple(_plate(assembly, budget, one) for one in circuits) or (_plate(assembly, budget, None),)


def _plate(assembly: Assembly, budget: Budget, circuit: Circuit | None) -> Drawing:
    """Draw the power drawn from one circuit and what is left of it; without a circuit, what is drawn from all."""
    nothing = np.zeros_like(budget.times.hours)
    drawn = circuit.watts if circuit is not None else sum((one.watts for one in budget.circuits), nothing)
    frame = _Frame(budget, max(float(drawn.max()), 1.0))
    end = suffix(budget, circuit) if circuit is not None else ""
    several = len(budget.circuits) > 1 and circuit is not None
    title = f"Power through the night: {_in_words(circuit)}" if several and circuit else "Power through the night"
    words = _description(assembly, budget, drawn, circuit)
    plate = Plate(f"{assembly.rig.id}-night{end}", PLATE_WIDTH, TOP + HEIGHT + 30, title, words)
    night = budget.night
    dusk, dawn = (float(row[night.index, DARK]) for row in (night.nights.dusk, night.nights.dawn))
    if math.isfinite(dusk) and math.isfinite(dawn) and frame.x(dawn) > frame.x(dusk):
        plate.rect(frame.x(dusk), TOP, frame.x(dawn) - frame.x(dusk), HEIGHT, "fill-tint")
        plate.text((frame.x(dusk) + frame.x(dawn)) / 2, TOP - 8, "dark", "dim", "middle")
    _curve(plate, frame, budget, drawn)
    if circuit is not None:
        _charge(plate, frame, assembly, circuit)
    plate.rect(LEFT, TOP, PLATE_WIDTH - LEFT - RIGHT, HEIGHT)
    _axes(plate, frame, budget, circuit is not None)
    source = _in_words(circuit) if several and circuit is not None else "all sources"
    caption = (
        f"{capital(dated(assembly, budget))}, from unpacking to packed, by the {clock_in_words(night.place)}. Thin "
        f"line, left scale: power drawn from {source}, losses counted, in W."
    )
    cameras = (one.part for one in budget.devices if isinstance(one.part, Camera))
    if any(cooler(one) is not None and (circuit is None or one.id in circuit.group.devices) for one in cameras):
        caption += " It leaps while the sensor cools down."
    if circuit is not None:
        kept = assembly.say(assembly.choice("battery_left").value, "fraction")
        gives = "it" if several else _in_words(circuit)
        caption += (
            f" Accented line, right scale: what is left of what {gives} can give, at the least that is to be expected."
        )
        if circuit.group.kind != "car":
            caption += f" The broken line is the warning at {kept}."
    return Drawing(f"night-power{end}", title, words, caption, plate.render())


def _in_words(circuit: Circuit) -> str:
    return "the car's battery" if circuit.group.kind == "car" else holder(circuit)


def _curve(plate: Plate, frame: _Frame, budget: Budget, drawn: Array) -> None:
    """Draw power as steps, equal ones as one."""
    edges = budget.times.edges
    steps, last = [f"M{frame.x(float(edges[0])):.0f} {frame.y(0):.0f}"], None
    for watts, end in zip(drawn.tolist(), edges[1:].tolist(), strict=True):
        y, x = f"{frame.y(watts):.0f}", f"H{frame.x(end):.0f}"
        if y == last:
            steps[-1] = x
        else:
            steps += [f"V{y}", x]
        last = y
    plate.marks.append(f'<path class="ink" d="{"".join(steps)}V{frame.y(0):.0f}"/>')
    taking = drawn[budget.times.capture]
    if len(taking):
        plate.text(frame.x(budget.times.last) - 6, frame.y(float(taking[-1])) - 7, "drawn", "dim", "end")


def _charge(plate: Plate, frame: _Frame, assembly: Assembly, worst: Circuit) -> None:
    """Draw what is left of a circuit's batteries, until they are empty."""
    held = worst.store.low if worst.store is not None else 0.0
    if held <= 0:
        return
    edges = worst.times.edges
    left = 1 - np.append(0.0, np.cumsum(worst.watts * worst.times.hours)) / held
    points: list[tuple[float, float]] = []
    for number, (instant, part) in enumerate(zip(edges.tolist(), left.tolist(), strict=True)):
        if part <= 0:
            empty = worst.instant_at(held)
            points.append((round(frame.x(empty if empty is not None else instant)), frame.level(0.0)))
            break
        if number % 3 == 0 or number == len(left) - 1:
            points.append((round(frame.x(instant)), round(frame.level(part))))
    if len(points) > 1:
        plate.path(points, "accent")
        x, y = points[len(points) // 4]
        plate.text(x + 9, y, "left", "dim")
    if worst.group.kind != "car":
        warning = frame.level(assembly.choice("battery_left").value)
        plate.line(LEFT, warning, PLATE_WIDTH - RIGHT, warning, "ink-2 hidden-line")


def _axes(plate: Plate, frame: _Frame, budget: Budget, charge: bool) -> None:
    for watts in range(0, int(frame.most) + 1, frame.step):
        plate.line(LEFT - 4, frame.y(watts), LEFT, frame.y(watts), "dim")
        plate.text(LEFT - 7, frame.y(watts) + 5, f"{watts}", "dim", "end")
    plate.text(LEFT - 7, TOP - 14, "W", "dim", "end")
    if charge:
        for part in (0.0, 0.5, 1.0):
            plate.line(PLATE_WIDTH - RIGHT, frame.level(part), PLATE_WIDTH - RIGHT + 4, frame.level(part), "dim")
            plate.text(PLATE_WIDTH - RIGHT + 7, frame.level(part) + 5, f"{part * 100:.0f}\u202f%", "dim")
    clock = budget.night.clock
    first = math.ceil(frame.start / HOUR) * HOUR
    first -= int(clock(first)[-2:]) * 60
    hours = [first + number * HOUR for number in range(int((frame.end - first) / HOUR) + 1)]
    hours = [hour for hour in hours if frame.start <= hour <= frame.end]
    every = max(1, math.ceil(len(hours) / 5))
    for number, hour in enumerate(hours):
        tall = number % every == 0
        plate.line(frame.x(hour), TOP + HEIGHT, frame.x(hour), TOP + HEIGHT + (5 if tall else 3), "dim")
        if tall:
            plate.text(frame.x(hour), TOP + HEIGHT + 20, clock(hour), "dim", "middle")


def _description(assembly: Assembly, budget: Budget, drawn: Array, worst: Circuit | None) -> str:
    times, night = budget.times, budget.night
    source = f"from {_in_words(worst)} " if worst is not None and len(budget.circuits) > 1 else ""
    mean = float(drawn @ times.hours / max(times.hours[times.on].sum(), 1e-9))
    words = (
        f"Power drawn {source}{dated(assembly, budget)}: {assembly.say(mean, 'power')} on average while it is on, "
        f"{assembly.say(float(drawn.max()), 'power')} at most. Pictures from {night.clock(times.first)} to "
        f"{night.clock(times.last)}, packed at {night.clock(times.packed)}."
    )
    if worst is None or worst.store is None:
        return words
    left = worst.left(worst.store.low) / worst.store.low
    if left >= 0:
        return f"{words} At the end {assembly.say(left, 'fraction')} is left of {holder(worst)}."
    empty = worst.instant_at(worst.store.low)
    return f"{words} {holder(worst)} may be empty at {night.clock(empty) if empty is not None else 'no time'}."
