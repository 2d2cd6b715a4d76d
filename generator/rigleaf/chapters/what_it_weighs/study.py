"""Judgement of the masses: sums by place, how they are known, and by how much maker and scale disagree."""

from dataclasses import replace

from rigleaf.catalogue.catalogue import ON_THE_MOUNT, ON_THE_TRIPOD, ROLES, Item, Role
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Figure, Finding, Study, Table
from rigleaf.chapters.what_it_weighs.mass_plate import mass_plate
from rigleaf.chapters.what_it_weighs.physics import MassSum
from rigleaf.chapters.what_it_weighs.sums import sum_items


def study(assembly: Assembly) -> Study:
    """Study the masses of one rig."""
    items = assembly.items
    total = sum_items(items)
    on_mount = sum_items(item for item in items if item.role in ON_THE_MOUNT)
    on_tripod = sum_items(item for item in items if item.role in ON_THE_TRIPOD)
    excess = _excess(items)
    figures = [
        _figure("on-mount", "On the mount", on_mount, "mass-on-mount"),
        _figure("on-tripod", "On the tripod", on_tripod, "mass-on-tripod"),
        _with_excess(assembly, _figure("total", "Mass in all", total, "mass-total"), excess),
        Figure("pieces", "Pieces in all", float(total.pieces), "number", "mass-total"),
    ]
    if total.measured_share is not None:
        figures.append(
            Figure(
                "weighed",
                "Part of the mass that the club has weighed",
                total.measured_share,
                "fraction",
                "mass-total",
            )
        )
    if excess is not None:
        label = "Heavier than the makers say, over all weighed parts"
        figures.append(Figure("heavier", label, excess, "mass", "mass-total"))
    by_role = {role: sum_items(item for item in items if item.role == role) for role in ROLES}
    drawings = (mass_plate(assembly, by_role, on_mount, on_tripod),) if total.total else ()
    return Study(
        "what-it-weighs",
        tuple(figures),
        (_known(assembly, items, total),),
        drawings,
        (_table(items, total),) if items else (),
    )


def _figure(id_: str, label: str, found: MassSum, method: str) -> Figure:
    """Return a sum as a figure; a sum with gaps says that it is a lower bound."""
    if not found.total:
        return Figure(id_, label, None, "mass", method, note="no mass is given" if found.pieces else "nothing here")
    gaps = "" if found.complete else f"at least; {_pieces(found.unsaid)} without a mass"
    return Figure(id_, label, found.total, "mass", method, uncertainty=found.uncertainty, note=gaps)


def _pieces(count: int) -> str:
    return "1 piece" if count == 1 else f"{count} pieces"


def _known(assembly: Assembly, items: tuple[Item, ...], total: MassSum) -> Finding:
    """Judge how well the total is known."""
    behind = ("total", "weighed") if total.measured_share is not None else ("total",)
    title = "How well the mass is known"
    if not items:
        return Finding("known", "unsaid", title, "No part is named, so there is nothing to weigh.", (), "mass-total",
                       "Name the parts of the rig: train, mount, tripod, power and bags.")  # fmt: skip
    if not total.complete:
        names = list(dict.fromkeys(item.part.name for item in items if item.part.mass is None))
        shown = ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")
        known = (
            f"The rig weighs at least {assembly.say(total.total, 'mass')}"
            if total.total
            else "The rig's mass is unknown"
        )
        sentence = f"{known}: {_pieces(total.unsaid)} of {total.pieces} have no mass ({shown})."
        remedy = "Weigh them: a luggage scale for what is above 1 kg, a kitchen scale for the rest."
        parts = tuple(dict.fromkeys(item.part.id for item in items if item.part.mass is None))
        return Finding("known", "unsaid", title, sentence, behind, "mass-total", remedy, parts)
    weighed = assembly.say(total.measured, "mass")
    known = assembly.say(total.total, "mass")
    sentence = f"All {total.pieces} pieces have a mass; {weighed} of {known} was weighed by the club."
    return Finding("known", "sound", title, sentence, behind, "mass-total")


def _excess(items: tuple[Item, ...]) -> float | None:
    """Return by how many kg the club's scale goes beyond the makers; None where no part has both figures."""
    differences = [
        item.count * (item.part.mass.value - item.part.mass.stated.value)
        for item in items
        if item.part.mass is not None and item.part.mass.stated is not None
    ]
    return sum(differences, 0.0) if differences else None


def _with_excess(assembly: Assembly, total: Figure, excess: float | None) -> Figure:
    """Return the total with a note on how far it stands from what the makers say."""
    if not excess:
        return total
    more = "more" if excess > 0 else "less"
    note = f"{assembly.say(abs(excess), 'mass')} {more} than the makers say, by the club's scale"
    return replace(total, note=f"{total.note}; {note}" if total.note else note)


def _table(items: tuple[Item, ...], total: MassSum) -> Table:
    rows: list[tuple[Cell, ...]] = []
    last: Role | None = None
    for item in items:
        mass = item.part.mass
        value = None if mass is None else mass.value * item.count
        error = None if mass is None or mass.uncertainty is None else mass.uncertainty * item.count
        note = ""
        if mass is not None and mass.stated is not None:
            note = f"stated {mass.stated.text}"
        figure = Figure(
            f"mass-{item.part.id}",
            item.part.name,
            value,
            "mass",
            "mass-total",
            mass.basis if mass else "stated",
            error,
            note,
        )
        rows.append(
            (
                Cell(ROLES[item.role] if item.role != last else ""),
                Cell(item.part.name, part=item.part.id),
                Cell(str(item.count), numeric=True),
                Cell(figure=figure, numeric=True),
            )
        )
        last = item.role
    sums = (
        Cell("In all"),
        Cell(""),
        Cell(str(total.pieces), numeric=True),
        Cell(figure=_figure("sum", "In all", total, "mass-total"), numeric=True),
    )
    return Table("masses", "Every part and its mass", ("Where", "Part", "Pieces", "Mass"), tuple(rows), sums)
