"""Does the image circle cover the sensors, what does a filter cost the guide sensor, and how square must all be?"""

from math import isfinite

from rigleaf.catalogue.models.optics import Corrector, Optic
from rigleaf.catalogue.models.train import Filter
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.image_train import physics
from rigleaf.chapters.image_train.train import Train
from rigleaf.chapters.image_train.view import guide_points, main_points
from rigleaf.chapters.scale_and_field import focus_physics

CIRCLE, TILT, GUIDE = "image-circle", "tilt-allowance", "narrow-band-guiding"

COSTLY = 3.0
"""From this factor on a filter before the guide sensor is worth planning for."""


def judge_circle(assembly: Assembly, train: Train) -> tuple[list[Figure], list[Finding]]:
    """Compare the image circle that counts, the last corrector's or the optic's, with both sensors."""
    points = main_points(assembly)
    owner = _owner(train)
    if not points or owner is None:
        return [], []
    circle = owner.image_circle
    if circle is None:
        sentence = (
            f"Whether the corrected field covers the sensor cannot be told: the image circle of {owner.name} is not "
            "given."
        )
        cure = (
            "Look at the corners of a frame: twice the distance from the centre at which stars grow long is the circle."
        )
        return [], [Finding("circle", "unsaid", "Coverage", sentence, (), CIRCLE, cure, (owner.id,))]
    say = assembly.say
    corner = points[1].height
    margin = physics.circle_margin(circle.value, corner)
    figures = [
        Figure("image-circle", "Corrected image circle", circle.value, "optical_length", CIRCLE, circle.basis),
        Figure("circle-margin", "Image circle beyond the frame's corner", margin, "gap", CIRCLE),
    ]
    diagonal = say(2 * corner, "optical_length")
    wide = say(circle.value, "optical_length")
    if margin >= 0:
        sentence = f"The image circle of {owner.name}, {wide}, covers the sensor's diagonal of {diagonal}."
        findings = [Finding("circle", "sound", "Coverage", sentence, ("image-circle", "circle-margin"), CIRCLE)]
    else:
        width, height = 2 * points[1].x, 2 * points[1].y
        share = physics.share_in_circle(circle.value, width, height)
        figures.append(Figure("circle-share", "Part of the frame inside the image circle", share, "fraction", CIRCLE))
        sentence = (
            f"The image circle of {owner.name}, {wide}, leaves the corners of the sensor ({diagonal} across) outside; "
            f"{say(share, 'fraction')} of the frame lies inside."
        )
        verdict: Verdict = "tight" if share >= 0.9 else "fails"
        remedy = "Crop the frame to what is sharp, or take a camera with a smaller sensor."
        findings = [Finding("circle", verdict, "Coverage", sentence, ("circle-share",), CIRCLE, remedy)]
    return figures, findings + _guide_circle(assembly, owner, circle.value)


def _owner(train: Train) -> Corrector | Optic | None:
    """Return whose image circle counts."""
    for piece in reversed(train.pieces):
        if isinstance(piece.part, (Corrector, Optic)):
            return piece.part
    return None


def _guide_circle(assembly: Assembly, owner: Corrector | Optic, circle: float) -> list[Finding]:
    points = guide_points(assembly)
    if not points:
        return []
    reach = max(point.height for point in points)
    say = assembly.say
    margin = physics.circle_margin(circle, reach)
    title, behind = "Coverage of the guide sensor", ("image-circle",)
    far = say(reach, "optical_length")
    if margin >= 0:
        sentence = f"The guide sensor's farthest corner, {far} from the axis, lies inside the image circle."
        return [Finding("circle-guide", "sound", title, sentence, behind, CIRCLE)]
    sentence = (
        f"The guide sensor's farthest corner lies {far} from the axis, {say(-margin, 'optical_length')} outside the "
        f"image circle of {owner.name}: stars there are long, which guiding mostly bears."
    )
    cure = "Guide on a star in the half that lies nearer to the axis."
    return [Finding("circle-guide", "tight", title, sentence, behind, CIRCLE, cure)]


def judge_tilt(assembly: Assembly, ratio: float | None) -> tuple[list[Figure], list[Finding]]:
    """Turn the depth of focus across the corner into a tilt allowance; say what collimation the optic needs."""
    figures: list[Figure] = []
    points = main_points(assembly)
    pixel = assembly.camera.sensor.pixel if assembly.camera and assembly.camera.sensor else None
    if points and ratio is not None and pixel is not None:
        depth = focus_physics.depth_of_focus(ratio, pixel.value, assembly.choice("wavelength").value)
        tilt = physics.tilt_allowance(depth, points[1].height)
        figures = [
            Figure("tilt", "Tilt of the sensor that its corners bear", tilt, "tilt", TILT),
            Figure("tilt-rise", "The same as a difference of height across the diagonal", 2 * depth, "small_length",
                   TILT, note="a fast optic and a large sensor bear little"),
        ]  # fmt: skip
    return figures, _collimation(assembly)


def _collimation(assembly: Assembly) -> list[Finding]:
    optic = assembly.optic
    if optic is None or (optic.form in ("refractor", "lens") and not optic.needs_collimation):
        return []
    title = "Collimation"
    if optic.needs_collimation is None:
        sentence = f"Whether {optic.name} must be collimated in the field is not given."
        cure = "Look at a defocused star after a drive: if its rings are not centred, it must."
        return [Finding("collimation", "unsaid", title, sentence, (), TILT, cure, (optic.id,))]
    if optic.needs_collimation:
        sentence = f"{optic.name} must be collimated on the spot, before the first exposure and after every knock."
        cure = "Allow a quarter of an hour at dusk, and carry the tools for it."
        return [Finding("collimation", "tight", title, sentence, (), TILT, cure)]
    sentence = f"{optic.name} keeps its collimation on the road."
    return [Finding("collimation", "sound", title, sentence, (), TILT)]


def judge_guide_filter(assembly: Assembly, train: Train) -> tuple[list[Figure], list[Finding]]:
    """Say how much longer a guide sensor in the same body exposes behind the filters in the light."""
    camera = assembly.camera
    if camera is None or camera.guide_sensor is None:
        return [], []
    before = [one for piece in train.pieces for one in piece.filters]
    carried = [item.part for item in assembly.items if isinstance(item.part, Filter)]
    factors = [(one, factor) for one in dict.fromkeys([*before, *carried]) if (factor := _factor(one)) is not None]
    figures = [
        Figure(f"guide-factor-{one.id}", f"Guide exposure behind {one.name}", factor if isfinite(factor) else None,
               "factor", GUIDE, note="" if isfinite(factor) else "passes nothing of the visible band")
        for one, factor in factors
    ]  # fmt: skip
    costly = [(one, factor) for one, factor in factors if factor >= COSTLY]
    unknown = [one for one in dict.fromkeys(before) if one.id not in {known.id for known, _ in factors}]
    findings = [_bands_unsaid(one) for one in unknown]
    if not costly:
        return figures, findings
    listed = "; ".join(
        f"{_longer(assembly, factor)} behind {one.name}{'' if one in before else ' (carried along)'}"
        for one, factor in sorted(costly, key=lambda pair: -pair[1])
    )
    sentence = f"The guide sensor sits behind the filters. Against no filter it must expose {listed}."
    remedy = "Guide with longer exposures on brighter stars, or with a camera of its own before the filters."
    behind = tuple(f"guide-factor-{one.id}" for one, _ in costly)
    parts = tuple(one.id for one, _ in costly)
    title = "Guiding through filters"
    return figures, [Finding("guide-filter", "tight", title, sentence, behind, GUIDE, remedy, parts), *findings]


def _longer(assembly: Assembly, factor: float) -> str:
    return assembly.say(factor, "factor") if isfinite(factor) else "without end, as no visible light passes,"


def _bands_unsaid(one: Filter) -> Finding:
    sentence = f"How much longer the guide sensor must expose behind {one.name} cannot be told: its bands are unsaid."
    cure = "Take the bands from the curve that its maker shows: centre, width and transmission of each."
    return Finding(f"guide-filter-{one.id}", "unsaid", "Guiding through filters", sentence, (), GUIDE, cure, (one.id,))


def _factor(one: Filter) -> float | None:
    """Return the factor on the guide exposure, or None where the pass bands are unsaid."""
    bands = [
        physics.Band(band.centre.value, band.width.value, band.transmission.value if band.transmission else 1.0)
        for band in one.bands or () if band.centre is not None and band.width is not None
    ]  # fmt: skip
    return physics.guide_exposure_factor(bands) if bands else None
