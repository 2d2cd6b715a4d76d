"""Judgement of the lifts: what one person may lift, and what asks for two."""

from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.hands_and_back.lifts import Gap, Lift
from rigleaf.chapters.hands_and_back.loads import stays_put, unweighed, weigh
from rigleaf.chapters.what_it_weighs.sums import sum_items

TOO_MUCH, TOO_MUCH_ABOVE = 2.0, 1.5
"""Lifting index from which a lift fails for one person, and from which setting something on a tripod does; a choice of
this guide: below, a strong and healthy person may do it now and then, but over a tripod there is no way back."""
MOST_NAMED = 3

GROUPS: dict[bool, tuple[str, str]] = {
    True: ("lifts-packed", "Lifting what is packed"),
    False: ("lifts-tripod", "Lifting onto the tripod"),
}
"""Id and title of the findings: on bags and loose parts, and on what is set on the tripod."""

HOW_TO_TELL: dict[str, str] = {
    "what the bag holds": "list under 'holds' of each bag the parts that travel in it, or weigh it packed",
    "its mass": "weigh it",
    "its size": "measure its three sides as it is packed and state 'packed'",
    "the tripod's height": "measure from the ground to the top of the head as it is used and state 'height'",
}
BEHIND = ("heaviest-lift", "lift-limit", "lift-index")


def figures_of(lifts: tuple[Lift, ...]) -> list[Figure]:
    """Return the figures of the heaviest lift."""
    if not lifts:
        return []
    worst = max(lifts, key=lambda lift: lift.index)
    note = worst.name if worst.complete else f"{worst.name}; at least"
    return [
        Figure("heaviest-lift", "Hardest lift, mass", worst.mass, "mass", "lifting", note=note),
        Figure("lift-limit", "Recommended limit for it", worst.limit, "mass", "lifting",
               note="under the equation's best conditions; a cold field in the dark is not among them"),
        Figure("lift-index", "Lifting index of it", worst.index, "number", "lifting"),
    ]  # fmt: skip


def judge(assembly: Assembly, lifts: tuple[Lift, ...], gaps: tuple[Gap, ...]) -> list[Finding]:
    """Judge the lifts of a rig; what cannot be told is a finding of its own."""
    found = []
    for packed in (True, False):
        group = [lift for lift in lifts if lift.id.startswith("load-") == packed]
        over = sorted((lift for lift in group if lift.index > 1), key=lambda lift: -lift.index)
        if over:
            found.append(_too_heavy(assembly, over, *_group(assembly, packed)))
        elif group:
            found.append(_bearable(assembly, group, *_group(assembly, packed)))
    if not lifts and not gaps:
        stays = " that is moved" if stays_put(assembly) else ""
        sentence = f"No piece of this rig{stays} weighs 3 kg or more, so no lift of it is judged."
        found.append(Finding(*_head("sound", *_group(assembly, True)), sentence, (), "lifting"))
    if gaps:
        found.append(_untold(gaps))
    return found


def _group(assembly: Assembly, packed: bool) -> tuple[str, str]:
    id_, title = GROUPS[packed]
    return id_, "Lifting what is moved" if packed and stays_put(assembly) else title


def _head(verdict: Verdict, id_: str, title: str) -> tuple[str, Verdict, str]:
    return id_, verdict, title


def _bearable(assembly: Assembly, lifts: list[Lift], id_: str, title: str) -> Finding:
    worst = max(lifts, key=lambda lift: lift.index)
    say = assembly.say
    sentence = (
        f"The hardest is {worst.name}: {_least(worst)}{say(worst.mass, 'mass')}, where the lifting equation recommends "
        f"at most {say(worst.limit, 'mass')} for one person."
    )
    if all(lift.complete for lift in lifts):
        return Finding(id_, "sound", title, sentence, BEHIND, "lifting")
    items = [item for lift in lifts for item in lift.items]
    return Finding(id_, "unsaid", title, f"{sentence} {unweighed(items)}", BEHIND, "lifting", *weigh(items))


def _too_heavy(assembly: Assembly, over: list[Lift], id_: str, title: str) -> Finding:
    verdict: Verdict = "fails" if any(map(fails_alone, over)) else "tight"
    say = assembly.say
    told = [
        f"{lift.name} ({_least(lift)}{say(lift.mass, 'mass')} against {say(lift.limit, 'mass')})"
        for lift in over[:MOST_NAMED]
    ]
    more = len(over) - MOST_NAMED
    listed = ", ".join(told[:-1]) + f" and {told[-1]}" if len(told) > 1 else told[0]
    rest = f", and {more} more in the table" if more > 0 else ""
    begin = "Too heavy for one person" if verdict == "fails" else "More than is recommended for one person"
    sentence = f"{begin} by the lifting equation: {listed}{rest}."
    remedy = " ".join(dict.fromkeys(_cure(assembly, lift) for lift in over[:MOST_NAMED]))
    parts = tuple(dict.fromkeys(id_ for lift in over[:MOST_NAMED] for id_ in _taken_out(lift)))
    return Finding(id_, verdict, title, sentence, BEHIND, "lifting", remedy, parts)


def _least(lift: Lift) -> str:
    return "" if lift.complete else "at least "


def _cure(assembly: Assembly, lift: Lift) -> str:
    """Say how one lift becomes bearable: less in the bag, or a second person."""
    say = assembly.say
    out = _taken_out(lift)
    if lift.load is not None and out:
        names = listed(f"the {assembly.catalogue.parts[id_].name}" for id_ in out)
        left = lift.mass - sum_items(item for item in lift.load.items if item.part.id in out).total
        return f"Take out {names} first: the {lift.load.part.name} then weighs {say(left, 'mass')}."
    half = lift.mass / 2
    thing = f"the {lift.load.name}" if lift.load is not None else lift.name
    still = ", still more than recommended" if half > lift.limit else ""
    if _emptied(lift):
        piecemeal = f"Empty {thing} first and carry what it holds piece by piece"
        return f"{piecemeal}, or two people take it: half is {say(half, 'mass')}{still}."
    return f"Two people take {thing}: half is {say(half, 'mass')}{still}."


def _emptied(lift: Lift) -> bool:
    """Say whether a bag holds several pieces, each of which one person may lift as it is."""
    if lift.load is None or not lift.complete:
        return False
    held = [item for item in lift.load.items if item.role != "bag"]
    masses = [item.part.mass.value for item in held if item.part.mass is not None]
    return sum(item.count for item in held) > 1 and all(mass <= lift.limit for mass in masses)


def _taken_out(lift: Lift) -> tuple[str, ...]:
    """Return up to two parts without which a bag is within its limit, each of which one person may carry; else none."""
    if lift.load is None:
        return ()
    held = sorted(
        (
            (item.part.mass.value * item.count, item.part.id)
            for item in lift.load.items
            if item.role != "bag" and item.part.mass is not None
        ),
        reverse=True,
    )
    if len(held) < 2:
        return ()
    for number in (1, 2):
        out = held[:number]
        if lift.mass - sum(mass for mass, _ in out) <= lift.limit and all(mass <= lift.limit for mass, _ in out):
            return tuple(id_ for _, id_ in out) if number < len(held) else ()
    return ()


def _untold(gaps: tuple[Gap, ...]) -> Finding:
    missing = list(dict.fromkeys(gap.missing for gap in gaps))
    names = list(dict.fromkeys(gap.name for gap in gaps))
    shown = ", ".join(names[:MOST_NAMED]) + (f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else "")
    verb = "is" if len(missing) == 1 else "are"
    sentence = f"It cannot be judged how hard it is to lift {shown}: {listed(missing)} {verb} not given."
    cure = "; ".join(HOW_TO_TELL[one] for one in missing)
    return Finding("lifts-untold", "unsaid", "Lifts that nobody can judge", sentence, (), "lifting",
                   f"{cure[:1].upper()}{cure[1:]}.")  # fmt: skip


def fails_alone(lift: Lift) -> bool:
    """Say whether a lift is too much for one person."""
    return lift.index > (TOO_MUCH if lift.load is not None else TOO_MUCH_ABOVE)


def who_lifts(lift: Lift) -> str:
    """Say who should lift it."""
    return "one person" if lift.index <= 1 else "two people"
