"""Judgement of scale and field: from the rig's numbers to figures, findings and plates."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing, Figure, Finding, Study
from rigleaf.chapters.scale_and_field import physics
from rigleaf.chapters.scale_and_field.field_plate import field_plate
from rigleaf.chapters.scale_and_field.focus import focus
from rigleaf.chapters.scale_and_field.inputs import Inputs, gather, unsaid
from rigleaf.chapters.scale_and_field.sampling import sampling
from rigleaf.quantities import Reading


def study(assembly: Assembly) -> Study:
    """Study scale, field, sampling and focus of one rig."""
    inputs = gather(assembly)
    figures = _scale(inputs)
    findings: list[Finding] = []
    drawings: list[Drawing] = []
    if inputs.missing:
        findings.append(unsaid("inputs", "Scale and field", "Scale and field", inputs.missing, "image-scale"))
    else:
        known = {figure.id: figure.value for figure in figures if isinstance(figure.value, float)}
        figures += _field(assembly, inputs, known["focal-length"])
        findings += _second_unsaid(assembly)
        drawings.append(field_plate(assembly, {figure.id: figure for figure in figures}))
        for part in (sampling, focus):
            found = part(assembly, inputs, known["focal-length"], known["focal-ratio"], known["image-scale"])
            figures += found.figures
            findings += found.findings
            drawings += found.drawings
    return Study("scale-and-field", tuple(figures), tuple(findings), tuple(drawings))


def _scale(inputs: Inputs) -> list[Figure]:
    """Return what holds for the optics, as far as their inputs go."""
    native = inputs.focal_length
    known = native is not None and not inputs.factor_unknown
    focal_length = physics.effective_focal_length(native.value, *inputs.factors) if native and known else None
    ratio = physics.focal_ratio(focal_length, inputs.aperture.value) if focal_length and inputs.aperture else None
    scale = physics.image_scale(inputs.pixel, focal_length) if focal_length and inputs.pixel else None
    note = ""
    if native is not None and inputs.factors:
        chain = " × ".join(f"{factor:g}" for factor in inputs.factors)
        note = f"{native.value:g} mm × {chain}"
    return [
        _given("aperture", "Aperture", inputs.aperture, "focal-ratio"),
        Figure(
            "focal-length", "Focal length", focal_length, "optical_length", "effective-focal-length",
            basis="computed" if inputs.factors or native is None else native.basis, note=note,
        ),
        Figure("focal-ratio", "Focal ratio", ratio, "focal_ratio", "focal-ratio"),
        Figure(
            "plate-scale", "Scale in the focal plane", physics.plate_scale(focal_length) if focal_length else None, "plate_scale",
            "plate-scale",
        ),
        Figure("image-scale", "Image scale", scale, "image_scale", "image-scale"),
    ]  # fmt: skip


def _given(id_: str, label: str, reading: Reading | None, method: str) -> Figure:
    """Return a figure that is an input, with its own basis."""
    if reading is None:
        return Figure(id_, label, None, "length", method, basis="stated")
    return Figure(id_, label, reading.value, reading.dimension, method, reading.basis, reading.uncertainty)


def _field(assembly: Assembly, inputs: Inputs, focal_length: float) -> list[Figure]:
    """Return sensor sizes and fields of view of the main and, where there is one, the second sensor."""
    assert inputs.width_px and inputs.height_px and inputs.pixel  # gather() lists them as missing otherwise
    width, height = (physics.sensor_extent(float(n), inputs.pixel) for n in (inputs.width_px, inputs.height_px))
    across, up = (physics.field_of_view(side, focal_length) for side in (width, height))
    corner = physics.field_of_view(physics.diagonal(width, height), focal_length)
    figures = [
        Figure("sensor-width", "Sensor, long side", width, "optical_length", "sensor-size"),
        Figure("sensor-height", "Sensor, short side", height, "optical_length", "sensor-size"),
        Figure("field-width", "Field, long side", across, "angle", "field-of-view"),
        Figure("field-height", "Field, short side", up, "angle", "field-of-view"),
        Figure("field-diagonal", "Field, diagonal", corner, "angle", "field-of-view"),
        Figure(
            "field", "Field of view", f"{assembly.say(across, 'angle')}\u00a0×\u00a0{assembly.say(up, 'angle')}", "text",
            "field-of-view", shown=False,
        ),
    ]  # fmt: skip
    return figures + _second_sensor(assembly, focal_length)


def _second_sensor(assembly: Assembly, focal_length: float) -> list[Figure]:
    second = assembly.camera.guide_sensor if assembly.camera else None
    if second is None or second.pixels is None or second.pixel is None:
        return []
    pixel = second.pixel.value
    width, height = (physics.sensor_extent(float(n), pixel) for n in second.pixels)
    figures = [Figure("guide-scale", "Guide sensor, image scale", physics.image_scale(pixel, focal_length), "image_scale", "image-scale")]
    if second.offset is None:
        across, up = (physics.field_of_view(side, focal_length) for side in (width, height))
    else:
        field = physics.offset_field(width, height, second.offset.x, second.offset.y, focal_length)
        across, up = field.width, field.height
        figures.append(
            Figure("guide-offset", "Guide sensor, centre from the frame's centre", field.offset, "angle", "second-sensor-field")
        )
    return [
        *figures,
        Figure("guide-field-width", "Guide sensor, field along the long side", across, "angle", "second-sensor-field"),
        Figure("guide-field-height", "Guide sensor, field along the short side", up, "angle", "second-sensor-field"),
    ]


def _second_unsaid(assembly: Assembly) -> list[Finding]:
    """Say what is missing of a second sensor, where the camera has one."""
    second = assembly.camera.guide_sensor if assembly.camera else None
    if second is None:
        return []
    missing = ("the guide sensor's pixels",) if second.pixels is None else ()
    missing += ("the guide sensor's pixel size",) if second.pixel is None else ()
    missing += ("the guide sensor's place",) if second.offset is None else ()
    if not missing:
        return []
    return [unsaid("guide-sensor", "Guide sensor", "What the guide sensor sees", missing, "second-sensor-field")]
