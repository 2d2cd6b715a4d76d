"""The list for customs and insurance, with serial numbers and values. No page may use it: it is for a print alone."""

from collections import Counter
from dataclasses import dataclass

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.trip import Trip
from rigleaf.journeys.bags import bags_of
from rigleaf.journeys.cargo import cargo_of


@dataclass(frozen=True, slots=True)
class PrivateRow:
    """One line of the list.

    Attributes:
        part: id of the part.
        name: what people call it.
        kind: what sort of part it is.
        count: how many of it.
        mass: kg of one; None where it is unsaid.
        asset: asset tag, serial: serial number, value: insured value; as the guide says, empty where it does not.
    """

    part: str
    name: str
    kind: str
    count: int
    mass: float | None
    asset: str
    serial: str
    value: str


def private_list(catalogue: Catalogue, trip: Trip) -> tuple[PrivateRow, ...]:
    """Return everything that goes along on a journey, bags included, in the order of names."""
    counts: Counter[str] = Counter({load.part.id: load.count for load in cargo_of(catalogue, trip).loads})
    counts.update(bag.bag.part.id for bag in bags_of(catalogue, trip))
    rows = []
    for id_, count in counts.items():
        part = catalogue.parts[id_]
        known = part.private
        rows.append(
            PrivateRow(
                part=id_,
                name=part.name,
                kind=part.kind,
                count=count,
                mass=part.mass.value if part.mass is not None else None,
                asset=part.asset or "",
                serial=(known.serial or "") if known is not None else "",
                value=(known.value or "") if known is not None else "",
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.name.casefold(), row.part)))
