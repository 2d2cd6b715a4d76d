"""Study of the footing: gathers what stands on the tripod, judges it in still air and in wind, and draws the plan."""

from collections.abc import Iterable

from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding, Study
from rigleaf.chapters.footing import gusts, still
from rigleaf.chapters.footing.above import Gap, above
from rigleaf.chapters.footing.plan_plate import plan_plate
from rigleaf.chapters.footing.stance import stance, tripod_gaps, tripod_of
from rigleaf.chapters.footing.wind import sail

CHAPTER = "footing"
MOST_NAMED = 4


def study(assembly: Assembly) -> Study:
    """Study how one rig stands."""
    load, gaps = above(assembly)
    tripod = tripod_of(assembly)
    gaps += tuple(tripod_gaps(tripod))
    stands = stance(load, tripod) if load is not None and tripod is not None else None
    if load is None or tripod is None or stands is None:
        what = "Whether the loaded tripod stands"
        return Study(CHAPTER, (), (_unsaid("still-air", "In still air", what, gaps, still.MARGIN),))
    figures = still.still_figures(load, stands)
    findings = [still.judge_still(assembly, load, stands)]
    sails, lacking = sail(assembly, load.mount)
    if sails is None:
        what = "In which wind the loaded tripod tips"
        findings.append(_unsaid("wind", "In wind", what, lacking, gusts.TIPPING))
    else:
        more, finding = gusts.judge_wind(assembly, load, stands, sails)
        figures += more
        findings.append(finding)
    bare = stance(load, tripod, loaded=False)
    if bare is not None:
        more, others = still.judge_setting_up(assembly, load, bare)
        figures += more
        findings += others
    return Study(CHAPTER, tuple(figures), tuple(findings), (plan_plate(assembly, stands),))


def _unsaid(id_: str, title: str, what: str, gaps: Iterable[Gap], method: str) -> Finding:
    """Return the finding that says what is missing and how to measure it."""
    found = tuple(gaps)
    names = [gap.what for gap in found[:MOST_NAMED]]
    if len(found) > MOST_NAMED:
        names.append(f"{len(found) - MOST_NAMED} more")
    verb = "is" if len(found) == 1 else "are"
    sentence = f"{what} cannot be told: {listed(names)} {verb} not given."
    ways: dict[str, list[str]] = {}
    for gap in found[:MOST_NAMED]:
        ways.setdefault(gap.how, []).append(gap.what)
    remedy = "; ".join(f"{listed(whats)}: {how}" for how, whats in ways.items())
    parts = tuple(dict.fromkeys(gap.part for gap in found[:MOST_NAMED] if gap.part))
    return Finding(id_, "unsaid", title, sentence, (), method, f"{remedy[:1].upper()}{remedy[1:]}.", parts)
