"""Plate: a section through the train, to scale, with the cones of light and the place where light is cut."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import copysign
from types import MappingProxyType

from rigleaf.catalogue.models.train import OffAxisPickOff
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.image_train import light_physics as light
from rigleaf.chapters.image_train.mating import join
from rigleaf.chapters.image_train.train import Piece, Train
from rigleaf.chapters.image_train.view import (
    Opening,
    Seen,
    Survey,
    clear_at,
    guide_points,
    main_points,
    side_of_guide,
)
from rigleaf.chapters.svg import PLATE_WIDTH, Plate

WALL = 2.5
UNKNOWN_LENGTH, UNKNOWN_CLEAR = 10.0, 40.0
"""What stands in for an unsaid size, in mm; drawn dashed."""

SHORTEST = 1.0
"""Length in mm that is drawn where all pieces together have none."""

LEAST_CUT = 0.1
"""Length in mm by which a ray must run into a wall to be worth a mark."""

WORDS: Mapping[str, str] = MappingProxyType({
    "filter-drawer": "drawer", "filter-wheel": "wheel", "off-axis-pick-off": "pick-off", "tilt-plate": "tilt plate",
})  # fmt: skip
"""Short words for pieces whose kind is too long a word."""

CHARACTER = 9.0
"""Plate units that a character takes at most, where the plate is shown narrow and its lettering grows."""

LEAST_DIMENSION = 8.0
"""Plate units below which a dimension line is no line any more."""

LEFT, RIGHT, TOP, BOTTOM = 14.0, 30.0, 50.0, 72.0


@dataclass(frozen=True)
class Drawn:
    """One piece as it is drawn: its number, its ends in mm before the sensor, and half its free diameter."""

    number: int
    piece: Piece
    front: float
    rear: float
    radius: float

    @property
    def guessed(self) -> bool:
        """Whether its length or free diameter is unsaid."""
        return self.piece.length is None or _clear(self.piece) is None


def _clear(piece: Piece) -> float | None:
    """Return the free diameter of a piece, where it is stated or follows from a thread: the narrower of both sides."""
    sides = [side for side in (clear_at(piece, piece.front), clear_at(piece, piece.rear)) if side is not None]
    return min(diameter for diameter, _ in sides) if sides else None


def section_plate(assembly: Assembly, train: Train, survey: Survey | None) -> Drawing | None:
    """Draw the pieces behind the optic from rear surface to sensor; None where there is nothing to draw."""
    drawn = _layout(train)
    if not drawn:
        return None
    seen = survey.seen if survey else []
    length = max(drawn[0].front, SHORTEST)
    reach = _reach(assembly, drawn)
    scale = min((PLATE_WIDTH - LEFT - RIGHT) / length, 240 / (2 * reach))
    words = _words(assembly, drawn, seen)
    height = 2 * reach * scale + TOP + BOTTOM
    plate = Plate(f"{assembly.rig.id}-train", PLATE_WIDTH, height, "Section of the image train", words)
    spare = (PLATE_WIDTH - LEFT - RIGHT - length * scale) / 2
    frame = _Frame(PLATE_WIDTH - RIGHT - spare, TOP + reach * scale, scale)
    plate.line(frame.x(length) - 8, frame.y(0), frame.x(0) + 14, frame.y(0), "ink-2 hidden-line")
    for one in drawn:
        _draw_piece(plate, frame, one)
    _number(plate, frame, drawn, reach)
    _lengths(plate, frame, assembly, drawn, reach)
    _draw_sensors(plate, frame, assembly)
    rays = [(point, side_of_guide(assembly) if _is_guide(point) else 1) for point in seen]
    for point, side in rays:
        _draw_cone(plate, frame, point, side, length, reach)
    # The optic's own rear, or glass that is thicker than its holder is long, may lie where nothing is drawn.
    found = [
        one for one in (survey.openings.found if survey else ())
        if 0 <= one.distance <= length and one.diameter / 2 <= reach
    ]  # fmt: skip
    cuts = [cut for point, side in rays for cut in _cuts(point, side, found)]
    _draw_cuts(plate, frame, cuts)
    clashes = _draw_clashes(plate, frame, train, drawn, reach)
    _draw_back_focus(plate, frame, assembly, train, drawn, reach)
    return Drawing(
        "train",
        "Section of the image train",
        words,
        _caption(assembly, drawn, seen, bool(cuts), clashes),
        plate.render(),
    )


def _reach(assembly: Assembly, drawn: list[Drawn]) -> float:
    """Return how far above the axis anything but the cones reaches, in mm."""
    heights = [one.radius + WALL for one in drawn]
    heights += [point.height + 2 for point in (*main_points(assembly), *guide_points(assembly))]
    for one in drawn:
        heights += [held.clear_aperture.value / 2 for held in one.piece.filters if held.clear_aperture]
        part = one.piece.part
        if isinstance(part, OffAxisPickOff) and part.prism is not None and part.prism_offset is not None:
            heights.append(part.prism_offset.value + part.prism.value / 2)
    return max(heights)


@dataclass(frozen=True)
class _Frame:
    """From mm before the sensor and mm above the axis to the plate's units."""

    right: float
    axis: float
    scale: float

    def x(self, before: float) -> float:
        return self.right - before * self.scale

    def y(self, above: float) -> float:
        return self.axis - above * self.scale


def _layout(train: Train) -> list[Drawn]:
    """Place the pieces behind the optic, from the sensor upwards."""
    drawn: list[Drawn] = []
    rear = 0.0
    for number in range(len(train.pieces), 1, -1):
        piece = train.pieces[number - 1]
        rear += sum(shim.thickness.value for shim in piece.shims if shim.thickness)
        front = rear + (piece.length.value if piece.length else UNKNOWN_LENGTH)
        drawn.append(Drawn(number, piece, front, rear, (_clear(piece) or UNKNOWN_CLEAR) / 2))
        rear = front
    return list(reversed(drawn))


def _draw_piece(plate: Plate, frame: _Frame, one: Drawn) -> None:
    left, width = frame.x(one.front), (one.front - one.rear) * frame.scale
    style = "ink hidden-line" if one.guessed else "ink fill-tint"
    for above in (one.radius + WALL, -one.radius):
        plate.rect(left, frame.y(above), width, WALL * frame.scale, style)
    _draw_filters(plate, frame, one)
    _draw_prism(plate, frame, one)
    for shim in one.piece.shims:
        if shim.thickness:
            thick = shim.thickness.value * frame.scale
            for above in (one.radius + WALL, -one.radius):
                plate.rect(frame.x(one.rear), frame.y(above), thick, WALL * frame.scale, "ink fill-ink")


def _draw_filters(plate: Plate, frame: _Frame, one: Drawn) -> None:
    """Draw the glass of filters inside the piece that holds them, side by side."""
    many = len(one.piece.filters)
    for n, held in enumerate(one.piece.filters):
        clear = held.clear_aperture.value if held.clear_aperture else max(one.radius * 2 - 2, one.radius)
        room = (one.front - one.rear) / many
        glass = min(held.glass_thickness.value if held.glass_thickness else 2.0, room)
        left = frame.x(one.front - (n + 0.5) * room + glass / 2)
        plate.rect(left, frame.y(clear / 2), glass * frame.scale, clear * frame.scale, "ink hatch")


def _draw_prism(plate: Plate, frame: _Frame, one: Drawn) -> None:
    part = one.piece.part
    if not isinstance(part, OffAxisPickOff) or part.prism is None or part.prism_offset is None:
        return
    across, up = min(part.prism.value, one.front - one.rear) * frame.scale, part.prism.value * frame.scale
    left, top = frame.x((one.front + one.rear) / 2) - across / 2, frame.y(part.prism_offset.value) - up / 2
    plate.rect(left, top, across, up, "ink fill-paper")
    plate.line(left, top, left + across, top + up)


def _number(plate: Plate, frame: _Frame, drawn: list[Drawn], reach: float) -> None:
    """Number the pieces above the section, in two rows where they stand close."""
    last = -100.0
    low = False
    for one in drawn:
        middle = frame.x((one.front + one.rear) / 2)
        low = not low if middle - last < 22 else False
        y = frame.y(reach) - (24 if low else 8)
        plate.text(middle, y, str(one.number), "label", "middle")
        plate.line(middle, y + 4, middle, frame.y(one.radius + WALL), "dim")
        last = middle


def _lengths(plate: Plate, frame: _Frame, assembly: Assembly, drawn: list[Drawn], reach: float) -> None:
    """Write what each piece is and how long below the section, or the length alone, where there is room for it."""
    for one in drawn:
        length = "?" if one.piece.length is None else assembly.say(one.piece.length.value, "optical_length")
        length = length.removesuffix("\u00a0mm")
        word = WORDS.get(one.piece.part.kind, one.piece.part.kind)
        room, middle = (one.front - one.rear) * frame.scale, frame.x((one.front + one.rear) / 2)
        both = f"{word} {length}"
        words = both if room >= CHARACTER * len(both) else length if room >= 8.0 * len(length) else ""
        if words:
            plate.text(middle, frame.y(-reach) + 15, words, "dim", "middle")


def _draw_sensors(plate: Plate, frame: _Frame, assembly: Assembly) -> None:
    """Draw the main sensor along its diagonal and the guide sensor at its distance from the axis."""
    main, guide = main_points(assembly), guide_points(assembly)
    if main:
        half = main[1].height
        plate.rect(frame.x(0), frame.y(half), 4, 2 * half * frame.scale, "ink fill-ink")
    if guide:
        side = side_of_guide(assembly)
        heights = [point.height for point in guide]
        across = (max(heights) - min(heights)) * frame.scale
        plate.rect(frame.x(0), frame.y(max(side * height for height in heights)), 4, across, "accent fill-accent")
        plate.text(frame.x(0) + 8, frame.y(side * max(heights)) + 4, "g", "label")


def _is_guide(one: Seen) -> bool:
    return one.point.name.startswith("the guide")


def _draw_cone(plate: Plate, frame: _Frame, one: Seen, side: int, length: float, reach: float) -> None:
    """Draw both edges of a point's cone up to the left end; the point stands above the axis, or below (side -1)."""
    height = side * one.point.height
    style = "accent" if _is_guide(one) else "ink-2"
    for edge in _edges(one, side, length):
        # A cone that is wider than everything drawn ends at the edge of the drawing.
        part = (copysign(reach, edge) - height) / (edge - height) if abs(edge) > reach else 1.0
        plate.line(frame.x(part * length), frame.y(height + part * (edge - height)), frame.x(0), frame.y(height), style)


def _edges(one: Seen, side: int, distance: float) -> tuple[float, float]:
    """Return how high above the axis both edges of a point's cone are at a distance before the sensor, in mm."""
    middle = light.cone_centre(side * one.point.height, distance, one.beam.pupil)
    radius = light.cone_radius(distance, one.beam.focal_ratio)
    return middle + radius, middle - radius


def _cuts(one: Seen, side: int, found: list[Opening]) -> Iterator[tuple[float, float]]:
    """Yield the edge of every opening that a ray of the cone's edges runs into: the worst of each piece and side.

    Each is a distance before the sensor and a height above the axis in mm.
    """
    worst: dict[tuple[int, str, int], tuple[float, Opening]] = {}
    for opening in found:
        top, bottom = _edges(one, side, opening.distance)
        for wall, over in ((1, top - opening.diameter / 2), (-1, -bottom - opening.diameter / 2)):
            key = opening.place, opening.part, wall
            if over > LEAST_CUT and (key not in worst or over > worst[key][0]):
                worst[key] = over, opening
    for (_, _, wall), (_, opening) in worst.items():
        yield opening.distance, wall * opening.diameter / 2


def _draw_cuts(plate: Plate, frame: _Frame, cuts: list[tuple[float, float]]) -> None:
    """Mark the edges of the openings that cut a cone, each once."""
    for distance, height in dict.fromkeys(cuts):
        x, y = frame.x(distance), frame.y(height)
        plate.line(x - 6, y - 6, x + 6, y + 6, "accent")
        plate.line(x - 6, y + 6, x + 6, y - 6, "accent")


def _draw_clashes(plate: Plate, frame: _Frame, train: Train, drawn: list[Drawn], reach: float) -> bool:
    """Mark joints that do not mate with an upright stroke through the section; return whether there are any."""
    found = False
    before = {one.number: one for one in drawn}
    for number in range(1, len(train.pieces)):
        rear, front = train.pieces[number - 1].rear, train.pieces[number].front
        if join(rear, front) == "clashes":
            x = frame.x(before[number + 1].front)
            plate.line(x, frame.y(reach) - 2, x, frame.y(-reach) + 2, "accent hidden-line")
            found = True
    return found


def _draw_back_focus(
    plate: Plate, frame: _Frame, assembly: Assembly, train: Train, drawn: list[Drawn], reach: float
) -> None:
    """Draw the length behind the surface that counts, if every piece behind it has one."""
    if train.origin is None or any(piece.length is None for piece in train.behind) or not train.behind:
        return
    start = next((one.front for one in drawn if one.number == train.origin + 2), None)
    if start is not None and start * frame.scale > LEAST_DIMENSION:
        y = frame.y(-reach) + 32
        plate.dimension(frame.x(start), y, frame.x(0), y, assembly.say(start, "optical_length"))


def _words(assembly: Assembly, drawn: list[Drawn], seen: list[Seen]) -> str:
    names = ", ".join(one.piece.part.name for one in drawn)
    kept = "; ".join(f"{one.point.name} keeps {assembly.say(one.least, 'fraction')} of its light" for one in seen)
    return f"From the optic's rear to the sensor: {names}." + (f" {kept[:1].upper()}{kept[1:]}." if kept else "")


def _caption(assembly: Assembly, drawn: list[Drawn], seen: list[Seen], cut: bool, clashes: bool) -> str:
    text = "Section of the train to scale, sky at the left; the numbers are those of the list below, lengths are in mm."
    if assembly.optic is not None:
        text += " Number 1, the optic, ends where the section begins."
    if seen:
        text += " Thin lines are the cones of centre and corner"
        text += ", heavy ones that of the guide sensor (g)." if any(map(_is_guide, seen)) else "."
    if cut:
        text += " Crosses mark every wall that cuts light."
    if clashes:
        text += " Dashed strokes across mark joints that do not mate."
    if any(one.guessed for one in drawn):
        text += " Dashed pieces have a size that is not given."
    return text
