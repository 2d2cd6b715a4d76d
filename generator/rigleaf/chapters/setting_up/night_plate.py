"""Plate: the evening and the morning of a night out as a time line by the clocks of the place."""

from collections.abc import Iterator
from math import ceil, floor
from typing import NamedTuple

import numpy as np

from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.night_out.chosen import ChosenNight
from rigleaf.chapters.setting_up.schedule import Schedule, Timed
from rigleaf.chapters.svg import PLATE_WIDTH, Plate
from rigleaf.chapters.under_the_sky.place_sky import clock_in_words
from rigleaf.sky.night import LEVELS

LEFT, RIGHT, GAP, TOP, ROW, BAR = 140.0, 12.0, 12.0, 30.0, 25.0, 11.0
BEFORE, AFTER = 10 * 60.0, 25 * 60.0
"""Seconds shown before arriving and after packing, and of the pictures on both sides of the gap."""
SKY = ("star_alignment", "polar_alignment", "collimation", "focus", "guiding", "framing")
ROWS = ("Carrying", "Building", "Cooling down", "Align and focus", "Pictures", "Taking down")
TICKS = (15, 30, 60, 120)
"""Minutes between the clock's marks."""
LABEL = 56.0
"""Room that a time of day takes when lettering is large."""


class Panel(NamedTuple):
    """One stretch of time: its instants and its edges on the plate."""

    begin: float
    end: float
    left: float
    right: float

    def x(self, instant: float) -> float:
        """Return where an instant stands."""
        return self.left + (instant - self.begin) / (self.end - self.begin) * (self.right - self.left)


def night_plate(id_: str, night: ChosenNight, times: Schedule) -> Drawing:
    """Draw arrival, steps, twilight, cool-down and the first exposure; then the last one and packing.

    Args:
        id_: what the plate belongs to; ids inside it begin so.
        night: which night.
        times: its times.
    """
    evening, morning = _panels(times)
    bars = list(_bars(times, evening, morning))
    # What a rig has no step for has no row.
    rows = [row for row in range(len(ROWS)) if any(bar[1] == row for bar in bars)]
    depth = ROW * len(rows)
    height = TOP + depth + 26
    words = _description(night, times)
    plate = Plate(f"{id_}-night-out", PLATE_WIDTH, height, "The night out", words)
    tinted = [_twilight(plate, night, panel, depth) for panel in (evening, morning)]
    for place, row in enumerate(rows):
        plate.text(LEFT - 8, _y(place) + BAR, ROWS[row], "label", "end")
    for panel, row, begin, end, style in bars:
        left, right = panel.x(max(begin, panel.begin)), panel.x(min(end, panel.end))
        plate.rect(left, _y(rows.index(row)), max(right - left, 1.0), BAR, style)
    for panel in (evening, morning):
        plate.rect(panel.left, TOP, panel.right - panel.left, depth, "ink")
        _clock(plate, night, panel, TOP + depth)
    _marks(plate, night, times, (evening, morning), TOP + depth)
    caption = (
        f"{night.date_words}, {clock_in_words(night.place)}. Lines: arrive {night.clock(times.arrive)}, first exposure "
        f"{night.clock(times.first)}, last exposure ends {night.clock(times.last)}, packed {night.clock(times.packed)}."
    )
    if any(tinted):
        caption += " The tone grows fuller from sunset over the three twilights to darkness."
    return Drawing("night-out", "The night out", words, caption, plate.render())


def _marks(plate: Plate, night: ChosenNight, times: Schedule, panels: tuple[Panel, Panel], bottom: float) -> None:
    """Draw the four instants that count, each with its time of day; the last two keep clear of each other."""
    evening, morning = panels
    edge = morning.right
    where = (
        (evening, times.arrive, evening.x(times.arrive), "start"),
        (evening, times.first, evening.x(times.first), "middle"),
        (morning, times.last, min(morning.x(times.last), edge - LABEL), "end"),
        (morning, times.packed, edge, "end"),
    )
    for panel, instant, label, anchor in where:
        x = panel.x(instant)
        plate.line(x, TOP - 6, x, bottom, "accent")
        plate.text(label, TOP - 11, night.clock(instant), "label", anchor)


def _y(row: int) -> float:
    return TOP + row * ROW + (ROW - BAR) / 2


def _panels(times: Schedule) -> tuple[Panel, Panel]:
    """Return evening and morning, both to the same scale."""
    begin, end = times.arrive - BEFORE, times.first + AFTER
    again, packed = times.last - AFTER, times.packed + BEFORE
    room = PLATE_WIDTH - LEFT - RIGHT - GAP
    share = (end - begin) / (end - begin + packed - again)
    middle = LEFT + room * share
    return Panel(begin, end, LEFT, middle), Panel(again, packed, middle + GAP, PLATE_WIDTH - RIGHT)


def _bars(times: Schedule, evening: Panel, morning: Panel) -> Iterator[tuple[Panel, int, float, float, str]]:
    """Yield every bar: panel, row, begin, end, style. The hands' steps touch; each keeps its outline."""
    step = "ink fill-paper"
    for one in times.steps:
        yield evening, _row(one), one.start, one.end, step
    yield evening, 4, times.first, evening.end, "shade fill-accent"
    yield morning, 4, morning.begin, times.last, "shade fill-accent"
    for one in times.teardown:
        yield morning, 0 if one.step.id == "unload" else 5, one.start, one.end, step


def _row(one: Timed) -> int:
    if one.step.id == "unload":
        return 0
    if not one.step.hands:
        return 2
    return 3 if one.step.id in SKY else 1


def _twilight(plate: Plate, night: ChosenNight, panel: Panel, depth: float) -> bool:
    """Tint a panel once for each level below which the Sun stands; say whether anything was tinted."""
    samples = np.linspace(panel.begin, panel.end, 121)
    sun = night.nights.sun_altitude(samples)
    for level in LEVELS:
        under = np.flatnonzero(sun < level)
        if len(under):
            left, right = panel.x(samples[under[0]]), panel.x(samples[under[-1]])
            plate.rect(left, TOP, right - left, depth, "shade", 0.13)
    return bool(sun.min() < LEVELS[0])


def _clock(plate: Plate, night: ChosenNight, panel: Panel, bottom: float) -> None:
    """Mark round times below a panel, as many as there is room for."""
    minute = (panel.right - panel.left) / (panel.end - panel.begin) * 60
    every = next((ticks for ticks in TICKS if ticks * minute >= LABEL), TICKS[-1]) * 60.0
    offset = night.nights.site.clock(panel.begin).utcoffset()
    shift = offset.total_seconds() if offset is not None else 0.0
    for number in range(ceil((panel.begin + shift) / every), floor((panel.end + shift) / every) + 1):
        instant = number * every - shift
        x = panel.x(instant)
        plate.line(x, bottom, x, bottom + 5, "dim")
        if panel.left - 4 <= x <= PLATE_WIDTH - 22:
            plate.text(x, bottom + 21, night.clock(instant), "dim", "middle")


def _description(night: ChosenNight, times: Schedule) -> str:
    """Say in words what the plate shows."""
    said = "; ".join(f"{night.clock(one.start)} {one.step.name.casefold()}" for one in times.steps)
    packing = "; ".join(f"{night.clock(one.start)} {one.step.name.casefold()}" for one in times.teardown)
    return (
        f"{night.date_words} at {night.place.name}. Arrive at {night.clock(times.arrive)}. {said}. First "
        f"exposure at {night.clock(times.first)}, the last one ends at {night.clock(times.last)}. {packing}. Packed at "
        f"{night.clock(times.packed)}."
    )
