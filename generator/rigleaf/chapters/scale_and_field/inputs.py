"""What this chapter takes from a rig, and how to measure what the YAML does not say."""

from dataclasses import dataclass
from math import prod

from rigleaf.catalogue.models.cameras import Sensor
from rigleaf.catalogue.models.optics import Optic
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding
from rigleaf.chapters.scale_and_field import physics
from rigleaf.quantities import Basis, Reading

HOW_TO_MEASURE: dict[str, str] = {
    "an optic in the train": "name the tube or lens first in 'train'",
    "a camera in the train": "name the camera last in 'train'",
    "the focal length": (
        "solve one image for its scale in arcsec per pixel: 206.265 x pixel in µm / scale is the focal length in mm"
    ),
    "the aperture": (
        "shine a flat, even light in from the eyepiece end and measure the bright disc that leaves the front"
    ),
    "the corrector's factor": "solve one image with it and one without: the factor is the ratio of the scales",
    "the sensor's pixels": "the size of a raw frame, in pixels, is in its header",
    "the pixel size": "divide the sensor's width by its number of pixels across",
    "whether it sees colour": (
        "state 'mosaic: mono' or 'mosaic: colour'; a raw frame enlarged shows a pattern of two by two pixels in "
        "colour cameras"
    ),
    "the guide sensor's pixels": "the size of one of its raw frames is in the header",
    "the guide sensor's pixel size": "divide its width by its number of pixels across",
    "the guide sensor's place": (
        "measure from the main sensor's centre to the guide sensor's with a caliper held above the window, not on it"
    ),
    "the motor's step": "move the focuser by 10,000 steps and measure its travel with a caliper",
    "the form of the optic": "see whether light enters through a lens or falls on a mirror, and on how many",
    "the tube's length": "measure from the objective (or mirror) to the focuser",
    "the tube's material": "a magnet tells steel, a cold touch tells metal from carbon fibre",
    "the primary mirror's focal ratio": "ask the maker; it cannot be measured without taking the telescope apart",
    "the spacing of the mirrors": "measure from the primary's surface to the secondary's along the tube",
}


@dataclass(frozen=True)
class Known:
    """Everything that this chapter rests on, in canonical units: the inputs and what follows from them at once.

    ``factor`` is the product of all correctors' factors; ``focal_length`` and ``ratio`` hold behind them. Lengths are
    in mm, ``pixel`` in um, ``scale`` in arcsec on a pixel, ``width`` and ``height`` of the sensor in mm.
    """

    optic: Optic
    sensor: Sensor
    aperture: float
    native: float
    factor: float
    focal_length: float
    ratio: float
    pixel: float
    pixel_basis: Basis
    width: float
    height: float
    scale: float


@dataclass(frozen=True)
class Inputs:
    """What the YAML says; ``known`` is None as long as anything is in ``missing``."""

    focal_length: Reading | None
    aperture: Reading | None
    factors: tuple[float | None, ...]
    pixel: Reading | None
    missing: tuple[str, ...]
    known: Known | None

    @property
    def effective(self) -> float | None:
        """Focal length in mm behind all correctors, as far as it is known."""
        if self.focal_length is None:
            return None
        factors = [factor for factor in self.factors if factor is not None]
        complete = len(factors) == len(self.factors)
        return physics.effective_focal_length(self.focal_length.value, *factors) if complete else None


def gather(assembly: Assembly) -> Inputs:
    """Collect the inputs from the assembled rig."""
    optic, camera = assembly.optic, assembly.camera
    sensor = camera.sensor if camera else None
    wanted = {
        "an optic in the train": optic,
        "the focal length": optic.focal_length if optic else ...,
        "the aperture": optic.aperture if optic else ...,
        "a camera in the train": camera,
        "the sensor's pixels": (sensor.pixels if sensor else None) if camera else ...,
        "the pixel size": (sensor.pixel if sensor else None) if camera else ...,
    }
    missing = [name for name, value in wanted.items() if value is None]
    factors = tuple(corrector.factor.value if corrector.factor else None for corrector in assembly.correctors)
    if None in factors:
        missing.append("the corrector's factor")
    return Inputs(
        focal_length=optic.focal_length if optic else None,
        aperture=optic.aperture if optic else None,
        factors=factors,
        pixel=sensor.pixel if sensor else None,
        missing=tuple(missing),
        known=_known(optic, sensor, factors),
    )


def _known(optic: Optic | None, sensor: Sensor | None, factors: tuple[float | None, ...]) -> Known | None:
    """Return everything at once, or None where anything is unsaid."""
    if optic is None or optic.focal_length is None or optic.aperture is None or None in factors:
        return None
    if sensor is None or sensor.pixels is None or sensor.pixel is None:
        return None
    factor = prod(factor for factor in factors if factor is not None)
    focal_length = physics.effective_focal_length(optic.focal_length.value, factor)
    pixel = sensor.pixel.value
    return Known(
        optic=optic,
        sensor=sensor,
        aperture=optic.aperture.value,
        native=optic.focal_length.value,
        factor=factor,
        focal_length=focal_length,
        ratio=physics.focal_ratio(focal_length, optic.aperture.value),
        pixel=pixel,
        pixel_basis=sensor.pixel.basis,
        width=physics.sensor_extent(float(sensor.pixels.across), pixel),
        height=physics.sensor_extent(float(sensor.pixels.down), pixel),
        scale=physics.image_scale(pixel, focal_length),
    )


def unsaid(id_: str, title: str, what: str, missing: tuple[str, ...], method: str) -> Finding:
    """Return the finding that says which inputs are missing for ``what``, and how to get them."""
    names = missing[0] if len(missing) == 1 else ", ".join(missing[:-1]) + f" and {missing[-1]}"
    verb = "is" if len(missing) == 1 else "are"
    cures = "; ".join(f"{name}: {HOW_TO_MEASURE[name]}" for name in missing)
    return Finding(
        id_,
        "unsaid",
        title,
        f"{what} cannot be told: {names} {verb} not given.",
        (),
        method,
        f"{cures[:1].upper()}{cures[1:]}.",
    )
