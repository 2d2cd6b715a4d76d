"""Judgement of hands and back: every lift against its recommended limit, every bag against its own, and the walks."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Figure, Finding, Study, Table
from rigleaf.chapters.hands_and_back import carry_study, lift_study
from rigleaf.chapters.hands_and_back.lift_plate import lift_plate
from rigleaf.chapters.hands_and_back.lifts import Lift, lifts_of
from rigleaf.chapters.hands_and_back.loads import Load, carried
from rigleaf.chapters.hands_and_back.trips import Walk

ID, TITLE = "hands-and-back", "Lifting and carrying"


def study(assembly: Assembly) -> Study:
    """Study what is lifted and carried with one rig."""
    if not assembly.items:
        sentence = "No part is named, so there is nothing to lift."
        cure = "Name the parts of the rig: train, mount, tripod, power and bags."
        return Study(ID, findings=(Finding("lifts", "unsaid", TITLE, sentence, (), "lifting", cure),))
    loads = carried(assembly)
    lifts, gaps = lifts_of(assembly, loads)
    figures = lift_study.figures_of(lifts)
    findings = lift_study.judge(assembly, lifts, gaps)
    bags = carry_study.judge_bags(assembly, loads)
    if loads.told:
        figures += [_of_bag(bag) for bag in loads.bags]
    if bags is not None:
        findings.append(bags)
    more, walked, walks = carry_study.judge_walks(assembly, loads, lifts)
    tables = [_lift_table(lifts)] if lifts else []
    if walks and loads.told:
        tables.append(_walk_table(walks))
    return Study(
        ID,
        (*figures, *more),
        (*findings, *walked),
        (lift_plate(assembly, lifts),) if lifts else (),
        tuple(tables),
    )


def _of_bag(bag: Load) -> Figure:
    whole = bag.mass
    note = "" if whole.complete else f"at least; {whole.unsaid} without a mass"
    return Figure(f"bag-{bag.id}", f"{bag.name}, packed", whole.total or None, "mass", "bag-loads",
                  uncertainty=whole.uncertainty, note=note)  # fmt: skip


def _lift_table(lifts: tuple[Lift, ...]) -> Table:
    rows = []
    for lift in sorted(lifts, key=lambda one: -one.index):
        name = lift.name[:1].upper() + lift.name[1:]
        mass, limit, index = (
            Figure(f"{sort}-{lift.id}", name, value, dimension, "lifting", note=note)
            for sort, value, dimension, note in (
                ("mass", lift.mass, "mass", "" if lift.complete else "at least"),
                ("limit", lift.limit, "mass", ""),
                ("index", lift.index, "number", ""),
            )
        )
        cells = (Cell(figure=mass, numeric=True), Cell(figure=limit, numeric=True), Cell(figure=index, numeric=True))
        rows.append((Cell(name.removeprefix("The ")), *cells, Cell(lift.grip), Cell(lift_study.who_lifts(lift))))
    columns = ("Lift", "Mass", "Limit", "Index", "Grip", "For")
    return Table("lifts", "Every lift of 3 kg and more, and its limit", columns, tuple(rows))


def _walk_table(walks: tuple[Walk, ...]) -> Table:
    rows = []
    for number, walk in enumerate(walks, 1):
        note = "" if walk.complete else "at least"
        mass = Figure(f"walk-{number}", f"Walk {number}", walk.mass, "mass", "walks", note=note)
        held = "; ".join(load.name for load in walk.loads)
        rows.append((Cell(str(number), numeric=True), Cell(held), Cell(figure=mass, numeric=True)))
    return Table("walks", "Walks from the car to the spot", ("Walk", "What is carried", "Mass"), tuple(rows))
