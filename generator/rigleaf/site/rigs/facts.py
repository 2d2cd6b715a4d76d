"""What people choose a rig by: one short record for each rig, every figure as its chapter found it."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from math import inf
from operator import itemgetter
from typing import TypeVar

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.chapters.figures import WORST_FIRST, Figure, Finding, Study, Verdict
from rigleaf.chapters.in_the_frame.fleet import Ranked, views_of
from rigleaf.chapters.in_the_frame.framing import Wishes, wishes_of
from rigleaf.chapters.study import RigStudy
from rigleaf.site.lent.availability import Availability, Told
from rigleaf.site.rigs.page import EXPERIENCE
from rigleaf.site.typeset.target_words import verdict_of
from rigleaf.words import tr

Said = TypeVar("Said")

WEIGHS, SCALE, FLIGHT, POWER = "what-it-weighs", "scale-and-field", "at-the-airport", "power-for-the-night"

RULES_AGAIN = "again"
"""Finding that rules must be read again: it speaks of the rules and changes no answer by them."""
NOT_ASKED, MAINS = 3, 3
"""Level of a rig that nobody means to fly, and of one that stands by a socket: both behind the worst answer."""

STATES: dict[str, str] = {
    "here": "h", "due back": "b", "short": "s", "spoken for": "p", "out": "o", "overdue": "d", "unsaid": "-",
}  # fmt: skip
"""A letter for what a day has to say of a rig; the last one is for days of which the book says nothing."""


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer on a scale from good to bad; ``open`` where something unsaid may still make it worse.

    Attributes:
        level: 0 is best; None where nothing at all can be told.
        word: what the page shows.
        open: whether something is unsaid behind it.
        lacks: what is unsaid or must be looked at again, in words.
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
        told: what is told of it, day by day; empty where nobody keeps a book of loans.
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
    told: tuple[Told, ...] = ()

    @property
    def worst(self) -> int:
        """Sorts by findings: what fails counts most, then what is tight, then what is unsaid."""
        unsaid, tight, fails = (min(self.findings[verdict], 99) for verdict in ("unsaid", "tight", "fails"))
        return unsaid + 100 * tight + 10_000 * fails


def facts_of(
    catalogue: Catalogue,
    studies: Sequence[RigStudy],
    framings: Mapping[str, Sequence[Ranked]],
    had: Mapping[str, Availability],
) -> tuple[RigFacts, ...]:
    """Return the facts of every rig: the easiest to use first, rigs for practice last.

    Args:
        catalogue: what was read.
        studies: the studies of its rigs.
        framings: by the id of a target, how the rigs frame it.
        had: by the id of a rig, what can be had of it; empty where nobody keeps a book of loans.
    """
    framed = _framed(catalogue, framings)

    def tell(study: RigStudy) -> RigFacts:
        known = had.get(study.rig.id)
        return _facts(study, framed.get(study.rig.id), known.told if known else ())

    return tuple(in_order(studies, tell))


def in_order(studies: Sequence[RigStudy], tell: Callable[[RigStudy], Said], most: int | None = None) -> list[Said]:
    """Return what is told of every rig, the easiest to use first. Each study is looked at and let go again.

    To look into one takes time, so that is done once where all are told of, and twice only for the few of a short list.

    Args:
        studies: those of all rigs.
        tell: tells something of one.
        most: so many at most are told of; of all where nobody says.
    """
    if most is None:
        told = [(easiest_first(study), tell(study)) for study in studies]
        return [one for _, one in sorted(told, key=itemgetter(0))]
    order = sorted(range(len(studies)), key=lambda number: easiest_first(studies[number]))
    return [tell(studies[number]) for number in order[:most]]


def easiest_first(study: RigStudy) -> tuple[bool, int, float, str]:
    """Sort rigs by the experience that they ask, then by mass; the unsaid comes last, rigs for training behind all."""
    asked = [*EXPERIENCE].index(study.rig.experience) if study.rig.experience else len(EXPERIENCE)
    mass = study.value(WEIGHS, "total")
    return study.rig.for_training, asked, mass if mass is not None else inf, study.rig.id


def _facts(study: RigStudy, frames: frozenset[str] | None, told: tuple[Told, ...]) -> RigFacts:
    rig, camera = study.rig, study.assembly.camera
    mosaic = camera.sensor.mosaic if camera is not None and camera.sensor is not None else None
    return RigFacts(
        rig=rig,
        mass=_figure(study, WEIGHS, "total"),
        unweighed=any(one.verdict == "unsaid" for one in _chapter(study, WEIGHS).findings),
        scale=_figure(study, SCALE, "image-scale"),
        field=_figure(study, SCALE, "field"),
        field_width=_figure(study, SCALE, "field-width"),
        asks=[*EXPERIENCE].index(rig.experience) if rig.experience else None,
        camera=mosaic or "",
        flies=flight_answer(_chapter(study, FLIGHT)),
        battery=battery_answer(_chapter(study, POWER).findings),
        frames=frames,
        findings=Counter(finding.verdict for _, finding in study.findings),
        told=told,
    )


def _figure(study: RigStudy, chapter: str, figure: str) -> Figure | None:
    """Return a figure of a study, or None where it is unsaid."""
    found = next((one.index.get(figure) for known, one in study.studies if known.id == chapter), None)
    return found if found is not None and found.value is not None else None


def _chapter(study: RigStudy, chapter: str) -> Study:
    return next((one for known, one in study.studies if known.id == chapter), Study(chapter))


def flight_answer(found: Study) -> Answer:
    """Return in a word what the airport chapter finds; by rules that may have changed, the word stands with a note."""
    if found.not_asked:
        return Answer(NOT_ASKED, "not asked")
    asked = tuple(one for one in found.findings if one.id != RULES_AGAIN)
    answer = _answer(asked, ("may fly", "ask first", "part stays home"), "say more")
    again = len(asked) < len(found.findings) and not answer.lacks and answer.level is not None
    return replace(answer, lacks="if the rules still hold") if again else answer


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


def day_by_day(told: tuple[Told, ...]) -> str:
    """Write what is told as the script reads it: the first day and the state of each, such as ``2026-11-25h``.

    Runs of days with one state are one. The last one says that the book knows no more.
    """
    return " ".join(f"{next(run).first}{STATES[state]}" for state, run in groupby(told, lambda one: one.state))


def tally_of(facts: RigFacts) -> list[tuple[Verdict, int]]:
    """Return the verdicts that there are with how many findings each, worst first."""
    return [(verdict, facts.findings[verdict]) for verdict in WORST_FIRST if facts.findings[verdict]]
