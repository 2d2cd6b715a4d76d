"""What people choose a rig by: one short record for each rig, every figure as its chapter found it."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import groupby
from math import inf

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.chapters.figures import WORST_FIRST, Figure, Finding, Verdict
from rigleaf.chapters.in_the_frame.fleet import Ranked, views_of
from rigleaf.chapters.in_the_frame.framing import Wishes, wishes_of
from rigleaf.chapters.study import RigStudy
from rigleaf.lending.phases import Phase, State
from rigleaf.site.rig_page import EXPERIENCE
from rigleaf.site.target_words import verdict_of
from rigleaf.words import tr

WEIGHS, SCALE, FLIGHT, POWER = "what-it-weighs", "scale-and-field", "at-the-airport", "power-for-the-night"

NOT_ASKED, MAINS = 3, 3
"""Level of a rig that nobody means to fly, and of one that stands by a socket: both behind the worst answer."""

STATES: dict[State, str] = {"here": "h", "short": "s", "spoken for": "p", "out": "o", "overdue": "d"}
"""A letter for what a day has to say of a rig."""
END = "-"
"""Stands for the days after the last of which anything is known."""


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer on a scale from good to bad; ``open`` where something unsaid may still make it worse.

    Attributes:
        level: 0 is best; None where nothing at all can be told.
        word: what the page shows.
        open: whether something is unsaid behind it.
        lacks: what is unsaid, in words.
    """

    level: int | None
    word: str
    open: bool = False
    lacks: str = ""


@dataclass(frozen=True, slots=True)
class RigFacts:
    """The facts by which a rig is found. None and "" stand for what is unsaid.

    Attributes:
        rig: the rig itself, for its name, purposes and ways of travelling.
        mass: figure of all that goes along, kg; ``unweighed`` is true where it is a lower bound.
        scale: figure of the image scale, arcsec on a pixel.
        field: figure of the field of view, in words.
        field_width: figure of its long side, deg.
        asks: rank of the experience asked, 0 for none.
        camera: "mono" or "colour".
        flies: whether its things may fly: 0 all of them, 1 after asking, 2 not all, 3 nobody has asked.
        battery: whether power lasts the night: 0 it does, 1 just so, 2 it does not, 3 it needs mains.
        frames: ids of the targets that it holds whole in one frame; None where its frame is not known.
        findings: how many findings there are of each verdict.
        phases: what can be had of it, day by day; empty where nobody keeps a book of loans.
    """

    rig: Rig
    mass: Figure | None
    unweighed: bool
    scale: Figure | None
    field: Figure | None
    field_width: Figure | None
    asks: int | None
    camera: str
    flies: Answer
    battery: Answer
    frames: frozenset[str] | None
    findings: Counter[Verdict]
    phases: tuple[Phase, ...] = ()

    @property
    def worst(self) -> int:
        """Sorts by findings: what fails counts most, then what is tight, then what is unsaid."""
        unsaid, tight, fails = (min(self.findings[verdict], 99) for verdict in ("unsaid", "tight", "fails"))
        return unsaid + 100 * tight + 10_000 * fails


def facts_of(
    catalogue: Catalogue,
    studies: Sequence[RigStudy],
    framings: Mapping[str, Sequence[Ranked]],
    phases: Mapping[str, tuple[Phase, ...]],
) -> tuple[RigFacts, ...]:
    """Return the facts of every rig: the easiest to use first, rigs for practice last.

    Args:
        catalogue: what was read.
        studies: the studies of its rigs.
        framings: by the id of a target, how the rigs frame it.
        phases: by the id of a rig, what can be had of it day by day; empty where nobody keeps a book of loans.
    """
    framed = _framed(catalogue, framings)
    return tuple(
        _facts(study, framed.get(study.rig.id), phases.get(study.rig.id, ()))
        for study in sorted(studies, key=easiest_first)
    )


def easiest_first(study: RigStudy) -> tuple[bool, int, float, str]:
    """Sort rigs by the experience that they ask, then by mass; the unsaid comes last, rigs for training behind all."""
    asked = [*EXPERIENCE].index(study.rig.experience) if study.rig.experience else len(EXPERIENCE)
    mass = study.value(WEIGHS, "total")
    return study.rig.for_training, asked, mass if mass is not None else inf, study.rig.id


def _facts(study: RigStudy, frames: frozenset[str] | None, phases: tuple[Phase, ...]) -> RigFacts:
    rig, camera = study.rig, study.assembly.camera
    mosaic = camera.sensor.mosaic if camera is not None and camera.sensor is not None else None
    return RigFacts(
        rig=rig,
        mass=_figure(study, WEIGHS, "total"),
        unweighed=any(one.verdict == "unsaid" for one in _findings(study, WEIGHS)),
        scale=_figure(study, SCALE, "image-scale"),
        field=_figure(study, SCALE, "field"),
        field_width=_figure(study, SCALE, "field-width"),
        asks=[*EXPERIENCE].index(rig.experience) if rig.experience else None,
        camera=mosaic or "",
        flies=flight_answer(_findings(study, FLIGHT)),
        battery=battery_answer(_findings(study, POWER)),
        frames=frames,
        findings=Counter(finding.verdict for _, finding in study.findings),
        phases=phases,
    )


def _figure(study: RigStudy, chapter: str, figure: str) -> Figure | None:
    """Return a figure of a study, or None where it is unsaid."""
    found = next((one.index.get(figure) for known, one in study.studies if known.id == chapter), None)
    return found if found is not None and found.value is not None else None


def _findings(study: RigStudy, chapter: str) -> tuple[Finding, ...]:
    return next((one.findings for known, one in study.studies if known.id == chapter), ())


def flight_answer(findings: Iterable[Finding]) -> Answer:
    """Return in a word what the airport chapter finds."""
    found = tuple(findings)
    if any(one.id == "flies" and one.verdict == "sound" for one in found):
        return Answer(NOT_ASKED, "not asked")
    return _answer(found, ("may fly", "ask first", "part stays home"), "say more")


def battery_answer(findings: Iterable[Finding]) -> Answer:
    """Return in a word whether power lasts the night for which the rig is reckoned, without a socket."""
    found = tuple(findings)
    if any(one.id == "mains" for one in found):
        return Answer(MAINS, "needs mains")
    if any(one.id == "draws" and one.verdict == "sound" for one in found):
        return Answer(0, tr("needs none"))
    # Leads and currents are judged by themselves. What nobody knows to be drawn or fed may still shorten the night.
    behind = [one for one in found if one.id.startswith("lasts")]
    behind += [one for one in found if one.id in {"draws", "feeds"} and one.verdict == "unsaid"]
    return _answer(tuple(behind), ("lasts", "just lasts", "runs out"), "unsaid")


def _answer(findings: tuple[Finding, ...], words: tuple[str, str, str], unknown: str) -> Answer:
    """Return the worst of some findings in a word; what is unsaid counts where it may still make the answer worse."""
    levels: dict[Verdict, int] = {"sound": 0, "tight": 1, "fails": 2}
    level = max((levels[one.verdict] for one in findings if one.verdict != "unsaid"), default=0)
    lacks = "; ".join(dict.fromkeys(one.title for one in findings if one.verdict == "unsaid"))
    if not findings or (lacks and level == 0):
        return Answer(None, unknown, open=True, lacks=lacks)
    return Answer(level, words[level], open=bool(lacks) and level < 2, lacks=lacks if level < 2 else "")


def _framed(catalogue: Catalogue, framings: Mapping[str, Sequence[Ranked]]) -> dict[str, frozenset[str]]:
    """Return by rig the targets that it holds whole in one frame; a rig without a known frame is not in it."""
    wishes = wishes_of(catalogue.guide)
    held: dict[str, set[str]] = {rig.id: set() for rig, _ in views_of(catalogue)}
    for target, ranked in framings.items():
        for one in ranked:
            if one.rig.id in held and in_one_frame(one, wishes):
                held[one.rig.id].add(target)
    return {rig: frozenset(targets) for rig, targets in held.items()}


def in_one_frame(one: Ranked, wishes: Wishes) -> bool:
    """Say whether a rig holds a target whole in one frame, and large enough to show more than a star."""
    return one.framed.whole and verdict_of(one.framed, wishes) != "fails"


def day_by_day(phases: tuple[Phase, ...]) -> str:
    """Write phases as the script reads them: the first day and the state of each, such as ``2026-11-25h``.

    Runs of days with one state are one; the day after the last that anybody knows ends the list.
    """
    if not phases:
        return ""
    runs = [f"{next(run).first.isoformat()}{STATES[state]}" for state, run in groupby(phases, lambda one: one.state)]
    last = phases[-1].last
    if last is not None:
        runs.append(f"{(last + timedelta(days=1)).isoformat()}{END}")
    return " ".join(runs)


def tally_of(facts: RigFacts) -> list[tuple[Verdict, int]]:
    """Return the verdicts that there are with how many findings each, worst first."""
    return [(verdict, facts.findings[verdict]) for verdict in WORST_FIRST if facts.findings[verdict]]
