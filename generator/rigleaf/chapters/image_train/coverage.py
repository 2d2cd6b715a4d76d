"""Does the image circle cover the sensors, is the corrector made for the optic, and how square must all be?"""

from rigleaf.catalogue.models.optics import Corrector, Optic
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.image_train import physics
from rigleaf.chapters.image_train.train import Train
from rigleaf.chapters.image_train.view import guide_points, main_points
from rigleaf.chapters.scale_and_field import focus_physics

CIRCLE, TILT = "image-circle", "tilt-allowance"


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


def judge_match(assembly: Assembly) -> list[Finding]:
    """Say where a corrector is made for other optics than the one in the train."""
    optic = assembly.optic
    if optic is None:
        return []
    strangers = [one for one in assembly.correctors if one.made_for and optic.id not in one.made_for]
    return [
        _stranger(assembly, optic, one, "match" if number == 1 else f"match-{number}")
        for number, one in enumerate(strangers, 1)
    ]


def _stranger(assembly: Assembly, optic: Optic, corrector: Corrector, id_: str) -> Finding:
    parts = assembly.catalogue.parts
    *most, last = [parts[made].name if made in parts else made for made in corrector.made_for]
    made_for = f"{', '.join(most)} and {last}" if most else last
    sentence = (
        f"{corrector.name} is made for {made_for}, not for {optic.name}: that the threads fit does not mean that stars "
        "are sharp to the corners."
    )
    fit = [
        part for part in assembly.catalogue.of_kind(Corrector)
        if optic.id in part.made_for and part.owned != 0
    ]  # fmt: skip
    if not fit:
        cure = (
            f"Nothing on the shelf is made for {optic.name}; look at the corners of a frame before a night is planned."
        )
        return Finding(id_, "tight", "Corrector and optic", sentence, (), CIRCLE, cure)
    # What changes the focal length least changes the rig least.
    wanted = corrector.factor.value if corrector.factor else 1.0
    best = min(fit, key=lambda part: (abs((part.factor.value if part.factor else 1.0) - wanted), part.id))
    cure = f"Take the club's {best.name}, which is made for it."
    return Finding(id_, "tight", "Corrector and optic", sentence, (), CIRCLE, cure, (best.id,))


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
    if not optic.needs_collimation:
        sentence = f"{optic.name} keeps its collimation on the road."
    elif optic.form in ("ritchey-chretien", "cassegrain"):
        sentence = f"Check the collimation of {optic.name} on a defocused star at set-up; adjust only if it is off."
    else:
        sentence = (
            f"{optic.name} is collimated at set-up: after every drive and every knock, allow a quarter of an hour and "
            "carry the tools for it."
        )
    return [Finding("collimation", "sound", title, sentence, (), TILT)]
