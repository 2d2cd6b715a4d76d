"""The club's batteries as numbers, the lightest first, so that a search need not look at each of them for every rig."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.power_for_the_night.cells import LEAD_ACID, emptying, rated_energy
from rigleaf.chapters.power_for_the_night.suited import borne, lendable
from rigleaf.chapters.shelf import aside
from rigleaf.quantities import Reading

Array = NDArray[np.float64]
Whole = NDArray[np.int64]
Mask = NDArray[np.bool_]

_OUTLETS: Final = ("outlets", "installed")
_IN_COLD: Final = ("chemistry", "in_the_cold", "usable")
_ALL: Final = (
    *_OUTLETS, *_IN_COLD, "mass", "nominal_voltage", "charge", "marked_energy", "current_limit", "rated_hours",
    "peukert", "owned",
)  # fmt: skip
"""All that the search asks of a battery."""


@dataclass(frozen=True, eq=False)
class Shelf:
    """Batteries that the club lends and of which mass and energy are known, the lightest first, of equals as they lie.

    Attributes:
        parts: the batteries.
        row: the number of each in this order, by its id.
        place: the number of each in the order of the shelf.
        mass, rated, borne: kg, Wh on the label, and W that it bears.
        owned: how many of it there are.
        lead: whether it is lead-acid, and its voltage, charge, rated hours and Peukert exponent, shape (4, n).
        outlets: whether it has outlets.
        look: which of ``looks`` has the same outlets; of cells without, the same voltage as well.
        keep: which of ``keeps`` gives the same part of its energy in the cold.
        twin: how many before it are the same in all that is asked here.
    """

    parts: tuple[Battery, ...]
    row: Mapping[str, int]
    place: Whole
    mass: Array
    rated: Array
    borne: Array
    owned: Whole
    lead: Mask
    emptying: Array
    outlets: Mask
    look: Whole
    looks: tuple[Battery, ...]
    keep: Whole
    keeps: tuple[Battery, ...]
    twin: Whole


def shelf_of(catalogue: Catalogue) -> Shelf:
    """Return the batteries of a guide that a circuit may be fed by.

    They are looked at in copies: what is found out for all rigs is noted of none as read.
    """
    kinds = catalogue.of_kind(Battery)
    there = [(place, part, aside(part)) for place, part in enumerate(kinds)]
    found = [
        (copy.mass.value, place, rated, part, copy)
        for place, part, copy in there
        if not copy.installed and copy.mass is not None
        if (rated := rated_energy(copy)) is not None and lendable(catalogue, part)
    ]
    found.sort(key=lambda one: one[:2])
    copies = [one[-1] for one in found]
    looks: dict[object, tuple[int, Battery]] = {}
    keeps: dict[object, tuple[int, Battery]] = {}
    twins: Counter[object] = Counter()
    rows: list[tuple[int, int, int]] = []
    for copy in copies:
        look, _ = looks.setdefault(_look(copy), (len(looks), copy))
        keep, _ = keeps.setdefault(_told(copy, _IN_COLD), (len(keeps), copy))
        same = _told(copy, _ALL)
        rows.append((look, keep, twins[same]))
        twins[same] += 1
    numbers = np.array(rows, dtype=np.int64).reshape(-1, 3).T
    return Shelf(
        parts=tuple(one[3] for one in found),
        row={one[3].id: number for number, one in enumerate(found)},
        place=np.array([one[1] for one in found], dtype=np.int64),
        mass=np.array([one[0] for one in found]),
        rated=np.array([one[2] for one in found]),
        borne=np.array([borne(copy) for copy in copies]),
        owned=np.array([1 if copy.owned is None else copy.owned for copy in copies], dtype=np.int64),
        lead=np.array([copy.chemistry == LEAD_ACID for copy in copies], dtype=bool),
        emptying=np.array([emptying(copy, one[2]) for copy, one in zip(copies, found, strict=True)]).reshape(-1, 4).T,
        outlets=np.array([bool(copy.outlets) for copy in copies], dtype=bool),
        look=numbers[0],
        looks=tuple(copy for _, copy in looks.values()),
        keep=numbers[1],
        keeps=tuple(copy for _, copy in keeps.values()),
        twin=numbers[2],
    )


def _look(battery: Battery) -> object:
    """Return what a lead can tell of a battery."""
    return _told(battery, _OUTLETS if battery.outlets else (*_OUTLETS, "nominal_voltage"))


def _told(entry: Entry, names: tuple[str, ...]) -> tuple[object, ...]:
    return tuple(_plain(getattr(entry, name)) for name in names)


def _plain(value: Any) -> object:
    """Return what counts of a value: numbers, without how they were written."""
    if isinstance(value, Reading):
        return value.value
    if isinstance(value, Entry):
        return _told(value, tuple(type(value).model_fields))
    return tuple(map(_plain, value)) if isinstance(value, tuple) else value
