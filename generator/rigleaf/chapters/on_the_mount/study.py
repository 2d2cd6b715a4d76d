"""Judgement of the mount: what it carries, whether it balances, and whether everything fits together."""

from rigleaf.catalogue.models.mounting import Tripod
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding, Study
from rigleaf.chapters.on_the_mount.balance_plate import balance_plate
from rigleaf.chapters.on_the_mount.balance_study import judge_balance
from rigleaf.chapters.on_the_mount.bodies import has_two_axes, mount_of, turned
from rigleaf.chapters.on_the_mount.counterweights import hung
from rigleaf.chapters.on_the_mount.fits import judge_fits
from rigleaf.chapters.on_the_mount.load_study import LOAD, judge_load, judge_tripod, judge_worm

CHAPTER = "on-the-mount"


def study(assembly: Assembly) -> Study:
    """Study what one rig's mount carries and how it stands."""
    mount = mount_of(assembly)
    if mount is None:
        sentence = "The rig names no mount, so nothing can be said of load and balance."
        missing = Finding("load", "unsaid", "Load on the mount", sentence, (), LOAD, "Name it under 'mount'.")
        return Study(CHAPTER, (), (missing,))
    tripod = next(assembly.parts(Tripod, "tripod"), None)
    side, counter = turned(assembly), hung(assembly, mount)
    load_figures, load_findings = judge_load(assembly, mount, side, counter)
    balance = judge_balance(assembly, mount, side, counter)
    tripod_figures, tripod_findings = judge_tripod(assembly, mount, tripod)
    findings = (
        *load_findings,
        *judge_worm(assembly, mount, side, counter),
        *balance.findings,
        *judge_fits(assembly, mount, tripod, side, counter),
        *tripod_findings,
    )
    plate = balance_plate(assembly, mount, side, balance.held) if has_two_axes(assembly, mount, counter.hangs) else None
    return Study(
        CHAPTER,
        (*load_figures, *balance.figures, *tripod_figures),
        findings,
        (plate,) if plate is not None else (),
    )
