"""Does anything cut the light? Every opening of the train against the cones of centre, corner and guide sensor."""

from math import isinf

from rigleaf.catalogue.models.optics import Optic
from rigleaf.catalogue.models.train import Shim
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.image_train import light_physics as light
from rigleaf.chapters.image_train import physics
from rigleaf.chapters.image_train.light_remedy import wider
from rigleaf.chapters.image_train.train import Train
from rigleaf.chapters.image_train.view import WALL_MM, Opening, Openings, Seen, Survey, clear_at, needed_at
from rigleaf.quantities import Basis

METHOD = "illumination"
GUIDE_TITLE = "Light on the guide sensor"
LEAST_CORNER_LIGHT = 0.7
"""Light below which a frame's corner is more than flat fields should mend (a choice of this guide)."""

LEAST_GUIDE_LIGHT = 0.5
"""Light below which a guide sensor's corner counts as shaded rather than dimmed."""


def judge_light(assembly: Assembly, train: Train, seen: Survey | None) -> tuple[list[Figure], list[Finding]]:
    """Return figures and findings on light, for the main sensor and the second one."""
    if seen is None:
        return [], [_nothing_seen(assembly)]
    found = seen.openings.found
    centre, corner = seen.main
    figures = [
        Figure("light-centre", "Light at the frame's centre", centre.least, "fraction", METHOD,
               note=_bounds(assembly, centre)),
        Figure("light-corner", "Light at its corner", corner.least, "fraction", METHOD, note=_bounds(assembly, corner)),
        Figure("light-corner-stops", "Light lost at its corner", _stops(corner.least), "stops", METHOD),
    ]  # fmt: skip
    figures += _narrowest(corner, found)
    findings = [_judge_main(assembly, train, corner, seen.openings)]
    if seen.guide:
        worst = seen.guide
        figures += [
            Figure("light-guide", "Light at the guide sensor's darkest corner", worst.least, "fraction", METHOD,
                   note=_bounds(assembly, worst)),
            Figure("light-guide-stops", "Light lost there", _stops(worst.least), "stops", METHOD),
        ]  # fmt: skip
        figures += _thread_wanted(worst, found)
        findings.append(_judge_guide(assembly, train, worst, seen.openings))
    elif assembly.camera and assembly.camera.guide_sensor:
        sentence = (
            f"What reaches the guide sensor of {assembly.camera.name} cannot be told: its pixels, pixel size or place "
            "is not given."
        )
        cure = "State them; the chapter on scale and field says how to measure them."
        parts = (assembly.camera.id,)
        findings.append(Finding("light-guide", "unsaid", GUIDE_TITLE, sentence, (), METHOD, cure, parts))
    findings += _unknown_openings(train)
    return figures, findings


def _nothing_seen(assembly: Assembly) -> Finding:
    optic, camera = assembly.optic, assembly.camera
    sensor = camera.sensor if camera else None
    missing: dict[str, str | None] = {}
    if optic is None or camera is None:
        missing |= {
            f"{what} in the train": None for what, one in (("an optic", optic), ("a camera", camera)) if not one
        }
    if optic is not None:
        missing |= {f"the {name} of {optic.name}": optic.id
                    for name, value in (("focal length", optic.focal_length), ("aperture", optic.aperture))
                    if value is None}  # fmt: skip
    missing |= {f"the factor of {one.name}": one.id for one in assembly.correctors if one.factor is None}
    if camera is not None:
        missing |= {f"the {name} of {camera.name}": camera.id
                    for name, value in (("pixels", sensor and sensor.pixels), ("pixel size", sensor and sensor.pixel))
                    if value is None}  # fmt: skip
    verb = "are" if len(missing) > 1 else "is"
    sentence = f"What the train leaves of the light cannot be told: {listed(missing)} {verb} not given."
    cure = "State what is missing; the chapter on scale and field says how to measure it."
    parts = tuple(dict.fromkeys(id_ for id_ in missing.values() if id_))
    return Finding("light", "unsaid", "Light", sentence, (), METHOD, cure, parts)


def _narrowest(corner: Seen, found: list[Opening]) -> list[Figure]:
    """Return the opening that leaves least room around the cone of the frame's corner."""
    if not found:
        return []
    closest = min(found, key=lambda opening: opening.diameter - needed_at(opening, corner))
    basis: Basis = "stated" if closest.stated else "computed"
    whence = "" if closest.stated else "; follows from its thread"
    return [
        Figure("opening", "Opening with least to spare", closest.diameter, "optical_length", "thread-hole", basis,
               note=f"{closest.name}{whence}"),
        Figure("opening-needed", "Free diameter that the frame's corner needs there", needed_at(closest, corner),
               "optical_length", "light-cone"),
    ]  # fmt: skip


def _thread_wanted(worst: Seen, found: list[Opening]) -> list[Figure]:
    """Return the free diameter that the guide sensor needs where the train is widest, and the thread that has it."""
    if not found:
        return []
    needed = max(needed_at(opening, worst) for opening in found)
    thread = physics.smallest_thread(needed, wall_mm=WALL_MM)
    note = f"a thread of {thread.name} or wider has it" if thread else "no usual thread has it"
    label = "Free diameter that the guide sensor needs at the far end"
    return [Figure("guide-opening", label, needed, "optical_length", "light-cone", note=note)]


def _stops(kept: float) -> float | None:
    return light.stops_lost(kept) if kept > 0 else None


def _bounds(assembly: Assembly, seen: Seen) -> str:
    if seen.most - seen.least < 0.005:
        return ""
    thin, straight = "with the exit pupil where thin lenses put it", "if the light is telecentric"
    darker, brighter = (straight, thin) if isinf(seen.beam.pupil) else (thin, straight)
    return f"{assembly.say(seen.least, 'fraction')} {darker}; {assembly.say(seen.most, 'fraction')} {brighter}"


def _judge_main(assembly: Assembly, train: Train, corner: Seen, around: Openings) -> Finding:
    say = assembly.say
    asked = assembly.choice("corner_light").value
    behind = ("light-centre", "light-corner")
    bright = corner.least >= asked
    if bright and (gap := _unseen(around)):
        return _unsaid("light", "Light", "the frame's corner", gap)
    if corner.culprit is None:
        narrowest = min(around.found, key=lambda one: one.diameter)
        sentence = (
            "Nothing behind the last lens cuts the light of the frame's corner; the narrowest opening, "
            f"{say(narrowest.diameter, 'optical_length')} in {narrowest.name}, is wide enough."
        )
        return Finding("light", "sound", "Light", sentence, behind, METHOD)
    tight = corner.most >= asked or corner.least >= LEAST_CORNER_LIGHT
    verdict: Verdict = "sound" if bright else "tight" if tight else "fails"
    sentence = f"The frame's corner keeps {_kept(assembly, corner)} of its light; {_blame(assembly, corner)}."
    remedy, parts = ("", ()) if bright else wider(assembly, train, corner, around)
    return Finding("light", verdict, "Light", sentence, behind, METHOD, remedy, parts)


def _judge_guide(assembly: Assembly, train: Train, worst: Seen, around: Openings) -> Finding:
    bright = worst.least >= assembly.choice("corner_light").value
    if bright and (gap := _unseen(around)):
        return _unsaid("light-guide", GUIDE_TITLE, "the guide sensor", gap)
    if worst.culprit is None:
        sentence = "Nothing behind the last lens cuts the light of the guide sensor."
        return Finding("light-guide", "sound", GUIDE_TITLE, sentence, ("light-guide",), METHOD)
    verdict: Verdict = "sound" if bright else "tight" if worst.least >= LEAST_GUIDE_LIGHT else "fails"
    kept = _kept(assembly, worst)
    sentence = f"The guide sensor's darkest corner keeps {kept} of its light; {_blame(assembly, worst)}."
    remedy, parts = ("", ()) if bright else wider(assembly, train, worst, around)
    return Finding("light-guide", verdict, GUIDE_TITLE, sentence, ("light-guide",), METHOD, remedy, parts)


def _unseen(around: Openings) -> tuple[str, tuple[str, ...]] | None:
    """Say why not every opening was looked through, and which part is to blame; None where all were."""
    part = around.unmeasured
    if part is not None:
        what = "thickness" if isinstance(part, Shim) else "length"
        return f"the {what} of {part.name} is not given, and so not where the pieces before it stand", (part.id,)
    return None if around.found else ("no opening has a known free diameter", ())


def _unsaid(id_: str, title: str, point: str, gap: tuple[str, tuple[str, ...]]) -> Finding:
    sentence = f"What the train leaves of the light of {point} cannot be told: {gap[0]}."
    cure = "Measure lengths from shoulder to shoulder and free diameters with a caliper."
    return Finding(id_, "unsaid", title, sentence, (), METHOD, cure, gap[1])


def _kept(assembly: Assembly, seen: Seen) -> str:
    least, most = assembly.say(seen.least, "fraction"), assembly.say(seen.most, "fraction")
    return least if least == most else f"{least} to {most}"


def _blame(assembly: Assembly, seen: Seen) -> str:
    say, culprit = assembly.say, seen.culprit
    if culprit is None:
        return "nothing cuts it"
    needed = needed_at(culprit, seen)
    where = f"{say(culprit.distance, 'optical_length')} in front of the sensor"
    free, wanted = say(culprit.diameter, "optical_length"), say(needed, "optical_length")
    return f"it is cut by {culprit.name}: the opening is {free}, {wanted} would be needed there, {where}"


def _unknown_openings(train: Train) -> list[Finding]:
    """Say which pieces have no known free diameter: neither stated nor given by a thread."""
    first = train.origin if train.origin is not None else 0
    # What a camera lens cuts behind its last glass is its maker's affair.
    unknown = [
        piece.part for piece in train.pieces[first:]
        if clear_at(piece, piece.rear) is None and clear_at(piece, piece.front) is None
        and not (isinstance(piece.part, Optic) and piece.part.form == "lens")
    ]  # fmt: skip
    filters = [one for piece in train.pieces[first:] for one in piece.filters if one.clear_aperture is None]
    parts = list(dict.fromkeys([*unknown, *filters]))
    if not parts:
        return []
    names = ", ".join(part.name for part in parts)
    sentence = f"The free diameter of {names} is not given, so what it cuts of the light is not counted."
    cure = "Measure the narrowest place with a caliper: 'clear_aperture', of an optic 'rear_clear_aperture'."
    return [Finding("openings", "unsaid", "Openings", sentence, (), METHOD, cure, tuple(part.id for part in parts))]
