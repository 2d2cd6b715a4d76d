"""Plate: the sky around a target with its stars, its outline and what the rig's sensors see of it."""

from collections.abc import Callable, Iterator
from math import degrees, radians, tan
from typing import Final

import numpy as np

from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.in_the_frame.framing import Framed, limit_for
from rigleaf.chapters.in_the_frame.physics import Array
from rigleaf.chapters.in_the_frame.view import View
from rigleaf.chapters.in_the_frame.words import called
from rigleaf.chapters.svg import PLATE_WIDTH, Plate, number

LEFT, TOP, WIDTH, HEIGHT = 8.0, 8.0, PLATE_WIDTH - 16, 380.0
MIDDLE_X, MIDDLE_Y = LEFT + WIDTH / 2, TOP + HEIGHT / 2
ROOM: Final = 12.0
"""Units between the farthest corner and the plate's upper edge, so that the frame may be turned right round."""

MOST_STARS: Final = 160
BINS: Final = 5
THINNEST, THICKEST = 1.1, 5.1

BARS: Final = (20.0, 10.0, 5.0, 2.0, 1.0, 1 / 2, 1 / 3, 1 / 6, 1 / 12, 1 / 30, 1 / 60, 1 / 180, 1 / 360)
"""Lengths of a scale bar, deg."""

Say = Callable[[float, str], str]


def framing_plate(rig: str, view: View, framed: Framed, say: Say) -> Drawing:
    """Draw a target as the rig frames it, north up and east to the left, at the best angle.

    The main frame, the second sensor and the tick at the top edge form a group that a script may turn about the
    middle; ``data-angle`` has its position angle.
    """
    target = framed.target
    half = _half_height(view, framed)
    scale = (HEIGHT / 2 - ROOM) / half
    per_unit = half / (HEIGHT / 2 - ROOM)
    stars = stars_on(target.place, WIDTH / 2 * per_unit, HEIGHT / 2 * per_unit) if target.place else None
    id_ = f"frame-{target.id}"
    title = f"{target.name} in the frame"
    plate = Plate(f"{rig}-{id_}", PLATE_WIDTH, TOP + HEIGHT + 34, title, _description(framed, view, say))
    clip = f"{plate.id}-clip"
    plate.marks.append(
        f'<clipPath id="{clip}"><rect x="{LEFT:g}" y="{TOP:g}" width="{WIDTH:g}" height="{HEIGHT:g}"/></clipPath>'
        f'<g clip-path="url(#{clip})">'
    )
    if stars is not None:
        plate.marks += star_paths(*stars, scale)
    outline(plate, framed, scale)
    plate.marks.append(
        f'<g data-angle="{framed.angle:g}" data-middle="{MIDDLE_X:g} {MIDDLE_Y:g}"'
        f' transform="rotate({number(-framed.angle)} {MIDDLE_X:g} {MIDDLE_Y:g})">'
    )
    sensors(plate, view, scale)
    plate.marks.append("</g>")
    if view.biting_circle is not None:
        plate.circle(MIDDLE_X, MIDDLE_Y, view.biting_circle / 2 * scale, "ink-2", "5 4")
    plate.marks.append("</g>")
    plate.rect(LEFT, TOP, WIDTH, HEIGHT, "ink-2")
    if target.place:
        _arrows(plate)
    _scale_bar(plate, scale)
    _angle_label(plate, framed)
    caption = _caption(framed, view, stars[3] if stars else None)
    return Drawing(id_, title, plate.description, caption, plate.render())


def _half_height(view: View, framed: Framed) -> float:
    """Return half of the plate's height in deg of tangent plane.

    It holds both sensors at every angle, and of the outline as much as leaves them legible.
    """
    reach = view.reach
    return float(max(reach, min(framed.ellipse.major * 1.05, 2.2 * reach)))


def stars_on(
    place: tuple[float, float], wide: float, high: float, turn: float = 0.0, most: int = MOST_STARS
) -> tuple[Array, Array, Array, float]:
    """Return place and magnitude of the brightest stars on a field, and the magnitude of the faintest of them.

    Args:
        place: right ascension and declination of the middle, deg.
        wide: half of the field's width, deg of tangent plane.
        high: half of its height.
        turn: position angle of its upright, deg; the stars' xi and eta are along its sides.
        most: how many stars at most.
    """
    from rigleaf.sky.projection import project
    from rigleaf.sky.stars import stars_in_cone

    radius = min(float(np.degrees(np.arctan(np.radians(np.hypot(wide, high))))), 80.0)
    field = stars_in_cone(*place, radius, limit_for(6.0 * most, radius))
    east, north = project(field.ra, field.dec, *place)
    cos, sin = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    xi, eta = east * cos - north * sin, east * sin + north * cos
    on = np.flatnonzero((np.abs(xi) <= wide) & (np.abs(eta) <= high))[:most]
    faintest = float(field.mag[on].max()) if len(on) else 10.0
    return xi[on], eta[on], field.mag[on], faintest


def star_paths(xi: Array, eta: Array, mag: Array, faintest: float, scale: float) -> Iterator[str]:
    """Yield one path for each bin of magnitudes: dots are lines of no length with round ends."""
    if not len(mag):
        return
    # As bright as the fourth star and brighter is one bin, so that one very bright star does not shrink the others.
    brightest = float(np.sort(mag)[min(3, len(mag) - 1)])
    step = max((faintest - brightest) / BINS, 0.05)
    bins = np.clip((faintest - mag) / step, 0, BINS - 1).astype(int)
    x, y = MIDDLE_X - xi * scale, MIDDLE_Y - eta * scale
    for one in range(BINS):
        here = np.flatnonzero(bins == one)
        if len(here):
            dots = "".join(f"M{x[n]:.1f} {y[n]:.1f}h0" for n in here)
            width = THINNEST + (THICKEST - THINNEST) * one / (BINS - 1)
            yield f'<path class="stars" stroke-width="{width:.1f}" d="{dots}"/>'


def outline(plate: Plate, framed: Framed, scale: float) -> None:
    """Draw the target's outline about the middle of the plate, dashed where nobody has measured how it lies."""
    ellipse = framed.ellipse
    dashes = "" if framed.target.position_angle is not None or framed.target.place is None else "4 3"
    if ellipse.major * scale < 2:
        plate.circle(MIDDLE_X, MIDDLE_Y, 2, "accent")
    elif ellipse.round:
        plate.circle(MIDDLE_X, MIDDLE_Y, ellipse.major * scale, "accent", dashes)
    else:
        plate.marks.append(
            f'<ellipse class="accent" cx="{MIDDLE_X:g}" cy="{MIDDLE_Y:g}" rx="{number(ellipse.minor * scale)}"'
            f' ry="{number(ellipse.major * scale)}"'
            f' transform="rotate({number(-ellipse.angle)} {MIDDLE_X:g} {MIDDLE_Y:g})"/>'
        )


def sensors(plate: Plate, view: View, scale: float) -> None:
    """Draw both sensors with the picture's top upwards, and a tick at the top edge of the main one."""
    width, height = view.width * scale, view.height * scale
    plate.rect(MIDDLE_X - width / 2, MIDDLE_Y - height / 2, width, height, "ink")
    plate.line(MIDDLE_X, MIDDLE_Y - height / 2, MIDDLE_X, MIDDLE_Y - height / 2 - 7, "ink")
    if beside := view.beside:
        x, y = MIDDLE_X + beside.x * scale, MIDDLE_Y - beside.y * scale
        width, height = beside.width * scale, beside.height * scale
        plate.rect(x - width / 2, y - height / 2, width, height, "ink hatch")


def _arrows(plate: Plate) -> None:
    """Draw where north and east are, in the plate's upper left corner."""
    x, y, long = LEFT + 48.0, TOP + 60.0, 28.0
    plate.path([(x - long, y), (x, y), (x, y - long)], "ink-2")
    plate.path([(x - 4, y - long + 7), (x, y - long), (x + 4, y - long + 7)], "ink-2")
    plate.path([(x - long + 7, y - 4), (x - long, y), (x - long + 7, y + 4)], "ink-2")
    plate.text(x, y - long - 6, "N", "dim", "middle")
    plate.text(x - long - 4, y + 5, "E", "dim", "end")


def _scale_bar(plate: Plate, scale: float) -> None:
    fits = [bar for bar in BARS if _plane(bar) * scale <= 130]
    bar = fits[0] if fits else BARS[-1]
    long, y = _plane(bar) * scale, TOP + HEIGHT + 16
    plate.line(LEFT, y, LEFT + long, y, "dim")
    for x in (LEFT, LEFT + long):
        plate.line(x, y - 4, x, y + 4, "dim")
    plate.text(LEFT + long + 8, y + 5, _bar_words(bar), "dim")


def _plane(bar: float) -> float:
    """Length on the tangent plane of a bar about its middle."""
    return 2 * degrees(tan(radians(bar / 2)))


def _bar_words(bar: float) -> str:
    if bar >= 1:
        return f"{bar:g}°"
    return f"{bar * 60:g}′" if bar >= 1 / 60 else f"{bar * 3600:.0f}″"


def _angle_label(plate: Plate, framed: Framed) -> None:
    """Write the position angle where the script finds it again."""
    if framed.target.place is None:
        return
    plate.marks.append(
        f'<text class="dim" x="{LEFT + WIDTH:g}" y="{TOP + HEIGHT + 21:g}" text-anchor="end">position angle '
        f'<tspan data-turned="">{framed.angle:.0f}°</tspan></text>'
    )


def _description(framed: Framed, view: View, say: Say) -> str:
    words = f"The frame around {called(framed.target)}"
    if framed.whole:
        words += f", which it holds whole and which fills {say(framed.fill, 'fraction')} of one of its sides"
    else:
        words += f", of which it holds {say(framed.share, 'fraction')}"
    if framed.target.place:
        words += f"; north is up, east to the left, and the frame's position angle is {framed.angle:.0f}°"
    if framed.stars is not None and view.beside is not None:
        word = {0: "no star", 1: "one star"}.get(framed.stars, f"{framed.stars} stars")
        words += f". The second sensor holds {word} to G\u00a0=\u00a010"
    return f"{words}."


def _caption(framed: Framed, view: View, faintest: float | None) -> str:
    target = framed.target
    name = called(target)
    words = f"{name[:1].upper()}{name[1:]} in the frame"
    if target.place:
        words += f" at a position angle of {framed.angle:.0f}°"
    if faintest is not None:
        words += f", with stars to magnitude {faintest:.1f}"
    words += ". The tick marks the frame's top edge."
    if target.place and target.position_angle is None:
        words += " The outline is dashed: nobody has measured a direction of its longest extent."
    if view.beside is not None:
        words += " Hatched: the guide sensor."
    if view.biting_circle is not None:
        words += " The dashed circle in ink is the edge of the image circle."
    return words
