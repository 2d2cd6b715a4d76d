"""Ballast: how much of it holds, what the club has that weighs as much, and where it goes."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.catalogue import ON_THE_TRIPOD
from rigleaf.catalogue.models.carrying import Sundry
from rigleaf.catalogue.models.power import Battery
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.footing import physics
from rigleaf.chapters.footing.stance import Stance
from rigleaf.chapters.footing.wind import Wind
from rigleaf.chapters.what_it_weighs.sums import sum_items

Array = NDArray[np.float64]

LIGHTEST_BATTERY = 1.0
"""Mass in kg below which a battery is no ballast."""

STEP = 0.5
"""Ballast is asked for in such steps, kg, rounded up: nobody fills a canister more finely."""


@dataclass(frozen=True, slots=True)
class Thing:
    """Something that can be ballast: mass of one in kg, how many there are, and whether the rig brings it anyway."""

    id: str
    name: str
    mass: float
    count: int
    own: bool


def needed(stands: Stance, leg: float, wind: Wind, moments: Array, factor: float) -> float:
    """Return the ballast in kg that makes the weight hold so many times the gust's moment; 0 where it does bare.

    Args:
        stands: the tripod with its load.
        leg: azimuth of one leg, deg.
        wind: the wind to stand.
        moments: drag areas times their heights by place of the load, m3, shape (n,).
        factor: how many times.
    """
    pushed = factor * physics.wind_moment(moments, wind.density, wind.gust)
    mass = np.full_like(pushed, stands.mass)
    exact = float(physics.ballast_for_wind(mass, stands.at(leg), stands.radius, pushed).max())
    return rounded(exact)


def rounded(exact: float) -> float:
    """Return a ballast in kg rounded up to what people can fill."""
    return ceil(exact / STEP - 1e-9) * STEP


def own_ballast(assembly: Assembly, stands: Stance) -> float:
    """Return the kg of things kept for ballast that the rig carries and its tripod can hang."""
    if stands.tripod.hook is False:
        return 0.0
    return sum(thing.mass * thing.count for thing in _things(assembly) if thing.own and _kept_for_it(assembly, thing))


def _kept_for_it(assembly: Assembly, thing: Thing) -> bool:
    return isinstance(assembly.catalogue.parts[thing.id], Sundry)


def _things(assembly: Assembly) -> Iterator[Thing]:
    """Yield what can be ballast: what the rig brings first, then what else is on the shelf."""
    brought: set[str] = set()
    for item in assembly.items:
        part = item.part
        if isinstance(part, Sundry) and part.ballast is not None:
            brought.add(part.id)
            yield Thing(part.id, part.name, part.ballast.value, item.count, own=True)
        elif isinstance(part, Battery) and item.role == "power" and _heavy(part):
            yield Thing(part.id, part.name, part.mass.value if part.mass else 0.0, item.count, own=True)
    for part in assembly.catalogue.of_kind(Sundry):
        if part.ballast is not None and part.owned != 0:
            count = (part.owned or 1) - sum(item.count for item in assembly.items if item.part.id == part.id)
            if count > 0:
                yield Thing(part.id, part.name, part.ballast.value, count, own=False)


def _heavy(part: Battery) -> bool:
    return part.mass is not None and part.mass.value >= LIGHTEST_BATTERY


def can_hang(tripod_load: float, stands: Stance, kg: float) -> bool:
    """Whether so much may hang from the tripod's middle: it has a hook, and its capacity is not passed."""
    tripod = stands.tripod
    room = tripod.capacity is None or tripod_load + kg <= tripod.capacity.value
    return tripod.hook is not False and room


def proposal(assembly: Assembly, stands: Stance, kg: float) -> tuple[str, tuple[str, ...]]:
    """Say which ballast to take and where to put it, with the ids of the parts that this names.

    In the middle of the tripod it hangs at half the foot radius from every edge; a third of it over each foot has
    the same moment about every edge, which is the way for a tripod without a hook or without room in its capacity.
    """
    load = sum_items(item for item in assembly.items if item.role in ON_THE_TRIPOD).total
    say = assembly.say(kg, "mass")
    if can_hang(load, stands, kg):
        hook = "from the hook in its middle"
        where = hook if stands.tripod.hook else "from its middle, if something there can bear it"
        chosen = _choose(assembly, kg)
        what = f": {_named(assembly, chosen)}" if chosen else ""
        words = f"Hang {say} under the tripod, {where}, clear of the ground and too low to swing{what}."
        return words, tuple(dict.fromkeys(thing.id for thing, _ in chosen))
    hookless = stands.tripod.hook is False
    why = "This tripod has no hook" if hookless else "Hung from the tripod it would pass its capacity"
    third = kg / 3
    kept = [one for one in _things(assembly) if one.mass >= third and _kept_for_it(assembly, one)]
    club = next((one for one in kept if sum(other.count for other in kept if other.id == one.id) >= 3), None)
    what = f": 3 × {club.name}, each filled as far" if club else ""
    words = f"{why}: lay {assembly.say(third, 'mass')} over each leg close to its foot, {say} in all{what}."
    return words, (club.id,) if club else ()


def _choose(assembly: Assembly, kg: float) -> list[tuple[Thing, int]]:
    """Choose what weighs enough, in few pieces and what the rig brings first; nothing where all of it is too light."""
    things = list(_things(assembly))
    own = _one_sort([thing for thing in things if thing.own], kg)
    if own:
        return own
    brought = [(thing, thing.count) for thing in things if thing.own and _kept_for_it(assembly, thing)]
    left = kg - sum(thing.mass * count for thing, count in brought)
    club = _one_sort([thing for thing in things if not thing.own], left)
    if club:
        return brought + club
    chosen: list[tuple[Thing, int]] = []
    left = kg
    for thing in things:
        if left > 0:
            count = min(ceil(left / thing.mass), thing.count)
            chosen.append((thing, count))
            left -= count * thing.mass
    return chosen if left <= 0 else []


def _one_sort(things: list[Thing], kg: float) -> list[tuple[Thing, int]]:
    enough = [(thing, ceil(kg / thing.mass)) for thing in things if thing.mass * thing.count >= kg]
    return [min(enough, key=lambda pair: (pair[1], pair[0].mass))] if enough else []


def _named(assembly: Assembly, chosen: list[tuple[Thing, int]]) -> str:
    names = []
    for thing, count in chosen:
        whose = "the rig's own" if thing.own else "the club's"
        times = f"{count} × " if count > 1 else ""
        each = " each" if count > 1 else ""
        bag = "" if _kept_for_it(assembly, thing) else " in a bag"
        names.append(f"{whose} {times}{thing.name} ({assembly.say(thing.mass, 'mass')}{each}){bag}")
    return listed(names)
