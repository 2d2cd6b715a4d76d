"""Is there a guide star, does the guide sensor see finely enough, and does the drive wait for it?"""

from math import isfinite, log

from rigleaf.catalogue.models.mounting import Mount
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Figure, Finding, Table, Verdict
from rigleaf.chapters.formatting import significant
from rigleaf.chapters.guiding_and_exposure import guide_stars, tracking
from rigleaf.chapters.guiding_and_exposure.guide_field import Seen, look, magnitude_for, poorest
from rigleaf.chapters.guiding_and_exposure.guide_view import Guide, on_the_shelf
from rigleaf.chapters.guiding_and_exposure.inputs import Stars
from rigleaf.chapters.guiding_and_exposure.tracking_study import SHORTEST, Drive, calmer, drive_of
from rigleaf.chapters.scale_and_field.sampling import Part
from rigleaf.sky.stars import FAINTEST

STARS, RATIO, CONFLICT, CHANCE = "guide-reach", "guide-ratio", "guide-conflict", "guide-star-chance"
SURE = 0.95
"""Chance of a guide star that counts as certain."""

EVEN = 0.5
"""Chance below which one should not count on a star."""


def guiding(assembly: Assembly, stars: Stars, guide: Guide, mount: Mount | None) -> tuple[Part, Table | None]:
    """Judge guide scale, guide stars and the conflict between star and drive."""
    part = Part()
    _scale(assembly, stars, guide, part)
    drive = drive_of(mount)
    interval = drive.interval(stars.between) if drive else None
    wanted = assembly.choice("guide_signal_to_noise").value
    usual, delay = assembly.choice("guide_exposure").value, assembly.choice("guide_delay").value
    room = usual if interval is None else min(usual, max(interval - delay, SHORTEST))
    limit = guide_stars.reachable_magnitude(guide.view, room, wanted)
    seen = look(assembly, guide, limit)
    poor = poorest(seen)
    sure = -log(1 - SURE) * guide_stars.COUNT_FACTOR
    asked = magnitude_for(sure, guide.width * guide.height, poor.latitude)
    needed = guide_stars.needed_exposure(guide.view, asked, wanted)
    say = assembly.say
    part.figures += [
        Figure("guide-width", "Guide field, long side", guide.width, "angle", "second-sensor-field"),
        Figure("guide-height", "Guide field, short side", guide.height, "angle", "second-sensor-field"),
        Figure("guide-exposure", "Guide exposure that drive and air leave", room, "time", CONFLICT,
               note=_of(assembly, interval)),
        Figure("guide-limit", "Faintest guide star in that time", limit, "magnitude", STARS),
        *(
            Figure(f"guide-limit-{seconds:g}", f"Faintest guide star in {say(seconds, 'time')}",
                   guide_stars.reachable_magnitude(guide.view, seconds, wanted), "magnitude", STARS)
            for seconds in (2.0, 4.0)
        ),
        Figure("guide-stars", "Guide stars expected at the poorest target", poor.expected, "number", "star-density",
               note=f"{_named(poor)}; half or twice as many in a single field"),
        Figure("guide-chance", "Chance of at least one there, were it a poor field", poor.chance, "chance", CHANCE),
        Figure("guide-asked", "Magnitude down to which a star is as good as certain", asked, "magnitude", CHANCE),
        Figure("guide-needed", "Guide exposure for such a star", needed, "time", STARS),
        Figure("photon-limit", "Error of the faintest guide star from photons alone",
               tracking.centroid_limit(guide.view.fwhm_px * guide.scale, wanted),
               "small_angle", RATIO),
    ]  # fmt: skip
    part.findings.append(_judge_stars(assembly, seen, limit, room, needed))
    if mount is not None and drive is not None and interval is not None and isfinite(interval):
        part.findings.append(_judge_conflict(assembly, stars, guide, mount, drive, needed, seen))
    return part, _table(assembly, seen, limit)


def _of(assembly: Assembly, interval: float | None) -> str:
    finite = interval is not None and isfinite(interval)
    return f"of {assembly.say(interval, 'time')} between corrections" if finite and interval else ""


def _named(seen: Seen) -> str:
    return seen.target.name if seen.target else "galactic pole, as no target has a place"


def _scale(assembly: Assembly, stars: Stars, guide: Guide, part: Part) -> None:
    """Guide scale against image scale."""
    say, own = assembly.say, stars.known.scale
    ratio = tracking.guide_ratio(guide.scale, own)
    error = tracking.guide_accuracy(guide.scale, own)
    part.figures += [
        Figure("guide-scale", "Guide scale", guide.scale, "image_scale", RATIO),
        Figure("guide-ratio", "Guide pixel against image pixel", ratio, "factor", RATIO),
        Figure("guide-accuracy", "Error of guiding from the size of the guide pixels", error, "pixels", RATIO),
    ]
    limit = tracking.GUIDE_RATIO_LIMIT
    verdict: Verdict = "sound" if ratio <= limit else "tight" if ratio <= 2 * limit else "fails"
    sentence = (
        f"It guides with {guide.way.words}, whose pixels of {say(guide.scale, 'image_scale')} are "
        f"{say(ratio, 'factor')} those of the picture: that alone leaves about "
        f"{significant(error, 1)}\u00a0px of error."
    )
    behind = ("guide-scale", "guide-ratio", "guide-accuracy")
    cure, parts = ("", ()) if verdict == "sound" else _finer(assembly, stars, guide, limit)
    part.findings.append(Finding("guide-scale", verdict, "Guide scale", sentence, behind, RATIO, cure, parts))


def _finer(assembly: Assembly, stars: Stars, guide: Guide, limit: float) -> tuple[str, tuple[str, ...]]:
    """Return the club's finest pair of guide scope and guide camera, if it is finer than this one."""
    found = [one for one in on_the_shelf(assembly, stars) if one[0].scale < guide.scale * 0.99]
    say = assembly.say
    if not found:
        wanted = say(limit * stars.known.scale, "image_scale")
        return f"Guide with {wanted} or finer, or through the main optic; no pair on the shelf is finer than this.", ()
    best, scope, camera = min(found, key=lambda one: one[0].scale)
    words = f"Guide with the club's {scope.name} and {camera.name}, at {say(best.scale, 'image_scale')}"
    enough = tracking.guide_ratio(best.scale, stars.known.scale) <= limit
    return (f"{words}." if enough else f"{words}, or through the main optic."), (scope.id, camera.id)


def _judge_stars(
    assembly: Assembly, seen: list[Seen], limit: float, room: float, needed: float
) -> Finding:  # fmt: skip
    say, title, poor = assembly.say, "Guide stars", poorest(seen)
    behind = ("guide-exposure", "guide-limit", "guide-stars", "guide-chance")
    start = f"In {say(room, 'time')} it sees stars down to magnitude {say(limit, 'magnitude')}"
    shallow = limit <= FAINTEST and poor.target is not None
    angled = all(one.angle is not None for one in seen)
    if shallow:
        worst = min(seen, key=lambda one: one.angles_with)
        verdict: Verdict = "sound" if worst.angles_with == 1 else "tight" if angled else "fails"
        share = f"one on the guide sensor at {say(worst.angles_with, 'fraction')} of all angles"
        if verdict == "sound":
            share = "one on the guide sensor at every angle"
        elif worst.angles_with == 0:
            share = "none on the guide sensor, however it is turned"
        sentence = f"{start}; at {_named(worst)} the star catalogue puts {share}."
    else:
        verdict = "sound" if poor.chance >= SURE else "tight" if poor.chance >= EVEN or angled else "fails"
        count = significant(poor.expected, 2)
        sentence = (
            f"{start}, and about {count} of them are expected on the guide sensor at the poorest target, "
            f"{_named(poor)}; even in a poor field the chance of one is {say(poor.chance, 'chance')}."
        )
    if verdict == "sound":
        return Finding("guide-stars", verdict, title, sentence, behind, CHANCE)
    cures = [f"Guide exposures of {say(needed, 'time')} make a star as good as certain"]
    if angled:
        cures.append(f"or turn the camera: {_angles(seen)}")
    return Finding("guide-stars", verdict, title, sentence, behind, CHANCE, f"{', '.join(cures)}.")


def _angles(seen: list[Seen]) -> str:
    """The best angle for each target, in words; the table has them all."""
    named = [f"{one.target.name} to {one.angle:.0f}°" for one in seen if one.target and one.angle is not None]
    return "; ".join(named[:3]) + ("; the table has the others" if len(named) > 3 else "")


def _judge_conflict(
    assembly: Assembly, stars: Stars, guide: Guide, mount: Mount, drive: Drive, needed: float, seen: list[Seen]
) -> Finding:  # fmt: skip
    interval = drive.interval(stars.between)
    say, delay, title = assembly.say, assembly.choice("guide_delay").value, "Drive against star"
    slack = tracking.guide_slack(interval, needed, delay)
    behind = ("guide-needed", "guide-interval")
    before = [one.name for one in guide.way.filters]
    through = f" behind {listed(before)}" if before else ""
    start = (
        f"A star that is as good as certain{through} takes {say(needed, 'time')}, and the drive wants a correction "
        f"every {say(interval, 'time')}"
    )
    if slack >= 0:
        spare = say(slack, "time") if slack >= 0.05 else "nothing"
        sentence = f"{start}: {spare} is to spare after download and correction."
        return Finding("guide-conflict", "sound", title, sentence, behind, CONFLICT)
    motion = drive.motion(needed + delay)
    turned = _turned(assembly, guide, interval, seen)
    verdict: Verdict = "tight" if turned or motion <= 2 * stars.between else "fails"
    sentence = (
        f"{start}, {say(delay, 'time')} of which go into download and correction: the two are at odds. Waiting for the "
        f"star lets the drive move by up to {say(motion, 'small_angle')}, where "
        f"{say(stars.between, 'small_angle')} are allowed."
    )
    cures, parts = _reconciled(assembly, stars, guide, mount, interval, needed, seen, turned)
    return Finding("guide-conflict", verdict, title, sentence, behind, CONFLICT, cures, parts)


def _turned(assembly: Assembly, guide: Guide, interval: float, seen: list[Seen]) -> str:
    """Say that the best angles bring star and drive together; "" where they do not."""
    say, delay = assembly.say, assembly.choice("guide_delay").value
    bright = [one.brightest for one in seen if one.brightest is not None]
    if not bright or len(bright) < len(seen):
        return ""
    time = guide_stars.needed_exposure(guide.view, max(bright), assembly.choice("guide_signal_to_noise").value)
    if time + delay > interval:
        return ""
    return (
        f"Turned to the best angle each target has a star of magnitude {say(max(bright), 'magnitude')} or brighter, "
        f"for which {say(max(time, SHORTEST), 'time')} suffice: {_angles(seen)}."
    )


def _reconciled(
    assembly: Assembly, stars: Stars, guide: Guide, mount: Mount, interval: float, needed: float, seen: list[Seen],
    turned: str,
) -> tuple[str, tuple[str, ...]]:  # fmt: skip
    """Return what brings star and drive together: an angle with a bright star, a scope of its own, another mount."""
    say, delay = assembly.say, assembly.choice("guide_delay").value
    wanted = assembly.choice("guide_signal_to_noise").value
    cures = [turned] if turned else []
    parts: tuple[str, ...] = ()
    if guide.way.filters:
        pairs = [
            (time, scope, camera) for one, scope, camera in on_the_shelf(assembly, stars)
            if tracking.guide_ratio(one.scale, stars.known.scale) <= tracking.GUIDE_RATIO_LIMIT
            and (time := _certain(one, poorest(seen).latitude, wanted)) + delay <= interval
        ]  # fmt: skip
        if pairs:
            time, scope, camera = min(pairs, key=lambda pair: pair[0])
            cures.append(
                f"The club's {scope.name} with {camera.name} looks past the filters and needs "
                f"{say(max(time, SHORTEST), 'time')}."
            )
            parts += (scope.id, camera.id)
    mended, mounts = calmer(assembly, mount, stars.between, needed + delay)
    cures.append(mended)
    return " ".join(cures), parts + mounts


def _certain(guide: Guide, latitude: float, wanted: float) -> float:
    """Guide exposure in which a star is as good as certain."""
    sure = -log(1 - SURE) * guide_stars.COUNT_FACTOR
    return guide_stars.needed_exposure(guide.view, magnitude_for(sure, guide.width * guide.height, latitude), wanted)


def _table(assembly: Assembly, seen: list[Seen], limit: float) -> Table | None:
    """Return the guide stars of each target."""
    rows = [
        (
            Cell(one.target.name),
            Cell(figure=Figure("expected", "", one.expected, "number", "star-density"), numeric=True),
            Cell(figure=Figure("chance", "", one.chance, "chance", CHANCE), numeric=True),
            Cell("" if one.angle is None else f"{one.angle:.0f}°", numeric=True),
            Cell("" if one.brightest is None else assembly.say(one.brightest, "magnitude"), numeric=True),
        )
        for one in seen if one.target is not None
    ]  # fmt: skip
    if not rows:
        return None
    columns = ("Target", f"Stars to {assembly.say(limit, 'magnitude')} expected", "Chance in a poor field",
               "Best position angle", "Brightest star there")  # fmt: skip
    return Table("guide-stars", "Guide stars at each target", columns, tuple(rows))
