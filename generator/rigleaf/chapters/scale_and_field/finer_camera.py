"""A remedy for pixels that are too wide: the club's camera that is fine enough and could take this one's place."""

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.image_train.mating import mates
from rigleaf.chapters.image_train.train import walk
from rigleaf.chapters.scale_and_field import physics
from rigleaf.chapters.scale_and_field.inputs import Known

WIDTH_KEPT = 0.7
"""Part of the sensor's width that a camera must keep: less would be another rig."""

SAME_FLANGE_MM = 0.05


def finer_camera(assembly: Assembly, known: Known, wanted: float) -> tuple[str, tuple[str, ...]]:
    """Return half a sentence that names the camera, and its id; both empty where the shelf has none.

    Args:
        assembly: the rig.
        known: what is known of its optics and sensor.
        wanted: image scale, in arcsec on a pixel, that must be reached with the same colours on the sensor.
    """
    pieces = walk(assembly).pieces
    here = assembly.camera
    if here is None or len(pieces) < 2 or pieces[-1].part is not here:
        return "", ()
    goal = known.pixel * wanted / known.scale
    fit = [
        (pixel, camera)
        for camera in assembly.catalogue.of_kind(Camera)
        if mates(pieces[-2].rear, camera.front)
        and (pixel := _pixel_instead(here, camera, known.width)) is not None
        and pixel <= goal
    ]
    if not fit:
        return "", ()
    pixel, best = max(fit, key=lambda pair: (pair[0], pair[1].id))  # the coarsest: it gets the most light
    reached = assembly.say(known.scale * pixel / known.pixel, "image_scale")
    return f"; or take the club's {best.name}, which gives {reached}{_rings(assembly, here, best)}", (best.id,)


def _pixel_instead(here: Camera, other: Camera, width: float) -> float | None:
    """Return the other camera's pixel in um if it does all that this one does, on nearly as much sky."""
    sensor = other.sensor
    if sensor is None or sensor.pixels is None or sensor.pixel is None:
        return None
    same_colours = here.sensor is not None and sensor.mosaic == here.sensor.mosaic
    cools = not here.cooled or other.cooled
    guides = here.guide_sensor is None or other.guide_sensor is not None
    broad = physics.sensor_extent(float(sensor.pixels.across), sensor.pixel.value) >= WIDTH_KEPT * width
    return sensor.pixel.value if same_colours and cools and guides and broad else None


def _rings(assembly: Assembly, here: Camera, other: Camera) -> str:
    """Return what must change in front of the camera so that its sensor stands where this one does."""
    if here.flange_to_sensor is None or other.flange_to_sensor is None:
        return ""
    more = here.flange_to_sensor.value - other.flange_to_sensor.value
    if abs(more) < SAME_FLANGE_MM:
        return ""
    return f" and wants {assembly.say(abs(more), 'optical_length')} {'more' if more > 0 else 'less'} in front of it"
