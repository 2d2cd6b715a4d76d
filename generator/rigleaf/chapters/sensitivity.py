"""Which judgements a claimed value could turn: each is moved by how far it may be off, and judged again.

One value is moved at a time, up and down, and only what looks at it is studied again. It says what one error alone can
do; several at once can do more, and this does not.
"""

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, log2
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.fields import Entry
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.claims import Claim
from rigleaf.chapters.figures import Finding, Study, Verdict
from rigleaf.chapters.register import Chapter, chapters
from rigleaf.chapters.study import RigStudy
from rigleaf.chapters.tracing import Input
from rigleaf.quantities import DIMENSIONS, Reading

_WITHOUT_SHARE = frozenset(
    {"angle", "position_angle", "offset", "fraction", "chance", "temperature", "gap", "number", "text"}
)
"""Dimensions of figures of which a share says nothing."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One finding that another verdict would be given: in which rig and chapter, and at which value."""

    rig: str
    chapter: Chapter
    finding: Finding
    verdict: Verdict
    value: float

    @property
    def gravity(self) -> int:
        """How much it would matter: from or to "fails" counts twice."""
        return 2 if "fails" in (self.finding.verdict, self.verdict) else 1


@dataclass(frozen=True, slots=True)
class Effect:
    """What one claim could do: the findings that it could turn, and how far it moves the figures behind findings.

    ``moves`` is the largest change of such a figure as a part of itself; ``figure`` is that figure's label.
    """

    claim: Claim
    turns: tuple[Turn, ...]
    moves: float
    figure: str = ""


@dataclass(frozen=True, slots=True)
class Effects:
    """What was found out: effects of those claims that were moved, the gravest first, and how many there were."""

    found: tuple[Effect, ...]
    claims: int


def effects(catalogue: Catalogue, studies: Sequence[RigStudy], found: Sequence[Claim], seconds: float = inf) -> Effects:
    """Move claims one at a time and judge again.

    Args:
        catalogue: the guide.
        studies: its studies as they stand.
        found: the claims, the most important first.
        seconds: time after which no further claim is moved. Those with the most judgements for the time that they
            take come first, so that a short time tells the most.
    """
    as_is = {(study.rig.id, chapter.id): one for study in studies for chapter, one in study.studies}
    costs = _costs(catalogue, found)
    rank = {claim: number for number, claim in enumerate(found)}
    ordered = sorted(found, key=lambda claim: (_dearness(claim, costs), rank[claim]))
    end = time.monotonic() + seconds
    moved: list[Effect] = []
    for claim in ordered:
        if time.monotonic() > end:
            break
        moved.append(_effect(catalogue, claim, as_is))
    moved.sort(key=lambda effect: (-sum(turn.gravity for turn in effect.turns), -effect.moves, rank[effect.claim]))
    return Effects(tuple(moved), len(found))


def _costs(catalogue: Catalogue, found: Sequence[Claim]) -> dict[str, float]:
    """Return what a study takes by chapter, in seconds, as measured on one rig."""
    costs: dict[str, float] = {}
    if found:
        rig = catalogue.rigs[found[0].rigs[0]]
        for chapter in chapters():
            begun = time.perf_counter()
            chapter.study(Assembly(replace(catalogue), rig))
            costs[chapter.id] = time.perf_counter() - begun
    return costs


def _dearness(claim: Claim, costs: Mapping[str, float]) -> int:
    """Return the time for one judgement, in coarse steps, so that the order does not hang on small delays."""
    seconds = sum(costs[chapter] for _, chapter in claim.readers)
    return round(log2(max(seconds, 1e-6) / max(claim.judgements, 1)))


def _effect(catalogue: Catalogue, claim: Claim, as_is: Mapping[tuple[str, str], Study]) -> Effect:
    by_id = {chapter.id: chapter for chapter in chapters()}
    turns: dict[tuple[str, str, str], Turn] = {}
    moves, figure = 0.0, ""
    idle: set[tuple[str, str]] = set()
    for value in _values(claim):
        other = moved_to(catalogue, claim.input, replace(claim.reading, value=value))
        for rig, chapter in claim.readers:
            if (rig, chapter) in idle:
                continue
            before = as_is[rig, chapter]
            after = by_id[chapter].study(Assembly(other, other.rigs[rig]))
            if after.figures == before.figures and after.findings == before.findings:
                idle.add((rig, chapter))  # it was looked at, but does not count here: no need to look at it twice
                continue
            for finding, verdict in _turned(before, after):
                turns.setdefault((rig, chapter, finding.id), Turn(rig, by_id[chapter], finding, verdict, value))
            share, label = _largest_move(before, after)
            if share > moves:
                moves, figure = share, label
    return Effect(claim, tuple(turns.values()), moves, figure)


def _values(claim: Claim) -> list[float]:
    """Return the value moved up and down, within what makes sense."""
    known = DIMENSIONS[claim.reading.dimension]
    value, off = claim.reading.value, claim.off
    lowest = -inf if known.lowest is None else known.lowest
    return [moved for moved in (value + off, value - off) if lowest < moved <= known.highest]


def _turned(before: Study, after: Study) -> list[tuple[Finding, Verdict]]:
    """Return the findings that another verdict is given, with that verdict; what is not judged in both is left out."""
    new = {finding.id: finding.verdict for finding in after.findings}
    return [
        (finding, new[finding.id])
        for finding in before.findings
        if finding.id in new
        and finding.verdict != new[finding.id]
        and "unsaid" not in (finding.verdict, new[finding.id])
    ]


def _largest_move(before: Study, after: Study) -> tuple[float, str]:
    """Return by how much of itself the figure behind a finding moves that moves most, and its label.

    Angles have no natural nought, what is left over as a length or a part may be next to nothing, and counts go in
    steps: a share of those tells nothing, so they do not count.
    """
    behind = {id_ for finding in before.findings if finding.verdict != "unsaid" for id_ in finding.figures}
    most, label = 0.0, ""
    for id_ in behind:
        one, other = before.value(id_), after.value(id_)
        if id_ not in before.index or before.index[id_].dimension in _WITHOUT_SHARE:
            continue
        if one and other is not None and abs(other - one) / abs(one) > most:
            most, label = abs(other - one) / abs(one), before.index[id_].label
    return most, label


def moved_to(catalogue: Catalogue, one: Input, reading: Reading) -> Catalogue:
    """Return the catalogue with another quantity in the place of one."""
    if one.owner == "choice":
        choices = catalogue.guide.choices.model_copy(update={one.id: reading})
        return replace(catalogue, guide=catalogue.guide.model_copy(update={"choices": choices}))
    if one.owner == "part":
        return replace(catalogue, parts=_with(catalogue.parts, one, reading))
    if one.owner == "place":
        return replace(catalogue, places=_with(catalogue.places, one, reading))
    return replace(catalogue, rigs=_with(catalogue.rigs, one, reading))


def _with(entries: Mapping[str, Any], one: Input, reading: Reading) -> dict[str, Any]:
    return {**entries, one.id: _put(entries[one.id], one.path, reading)}


def _put(value: Any, path: tuple[str | int, ...], reading: Reading) -> Any:
    """Return an entry, or a list of them, with the quantity at ``path``."""
    if not path:
        return reading
    step, rest = path[0], path[1:]
    if isinstance(step, int):
        return (*value[:step], _put(value[step], rest, reading), *value[step + 1 :])
    assert isinstance(value, Entry)  # noqa: S101 - a path leads through entries and lists of them only
    return value.model_copy(update={step: _put(getattr(value, step), rest, reading)})
