"""An off-axis pick-off: is its guide camera in focus, is its prism lit, and does it stay out of the picture?"""

from math import ceil, floor, inf

from rigleaf.catalogue.models.cameras import GuideCamera
from rigleaf.catalogue.models.optics import Corrector, Optic
from rigleaf.catalogue.models.train import OffAxisPickOff
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding
from rigleaf.chapters.image_train import light_physics as light
from rigleaf.chapters.image_train.stack import METHOD as LENGTHS
from rigleaf.chapters.image_train.train import Train, shift_of
from rigleaf.chapters.image_train.view import main_points

CONE = "light-cone"
TRAVEL = 6.0
"""Length in mm that a helical port or a few rings take up without a thought (common practice, no source)."""


def judge_pick_off(assembly: Assembly, train: Train, ratio: float | None) -> tuple[list[Figure], list[Finding]]:
    """Return figures and findings on the pick-off, if the train has one."""
    found = next(
        ((n, piece.part) for n, piece in enumerate(train.pieces) if isinstance(piece.part, OffAxisPickOff)), None
    )
    if found is None:
        return [], []
    place, part = found
    missing = _missing(train, place)
    if missing:
        names = list(missing)
        listed = f"{', '.join(names[:-1])} and {names[-1]} are" if len(names) > 1 else f"{names[0]} is"
        sentence = f"Whether {part.name} can guide cannot be told: {listed} not given."
        cure = "Measure lengths from shoulder to shoulder with a caliper."
        parts = tuple(dict.fromkeys(id_ for id_ in missing.values() if id_))
        return [], [Finding("pick-off", "unsaid", "Pick-off", sentence, (), LENGTHS, cure, parts)]
    distance = _to_sensor(train, place)
    label = "From the prism's middle to the main sensor"
    figures = [Figure("prism-to-sensor", label, distance, "optical_length", LENGTHS)]
    findings = [_guide_focus(assembly, part, distance)]
    if ratio is not None:
        findings.append(_out_of_picture(assembly, part, distance, ratio))
    findings += _lit(assembly, train, part, _shading(assembly, part, distance, ratio))
    return figures, findings


def _missing(train: Train, place: int) -> dict[str, str]:
    """Return what is unsaid of the way from prism to sensor, and whose page it belongs on."""
    missing: dict[str, str] = {}
    for piece in train.pieces[place:]:
        if piece.length is None:
            missing[f"the length of {piece.part.name}"] = piece.part.id
        missing |= {f"the glass of {one.name}": one.id for one in piece.filters if shift_of(one) is None}
        missing |= {f"the thickness of {shim.name}": shim.id for shim in piece.shims if shim.thickness is None}
    if not train.ends_in_camera:
        missing["a camera at the end of the train"] = ""
    return missing


def _to_sensor(train: Train, place: int) -> float:
    """Return the distance through air from the prism's middle to the sensor in mm; every length must be known."""
    pieces = train.pieces[place:]
    lengths = [piece.length.value for piece in pieces if piece.length]
    shims = [shim.thickness.value for piece in pieces for shim in piece.shims if shim.thickness]
    glass = sum(shift_of(one) or 0.0 for piece in pieces for one in piece.filters)
    return sum(lengths) - lengths[0] / 2 + sum(shims) - glass


def _guide_focus(assembly: Assembly, part: OffAxisPickOff, distance: float) -> Finding:
    """The guide sensor must be as far from the prism as the main sensor is."""
    title, behind, say = "Focus of the guide camera", ("prism-to-sensor",), assembly.say
    camera = next(assembly.parts(GuideCamera, "guiding"), None)
    if camera is None or camera.flange_to_sensor is None or part.guide_length is None:
        missing: list[tuple[str, str]] = []
        if camera is None:
            missing.append(("a guide camera under 'guiding'", ""))
        elif camera.flange_to_sensor is None:
            missing.append((f"the flange distance of {camera.name}", camera.id))
        if part.guide_length is None:
            missing.append((f"the guide length of {part.name}", part.id))
        verb = "is" if len(missing) == 1 else "are"
        names = listed(name for name, _ in missing)
        sentence = f"Whether the guide camera comes to focus cannot be told: {names} {verb} not given."
        cure = f"The guide sensor must stand {say(distance, 'optical_length')} from the prism, as the main sensor does."
        parts = tuple(id_ for _, id_ in missing if id_)
        return Finding("pick-off-focus", "unsaid", title, sentence, behind, LENGTHS, cure, parts)
    reach = part.guide_length.value + camera.flange_to_sensor.value
    short = round(distance - reach, 3)
    gap = say(abs(short), "optical_length")
    if short < 0:
        sentence = (
            f"{camera.name} cannot come to focus in {part.name}: it stands {gap} farther from the prism than the main "
            "sensor."
        )
        cure = f"Put {gap} more between {part.name} and the main camera, and take as much off before it."
        return Finding("pick-off-focus", "fails", title, sentence, behind, LENGTHS, cure)
    if short <= TRAVEL:
        sentence = f"{camera.name} comes to focus {gap} out of the port of {part.name}."
        return Finding("pick-off-focus", "sound", title, sentence, behind, LENGTHS)
    sentence = f"{camera.name} comes to focus {gap} out of the port of {part.name}, more than most ports reach."
    cure = f"Put a ring of about {gap} before the guide camera."
    return Finding("pick-off-focus", "tight", title, sentence, behind, LENGTHS, cure)


def _light_of_edge(half_height: float, distance: float, ratio: float) -> float:
    """Return how far in mm from the axis the light of the sensor's long edge reaches at the prism.

    Over the middle of the long edge, where prisms sit; telecentric, the widest cone but for strong reducers.
    """
    return light.clear_diameter(distance, ratio, half_height, inf) / 2


def _shading(assembly: Assembly, part: OffAxisPickOff, distance: float, ratio: float | None) -> float | None:
    """Return the offset in mm at which the prism begins to shade the picture, or None where that is unsaid."""
    points = main_points(assembly)
    if ratio is None or part.prism is None or not points:
        return None
    return _light_of_edge(points[1].y, distance, ratio) + part.prism.value / 2


def _out_of_picture(assembly: Assembly, part: OffAxisPickOff, distance: float, ratio: float) -> Finding:
    """The prism's inner edge must stay outside the cone of the nearest edge of the main sensor."""
    title, say = "Shadow of the prism", assembly.say
    points = main_points(assembly)
    if part.prism is None or part.prism_offset is None or not points:
        missing = [
            what for what, value in (("its width", part.prism), ("its offset", part.prism_offset),
                                     ("the sensor's size", points or None)) if value is None
        ]  # fmt: skip
        verb = "is" if len(missing) == 1 else "are"
        which = listed(missing)
        sentence = f"Whether the prism of {part.name} shades the picture cannot be told: {which} {verb} not given."
        cure = "Look at a flat-field exposure: a soft dark notch at the edge is the prism."
        return Finding("pick-off-shadow", "unsaid", title, sentence, (), CONE, cure, (part.id,))
    inner = part.prism_offset.value - part.prism.value / 2
    spare = round(inner - _light_of_edge(points[1].y, distance, ratio), 3)
    room = say(abs(spare), "optical_length")
    if spare >= 0:
        sentence = f"The prism of {part.name} stays {room} outside the light of the sensor's long edge."
        return Finding("pick-off-shadow", "sound", title, sentence, ("prism-to-sensor",), CONE)
    sentence = (
        f"The prism of {part.name} stands {room} inside the light of the sensor's long edge and shades the picture "
        "there."
    )
    # Rounded up, so that pulling it out by this number is enough.
    cure = f"Pull it out by {say(ceil(-spare * 10) / 10, 'optical_length')}, if the guide field stays lit."
    return Finding("pick-off-shadow", "tight", title, sentence, ("prism-to-sensor",), CONE, cure)


def _lit(assembly: Assembly, train: Train, part: OffAxisPickOff, shading: float | None) -> list[Finding]:
    """The prism should look at sky inside the image circle; ``shading`` is the least offset that shades nothing."""
    owner = next((piece.part for piece in reversed(train.pieces) if isinstance(piece.part, (Corrector, Optic))), None)
    circle = owner.image_circle if isinstance(owner, (Corrector, Optic)) else None
    if circle is None or part.prism_offset is None:
        return []
    title, say = "Stars on the prism", assembly.say
    far, radius = say(part.prism_offset.value, "optical_length"), say(circle.value / 2, "optical_length")
    where = f"The prism of {part.name} stands {far} from the axis"
    if part.prism_offset.value <= circle.value / 2:
        sentence = f"{where}, inside the image circle's radius of {radius}."
        return [Finding("pick-off-circle", "sound", title, sentence, (), "image-circle")]
    sentence = f"{where}, outside the image circle's radius of {radius}: its stars are long and faint."
    cure = _inwards(assembly, part.prism_offset.value, circle.value / 2, shading)
    return [Finding("pick-off-circle", "tight", title, sentence, (), "image-circle", cure)]


def _inwards(assembly: Assembly, offset: float, radius: float, shading: float | None) -> str:
    """Say by how much a prism outside the image circle must and may move towards the axis; lengths in mm."""
    say = assembly.say
    wanted = say(radius, "optical_length")
    if shading is None:
        return f"Move it inwards, to {wanted} from the axis, as far as its shadow allows."
    # Rounded to the safe side, so that what is read off a scale of tenths will do.
    shades = ceil(round(shading * 10, 6)) / 10
    if shading > radius:
        return (
            f"Moving it inwards does not mend it: at {wanted} it would stand inside the circle, but from "
            f"{say(shades, 'optical_length')} inwards it shades the sensor's long edge. Guiding mostly bears such "
            "stars."
        )
    least, most = ceil(round((offset - radius) * 10, 6)) / 10, floor(round((offset - shades) * 10, 6)) / 10
    by = f"{least:g} to {say(most, 'optical_length')}" if least < most else say(offset - radius, "optical_length")
    return (
        f"Move it inwards by {by}: at {wanted} it stands inside the circle, at {say(shades, 'optical_length')} it "
        "begins to shade the sensor's long edge."
    )
