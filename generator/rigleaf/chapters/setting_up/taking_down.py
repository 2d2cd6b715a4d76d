"""Which steps taking a rig down takes: the way it went up, backwards."""

from collections.abc import Mapping
from dataclasses import replace

from rigleaf.catalogue.models.mounting import Counterweight
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.setting_up import standing
from rigleaf.chapters.setting_up.minutes import MINUTE, Lasting, lasting, usual
from rigleaf.chapters.setting_up.steps import Sort, Step, carried_words, sort_of
from rigleaf.chapters.setting_up.words import words

TAKING_DOWN, LEAST_DOWN = 0.5, 2 * MINUTE
"""Part of the time of putting on that taking off takes, and the time in s that it takes at least; common practice, no
source."""


def teardown(assembly: Assembly, up: tuple[Step, ...]) -> tuple[Step, ...]:
    """Return the steps of taking a rig down again, in order: the way it went up, backwards.

    Args:
        assembly: the rig.
        up: the steps of setting it up.
    """
    sort = sort_of(assembly)
    by_id = {step.id: step for step in up}
    found: list[Step] = []

    def add(id_: str, called: str, lasts: Lasting, told: tuple[str, str] | None = None) -> None:
        name, doing = told or words(id_, called, down=True)
        needs = (found[-1].id,) if found else ()
        found.append(Step(id_, name, doing, lasts, needs))

    if "power" in by_id:
        add("park", sort.pick((sort.lens, "lens"), (sort.cooled, "cooled")), usual(assembly, "park"))
    if "tube" in by_id:
        add("caps", "day" if sort.day else "", usual(assembly, "caps"))
    # A lens goes into the bag on its camera.
    for id_ in ("cables", *(() if sort.lens else ("train",)), "tube", "weights", "head", "legs"):
        if id_ in by_id:
            lasts = by_id[id_].lasts
            who = f"half of what putting it on takes, {lasts.who}"
            time = Lasting(max(lasts.seconds * TAKING_DOWN, LEAST_DOWN), "assumed", who)
            add(id_, _off(id_, sort, by_id, assembly), time, standing.taking(assembly) if id_ == "legs" else None)
            if id_ == "tube" and "tether" in by_id:
                last = found.pop()
                found.append(replace(last, doing=f"{last.doing} The line comes off when it is indoors."))
    add("pack", "day" if sort.day else "", usual(assembly, "pack"))
    if "unload" in by_id:
        add("unload", "", by_id["unload"].lasts, carried_words(sort, down=True))
    whole = lasting(assembly, "packing") if _states_packing(assembly) else None
    return _scaled(found, whole) if whole is not None else tuple(found)


def _off(id_: str, sort: Sort, up: Mapping[str, Step], assembly: Assembly) -> str:
    """Return the sort of words for taking one thing off."""
    if id_ == "tube":
        return "lens" if sort.lens else sort.lifted(id_, "weights" if "weights" in up else "")
    if id_ == "weights":
        pieces = sum(item.count for item in assembly.items if isinstance(item.part, Counterweight))
        return sort.lifted(id_) or ("several" if pieces > 1 else "")
    return sort.lifted(id_, "lens" if sort.lens else "")


def _states_packing(assembly: Assembly) -> bool:
    own = assembly.rig.steps
    return (own is not None and own.packing is not None) or assembly.catalogue.guide.steps.packing is not None


def _scaled(found: list[Step], whole: Lasting) -> tuple[Step, ...]:
    """Share a time that is given for all of it out among the steps."""
    usually = sum(step.lasts.seconds for step in found)
    share = whole.seconds / usually if usually else 0.0
    return tuple(
        Step(step.id, step.name, step.doing,
             Lasting(step.lasts.seconds * share, whole.basis, f"its share of what is {whole.who}"), step.needs)
        for step in found
    )  # fmt: skip
