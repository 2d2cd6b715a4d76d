"""Which parts on the shelf go onto which: for the page of a part."""

from collections.abc import Mapping
from dataclasses import dataclass

from rigleaf.catalogue.models.connections import Connection
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.image_train.mating import mates


@dataclass(frozen=True)
class Neighbours:
    """Every side that a shelf has, with the ids of the parts that have it there, in the order of the shelf."""

    fronts: Mapping[Connection, tuple[str, ...]]
    rears: Mapping[Connection, tuple[str, ...]]

    def behind(self, part: Part) -> tuple[str, ...]:
        """Return the parts that go onto the side of ``part`` that looks towards the sensor."""
        return self._fitting(getattr(part, "rear", None), part.id, self.fronts, rear_first=True)

    def before(self, part: Part) -> tuple[str, ...]:
        """Return the parts that go onto the side of ``part`` that looks towards the sky."""
        return self._fitting(getattr(part, "front", None), part.id, self.rears, rear_first=False)

    @staticmethod
    def _fitting(
        side: Connection | None, own: str, others: Mapping[Connection, tuple[str, ...]], *, rear_first: bool
    ) -> tuple[str, ...]:
        if side is None:
            return ()
        fitting = [
            ids for other, ids in others.items() if (mates(side, other) if rear_first else mates(other, side))
        ]  # fmt: skip
        return tuple(id_ for ids in fitting for id_ in ids if id_ != own)


def neighbours(parts: Mapping[str, Part]) -> Neighbours:
    """Sort the sides of all parts on a shelf."""
    fronts: dict[Connection, list[str]] = {}
    rears: dict[Connection, list[str]] = {}
    for id_, part in parts.items():
        for name, sides in (("front", fronts), ("rear", rears)):
            side = getattr(part, name, None)
            if isinstance(side, Connection):
                sides.setdefault(side, []).append(id_)
    return Neighbours(
        {side: tuple(ids) for side, ids in fronts.items()}, {side: tuple(ids) for side, ids in rears.items()}
    )
