"""Pictures for previews of links: one for each rig and one for the guide, drawn from what its study found."""

from collections import Counter
from collections.abc import Sequence, Sized
from statistics import median
from typing import Final

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.figures import WORST_FIRST
from rigleaf.chapters.formatting import show
from rigleaf.chapters.in_the_frame.framing import Framed, frame_target, wishes_of
from rigleaf.chapters.in_the_frame.study import LEAST_DRAWN
from rigleaf.chapters.in_the_frame.view import View, view_of
from rigleaf.chapters.in_the_frame.words import called
from rigleaf.chapters.study import RigStudy
from rigleaf.site.previews.drawing import draw
from rigleaf.site.previews.layout import PLATE_BOX, Content, lay_out
from rigleaf.site.previews.plate import SkyPlate, frame_plate, many_frames, moon_plate
from rigleaf.site.record import Picture
from rigleaf.sky.targets import MOON_ARCMIN
from rigleaf.words import tr

FOLDER: Final = "assets/previews"
GUIDE_PICTURE: Final = f"{FOLDER}/the-guide_.png"
"""No id has an underscore, so no rig's picture is called like this."""

FACTS: Final = (
    ("scale-and-field", "field", "Field of view"),
    ("scale-and-field", "image-scale", "Image scale"),
    ("what-it-weighs", "total", "Mass in all"),
)
"""Chapter and id of the figures on a rig's picture, and what they are called there."""

WIDEST: Final = 2.0
"""Frames that are so many times as wide as the median one are left out where all are drawn to one scale."""


def rig_picture(study: RigStudy) -> Picture:
    """Return where the picture of a rig stands, and what it shows in words."""
    facts = ", ".join(f"{label[0].lower()}{label[1:]} {value}" for label, value in _facts(study))
    words = tr("Card of the rig {name}", name=study.rig.name) + (f": {facts}." if facts else ".")
    return Picture(f"{FOLDER}/{study.rig.id}.png", words)


def guide_picture(catalogue: Catalogue) -> Picture:
    """Return where the picture of the whole guide stands, and what it shows in words."""
    return Picture(
        GUIDE_PICTURE,
        tr("{name}: a field guide to {count}.", name=catalogue.guide.name, count=_count(catalogue.rigs, "rig")),
    )


def rig_preview(catalogue: Catalogue, study: RigStudy) -> tuple[str, bytes]:
    """Return the path in the site and the content of the picture of a rig."""
    return rig_picture(study).path, draw(lay_out(rig_content(catalogue, study)))


def guide_preview(catalogue: Catalogue, studies: Sequence[RigStudy]) -> tuple[str, bytes]:
    """Return the path in the site and the content of the picture of the guide."""
    return GUIDE_PICTURE, draw(lay_out(guide_content(catalogue, studies)))


def rig_content(catalogue: Catalogue, study: RigStudy) -> Content:
    """Return what the picture of a rig says."""
    plate, caption = _plate(study)
    found = Counter(finding.verdict for _, finding in study.findings)
    tally = ", ".join(f"{found[verdict]} {verdict}" for verdict in WORST_FIRST if found[verdict])
    return Content(
        kicker=catalogue.guide.name,
        title=study.rig.name,
        facts=_facts(study),
        foot=(tr("Findings"), tally),
        caption=caption,
        plate=plate,
        sentence=study.rig.summary or "",
    )


def guide_content(catalogue: Catalogue, studies: Sequence[RigStudy]) -> Content:
    """Return what the picture of the guide says: its frames, about the Moon and to one scale."""
    sides = [(view.width, view.height) for study in studies if (view := view_of(study.assembly))]
    usual = median(width for width, _ in sides) if sides else 0.0
    drawn = [one for one in sides if one[0] <= WIDEST * usual]
    counts = (
        (tr("Rigs"), catalogue.rigs),
        (tr("Parts on the shelf"), catalogue.parts),
        (tr("Places"), catalogue.places),
    )
    return Content(
        kicker=tr("A field guide to portable rigs"),
        title=catalogue.guide.name,
        facts=tuple((label, str(len(found))) for label, found in counts if found),
        foot=("", tr("Every figure says where it came from.")),
        caption=tr("{count} and the Moon, to scale", count=_count(drawn, "frame")),
        plate=many_frames(drawn, MOON_ARCMIN / 60, PLATE_BOX) if drawn else None,
        sentence=catalogue.guide.summary or "",
    )


def _plate(study: RigStudy) -> tuple[SkyPlate | None, str]:
    """Return what the rig sees of the first of its targets that can be drawn, and what that is."""
    view = view_of(study.assembly)
    if view is None:
        return None, ""
    framed = _first_framed(study, view)
    if framed is None:
        return moon_plate(view, MOON_ARCMIN / 60, PLATE_BOX), tr("The frame and the Moon, to one scale")
    name = called(framed.target)
    return frame_plate(view, framed, PLATE_BOX), f"{name[:1].upper()}{name[1:]}"


def _first_framed(study: RigStudy, view: View) -> Framed | None:
    """Return the first target that the rig's page draws; never the Sun without a filter in front."""
    assembly = study.assembly
    wishes = wishes_of(assembly.catalogue.guide)
    for target in assembly.all_targets:
        if target.sort == "Sun" and not assembly.filtered_for_the_sun:
            continue
        framed = frame_target(view, target, wishes)
        if framed is not None and (target.place is not None or framed.fill >= LEAST_DRAWN):
            return framed
    return None


def _facts(study: RigStudy) -> tuple[tuple[str, str], ...]:
    """Return label and value of the figures that are known, in the guide's own units."""
    known = {(chapter.id, figure.id): figure for chapter, figure in study.on_card}
    units = study.assembly.catalogue.guide.units
    return tuple(
        (label, value if isinstance(value, str) else show(value, found.dimension, units).first)
        for chapter, id_, label in FACTS
        if (found := known.get((chapter, id_))) and (value := found.value) is not None
    )


def _count(things: Sized, word: str) -> str:
    return tr("{n} " + (word if len(things) == 1 else f"{word}s"), n=len(things))
