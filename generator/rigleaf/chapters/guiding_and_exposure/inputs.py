"""What this chapter takes from a rig, and how to measure what the YAML does not say."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding
from rigleaf.chapters.scale_and_field import inputs as scale_inputs
from rigleaf.chapters.scale_and_field import physics as scale

HOW_TO_MEASURE: dict[str, str] = {
    **scale_inputs.HOW_TO_MEASURE,
    "the central obstruction": "measure the holder of the second mirror across with a caliper, seen from the front",
    "the filter's pass bands": "take centre, width and transmission of each band from the curve that its maker shows",
    "the quantum efficiency": "take its peak from the curve of the sensor's maker",
    "the read noise": (
        "take two frames with the cap on at the shortest exposure, subtract one from the other, and divide the "
        "standard deviation by 1.41; times the gain in e- per ADU it is the read noise"
    ),
    "the full well": (
        "raise the exposure of a flat field until its mean stops growing; times the gain it is the full well"
    ),
    "the dark current": (
        "take a dark frame of ten minutes at the temperature held and one of a second: the difference of their means "
        "over the time, times the gain"
    ),
    "the periodic error": (
        "let the mount follow a star near the equator without corrections for three turns of its drive and read the "
        "swing from peak to peak in a guide program's log"
    ),
    "its period": "count the teeth of the wheel (86,164 s over the teeth), or read it from the same log",
    "a mount": "name what turns with the sky under 'mount'",
    "a guide scope or a pick-off": (
        "name the guide scope under 'guiding', or the pick-off in 'train': a guide camera alone sees nothing"
    ),
    "a guide camera": "name the guide camera under 'guiding'",
    "the guide optic's aperture": "measure the free diameter of the guide scope's front lens",
    "the guide optic's focal length": (
        "solve one guide frame for its scale: 206.265 x pixel in µm / scale is the focal length in mm"
    ),
    "the guide sensor's quantum efficiency": "take its peak from the curve of the sensor's maker",
    "the guide sensor's read noise": (
        "take two guide frames with the cap on, subtract one from the other, and divide the standard deviation by 1.41"
    ),
    "the place's latitude": "state 'latitude' of the rig's place; a map shows it",
}  # fmt: skip

BRIGHT = frozenset({"Moon", "Sun", "eclipses", "planets"})
"""Purposes for which neither sky glow nor tracking sets the exposure."""


def unsaid(id_: str, title: str, what: str, missing: Sequence[str], method: str) -> Finding:
    """Return the finding that says which inputs are missing for ``what``, and how to get them."""
    names = missing[0] if len(missing) == 1 else ", ".join(missing[:-1]) + f" and {missing[-1]}"
    verb = "is" if len(missing) == 1 else "are"
    cures = "; ".join(f"{name}: {HOW_TO_MEASURE[name]}" for name in missing)
    sentence = f"{what} cannot be told: {names} {verb} not given."
    return Finding(id_, "unsaid", title, sentence, (), method, f"{cures[:1].upper()}{cures[1:]}.")


def for_bright_things(assembly: Assembly) -> bool:
    """Whether the rig is for the Sun, the Moon and planets alone."""
    purposes = set(assembly.rig.purpose)
    if purposes:
        return purposes <= BRIGHT
    targets = assembly.all_targets
    return bool(targets) and all(target.sort in ("Sun", "Moon", "planet") for target in targets)


@dataclass(frozen=True)
class Stars:
    """A rig's stars: widths (FWHM, arcsec) at the altitude of judgement, and how far they may move.

    ``sharp`` is what air and aperture make of a star, ``framed`` the same as pixels show it, ``whole`` with the
    tracking error. Both motions are in arcsec.
    """

    assembly: Assembly
    known: scale_inputs.Known

    @cached_property
    def airmass(self) -> float:
        """Air mass at the altitude of judgement."""
        return scale.airmass(self.assembly.choice("target_altitude").value)

    @cached_property
    def seeing(self) -> float:
        """Seeing there, arcsec."""
        zenith, _ = self.assembly.seeing()
        return scale.seeing_at(zenith.value, self.airmass, self.assembly.choice("wavelength").value)

    @cached_property
    def sharp(self) -> float:
        """Width from seeing and diffraction."""
        return scale.quadrature(
            self.seeing, scale.airy_fwhm(self.known.aperture, self.assembly.choice("wavelength").value)
        )

    @cached_property
    def framed(self) -> float:
        """The same with the blur of a pixel."""
        return scale.quadrature(self.sharp, scale.pixel_blur(self.known.scale))

    @cached_property
    def whole(self) -> float:
        """Width with the tracking error."""
        error, _ = self.assembly.tracking_error()
        return scale.quadrature(self.sharp, scale.fwhm_from_rms(scale.axis_rms(error.value)))

    @property
    def between(self) -> float:
        """Motion allowed between two guide corrections."""
        return self.assembly.choice("guide_motion").value * self.framed

    @property
    def trail(self) -> float:
        """Trail allowed within one exposure."""
        return self.assembly.choice("star_trail").value * self.framed
