"""Judgement of the image train: joints, back focus, light, coverage, tilt, and what filters cost the guide sensor."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Drawing, Figure, Finding, Study, Table
from rigleaf.chapters.image_train.coverage import judge_circle, judge_match, judge_tilt
from rigleaf.chapters.image_train.guide_filter import judge_guide_filter
from rigleaf.chapters.image_train.joints import JOINT, judge_filters, judge_joints
from rigleaf.chapters.image_train.light import judge_light
from rigleaf.chapters.image_train.pickoff import judge_pick_off
from rigleaf.chapters.image_train.section_plate import section_plate
from rigleaf.chapters.image_train.stack import METHOD, judge_stack, mending
from rigleaf.chapters.image_train.train import Train, walk
from rigleaf.chapters.image_train.view import survey
from rigleaf.chapters.scale_and_field import physics as scale


def study(assembly: Assembly) -> Study:
    """Study the train of one rig."""
    train = walk(assembly)
    if len(train.pieces) < 2:
        cure = "List what the light passes, in order from sky to sensor, under 'train'."
        sentence = "There is no train to judge: fewer than two pieces are named."
        return Study("image-train", (), (Finding("train", "unsaid", "Train", sentence, (), JOINT, cure),))
    ratio = focal_ratio(assembly)
    seen = survey(assembly, train, ratio)
    mend = mending(assembly, train)
    mended, promised = (mend.joints, mend.used) if mend else ((), ())
    findings = [*judge_joints(assembly, train, mended, promised), *judge_filters(assembly, train)]
    findings += judge_match(assembly)
    figures: list[Figure] = []
    for more_figures, more_findings in (
        judge_stack(assembly, train, mend),
        judge_light(assembly, train, seen),
        judge_pick_off(assembly, train, ratio),
        judge_circle(assembly, train),
        judge_tilt(assembly, ratio),
        judge_guide_filter(assembly, train),
    ):
        figures += more_figures
        findings += more_findings
    plate = section_plate(assembly, train, seen)
    drawings: tuple[Drawing, ...] = (plate,) if plate else ()
    return Study("image-train", tuple(figures), tuple(findings), drawings, (_pieces(train),))


def focal_ratio(assembly: Assembly) -> float | None:
    """Return the focal ratio at the sensor, or None where an input is unsaid."""
    optic = assembly.optic
    if optic is None or optic.focal_length is None or optic.aperture is None:
        return None
    factors = [corrector.factor for corrector in assembly.correctors]
    if None in factors:
        return None
    focal_length = scale.effective_focal_length(optic.focal_length.value, *(one.value for one in factors if one))
    return scale.focal_ratio(focal_length, optic.aperture.value)


def _pieces(train: Train) -> Table:
    """Return the legend of the plate: every piece with both sides, its length and its free diameter."""
    rows: list[tuple[Cell, ...]] = []
    for number, piece in enumerate(train.pieces, 1):
        length = piece.length
        figure = Figure(
            f"length-{number}", piece.part.name, length.value if length else None, "optical_length", METHOD,
            length.basis if length else "stated", length.uncertainty if length else None,
        )  # fmt: skip
        inside = [*piece.filters, *piece.shims]
        name = Cell(piece.part.name, part=piece.part.id)
        held = "; ".join(one.name for one in inside)
        rows.append(
            (
                Cell(str(number), numeric=True),
                name,
                Cell(str(piece.front or "")),
                Cell(str(piece.rear or "")),
                Cell(figure=figure, numeric=True) if piece.counts else Cell("", numeric=True),
                Cell(held),
            )
        )
    columns = ("", "Piece", "Towards the sky", "Towards the sensor", "Length", "Holds")
    return Table("pieces", "The train, piece by piece", columns, tuple(rows))
