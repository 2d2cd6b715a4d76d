"""Current and voltage along every lead of a rig, with all devices at their most at the same time."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Battery, Cable, CarLead, Hub, MainsSupply
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night.budget import Budget
from rigleaf.chapters.power_for_the_night.outlets import asks_usb_for_12_volts
from rigleaf.chapters.power_for_the_night.physics import loop_resistance, voltage_behind
from rigleaf.chapters.power_for_the_night.wiring import Edge, Wiring

ROOM = 0.04
"""Part of the supply voltage that should be left above the least: a battery near its end and worn plugs take as much.
A choice of this guide."""
WARM = 20.0
"""Temperature of copper in deg C where the night's is unsaid."""


@dataclass(frozen=True, slots=True)
class Span:
    """One lead at its most.

    Attributes:
        edge: source, lead and device.
        watts: power that goes into the lead, W.
        current: in the lead, A; None where no voltage is known.
        ohm: resistance there and back; None where gauge or length of a named lead is unsaid.
        starts: voltage at which its way begins: at the source, or at the last converter, V; None where it is unsaid.
        arrives: voltage at the device, V; None where resistance or voltage is unsaid.
        lowest: voltage that the device needs, V; None where it states none.
        limit: largest current of the outlet, A; None where it is unsaid.
        unsaid: whether the draw of the device is unsaid, so that nothing is known of this lead.
        least: whether the draw of something that it passes on to is unsaid, so that more flows than is counted.
    """

    edge: Edge
    watts: float
    current: float | None
    ohm: float | None
    starts: float | None
    arrives: float | None
    lowest: float | None
    limit: float | None
    unsaid: bool = False
    least: bool = False

    @property
    def room(self) -> float | None:
        """Volts above what the device needs; None where either is unsaid."""
        return None if self.arrives is None or self.lowest is None else self.arrives - self.lowest

    @property
    def room_share(self) -> float:
        """That room as a part of the supply voltage; endless where it is unsaid."""
        if self.room is None or self.lowest is None:
            return np.inf
        power = self.edge.fed.power
        supply = power.voltage.value if power is not None and power.voltage is not None else self.lowest
        return self.room / supply

    @property
    def taken(self) -> float:
        """Part of what may be lost on the way that is lost; more than 1 where the device stops."""
        if self.arrives is None or self.lowest is None or self.starts is None or self.starts <= self.lowest:
            return 0.0 if self.room is None or self.room >= 0 else np.inf
        return (self.starts - self.arrives) / (self.starts - self.lowest)


@dataclass(frozen=True, slots=True)
class Limit:
    """A current that may not be exceeded, and what flows.

    Attributes:
        part: what sets the limit.
        what: which limit of it, in words that follow its name.
        current: largest current that flows, A.
        most: the limit, A.
        fed: the one device that takes it, where it is one.
    """

    part: Part
    what: str
    current: float
    most: float
    fed: Part | None = None

    @property
    def share(self) -> float:
        """Part of the limit that is used."""
        return self.current / self.most


@dataclass(frozen=True, eq=False)
class Leads:
    """All leads of a rig at their most.

    Attributes:
        spans: each lead, sources first.
        limits: every limit that is stated.
        crowded: sources with more leads than outlets: the source, leads, outlets.
        short: leads that are used more often than they go along: the lead, uses, pieces.
        usb_12v: leads that ask 12 V of a USB-C outlet.
        beyond: batteries of which a piece is named that does not go along: the battery, the number, how many there are.
    """

    spans: tuple[Span, ...]
    limits: tuple[Limit, ...]
    crowded: tuple[tuple[Part, int, int], ...]
    short: tuple[tuple[Part, int, int], ...]
    usb_12v: tuple[Edge, ...]
    beyond: tuple[tuple[Part, int, int], ...]


def leads(assembly: Assembly, budget: Budget) -> Leads:
    """Return what flows through a rig's leads and outlets when every device takes its most."""
    wiring = budget.wiring
    # Copper conducts worst while it is warm: at the beginning of the night.
    warm = float(budget.scene.air.temperature.max()) if budget.scene.air is not None else WARM
    counts = {item.part.id: 0 for item in assembly.items}
    for item in assembly.items:
        counts[item.part.id] += item.count
    missing = frozenset(part.id for part in budget.missing)
    flows = _Flows(wiring, {one.part.id: one.peak or 0.0 for one in budget.devices}, missing, warm)
    fed = set(wiring.edges)
    roots = dict.fromkeys(edge.source for edge in wiring.edges.values() if edge.source.id not in fed)
    spans = tuple(span for root in roots for span in flows.behind(root, None, None, frozenset()))
    return Leads(
        spans,
        tuple(_limits(spans)),
        tuple(_crowded(wiring, counts)),
        tuple(_short(assembly, wiring, counts)),
        tuple(edge for edge in wiring.edges.values() if asks_usb_for_12_volts(edge.tap)),
        tuple(
            dict.fromkeys(
                (edge.source, edge.piece, counts.get(edge.source.id, 0))
                for edge in wiring.edges.values()
                if edge.piece > counts.get(edge.source.id, 0)
            )
        ),
    )


def resistance(lead: Part | None, temperature: float) -> float | None:
    """Return the resistance of a lead there and back in ohm: nothing where it is built in, None where it is unsaid."""
    if lead is None:
        return 0.0
    if not isinstance(lead, Cable | CarLead) or lead.gauge is None or lead.length is None:
        return None
    return loop_resistance(float(lead.gauge), lead.length.value / 1000, temperature)


@dataclass(frozen=True)
class _Flows:
    """Follows power down the leads."""

    wiring: Wiring
    peaks: Mapping[str, float]
    missing: frozenset[str]
    warm: float

    def into(self, id_: str, seen: frozenset[str] = frozenset()) -> float:
        """Return the power that a part takes at most, with what it passes on and what is lost in leads behind it."""
        whole = self.peaks.get(id_, 0.0)
        for edge in self.wiring.below.get(id_, ()):
            if edge.fed.id not in seen:
                whole += self._sent(edge, self.into(edge.fed.id, seen | {id_})) / edge.tap.efficiency
        return whole

    def _passes_unsaid(self, id_: str, seen: frozenset[str] = frozenset()) -> bool:
        """Say whether the draw of a part, or of anything behind it, is unsaid."""
        behind = (edge.fed.id for edge in self.wiring.below.get(id_, ()) if edge.fed.id not in seen)
        return id_ in self.missing or any(self._passes_unsaid(one, seen | {id_}) for one in behind)

    def _sent(self, edge: Edge, power: float) -> float:
        """Return the power that goes into a lead so that its end gets so much."""
        ohm, volts = self.ohm(edge), _volts(edge)
        if not ohm or volts is None or power <= 0:
            return power
        return power * volts / voltage_behind(volts, ohm, power)

    def ohm(self, edge: Edge) -> float | None:
        """Return the resistance between a source and what it feeds; a car lead is a lead too."""
        own = resistance(edge.lead, self.warm)
        before = resistance(edge.source, self.warm) if isinstance(edge.source, CarLead) else 0.0
        return None if own is None or before is None else own + before

    def behind(
        self, source: Part, began: float | None, arrives: float | None, seen: frozenset[str]
    ) -> list[Span]:  # fmt: skip
        """Return all leads behind a part whose own supply voltage is given, and the one with which its way began."""
        found: list[Span] = []
        for edge in self.wiring.below.get(source.id, ()):
            if edge.fed.id in seen:
                continue
            through = edge.tap.passes and arrives is not None
            start = arrives if through else _volts(edge)
            first = began if through else start
            power = self.into(edge.fed.id, seen | {source.id})
            ohm = self.ohm(edge)
            end = voltage_behind(start, ohm, power) if start is not None and ohm is not None else None
            current = power / (end or start) if start else None
            draw = edge.fed.power
            lowest = draw.lowest_voltage.value if draw is not None and draw.lowest_voltage is not None else None
            outlet = edge.tap.outlet
            limit = outlet.current_limit.value if outlet is not None and outlet.current_limit is not None else None
            sent = current * start if current is not None and start is not None else power
            if edge.fed.id in self.missing and not power:
                found.append(Span(edge, 0.0, None, ohm, first, None, lowest, limit, unsaid=True))
            else:
                least = self._passes_unsaid(edge.fed.id)
                found.append(Span(edge, sent, current, ohm, first, end, lowest, limit, least=least))
            found += self.behind(edge.fed, first, end, seen | {source.id})
        return found


def _volts(edge: Edge) -> float | None:
    """Return the voltage at which a lead begins: the outlet's, else what the device asks for."""
    if edge.tap.voltage is not None:
        return edge.tap.voltage
    draw = edge.fed.power
    return draw.voltage.value if draw is not None and draw.voltage is not None else None


def _limits(spans: tuple[Span, ...]) -> list[Limit]:
    found: list[Limit] = []
    whole: dict[str, tuple[Part, float]] = {}  # each battery of a sort by itself: one that follows takes all of it
    for span in spans:
        source = span.edge.source
        outlet = span.edge.tap.outlet
        if span.limit is not None and span.current is not None and outlet is not None:
            found.append(Limit(source, f"at outlet '{outlet.kind}'", span.current, span.limit, span.edge.fed))
        taken = span.watts / span.edge.tap.efficiency
        root = span.edge.root
        whole[root] = (source, whole.get(root, (source, 0.0))[1] + taken)
    into = {span.edge.fed.id: span for span in spans}
    for source, watts in whole.values():
        limit = _own_limit(source)
        volts = _supply_voltage(source, into.get(source.id))
        if limit is None or not volts:
            continue
        what, most = limit
        found.append(Limit(source, what, watts / volts, most))
    return found


def _own_limit(source: Part) -> tuple[str, float] | None:
    if isinstance(source, CarLead):
        return ("in its fuse", source.fuse.value) if source.fuse is not None else None
    if isinstance(source, Battery | Hub | MainsSupply) and source.current_limit is not None:
        return ("in all", source.current_limit.value)
    return None


def _supply_voltage(source: Part, span: Span | None) -> float | None:
    if isinstance(source, Battery):
        return source.nominal_voltage.value if source.nominal_voltage is not None else None
    if isinstance(source, MainsSupply):
        return source.output_voltage.value if source.output_voltage is not None else None
    if isinstance(source, CarLead):
        return 12.0
    if span is not None and span.arrives is not None:
        return span.arrives
    return source.power.voltage.value if source.power is not None and source.power.voltage is not None else None


def _crowded(wiring: Wiring, counts: Mapping[str, int]) -> list[tuple[Part, int, int]]:
    """Return sources of which more leads leave than they have outlets of that sort."""
    taken: dict[tuple[str, str], tuple[Part, int, int]] = {}
    for edge in wiring.edges.values() if wiring.stated else ():
        outlet = edge.tap.outlet
        if outlet is None or outlet.count is None:
            continue
        # Of several batteries, one has all leads until the next takes over.
        pieces = (1 if isinstance(edge.source, Battery) else max(1, counts.get(edge.source.id, 1))) * outlet.count
        key = (edge.root, outlet.kind)
        taken[key] = (edge.source, taken.get(key, (edge.source, 0, 0))[1] + counts.get(edge.fed.id, 1), pieces)
    return [(source, leads, pieces) for source, leads, pieces in taken.values() if leads > pieces]


def _short(assembly: Assembly, wiring: Wiring, counts: Mapping[str, int]) -> list[tuple[Part, int, int]]:
    parts = assembly.catalogue.parts
    return [(parts[id_], uses, counts.get(id_, 0)) for id_, uses in wiring.uses.items() if uses > counts.get(id_, 0)]


def lowest(found: Leads) -> Span | None:
    """Return the lead to look at: the one that leaves too little, else the one that takes most of what may be lost."""
    known = [span for span in found.spans if span.room is not None]
    least = min(known, key=lambda span: span.room_share, default=None)
    if least is None or least.room_share < ROOM:
        return least
    return max(known, key=lambda span: span.taken)


def fullest(found: Leads) -> Limit | None:
    """Return the limit of which most is used."""
    return max(found.limits, key=lambda limit: limit.share, default=None)
