"""A rig's power through the nights of a journey: what is drawn and what its batteries hold, night after night."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.power import Battery
from rigleaf.catalogue.models.rig import Feed, Night, Rig, Use
from rigleaf.catalogue.models.trip import Trip
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Verdict
from rigleaf.chapters.night_out.chosen import BRIGHT
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit, night_budget
from rigleaf.journeys.result_nights import PowerNight
from rigleaf.journeys.words import named, say

Swap = Mapping[str, tuple[tuple[str, int], ...]]
"""What stands in for a part: its id, and ids with counts; none where it is left at home."""


@dataclass(frozen=True)
class Drawn:
    """What a night leaves in the source of a rig of which least is left.

    Attributes:
        source: what that source is called.
        needed: Wh drawn from it.
        held: Wh that it holds at the beginning of the night, after the nights before where nothing recharges it.
        left: Wh left at the end, below zero what is missing.
        share: part of its usable energy that this is.
        empty: when it is empty, by the clocks of the place; empty text where it lasts.
        why: what is unsaid; empty where nothing is.
    """

    source: str = ""
    needed: float | None = None
    held: float | None = None
    left: float | None = None
    share: float | None = None
    empty: str = ""
    why: str = ""


def evenings_of(trip: Trip) -> tuple[dt.date, ...]:
    """Return the evenings of a journey."""
    if trip.nights is None:
        return ()
    return tuple(trip.nights.first + dt.timedelta(days=day) for day in range(trip.nights.count))


def rig_at(rig: Rig, trip: Trip, evening: dt.date, swap: Swap | None = None) -> Rig:
    """Return a rig as it stands at the place of a journey on one evening, with other parts in place of some."""
    night = rig.night or Night.model_construct()
    changes: dict[str, object] = {"night": night.model_copy(update={"date": evening})}
    if trip.place is not None:
        changes["place"] = trip.place
    if swap:
        changes["power"] = tuple(use for one in rig.power for use in _swapped(one, swap))
        changes["feeds"] = tuple(feed for one in rig.feeds for feed in _fed(one, swap))
    return rig.model_copy(update=changes)


def _swapped(use: Use, swap: Swap) -> tuple[Use, ...]:
    if use.part not in swap:
        return (use,)
    return tuple(Use.model_construct(part=id_, count=count, note=None) for id_, count in swap[use.part])


def _fed(feed: Feed, swap: Swap) -> tuple[Feed, ...]:
    if feed.source not in swap:
        return (feed,)
    return tuple(feed.model_copy(update={"source": id_}) for id_, _ in swap[feed.source])


def works_on(rig: Rig, catalogue: Catalogue, evening: dt.date) -> bool:
    """Say whether a rig is used on an evening: one for the Sun only on the day that it states."""
    bright = bool(rig.purpose) and set(rig.purpose) <= BRIGHT
    if not (bright and Assembly(catalogue, rig).filtered_for_the_sun):
        return True
    return rig.night is None or rig.night.date is None or rig.night.date == evening


def through_the_nights(
    catalogue: Catalogue, trip: Trip, rig: Rig, evenings: Sequence[dt.date], swap: Swap | None = None
) -> dict[dt.date, Drawn]:
    """Return what each night leaves in a rig's batteries; nights on which it is not used are left out."""
    recharging = trip.nights is None or trip.nights.recharging
    taken: dict[frozenset[str], float] = {}
    found: dict[dt.date, Drawn] = {}
    for evening in evenings:
        if works_on(rig, catalogue, evening):
            budget = night_budget(Assembly(catalogue, rig_at(rig, trip, evening, swap)))
            if budget is not None:
                found[evening] = _drawn(budget, {} if recharging else taken)
                for circuit in budget.circuits:
                    taken[_sources(circuit)] = taken.get(_sources(circuit), 0.0) + circuit.drawn
    return found


def _drawn(budget: Budget, taken: Mapping[frozenset[str], float]) -> Drawn:
    found = [
        _of_circuit(budget, circuit, circuit.store.low, taken.get(_sources(circuit), 0.0))
        for circuit in budget.circuits
        if circuit.store is not None
    ]
    # What is unsaid can only draw more: where even the rest does not last, that is certain.
    if budget.gaps and not any((one.left or 0.0) < 0 for one in found):
        return Drawn(why=budget.why)
    if not found:
        return Drawn(why="" if any(circuit.endless for circuit in budget.circuits) else budget.why)
    return min(found, key=lambda one: (one.share or 0.0, one.source))


def _sources(circuit: Circuit) -> frozenset[str]:
    return frozenset(part.id for part, _ in circuit.group.sources)


def _of_circuit(budget: Budget, circuit: Circuit, full: float, taken: float) -> Drawn:
    held = full - taken
    left = held - circuit.drawn
    instant = circuit.instant_at(max(held, 0.0)) if left < 0 else None
    return Drawn(
        source=listed([named(part.name, count) for part, count in circuit.group.sources]),
        needed=circuit.drawn,
        held=held,
        left=left,
        share=left / full if full > 0 else -1.0,
        empty=budget.night.clock(instant) if instant is not None else "",
    )


def hardest(drawn: Mapping[dt.date, Drawn]) -> Drawn | None:
    """Return the night that leaves least; None where none is known."""
    known = [one for one in drawn.values() if one.left is not None]
    return min(known, key=lambda one: one.left or 0.0, default=None)


def power_night(catalogue: Catalogue, rig: Rig, drawn: Drawn, kept: float) -> PowerNight:
    """Return one rig's night in words; ``kept`` is the part of the energy that should be left at dawn."""
    guide = catalogue.guide
    if drawn.left is None or drawn.needed is None or drawn.held is None or drawn.share is None:
        verdict: Verdict = "unsaid" if drawn.why else "sound"
        words = f"{rig.name}: {drawn.why}" if drawn.why else f"{rig.name} runs from mains."
        return PowerNight(rig.id, rig.name, "", None, None, None, verdict, words)
    verdict = "fails" if drawn.left < 0 else "tight" if drawn.share < kept else "sound"
    needs, end = say(guide, drawn.needed, "energy"), say(guide, abs(drawn.left), "energy")
    if drawn.held <= 0:
        words = f"{rig.name} would draw {needs}; {drawn.source} can give nothing any more when the night begins."
    else:
        words = f"{rig.name} draws {needs}; {drawn.source} can give {say(guide, drawn.held, 'energy')}"
        words += f", until {drawn.empty}: {end} are missing." if drawn.left < 0 else f": {end} are left."
    return PowerNight(rig.id, rig.name, drawn.source, drawn.needed, max(drawn.held, 0.0), drawn.left, verdict, words)


def rigs_with(catalogue: Catalogue, trip: Trip, part: str) -> tuple[Rig, ...]:
    """Return the rigs of a journey whose power a battery is."""
    rigs = (catalogue.rigs[id_] for id_ in sorted(set(trip.rigs)))
    return tuple(rig for rig in rigs if any(use.part == part for use in rig.power))


def in_place_of(one: Battery, other: Battery) -> bool:
    """Say whether a battery can feed what another one feeds: an outlet of the same sort, and the same voltage there."""
    if other.installed or not other.outlets or not one.outlets:
        return False
    kinds = {(outlet.kind, round(outlet.voltage.value) if outlet.voltage else None) for outlet in one.outlets}
    mains = {(outlet.kind, round(outlet.voltage.value) if outlet.voltage else None) for outlet in other.outlets}
    # The first outlet is the one that such a battery is taken for.
    first = one.outlets[0]
    wanted = (first.kind, round(first.voltage.value) if first.voltage else None)
    return wanted in mains and bool(kinds & mains)
