"""Which way a rig guides, and what its guide sensor sees of the sky."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from rigleaf.catalogue.models.cameras import GuideCamera, Sensor
from rigleaf.catalogue.models.optics import GuideScope
from rigleaf.catalogue.models.train import Filter, OffAxisPickOff
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.guiding_and_exposure import exposure
from rigleaf.chapters.guiding_and_exposure.bands import COLOUR_SHARE, Light, bands_known, passed
from rigleaf.chapters.guiding_and_exposure.chain import (
    Optics,
    air_on,
    electrons,
    filters_before,
    main_optics,
    sky_over,
)
from rigleaf.chapters.guiding_and_exposure.guide_stars import GuideView
from rigleaf.chapters.guiding_and_exposure.inputs import Stars
from rigleaf.chapters.image_train.physics import WHITE_NM
from rigleaf.chapters.scale_and_field import physics as scale

GUIDE_DARK = 0.1
"""Dark current of a guide sensor in e-/s on a pixel where none is stated: most are not cooled (common practice, no
source). In a few seconds it adds less than the read noise."""


@dataclass(frozen=True)
class Way:
    """How a rig guides: in words, through which optic, on which sensor and behind which filters.

    ``offset`` is the place of the guide sensor's centre in the main focal plane, in mm along the main sensor's long
    and short side; None where it looks through an optic of its own, along the main one.
    """

    words: str
    sensor: Sensor
    filters: tuple[Filter, ...]
    scope: GuideScope | None = None
    offset: tuple[float, float] | None = None


@dataclass(frozen=True)
class Guide:
    """A guide sensor at work: its way, scale (arcsec on a pixel), field (deg) and what it has of light."""

    way: Way
    scale: float
    width: float
    height: float
    view: GuideView
    focal_length: float

    @property
    def offset(self) -> tuple[float, float]:
        """Place of its centre on the tangent plane of the main optic, deg along the long and the short side."""
        if self.way.offset is None:
            return 0.0, 0.0
        degrees = scale.ARCSEC_PER_RADIAN / 3600 / self.focal_length
        return self.way.offset[0] * degrees, self.way.offset[1] * degrees

    def reach(self, width_mm: float, height_mm: float, focal_length: float) -> float:
        """Distance in arcsec from a guide star in the middle of its field to the farthest corner of a frame."""
        across, up = abs(self.offset[0]), abs(self.offset[1])
        degrees = scale.ARCSEC_PER_RADIAN / 3600 / focal_length
        corner = hypot(width_mm / 2 * degrees + across, height_mm / 2 * degrees + up)
        own = hypot(self.width, self.height) / 2 if self.way.offset is None else 0.0
        return (corner + own) * 3600


def way_of(assembly: Assembly) -> Way | tuple[str, ...] | None:
    """Return how the rig guides; what is missing where that is not clear; None where it does not guide."""
    camera = next(assembly.parts(GuideCamera, "guiding"), None)
    scope = next(assembly.parts(GuideScope, "guiding"), None)
    pick_off = next(assembly.parts(OffAxisPickOff, "train"), None)
    if camera is None and scope is not None:
        return ("a guide camera",)
    if camera is not None:
        if camera.sensor is None:
            return ("the guide sensor's pixels",)
        if pick_off is not None and scope is None:
            place = (0.0, -pick_off.prism_offset.value) if pick_off.prism_offset else None
            if place is None:
                return ("the guide sensor's place",)
            before = tuple(filters_before(assembly, pick_off=True))
            return Way(f"{camera.name} on {pick_off.name}", camera.sensor, before, None, place)
        if scope is None:
            return ("a guide scope or a pick-off",)
        return Way(f"{camera.name} in {scope.name}", camera.sensor, (), scope)
    second = assembly.camera.guide_sensor if assembly.camera else None
    if second is None or assembly.camera is None:
        return None
    if second.offset is None:
        return ("the guide sensor's place",)
    words = f"the second sensor of {assembly.camera.name}"
    return Way(words, second, tuple(filters_before(assembly)), None, (second.offset.x, second.offset.y))


def guide(assembly: Assembly, stars: Stars, way: Way) -> Guide | tuple[str, ...]:
    """Return the guide sensor at work, or what is missing."""
    sensor, optics = way.sensor, _optics(assembly, stars, way)
    pixels, pixel, read_noise = sensor.pixels, sensor.pixel, sensor.read_noise
    # An efficiency of nothing is a slip of the pen.
    peak = sensor.quantum_efficiency.value if sensor.quantum_efficiency else 0.0
    wanted = (
        ("the guide sensor's pixels", pixels),
        ("the guide sensor's pixel size", pixel),
        ("the guide sensor's quantum efficiency", peak or None),
        ("the guide sensor's read noise", read_noise),
    )
    missing = [name for name, value in wanted if value is None]
    if not bands_known(way.filters):
        missing.append("the filter's pass bands")
    if not isinstance(optics, Optics):
        missing += optics
    if missing or not isinstance(optics, Optics) or pixels is None or pixel is None or read_noise is None:
        return tuple(missing)
    light = Light(passed(way.filters, WHITE_NM))
    fine = scale.image_scale(pixel.value, optics.focal_length)
    efficiency = peak * (COLOUR_SHARE if sensor.mosaic == "colour" else 1.0)
    sky = electrons(sky_over(assembly).reading.value, light, optics, efficiency)
    dark = sensor.dark_current.value if sensor.dark_current else GUIDE_DARK
    width = scale.quadrature(
        stars.seeing, scale.airy_fwhm(optics.aperture, assembly.choice("wavelength").value), scale.pixel_blur(fine)
    )
    view = GuideView(
        electrons(0.0, light, optics, efficiency, air_on(assembly, light, stars.airmass)),
        exposure.per_pixel(sky, fine) + dark, read_noise.value, width / fine,
    )  # fmt: skip
    across, up = (
        scale.field_of_view(scale.sensor_extent(float(count), pixel.value), optics.focal_length) for count in pixels
    )
    return Guide(way, fine, across, up, view, optics.focal_length)


def _optics(assembly: Assembly, stars: Stars, way: Way) -> Optics | Sequence[str]:
    if way.scope is None:
        return main_optics(assembly, stars.known) or ["the central obstruction"]
    aperture, focal_length = way.scope.aperture, way.scope.focal_length
    if aperture is None or focal_length is None:
        return [
            *(["the guide optic's aperture"] if aperture is None else []),
            *(["the guide optic's focal length"] if focal_length is None else []),
        ]
    return Optics(aperture.value, 0.0, assembly.choice("transmission"), focal_length.value)


def on_the_shelf(assembly: Assembly, stars: Stars) -> list[tuple[Guide, GuideScope, GuideCamera]]:
    """Return every pair of guide scope and guide camera of the club that is fully known."""
    scopes = assembly.catalogue.of_kind(GuideScope)
    cameras = [(part, part.sensor) for part in assembly.catalogue.of_kind(GuideCamera) if part.sensor is not None]
    found = []
    for scope in scopes:
        for camera, sensor in cameras:
            made = guide(assembly, stars, Way(f"{camera.name} in {scope.name}", sensor, (), scope))
            if isinstance(made, Guide):
                found.append((made, scope, camera))
    return found
