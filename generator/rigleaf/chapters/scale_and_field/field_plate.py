"""Plate: the sensors in the focal plane, with the field they see and the Moon for scale."""

from collections.abc import Mapping
from math import hypot, pi, tan

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing, Figure
from rigleaf.chapters.scale_and_field.inputs import Known
from rigleaf.chapters.svg import PLATE_WIDTH, Plate

MOON_ARCMIN = 31.1
"""Mean apparent diameter of the Moon, 2 x asin(1737.4 km / 384,400 km); radius and distance from memory."""

MARGIN_LEFT, MARGIN_RIGHT = 16.0, 48.0
MARGIN_DIMENSION, MARGIN_FREE = 42.0, 16.0
EDGE = 2.0  # the image circle ends this far inside the plate


def field_plate(assembly: Assembly, known: Known, figures: Mapping[str, Figure]) -> Drawing:
    """Draw main and second sensor to one scale, with image circle and the Moon's disc."""
    width, height, focal_length = known.width, known.height, known.focal_length
    second = _second(assembly)
    circle, circle_of = _image_circle(assembly)
    # The plate holds both sensors; the image circle may be cut by its edge. The width stands on the free side.
    left, right, top, bottom = -width / 2, width / 2, -height / 2, height / 2
    if second:
        x, y, w, h = second
        left, right = min(left, x - w / 2), max(right, x + w / 2)
        top, bottom = min(top, -y - h / 2), max(bottom, -y + h / 2)
    above = bool(second and second[1] < 0)
    room = PLATE_WIDTH - MARGIN_LEFT - MARGIN_RIGHT
    scale = min(room / (right - left), 320 / (bottom - top))
    margin_top, margin_bottom = (MARGIN_DIMENSION, MARGIN_FREE) if above else (MARGIN_FREE, MARGIN_DIMENSION)
    x0 = MARGIN_LEFT + (room - (right - left) * scale) / 2 - left * scale
    y0 = margin_top - top * scale
    words = _description(assembly, known, figures)
    height_in_all = (bottom - top) * scale + margin_top + margin_bottom
    plate = Plate(f"{assembly.rig.id}-field", PLATE_WIDTH, height_in_all, "Sensor and field of view", words)
    w2, h2 = width / 2 * scale, height / 2 * scale
    plate.rect(x0 - w2, y0 - h2, 2 * w2, 2 * h2, "ink fill-tint")
    circle_drawn = bool(circle) and _cut_circle(plate, x0, y0, (circle or 0) / 2 * scale)
    moon = 2 * focal_length * tan(MOON_ARCMIN / 60 / 2 * pi / 180)
    _moon(plate, x0, y0, 2 * w2, 2 * h2, moon * scale)
    if second:
        x, y, w, h = second
        plate.rect(x0 + (x - w / 2) * scale, y0 - (y + h / 2) * scale, w * scale, h * scale, "ink hatch")
        plate.text(x0 + (x + w / 2) * scale + 8, y0 - y * scale + 5, "guide sensor")
    say = assembly.say
    across = f"{_angle(assembly, figures['field-width'])} · {say(width, 'optical_length')}"
    line = y0 - h2 - 12 if above else y0 + h2 + 12
    plate.dimension(x0 - w2, line, x0 + w2, line, across, above=above)
    up = f"{_angle(assembly, figures['field-height'])} · {say(height, 'optical_length')}"
    plate.dimension(x0 + w2 + 14, y0 - h2, x0 + w2 + 14, y0 + h2, up)
    caption = (
        f"The sensor at a focal length of {say(focal_length, 'optical_length')}, with the Moon's mean disc for scale."
    )
    if circle:
        where = "Dashed: the" if circle_drawn else "Beyond the drawing's edge: the"
        caption += f" {where} image circle of {circle_of}, {say(circle, 'optical_length')} across."
    return Drawing("field", "Sensor and field of view", words, caption, plate.render())


def _angle(assembly: Assembly, figure: Figure) -> str:
    return assembly.say(figure.value, figure.dimension) if isinstance(figure.value, float) else "unsaid"


def _second(assembly: Assembly) -> tuple[float, float, float, float] | None:
    """Return centre and sides of the second sensor in mm, if all of them are known."""
    second = assembly.camera.guide_sensor if assembly.camera else None
    if second is None or second.offset is None or second.pixels is None or second.pixel is None:
        return None
    pixel = second.pixel.value / 1000
    return second.offset.x, second.offset.y, second.pixels.across * pixel, second.pixels.down * pixel


def _image_circle(assembly: Assembly) -> tuple[float | None, str]:
    """Return the image circle that counts and whose it is: the last corrector's, else the optic's."""
    for corrector in reversed(assembly.correctors):
        return (corrector.image_circle.value if corrector.image_circle else None), "the corrector"
    optic = assembly.optic
    return (optic.image_circle.value if optic and optic.image_circle else None), "the optic"


def _cut_circle(plate: Plate, x: float, y: float, radius: float) -> bool:
    """Draw the image circle as far as it lies inside the plate; return whether any of it does."""
    farthest = hypot(max(x, plate.width - x) - EDGE, max(y, plate.height - y) - EDGE)
    if radius >= farthest:
        return False
    clip = f"{plate.id}-clip"
    plate.marks.append(
        f'<clipPath id="{clip}"><rect x="{EDGE:g}" y="{EDGE:g}" width="{plate.width - 2 * EDGE:g}"'
        f' height="{plate.height - 2 * EDGE:.2f}"/>'
        "</clipPath>"
        f'<g clip-path="url(#{clip})">'
    )
    plate.circle(x, y, radius, "ink-2", "5 4")
    plate.marks.append("</g>")
    return True


def _moon(plate: Plate, x: float, y: float, width: float, height: float, diameter: float) -> None:
    """Draw the Moon's disc in a corner of the frame, or in its middle where it does not fit a corner."""
    if diameter < 3:
        plate.circle(x, y, max(diameter / 2, 0.6), "accent")
        plate.text(x, y + 16, "Moon", "label", "middle")
        return
    if diameter + 16 < min(width, height) / 2:
        x, y = x - width / 2 + diameter / 2 + 10, y - height / 2 + diameter / 2 + 10
    plate.circle(x, y, diameter / 2, "accent")
    if diameter > 56:
        plate.text(x, y + 5, "Moon", "label", "middle")
    else:
        plate.text(x + diameter / 2 + 6, y + 5, "Moon", "label")


def _description(assembly: Assembly, known: Known, figures: Mapping[str, Figure]) -> str:
    say = assembly.say
    words = (
        f"The frame covers {_angle(assembly, figures['field-width'])} by {_angle(assembly, figures['field-height'])} "
        f"of sky on a sensor of {say(known.width, 'optical_length')} by {say(known.height, 'optical_length')}; the "
        "Moon's disc, half a degree wide, is drawn for scale."
    )
    if "guide-offset" in figures:
        words += (
            f" A guide sensor stands beside it, {_angle(assembly, figures['guide-offset'])} from the frame's centre."
        )
    return words
