"""The club's other rigs: which of them frames a target better."""

import weakref
from bisect import insort
from collections.abc import Iterable, Iterator, Sequence
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

MOST_NAMED = 100
"""Rigs that a target's page names by how well they frame it (a choice of this guide)."""


@dataclass(frozen=True, slots=True)
class Ranked:
    """A rig with the target in its frame; ``score`` is 0 to 1."""

    rig: Rig
    view: View
    framed: Framed
    score: float


Views = tuple[tuple[Rig, View], ...]
"""Rigs with what they see."""


@dataclass(frozen=True)
class _Fleet:
    """What is found out once for each catalogue.

    Attributes:
        views: every rig whose frame is known.
        frames: their frames, in that order.
        filtered: the ids of those with a full-aperture filter in front.
        ranked: by the id of a target, how they frame it.
        best: by the id of a target, the two that frame it best.
        turned: by the ids of a target and of a rig, how that frames it as pages show it.
    """

    views: Views
    frames: Frames
    filtered: frozenset[str]
    ranked: dict[str, list[Ranked]] = field(default_factory=dict)
    best: dict[str, tuple[Ranked, ...]] = field(default_factory=dict)
    turned: dict[tuple[str, str], Ranked] = field(default_factory=dict)


_fleets: dict[int, tuple[weakref.ref[Catalogue], _Fleet]] = {}


def _fleet_of(catalogue: Catalogue) -> _Fleet:
    key = id(catalogue)
    known = _fleets.get(key)
    if known is not None and known[0]() is catalogue:
        return known[1]
    views = tuple(_views(catalogue, catalogue.rigs.values()))
    fleet = _fleet(views, _filtered(catalogue, views))
    _keep(catalogue, fleet)
    return fleet


def _fleet(views: Views, filtered: frozenset[str]) -> _Fleet:
    return _Fleet(views, frames_of([view for _, view in views]), filtered)


def _filtered(catalogue: Catalogue, views: Views) -> frozenset[str]:
    return frozenset(rig.id for rig, _ in views if Assembly(catalogue, rig).filtered_for_the_sun)


def _keep(catalogue: Catalogue, fleet: _Fleet) -> None:
    key = id(catalogue)
    _fleets[key] = weakref.ref(catalogue, lambda _: _fleets.pop(key, None)), fleet


def _views(catalogue: Catalogue, rigs: Iterable[Rig]) -> Iterator[tuple[Rig, View]]:
    for rig in rigs:
        view = view_of(Assembly(catalogue, rig))
        if view is not None:
            yield rig, view


def lend(lender: Catalogue, to: Catalogue) -> None:
    """Let a catalogue have what is found out of another one, whose rigs differ in their words alone."""
    _keep(to, _fleet_of(lender))


def let_go(catalogue: Catalogue) -> None:
    """Let go how the rigs of a catalogue frame its targets, which is much in a large guide; what they see stays."""
    fleet = _fleet_of(catalogue)
    fleet.ranked.clear()
    fleet.turned.clear()


def hand_on(before: Catalogue, after: Catalogue) -> None:
    """Let a catalogue have what was found out of an earlier one, as far as that is of rigs which are the same objects.

    What a rig sees depends on itself, the parts, the places and the guide's choices: where any of these differs, and
    where the targets do, everything is found out anew.
    """
    known = _fleets.get(id(before))
    if known is None or known[0]() is not before or before is after:
        return
    if any(getattr(before, name) != getattr(after, name) for name in ("guide", "parts", "places", "targets")):
        return
    old = known[1]
    same = {id_ for id_, rig in after.rigs.items() if before.rigs.get(id_) is rig}
    seen = {rig.id: (rig, view) for rig, view in old.views if rig.id in same}
    seen |= {rig.id: (rig, view) for rig, view in _views(after, (r for r in after.rigs.values() if r.id not in same))}
    views = tuple(seen[id_] for id_ in after.rigs if id_ in seen)
    others = tuple(one for one in views if one[0].id not in same)
    fleet = _fleet(views, (old.filtered & same) | _filtered(after, others))
    fleet.turned.update((key, one) for key, one in old.turned.items() if one.rig.id in same)
    for target in map(resolve, after.targets.values()):
        if target.id in old.ranked:
            ranked = fleet.ranked[target.id] = [one for one in old.ranked[target.id] if one.rig.id in same]
            for one in _ranked(after, fleet, target, others):
                insort(ranked, one, key=_best_first)
    _keep(after, fleet)


def views_of(catalogue: Catalogue) -> Views:
    """Return every rig whose frame is known, with what it sees; found once for each catalogue."""
    return _fleet_of(catalogue).views


def ranking(catalogue: Catalogue, target: SkyTarget) -> list[Ranked]:
    """Return the rigs whose frame is known by how well they frame a target, the best first; none without a size.

    For the Sun only rigs with a full-aperture filter in front are named; for everything else none of those, unless it
    was put together for the target all the same. Found once for each target of a catalogue, as every rig asks.
    """
    fleet = _fleet_of(catalogue)
    if target.id not in fleet.ranked:
        fleet.ranked[target.id] = sorted(_ranked(catalogue, fleet, target, fleet.views), key=_best_first)
    return fleet.ranked[target.id]


def _ranked(catalogue: Catalogue, fleet: _Fleet, target: SkyTarget, views: Views) -> Iterator[Ranked]:
    wishes = wishes_of(catalogue.guide)
    for rig, view in views:
        one = _framed(fleet, rig, view, target, wishes)
        if one is not None:
            yield one


def _framed(fleet: _Fleet, rig: Rig, view: View, target: SkyTarget, wishes: Wishes) -> Ranked | None:
    """Return a rig with the target in its frame; None where it is not to be named, or the target has no size."""
    if rig.for_training and target.id not in rig.targets:
        return None
    # The Sun through a rig without a filter blinds and burns; a night's target through a solar filter is black.
    filtered, sun = rig.id in fleet.filtered, target.sort == "Sun"
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
    return [
        _turned(catalogue, target, one) if number == 0 or target.id in one.rig.targets else one
        for number, one in enumerate(ranking(catalogue, target))
    ]


def _turned(catalogue: Catalogue, target: SkyTarget, one: Ranked) -> Ranked:
    turned, key = _fleet_of(catalogue).turned, (target.id, one.rig.id)
    if key not in turned:
        guided = frame_target(one.view, target, wishes_of(catalogue.guide))
        turned[key] = one if guided is None else replace(one, framed=guided)
    return turned[key]


def named(ranked: Sequence[Ranked], target: str) -> list[Ranked]:
    """Return of the rigs by how well they frame a target those that its page names: the best, and those made for it."""
    return [one for number, one in enumerate(ranked) if number < MOST_NAMED or target in one.rig.targets]


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
        one = _framed(fleet, rig, view, target, wishes)
        if one is not None and one.framed.roomy(wishes) and one.framed.elements >= FEW_ELEMENTS:
            found = sorted((*found, one), key=_best_first)[:2]
    return tuple(found)
