"""Does anything cut the light? Every opening of the train against the cones of centre, corner and guide sensor."""

from dataclasses import dataclass
from math import hypot, inf

from rigleaf.catalogue.models.connections import Connection
from rigleaf.catalogue.models.optics import Corrector, Optic
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.image_train import light_physics as light
from rigleaf.chapters.image_train import physics
from rigleaf.chapters.image_train.train import Piece, Train, shift_of
from rigleaf.quantities import Basis

METHOD = "illumination"
WALL_MM = 1.0
"""Wall left below a male thread where nobody states the bore (common practice, no source)."""

LEAST_GUIDE_LIGHT = 0.5
"""Light below which a guide sensor's corner counts as shaded rather than dimmed."""


@dataclass(frozen=True)
class Opening:
    """One round opening: whose it is, what it is called, its distance to the sensor and its diameter in mm."""

    part: str
    name: str
    distance: float
    diameter: float
    stated: bool

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


def openings(train: Train) -> list[Opening]:
    """Return the openings from the camera up to the last lens, as far as lengths are known."""
    found: list[Opening] = []
    distance = 0.0
    first = train.origin if train.origin is not None else 0
    for index in range(len(train.pieces) - 1, first - 1, -1):
        piece = train.pieces[index]
        shims = [shim.thickness for shim in piece.shims]
        if None in shims:
            return found
        distance += sum(shim.value for shim in shims if shim)
        rear = _clear(piece, piece.rear)
        if rear is not None and piece.rear is not None:
            found.append(Opening(piece.part.id, piece.part.name, distance, *rear))
        if index == first:
            break
        if piece.length is None:
            return found
        for one in piece.filters:
            if one.clear_aperture is not None:
                middle = distance + piece.length.value / 2
                found.append(Opening(one.id, one.name, middle, one.clear_aperture.value, stated=True))
        distance += piece.length.value - sum(shift_of(one) or 0.0 for one in piece.filters)
        front = _clear(piece, piece.front)
        if front is not None:
            found.append(Opening(piece.part.id, piece.part.name, distance, *front))
    return found


def _clear(piece: Piece, side: Connection | None) -> tuple[float, bool] | None:
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
        pupil = light.exit_pupil_distance(optic.focal_length.value, factor, asked.value if asked else 55.0)
    return [light.Beam(ratio, inf, obstruction), light.Beam(ratio, pupil, obstruction)]


def look(points: list[Point], found: list[Opening], bounds: list[light.Beam]) -> list[Seen]:
    """Return what each point keeps of its light."""
    holes = [opening.hole for opening in found]
    seen: list[Seen] = []
    for point in points:
        kept = [(light.light_through(point.x, point.y, holes, beam), beam) for beam in bounds]
        least, beam = min(kept, key=lambda pair: pair[0])
        index = light.culprit(point.x, point.y, holes, beam)
        most = max(value for value, _ in kept)
        seen.append(Seen(point, least, most, found[index] if index is not None else None, beam))
    return seen


def judge_light(assembly: Assembly, train: Train, ratio: float | None) -> tuple[list[Figure], list[Finding]]:
    """Return figures and findings on light, for the main sensor and the second one."""
    main, guide = main_points(assembly), guide_points(assembly)
    if ratio is None or not main or not train.pieces:
        sentence = "What the train leaves of the light cannot be told: focal ratio or sensor is not given."
        cure = "State aperture, focal length, pixels and pixel size; the chapter on scale and field says how to measure them."
        return [], [Finding("light", "unsaid", "Light", sentence, (), METHOD, cure)]
    found = openings(train)
    bounds = beams(assembly, train, ratio)
    seen = look(main, found, bounds)
    figures = [
        Figure("light-centre", "Light at the frame's centre", seen[0].least, "fraction", METHOD, note=_bounds(assembly, seen[0])),
        Figure("light-corner", "Light at its corner", seen[1].least, "fraction", METHOD, note=_bounds(assembly, seen[1])),
        Figure("light-corner-stops", "Light lost at its corner", _stops(seen[1].least), "stops", METHOD),
    ]
    figures += _narrowest(seen[1], found)
    findings = [_judge_main(assembly, seen[1], found)]
    if guide:
        worst = min(look(guide, found, bounds), key=lambda one: one.least)
        figures += [
            Figure("light-guide", "Light at the guide sensor's darkest corner", worst.least, "fraction", METHOD,
                   note=_bounds(assembly, worst)),
            Figure("light-guide-stops", "Light lost there", _stops(worst.least), "stops", METHOD),
        ]  # fmt: skip
        figures += _thread_wanted(worst, found)
        findings.append(_judge_guide(assembly, worst))
    findings += _unknown_openings(train)
    return figures, findings


def _needed(opening: Opening, seen: Seen) -> float:
    """Return the free diameter in mm that the whole cone of a point needs at an opening."""
    return light.clear_diameter(opening.distance, seen.beam.focal_ratio, seen.point.height, seen.beam.pupil)


def _narrowest(corner: Seen, found: list[Opening]) -> list[Figure]:
    """Return the opening that leaves least room around the cone of the frame's corner."""
    if not found:
        return []
    closest = min(found, key=lambda opening: opening.diameter - _needed(opening, corner))
    basis: Basis = "stated" if closest.stated else "computed"
    whence = "" if closest.stated else "; follows from its thread"
    return [
        Figure("opening", "Closest opening", closest.diameter, "optical_length", "thread-hole", basis,
               note=f"{closest.name}{whence}"),
        Figure("opening-needed", "Free diameter that the frame's corner needs there", _needed(closest, corner),
               "optical_length", "light-cone"),
    ]  # fmt: skip


def _thread_wanted(worst: Seen, found: list[Opening]) -> list[Figure]:
    """Return the free diameter that the guide sensor needs where the train is widest, and the thread that has it."""
    if not found:
        return []
    needed = max(_needed(opening, worst) for opening in found)
    thread = physics.smallest_thread(needed, wall_mm=WALL_MM)
    note = f"a thread of {thread.name} or wider has it" if thread else "no usual thread has it"
    label = "Free diameter that the guide sensor needs at the far end"
    return [Figure("guide-opening", label, needed, "optical_length", "light-cone", note=note)]


def _stops(kept: float) -> float | None:
    return light.stops_lost(kept) if kept > 0 else None


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


def _bounds(assembly: Assembly, seen: Seen) -> str:
    if seen.most - seen.least < 0.005:
        return ""
    return f"up to {assembly.say(seen.most, 'fraction')} if the exit pupil is as near as thin lenses make it, or as far"


def _judge_main(assembly: Assembly, corner: Seen, found: list[Opening]) -> Finding:
    say = assembly.say
    asked = assembly.choice("corner_light").value
    behind = ("light-centre", "light-corner")
    if corner.culprit is None:
        narrowest = min(found, key=lambda one: one.diameter, default=None)
        what = f"; the narrowest opening, {say(narrowest.diameter, 'optical_length')} in {narrowest.name}, is wide enough" if narrowest else ""
        sentence = f"Nothing behind the last lens cuts the light of the frame's corner{what}."
        return Finding("light", "sound", "Light", sentence, behind, METHOD)
    verdict: Verdict = "sound" if corner.least >= asked else "tight" if corner.most >= asked or corner.least >= 0.7 else "fails"
    sentence = f"The frame's corner keeps {_kept(assembly, corner)} of its light; {_blame(assembly, corner)}."
    remedy = "" if verdict == "sound" else _wider(assembly, corner)
    return Finding("light", verdict, "Light", sentence, behind, METHOD, remedy)


def _judge_guide(assembly: Assembly, worst: Seen) -> Finding:
    title = "Light on the guide sensor"
    asked = assembly.choice("corner_light").value
    if worst.culprit is None:
        sentence = "Nothing behind the last lens cuts the light of the guide sensor."
        return Finding("light-guide", "sound", title, sentence, ("light-guide",), METHOD)
    verdict: Verdict = "sound" if worst.least >= asked else "tight" if worst.least >= LEAST_GUIDE_LIGHT else "fails"
    sentence = f"The guide sensor's darkest corner keeps {_kept(assembly, worst)} of its light; {_blame(assembly, worst)}."
    remedy = "" if verdict == "sound" else _wider(assembly, worst)
    return Finding("light-guide", verdict, title, sentence, ("light-guide",), METHOD, remedy)


def _kept(assembly: Assembly, seen: Seen) -> str:
    least, most = assembly.say(seen.least, "fraction"), assembly.say(seen.most, "fraction")
    return least if least == most else f"{least} to {most}"


def _blame(assembly: Assembly, seen: Seen) -> str:
    say, culprit = assembly.say, seen.culprit
    if culprit is None:
        return "nothing cuts it"
    needed = _needed(culprit, seen)
    where = f"{say(culprit.distance, 'optical_length')} before the sensor"
    return (
        f"{culprit.name} cuts it, {say(culprit.diameter, 'optical_length')} free {where}, where {say(needed, 'optical_length')} is needed"
    )


def _wider(assembly: Assembly, seen: Seen) -> str:
    """Say which thread would clear the light at the narrowest place."""
    if seen.culprit is None:
        return ""
    needed = _needed(seen.culprit, seen)
    thread = physics.smallest_thread(needed, wall_mm=WALL_MM)
    if thread is None:
        return "No usual thread is wide enough there: bring the piece nearer to the sensor, or take a smaller sensor."
    return f"Make the path {thread.name} or wider from {seen.culprit.name} to the camera, or move the narrow piece nearer to the sensor."


def _unknown_openings(train: Train) -> list[Finding]:
    """Say which pieces have no known free diameter: neither stated nor given by a thread."""
    first = train.origin if train.origin is not None else 0
    unknown = [
        piece.part for piece in train.pieces[first:]
        if _clear(piece, piece.rear) is None and _clear(piece, piece.front) is None and not isinstance(piece.part, Optic)
    ]  # fmt: skip
    filters = [one for piece in train.pieces[first:] for one in piece.filters if one.clear_aperture is None]
    parts = list(dict.fromkeys([*unknown, *filters]))
    if not parts:
        return []
    names = ", ".join(part.name for part in parts)
    sentence = f"The free diameter of {names} is not given, so what it cuts of the light is not counted."
    cure = "Measure the narrowest place with a caliper and state it as 'clear_aperture'."
    return [Finding("openings", "unsaid", "Openings", sentence, (), METHOD, cure, tuple(part.id for part in parts))]
