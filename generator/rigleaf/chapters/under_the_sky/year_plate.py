"""Plate: the nights of a year, from noon to noon, with twilight, darkness, the Moon, and the targets' seasons."""

import datetime as dt
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.formatting import show
from rigleaf.chapters.svg import PLATE_WIDTH, Plate, number
from rigleaf.chapters.under_the_sky.gaps import gap_in_words
from rigleaf.chapters.under_the_sky.place_sky import date_in_words
from rigleaf.sky.night import LEVELS, Nights
from rigleaf.sky.seasons import Season

LEFT, RIGHT, TOP, HEIGHT = 50.0, 12.0, 12.0, 230.0
STEP = 5
"""Nights between the points of a band's edge."""
UNIT = 120.0
"""Seconds in the unit in which edges are written: whole numbers keep the plate small."""
SEASON_HOURS = 1.0
"""Dark hours of a night from which on it belongs to a target's season, whatever the Moon does."""
ROW, BAR = 27.0, 5.0

Array = NDArray[np.float64]
Span = tuple[int, float, float]


def year_plate(id_: str, name: str, found: Nights, seasons: Sequence[tuple[str, Season]] = ()) -> Drawing:
    """Draw the nights of a place side by side.

    Args:
        id_: what the plate belongs to; ids inside it begin so.
        name: what the place is called.
        found: its nights.
        seasons: targets whose seasons stand below, with their names.
    """
    top, bottom = _window(found)
    across = (PLATE_WIDTH - LEFT - RIGHT) / len(found.dates)
    down = HEIGHT * UNIT / (bottom - top)
    words = _description(name, found, seasons)
    height = TOP + HEIGHT + 28 + ROW * len(seasons)
    plate = Plate(f"{id_}-year", PLATE_WIDTH, height, "The nights of the year", words)
    plate.marks.append(f'<g transform="translate({LEFT:g} {TOP:g}) scale({across:.4f} {down:.4f})">')
    for level in range(len(LEVELS)):
        path = "".join(_outline(piece, top) for piece in _pieces(found, level, top, bottom))
        if path:
            plate.marks.append(f'<path class="shade" fill-opacity=".13" d="{path}"/>')
    moonless = _strokes(found, top)
    if moonless:
        plate.marks.append(f'<path stroke-opacity=".5" d="{moonless}"/>')
    plate.marks.append("</g>")
    plate.rect(LEFT, TOP, PLATE_WIDTH - LEFT - RIGHT, HEIGHT, "ink")
    _hours(plate, top, bottom)
    _months(plate, found, across)
    _seasons(plate, seasons, across)
    caption = (
        f"The nights of {found.year} at {name}. The tone grows fuller from sunset over civil, nautical and "
        "astronomical twilight to darkness, and is fullest while the Moon is down."
    )
    if seasons:
        lowest = show(seasons[0][1].lowest, "angle").first
        caption += f" Bars: nights with at least an hour of darkness in which the target stands above {lowest}."
    return Drawing("year", "The nights of the year", words, caption, plate.render())


def _midday(found: Nights) -> Array:
    """Return noon of each date by the clock's standard time: summer time moves no curve."""
    offsets = [found.site.clock(float(noon)).utcoffset() for noon in found.instants[::30, 0]]
    standard = min(offset.total_seconds() for offset in offsets if offset is not None)
    first = (found.dates[0] - dt.date(1970, 1, 1)).days * 86_400.0 + 43_200.0 - standard
    return np.asarray(first + np.arange(len(found.dates)) * 86_400.0, dtype=np.float64)


def _window(found: Nights) -> tuple[float, float]:
    """Return the seconds after noon between which the plate shows the nights, at full hours."""
    midday = _midday(found)
    dusk, dawn = found.dusk[:, 0] - midday, found.dawn[:, 0] - midday
    if np.isnan(dusk).any():
        return float((found.instants[:, 0] - midday).max()), float((found.instants[:, -1] - midday).min())
    return (math.floor(float(dusk.min()) / 3600) * 3600.0, math.ceil(float(dawn.max()) / 3600) * 3600.0)


def _pieces(found: Nights, level: int, top: float, bottom: float) -> list[list[Span]]:
    """Return the runs of nights that sink below a level, with its begin and end in seconds after noon."""
    midday = _midday(found)
    below = found.bands[:, level + 1 :].sum(axis=1)
    pieces: list[list[Span]] = [[]]
    last = len(midday) - 1
    for night, noon in enumerate(midday.tolist()):
        if below[night] <= 0:
            pieces.append([])
            continue
        edges = night in (0, last) or below[night - 1] <= 0 or below[night + 1] <= 0
        if night % STEP and not edges:
            continue
        begin, end = (float(found.dusk[night, level]) - noon, float(found.dawn[night, level]) - noon)
        begin, end = (top if math.isnan(begin) else begin), (bottom if math.isnan(end) else end)
        pieces[-1].append((night, min(max(begin, top), bottom), min(max(end, top), bottom)))
    return [piece for piece in pieces if piece]


def _outline(piece: Sequence[Span], top: float) -> str:
    """Return the closed path around a run of nights, in nights and UNITs."""
    there = [(night, round((begin - top) / UNIT)) for night, begin, _ in piece]
    back = [(night + 1, round((end - top) / UNIT)) for night, _, end in reversed(piece)]
    # Each edge begins at the start of its first night and ends at the end of its last.
    points = [*there, (piece[-1][0] + 1, there[-1][1]), *back, (piece[0][0], back[-1][1])]
    (x, y), *rest = points
    steps = []
    for to_x, to_y in rest:
        steps.append(_pair(to_x - x, to_y - y))
        x, y = to_x, to_y
    return f"M{points[0][0]} {points[0][1]}l{' '.join(steps)}z"


def _strokes(found: Nights, top: float) -> str:
    """Return one upright stroke for each dark stretch without the Moon, as wide as a night."""
    midday = _midday(found).tolist()
    steps, x, y = [], 0, 0
    for night, begin, end in found.spans(found.when_moonless):
        from_y = round((begin - midday[night] - top) / UNIT)
        length = max(round((end - begin) / UNIT), 1)
        steps.append(f"m{_pair(night - x, from_y - y)}v{length}")
        x, y = night, from_y + length
    return f"M.5 0{''.join(steps)}" if steps else ""


def _pair(x: int, y: int) -> str:
    """Return two numbers of a path as short as they can be."""
    return f"{x} {y}" if y >= 0 else f"{x}{y}"


def _hours(plate: Plate, top: float, bottom: float) -> None:
    """Write the hours of standard time beside the nights."""
    span = (bottom - top) / 3600
    every = 3 if span > 9 else 2
    for hour in range(math.ceil(top / 3600), math.floor(bottom / 3600) + 1):
        clock = (hour + 12) % 24
        y = TOP + (hour * 3600 - top) / (bottom - top) * HEIGHT
        if clock % every or not TOP + 4 < y < TOP + HEIGHT - 4:
            continue
        plate.line(LEFT - 4, y, LEFT, y, "dim")
        plate.text(LEFT - 7, y + 5, f"{clock}:00", "dim", "end")


def _months(plate: Plate, found: Nights, across: float) -> None:
    starts = [LEFT + int(np.searchsorted(found.months, month)) * across for month in range(len(MONTHS))]
    plate.marks.append(f'<path class="dim" d="{"".join(f"M{number(x)} {TOP:g}v{HEIGHT:g}" for x in starts[1:])}"/>')
    for x, name in zip(starts, MONTHS, strict=True):
        plate.text(x + 15.2 * across, TOP + HEIGHT + 18, name[:3], "dim", "middle")


def _seasons(plate: Plate, seasons: Sequence[tuple[str, Season]], across: float) -> None:
    """Draw each target's season as a bar under its name."""
    lines, bars = [], []
    for row, (name, season) in enumerate(seasons):
        y = TOP + HEIGHT + 28 + ROW * row
        plate.text(LEFT, y + 15, name, "label")
        lines.append(f"M{LEFT:g} {number(y + 23)}H{PLATE_WIDTH - RIGHT:g}")
        good = [0, *(season.dark >= SEASON_HOURS).astype(int).tolist(), 0]
        edges = [night for night in range(len(good) - 1) if good[night] != good[night + 1]]
        for first, last in zip(edges[::2], edges[1::2], strict=True):
            x, width = number(LEFT + first * across), number((last - first) * across)
            bars.append(f"M{x} {number(y + 23 - BAR / 2)}h{width}v{BAR:g}h-{width}z")
    if lines:
        plate.marks.append(f'<path class="dim" d="{"".join(lines)}"/>')
    if bars:
        plate.marks.append(f'<path class="shade fill-accent" d="{"".join(bars)}"/>')


def _description(name: str, found: Nights, seasons: Sequence[tuple[str, Season]]) -> str:
    """Say in words what the plate shows."""
    longest = int(found.dark.argmax())
    gap = gap_in_words(found)
    dark = f"Darkness lasts longest in the night of {date_in_words(found, longest)}, {_hours_of(found.dark[longest])}."
    if gap:
        dark += f" It does not grow dark {gap}."
    else:
        shortest = int(found.dark.argmin())
        words = _hours_of(found.dark[shortest])
        dark += f" It is shortest in the night of {date_in_words(found, shortest)}, {words}."
    year = (
        f"In the year there are {_hours_of(found.dark.sum())} of darkness, {_hours_of(found.moonless.sum())} moonless."
    )
    below = " Below, the seasons of " + ", ".join(target for target, _ in seasons) + "." if seasons else ""
    return f"The nights of {found.year} at {name}, from dusk to dawn through the year. {dark} {year}{below}"


def _hours_of(hours: float) -> str:
    return show(float(hours), "hours").first
