"""Tables of this chapter: devices by energy, leads by voltage."""

from rigleaf.chapters.figures import Cell, Figure, Table
from rigleaf.chapters.power_for_the_night.budget import Budget
from rigleaf.chapters.power_for_the_night.judge_leads import volts
from rigleaf.chapters.power_for_the_night.leads import Leads, Span


def by_device(budget: Budget) -> Table:
    """Return what each device takes, the hungriest first, with those of unsaid draw at the end."""
    hours = budget.times.hours
    on = float(hours[budget.times.on].sum()) or 1.0
    known = [(float(one.watts @ hours), one) for one in budget.devices if one.watts is not None]
    rows: list[tuple[Cell, ...]] = []
    for energy, one in sorted(known, key=lambda pair: -pair[0]):
        id_ = one.part.id
        rows.append((
            Cell(one.part.name if one.count == 1 else f"{one.count} × {one.part.name}", part=id_),
            _cell(f"energy-{id_}", energy, "energy"),
            _cell(f"mean-{id_}", energy / on, "power"),
            _cell(f"peak-{id_}", one.peak, "power"),
        ))  # fmt: skip
    unsaid = ("energy", "mean", "peak")
    rows += [
        (Cell(part.name, part=part.id), *(_cell(f"{what}-{part.id}", None, "power") for what in unsaid))
        for part in budget.missing
    ]
    sums = (
        Cell("In all"),
        _cell("energy-sum", budget.energy, "energy"),
        _cell("mean-sum", budget.energy / on, "power"),
        _cell("peak-sum", sum(one.peak or 0.0 for one in budget.devices), "power"),
    )
    heads = ("Device", "Energy", "On average", "At most")
    return Table("by-device", "What each device takes, without losses on the way", heads, tuple(rows), sums)


def _cell(id_: str, value: float | None, dimension: str) -> Cell:
    return Cell(figure=Figure(id_, "", value, dimension, "night-energy"), numeric=True)


def by_lead(found: Leads) -> Table:
    """Return each lead with current and voltage, the least to spare first, unknown ones at the end."""
    rows = []
    for span in sorted(found.spans, key=lambda one: one.room if one.room is not None else float("inf")):
        edge = span.edge
        note = "at least" if span.least else ""
        current = Figure(f"current-{edge.fed.id}", "", span.current, "current", "lead-current", note=note)
        rows.append((
            Cell(edge.fed.name, part=edge.fed.id),
            Cell(edge.source.name, part=edge.source.id),
            Cell(edge.lead.name, part=edge.lead.id) if edge.lead is not None else Cell("built in"),
            Cell(figure=current, numeric=True),
            Cell(_arrives(span), numeric=True),
            Cell(volts(span.lowest) if span.lowest is not None else "unsaid", numeric=True),
        ))  # fmt: skip
    return Table(
        "by-lead",
        "Leads with everything at its most",
        ("Feeds", "From", "Through", "Current", "Arrives", "Needs"),
        tuple(rows),
    )


def _arrives(span: Span) -> str:
    if span.arrives is not None:
        return f"{volts(span.arrives)}{' at most' if span.least else ''}"
    return "gauge or length unsaid" if span.ohm is None else "unsaid"
