"""Words by which pages of targets say how large and bright a target is, and why a rig suits it."""

import re
from collections.abc import Callable

from rigleaf.chapters.figures import Verdict
from rigleaf.chapters.in_the_frame import words
from rigleaf.chapters.in_the_frame.framing import (
    ALMOST,
    FEW_ELEMENTS,
    FEWEST_ELEMENTS,
    MOST_PANELS,
    Framed,
    Wishes,
)
from rigleaf.sky.targets import SkyTarget
from rigleaf.words import in_digits, tr

SIZES: tuple[tuple[str, float], ...] = (("huge", 180.0), ("large", 45.0), ("medium", 15.0), ("small", 4.0))
"""Least longest axis, arcmin, of each class of size; what is shorter is tiny."""

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
_MONTH = "|".join(MONTHS)
_SEASON = re.compile(rf"({_MONTH})(?:\s*(?:to|–|-)\s*({_MONTH}))?")


def season_words(season: str) -> str:
    """Return the words of a season in the language that is spoken."""
    if season == "the whole year" or not season:
        return tr(season)
    words = re.sub(_MONTH, lambda month: tr(month.group()), season)
    return re.sub(r"(?<= )(?:to|and)(?= )", lambda joint: tr(joint.group()), words)


def months_in(season: str) -> str:
    """Return every month that the words of a season name: "November to January" has December too."""
    if season == "the whole year":
        return " ".join(MONTHS)
    found: list[str] = []
    for first, last in _SEASON.findall(season):
        begin = MONTHS.index(first)
        number = (MONTHS.index(last) - begin) % 12 if last else 0
        found += [MONTHS[(begin + step) % 12] for step in range(number + 1)]
    return " ".join(dict.fromkeys(found))


def size_class(target: SkyTarget) -> str:
    """Return the class of size by which the index can be filtered; "" where the size is not known."""
    if target.major_arcmin is None:
        return ""
    return next((name for name, least in SIZES if target.major_arcmin >= least), "tiny")


def magnitude(target: SkyTarget) -> str:
    """Return the V magnitude; "" where it is not known."""
    return "" if target.v_mag is None else in_digits(f"{target.v_mag:.1f}".replace("-", "−"))


def verdict_of(framed: Framed, wishes: Wishes) -> Verdict:
    """Return the verdict that a rig's page gives a target."""
    if framed.elements < FEWEST_ELEMENTS or (not framed.whole and framed.share < ALMOST):
        return "fails"
    return "sound" if framed.whole and framed.roomy(wishes) and framed.elements >= FEW_ELEMENTS else "tight"


def reason(framed: Framed, wishes: Wishes, say: Callable[[float, str], str]) -> str:
    """Say in a few words why a rig stands where it does among those that frame a target."""
    fill = say(framed.fill, "fraction")
    if not framed.whole:
        share = say(framed.share, "fraction")
        if framed.grid.cells > MOST_PANELS:
            return tr("{share} of it fits; a mosaic would need {cells} panels", share=share, cells=framed.grid.cells)
        return tr("{share} of it fits; a mosaic of {grid} panels holds it", share=share, grid=words.grid(framed))
    if framed.elements < FEW_ELEMENTS:
        return tr("whole, but only {say} resolved elements long", say=say(framed.elements, "number"))
    if not framed.roomy(wishes):
        return tr("whole, with {say} of the short side to spare", say=say(framed.room, "fraction"))
    return tr("whole, and fills {fill} of a side", fill=fill)
