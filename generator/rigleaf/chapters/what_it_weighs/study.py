"""Judgement of the masses: sums by place, how they are known, and where maker and scale disagree."""

from collections.abc import Iterable

from rigleaf.catalogue.catalogue import ON_THE_MOUNT, ON_THE_TRIPOD, ROLES, Item, Role
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Figure, Finding, Study, Table, Verdict
from rigleaf.chapters.what_it_weighs.mass_plate import mass_plate
from rigleaf.chapters.what_it_weighs.physics import Load, MassSum, sum_masses

DISAGREEMENT = 0.05
DISAGREEMENT_KG = 0.1
"""Excess of the scale over the maker, as a part of the maker's figure and in kg, from which on the page says so."""


def study(assembly: Assembly) -> Study:
    """Study the masses of one rig."""
    items = assembly.items
    total = _sum(items)
    on_mount = _sum(item for item in items if item.role in ON_THE_MOUNT)
    on_tripod = _sum(item for item in items if item.role in ON_THE_TRIPOD)
    figures = [
        _figure("on-mount", "On the mount", on_mount, "mass-on-mount"),
        _figure("on-tripod", "On the tripod", on_tripod, "mass-on-tripod"),
        _figure("total", "Mass in all", total, "mass-total"),
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
    findings = [_known(assembly, items, total), *_disagreements(assembly, items)]
    by_role = {role: _sum(item for item in items if item.role == role) for role in ROLES}
    drawings = (mass_plate(assembly, by_role, on_mount, on_tripod),) if total.total else ()
    return Study("what-it-weighs", tuple(figures), tuple(findings), drawings, (_table(items, total),) if items else ())


def _sum(items: Iterable[Item]) -> MassSum:
    return sum_masses(_load(item) for item in items)


def _load(item: Item) -> Load:
    mass = item.part.mass
    if mass is None:
        return Load(None, count=item.count)
    return Load(mass.value, mass.basis, mass.uncertainty, item.count)


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


def _disagreements(assembly: Assembly, items: tuple[Item, ...]) -> list[Finding]:
    """Report parts whose measured mass is well above what the maker states."""
    heavier: list[tuple[float, Item]] = []
    for item in items:
        mass = item.part.mass
        if mass is None or mass.stated is None or not mass.stated.value:
            continue
        excess = mass.value / mass.stated.value - 1
        notable = excess > DISAGREEMENT and mass.value - mass.stated.value >= DISAGREEMENT_KG
        if notable and item.part.id not in {other.part.id for _, other in heavier}:
            heavier.append((excess, item))
    if not heavier:
        return []
    heavier.sort(key=lambda pair: (-pair[0], pair[1].part.id))
    named = "; ".join(_disagreement(assembly, item, excess) for excess, item in heavier[:3])
    more = f"; and {len(heavier) - 3} more" if len(heavier) > 3 else ""
    verdict: Verdict = "tight"
    return [
        Finding(
            "heavier", verdict, "Heavier than stated", f"The scale says more than the maker: {named}{more}.",
            ("total",), "mass-total",
            "The page counts what was weighed; allow the same excess for parts that nobody has weighed yet.",
            tuple(item.part.id for _, item in heavier[:3]),
        )
    ]  # fmt: skip


def _disagreement(assembly: Assembly, item: Item, excess: float) -> str:
    weighed = item.part.mass.value if item.part.mass else 0.0
    say = assembly.say
    stated = weighed / (1 + excess)
    return f"{item.part.name} weighs {say(weighed, 'mass')}, not {say(stated, 'mass')} ({say(excess, 'fraction')} more)"


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
