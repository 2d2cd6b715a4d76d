"""What feeds what: the leads of a rig, and which sources stand behind each device."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Battery, CarLead, Computer, MainsSupply
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night.draws import Device
from rigleaf.chapters.power_for_the_night.outlets import Tap, fitting_outlet, near, tap_of

SourceKind = Literal["battery", "car", "mains"]
CAR = "the car"


@dataclass(frozen=True, slots=True)
class Edge:
    """One lead: from a source, or a hub that passes power on, to one device.

    Attributes:
        source: where it begins.
        lead: the cable; None where it is built in.
        fed: where it ends.
        tap: the outlet.
        piece: which of several batteries of a sort, from 1; 0 where it is all of them, one after the other.
    """

    source: Part
    lead: Part | None
    fed: Part
    tap: Tap
    piece: int = 0

    @property
    def root(self) -> str:
        """Id of where it begins, with the number of the piece where it is one of several."""
        return f"{self.source.id}#{self.piece}" if self.piece else self.source.id


@dataclass(frozen=True, slots=True)
class Group:
    """Sources that stand behind the same devices, so that one takes over from the other.

    Attributes:
        kind: what they are; mains wins over the car, and the car over batteries.
        sources: each with how many of it stand behind these devices.
        devices: ids of what they feed.
        roots: ids of the sources, with the number of the piece where it is one of several.
        first: what their own leads go to.
        piece: which of several batteries of a sort it is, from 1; 0 where it is all of them.
    """

    kind: SourceKind
    sources: tuple[tuple[Part, int], ...]
    devices: frozenset[str]
    roots: frozenset[str]
    first: tuple[Part, ...] = ()
    piece: int = 0


@dataclass(frozen=True, eq=False)
class Wiring:
    """How a rig is wired.

    Attributes:
        edges: the lead by which each device is fed, by the device's id.
        groups: its sources, with what they feed.
        unfed: devices that draw, or may draw, and that nothing is said to feed.
        stated: whether the rig says which lead feeds what; else all loose sources count as one.
        uses: how often each lead is used, by its id.
    """

    edges: Mapping[str, Edge]
    groups: tuple[Group, ...]
    unfed: tuple[Part, ...]
    stated: bool
    uses: Mapping[str, int]

    @cached_property
    def below(self) -> dict[str, tuple[Edge, ...]]:
        """The leads that leave each part, by its id."""
        found: dict[str, tuple[Edge, ...]] = {}
        for edge in self.edges.values():
            found[edge.source.id] = (*found.get(edge.source.id, ()), edge)
        return found

    @cached_property
    def behind(self) -> dict[str, tuple[Edge, ...]]:
        """The same by the piece where a source is one of several batteries, each of which has leads of its own."""
        found: dict[str, tuple[Edge, ...]] = {}
        for edge in self.edges.values():
            found[edge.root] = (*found.get(edge.root, ()), edge)
        return found


def wire(assembly: Assembly, devices: Iterable[Device]) -> Wiring:
    """Return how a rig is wired: as it says, else with all its loose sources taken together."""
    known = {device.part.id: device for device in devices}
    counts = {item.part.id: 0 for item in assembly.items}
    for item in assembly.items:
        counts[item.part.id] += item.count
    edges = _stated(assembly, known, counts) if assembly.rig.feeds else _pooled(assembly, known)
    edges += _installed(assembly, known, {edge.fed.id for edge in edges})
    groups = _groups(edges, known, counts, pooled=not assembly.rig.feeds)
    uses: dict[str, int] = {}
    # Batteries that feed a device in turn share its lead.
    for edge in _main(edges).values():
        if edge.lead is not None:
            uses[edge.lead.id] = uses.get(edge.lead.id, 0) + (known[edge.fed.id].count if edge.fed.id in known else 1)
    fed = {edge.fed.id for edge in edges}
    unfed = tuple(
        device.part
        for device in known.values()
        if device.part.id not in fed and (device.peak is None or device.peak > 0)
    )
    return Wiring(_main(edges), groups, unfed, bool(assembly.rig.feeds), uses)


def _edge(
    assembly: Assembly, source: Part, lead: Part | None, fed: Part, voltage: float | None, piece: int = 0
) -> Edge:  # fmt: skip
    return Edge(source, lead, fed, tap_of(assembly, source, voltage, fed, lead), piece)


def _stated(assembly: Assembly, known: Mapping[str, Device], counts: Mapping[str, int]) -> list[Edge]:
    parts = assembly.catalogue.parts
    return [
        _edge(
            assembly, parts[feed.source], parts[feed.lead] if feed.lead else None, parts[id_],
            known[id_].voltage if id_ in known else None, piece,
        )
        for feed, piece in zip(assembly.rig.feeds, _pieces(assembly, counts), strict=True)
        for id_ in feed.to
    ]  # fmt: skip


def _pieces(assembly: Assembly, counts: Mapping[str, int]) -> list[int]:
    """Return which of several batteries each entry of a rig's feeds means; 0 where it is all of them.

    Entries that name one battery have a piece each where the rig has enough of it. Where any says which piece it
    means, the others mean the first.
    """
    parts, feeds = assembly.catalogue.parts, assembly.rig.feeds
    found = []
    for number, feed in enumerate(feeds):
        same = [index for index, other in enumerate(feeds) if other.source == feed.source]
        source, count = parts[feed.source], counts.get(feed.source, 1)
        if not isinstance(source, Battery) or _is_built_in(source):
            found.append(0)
        elif any(feeds[index].piece is not None for index in same):
            found.append(feed.piece or 1)
        else:
            found.append(1 + same.index(number) if 1 < len(same) <= count else 0)
    return found


def _loose_sources(assembly: Assembly) -> list[Part]:
    """Batteries with outlets, or of which nothing is known, and supplies; car leads where there is nothing else."""
    found: list[Part] = []
    for item in assembly.items:
        part = item.part
        if isinstance(part, MainsSupply) or (
            isinstance(part, Battery) and not part.installed and (part.outlets or part.nominal_voltage is None)
        ):
            found.append(part)
    return found or list(dict.fromkeys(assembly.parts(CarLead)))


def _pooled(assembly: Assembly, known: Mapping[str, Device]) -> list[Edge]:
    sources = _loose_sources(assembly)
    if not sources:
        return []
    own = _built_in(assembly, known)
    found = []
    for device in known.values():
        if device.part.id not in own:
            source = next((one for one in sources if _suits(one, device.voltage)), sources[0])
            found.append(_edge(assembly, source, None, device.part, device.voltage))
    return found


def _suits(source: Part, voltage: float | None) -> bool:
    if isinstance(source, Battery) and source.outlets:
        return fitting_outlet(source, voltage) is not None
    if isinstance(source, MainsSupply) and source.output_voltage is not None:
        return near(source.output_voltage.value, voltage)
    return True


def _built_in(assembly: Assembly, known: Mapping[str, Device]) -> dict[str, Battery]:
    """Return the installed battery of each device: the one of its voltage, else the laptop's."""
    found: dict[str, Battery] = {}
    for battery in assembly.parts(Battery):
        if not battery.installed:
            continue
        nominal = battery.nominal_voltage.value if battery.nominal_voltage is not None else None
        same = (d.part.id for d in known.values() if nominal is not None and d.voltage == nominal)
        computers = (
            id_ for id_, d in known.items() if isinstance(d.part, Computer) and d.part.form in ("laptop", "tablet")
        )
        id_ = next((one for one in (*same, *computers) if one not in found), None)
        if id_ is not None:
            found[id_] = battery
    return found


def _installed(assembly: Assembly, known: Mapping[str, Device], fed: set[str]) -> list[Edge]:
    """Let built-in batteries, and loose ones changed for them, feed their own device where nothing else does."""
    found = []
    for id_, battery in _built_in(assembly, known).items():
        if id_ in fed:
            continue
        same = [
            other for other in assembly.parts(Battery)
            if other.id != battery.id and not other.outlets and other.nominal_voltage is not None
            and battery.nominal_voltage is not None and other.nominal_voltage.value == battery.nominal_voltage.value
        ]  # fmt: skip
        device = known[id_]
        found += [_edge(assembly, one, None, device.part, device.voltage) for one in dict.fromkeys((battery, *same))]
    return found


def _main(edges: list[Edge]) -> dict[str, Edge]:
    """Return the lead by which each device is fed: any other goes before a built-in battery."""
    found: dict[str, Edge] = {}
    for edge in edges:
        had = found.get(edge.fed.id)
        if had is None or (_is_built_in(had.source) and not _is_built_in(edge.source)):
            found[edge.fed.id] = edge
    return found


def _is_built_in(part: Part) -> bool:
    return isinstance(part, Battery) and (bool(part.installed) or not part.outlets)


def _is_source(part: Part) -> bool:
    return isinstance(part, Battery | MainsSupply | CarLead)


def _roots(id_: str, above: Mapping[str, list[Edge]], seen: frozenset[str] = frozenset()) -> set[str]:
    """Return the sources behind a device; a ring of hubs ends where it began."""
    found: set[str] = set()
    for edge in above.get(id_, ()):
        if _is_source(edge.source):
            found.add(edge.root)
        elif edge.source.id not in seen:
            found |= _roots(edge.source.id, above, seen | {id_})
    return found


def _groups(
    edges: list[Edge], known: Mapping[str, Device], counts: Mapping[str, int], *, pooled: bool
) -> tuple[Group, ...]:  # fmt: skip
    above: dict[str, list[Edge]] = {}
    sources: dict[str, Edge] = {}
    for edge in edges:
        above.setdefault(edge.fed.id, []).append(edge)
        if _is_source(edge.source):
            sources[edge.root] = edge
    cars = {root for root, edge in sources.items() if isinstance(edge.source, CarLead)}
    loose = {root for root, edge in sources.items() if not _is_built_in(edge.source)}
    sets: list[tuple[set[str], set[str]]] = [(set(cars), set())] if cars else []
    sets += [(set(loose), set())] if pooled and loose else []
    for id_ in known:
        roots = _roots(id_, above)
        if not roots:
            continue
        together = [one for one in sets if one[0] & roots]
        joined = (set.union(roots, *(one[0] for one in together)), set.union({id_}, *(one[1] for one in together)))
        sets = [one for one in sets if one not in together] + [joined]
    return tuple(_group(roots, fed, edges, sources, counts) for roots, fed in sets if fed)


def _group(
    roots: set[str], fed: set[str], edges: list[Edge], sources: Mapping[str, Edge], counts: Mapping[str, int]
) -> Group:  # fmt: skip
    found = [sources[root] for root in sources if root in roots]
    # What a built-in battery holds is a reserve where something else feeds its device.
    found = [edge for edge in found if not _is_built_in(edge.source)] or found
    kind: SourceKind = "battery"
    for sort, model in (("mains", MainsSupply), ("car", CarLead)):
        if any(isinstance(edge.source, model) for edge in found):
            kind = sort  # type: ignore[assignment]
            break
    own = frozenset(edge.root for edge in found)
    held: dict[str, tuple[Part, int]] = {}
    for edge in found:
        part = edge.source
        held[part.id] = (part, held.get(part.id, (part, 0))[1] + _count(edge, sources, counts))
    first = tuple(dict.fromkeys(edge.fed for edge in edges if edge.root in own))
    piece = found[0].piece if len(found) == 1 else 0
    return Group(kind, tuple(held.values()), frozenset(fed), own, first, piece)


def _count(edge: Edge, sources: Mapping[str, Edge], counts: Mapping[str, int]) -> int:
    """Return how many batteries stand behind a source: all of a sort, or a piece's share where leads have their own."""
    whole = max(1, counts.get(edge.source.id, 1))
    same = sorted({other.piece for other in sources.values() if other.source is edge.source})
    return len(range(same.index(edge.piece), whole, len(same))) or 1
