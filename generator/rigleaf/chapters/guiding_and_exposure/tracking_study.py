"""What the mount does to stars: its periodic error, its polar error, and the turn of an alt-azimuth field."""

from dataclasses import dataclass
from math import cos, inf, isfinite, pi, radians

from rigleaf.catalogue.models.mounting import Mount
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.guiding_and_exposure import tracking
from rigleaf.chapters.guiding_and_exposure.exposure_study import MUCH_READ_NOISE, Sub
from rigleaf.chapters.guiding_and_exposure.guide_view import Guide
from rigleaf.chapters.guiding_and_exposure.inputs import Stars, unsaid
from rigleaf.chapters.scale_and_field import physics as scale
from rigleaf.quantities import Reading

INTERVAL, ALONE, TURN, POLAR = "guide-interval", "longest-unguided", "altaz-rotation", "polar-rotation"
SHORTEST = 0.5
"""Shortest guide exposure in s that air lets mean anything: the star's dance averages out in less time only for large
apertures (common practice, no source)."""

TIGHT_PART = 0.5
"""Part of the allowed trail that polar error may use up before it is called tight."""

HIGHEST = 80.0
"""Declination, deg, beyond which the turn about a guide star is not judged: it grows without bound."""


def mount_of(assembly: Assembly) -> Mount | None:
    """The mount."""
    return next(assembly.parts(Mount, "mount"), None)


@dataclass(frozen=True)
class Drive:
    """A drive's periodic error, peak to peak (arcsec), and its period (s)."""

    error: Reading
    period: Reading

    @property
    def rate(self) -> float:
        """Largest rate, arcsec/s."""
        return tracking.periodic_rate(self.error.value, self.period.value)

    def motion(self, seconds: float) -> float:
        """Largest motion in so many seconds, arcsec."""
        return tracking.periodic_motion(self.error.value, self.period.value, seconds)

    def interval(self, allowed: float) -> float:
        """Seconds between corrections that keep the motion between them at what is allowed."""
        return tracking.guide_interval(self.error.value, self.period.value, allowed)


def drive_of(mount: Mount | None) -> Drive | None:
    """Return the mount's drive, or None where its error or period is unsaid."""
    if mount is None or mount.periodic_error is None or mount.period is None:
        return None
    return Drive(mount.periodic_error, mount.period)


def turns(mount: Mount | None) -> bool:
    """Whether the field turns on this mount."""
    return mount is not None and mount.drive == "alt-azimuth"


def interval_of(mount: Mount, allowed: float) -> float | None:
    """Seconds between corrections that this mount allows; None where its error or period is unsaid."""
    drive = drive_of(mount)
    return drive.interval(allowed) if drive else None


def alone_of(assembly: Assembly, mount: Mount, allowed: float) -> float | None:
    """Longest exposure without guiding, s; None where error or period is unsaid."""
    drive = drive_of(mount)
    if drive is None:
        return None
    error = assembly.choice("polar_error").value / 60
    return tracking.longest_unguided(allowed, drive.error.value, drive.period.value, error)


def drive_figures(assembly: Assembly, mount: Mount | None, stars: Stars, guided: bool) -> list[Figure]:
    """Return what drive and polar error do to stars, whether guided or not."""
    error = assembly.choice("polar_error")
    arcmin = error.value / 60
    figures = [
        Figure(
            "star-in-frame",
            "Star's width as a frame shows it, tracking left out",
            stars.framed,
            "small_angle",
            "star-width-in-frame",
        ),
    ]
    if not turns(mount):
        figures += [
        Figure("polar-error", "Polar error", arcmin, "tilt", "polar-drift", error.basis),
        Figure("polar-drift", "Drift from it, at most", tracking.declination_drift(arcmin), "drift", "polar-drift"),
    ]  # fmt: skip
    if mount is not None and mount.periodic_error is not None:
        swing = mount.periodic_error
        figures.append(Figure("periodic-error", "Periodic error, peak to peak", swing.value, "small_angle",
                              "periodic-rate", swing.basis, swing.uncertainty))  # fmt: skip
        if mount.period is not None:
            rate = tracking.periodic_rate(swing.value, mount.period.value)
            figures.append(Figure("periodic-rate", "Largest rate of it", rate, "drive_rate", "periodic-rate"))
    if not guided:
        still = tracking.longest_untracked(stars.trail)
        figures.append(Figure("untracked", "Longest exposure with the drive at rest", still, "time", "untracked-trail",
                              note="on the celestial equator"))  # fmt: skip
    return figures


def judge_drive(assembly: Assembly, mount: Mount | None, stars: Stars) -> tuple[list[Figure], list[Finding]]:
    """Judge how often a guided drive must be corrected."""
    title = "Drive"
    drive = drive_of(mount)
    if drive is None or mount is None:
        return [], [unsaid("drive", title, "How often the drive must be corrected", _missing(mount), INTERVAL)]
    say, allowed, delay = assembly.say, stars.between, assembly.choice("guide_delay").value
    interval = drive.interval(allowed)
    figures = [
        Figure("allowed-motion", "Motion allowed between corrections", allowed, "small_angle", INTERVAL),
        Figure("guide-interval", "Longest time between corrections", interval if isfinite(interval) else None, "time",
               INTERVAL, note="" if isfinite(interval) else "the error stays within what is allowed"),
    ]  # fmt: skip
    behind = ("periodic-error", "periodic-rate", "allowed-motion", "guide-interval")
    swing, period = say(drive.error.value, "small_angle"), say(drive.period.value, "time")
    if not isfinite(interval):
        sentence = f"The periodic error of {swing} stays within the {say(allowed, 'small_angle')} allowed by itself."
        return figures, [Finding("drive", "sound", title, sentence, behind, INTERVAL)]
    rate = say(drive.rate, "drive_rate")
    sentence = (
        f"A periodic error of {swing} in {period} moves a star by up to {rate}: a correction every "
        f"{say(interval, 'time')} keeps the motion between them within {say(allowed, 'small_angle')}."
    )
    room = interval - delay
    if room >= 2 * SHORTEST:
        return figures, [Finding("drive", "sound", title, sentence, behind, INTERVAL)]
    verdict: Verdict = "tight" if room >= SHORTEST else "fails"
    sentence += f" Download and correction take {say(delay, 'time')} of that."
    cure, parts = calmer(assembly, mount, allowed, delay + 2 * SHORTEST)
    return figures, [Finding("drive", verdict, title, sentence, behind, INTERVAL, cure, parts)]


def _missing(mount: Mount | None) -> tuple[str, ...]:
    if mount is None:
        return ("a mount",)
    wanted = (("the periodic error", mount.periodic_error), ("its period", mount.period))
    return tuple(name for name, value in wanted if value is None)


def calmer(assembly: Assembly, mount: Mount, allowed: float, wanted: float) -> tuple[str, tuple[str, ...]]:
    """Return the club's lightest mount that can go so long without correction, or what one would have to do."""
    good = [
        (one.mass.value if one.mass else inf, one.id, one)
        for one in assembly.catalogue.of_kind(Mount)
        if one is not mount and (interval_of(one, allowed) or 0.0) >= wanted
        and one.drive not in ("star-tracker", "alt-azimuth")
    ]  # fmt: skip
    say = assembly.say
    if not good:
        return (
            "Train the drive's error correction, if it has one; no other mount on the shelf goes "
            f"{say(wanted, 'time')} without correction."
        ), ()
    _, id_, best = min(good, key=lambda one: one[:2])
    interval = interval_of(best, allowed)
    long = say(interval, "time") if interval is not None and isfinite(interval) else "any time"
    return f"The club's {best.name} goes {long} between corrections, if it carries the load.", (id_,)


def judge_polar(assembly: Assembly, stars: Stars, guide: Guide, sub: float) -> tuple[list[Figure], list[Finding]]:
    """Judge the turn of the field about the guide star within a sub-exposure."""
    known, say = stars.known, assembly.say
    error = assembly.choice("polar_error").value / 60
    declination = min(max((abs(target.dec or 0.0) for target in assembly.targets), default=45.0), HIGHEST)
    far = guide.reach(known.width, known.height, known.focal_length)
    turned = tracking.polar_rotation(error, sub, declination)
    trail = tracking.rotation_trail(turned, far)
    distance = far / scale.ARCSEC_PER_RADIAN * known.focal_length
    tolerance = tracking.polar_tolerance(
        stars.trail * TIGHT_PART / scale.ARCSEC_PER_RADIAN * known.focal_length * 1000, sub, declination, distance
    )
    figures = [
        Figure("polar-trail", "Trail in the farthest corner from the turn of the field", trail, "small_angle", POLAR,
               note=f"in {say(sub, 'time')}, at declination {say(declination, 'angle')}"),
        Figure("polar-tolerance", "Polar error that would be sound", tolerance, "tilt", POLAR),
    ]  # fmt: skip
    verdict: Verdict = "sound" if trail <= TIGHT_PART * stars.trail else "tight" if trail <= stars.trail else "fails"
    sentence = (
        f"With {say(error, 'tilt')} of polar error the field turns about the guide star, and in {say(sub, 'time')} "
        f"leaves a trail of {say(trail, 'small_angle')} in the farthest corner, where a star is "
        f"{say(stars.framed, 'small_angle')} wide."
    )
    cure = "" if verdict == "sound" else f"Align the mount to {say(tolerance, 'tilt')}, or expose for a shorter time."
    return figures, [Finding("polar", verdict, "Polar alignment", sentence, ("polar-trail", "polar-tolerance"), POLAR,
                             cure)]  # fmt: skip


@dataclass(frozen=True)
class Alone:
    """What a rig that does not guide may expose: the longest exposure in s, None where it is unsaid."""

    figures: list[Figure]
    findings: list[Finding]
    longest: float | None


def unguided(assembly: Assembly, mount: Mount | None, stars: Stars) -> Alone:
    """Return the longest exposure without guiding, and what is unsaid of it."""
    if mount is not None and turns(mount):
        return turning_field(assembly, mount, stars)
    longest = alone_of(assembly, mount, stars.trail) if mount is not None else None
    if longest is None:
        return Alone([], [unsaid("drive", "Drive", "How long it may expose unguided", _missing(mount), ALONE)], None)
    return Alone([_longest(longest)], [], longest)


def _longest(longest: float) -> Figure:
    return Figure("longest-unguided", "Longest exposure without guiding", longest if isfinite(longest) else None,
                  "time", ALONE, note="the drive at its worst, on the celestial equator")  # fmt: skip


def turning_field(assembly: Assembly, mount: Mount, stars: Stars) -> Alone:
    """An alt-azimuth field turns; its drive's own error counts too where it is known."""
    place, known = assembly.place, stars.known
    if place is None or place.latitude is None:
        missing = ("the place's latitude",)
        return Alone([], [unsaid("drive", "Drive", "How fast the field turns", missing, TURN)], None)
    altitude = assembly.choice("target_altitude").value
    rate = abs(tracking.altaz_rotation(place.latitude.value, 180.0, min(altitude, 89.0)))
    corner = (known.width**2 + known.height**2) ** 0.5 / 2 * 1000 / known.pixel
    turning = tracking.altaz_exposure(stars.trail / known.scale, corner, rate)
    own = alone_of(assembly, mount, stars.trail)
    longest = min(turning, own) if own is not None else turning
    figures = [
        Figure("field-turn", "Turn of the field", rate, "turn", TURN,
               note=f"on the meridian, {assembly.say(altitude, 'angle')} high; slowest in the east and west"),
        Figure("altaz-exposure", "Longest exposure before the corners trail", turning if isfinite(turning) else None,
               "time", TURN),
        _longest(longest),
    ]  # fmt: skip
    return Alone(figures, [], longest)


def judge_alone(
    assembly: Assembly, mount: Mount | None, stars: Stars, longest: float, sub: Sub, added: float
) -> Finding:  # fmt: skip
    """Judge the longest exposure without guiding against the one that the noise asks for.

    ``added`` is the part of the noise that reading adds in the exposure that is set.
    """
    say = assembly.say
    turning = turns(mount)
    title = "Turn of the field" if turning else "Unguided exposure"
    method = TURN if turning else ALONE
    behind = ("longest-unguided", "star-in-frame")
    most = assembly.choice("longest_sub").value
    wanted = min(sub.needed, most)
    if longest >= wanted:
        hold = say(longest, "time") if isfinite(longest) else "as long as you like"
        whose = "Although the field turns" if turning else "Unguided"
        sentence = f"{whose}, stars stay within what is allowed for {hold}; {say(wanted, 'time')} are needed."
        return Finding("unguided", "sound", title, sentence, behind, method)
    verdict: Verdict = "tight" if added <= MUCH_READ_NOISE else "fails"
    hours = say((1 + added) ** 2, "factor")
    start = "Unguided, a star at worst"
    if turning:
        start = "On the meridian the field turns so fast that a star in the corner"
    sentence = (
        f"{start} trails by {say(stars.trail, 'small_angle')} in {say(longest, 'time')}, and "
        f"{say(wanted, 'time')} are needed. At {say(sub.set, 'time')} reading adds "
        f"{say(added, 'fraction')} to the noise, which costs {hours} the hours."
    )
    if turning:
        return Finding("unguided", verdict, title, sentence, behind, method, _equatorial(assembly, stars, wanted))
    cure, parts = _steadier(assembly, mount, stars, wanted)
    return Finding("unguided", verdict, title, sentence, behind, method, cure, parts)


def _equatorial(assembly: Assembly, stars: Stars, wanted: float) -> str:
    known = stars.known
    corner = (known.width**2 + known.height**2) ** 0.5 / 2 * 1000 / known.pixel
    slow = stars.trail / known.scale / corner * 180 / pi / wanted * 3600
    latitude = assembly.place.latitude.value if assembly.place and assembly.place.latitude else 0.0
    altitude = assembly.choice("target_altitude").value
    away = slow * cos(radians(altitude)) / (tracking.SIDEREAL_RATE * max(cos(radians(latitude)), 1e-6))
    where = "" if away >= 1 else ", or stay near due east and west, where the field hardly turns"
    return f"Add many short exposures{where}; an equatorial mount has no such turn."


def _steadier(assembly: Assembly, mount: Mount | None, stars: Stars, wanted: float) -> tuple[str, tuple[str, ...]]:
    say = assembly.say
    good = [
        (one.mass.value if one.mass else inf, one.id, one.name)
        for one in assembly.catalogue.of_kind(Mount)
        if one is not mount and one.drive != "alt-azimuth"
        and (alone_of(assembly, one, stars.trail) or 0.0) >= wanted
    ]  # fmt: skip
    often = "Sort out the frames that trail: the worst comes only twice in a turn of the drive"
    if good:
        _, id_, name = min(good)
        return f"{often}. The club's {name} holds {say(wanted, 'time')}, if it carries the load.", (id_,)
    return f"{often}. Guiding would allow {say(wanted, 'time')}; no mount on the shelf does so without.", ()
