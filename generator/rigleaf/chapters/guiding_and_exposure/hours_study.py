"""Signal to noise of each target after an hour, and the hours that a chosen one takes."""

from dataclasses import dataclass

from rigleaf.catalogue.models.guide import Place
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Figure, Finding, Table, Verdict
from rigleaf.chapters.guiding_and_exposure import exposure
from rigleaf.chapters.guiding_and_exposure.chain import Chain
from rigleaf.chapters.guiding_and_exposure.exposure_study import Sub
from rigleaf.sky.targets import SkyTarget

HOURS, RATIO, GLOW = "hours-needed", "signal-to-noise", "object-rate"
EVEN_ERROR, LINE_ERROR = 0.3, 0.75
"""Standard errors of a target's brightness in magnitudes: of a mean over its whole outline, and of what a narrow band
gets of it, where the share of the lines is an estimate."""

USEFUL_HEIGHT = 40.0
"""Height in deg that a target should reach at another place to be worth the journey."""

TITLE = "Hours for the targets"


@dataclass(frozen=True)
class Taken:
    """What one target takes: its glow on a pixel (e-/s), signal to noise after an hour, and the time in s."""

    target: SkyTarget
    surface_brightness: float
    glow: float
    an_hour: float
    time: float
    error: float

    @property
    def band(self) -> tuple[float, float]:
        """Time in s, low and high."""
        return exposure.error_band(self.time, self.error)


def taken(assembly: Assembly, chain: Chain, sub: Sub) -> list[Taken]:
    """Return what each target with a surface brightness takes."""
    wanted = assembly.choice("signal_to_noise").value
    found: list[Taken] = []
    for target in assembly.targets:
        if target.surface_brightness is None:
            continue
        lines = target.sort == "nebula" and chain.light.narrow
        glow = chain.glow_of(target.surface_brightness, assembly.choice("line_share").value if lines else 0.0)
        if glow <= 0:
            continue
        background, noise = chain.background, sub.read_noise
        found.append(
            Taken(
                target,
                target.surface_brightness,
                glow,
                exposure.signal_to_noise(glow, background, noise, sub.set, 3600.0),
                exposure.time_to_signal_to_noise(wanted, glow, background, noise, sub.set),
                exposure.time_error(
                    glow, chain.sky, background - chain.sky, noise, sub.set, chain.glow.error,
                    object_magnitude_error=LINE_ERROR if lines else EVEN_ERROR,
                ),
            )
        )  # fmt: skip
    return found


def judge(assembly: Assembly, chain: Chain, sub: Sub, found: list[Taken]) -> list[Finding]:
    """Judge the hours against a night and against what a target is worth."""
    if not found:
        return []
    say, wanted = assembly.say, assembly.choice("signal_to_noise").value
    night, most = assembly.choice("night_hours").value, assembly.choice("most_hours").value
    slow = [one for one in found if one.time > night]
    verdict: Verdict = "sound" if not slow else "fails" if all(one.time > most for one in found) else "tight"
    goal = f"a signal to noise of {say(wanted, 'number')} on each pixel"
    worst = max(found, key=lambda one: one.time)
    low, high = worst.band
    longest = (
        f"{worst.target.name} takes {'longest, ' if len(found) > 1 else ''}{say(worst.time, 'time')}, which may be "
        f"{say(low, 'time')} or {say(high, 'time')} as far as brightness and light are known"
    )
    at_least = "" if chain.dark else " Dark current is unsaid and would add to these."
    if not slow:
        sentence = f"A night of {say(night, 'time')} brings {_every(found)} to {goal}; {longest}.{at_least}"
        return [Finding("hours", "sound", TITLE, sentence, _behind(found), HOURS)]
    if len(found) == 1:
        start = f"{goal[:1].upper()}{goal[1:]} takes more than a night of {say(night, 'time')}"
    elif len(slow) == len(found):
        start = f"Not one of the {len(found)} targets comes to {goal} in a night of {say(night, 'time')}"
    else:
        start = f"A night of {say(night, 'time')} brings {len(found) - len(slow)} of the {len(found)} targets to {goal}"
    sentence = f"{start}; {longest}.{at_least}"
    return [Finding("hours", verdict, TITLE, sentence, _behind(found), HOURS, _cure(assembly, chain, sub, worst))]


def _every(found: list[Taken]) -> str:
    return {1: found[0].target.name, 2: "both targets"}.get(len(found), f"all {len(found)} targets")


def _behind(found: list[Taken]) -> tuple[str, ...]:
    return tuple(f"hours-{one.target.id}" for one in found)


def _cure(assembly: Assembly, chain: Chain, sub: Sub, worst: Taken) -> str:
    """Return what shortens the hours: pixels binned, and the club's darkest place where that is darker."""
    say, wanted, noise = assembly.say, assembly.choice("signal_to_noise").value, sub.read_noise
    binned = exposure.time_to_signal_to_noise(wanted, worst.glow, chain.background, noise, sub.set, 4.0)
    cures = [f"binned 2 × 2 it takes {say(binned, 'time')}"]
    dark = max(
        (place for place in assembly.catalogue.places.values() if place.sky_brightness and _rises(worst.target, place)),
        key=lambda place: place.sky_brightness.value if place.sky_brightness else 0.0,
        default=None,
    )
    if dark is not None and dark.sky_brightness and dark.sky_brightness.value > chain.glow.reading.value + 0.2:
        sky = chain.sky_under(dark.sky_brightness.value)
        there = exposure.time_to_signal_to_noise(wanted, worst.glow, sky + chain.background - chain.sky, noise, sub.set)
        cures.append(f"under the sky of {dark.name} {say(there, 'time')}")
    return f"For {worst.target.name}: {', and '.join(cures)}. Several nights may be added up."


def _rises(target: SkyTarget, place: Place) -> bool:
    """Whether a target comes to a useful height at a place."""
    if target.dec is None or place.latitude is None:
        return False
    return 90 - abs(place.latitude.value - target.dec) >= USEFUL_HEIGHT


def unknown(assembly: Assembly) -> list[Finding]:
    """Say which targets have a glow of unknown brightness."""
    names = [
        target.name for target in assembly.targets
        if target.surface_brightness is None and target.sort not in ("star cluster", "Milky Way")
    ]  # fmt: skip
    if not names:
        return []
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    verb = "takes" if len(names) == 1 else "take"
    sentence = f"How many hours {listed} {verb} cannot be told: no brightness is known."
    cure = (
        "State 'magnitude' and 'major_axis' of the target, with their source; or take one frame, measure glow and sky "
        "in it, and judge by that."
    )
    return [Finding("hours-unsaid", "unsaid", "Targets of unknown brightness", sentence, (), GLOW, cure)]


def figures(assembly: Assembly, found: list[Taken]) -> list[Figure]:
    """Return glow, signal to noise and hours of each target; the table shows them."""
    shown: list[Figure] = []
    for one in found:
        name, id_ = one.target.name, one.target.id
        low, high = (assembly.say(end, "time") for end in one.band)
        shown += [
            Figure(f"glow-{id_}", f"{name}, glow", one.glow, "pixel_rate",
                   "narrow-band-rate" if one.error > LINE_ERROR else GLOW, shown=False),
            Figure(f"hour-{id_}", f"{name}, signal to noise after an hour", one.an_hour, "number", RATIO, shown=False),
            Figure(f"hours-{id_}", f"{name}, hours", one.time, "time", HOURS, uncertainty=one.error * one.time,
                   note=f"{low} to {high}", shown=False),
        ]  # fmt: skip
    return shown


def table(assembly: Assembly, chain: Chain, found: list[Taken]) -> Table | None:
    """Return the table of targets, or None where there is none."""
    by_id = {one.target.id: one for one in found}
    rows: list[tuple[Cell, ...]] = []
    for target in assembly.targets:
        one = by_id.get(target.id)
        if one is None:
            why = "stars, not a glow" if target.sort == "star cluster" else "its brightness is unsaid"
            rows.append((Cell(target.name), Cell("", numeric=True), Cell(why), Cell("", numeric=True),
                         Cell("", numeric=True)))  # fmt: skip
            continue
        low, high = (assembly.say(end, "time") for end in one.band)
        bright = Figure("sb", "", one.surface_brightness, "sky_brightness", GLOW)
        rows.append(
            (
                Cell(target.name),
                Cell(figure=bright, numeric=True),
                Cell(chain.light.words),
                Cell(figure=Figure("snr", "", one.an_hour, "number", RATIO), numeric=True),
                Cell(figure=Figure("hours", "", one.time, "time", HOURS, note=f"{low} to {high}"), numeric=True),
            )
        )
    if not rows:
        return None
    wanted = assembly.say(assembly.choice("signal_to_noise").value, "number")
    columns = ("Target", "Surface brightness", "Light", "Signal to noise after an hour", f"Time to {wanted}")
    return Table("hours", "What each target takes", columns, tuple(rows))
