"""What this chapter takes from a rig, and how to measure what the YAML does not say."""

from dataclasses import dataclass
from math import prod

from rigleaf.catalogue.models.cameras import Sensor
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding
from rigleaf.quantities import Reading

HOW_TO_MEASURE: dict[str, str] = {
    "an optic in the train": "name the tube or lens first in 'train'",
    "a camera in the train": "name the camera last in 'train'",
    "the focal length": "solve one image for its scale in arcsec per pixel: 206.265 x pixel in µm / scale is the focal length in mm",
    "the aperture": "shine a flat, even light in from the eyepiece end and measure the bright disc that leaves the front",
    "the corrector's factor": "solve one image with it and one without: the factor is the ratio of the scales",
    "the sensor's pixels": "the size of a raw frame, in pixels, is in its header",
    "the pixel size": "divide the sensor's width by its number of pixels across",
    "whether it sees colour": "state 'mosaic: mono' or 'mosaic: colour'; a raw frame enlarged shows a pattern of two by two pixels in colour cameras",
    "the guide sensor's pixels": "the size of one of its raw frames is in the header",
    "the guide sensor's pixel size": "divide its width by its number of pixels across",
    "the guide sensor's place": "measure from the main sensor's centre to the guide sensor's with a caliper held above the window, not on it",
    "the motor's step": "move the focuser by 10,000 steps and measure its travel with a caliper",
    "the form of the optic": "see whether light enters through a lens or falls on a mirror, and on how many",
    "the tube's length": "measure from the objective (or mirror) to the focuser",
    "the tube's material": "a magnet tells steel, a cold touch tells metal from carbon fibre",
    "the primary mirror's focal ratio": "ask the maker; it cannot be measured without taking the telescope apart",
    "the spacing of the mirrors": "measure from the primary's surface to the secondary's along the tube",
}


@dataclass(frozen=True)
class Inputs:
    """Numbers in canonical units; None where the YAML does not say.

    ``missing`` names what is unsaid among the inputs that every figure here rests on.
    """

    focal_length: Reading | None
    aperture: Reading | None
    factors: tuple[float, ...]
    factor_unknown: bool
    sensor: Sensor | None
    width_px: int | None
    height_px: int | None
    pixel: float | None
    missing: tuple[str, ...]

    @property
    def factor(self) -> float:
        """The product of all correctors' factors."""
        return prod(self.factors)


def gather(assembly: Assembly) -> Inputs:
    """Collect the inputs from the assembled rig."""
    optic, camera = assembly.optic, assembly.camera
    sensor = camera.sensor if camera else None
    missing: list[str] = []
    if optic is None:
        missing.append("an optic in the train")
    else:
        missing += ["the focal length"] if optic.focal_length is None else []
        missing += ["the aperture"] if optic.aperture is None else []
    factor_unknown = any(corrector.factor is None for corrector in assembly.correctors)
    if factor_unknown:
        missing.append("the corrector's factor")
    if camera is None:
        missing.append("a camera in the train")
    else:
        missing += ["the sensor's pixels"] if sensor is None or sensor.pixels is None else []
        missing += ["the pixel size"] if sensor is None or sensor.pixel is None else []
    return Inputs(
        focal_length=optic.focal_length if optic else None,
        aperture=optic.aperture if optic else None,
        factors=tuple(corrector.factor.value for corrector in assembly.correctors if corrector.factor),
        factor_unknown=factor_unknown,
        sensor=sensor,
        width_px=sensor.pixels.across if sensor and sensor.pixels else None,
        height_px=sensor.pixels.down if sensor and sensor.pixels else None,
        pixel=sensor.pixel.value if sensor and sensor.pixel else None,
        missing=tuple(missing),
    )


def unsaid(id_: str, title: str, what: str, missing: tuple[str, ...], method: str) -> Finding:
    """Return the finding that says which inputs are missing for ``what``, and how to get them."""
    names = missing[0] if len(missing) == 1 else ", ".join(missing[:-1]) + f" and {missing[-1]}"
    verb = "is" if len(missing) == 1 else "are"
    cures = "; ".join(f"{name}: {HOW_TO_MEASURE[name]}" for name in missing)
    return Finding(
        id_, "unsaid", title, f"{what} cannot be told: {names} {verb} not given.", (), method, f"{cures[:1].upper()}{cures[1:]}."
    )
