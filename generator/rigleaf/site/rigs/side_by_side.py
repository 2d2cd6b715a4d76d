"""What the page of rigs side by side needs of each rig: one small file a rig, and one list of all rigs and targets.

The files are scripts that call one function with plain data, since a page opened from a disk may load scripts and
nothing else. A value is written as a reader sees it, in both unit systems, beside the number by which rigs are
compared.
"""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from operator import itemgetter

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.figures import Figure
from rigleaf.chapters.formatting import Shown, show
from rigleaf.chapters.in_the_frame.fleet import views_of
from rigleaf.chapters.in_the_frame.physics import outline_on_plane
from rigleaf.chapters.in_the_frame.view import View
from rigleaf.chapters.register import chapters
from rigleaf.chapters.study import RigStudy
from rigleaf.sentences import named, said
from rigleaf.site.lent.availability import Availability
from rigleaf.site.rigs.page import EXPERIENCE
from rigleaf.words import tr

FOLDER = "assets/beside"
LIST_PATH = "assets/beside.js"
"""Not in the folder, where a rig may be called anything."""

SUN = "Never aim an optic at the Sun without a certified full-aperture filter in front of it, whatever its frame holds."

CALL = "rigleafBeside"
"""The function of the page's script that every file calls."""

NEAR = 2
"""Rigs to either side in focal length that are offered to be set beside a rig."""

LIGHTEST: frozenset[tuple[str, str]] = frozenset({
    ("what-it-weighs", "total"), ("what-it-weighs", "on-mount"), ("what-it-weighs", "on-tripod"),
    ("power-for-the-night", "battery-mass"), ("hands-and-back", "heaviest-lift"), ("hands-and-back", "on-foot"),
})  # fmt: skip
"""Masses that somebody carries or mounts: of these the least is plainly worth pointing out. Of no other figure is the
better end declared: a longer focal length or more pieces are neither better nor worse."""

_NUMBER = re.compile("[\N{MINUS SIGN}-]?\\d[\\d\N{NARROW NO-BREAK SPACE}]*(?:[.,](\\d+))?")
_BOUND = re.compile(r"at (?:least|most)\b")
_UNSAFE = {"<": "\\u003c", "\u2028": "\\u2028", "\u2029": "\\u2029"}

Row = list[str | float | bool | None]
"""Label, value as shown, number, band, value in the other units, uncertainty as shown, note, whether least is lightest;
what is empty at the end is left off."""


def rig_file(id_: str) -> str:
    """Return where in the site the figures of a rig stand."""
    return f"{FOLDER}/{id_}.js"


def side_by_side_files(
    catalogue: Catalogue, studies: Sequence[RigStudy], had: Mapping[str, Availability] | None = None
) -> Iterator[tuple[str, bytes]]:
    """Yield the path in the site and the content of the list and of every rig's file.

    Args:
        catalogue: what was read.
        studies: the studies of its rigs.
        had: by a rig's id, what can be had of it, where somebody keeps account of that.
    """
    views = {rig.id: view for rig, view in views_of(catalogue)}
    near = neighbours(studies)
    yield LIST_PATH, script(the_list(catalogue, studies))
    for study in studies:
        id_ = study.rig.id
        known = (had or {}).get(id_)
        yield rig_file(id_), script(rig_data(catalogue, study, views.get(id_), near[id_], known))


def script(data: object) -> bytes:
    """Return data as a script that hands them over; no text in them can end the script or begin another."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign, escaped in _UNSAFE.items():
        text = text.replace(sign, escaped)
    return f"{CALL}({text});\n".encode()


def the_list(catalogue: Catalogue, studies: Sequence[RigStudy]) -> dict[str, object]:
    """Return the rigs to choose from, the targets with their half axes in deg of tangent plane, and the chapters."""
    targets = []
    for target in map(resolve, catalogue.targets.values()):
        if target.outline is not None:
            ellipse = outline_on_plane(*target.outline)
            size = " × ".join(show(axis / 60, "angle").first for axis in target.outline[:2])
            caution = tr(SUN) if target.sort == "Sun" else ""
            targets.append([target.id, target.name, _short(ellipse.major), _short(ellipse.minor), size, caution])
    return {
        "rigs": [[study.rig.id, study.rig.name] for study in studies],
        "targets": targets,
        "chapters": [[chapter.id, tr(chapter.title)] for chapter in chapters()],
    }


def rig_data(
    catalogue: Catalogue, study: RigStudy, view: View | None, near: Sequence[str] = (), had: Availability | None = None
) -> dict[str, object]:
    """Return all that the page shows of one rig."""
    rig, units = study.rig, catalogue.guide.units
    on_card = [figure_row(chapter.id, figure, units) for chapter, figure in study.on_card]
    rows = {
        chapter.id: [figure_row(chapter.id, found.index[id_], units) for id_ in chapter.compared if id_ in found.index]
        for chapter, found in study.studies
    }
    findings = {
        chapter.id: [[one.verdict, one.id, named(one.title)] for one in found.worst_first]
        for chapter, found in study.studies
    }
    place = catalogue.place_of(rig)
    words = {
        tr("Made for"): ", ".join(map(tr, rig.purpose)),
        tr("Travels by"): ", ".join(map(tr, rig.travels)),
        tr("Asks for"): tr(EXPERIENCE[rig.experience]) if rig.experience else "",
        tr("Home place"): place.name if place else "",
    }
    field = [_field(study, side, units) for side in ("field-width", "field-height")]
    return {
        "id": rig.id,
        "name": rig.name,
        "words": [[label, text] for label, text in words.items()],
        "flight": _flight(study),
        "key": on_card,
        "rows": {id_: found for id_, found in rows.items() if found},
        "findings": {id_: found for id_, found in findings.items() if found},
        "frame": [_short(view.width), _short(view.height), *field] if view is not None else None,
        "targets": list(rig.targets),
        "near": list(near),
        "told": had.told if had is not None else (),
    }


def _flight(study: RigStudy) -> str:
    """Return the strictest answer to any piece, "unsaid" where it was not to be told, "" where no flight is meant."""
    airport = next((found for chapter, found in study.studies if chapter.id == "at-the-airport"), None)
    if airport is None:
        return "unsaid"
    answer = airport.index.get("answer")
    return str(answer.value) if answer is not None else "" if airport.not_asked else "unsaid"


def _field(study: RigStudy, side: str, units: str) -> str:
    value = study.value("scale-and-field", side)
    return "" if value is None else show(value, "angle", units).first


def figure_row(chapter: str, figure: Figure, units: str) -> Row:
    """Return a figure as the page takes it; a shown value that is empty is unsaid."""
    lightest = (chapter, figure.id) in LIGHTEST
    if isinstance(figure.value, float):
        shown = show(figure.value, figure.dimension, units)
        error = show(figure.uncertainty, figure.dimension, units).first if figure.uncertainty else ""
        number, width = _short(figure.value), float(f"{band(figure.value, shown, figure.uncertainty):.3g}")
        row: Row = [named(figure.label), shown.first, number, width, shown.second, error, _note(figure), lightest]
    else:
        row = [named(figure.label), named(figure.value or ""), None, None, "", "", _note(figure), False]
    while row[-1] in ("", None) or row[-1] is False:
        row.pop()
    return row


def _note(figure: Figure) -> str:
    """Return of a note what changes the figure's meaning: that it is a bound, or for which night it holds."""
    if figure.id == "night-energy":
        return said(figure.note) or figure.note
    bound = figure.note.partition(";")[0] if _BOUND.match(figure.note) else ""
    return said(bound) or bound


def band(value: float, shown: Shown, uncertainty: float | None = None) -> float:
    """Return how far to either side of a value another one is no different from it, in the value's unit.

    That is a quarter of the last digit's step in the value as shown, so that two of them differ where half a step lies
    between them, or the value's own uncertainty where that is more. Two values are as good as the same where the
    distance between them is not more than both bands together: that holds both ways, and of every value with itself.
    """
    found = _NUMBER.search(shown.first)
    step = 0.0
    if found is not None:
        digits = re.sub(r"[^\d.]", "", found.group().replace(",", "."))
        unit = 10.0 ** -len(found.group(1) or "")
        # The unit shown may be another than the canonical one: the number as written tells the factor.
        step = abs(value) * unit / float(digits) if float(digits) else 2 * abs(value)
    return max(step / 4, uncertainty or 0.0)


def _short(number: float) -> float:
    """Return a number with six significant digits, which is finer than anything is shown."""
    short = float(f"{number:.6g}")
    return int(short) if short.is_integer() else short


def neighbours(studies: Sequence[RigStudy]) -> dict[str, tuple[str, ...]]:
    """Return for each rig those of the same purpose that come next to it in focal length, none of them for training."""
    placed = [
        (study.rig.purpose[0] if study.rig.purpose else "", study.value("scale-and-field", "focal-length") or 0.0,
         study.rig.id, study.rig.for_training)
        for study in studies
    ]  # fmt: skip
    near: dict[str, tuple[str, ...]] = {}
    for _, group in groupby(sorted(placed), key=itemgetter(0)):
        row = [(id_, for_training) for _, _, id_, for_training in group]
        for place, (id_, _) in enumerate(row):
            beside = (*row[max(0, place - NEAR) : place], *row[place + 1 : place + 1 + NEAR])
            near[id_] = tuple(other for other, for_training in beside if not for_training)
    return near
