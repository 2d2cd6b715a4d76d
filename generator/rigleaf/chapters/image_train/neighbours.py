"""Which parts on the shelf go onto which: for the page of a part."""

from collections.abc import Mapping
from dataclasses import dataclass

from rigleaf.catalogue.models.connections import Connection
from rigleaf.catalogue.models.optics import Corrector, Optic
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.image_train.mating import mates


@dataclass(frozen=True)
class Neighbours:
    """Every side that a shelf has, with the ids of the parts that have it there, in the order of the shelf.

    ``made_for`` holds the ids of the optics that a corrector is made for, ``optics`` those of all optics: threads that
    mate do not make a corrector right for another telescope.
    """

    fronts: Mapping[Connection, tuple[str, ...]]
    rears: Mapping[Connection, tuple[str, ...]]
    made_for: Mapping[str, tuple[str, ...]]
    optics: frozenset[str]

    def behind(self, part: Part) -> tuple[str, ...]:
        """Return the parts that go onto the side of ``part`` that looks towards the sensor."""
        found = self._fitting(getattr(part, "rear", None), part.id, self.fronts, rear_first=True)
        return tuple(id_ for id_ in found if self._suits(part.id, id_))

    def before(self, part: Part) -> tuple[str, ...]:
        """Return the parts that go onto the side of ``part`` that looks towards the sky."""
        found = self._fitting(getattr(part, "front", None), part.id, self.rears, rear_first=False)
        return tuple(id_ for id_ in found if self._suits(id_, part.id))

    def _suits(self, optic: str, corrector: str) -> bool:
        """Whether the second part is no corrector for other optics than the first."""
        made_for = self.made_for.get(corrector, ())
        return optic not in self.optics or not made_for or optic in made_for

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
        {side: tuple(ids) for side, ids in fronts.items()},
        {side: tuple(ids) for side, ids in rears.items()},
        {id_: part.made_for for id_, part in parts.items() if isinstance(part, Corrector) and part.made_for},
        frozenset(id_ for id_, part in parts.items() if isinstance(part, Optic)),
    )
