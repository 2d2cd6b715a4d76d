"""Judgement of carrying: what bags bear, how many walks it takes, and what goes on a back."""

from rigleaf.catalogue.models.carrying import Bag
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.hands_and_back.lift_study import fails_alone
from rigleaf.chapters.hands_and_back.lifts import Lift
from rigleaf.chapters.hands_and_back.loads import Carried, Load, stays_put, unweighed, weigh
from rigleaf.chapters.hands_and_back.trips import Walk, too_heavy, walks_of, way_m
from rigleaf.chapters.what_it_weighs.sums import sum_items

ON_FOOT_EASY, ON_FOOT_MOST = 12.0, 20.0
"""Mass in kg that a practised walker takes without and with effort, a seventh and a quarter of 80 kg; common practice,
no source."""
LONG_WAY_M = 1000.0
"""Way in all from which carrying to the spot is work of its own; a choice of this guide."""
LONG = "Take a second person or a cart, and leave home what this night does not need."
HOLDS = "List under 'holds' of each bag the parts that travel in it, or weigh the packed bags."


def judge_bags(assembly: Assembly, loads: Carried) -> Finding | None:
    """Judge what bags hold against what they bear; None where there are no bags."""
    if not loads.bags:
        return None
    title = "What the bags bear"
    untold = [bag for bag in loads.bags if not bag.told]
    if untold:
        empty = sum(bag.part.mass.value for bag in loads.bags if bag.part.mass is not None)
        names = ", ".join(dict.fromkeys(bag.part.name for bag in untold))
        sentence = (
            f"What the bags weigh when packed is unsaid, as nothing says what travels in the {names}; empty, all bags "
            f"weigh {assembly.say(empty, 'mass')}."
        )
        return Finding("bags", "unsaid", title, sentence, (), "bag-loads", HOLDS)
    spare = assembly.choice("load_margin").value
    ranked = sorted(((_share(bag), bag) for bag in loads.bags), key=lambda one: -one[0])
    silent = [bag for share, bag in ranked if share == 0 and bag.contents.total]
    fullest, bag = ranked[0]
    behind = tuple(f"bag-{one.id}" for one in loads.bags)
    if not fullest:
        names = ", ".join(dict.fromkeys(bag.part.name for bag in silent))
        sentence = f"How much the {names} may carry is unsaid."
        return Finding("bags", "unsaid", title, sentence, behind, "bag-loads", "State 'load_limit' from its label.")
    verdict: Verdict = "fails" if fullest > 1 else "tight" if fullest > 1 - spare else "sound"
    limit = _limit(bag)
    assert limit is not None  # noqa: S101 - its share is known
    say = assembly.say
    least = "" if bag.contents.complete else "at least "
    sentence = (
        f"The fullest is the {bag.name}: it holds {least}{say(bag.contents.total, 'mass')} and may carry "
        f"{say(limit, 'mass')}."
    )
    items = [item for one in loads.bags for item in one.items]
    if verdict == "sound" and any(item.part.mass is None for item in items):
        words = f"{sentence} {unweighed(items)}"
        return Finding("bags", "unsaid", title, words, behind, "bag-loads", *weigh(items))
    return Finding("bags", verdict, title, sentence, behind, "bag-loads", _lighter(assembly, bag, verdict))


def _limit(bag: Load) -> float | None:
    limit = bag.part.load_limit if isinstance(bag.part, Bag) else None
    return limit.value if limit is not None else None


def _share(bag: Load) -> float:
    limit = _limit(bag)
    return bag.contents.total / limit if limit else 0.0


def _lighter(assembly: Assembly, bag: Load, verdict: Verdict) -> str:
    if verdict == "sound":
        return ""
    heaviest = max(
        (item for item in bag.items if item.role != "bag" and item.part.mass is not None),
        key=lambda item: (item.part.mass.value * item.count if item.part.mass else 0.0, item.part.id),
    )
    return f"Let the {heaviest.part.name} travel elsewhere, {assembly.say(sum_items([heaviest]).total, 'mass')}."


def judge_walks(
    assembly: Assembly, loads: Carried, lifts: tuple[Lift, ...]
) -> tuple[list[Figure], list[Finding], tuple[Walk, ...]]:
    """Judge how everything comes to the spot: in walks from the car, or all at once on foot.

    ``lifts`` tell which loads are too heavy for one person: those go by themselves.
    """
    if stays_put(assembly) or not loads.all:
        return [], [], ()
    ways = set(assembly.rig.travels)
    figures: list[Figure] = []
    findings: list[Finding] = []
    known = loads.told
    if "on foot" in ways and known:
        figure, finding = _on_foot(assembly, loads)
        figures.append(figure)
        findings.append(finding)
    found = walks_of(assembly, loads, too_heavy(lifts))
    if not found:
        return figures, findings, ()
    note = "" if known else "at least; what no bag holds is not counted"
    figures.append(Figure("walks", "Walks from the car to the spot", float(len(found)), "number", "walks", note=note))
    place = assembly.place
    if place is None or place.walk is None:
        return figures, findings, found
    way = way_m(len(found), place.walk.value)
    figures.append(Figure("way", "Way in all, there and back", way, "distance", "walks", note=note))
    if known:
        findings.append(_walks(assembly, found, place.walk.value, way, lifts))
    return figures, findings, found


def _on_foot(assembly: Assembly, loads: Carried) -> tuple[Figure, Finding]:
    items = [*(item for load in loads.all for item in load.items), *loads.pockets]
    whole = sum_items(items)
    say = assembly.say
    least = "" if whole.complete else "at least "
    title = "All of it on foot"
    figure = Figure("on-foot", "Carried at once on foot", whole.total, "mass", "on-foot",
                    note="" if whole.complete else f"at least; {whole.unsaid} without a mass")  # fmt: skip
    verdict: Verdict = "fails" if whole.total > ON_FOOT_MOST else "tight" if whole.total > ON_FOOT_EASY else "sound"
    sentence = (
        f"On foot {least}{say(whole.total, 'mass')} go along at once; a practised walker takes "
        f"{say(ON_FOOT_EASY, 'mass')} easily and {say(ON_FOOT_MOST, 'mass')} with effort, without tent, food and water."
    )
    cure = "" if verdict == "sound" else "Share it between two people, or leave home what this night does not need."
    if verdict == "sound" and not whole.complete:
        return figure, Finding("on-foot", "unsaid", title, sentence, ("on-foot",), "on-foot", *weigh(items))
    return figure, Finding("on-foot", verdict, title, sentence, ("on-foot",), "on-foot", cure)


def _walks(
    assembly: Assembly, found: tuple[Walk, ...], walk: float, way: float, lifts: tuple[Lift, ...]
) -> Finding:  # fmt: skip
    say = assembly.say
    heaviest = max(found, key=lambda one: one.mass)
    least = "" if heaviest.complete else "at least "
    number = "One walk" if len(found) == 1 else f"{len(found)} walks"
    verb = "takes" if len(found) == 1 else "take"
    held = " and the ".join(load.name for load in heaviest.loads)
    for_two = [lift for lift in lifts if lift.load is not None and lift.index > 1]
    sentence = (
        f"{number} of {say(walk, 'distance')} {verb} everything from the car to the spot, "
        f"{say(way, 'distance')} in all; "
        f"the heaviest has {least}{say(heaviest.mass, 'mass')}, the {held}.{_together(for_two)}"
    )
    fails = any(map(fails_alone, for_two))
    verdict: Verdict = "fails" if fails else "tight" if for_two or way > LONG_WAY_M else "sound"
    cures = []
    if for_two:
        them = "it" if len(for_two) == 1 else "them"
        cures.append(f"Carry {them} between two people, or take out what is heaviest and walk once more.")
    if way > LONG_WAY_M:
        cures.append("Take a cart, and leave home what this night does not need." if for_two else LONG)
    return Finding("walks", verdict, "From the car to the spot", sentence, ("walks", "way"), "walks", " ".join(cures))


def _together(for_two: list[Lift]) -> str:
    """Say what is too heavy for one person, and so has nothing beside it."""
    if not for_two:
        return ""
    worst = max(for_two, key=lambda lift: lift.index)
    name = worst.load.name if worst.load is not None else ""
    still = f" Even half of the {name} is more than that." if fails_alone(worst) else ""
    if len(for_two) == 1:
        return f" The {name} is more than is recommended for one person, so that it goes by itself.{still}"
    return f" {len(for_two)} loads are more than is recommended for one person, so that each goes by itself.{still}"
