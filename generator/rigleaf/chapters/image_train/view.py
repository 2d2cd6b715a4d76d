"""What a point of a sensor sees of the sky: the openings of the train, the beam's bounds, and what cuts the light."""

from dataclasses import dataclass, replace
from math import hypot, inf

from rigleaf.catalogue.models.connections import Connection
from rigleaf.catalogue.models.optics import Corrector
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.image_train import light_physics as light
from rigleaf.chapters.image_train import physics
from rigleaf.chapters.image_train.train import Piece, Train, shift_of

WALL_MM = 1.0
"""Wall left below a male thread where nobody states the bore (common practice, no source)."""


@dataclass(frozen=True)
class Opening:
    """One round opening: whose it is, what it is called, its distance to the sensor and its diameter in mm.

    ``place`` is the index in the train of the piece that it belongs to, or that holds it.
    """

    part: str
    name: str
    distance: float
    diameter: float
    stated: bool
    place: int

    @property
    def hole(self) -> light.Hole:
        """The opening as the physics takes it."""
        return light.Hole(self.distance, self.diameter)


@dataclass(frozen=True)
class Point:
    """One place on a sensor, in mm from the axis."""

    name: str
    x: float
    y: float

    @property
    def height(self) -> float:
        """Distance from the axis."""
        return hypot(self.x, self.y)


@dataclass(frozen=True)
class Seen:
    """What one point keeps of its light: by the darker and the brighter of both bounds, and what cuts it."""

    point: Point
    least: float
    most: float
    culprit: Opening | None
    beam: light.Beam


@dataclass(frozen=True)
class Openings:
    """The openings from the camera up to the last lens, and the part whose unsaid length ends them early, if any."""

    found: list[Opening]
    unmeasured: Part | None = None


def openings(train: Train) -> Openings:
    """Return the openings from the camera up to the last lens, as far as lengths are known."""
    found: list[Opening] = []
    distance = 0.0
    first = train.origin if train.origin is not None else 0
    for index in range(len(train.pieces) - 1, first - 1, -1):
        piece = train.pieces[index]
        for shim in piece.shims:
            if shim.thickness is None:
                return Openings(found, shim)
            distance += shim.thickness.value
        rear = clear_at(piece, piece.rear)
        if rear is not None and piece.rear is not None:
            found.append(Opening(piece.part.id, piece.part.name, distance, *rear, index))
        length = 0.0 if index == first else piece.length.value if piece.length else None
        if length is None:
            return Openings(found, piece.part)
        for one in piece.filters:
            if one.clear_aperture is not None:
                middle = distance + length / 2
                found.append(Opening(one.id, one.name, middle, one.clear_aperture.value, True, index))
        if index == first:
            break
        distance += length - sum(shift_of(one) or 0.0 for one in piece.filters)
        front = clear_at(piece, piece.front)
        if front is not None:
            found.append(Opening(piece.part.id, piece.part.name, distance, *front, index))
    return Openings(found)


def clear_at(piece: Piece, side: Connection | None) -> tuple[float, bool] | None:
    """Return the free diameter at one side of a piece, and whether it is stated or follows from the thread."""
    if piece.clear is not None:
        return piece.clear, True
    if side is None or side.form != "thread" or side.diameter is None or side.pitch is None:
        return None
    if side.gender == "female":
        return physics.female_hole(side.diameter, side.pitch), False
    return physics.male_bore(side.diameter, side.pitch, WALL_MM), False


def beams(assembly: Assembly, train: Train, ratio: float) -> list[light.Beam]:
    """Return the bounds of the beam: telecentric, and with the exit pupil that thin lenses give."""
    optic = assembly.optic
    obstruction = 0.0
    pupil = inf
    if optic is not None and optic.aperture is not None and optic.central_obstruction is not None:
        obstruction = min(optic.central_obstruction.value / optic.aperture.value, 0.95)
    if optic is not None and optic.focal_length is not None:
        last = train.pieces[train.origin].part if train.origin is not None else None
        factor = last.factor.value if isinstance(last, Corrector) and last.factor else 1.0
        asked = train.back_focus.distance if train.back_focus else None
        pupil = _pupil(optic.focal_length.value, factor, asked.value if asked else 55.0)
    return [light.Beam(ratio, inf, obstruction), light.Beam(ratio, pupil, obstruction)]


def _pupil(focal_length: float, factor: float, lens_to_sensor: float) -> float:
    """Return the distance from exit pupil to sensor in mm; infinite where thin lenses make no sense of the lengths."""
    if factor == 1.0:
        return focal_length
    if focal_length <= lens_to_sensor / factor:
        return inf
    return light.exit_pupil_distance(focal_length, factor, lens_to_sensor)


def look(points: list[Point], found: list[Opening], bounds: list[light.Beam]) -> list[Seen]:
    """Return what each point keeps of its light, and what cuts most of it."""
    return [_blamed(one, found) for one in _kept_by(points, found, bounds)]


def _kept_by(points: list[Point], found: list[Opening], bounds: list[light.Beam]) -> list[Seen]:
    holes = [opening.hole for opening in found]
    seen: list[Seen] = []
    for point in points:
        kept = [(light.light_through(point.x, point.y, holes, beam), beam) for beam in bounds]
        # Where both bounds are as dark, the one that asks for the wider path counts.
        least, beam = min(kept, key=lambda pair: (round(pair[0], 9), 1 / pair[1].pupil))
        seen.append(Seen(point, least, max(value for value, _ in kept), None, beam))
    return seen


def _blamed(seen: Seen, found: list[Opening]) -> Seen:
    """Add what cuts the light; that costs time, so it is asked only where light is lost."""
    index = light.culprit(seen.point.x, seen.point.y, [opening.hole for opening in found], seen.beam)
    return seen if index is None else replace(seen, culprit=found[index])


@dataclass(frozen=True)
class Survey:
    """What the sensors see of the sky: frame's centre and corner, and the darkest corner of a second sensor."""

    openings: Openings
    main: tuple[Seen, Seen]
    guide: Seen | None

    @property
    def seen(self) -> list[Seen]:
        """All of them."""
        return [*self.main, self.guide] if self.guide else [*self.main]


def survey(assembly: Assembly, train: Train, ratio: float | None) -> Survey | None:
    """Look through the train from both sensors; None where focal ratio or sensor is unsaid."""
    main, guide = main_points(assembly), guide_points(assembly)
    if ratio is None or not main or not train.pieces:
        return None
    openings_ = openings(train)
    bounds = beams(assembly, train, ratio)
    centre, corner = look(main, openings_.found, bounds)
    worst = min(_kept_by(guide, openings_.found, bounds), key=lambda one: one.least) if guide else None
    return Survey(openings_, (centre, corner), _blamed(worst, openings_.found) if worst else None)


def needed_at(opening: Opening, seen: Seen) -> float:
    """Return the free diameter in mm that the whole cone of a point needs at an opening."""
    return light.clear_diameter(opening.distance, seen.beam.focal_ratio, seen.point.height, seen.beam.pupil)


def side_of_guide(assembly: Assembly) -> int:
    """Return on which side of the axis a section shows the second sensor: 1 above, -1 below.

    It follows the offset along the short side, and the one along the long side where that is nothing.
    """
    second = assembly.camera.guide_sensor if assembly.camera else None
    offset = second.offset if second else None
    return -1 if offset is not None and (offset.y or offset.x) < 0 else 1


def main_points(assembly: Assembly) -> list[Point]:
    """Return centre and corner of the main sensor; empty where its size is unsaid."""
    sensor = assembly.camera.sensor if assembly.camera else None
    if sensor is None or sensor.pixels is None or sensor.pixel is None:
        return []
    x, y = (count * sensor.pixel.value / 2000 for count in sensor.pixels)
    return [Point("the frame's centre", 0.0, 0.0), Point("the frame's corner", x, y)]


def guide_points(assembly: Assembly) -> list[Point]:
    """Return the corners of the second sensor; empty where there is none or its size or place is unsaid."""
    second = assembly.camera.guide_sensor if assembly.camera else None
    if second is None or second.pixels is None or second.pixel is None or second.offset is None:
        return []
    x, y = (count * second.pixel.value / 2000 for count in second.pixels)
    return [
        Point("the guide sensor's corner", second.offset.x + right * x, second.offset.y + up * y)
        for right in (-1, 1) for up in (-1, 1)
    ]  # fmt: skip
