"""Judgement of one target in one frame: whole with room, whole without, cut, or too small to show its form."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding, Verdict
from rigleaf.chapters.in_the_frame import words
from rigleaf.chapters.in_the_frame.fleet import better_rig
from rigleaf.chapters.in_the_frame.framing import (
    ALMOST,
    FEW_ELEMENTS,
    FEWEST_ELEMENTS,
    MOST_PANELS,
    Framed,
    Wishes,
)


def judge(assembly: Assembly, framed: Framed, wishes: Wishes) -> Finding:
    """Judge a target whose size is known."""
    if not framed.whole:
        return _cut(assembly, framed)
    if framed.elements < FEW_ELEMENTS:
        return _too_small(assembly, framed)
    if not framed.roomy(wishes):
        return _close(assembly, framed, wishes)
    say = assembly.say
    sentence = (
        f"{_begin(framed)} lies whole in the frame{_turned(framed)} and fills {say(framed.fill, 'fraction')} of "
        f"the side that it fills most, {say(framed.pixels, 'pixels')} along its longest axis{_stars(framed)}."
    )
    return _finding(framed, "sound", sentence, "frame-room")


def _finding(framed: Framed, verdict: Verdict, sentence: str, method: str, remedy: str = "") -> Finding:
    target = framed.target
    wanted = ("share", "pixels", "elements", "panels")
    behind = [f"{target.id}-{name}" for name in wanted]
    behind += [f"{target.id}-room"] if framed.whole else []
    behind += [f"{target.id}-angle"] if target.place is not None else []
    behind += [f"{target.id}-guide-stars"] if framed.stars is not None else []
    return Finding(target.id, verdict, target.name, sentence, tuple(behind), method, remedy)


def _begin(framed: Framed) -> str:
    name = words.called(framed.target)
    return name[:1].upper() + name[1:]


def _turned(framed: Framed) -> str:
    """Say how to turn the frame, where it matters and there is a north to count from."""
    if framed.target.place is None:
        return " at any angle" if framed.free else ""
    if framed.free and framed.stars is None:
        return " at any position angle"
    return f" at a position angle of {framed.angle:.0f}°"


def _stars(framed: Framed) -> str:
    found = words.guide_stars(framed)
    return f"; {found}" if found else ""


def _close(assembly: Assembly, framed: Framed, wishes: Wishes) -> Finding:
    say = assembly.say
    left = "no room" if framed.room < 0.005 else f"{say(framed.room, 'fraction')} of the short side"
    sentence = (
        f"{_begin(framed)} just fits{_turned(framed)}, with {left} to spare where "
        f"{say(wishes.margin, 'fraction')} is wanted{_stars(framed)}."
    )
    return _finding(framed, "tight", sentence, "frame-room", _larger_field(assembly, framed))


def _cut(assembly: Assembly, framed: Framed) -> Finding:
    turned = _turned(framed) or " at the best angle"
    verdict: Verdict = "tight" if framed.share >= ALMOST else "fails"
    fits = f"{assembly.say(framed.share, 'fraction')} of {words.called(framed.target)} fits into the frame{turned}"
    sentence = (
        f"Only {fits}{_stars(framed)}."
        if verdict == "fails"
        else f"No more than a thin edge is cut off: {fits}{_stars(framed)}."
    )
    return _finding(framed, verdict, sentence, "frame-share", _larger_field(assembly, framed))


def _too_small(assembly: Assembly, framed: Framed) -> Finding:
    say = assembly.say
    verdict: Verdict = "tight" if framed.elements >= FEWEST_ELEMENTS else "fails"
    shows = "little of its form shows" if verdict == "tight" else "it looks like a star"
    sentence = (
        f"{_begin(framed)} is {say(framed.pixels, 'pixels')} long in the frame, but only "
        f"{say(framed.elements, 'number')} resolved elements: {shows}."
    )
    best = better_rig(assembly, framed)
    if best is None:
        cure = "No rig of the club shows it much finer: wait for a steady night, and take the sharpest frames only."
    else:
        cure = f"The club's {best.rig.name} shows it {say(best.framed.elements, 'number')} resolved elements long."
    return _finding(framed, verdict, sentence, "resolved-elements", cure)


def _larger_field(assembly: Assembly, framed: Framed) -> str:
    """Say which mosaic, or which other rig of the club, holds it with room around it."""
    say, grid = assembly.say, framed.grid
    if grid.cells > MOST_PANELS:
        cure = f"A mosaic would need {grid.cells} panels, which is no plan for a season: frame a part of it."
    else:
        turned = f" at a position angle of {grid.angle:.0f}°" if framed.target.place is not None else ""
        cure = f"A mosaic of {words.grid(framed)} panels{turned} holds it with room around it."
    best = better_rig(assembly, framed)
    if best is not None:
        fill = say(best.framed.fill, "fraction")
        cure += f" In one frame, the club's {best.rig.name} holds it, and it fills {fill} of a side there."
    return cure
