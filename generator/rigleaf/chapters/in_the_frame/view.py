"""What a rig sees of the sky: its frame, the second sensor, the image circle and the finest detail."""

from dataclasses import dataclass
from math import degrees, hypot

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_frame import physics
from rigleaf.chapters.in_the_frame.physics import Beside
from rigleaf.chapters.scale_and_field import physics as optics
from rigleaf.chapters.scale_and_field.inputs import Known, gather

QUICK = frozenset({"planet", "Moon", "Sun"})
"""Sorts that are bright enough for exposures so short that the best of them show what the aperture resolves."""


@dataclass(frozen=True, slots=True)
class View:
    """What a rig sees; lengths in deg of tangent plane unless they say otherwise.

    Attributes:
        width: Long side of the frame.
        height: Its short side.
        scale: Arcsec on a pixel.
        detail: Width of the finest detail in long exposures, arcsec: a star's, or two pixels.
        quick_detail: The same in the best of many short exposures, where the aperture alone blurs.
        beside: The second sensor, where its place is known.
        circle: Diameter of the image circle, where it is known.
    """

    width: float
    height: float
    scale: float
    detail: float
    quick_detail: float
    beside: Beside | None = None
    circle: float | None = None

    @property
    def short_side(self) -> float:
        """The shorter of both sides."""
        return min(self.width, self.height)

    @property
    def corner(self) -> float:
        """Distance of the frame's corners from its middle."""
        return hypot(self.width, self.height) / 2

    @property
    def reach(self) -> float:
        """Distance of the farthest corner of either sensor from the middle of the frame."""
        return max(self.corner, self.beside.reach if self.beside else 0.0)

    @property
    def biting_circle(self) -> float | None:
        """The image circle's diameter, where it is too small for the main or the second sensor."""
        return self.circle if self.circle is not None and self.circle / 2 < self.reach else None

    def detail_of(self, sort: str) -> float:
        """Width in arcsec of the finest detail that frames of a target of this sort hold."""
        return self.quick_detail if sort in QUICK else self.detail


def view_of(assembly: Assembly) -> View | None:
    """Return what the rig sees, or None where focal length, aperture or sensor are not known."""
    known = gather(assembly).known
    if known is None:
        return None
    star, quick = _stars(assembly, known)
    circle = _image_circle(assembly)
    return View(
        width=_plane(known.width, known),
        height=_plane(known.height, known),
        scale=known.scale,
        detail=physics.finest_detail(star, known.scale),
        quick_detail=physics.finest_detail(quick, known.scale),
        beside=_beside(assembly, known),
        circle=None if circle is None else _plane(circle, known),
    )


def _plane(length_mm: float, known: Known) -> float:
    """Return a length in the focal plane as degrees of tangent plane."""
    return degrees(length_mm / known.focal_length)


def _stars(assembly: Assembly, known: Known) -> tuple[float, float]:
    """Return the width (FWHM, arcsec) of a star in a long exposure, and that which diffraction alone gives it."""
    wavelength = assembly.choice("wavelength").value
    airmass = optics.airmass(assembly.choice("target_altitude").value)
    seeing = optics.seeing_at(assembly.seeing()[0].value, airmass, wavelength)
    airy = optics.airy_fwhm(known.aperture, wavelength)
    smear = optics.fwhm_from_rms(optics.axis_rms(assembly.tracking_error()[0].value))
    return optics.quadrature(seeing, airy, smear), airy


def _beside(assembly: Assembly, known: Known) -> Beside | None:
    second = assembly.camera.guide_sensor if assembly.camera else None
    if second is None or second.offset is None or second.pixels is None or second.pixel is None:
        return None
    width, height = (optics.sensor_extent(float(number), second.pixel.value) for number in second.pixels)
    return Beside(*(_plane(length, known) for length in (second.offset.x, second.offset.y, width, height)))


def _image_circle(assembly: Assembly) -> float | None:
    """Return the diameter in mm of the image circle that counts: the last corrector's, else the optic's."""
    last = assembly.correctors[-1] if assembly.correctors else assembly.optic
    return last.image_circle.value if last is not None and last.image_circle else None
