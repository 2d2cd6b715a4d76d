"""Does the sensor hold what the sky gives? The star that results, in pixels, and what that loses."""

from dataclasses import dataclass, field
from math import floor

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing, Figure, Finding, Verdict
from rigleaf.chapters.scale_and_field import physics
from rigleaf.chapters.scale_and_field.inputs import Inputs
from rigleaf.chapters.scale_and_field.star_plate import star_plate

FINE_DETAIL = frozenset({"galaxies", "planets", "Moon", "Sun"})
"""Purposes for which pixels wider than the star are a fault; for the others they are the price of a wide field."""

WIDE = frozenset({"wide field", "Milky Way", "comets"})

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
    """Widths (FWHM, arcsec) that make up a star's image, and the air mass they hold for."""

    airmass: float
    seeing: float
    airy: float
    smear: float
    total: float


def sampling(assembly: Assembly, inputs: Inputs, focal_length: float, ratio: float, scale: float) -> Part:
    """Judge the sampling: the star's width against the interval of the pixels that see one colour."""
    assert inputs.aperture is not None
    star, figures = _star(assembly, inputs.aperture.value)
    wavelength = assembly.choice("wavelength").value
    colour = inputs.sensor is not None and inputs.sensor.mosaic == "colour"
    interval = physics.green_interval(1.0) if colour else 1.0
    across = physics.pixels_across(star.total, scale)
    left = physics.contrast_at_limit(across / interval)
    figures += [
        Figure("critical-pixel", "Pixel that holds all that diffraction passes", physics.critical_pixel(ratio, wavelength),
               "small_length", "critical-pixel"),
        Figure("star-pixels", "Star's width", across, "pixels", "pixels-across"),
        Figure("contrast-left", "Contrast left at the finest detail the pixels hold", left, "fraction", "contrast-at-limit",
               note="for the green photosites, along their diagonal" if colour else ""),
    ]  # fmt: skip
    if colour:
        red_blue = physics.contrast_at_limit(across / physics.red_blue_interval(1.0))
        figures.append(
            Figure("contrast-left-red-blue", "The same for red and for blue", red_blue, "fraction", "colour-mosaic")
        )
    finding = _judge(assembly, star, scale, across, left, interval, colour)
    part = Part(figures, [finding])
    part.drawings.append(star_plate(assembly, star.total, star.seeing, scale, colour))
    return part


def _star(assembly: Assembly, aperture: float) -> tuple[Star, list[Figure]]:
    """Return the star that seeing, diffraction and tracking make together."""
    wavelength, altitude = assembly.choice("wavelength"), assembly.choice("target_altitude")
    zenith, whence = assembly.seeing()
    error, whence_error = assembly.tracking_error()
    airmass = physics.airmass(altitude.value)
    seeing = physics.seeing_at(zenith.value, airmass, wavelength.value)
    airy = physics.airy_fwhm(aperture, wavelength.value)
    smear = physics.fwhm_from_rms(physics.axis_rms(error.value))
    star = Star(airmass, seeing, airy, smear, physics.quadrature(seeing, airy, smear))
    figures = [
        Figure("rayleigh", "Resolution of the aperture (Rayleigh)", physics.rayleigh(aperture, wavelength.value), "small_angle",
               "rayleigh"),
        Figure("airy", "Star's width from diffraction", airy, "small_angle", "airy-fwhm"),
        Figure("zenith-seeing", "Seeing at the zenith", zenith.value, "small_angle", "seeing-at-airmass", zenith.basis,
               zenith.uncertainty, whence),
        Figure("airmass", "Air mass at the altitude of judgement", airmass, "number", "airmass",
               note=f"target at {assembly.say(altitude.value, 'angle')} ({altitude.basis})"),
        Figure("seeing", "Star's width from seeing there", seeing, "small_angle", "seeing-at-airmass"),
        Figure("tracking-error", "Tracking error (root mean square)", error.value, "small_angle", "tracking-smear", error.basis,
               error.uncertainty, whence_error),
        Figure("smear", "Star's width from tracking", smear, "small_angle", "tracking-smear"),
        Figure("star", "Star's width in all (FWHM)", star.total, "small_angle", "star-width"),
    ]  # fmt: skip
    return star, figures


def _judge(
    assembly: Assembly, star: Star, scale: float, across: float, left: float, interval: float, colour: bool
) -> Finding:
    say = assembly.say
    allowed = assembly.choice("lost_contrast").value
    held = "its green photosites can hold" if colour else "the pixels can hold"
    start = f"A star is {say(star.total, 'small_angle')} wide and spans {say(across, 'pixels')} of {say(scale, 'image_scale')}"
    behind = ("star", "star-pixels", "contrast-left", "image-scale")
    if left <= allowed:
        binned = _harmless_binning(star.total, scale, interval)
        if binned < 2:
            sentence = f"{start}; {say(left, 'fraction')} of the contrast is left at the finest detail that {held}, so little is lost."
            return Finding("sampling", "sound", "Sampling", sentence, behind, "contrast-at-limit")
        share = physics.signal_ratio(scale, scale * binned)
        sentence = (
            f"{start}; nothing is lost, but each pixel gets only {say(share, 'fraction')} of the light that a pixel "
            f"{binned} times as wide would get, which would lose no detail either."
        )
        remedy = f"Bin {binned} × {binned} when the frames are processed{_reducer(assembly)}; on a night with better seeing leave it."
        return Finding("sampling", "sound", "Sampling", sentence, behind, "contrast-at-limit", remedy)
    wanted = physics.interval_for_contrast(star.total, allowed) / interval
    fails = across < 1 and bool(FINE_DETAIL & set(assembly.rig.purpose))
    verdict: Verdict = "fails" if fails else "tight"
    price = ", which is the price of a wide field" if WIDE & set(assembly.rig.purpose) else ""
    sentence = (
        f"{start}; {say(left, 'fraction')} of the contrast is left at the finest detail that {held}: the pixels set the "
        f"limit, not the sky{price}. {say(wanted, 'image_scale')} or finer would hold what the sky gives."
    )
    finer, parts = _finer_camera(assembly, scale, wanted)
    remedy = f"Dither between frames and combine many of them on a finer grid{finer}."
    return Finding("sampling", verdict, "Sampling", sentence, behind, "contrast-at-limit", remedy, parts)


def _harmless_binning(star: float, scale: float, interval: float) -> int:
    """Return how many pixels across may be joined before detail is lost; 1 for none."""
    return max(1, floor(physics.interval_for_contrast(star, LEFT_AT_BINNED) / (scale * interval)))


def _reducer(assembly: Assembly) -> str:
    """Name what else would gather more light on a pixel, if the rig carries an extender."""
    extends = any(corrector.factor and corrector.factor.value > 1 for corrector in assembly.correctors)
    return ", or leave the extender out" if extends else ""


def _finer_camera(assembly: Assembly, scale: float, wanted: float) -> tuple[str, tuple[str, ...]]:
    """Return the shelf's camera whose pixels come nearest to what is wanted, if one is finer than ours."""
    here = assembly.camera
    pixel = here.sensor.pixel if here and here.sensor else None
    if here is None or pixel is None:
        return "", ()
    finer = [
        (camera.sensor.pixel.value, camera)
        for camera in assembly.catalogue.parts.values()
        if isinstance(camera, Camera) and camera.sensor and camera.sensor.pixel and camera.sensor.pixel.value < 0.8 * pixel.value
    ]
    if not finer:
        return "", ()
    goal = pixel.value * wanted / scale
    size, best = min(finer, key=lambda pair: (abs(pair[0] - goal), pair[1].id))
    reached = scale * size / pixel.value
    return f"; or take the club's {best.name}, which gives {assembly.say(reached, 'image_scale')}", (best.id,)
