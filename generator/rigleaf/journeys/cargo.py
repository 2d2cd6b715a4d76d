"""What a journey takes along: the parts of its rigs and the extras, without what stays at home; bags are apart."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from rigleaf.catalogue.catalogue import Catalogue, Item
from rigleaf.catalogue.models.carrying import Bag
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.models.trip import Trip
from rigleaf.packing.handling import is_inside_another

SHARED: frozenset[str] = frozenset({"tool", "spare", "liquid", "sundry", "fixing", "charger"})
"""Kinds of which one does for several rigs of a journey: each is taken as often as the rig that asks for most of it."""


@dataclass(frozen=True)
class Load:
    """One part that goes along, ``count`` of it, and the ids of the rigs that it belongs to."""

    part: Part
    count: int
    rigs: tuple[str, ...]


@dataclass(frozen=True)
class Cargo:
    """Everything that goes along but the bags.

    Attributes:
        loads: one for each part, in the order of their ids, whatever the order of the YAML.
        worn: ids of what is worn or in pockets.
        loose: ids of what travels outside all bags where nothing flies.
        hosts: by the id of each battery that is installed in another part, the id of that part, where a feed says it.
        sources: ids of what a rig is fed from.
    """

    loads: tuple[Load, ...]
    worn: frozenset[str]
    loose: frozenset[str]
    hosts: Mapping[str, str]
    sources: frozenset[str]

    @property
    def parts(self) -> Iterator[Part]:
        """Every piece."""
        for load in self.loads:
            yield from [load.part] * load.count

    def count(self, part: str) -> int:
        """Return how many of a part go along."""
        return sum(load.count for load in self.loads if load.part.id == part)

    def with_counts(self, changes: Mapping[str, int], parts: Mapping[str, Part]) -> "Cargo":
        """Return the cargo with other numbers of some parts; none takes a part out."""
        known = {load.part.id: load for load in self.loads}
        found = []
        for id_ in sorted({*known, *changes}):
            count = changes.get(id_, known[id_].count if id_ in known else 0)
            if count:
                found.append(Load(parts[id_], count, known[id_].rigs if id_ in known else ()))
        return replace(self, loads=tuple(found))


def cargo_of(catalogue: Catalogue, trip: Trip) -> Cargo:
    """Return what a journey takes along."""
    rigs = [catalogue.rigs[id_] for id_ in sorted(set(trip.rigs))]
    staying = frozenset(trip.without)
    counted: Counter[str] = Counter()
    users: dict[str, list[str]] = {}
    for rig in rigs:
        for id_, count in _counts(catalogue.items(rig)).items():
            shared = catalogue.parts[id_].kind in SHARED
            counted[id_] = max(counted[id_], count) if shared else counted[id_] + count
            users.setdefault(id_, []).append(rig.id)
    for use in trip.extras:
        counted[use.part] += use.count
    loads = tuple(
        Load(catalogue.parts[id_], counted[id_], tuple(users.get(id_, ())))
        for id_ in sorted(counted)
        if id_ not in staying
    )
    return Cargo(
        loads,
        frozenset({*trip.worn, *(id_ for rig in rigs for id_ in rig.worn)}),
        frozenset(id_ for rig in rigs for id_ in rig.loose),
        dict(_hosts(rigs, [load.part for load in loads])),
        frozenset(id_ for rig in rigs for id_ in _sources(rig)),
    )


def too_few(cargo: Cargo) -> tuple[Load, ...]:
    """Return what the rigs ask for more of than the club owns."""
    return tuple(load for load in cargo.loads if load.part.owned is not None and load.part.owned < load.count)


def _counts(items: Iterable[Item]) -> Counter[str]:
    found: Counter[str] = Counter()
    for item in items:
        if not isinstance(item.part, Bag) or item.role != "bag":
            found[item.part.id] += item.count
    return found


def _sources(rig: Rig) -> Iterator[str]:
    """Yield what a rig is fed from: all that it takes for power where its feeds are unsaid."""
    yield from (feed.source for feed in rig.feeds)
    if not rig.feeds:
        yield from (use.part for use in rig.power)


def _hosts(rigs: Iterable[Rig], parts: Iterable[Part]) -> Iterator[tuple[str, str]]:
    """Yield each installed battery with the part that it is in: the one that alone it feeds."""
    there = {part.id for part in parts}
    inside = {part.id for part in parts if is_inside_another(part)}
    for rig in rigs:
        for feed in rig.feeds:
            if feed.source in inside and len(feed.to) == 1 and feed.to[0] in there:
                yield feed.source, feed.to[0]
