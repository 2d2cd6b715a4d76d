"""The club's other rigs: which of them frames a target better."""

import weakref
from dataclasses import dataclass, field, replace

import numpy as np

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_frame.bounds import Frames, frames_of, most_scores
from rigleaf.chapters.in_the_frame.framing import FEW_ELEMENTS, Framed, Wishes, frame_target, wishes_of
from rigleaf.chapters.in_the_frame.view import View, view_of
from rigleaf.sky.targets import SkyTarget


@dataclass(frozen=True)
class Ranked:
    """A rig with the target in its frame; ``score`` is 0 to 1."""

    rig: Rig
    view: View
    framed: Framed
    score: float


@dataclass(frozen=True)
class _Fleet:
    """What is found out once for each catalogue: every rig whose frame is known, and how they frame each target.

    ``filtered`` are the ids of rigs with a full-aperture filter in front.
    """

    views: tuple[tuple[Rig, View], ...]
    frames: Frames
    filtered: frozenset[str]
    ranked: dict[str, list[Ranked]] = field(default_factory=dict)
    best: dict[str, tuple[Ranked, ...]] = field(default_factory=dict)


_fleets: dict[int, tuple[weakref.ref[Catalogue], _Fleet]] = {}


def _fleet_of(catalogue: Catalogue) -> _Fleet:
    key = id(catalogue)
    known = _fleets.get(key)
    if known is not None and known[0]() is catalogue:
        return known[1]
    views: list[tuple[Rig, View]] = []
    filtered: set[str] = set()
    for rig in catalogue.rigs.values():
        assembly = Assembly(catalogue, rig)
        if (view := view_of(assembly)) is not None:
            views.append((rig, view))
            filtered |= {rig.id} if assembly.filtered_for_the_sun else set()
    fleet = _Fleet(tuple(views), frames_of([view for _, view in views]), frozenset(filtered))
    _fleets[key] = weakref.ref(catalogue, lambda _: _fleets.pop(key, None)), fleet
    return fleet


def lend(lender: Catalogue, to: Catalogue) -> None:
    """Let a catalogue have what is found out of another one, whose rigs differ in their words alone."""
    key = id(to)
    _fleets[key] = weakref.ref(to, lambda _: _fleets.pop(key, None)), _fleet_of(lender)


def views_of(catalogue: Catalogue) -> tuple[tuple[Rig, View], ...]:
    """Return every rig whose frame is known, with what it sees; found once for each catalogue."""
    return _fleet_of(catalogue).views


def ranking(catalogue: Catalogue, target: SkyTarget) -> list[Ranked]:
    """Return the rigs whose frame is known by how well they frame a target, the best first; none without a size.

    For the Sun only rigs with a full-aperture filter in front are named; for everything else none of those, unless it
    was put together for the target all the same. Found once for each target of a catalogue, as every rig asks.
    """
    ranked = _fleet_of(catalogue).ranked
    if target.id not in ranked:
        ranked[target.id] = _ranking(catalogue, target)
    return ranked[target.id]


def _ranking(catalogue: Catalogue, target: SkyTarget) -> list[Ranked]:
    wishes = wishes_of(catalogue.guide)
    found = (_ranked(catalogue, rig, view, target, wishes) for rig, view in views_of(catalogue))
    return sorted((one for one in found if one is not None), key=_best_first)


def _ranked(catalogue: Catalogue, rig: Rig, view: View, target: SkyTarget, wishes: Wishes) -> Ranked | None:
    """Return a rig with the target in its frame; None where it is not to be named, or the target has no size."""
    if rig.for_training and target.id not in rig.targets:
        return None
    # The Sun through a rig without a filter blinds and burns; a night's target through a solar filter is black.
    filtered, sun = rig.id in _fleet_of(catalogue).filtered, target.sort == "Sun"
    if (sun and not filtered) or (filtered and not sun and target.id not in rig.targets):
        return None
    framed = frame_target(view, target, wishes, guided=False)
    return None if framed is None else Ranked(rig, view, framed, framed.score(wishes))


def _best_first(one: Ranked) -> tuple[float, int, float, str]:
    return -one.score, one.framed.grid.cells, -one.framed.elements, one.rig.id


def ranking_as_shown(catalogue: Catalogue, target: SkyTarget) -> list[Ranked]:
    """Return the rigs by how well they frame a target.

    The best one and those put together for it are turned as their own pages show them, with stars on the second
    sensor.
    """
    wishes = wishes_of(catalogue.guide)
    ranked = []
    for number, one in enumerate(ranking(catalogue, target)):
        shown = number == 0 or target.id in one.rig.targets
        guided = frame_target(one.view, target, wishes) if shown else None
        ranked.append(one if guided is None else replace(one, framed=guided))
    return ranked


def framings_of(catalogue: Catalogue) -> dict[str, list[Ranked]]:
    """Return by id how the club's rigs frame each target of the guide, as pages show it."""
    return {id_: ranking_as_shown(catalogue, resolve(target)) for id_, target in catalogue.targets.items()}


def better_rig(assembly: Assembly, framed: Framed) -> Ranked | None:
    """Return the club's best rig for a target whose own rig does not do: one that holds it whole, and finely enough."""
    wishes = wishes_of(assembly.catalogue.guide)
    best = next((one for one in best_two(assembly.catalogue, framed.target) if one.rig.id != assembly.rig.id), None)
    return best if best is not None and best.score > framed.score(wishes) else None


def best_two(catalogue: Catalogue, target: SkyTarget) -> tuple[Ranked, ...]:
    """Return the two rigs that frame a target best, of those that hold it whole, and finely enough.

    This is all that any rig's page tells of the frames of others: the first two of `ranking` that are so, found without
    framing the target in all of them.
    """
    best = _fleet_of(catalogue).best
    if target.id not in best:
        best[target.id] = _best_two(catalogue, target)
    return best[target.id]


def _best_two(catalogue: Catalogue, target: SkyTarget) -> tuple[Ranked, ...]:
    wishes, fleet = wishes_of(catalogue.guide), _fleet_of(catalogue)
    most = most_scores(fleet.frames, target, wishes)
    found: list[Ranked] = []
    # Those that could frame it best come first, and no more are looked at once none of the rest could be among the two.
    for number in np.argsort(-most, kind="stable"):
        if most[number] <= 0 or (len(found) > 1 and most[number] < found[1].score):
            break
        rig, view = fleet.views[number]
        one = _ranked(catalogue, rig, view, target, wishes)
        if one is not None and one.framed.roomy(wishes) and one.framed.elements >= FEW_ELEMENTS:
            found = sorted((*found, one), key=_best_first)[:2]
    return tuple(found)
