"""Judgement of framing: each target of the rig in its frame."""

from rigleaf.catalogue.models.optics import FrontFilter
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Figure, Finding, Study, Table
from rigleaf.chapters.in_the_frame import words
from rigleaf.chapters.in_the_frame.framing import Framed, Wishes, frame_target, panels_of, wishes_of
from rigleaf.chapters.in_the_frame.framing_plate import framing_plate
from rigleaf.chapters.in_the_frame.judgement import judge
from rigleaf.chapters.in_the_frame.portrait import portrait
from rigleaf.chapters.in_the_frame.view import View, view_of
from rigleaf.chapters.scale_and_field.inputs import gather, unsaid
from rigleaf.sky.targets import SkyTarget

CHAPTER = "in-the-frame"
MOST_PLATES = 3
"""Plates on a page: the first targets that a rig names are those it is put together for."""

LEAST_DRAWN = 0.05
"""Part of a frame's side below which a target is a dot, for which no plate is drawn where it wanders."""

NO_SIZE = (
    "State 'major_axis' of the target in targets.yml, or its 'object': a photograph with a known image scale shows how "
    "long it is."
)


def study(assembly: Assembly) -> Study:
    """Study how each target of a rig lies in its frame."""
    if not assembly.all_targets:
        sentence = "What this rig frames cannot be judged: it names no targets."
        cure = "Name some of the guide's targets under 'targets' of the rig."
        return Study(CHAPTER, findings=(Finding("targets", "unsaid", "Targets", sentence, (), "frame-share", cure),))
    view = view_of(assembly)
    if view is None:
        missing = gather(assembly).missing
        return Study(CHAPTER, findings=(unsaid("inputs", "In the frame", "What it frames", missing, "frame-share"),))
    wishes = wishes_of(assembly.catalogue.guide)
    framings = [(target, frame_target(view, target, wishes)) for target in assembly.all_targets]
    figures = _details(view, assembly)
    findings: list[Finding] = []
    for target, framed in framings:
        if framed is None:
            findings.append(_no_size(target))
            continue
        figures += _figures(framed)
        if target.sort == "Sun" and not assembly.filtered_for_the_sun:
            findings.append(_unfiltered(assembly, target))
            continue
        findings.append(judge(assembly, framed, wishes))
    known = [framed for _, framed in framings if framed is not None]
    tables = [_table(framings, {figure.id: figure for figure in figures}, guided=view.beside is not None)]
    tables += _panel_tables(known, view, wishes)
    worth = [framed for framed in known if framed.target.place is not None or framed.fill >= LEAST_DRAWN]
    plates = tuple(framing_plate(assembly.rig.id, view, framed, assembly.say) for framed in worth[:MOST_PLATES])
    head = portrait(assembly.rig.id, view, worth[0], assembly.say) if worth else None
    return Study(CHAPTER, tuple(figures), tuple(findings), plates, tuple(tables), head)


def _unfiltered(assembly: Assembly, target: SkyTarget) -> Finding:
    """Return the finding for a rig that names the Sun and has no filter in front: nothing else matters then."""
    warning = f"Never point it at the {target.name}: it blinds and burns."
    sentence = f"No full-aperture solar filter stands first in this train. {warning}"
    fitting = [
        part for part in assembly.catalogue.of_kind(FrontFilter)
        if assembly.optic is not None and assembly.optic.sun_filter == part.id
    ]  # fmt: skip
    if fitting:
        cure = f"Put the club's {fitting[0].name}, made for this optic, first in the train."
    else:
        cure = f"Take the {target.name} off the targets; no filter on the shelf is said to fit this optic."
    return Finding(
        target.id, "fails", target.name, sentence, (), "frame-share", cure, tuple(part.id for part in fitting[:1])
    )


def _no_size(target: SkyTarget) -> Finding:
    sentence = f"How {words.called(target)} fits cannot be told: its size is not given."
    return Finding(target.id, "unsaid", target.name, sentence, (), "frame-share", NO_SIZE)


def _details(view: View, assembly: Assembly) -> list[Figure]:
    """Return the finest detail, in long exposures and, where a target asks for it, in the best of many short ones."""
    found = [Figure("detail", "Finest detail in long exposures", view.detail, "small_angle", "resolved-elements")]
    if any(view.detail_of(target.sort) != view.detail for target in assembly.all_targets):
        label = "Finest detail in the best of many short exposures"
        found.append(Figure("quick-detail", label, view.quick_detail, "small_angle", "resolved-elements"))
    return found


def _figures(framed: Framed) -> list[Figure]:
    """Return the figures of one target; a table shows them."""
    target = framed.target
    rows: list[tuple[str, str, float | str | None, str, str]] = [
        ("share", "inside the frame", framed.share, "fraction", "frame-share"),
        ("room", "room around it, of the short side", framed.room if framed.whole else None, "fraction", "frame-room"),
        ("glow", "mean surface brightness", target.surface_brightness, "sky_brightness", "mean-surface-brightness"),
        ("pixels", "longest axis", framed.pixels, "pixels", "size-in-pixels"),
        ("elements", "longest axis in resolved elements", framed.elements, "number", "resolved-elements"),
        ("panels", "panels of a mosaic with room around it", float(framed.grid.cells), "number", "mosaic-panels"),
    ]
    if target.place is not None:
        rows.append(("angle", "best position angle", framed.angle, "position_angle", "best-angle"))
    if framed.stars is not None:
        rows.append(("guide-stars", "stars on the guide sensor", float(framed.stars), "number", "stars-at-angle"))
    return [
        Figure(f"{target.id}-{id_}", f"{target.name}: {label}", value, dimension, method, shown=False)
        for id_, label, value, dimension, method in rows
        if value is not None
    ]


def _table(framings: list[tuple[SkyTarget, Framed | None]], figures: dict[str, Figure], *, guided: bool) -> Table:
    heads = ["Target", "Size", "In the frame", "Best angle", "Frames", "Longest axis", "Resolved elements"]
    rows = []
    for target, framed in framings:
        extent = words.size(target) or "unsaid"
        row = [Cell(target.name), Cell(extent, numeric=True)]
        if framed is None:
            row += [Cell("unsaid", numeric=True)] * (5 + guided)
        else:
            share, angle, pixels, elements, stars = (
                _cell(figures.get(f"{target.id}-{name}"))
                for name in ("share", "angle", "pixels", "elements", "guide-stars")
            )
            if framed.free and framed.stars is None:
                angle = Cell("any", numeric=True)
            row += [share, angle, Cell(words.grid(framed), numeric=True), pixels, elements]
            row += [stars] if guided else []
        rows.append(tuple(row))
    heads += ["Guide stars to G\u00a0=\u00a010"] if guided else []
    return Table("targets", "The targets in the frame", tuple(heads), tuple(rows))


def _cell(figure: Figure | None) -> Cell:
    return Cell("–", numeric=True) if figure is None else Cell(figure=figure, numeric=True)


def _panel_tables(known: list[Framed], view: View, wishes: Wishes) -> list[Table]:
    """Return where to point for each panel, for every target that asks for a mosaic."""
    tables = []
    for framed in known:
        found = panels_of(framed, view, wishes)
        if found:
            rows = tuple(
                (
                    Cell(f"{panel.row} – {panel.column}"),
                    Cell(words.right_ascension(panel.ra), numeric=True),
                    Cell(words.declination(panel.dec), numeric=True),
                    Cell(f"{panel.position_angle:.1f}°", numeric=True),
                )
                for panel in found
            )
            caption = f"Panels for {framed.target.name}"
            heads = ("Row – column", "Right ascension", "Declination", "Position angle")
            tables.append(Table(f"panels-{framed.target.id}", caption, heads, rows))
    return tables
