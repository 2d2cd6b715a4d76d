"""May a rig run unattended? One finding from many conditions; it never says that a rig may be left."""

from collections.abc import Sequence

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Finding, Table, Verdict
from rigleaf.chapters.setting_up.condition import Condition
from rigleaf.chapters.setting_up.steps import sort_of

ALONE = "unattended"
TITLE = "Left alone"
SELDOM, ROUND = 3600.0, 300.0
"""The longest time in s for which a rig that asks for looks is left; the time to which a shorter one is rounded."""
SAID = 3
"""Reasons that the sentence names; the table has them all."""


def judge(assembly: Assembly, found: Sequence[Condition]) -> Finding:
    """Judge whether a rig may run by itself. The best that is said is "within call"."""
    if sort_of(assembly).day:
        sentence = (
            "Never leave this rig alone: where the wind or a hand lifts the filter, the Sun burns an eye or the camera "
            "within a second."
        )
        cure = "Somebody stays beside it all the time; who goes away turns the tube from the Sun and caps it first."
        return Finding(ALONE, "fails", TITLE, sentence, (), ALONE, cure)
    own = [one for one in found if not one.always]
    look, gaps = ([one for one in own if one.state == state] for state in ("look in", "unsaid"))
    if look:
        start = f"Somebody must look in at least every {interval(assembly, look)}: "
        return _finding("tight", start, [*look, *gaps])
    if gaps:
        return _finding("unsaid", "Whether it may run by itself cannot be told: ", gaps)
    sentence = (
        "It may run by itself within call: what was looked at holds, but rain, gusts and the morning Sun want somebody "
        "who is there within minutes."
    )
    return Finding(ALONE, "sound", TITLE, sentence, (), ALONE)


def interval(assembly: Assembly, found: Sequence[Condition]) -> str:
    """Return how often somebody must look in, in words after "every": the shortest that any condition asks for."""
    shortest = min((one.every for one in found if one.every is not None), default=SELDOM)
    if shortest >= SELDOM:
        return "hour"
    # Nobody looks in to the minute; rounded down, and hardly more often than one can walk there.
    return assembly.say(max(shortest // ROUND * ROUND, ROUND), "time")


def _finding(verdict: Verdict, start: str, found: Sequence[Condition]) -> Finding:
    said = list(dict.fromkeys(one.brief for one in found))
    more = f", and {len(said) - SAID} more below" if len(said) > SAID else ""
    sentence = f"{start}{'; '.join(said[:SAID])}{more}."
    cures = list(dict.fromkeys(one.cure for one in found if one.cure))[:SAID]
    parts = tuple(dict.fromkeys(id_ for one in found[:SAID] for id_ in one.parts))
    return Finding(ALONE, verdict, TITLE, sentence, (), ALONE, " ".join(cures), parts)


def table(found: Sequence[Condition]) -> Table:
    """Return the conditions as a table."""
    rows = tuple((Cell(one.name), Cell(one.state), Cell(one.why)) for one in found)
    return Table("alone", "What would have to hold if it ran by itself", ("Condition", "Says", "Found"), rows)
