"""Does the sensor hold what the sky gives? The star that results, in pixels, and what that loses."""

from dataclasses import dataclass, field, replace
from math import floor

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing, Figure, Finding, Verdict
from rigleaf.chapters.scale_and_field import physics
from rigleaf.chapters.scale_and_field.finer_camera import finer_camera
from rigleaf.chapters.scale_and_field.inputs import Known, unsaid
from rigleaf.chapters.scale_and_field.purposes import BRIGHT, FINE_DETAIL, short_exposures, wide
from rigleaf.chapters.scale_and_field.star_plate import star_plate
from rigleaf.chapters.scale_and_field.steady_air import judge_in_steady_air

BEHIND = ("star", "star-pixels", "contrast-left", "image-scale")
"""Figures behind the judgement of sampling."""

LEFT_AT_BINNED = 0.01
"""Contrast that may be left at the limit of binned pixels before binning is called harmless."""

SEEING_SLACK = 0.10
"""How far the seeing of a night is known at best: image scales this near to what is wanted are not told apart."""

OF_LONG_EXPOSURES = frozenset({
    "airmass", "seeing", "smear", "star", "star-pixels", "star-in-frame", "contrast-left", "contrast-left-bell",
    "contrast-left-red-blue", "scale-wanted",
})  # fmt: skip
"""Figures that say nothing of short exposures."""


@dataclass
class Part:
    """Figures, findings and plates of one part of the chapter."""

    figures: list[Figure] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    drawings: list[Drawing] = field(default_factory=list)


@dataclass(frozen=True)
class Star:
    """What makes a star's image: widths (FWHM, arcsec) and the finest detail that the aperture passes.

    ``cutoff`` is in cycles per arcsec.
    """

    seeing: float
    airy: float
    smear: float
    total: float
    cutoff: float

    def contrast(self, interval: float) -> float:
        """Return the contrast left at the finest detail that samples at this interval (arcsec) hold, 0 to 1."""
        return physics.image_contrast(1 / (2 * interval), self.seeing, self.cutoff, self.smear)

    def interval(self, contrast: float) -> float:
        """Return the interval (arcsec) at which just this contrast is left."""
        return physics.interval_for_contrast(contrast, self.seeing, self.cutoff, self.smear)


def sampling(assembly: Assembly, known: Known) -> Part:
    """Judge the sampling: by the contrast left at the limit of the pixels, or for short exposures by diffraction."""
    scale, mosaic = known.scale, known.sensor.mosaic
    cutoff = physics.cutoff_frequency(known.ratio, assembly.choice("wavelength").value)  # cycles on a mm of sensor
    star, figures = _star(assembly, known.aperture, cutoff / physics.plate_scale(known.focal_length))
    interval = scale * (physics.green_interval(1.0) if mosaic == "colour" else 1.0)
    judged = _Sampled(star, scale, interval, physics.pixels_across(star.total, scale), mosaic == "colour")
    figures += _sampling_figures(assembly, judged, known)
    short = short_exposures(assembly.rig)
    if short:
        part = Part([_labelled(figure) for figure in figures], [judge_in_steady_air(assembly, known)])
    else:
        part = Part(figures, [_judge(assembly, judged, known)])
    if mosaic is None:
        missing = ("whether it sees colour",)
        part.findings.append(
            unsaid("mosaic", "Colour of the sensor", "How each colour is sampled", missing, "colour-mosaic")
        )
    if short:
        cause = "in a moment of steady air diffraction alone makes it"
        part.drawings.append(star_plate(assembly, star.airy, cause, scale, judged.colour))
    else:
        cause = f"seeing alone makes {assembly.say(star.seeing, 'small_angle')} of it"
        part.drawings.append(star_plate(assembly, star.total, cause, scale, judged.colour))
    return part


def _labelled(figure: Figure) -> Figure:
    """Return the figure of a rig for short exposures, saying so where it holds for long ones."""
    return replace(figure, label=f"{figure.label}, long exposures") if figure.id in OF_LONG_EXPOSURES else figure


@dataclass(frozen=True)
class _Sampled:
    """A star on pixels: image scale and sampling interval in arcsec, and the star's width in pixels."""

    star: Star
    scale: float
    interval: float
    across: float
    colour: bool

    @property
    def left(self) -> float:
        return self.star.contrast(self.interval)

    @property
    def in_intervals(self) -> float:
        """Pixels for each sampling interval."""
        return self.interval / self.scale


def _star(assembly: Assembly, aperture: float, cutoff: float) -> tuple[Star, list[Figure]]:
    """Return the star that seeing, diffraction and tracking make together."""
    wavelength, altitude = assembly.choice("wavelength"), assembly.choice("target_altitude")
    zenith, whence = assembly.seeing()
    error, whence_error = assembly.tracking_error()
    chosen = "assumed" if altitude.basis == "assumed" else "chosen in guide.yml"
    airmass = physics.airmass(altitude.value)
    seeing = physics.seeing_at(zenith.value, airmass, wavelength.value)
    airy = physics.airy_fwhm(aperture, wavelength.value)
    smear = physics.fwhm_from_rms(physics.axis_rms(error.value))
    star = Star(seeing, airy, smear, physics.quadrature(seeing, airy, smear), cutoff)
    figures = [
        Figure("rayleigh", "Resolution of the aperture (Rayleigh)", physics.rayleigh(aperture, wavelength.value),
               "small_angle",
               "rayleigh"),
        Figure("airy", "Star's width from diffraction", airy, "small_angle", "airy-fwhm"),
        Figure("zenith-seeing", "Seeing at the zenith", zenith.value, "small_angle", "seeing-at-airmass", zenith.basis,
               zenith.uncertainty, whence),
        Figure("airmass", "Air mass at the altitude of judgement", airmass, "number", "airmass",
               note=f"judged with the target at {altitude.value:g}° ({chosen})"),
        Figure("seeing", "Star's width from seeing there", seeing, "small_angle", "seeing-at-airmass"),
        Figure("tracking-error", "Tracking error (root mean square)", error.value, "small_angle", "tracking-smear",
               error.basis,
               error.uncertainty, whence_error),
        Figure("smear", "Star's width from tracking", smear, "small_angle", "tracking-smear"),
        Figure("star", "Star's width in all (FWHM)", star.total, "small_angle", "star-width"),
    ]  # fmt: skip
    return star, figures


def _sampling_figures(assembly: Assembly, judged: _Sampled, known: Known) -> list[Figure]:
    star, scale, ratio = judged.star, judged.scale, known.ratio
    wavelength = assembly.choice("wavelength").value
    aperture_alone = physics.diffraction_contrast(1 / (2 * judged.interval), star.cutoff)
    wanted = star.interval(assembly.choice("lost_contrast").value) / judged.in_intervals
    figures = [
        Figure("pixel", "Side of a pixel", known.pixel, "small_length", "image-scale", known.pixel_basis),
        Figure("airy-ring", "First dark ring, across", physics.airy_ring_diameter(ratio, wavelength),
               "small_length", "airy-ring"),
        Figure("critical-pixel", "Pixel that holds all that diffraction passes", physics.critical_pixel(ratio,
               wavelength),
               "small_length", "critical-pixel"),
        Figure("sky-per-pixel", "Sky on one pixel", physics.pixel_sky_area(scale), "sky_area", "signal-per-pixel"),
        Figure("star-pixels", "Star's width", judged.across, "pixels", "pixels-across"),
        Figure("star-in-frame", "Star's width as a frame shows it", physics.quadrature(star.total,
               physics.pixel_blur(scale)),
               "small_angle", "star-width-in-frame"),
        Figure("contrast-aperture", "Contrast that the aperture alone leaves at the finest detail the pixels hold",
               aperture_alone,
               "fraction", "diffraction-contrast"),
        Figure("contrast-left", "Contrast left there in all", judged.left, "fraction", "image-contrast",
               note="for the green photosites, along their diagonal" if judged.colour else ""),
        Figure("contrast-left-bell", "The same for a bell-shaped star",
               physics.contrast_at_limit(star.total / judged.interval),
               "fraction", "contrast-at-limit"),
        Figure("scale-wanted", "Image scale that holds what the sky gives", wanted, "image_scale", "finer-sampling"),
    ]  # fmt: skip
    if judged.colour:
        red_blue = star.contrast(scale * physics.red_blue_interval(1.0))
        figures.append(
            Figure(
                "contrast-left-red-blue",
                "Contrast left for red and for blue",
                red_blue,
                "fraction",
                "colour-mosaic",
            )
        )
    return figures


def _judge(assembly: Assembly, judged: _Sampled, known: Known) -> Finding:
    say = assembly.say
    held = "its green photosites hold" if judged.colour else "the pixels hold"
    start = (
        f"A star is {say(judged.star.total, 'small_angle')} wide and spans {say(judged.across, 'pixels')} of "
        f"{say(judged.scale, 'image_scale')}"
    )
    allowed = assembly.choice("lost_contrast").value
    if judged.left <= allowed:
        return _fine_enough(assembly, judged, start, held)
    wanted = judged.star.interval(allowed) / judged.in_intervals
    left = f"{start}; {say(judged.left, 'fraction')} of the contrast is left at the finest detail that {held}"
    if judged.scale <= wanted * (1 + SEEING_SLACK):
        sentence = (
            f"{left}: they just hold what the sky gives, for {say(wanted, 'image_scale')} would hold all of it and "
            "seeing is not known more closely than that."
        )
        return Finding("sampling", "sound", "Sampling", sentence, BEHIND, "image-contrast")
    if wide(assembly.rig):
        sentence = (
            f"{left}: the pixels set the limit; that is the price of the wide field chosen here. "
            "Dithering wins part of it back."
        )
        return Finding("sampling", "sound", "Sampling", sentence, BEHIND, "image-contrast")
    fails = judged.across < 1 and bool(FINE_DETAIL & set(assembly.rig.purpose))
    verdict: Verdict = "fails" if fails else "tight"
    sentence = (
        f"{left}: the pixels set the limit, not the sky. {say(wanted, 'image_scale')} or finer would hold what the sky "
        "gives."
    )
    finer, parts = finer_camera(assembly, known, wanted)
    remedy = f"Dither between frames and combine many of them on a finer grid{finer}."
    return Finding("sampling", verdict, "Sampling", sentence, BEHIND, "image-contrast", remedy, parts)


def _fine_enough(assembly: Assembly, judged: _Sampled, start: str, held: str) -> Finding:
    """Return the finding for pixels that hold what the sky gives; finer ones than that cost light."""
    say = assembly.say
    binned = _harmless_binning(judged)
    if binned < 2:
        left = say(judged.left, "fraction")
        sentence = f"{start}; {left} of the contrast is left at the finest detail that {held}, so little is lost."
        return Finding("sampling", "sound", "Sampling", sentence, BEHIND, "image-contrast")
    share = physics.signal_ratio(judged.scale, judged.scale * binned)
    sentence = (
        f"{start}; nothing is lost, but each pixel gets only {say(share, 'fraction')} of the light that one "
        f"{binned} times as wide would get, which would lose no detail either."
    )
    extends = any(corrector.factor and corrector.factor.value > 1 for corrector in assembly.correctors)
    # Whoever photographs planets with the same rig wants every millimetre of focal length for them.
    extender = ", or leave the extender out" if extends and BRIGHT.isdisjoint(assembly.rig.purpose) else ""
    remedy = f"In seeing like this, bin {binned} × {binned} when the frames are processed{extender}."
    return Finding("sampling", "sound", "Sampling", sentence, BEHIND, "signal-per-pixel", remedy)


def _harmless_binning(judged: _Sampled) -> int:
    """Return how many pixels across may be joined before detail is lost; 1 for none."""
    return max(1, floor(judged.star.interval(LEFT_AT_BINNED) / judged.interval))
