"""Rows of the shelf: parts of a kind with some of their numbers, put in order once, so that no rig goes through all."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Generic

import numpy as np
from numpy.typing import NDArray

from rigleaf.catalogue.catalogue import Catalogue, Kind
from rigleaf.catalogue.models.fields import Entry
from rigleaf.chapters.assembly import Assembly

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


def aside(entry: Any) -> Any:
    """Return a copy of an entry of which nothing is noted that is read: what is found out for all rigs is nobody's own.

    The copy is shallow but for the entries inside.
    """
    copy = entry.model_copy()
    for key, value in vars(entry).items():
        if isinstance(value, Entry):
            vars(copy)[key] = aside(value)
        elif isinstance(value, tuple) and value and isinstance(value[0], Entry):
            vars(copy)[key] = tuple(map(aside, value))
    return copy


@dataclass(frozen=True, eq=False)
class Row(Generic[Kind]):
    """Parts of a kind in some order; ``numbers`` have theirs by name, nan where they are unsaid."""

    model: type[Kind]
    parts: tuple[Kind, ...]
    numbers: Mapping[str, Array]

    def first(
        self, assembly: Assembly, suits: Callable[[Kind], bool], good: Mask, near: Array | None = None
    ) -> Kind | None:
        """Return the first part of the row that suits.

        Args:
            assembly: the rig. Its own parts are asked in any case, so that what counts of them is noted as read.
            suits: says whether a part does; asked of no more parts than it takes.
            good: which parts may suit at all, by their numbers.
            near: if given, the part of least ``near`` goes first, of equals the first of the row.
        """
        own = {part.id: suits(part) for part in assembly.parts(self.model)}
        rows = np.flatnonzero(good)
        if near is not None:
            rows = rows[np.argsort(near[rows], kind="stable")]
        there = (self.parts[row] for row in rows)
        return next((part for part in there if (own[part.id] if part.id in own else suits(part))), None)

    def which(self, good: Mask) -> Iterator[Kind]:
        """Yield the parts that are good, in the order of the row."""
        return (self.parts[row] for row in np.flatnonzero(good))


def row_of(
    catalogue: Catalogue,
    model: type[Kind],
    order: Callable[[Kind], Any],
    numbers: Mapping[str, Callable[[Kind], float | None]],
    keep: Callable[[Kind], bool] = lambda _: True,
) -> Row[Kind]:
    """Return the shelf's parts of a kind.

    Args:
        catalogue: the guide.
        model: the kind.
        order: by what they are put in order.
        numbers: what is wanted of each, by name.
        keep: which are wanted.
    """
    there = sorted(
        ((copy, part) for part in catalogue.of_kind(model) if keep(copy := aside(part))), key=lambda one: order(one[0])
    )
    columns = {
        name: np.array([np.nan if (value := of(copy)) is None else value for copy, _ in there], dtype=float)
        for name, of in numbers.items()
    }
    return Row(model, tuple(part for _, part in there), columns)
