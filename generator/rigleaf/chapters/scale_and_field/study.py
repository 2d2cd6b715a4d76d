"""Judgement of scale and field: from the rig's numbers to figures, findings and plates."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Study
from rigleaf.chapters.scale_and_field import physics
from rigleaf.chapters.scale_and_field.field_plate import field_plate
from rigleaf.chapters.scale_and_field.focus import focus
from rigleaf.chapters.scale_and_field.inputs import Inputs, Known, gather, unsaid
from rigleaf.chapters.scale_and_field.sampling import sampling
from rigleaf.quantities import Reading


def study(assembly: Assembly) -> Study:
    """Study scale, field, sampling and focus of one rig."""
    inputs = gather(assembly)
    figures = _scale(inputs)
    if inputs.known is None:
        finding = unsaid("inputs", "Scale and field", "Scale and field", inputs.missing, "image-scale")
        return Study("scale-and-field", tuple(figures), (finding,))
    known = inputs.known
    parts = [sampling(assembly, known), focus(assembly, known)]
    figures += _field(assembly, known)
    findings = _second_unsaid(assembly)
    drawings = [field_plate(assembly, known, {figure.id: figure for figure in figures})]
    for part in parts:
        figures += part.figures
        findings += part.findings
        drawings += part.drawings
    return Study("scale-and-field", tuple(figures), tuple(findings), tuple(drawings))


def _scale(inputs: Inputs) -> list[Figure]:
    """Return what holds for the optics, as far as their inputs go."""
    native, aperture, pixel, focal_length = (
        inputs.focal_length,
        inputs.aperture,
        inputs.pixel,
        inputs.effective,
    )
    ratio = physics.focal_ratio(focal_length, aperture.value) if focal_length and aperture else None
    scale = physics.image_scale(pixel.value, focal_length) if focal_length and pixel else None
    plate_scale = physics.plate_scale(focal_length) if focal_length else None
    note = ""
    if native is not None and focal_length is not None and inputs.factors:
        note = " × ".join([f"{native.value:g} mm", *(f"{factor:g}" for factor in inputs.factors)])
    return [
        _given("aperture", "Aperture", aperture, "focal-ratio"),
        Figure(
            "focal-length", "Focal length", focal_length, "optical_length", "effective-focal-length",
            basis="computed" if inputs.factors or native is None else native.basis, note=note,
        ),
        Figure("focal-ratio", "Focal ratio", ratio, "focal_ratio", "focal-ratio"),
        Figure("plate-scale", "Scale in the focal plane", plate_scale, "plate_scale", "plate-scale"),
        Figure("image-scale", "Image scale", scale, "image_scale", "image-scale"),
    ]  # fmt: skip


def _given(id_: str, label: str, reading: Reading | None, method: str) -> Figure:
    """Return a figure that is an input, with its own basis."""
    if reading is None:
        return Figure(id_, label, None, "length", method, basis="stated")
    return Figure(id_, label, reading.value, reading.dimension, method, reading.basis, reading.uncertainty)


def _field(assembly: Assembly, known: Known) -> list[Figure]:
    """Return sensor sizes and fields of view of the main and, where there is one, the second sensor."""
    across, up = (physics.field_of_view(side, known.focal_length) for side in (known.width, known.height))
    corner = physics.field_of_view(physics.diagonal(known.width, known.height), known.focal_length)
    words = f"{assembly.say(across, 'angle')}\u00a0×\u00a0{assembly.say(up, 'angle')}"
    figures = [
        Figure("sensor-width", "Sensor, long side", known.width, "optical_length", "sensor-size"),
        Figure("sensor-height", "Sensor, short side", known.height, "optical_length", "sensor-size"),
        Figure("field-width", "Field, long side", across, "angle", "field-of-view"),
        Figure("field-height", "Field, short side", up, "angle", "field-of-view"),
        Figure("field-diagonal", "Field, diagonal", corner, "angle", "field-of-view"),
        Figure("field", "Field of view", words, "text", "field-of-view", shown=False),
    ]
    return figures + _second_sensor(assembly, known.focal_length)


def _second_sensor(assembly: Assembly, focal_length: float) -> list[Figure]:
    second = assembly.camera.guide_sensor if assembly.camera else None
    if second is None or second.pixels is None or second.pixel is None:
        return []
    pixel, method = second.pixel.value, "second-sensor-field"
    width, height = (physics.sensor_extent(float(n), pixel) for n in second.pixels)
    scale = physics.image_scale(pixel, focal_length)
    figures = [Figure("guide-scale", "Guide sensor, image scale", scale, "image_scale", "image-scale")]
    if second.offset is None:
        across, up = (physics.field_of_view(side, focal_length) for side in (width, height))
    else:
        field = physics.offset_field(width, height, second.offset.x, second.offset.y, focal_length)
        across, up = field.width, field.height
        label = "Guide sensor, centre from the frame's centre"
        figures.append(Figure("guide-offset", label, field.offset, "angle", method))
    return [
        *figures,
        Figure("guide-field-width", "Guide sensor, field along the long side", across, "angle", method),
        Figure("guide-field-height", "Guide sensor, field along the short side", up, "angle", method),
    ]


def _second_unsaid(assembly: Assembly) -> list[Finding]:
    """Say what is missing of a second sensor, where the camera has one."""
    second = assembly.camera.guide_sensor if assembly.camera else None
    if second is None:
        return []
    wanted = (
        ("the guide sensor's pixels", second.pixels),
        ("the guide sensor's pixel size", second.pixel),
        ("the guide sensor's place", second.offset),
    )
    missing = tuple(name for name, value in wanted if value is None)
    if not missing:
        return []
    return [unsaid("guide-sensor", "Guide sensor", "What the guide sensor sees", missing, "second-sensor-field")]
