"""How long must one exposure last, what burns out in it, and how many hours does each target take?"""

from dataclasses import dataclass
from math import ceil, exp, isfinite

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.catalogue.models.power import Computer
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.guiding_and_exposure import exposure, files
from rigleaf.chapters.guiding_and_exposure.chain import Chain
from rigleaf.chapters.guiding_and_exposure.inputs import Stars, unsaid
from rigleaf.chapters.scale_and_field.sampling import Part

SUB, WELL, FILES = "sub-exposure", "full-well", "night-volume"
STEPS = (0.5, 1, 2, 5, 10, 15, 20, 30, 45, 60, 120, 180, 240, 300, 420, 600, 900, 1200, 1800, 3600)
"""Exposures that people set, in seconds."""

NEARLY = 1.05
"""A usual exposure that falls short by less than this factor is long enough."""

MUCH_READ_NOISE = 0.25
"""Part of the noise that reading may add before the exposure is too short rather than short: it costs half as many
hours again."""

UNSEEN = 1.2
"""How far the share asked for may be exceeded before anybody would see it."""

FULL_OF_SKY = 0.5
"""Part of the full well that the background alone may fill: more leaves no room for anything bright."""


NIGHTS_TO_STORE = 2
"""Nights whose files should fit, so that one bad copy in the morning loses nothing (a choice of this guide)."""


@dataclass(frozen=True)
class Sub:
    """One sub-exposure in s: what the read noise (e-) asks for, the longest that may be, and what is set."""

    read_noise: float
    needed: float
    longest: float
    tracked: bool
    """Whether it is the mount that sets the longest."""

    @property
    def set(self) -> float:
        """The exposure that people would set: no longer than may be, no shorter than it must."""
        return sub_to_set(self.needed, self.longest)


def sub_to_set(needed: float, longest: float) -> float:
    """Return the first usual exposure that is long enough, or the longest usual one that may be."""
    enough = next((step for step in STEPS if step * NEARLY >= needed), ceil(needed / 3600) * 3600.0)
    if enough <= longest:
        return float(enough)
    return max((float(step) for step in STEPS if step <= longest), default=longest)


def longest_sub(assembly: Assembly, chain: Chain, tracked: float | None) -> Sub | None:
    """Return the sub-exposure, or None where the read noise is unsaid.

    Args:
        assembly: the rig.
        chain: its chain of light.
        tracked: the longest exposure that the mount allows, in s; None where that is unsaid.
    """
    if chain.read_noise is None:
        return None
    share, most = assembly.choice("read_share").value, assembly.choice("longest_sub").value
    needed = exposure.sub_exposure(chain.read_noise.value, chain.background, share)
    limit = min(most, tracked if tracked is not None else most)
    return Sub(chain.read_noise.value, needed, limit, tracked is not None and tracked < most)


def added_by_reading(chain: Chain, sub: Sub) -> float:
    """Part of the noise that reading adds in the exposure that is set."""
    return exposure.read_noise_share(sub.read_noise, chain.background, sub.set)


def rates(chain: Chain, stars: Stars) -> list[Figure]:
    """Return the figures of the chain of light."""
    glow, light = chain.glow, chain.light
    basis = chain.optics.transmission.basis
    air = sum(chain.air) / len(chain.air)
    return [
        Figure("sky-brightness", "Sky brightness", glow.reading.value, "sky_brightness", "sky-rate", glow.reading.basis,
               glow.error, glow.whence),
        Figure("band", "Light that is counted", light.width, "wavelength", "photons-in-band", note=light.words),
        Figure("transmission", "Transmission of the optics", chain.optics.transmission.value, "fraction", "sky-rate",
               basis),
        Figure("air", "Light that the air lets through", air, "fraction", "extinction",
               note=f"at an air mass of {stars.airmass:.2f}"),
        Figure("sky-rate", "Sky glow", chain.sky, "pixel_rate", "sky-rate"),
        Figure("dark-rate", "Dark current", chain.dark.value if chain.dark else None, "pixel_rate", SUB,
               chain.dark.basis if chain.dark else "stated"),
        Figure("read-noise", "Read noise", chain.read_noise.value if chain.read_noise else None, "electrons", SUB,
               chain.read_noise.basis if chain.read_noise else "stated"),
    ]  # fmt: skip


def sub_exposure(assembly: Assembly, chain: Chain, stars: Stars, sub: Sub | None) -> Part:
    """Judge the sub-exposure against noise, mount and full well."""
    part = Part()
    if chain.dark is None:
        what = "How much the dark current adds, and so the whole noise,"
        part.findings.append(unsaid("dark", "Dark current", what, ("the dark current",), SUB))
    if sub is None:
        part.findings.append(unsaid("sub", "Sub-exposure", "How long to expose", ("the read noise",), SUB))
        return part
    noise, share = sub.read_noise, assembly.choice("read_share").value
    added = added_by_reading(chain, sub)
    hours = assembly.choice("night_hours").value
    kept = exposure.stack_efficiency(chain.background * hours, noise * noise, max(1.0, hours / sub.set))
    part.figures += [
        Figure("sub-needed", "Shortest useful sub-exposure", sub.needed, "time", SUB,
               note=f"reading then adds {assembly.say(share, 'fraction')} to the noise"),
        Figure("sub", "Sub-exposure to set", sub.set, "time", SUB,
               note="as long as the mount allows" if sub.tracked and sub.needed > sub.longest else ""),
        Figure("read-share", "Noise that reading adds then", added, "fraction", SUB),
        Figure("stack-kept", "Signal to noise that a night's stack keeps", kept, "chance", "stack-efficiency",
               note="of one exposure as long, read once"),
    ]  # fmt: skip
    if not (sub.tracked and sub.needed > sub.longest):  # else the judgement of the mount says all of it
        part.findings.append(_judge_sub(assembly, sub, added))
    _full_well(assembly, chain, stars, sub, part)
    _night(assembly, stars, sub, part)
    return part


def _judge_sub(assembly: Assembly, sub: Sub, added: float) -> Finding:
    say, share = assembly.say, assembly.choice("read_share").value
    behind = ("sub-needed", "sub", "read-share", "sky-rate", "read-noise")
    extra, needed, set_ = say(added, "fraction"), say(sub.needed, "time"), say(sub.set, "time")
    if added <= share * UNSEEN:
        sentence = (
            f"Under this sky reading adds {extra} to the noise of a sub-exposure of {set_}; longer ones gain next to "
            "nothing."
        )
        return Finding("sub", "sound", "Sub-exposure", sentence, behind, SUB)
    verdict: Verdict = "tight" if added <= MUCH_READ_NOISE else "fails"
    hours = say((1 + added) ** 2 / (1 + share) ** 2, "factor")
    sentence = (
        f"{needed} would keep the noise of reading to {say(share, 'fraction')}, and few people expose for more than "
        f"{say(sub.longest, 'time')}: at {set_} reading adds {extra}, which costs {hours} the hours."
    )
    remedy, parts = _quieter(assembly, sub)
    return Finding("sub", verdict, "Sub-exposure", sentence, behind, SUB, remedy, parts)


def _quieter(assembly: Assembly, sub: Sub) -> tuple[str, tuple[str, ...]]:
    """Return what shortens the exposure that is needed: a quieter camera of the same sort, or more light on a pixel."""
    allowed = sub.read_noise * (sub.longest / sub.needed) ** 0.5
    say, camera = assembly.say, assembly.camera
    words = f"A read noise of {say(allowed, 'electrons')} would do"
    quiet: list[tuple[float, Camera]] = []
    for one in assembly.catalogue.of_kind(Camera):
        if one is camera or one.sensor is None or one.sensor.read_noise is None:
            continue
        alike = camera is not None and camera.sensor is not None and one.sensor.mosaic == camera.sensor.mosaic
        pixel = one.sensor.pixel.value if one.sensor.pixel else 0.0
        own = camera.sensor.pixel.value if camera and camera.sensor and camera.sensor.pixel else 0.0
        if alike and pixel and one.sensor.read_noise.value * own / pixel <= allowed:
            quiet.append((one.sensor.read_noise.value, one))
    if quiet:
        noise, best = min(quiet, key=lambda pair: pair[0])
        return f"{words}: take the club's {best.name} with {say(noise, 'electrons')}.", (best.id,)
    more = say(sub.needed / sub.longest, "factor")
    return f"{words}, and so would {more} the light on a pixel, from a faster optic or pixels binned.", ()


def _full_well(assembly: Assembly, chain: Chain, stars: Stars, sub: Sub, part: Part) -> None:
    if chain.full_well is None:
        what = "Which stars burn out"
        part.findings.append(unsaid("full-well", "Bright stars", what, ("the full well",), WELL))
        return
    well, say = chain.full_well.value, assembly.say
    peak = exposure.peak_pixel_share(stars.whole / stars.known.scale)
    magnitude = exposure.brightest_unsaturated(sub.set, chain.at_zero, peak, well, chain.background)
    filled = chain.background * sub.set / well
    kept = assembly.choice("star_kept").value
    part.figures += [
        Figure("burnt-out", "Brightest star that does not burn out", magnitude if isfinite(magnitude) else None,
               "magnitude", WELL, note="" if isfinite(magnitude) else "the sky alone fills the pixels"),
        Figure("well-filled", "Part of the full well that the background fills", filled, "fraction", WELL),
    ]  # fmt: skip
    behind = ("burnt-out", "well-filled", "sub")
    set_ = say(sub.set, "time")
    if filled > FULL_OF_SKY:
        sentence = f"The background alone fills {say(min(filled, 1.0), 'fraction')} of the full well in {set_}."
        shorter = say(FULL_OF_SKY * well / chain.background, "time")
        cure = f"Expose for {shorter} or less, or at a lower gain."
        part.findings.append(Finding("full-well", "fails", "Bright stars", sentence, behind, WELL, cure))
        return
    sentence = f"Stars brighter than magnitude {say(magnitude, 'magnitude')} burn out in {set_}."
    if round(magnitude, 1) <= kept:
        part.findings.append(Finding("full-well", "sound", "Bright stars", sentence, behind, WELL))
        return
    rate = chain.at_zero * exp(-exposure.LOG_PER_MAGNITUDE * kept)
    enough = exposure.full_well_exposure(rate, peak, well, chain.background)
    shorter = say(max((float(step) for step in STEPS if step <= enough), default=enough), "time")
    cure = f"Add a set of exposures of {shorter}, which keep stars of magnitude {say(kept, 'number')}."
    part.findings.append(Finding("full-well", "tight", "Bright stars", sentence, behind, WELL, cure))


def _night(assembly: Assembly, stars: Stars, sub: Sub, part: Part) -> None:
    """Frames and gigabytes of a night."""
    pixels = stars.known.sensor.pixels
    if pixels is None:
        return
    hours, overhead = assembly.choice("night_hours"), assembly.choice("frame_overhead")
    size = files.fits_bytes(pixels.across, pixels.down)
    frames = files.frames_in(hours.value, sub.set, overhead.value)
    part.figures += [
        Figure("frame-size", "Size of a frame", size / 1e9, "data", "fits-size"),
        Figure("frames", "Frames in a night", float(frames), "number", FILES,
               note=f"{assembly.say(hours.value, 'time')} ({hours.basis}), {assembly.say(overhead.value, 'time')} "
               "between frames"),
        Figure("night-data", "Files of a night", files.gigabytes(frames, size), "data", FILES),
    ]  # fmt: skip
    _storage(assembly, files.gigabytes(frames, size), part)


def _storage(assembly: Assembly, night: float, part: Part) -> None:
    """Judge the files of a night against the storage that is carried."""
    title, say = "Storage", assembly.say
    carried = [
        item.count * item.part.storage.value
        for item in assembly.items
        if isinstance(item.part, (Camera, Computer)) and item.part.storage is not None
    ]
    if not carried:
        sentence = (
            f"Whether a night's {say(night, 'data')} fit cannot be told: no computer or camera states its storage."
        )
        cure = (
            "State the 'storage' of the computer or of the card in the camera: what is free on it, not what it holds."
        )
        part.findings.append(Finding("storage", "unsaid", title, sentence, ("night-data",), FILES, cure))
        return
    room = sum(carried)
    part.figures.append(Figure("storage", "Storage carried", room, "data", FILES, "stated"))
    nights = room / night if night else float("inf")
    verdict: Verdict = "sound" if nights >= NIGHTS_TO_STORE else "tight" if nights >= 1 else "fails"
    held = "not even one" if nights < 1 else "one night"
    if nights >= NIGHTS_TO_STORE:
        held = f"{say(float(int(nights)), 'number')} nights"
    sentence = f"The storage carried, {say(room, 'data')}, holds {held} of {say(night, 'data')} each."
    cure = "" if verdict == "sound" else "Carry a larger card or drive, or copy the frames off each morning."
    part.findings.append(Finding("storage", verdict, title, sentence, ("night-data", "storage"), FILES, cure))
