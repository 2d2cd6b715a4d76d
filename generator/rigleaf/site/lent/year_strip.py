"""A year of one rig as a narrow strip: when it is out, overdue, spoken for or short of a part, and where today is.

The states differ in shape and ink, not in colour: out is solid, overdue is solid and split lengthwise, spoken for is
hatched, short is a dashed outline of half the height, due back is a row of dots, and a day on which all of it is here
is bare. The months are drawn once, by `year_axis`, and every strip refers to them.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from rigleaf.catalogue.days import days_in_words
from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.chapters.svg import PLATE_WIDTH, Plate, number
from rigleaf.lending.phases import Phase, State
from rigleaf.words import tr

TOP, FOOT, HEIGHT = 5.0, 21.0, 42.0
"""Upper and lower edge of the bars, and height of the strip, in units of the drawing, which is PLATE_WIDTH wide."""

_MIDDLE = (TOP + FOOT) / 2
_TICK, _LETTERS = FOOT + 4, HEIGHT - 4
AXIS = "rl-year-axis"
"""Id of the drawing of the months, to which all strips on a page refer."""

_POINT = 6.0
_SOLID = ("out", "overdue")
_ONE_DAY = dt.timedelta(days=1)


class Scale:
    """Days from one to another, both included, along the width of a strip."""

    def __init__(self, first: dt.date, last: dt.date) -> None:
        self.first, self.last = first, last
        self.days = (last - first).days + 1

    def x(self, day: dt.date, part: float = 0) -> float:
        """Return where a day begins, or the place a part of the day later; days outside count as its ends."""
        return PLATE_WIDTH * min(max((day - self.first).days + part, 0), self.days) / self.days

    def months(self) -> list[dt.date]:
        """Return the first day of each month, that of the first one being the scale's."""
        found, day = [], self.first
        while day <= self.last:
            found.append(day)
            month = day.year * 12 + day.month
            if month // 12 > dt.MAXYEAR:
                break
            day = dt.date(month // 12, month % 12 + 1, 1)
        return found


def year_strip(id_: str, name: str, phases: Sequence[Phase], first: dt.date, last: dt.date, on: dt.date) -> str:
    """Return a rig's strip as SVG.

    Args:
        id_: begins the ids in the drawing.
        name: what the rig is called.
        phases: what can be had of it, from ``first`` on.
        first: the first day that is shown.
        last: the last one.
        on: where today's line stands before a script moves it.
    """
    scale = Scale(first, last)
    shown = _runs(phase for phase in phases if phase.first <= last and (phase.last is None or phase.last >= first))
    plate = Plate(id_, PLATE_WIDTH, HEIGHT, tr("The year of {name}", name=name), _in_words(shown, first, last))
    for phase in shown:
        begin = scale.x(phase.first)
        _bar(plate, phase.state, begin, PLATE_WIDTH if phase.last is None else scale.x(phase.last, 1), phase.last)
    for one, two in pairwise(shown):
        if one.state in _SOLID and two.state in _SOLID:
            plate.line(scale.x(two.first), TOP, scale.x(two.first), FOOT, "rl-bar-gap")
    plate.marks.append(f'<use href="#{AXIS}"/>')
    _today(plate, scale, on)
    return plate.render()


def year_axis(first: dt.date, last: dt.date) -> str:
    """Return what all strips of a page refer to, as SVG not seen by itself: base line, months, their names."""
    scale = Scale(first, last)
    plate = Plate(AXIS, PLATE_WIDTH, HEIGHT, "", "")
    plate.line(0, FOOT, PLATE_WIDTH, FOOT, "ink-2")
    _months(plate, scale)
    return (
        '<svg class="plate-svg plate-480 rl-hush" width="0" height="0" aria-hidden="true" focusable="false">'
        f'<g id="{AXIS}">{"".join(plate.marks)}</g></svg>'
    )


def _runs(phases: Iterable[Phase]) -> list[Phase]:
    """Return phases of which those that look alike are one: what a rig is short of, or waits for, is not drawn."""
    found: list[Phase] = []
    for phase in phases:
        if found and found[-1].state == phase.state and phase.state not in _SOLID:
            found[-1] = replace(found[-1], last=phase.last)
        else:
            found.append(phase)
    return found


def _bar(plate: Plate, state: State, begin: float, end: float, last: dt.date | None) -> None:
    if state in _SOLID:
        if last is None:
            tip = max(begin, end - _POINT)
            plate.path([(begin, TOP), (tip, TOP), (end, _MIDDLE), (tip, FOOT), (begin, FOOT)], "rl-bar", close=True)
        else:
            plate.rect(begin, TOP, end - begin, FOOT - TOP, "rl-bar")
        if state == "overdue":
            plate.line(begin, _MIDDLE, end, _MIDDLE, "rl-bar-split")
    elif state == "spoken for":
        plate.rect(begin, TOP, end - begin, FOOT - TOP, "ink hatch")
    elif state == "due back":
        plate.line(begin, _MIDDLE, end, _MIDDLE, "ink rl-bar-due")
    elif state == "short":
        plate.rect(begin, _MIDDLE, end - begin, FOOT - _MIDDLE, "ink rl-bar-short")


def _months(plate: Plate, scale: Scale) -> None:
    months = scale.months()
    ends = [*months[1:], scale.last + _ONE_DAY] if scale.last < dt.date.max else [*months[1:], scale.last]
    ticks = "".join(f"M{number(scale.x(month))} {number(FOOT)}V{number(_TICK)}" for month in months)
    plate.marks.append(f'<path class="ink-2" d="{ticks}M{number(PLATE_WIDTH)} {number(FOOT)}V{number(_TICK)}"/>')
    names = "".join(
        f'<tspan x="{number((scale.x(month) + scale.x(end)) / 2)}">{tr(MONTHS[month.month - 1])[:3]}</tspan>'
        for month, end in zip(months, ends, strict=True)
    )
    plate.marks.append(f'<text class="dim" y="{number(_LETTERS)}" text-anchor="middle">{names}</text>')


def _today(plate: Plate, scale: Scale, on: dt.date) -> None:
    """Draw the line of today through the middle of its day; lending.js moves it."""
    place = f"translate({number(scale.x(on, 0.5))} 0)"
    plate.marks.append(
        f'<g data-rl-first="{scale.first}" data-rl-days="{scale.days}" transform="{place}">'
        f'<path class="rl-today-edge" d="M0 {number(TOP)}V{number(FOOT)}"/>'  # parts it from a solid bar of its own ink
        f'<path class="accent" d="M0 0V{number(_TICK)}"/><path class="fill-accent" d="M-4 0h8L0 5z"/></g>'
    )


def _in_words(phases: Sequence[Phase], first: dt.date, last: dt.date) -> str:
    said = []
    for phase in phases:
        if phase.state != "here":
            ends = last if phase.last is None else min(phase.last, last)
            days = days_in_words(max(phase.first, first), ends)
            said.append(f"{phase.state} {days}{' and on, nobody knows how long' if phase.last is None else ''}")
    text = "; ".join(said) if said else tr("here all the time")
    return f"{days_in_words(first, last)}: {text}."
