"""What `rigleaf claimed` prints: which claims could turn a judgement, and what to measure next."""

import json
from collections.abc import Iterator
from math import inf
from pathlib import Path
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.lookup import rig_named
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.claims import Claim, claims, how_to_measure
from rigleaf.chapters.formatting import show, unit_of
from rigleaf.chapters.sensitivity import Effect, Effects, Turn, effects
from rigleaf.chapters.tracing import study_and_trace
from rigleaf.site.shelf.facts import label

MOST_MOVING = 10
"""Claims on which no verdict hangs that are listed all the same, for what they move."""


def claimed(folder: Path, rig: str | None = None, *, seconds: float = inf, as_json: bool = False) -> str:
    """Return what rests on claims in the guide in ``folder``, or in one rig of it, as text or as JSON.

    Args:
        folder: the guide.
        rig: id of one rig; all of them without it.
        seconds: time for moving claims; those that tell the most in the time come first.
        as_json: whether to return JSON.

    Raises:
        CatalogueError: with every fault of the guide.
        FileNotFoundError: when there is no such folder.
        KeyError: when there is no such rig; the message offers the nearest name.
    """
    catalogue = read_catalogue(folder)
    if rig is not None:
        rig_named(rig, catalogue.rigs)
    studies, trace = study_and_trace(catalogue, only=rig)
    found = claims(catalogue, studies, trace)
    moved = effects(catalogue, studies, found, seconds)
    if as_json:
        return json.dumps(_json(moved), indent=2, ensure_ascii=False) + "\n"
    rigs = len({one for claim in found for one in claim.rigs})
    return "\n".join(_text(catalogue, moved, f"the rig '{rig}'" if rig else f"{rigs} rigs")) + "\n"


def whose(catalogue: Catalogue, claim: Claim) -> str:
    """Return whose a claim is: the name of the part, place or rig, or that it is a default of the guide."""
    one = claim.input
    if one.owner == "choice":
        return "The guide's default"
    entries: dict[str, Any] = {"part": catalogue.parts, "place": catalogue.places, "rig": catalogue.rigs}
    return str(entries[one.owner][one.id].name)


def what(claim: Claim) -> str:
    """Return what is claimed, as words: "Mass", "Sensor: read noise"."""
    steps = [step for step in (claim.input.path or (claim.input.id,)) if isinstance(step, str)]
    words = ": ".join(label(step) if number == 0 else label(step).lower() for number, step in enumerate(steps))
    numbers = [step + 1 for step in claim.input.path if isinstance(step, int)]
    return f"{words} ({numbers[0]})" if numbers else words


def _text(catalogue: Catalogue, moved: Effects, about: str) -> Iterator[str]:
    units = catalogue.guide.units
    yield f"{catalogue.guide.name}: {moved.claims} values that the judgements of {about} look at are only claimed."
    yield f"{len(moved.found)} of them were moved, one at a time, by how far they may be off (common practice)."
    if len(moved.found) < moved.claims:
        yield "For the others there was no time: use '--seconds 60', or name one rig."
    turning = [effect for effect in moved.found if effect.turns]
    yield ""
    if turning:
        yield "Measure next: each of these alone could turn a verdict."
    for number, effect in enumerate(turning, 1):
        yield f"{number:>3}  {_head(catalogue, effect.claim)}"
        yield from (f"       {line}" for line in _turns(effect, units))
        if way := how_to_measure(effect.claim):
            yield f"       -> with {way}"
    moving = [effect for effect in moved.found if not effect.turns and effect.moves > 0]
    still = len(moved.found) - len(turning) - len(moving)
    if moving:
        yield ""
        yield f"No verdict hangs on one of the other {len(moving)} alone. Those that move a figure behind one the most:"
        for effect in moving[:MOST_MOVING]:
            share = f"{100 * effect.moves:.0f} %"
            yield f"     {_head(catalogue, effect.claim)}: {effect.figure} moves by {share}"
    if still:
        yield ""
        yield f"{still} move no figure behind a judgement."


def _head(catalogue: Catalogue, claim: Claim) -> str:
    off = show(claim.off, claim.reading.dimension, catalogue.guide.units).first
    count = f"{len(claim.rigs)} rig" + ("s" if len(claim.rigs) > 1 else "")
    one = claim.input
    of = ", as the guide assumes" if one.owner == "choice" else f" of {whose(catalogue, claim)} '{one.id}'"
    return f"{what(claim)}{of}: {_as_said(claim)}, may be off by {off} ({count})"


def _as_said(claim: Claim) -> str:
    return claim.reading.text.partition(" +-")[0].partition(" ±")[0]


def _turns(effect: Effect, units: str) -> Iterator[str]:
    """Yield the turns, those of one kind in one line with all their rigs."""
    groups: dict[tuple[str, str, str, str, float], list[Turn]] = {}
    for turn in effect.turns:
        key = (turn.chapter.title, turn.finding.title, turn.finding.verdict, turn.verdict, turn.value)
        groups.setdefault(key, []).append(turn)
    for (chapter, title, before, after, value), turns in groups.items():
        at = show(value, effect.claim.reading.dimension, units).first
        yield f"{chapter}, {title}: {before} -> {after} at {at}: {', '.join(turn.rig for turn in turns)}"


def _json(moved: Effects) -> dict[str, Any]:
    return {"claims": moved.claims, "moved": len(moved.found), "effects": [_effect_json(one) for one in moved.found]}


def _effect_json(effect: Effect) -> dict[str, Any]:
    claim = effect.claim
    return {
        "owner": claim.input.owner,
        "id": claim.input.id,
        "field": claim.key,
        "value": claim.reading.value,
        "unit": unit_of(claim.reading.dimension),
        "off": claim.off,
        "basis": claim.reading.basis,
        "rigs": list(claim.rigs),
        "judgements": claim.judgements,
        "moves": effect.moves,
        "turns": [
            {
                "rig": turn.rig, "chapter": turn.chapter.id, "finding": turn.finding.id,
                "from": turn.finding.verdict, "to": turn.verdict, "at": turn.value,
            }
            for turn in effect.turns
        ],
    }  # fmt: skip
