"""The club's other rigs: which of them frames a target better."""

import weakref
from dataclasses import dataclass, field, replace
from itertools import islice

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_frame.framing import FEW_ELEMENTS, Framed, frame_target, wishes_of
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
    """What is found out once for each catalogue: every rig whose frame is known, and how they frame each target."""

    views: tuple[tuple[Rig, View], ...]
    ranked: dict[str, list[Ranked]] = field(default_factory=dict)


_fleets: dict[int, tuple[weakref.ref[Catalogue], _Fleet]] = {}


def _fleet_of(catalogue: Catalogue) -> _Fleet:
    key = id(catalogue)
    known = _fleets.get(key)
    if known is not None and known[0]() is catalogue:
        return known[1]
    views = [(rig, view_of(Assembly(catalogue, rig))) for rig in catalogue.rigs.values()]
    fleet = _Fleet(tuple((rig, view) for rig, view in views if view is not None))
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
    ranked = []
    for rig, view in views_of(catalogue):
        if rig.for_training and target.id not in rig.targets:
            continue
        # The Sun through a rig without a filter blinds and burns; a night's target through a solar filter is black.
        filtered, sun = Assembly(catalogue, rig).filtered_for_the_sun, target.sort == "Sun"
        if (sun and not filtered) or (filtered and not sun and target.id not in rig.targets):
            continue
        framed = frame_target(view, target, wishes, guided=False)
        if framed is not None:
            ranked.append(Ranked(rig, view, framed, framed.score(wishes)))
    return sorted(ranked, key=lambda one: (-one.score, one.framed.grid.cells, -one.framed.elements, one.rig.id))


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

    This is all that any rig's page tells of the frames of others.
    """
    wishes = wishes_of(catalogue.guide)
    suited = (
        one for one in ranking(catalogue, target) if one.framed.roomy(wishes) and one.framed.elements >= FEW_ELEMENTS
    )
    return tuple(islice(suited, 2))
