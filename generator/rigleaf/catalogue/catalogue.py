"""The catalogue: everything that the YAML of one guide says, checked and joined."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, Literal, NamedTuple, TypeVar

from rigleaf.catalogue.desk import Desk
from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.catalogue.models.flight import FlightRule
from rigleaf.catalogue.models.guide import Guide, Place, Target
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.rig import Rig, Use
from rigleaf.catalogue.models.trip import Trip

Kind = TypeVar("Kind", bound=Part)
Found = TypeVar("Found")
Role = Literal["train", "guiding", "rider", "mount", "counterweight", "tripod", "power", "bag", "carried"]

ROLES: dict[Role, str] = {
    "train": "Image train",
    "guiding": "Guiding",
    "rider": "Also on the mount",
    "mount": "Mount",
    "counterweight": "Counterweights",
    "tripod": "Tripod",
    "power": "Power",
    "bag": "Bags",
    "carried": "Carried along",
}
"""Every role that a part has in a rig, with its heading."""

ON_THE_MOUNT: frozenset[Role] = frozenset({"train", "guiding", "rider"})
ON_THE_TRIPOD: frozenset[Role] = ON_THE_MOUNT | {"mount", "counterweight"}


_WORKED_OUT = frozenset({"_of_kind", "_known", "part_names"})


class Source(NamedTuple):
    """Where an entry stands: file relative to the guide's folder and line from 1."""

    file: str
    line: int


class Item(NamedTuple):
    """One part in a rig: its role, the part, how many of it and what is special about it."""

    role: Role
    part: Part
    count: int = 1  # type: ignore[assignment]  # hides tuple.count, which nobody wants of an item
    note: str | None = None


@dataclass(frozen=True)
class Catalogue:
    """One guide's data.

    All mappings go from id to entry, in the order in which the files are read. ``sources`` says where each
    rig and part stands, ``used_by`` which rigs use a part; ``rules`` are flight rules of the
    guide's own, which go before built-in ones of the same id; ``desk`` is the book of loans. ``digests`` has
    the SHA-256 of every file that was read, by its name.
    """

    root: Path
    guide: Guide
    parts: Mapping[str, Part]
    rigs: Mapping[str, Rig]
    places: Mapping[str, Place] = field(default_factory=dict)
    targets: Mapping[str, Target] = field(default_factory=dict)
    trips: Mapping[str, Trip] = field(default_factory=dict)
    carriers: Mapping[str, Carrier] = field(default_factory=dict)
    rules: Mapping[str, FlightRule] = field(default_factory=dict)
    sources: Mapping[tuple[str, str], Source] = field(default_factory=dict)
    used_by: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    desk: Desk = field(default_factory=Desk)
    digests: Mapping[str, str] = field(default_factory=dict)

    def items(self, rig: Rig) -> tuple[Item, ...]:
        """Return every part of ``rig`` with its role, in the order of ROLES."""
        return tuple(Item(role, self.parts[id_], count, note) for role, id_, count, note in rig_uses(rig))

    def of_kind(self, *kinds: type[Kind]) -> tuple[Kind, ...]:
        """Return the parts of some kinds, in the order of the shelf, which may be long: it is gone through once."""
        if kinds not in self._of_kind:
            self._of_kind[kinds] = tuple(part for part in self.parts.values() if isinstance(part, kinds))
        found: tuple[Kind, ...] = self._of_kind[kinds]
        return found

    @cached_property
    def _known(self) -> dict[Callable[[Any], Any], Any]:
        return {}

    def once(self, function: Callable[["Catalogue"], Found]) -> Found:
        """Return what a pure function finds out about the whole guide; it is asked once, however many rigs want it."""
        if function not in self._known:
            self._known[function] = function(self)
        found: Found = self._known[function]
        return found

    @cached_property
    def part_names(self) -> dict[str, str]:
        """The names of all parts by their ids."""
        return {id_: part.name for id_, part in self.parts.items()}

    @cached_property
    def _of_kind(self) -> dict[tuple[type[Any], ...], tuple[Any, ...]]:
        return {}

    def __getstate__(self) -> dict[str, Any]:
        """Leave out what can be worked out again."""
        return {name: value for name, value in vars(self).items() if name not in _WORKED_OUT}

    def place_of(self, rig: Rig) -> Place | None:
        """Return the home place of ``rig``, or the guide's, or None."""
        return self.places.get(rig.place or self.guide.place or "")

    def source(self, sort: str, id_: str) -> Source:
        """Return where the ``sort`` ("rig" or "part") with this id stands."""
        return self.sources[sort, id_]


def rig_uses(rig: Rig) -> Iterator[tuple[Role, str, int, str | None]]:
    """Yield role, part id, count and note of everything that ``rig`` names, in the order of ROLES."""
    for use in rig.train:
        yield "train", use.part, use.count, use.note
    if rig.guiding:
        for id_ in (rig.guiding.scope, rig.guiding.camera):
            if id_:
                yield "guiding", id_, 1, None
    for use in rig.riders:
        yield "rider", use.part, use.count, use.note
    if rig.mount:
        yield "mount", rig.mount, 1, None
    for use in rig.counterweights:
        yield "counterweight", use.part, use.count, use.note
    if rig.tripod:
        yield "tripod", rig.tripod, 1, None
    rest: tuple[tuple[Role, tuple[Use, ...]], ...] = (
        ("power", rig.power),
        ("bag", rig.bags),
        ("carried", rig.carried),
    )
    for role, uses in rest:
        for use in uses:
            yield role, use.part, use.count, use.note
