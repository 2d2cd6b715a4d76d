"""Plate: signal to noise against hours, for the targets of a rig."""

from math import log10, sqrt

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.guiding_and_exposure.hours_study import Taken
from rigleaf.chapters.svg import PLATE_WIDTH, Plate

MOST_LINES = 6
LEFT, RIGHT, TOP, HEIGHT = 48.0, 150.0, 14.0, 250.0
HOURS = (0.25, 100.0)
RATIOS = (1.0, 200.0)
MARKS_X = (0.5, 1, 2, 5, 10, 20, 50)
MARKS_Y = (2, 5, 10, 20, 50, 100)


def _x(hours: float) -> float:
    low, high = (log10(end) for end in HOURS)
    return LEFT + (log10(hours) - low) / (high - low) * (PLATE_WIDTH - LEFT - RIGHT)


def _y(ratio: float) -> float:
    low, high = (log10(end) for end in RATIOS)
    return TOP + HEIGHT - (log10(ratio) - low) / (high - low) * HEIGHT


def hours_plate(assembly: Assembly, found: list[Taken]) -> Drawing:
    """Draw a line for each target; where one crosses the level asked for, its hours are read off below."""
    say, wanted = assembly.say, assembly.choice("signal_to_noise").value
    shown = _spread(sorted(found, key=lambda one: -one.an_hour))
    words = "; ".join(f"{one.target.name} {say(one.time, 'time')}" for one in shown)
    title = "Signal to noise against hours"
    description = f"Time until signal to noise {say(wanted, 'number')} on each pixel: {words}."
    plate = Plate(f"{assembly.rig.id}-hours", PLATE_WIDTH, TOP + HEIGHT + 48, title, description)
    night = min(max(assembly.choice("night_hours").value / 3600, HOURS[0]), HOURS[1])
    plate.rect(LEFT, TOP, _x(night) - LEFT, HEIGHT, "fill-tint")
    plate.rect(LEFT, TOP, PLATE_WIDTH - LEFT - RIGHT, HEIGHT)
    for mark in MARKS_X:
        plate.line(_x(mark), TOP + HEIGHT, _x(mark), TOP + HEIGHT + 4)
        plate.text(_x(mark), TOP + HEIGHT + 20, f"{mark:g}", "dim", "middle")
    for level in MARKS_Y:
        plate.line(LEFT - 4, _y(level), LEFT, _y(level))
        plate.text(LEFT - 8, _y(level) + 5, f"{level:g}", "dim", "end")
    if RATIOS[0] < wanted < RATIOS[1]:
        plate.line(LEFT, _y(wanted), PLATE_WIDTH - RIGHT, _y(wanted), "accent")
    taken_heights: list[float] = []
    for one in shown:
        height = _line(plate, one.an_hour)
        if height is None:
            continue
        taken_heights.append(max(height, taken_heights[-1] + 17) if taken_heights else height)
        plate.text(PLATE_WIDTH - RIGHT + 8, taken_heights[-1] + 5, _short(one.target.name))
    plate.text((LEFT + PLATE_WIDTH - RIGHT) / 2, TOP + HEIGHT + 40, "hours of exposure", "dim", "middle")
    caption = (
        f"Signal to noise on each pixel against hours of exposure, both growing by factors. The accented level is "
        f"{say(wanted, 'number')}; the tint is one night. Four times the hours bring twice the signal to noise."
    )
    return Drawing("hours", title, description, caption, plate.render())


def _spread(ranked: list[Taken]) -> list[Taken]:
    """Return the easiest, the hardest and as many between as the plate holds, evenly chosen."""
    if len(ranked) <= MOST_LINES:
        return ranked
    step = (len(ranked) - 1) / (MOST_LINES - 1)
    return [ranked[round(step * number)] for number in range(MOST_LINES)]


def _line(plate: Plate, an_hour: float) -> float | None:
    """Draw one target's line inside the frame; return the height at which it ends, or None where it is not in it."""
    begin = max(HOURS[0], (RATIOS[0] / an_hour) ** 2)
    end = min(HOURS[1], (RATIOS[1] / an_hour) ** 2)
    if begin >= end:
        return None
    start, stop = (_x(begin), _y(an_hour * sqrt(begin))), (_x(end), _y(an_hour * sqrt(end)))
    plate.line(*start, *stop)
    return stop[1]


def _short(name: str) -> str:
    """A name as a plate's margin holds it: its designation where it ends in one."""
    inner = name[name.rfind("(") + 1 : -1] if name.endswith(")") else name
    return inner if len(inner) <= 18 else inner[:17].rstrip() + "…"
