"""Judgement of the load: against the mount's capacity, the class of a worm drive, and the tripod's own limit."""

from dataclasses import dataclass

from rigleaf.catalogue.catalogue import ON_THE_TRIPOD
from rigleaf.catalogue.models.mounting import Mount, Tripod
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.on_the_mount.bodies import Turned, has_two_axes
from rigleaf.chapters.on_the_mount.carriers import mount_instead, room_in, tripod_instead
from rigleaf.chapters.on_the_mount.counterweights import Balance, Hung, balance_from_shelf
from rigleaf.chapters.on_the_mount.fits import plate_of
from rigleaf.chapters.on_the_mount.physics import moment, part_used
from rigleaf.chapters.what_it_weighs.physics import MassSum
from rigleaf.chapters.what_it_weighs.sums import sum_items
from rigleaf.quantities import Reading

LOAD, WORM, TRIPOD = "mount-load", "worm-load", "tripod-load"

LIGHT_WORM_KG = 10.0
"""A worm mount that carries less with its counterweight counts as light: below the mid-size class (common practice)."""

BRIGHT: frozenset[str] = frozenset({"Sun", "eclipses", "Moon", "planets"})
"""Purposes that ask for no long exposures."""

WITH, WITHOUT = "with a counterweight", "without a counterweight"


@dataclass(frozen=True)
class Case:
    """Which capacity applies to a rig: the reading, or None where it is unsaid, and in which case."""

    capacity: Reading | None
    words: str
    note: str = ""


def case_of(mount: Mount, counter: Hung) -> Case:
    """Return the capacity that applies, from what hangs opposite the load.

    A mount that carries a load without a counterweight carries it with one, so that the one figure stands in for the
    other; never the other way round.
    """
    if not counter.hangs:
        return Case(mount.capacity, WITHOUT)
    if mount.capacity_with_counterweight is None and mount.capacity is not None:
        return Case(mount.capacity, WITHOUT, "stated without a counterweight; with one it carries no less")
    return Case(mount.capacity_with_counterweight, WITH)


def verdict_of(assembly: Assembly, load: MassSum, limit: float) -> Verdict:
    """Judge a load against a limit in kg; an incomplete one is a lower bound, which can fail but not hold."""
    if load.total > limit:
        return "fails"
    if not load.complete:
        return "unsaid"
    spare = limit * (1 - assembly.choice("load_margin").value)
    return "sound" if load.total + (load.uncertainty or 0.0) <= spare + 1e-9 else "tight"


def judge_load(assembly: Assembly, mount: Mount, side: Turned, counter: Hung) -> tuple[list[Figure], list[Finding]]:
    """Judge what rides on the mount against the capacity that applies."""
    title, say, load = "Load on the mount", assembly.say, side.load
    if not load.total:
        words = (
            "No part that rides on the mount has a mass" if load.pieces else "Nothing is named that rides on the mount"
        )
        cure = "Weigh the image train, rings and what else rides along, with a luggage scale."
        return [], [Finding("load", "unsaid", title, f"{words}, so its load is unknown.", (), LOAD, cure)]
    case = case_of(mount, counter)
    level = mount.drive == "alt-azimuth" and not counter.hangs
    least = "" if load.complete else "At least "
    rides = f"{least}{say(load.total, 'mass')} ride on {mount.name}"
    why = f" The counterweight does not count, since {counter.clash}." if counter.clash else ""
    if case.capacity is None:
        return [], [_unstated(assembly, mount, side, rides, why)]
    limit = case.capacity.value
    used = part_used(load.total, limit)
    figures = [
        Figure("capacity", f"Capacity {case.words}", limit, "mass", LOAD, case.capacity.basis, note=case.note),
        Figure("used", "Part of the capacity used", used, "fraction", LOAD,
               uncertainty=part_used(load.uncertainty, limit) if load.uncertainty else None,
               note="" if load.complete else "at least"),
    ]  # fmt: skip
    verdict = verdict_of(assembly, load, limit)
    sentence = f"{rides}, which carries {say(limit, 'mass')}{'' if level else f' {case.words}'}"
    behind = ("capacity", "used")
    kept = say(assembly.choice("load_margin").value, "fraction")
    # A bare tracker has no bar: why its balance is judged nowhere.
    bare = mount.drive == "star-tracker" and not has_two_axes(assembly, mount, counter.hangs)
    unjudged = " It turns one axis and has no bar, so that no balance is judged." if bare else ""
    if verdict == "fails":
        sentence += f": {say(load.total - limit, 'mass')} too much.{why}{unjudged}"
    elif verdict == "unsaid":
        sentence += f", but {_gaps(load)}.{why}{unjudged}"
        return figures, [Finding("load", verdict, title, sentence, behind, LOAD, "Weigh what has no mass.")]
    else:
        leaves = f"and {kept} is to stay unused" if verdict == "sound" else f"where {kept} is to stay unused"
        sentence += f": {say(used, 'fraction')} of it is used, {leaves}.{why}"
    if verdict != "fails" and bare:
        sentence += " It turns one axis and has no bar: keep the load close to the middle of its disc."
    if verdict != "fails" and level:
        sentence += " It has no polar axis to balance about: slide the tube in its saddle until it stays level."
    if verdict == "sound":
        return figures, [Finding("load", verdict, title, sentence, behind, LOAD)]
    return figures, [Finding("load", verdict, title, sentence, behind, LOAD, *_lighter(assembly, mount, side, counter))]


def _gaps(load: MassSum) -> str:
    return "1 piece has no mass" if load.unsaid == 1 else f"{load.unsaid} pieces have no mass"


def _unstated(assembly: Assembly, mount: Mount, side: Turned, rides: str, why: str) -> Finding:
    """Return the finding where the capacity that applies is not stated."""
    title, say = "Load on the mount", assembly.say
    other = mount.capacity_with_counterweight
    if other is None:
        sentence = f"{rides}, and no capacity of it is stated."
        cure = "Look for the load on its label or in its handbook, and whether it counts with a counterweight."
        return Finding("load", "unsaid", title, sentence, (), LOAD, cure, (mount.id,))
    verdict: Verdict = "fails" if side.load.total > other.value else "unsaid"
    stated = f"It is stated to carry {say(other.value, 'mass')} with one"
    more = "which would not do either" if verdict == "fails" else "nothing without one, so count on none"
    sentence = f"{rides} without a counterweight. {stated}, {more}.{why}"
    balance = _own_balance(assembly, mount, side) if verdict == "unsaid" else None
    if balance is not None:
        return Finding("load", verdict, title, sentence, (), LOAD, f"Hang {balance.names()}.", balance.parts)
    return Finding("load", verdict, title, sentence, (), LOAD, *_lighter(assembly, mount, side, Hung(named=False)))


def _own_balance(assembly: Assembly, mount: Mount, side: Turned) -> Balance | None:
    """Return the club's weights that would balance the load; a bare tracker has nothing to hang a bar on."""
    if side.reach.value is None or not has_two_axes(assembly, mount, hangs=False):
        return None
    return balance_from_shelf(assembly, mount, moment(side.load.total, side.reach.value))


def _lighter(assembly: Assembly, mount: Mount, side: Turned, counter: Hung) -> tuple[str, tuple[str, ...]]:
    """Return what would carry the load with the margin asked for: a counterweight, another mount, or less."""
    wide = mount.capacity_with_counterweight
    if not counter.hangs and wide is not None and verdict_of(assembly, side.load, wide.value) == "sound":
        balance = _own_balance(assembly, mount, side)
        if balance is not None:
            carries = assembly.say(wide.value, "mass")
            return f"With {balance.names()} it carries {carries}.", balance.parts
    plate = plate_of(assembly)
    words, parts = mount_instead(assembly, mount, side, plate.width if plate is not None else None)
    if words:
        return words, parts
    capacity = case_of(mount, counter).capacity
    off = _off(assembly, side.load, capacity) if capacity is not None else "something must come off"
    return f"No mount on the shelf carries it with that margin: {off}.", ()


def _off(assembly: Assembly, load: MassSum, capacity: Reading) -> str:
    """Say how much must come off a load for the margin to be left."""
    over = load.total - room_in(assembly, capacity)
    if not load.uncertainty:
        return f"{assembly.say(over, 'mass')} must come off"
    sure = "to be sure, as the masses are no better known"
    if over <= 0:
        return f"{assembly.say(over + load.uncertainty, 'mass')} must come off {sure}"
    return f"{assembly.say(over, 'mass')} must come off, and {assembly.say(load.uncertainty, 'mass')} more {sure}"


def judge_worm(assembly: Assembly, mount: Mount, side: Turned, counter: Hung) -> list[Finding]:
    """Judge a worm mount for long exposures; nothing where it is another drive or the rig needs none."""
    case, purposes = case_of(mount, counter), set(assembly.rig.purpose)
    asks = not purposes or bool(purposes - BRIGHT)
    if mount.drive != "worm" or case.capacity is None or not side.load.total or not asks:
        return []
    say, share = assembly.say, assembly.choice("worm_share").value
    used = part_used(side.load.total, case.capacity.value)
    light = case.capacity.value < LIGHT_WORM_KG
    title, behind = "Worm mount and long exposures", ("used",)
    if used > 1 or (not side.load.complete and used <= share and not light):
        return []
    at_least = "" if side.load.complete else "at least "
    full = f"{at_least}{say(used, 'fraction')} of its capacity is used"
    wants = f"long exposures want such a mount filled to {say(share, 'fraction')} at most"
    if not light:
        sentence = f"{mount.name} is a worm mount: {full}, and {wants}."
    elif used > share:
        sentence = f"{mount.name} is a light worm mount, marginal for long exposures anyway, and {full}; {wants}."
    else:
        sentence = f"{mount.name} is a light worm mount, marginal for long exposures anyway; {full}."
    if not light and used <= share:
        return [Finding("long-exposures", "sound", title, sentence, behind, WORM)]
    if verdict_of(assembly, side.load, case.capacity.value) != "sound":
        # The finding on the load names the mount to take instead.
        cure = "Keep exposures short, or lighten the load; see the load on the mount."
        return [Finding("long-exposures", "tight", title, sentence, behind, WORM, cure)]
    plate = plate_of(assembly)
    words, parts = mount_instead(assembly, mount, side, plate.width if plate is not None else None, steadier=True)
    cure = f"Keep exposures short, or take another mount. {words}" if words else "Keep exposures short, the load low."
    return [Finding("long-exposures", "tight", title, sentence, behind, WORM, cure, parts)]


def judge_tripod(assembly: Assembly, mount: Mount, tripod: Tripod | None) -> tuple[list[Figure], list[Finding]]:
    """Judge what stands on the tripod against what it bears; nothing where the rig names none."""
    load = sum_items(item for item in assembly.items if item.role in ON_THE_TRIPOD)
    if tripod is None or not load.total:
        return [], []
    title, say = "Load on the tripod", assembly.say
    least = "" if load.complete else "At least "
    stands = f"{least}{say(load.total, 'mass')} stand on {tripod.name}"
    if tripod.capacity is None:
        sentence = f"{stands}, and what it bears is not stated."
        cure = "Look for its load in the handbook, or ask who built it what it was made for."
        return [], [Finding("tripod", "unsaid", title, sentence, (), TRIPOD, cure, (tripod.id,))]
    limit = tripod.capacity.value
    used = part_used(load.total, limit)
    figures = [Figure("tripod-used", "Part of the tripod's capacity used", used, "fraction", TRIPOD,
                      uncertainty=part_used(load.uncertainty, limit) if load.uncertainty else None,
                      note="" if load.complete else "at least")]  # fmt: skip
    verdict, behind = verdict_of(assembly, load, limit), ("tripod-used",)
    sentence = f"{stands}, which bears {say(limit, 'mass')}"
    if verdict == "sound":
        sentence += f": {say(used, 'fraction')} of it."
        return figures, [Finding("tripod", verdict, title, sentence, behind, TRIPOD)]
    if verdict == "unsaid":
        sentence += f", but {_gaps(load)}."
        return figures, [Finding("tripod", verdict, title, sentence, behind, TRIPOD, "Weigh what has no mass.")]
    kept = say(assembly.choice("load_margin").value, "fraction")
    too_much = f": {say(load.total - limit, 'mass')} too much."
    sentence += too_much if verdict == "fails" else f": {say(used, 'fraction')} of it, where {kept} is to stay unused."
    cure, parts = tripod_instead(assembly, mount, tripod)
    off = _off(assembly, load, tripod.capacity)
    return figures, [Finding("tripod", verdict, title, sentence, behind, TRIPOD,
                             cure or f"No tripod on the shelf takes this mount and bears more: {off}.",
                             parts)]  # fmt: skip
