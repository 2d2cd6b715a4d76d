"""Does the sensor hold what the sky gives? The star that results, in pixels, and what that loses."""

from dataclasses import dataclass, field
from math import floor

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing, Figure, Finding, Verdict
from rigleaf.chapters.scale_and_field import physics
from rigleaf.chapters.scale_and_field.inputs import Known, unsaid
from rigleaf.chapters.scale_and_field.star_plate import star_plate

FINE_DETAIL = frozenset({"galaxies", "planets", "Moon", "Sun"})
"""Purposes for which pixels wider than the star are a fault; for the others they are the price of a wide field."""

WIDE = frozenset({"wide field", "Milky Way", "comets"})

BEHIND = ("star", "star-pixels", "contrast-left", "image-scale")
"""Figures behind the judgement of sampling."""

LEFT_AT_BINNED = 0.01
"""Contrast that may be left at the limit of binned pixels before binning is called harmless."""


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
    """Judge the sampling: the contrast left at the limit of the pixels that see one colour."""
    scale, mosaic = known.scale, known.sensor.mosaic
    cutoff = physics.cutoff_frequency(known.ratio, assembly.choice("wavelength").value)  # cycles on a mm of sensor
    star, figures = _star(assembly, known.aperture, cutoff / physics.plate_scale(known.focal_length))
    interval = scale * (physics.green_interval(1.0) if mosaic == "colour" else 1.0)
    judged = _Sampled(star, scale, interval, physics.pixels_across(star.total, scale), mosaic == "colour")
    figures += _sampling_figures(assembly, judged, known.ratio)
    part = Part(figures, [_judge(assembly, judged)])
    if mosaic is None:
        missing = ("whether it sees colour",)
        part.findings.append(
            unsaid("mosaic", "Colour of the sensor", "How each colour is sampled", missing, "colour-mosaic")
        )
    part.drawings.append(star_plate(assembly, star.total, star.seeing, scale, judged.colour))
    return part


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
    airmass = physics.airmass(altitude.value)
    seeing = physics.seeing_at(zenith.value, airmass, wavelength.value)
    airy = physics.airy_fwhm(aperture, wavelength.value)
    smear = physics.fwhm_from_rms(physics.axis_rms(error.value))
    star = Star(seeing, airy, smear, physics.quadrature(seeing, airy, smear), cutoff)
    figures = [
        Figure("rayleigh", "Resolution of the aperture (Rayleigh)", physics.rayleigh(aperture, wavelength.value),
               "small_angle",
               "rayleigh"),
        Figure("dawes", "Resolution of the aperture (Dawes)", physics.dawes(aperture), "small_angle", "dawes"),
        Figure("airy", "Star's width from diffraction", airy, "small_angle", "airy-fwhm"),
        Figure("zenith-seeing", "Seeing at the zenith", zenith.value, "small_angle", "seeing-at-airmass", zenith.basis,
               zenith.uncertainty, whence),
        Figure("airmass", "Air mass at the altitude of judgement", airmass, "number", "airmass",
               note=f"target at {assembly.say(altitude.value, 'angle')} ({altitude.basis})"),
        Figure("seeing", "Star's width from seeing there", seeing, "small_angle", "seeing-at-airmass"),
        Figure("tracking-error", "Tracking error (root mean square)", error.value, "small_angle", "tracking-smear",
               error.basis,
               error.uncertainty, whence_error),
        Figure("smear", "Star's width from tracking", smear, "small_angle", "tracking-smear"),
        Figure("star", "Star's width in all (FWHM)", star.total, "small_angle", "star-width"),
    ]  # fmt: skip
    return star, figures


def _sampling_figures(assembly: Assembly, judged: _Sampled, ratio: float) -> list[Figure]:
    star, scale = judged.star, judged.scale
    wavelength = assembly.choice("wavelength").value
    aperture_alone = physics.diffraction_contrast(1 / (2 * judged.interval), star.cutoff)
    wanted = star.interval(assembly.choice("lost_contrast").value) / judged.in_intervals
    figures = [
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


def _judge(assembly: Assembly, judged: _Sampled) -> Finding:
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
    fails = judged.across < 1 and bool(FINE_DETAIL & set(assembly.rig.purpose))
    verdict: Verdict = "fails" if fails else "tight"
    price = ", which is the price of a wide field" if WIDE & set(assembly.rig.purpose) else ""
    sentence = (
        f"{start}; {say(judged.left, 'fraction')} of the contrast is left at the finest detail that {held}: the "
        "pixels set the "
        f"limit, not the sky{price}. {say(wanted, 'image_scale')} or finer would hold what the sky gives."
    )
    finer, parts = _finer_camera(assembly, judged.scale, wanted)
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
    extender = ", or leave the extender out" if extends else ""
    remedy = f"Bin {binned} × {binned} when the frames are processed{extender}; on a night with better seeing leave it."
    return Finding("sampling", "sound", "Sampling", sentence, BEHIND, "signal-per-pixel", remedy)


def _harmless_binning(judged: _Sampled) -> int:
    """Return how many pixels across may be joined before detail is lost; 1 for none."""
    return max(1, floor(judged.star.interval(LEFT_AT_BINNED) / judged.interval))


def _finer_camera(assembly: Assembly, scale: float, wanted: float) -> tuple[str, tuple[str, ...]]:
    """Return the shelf's camera whose pixels come nearest to what is wanted, if one is finer than ours."""
    here = assembly.camera
    pixel = here.sensor.pixel if here and here.sensor else None
    if here is None or pixel is None:
        return "", ()
    finer = [
        (camera.sensor.pixel.value, camera)
        for camera in assembly.catalogue.parts.values()
        if isinstance(camera, Camera)
        and camera.sensor
        and camera.sensor.pixel
        and camera.sensor.pixel.value < 0.8 * pixel.value
    ]
    if not finer:
        return "", ()
    goal = pixel.value * wanted / scale
    size, best = min(finer, key=lambda pair: (abs(pair[0] - goal), pair[1].id))
    reached = scale * size / pixel.value
    return f"; or take the club's {best.name}, which gives {assembly.say(reached, 'image_scale')}", (best.id,)
