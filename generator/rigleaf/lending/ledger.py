"""The book as of a day: every booking with what it takes, and how many pieces of each part are away when."""

import datetime as dt
import weakref
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from rigleaf.catalogue.bookings import FOREVER, Booking, Span, pieces_of_rig, pieces_taken, stock_of
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.desk import Written
from rigleaf.catalogue.models.lending import Loan, Reservation
from rigleaf.lending.phases import Phase
from rigleaf.lending.today import as_of


@dataclass(frozen=True, slots=True)
class Held:
    """A run of half-days over which the same bookings have pieces of a part.

    ``count`` is how many pieces are away, never more than there are; what a reservation waits for counts once.
    ``wanted`` is the plain sum.
    """

    span: Span
    count: int
    wanted: int
    holders: tuple[Booking, ...]


@dataclass(frozen=True, slots=True)
class Awaited:
    """A part of which there are enough from a day on only if some loans, all due before, came back as agreed."""

    part: str
    day: dt.date
    loans: tuple[Booking, ...]


@dataclass(frozen=True)
class Ledger:
    """What the club has promised, as of a day.

    Attributes:
        on: the day; what is due before it and not back is overdue.
        bookings: loans and reservations in the order of the book.
        stock: how many of each part there are.
        needs: how many of each part every rig is made of.
    """

    on: dt.date
    bookings: tuple[Booking, ...]
    stock: Mapping[str, int]
    needs: Mapping[str, Mapping[str, int]]
    told: dict[tuple[str, dt.date], tuple[Phase, ...]] = field(default_factory=dict, repr=False, compare=False)
    """Phases that were worked out already, by rig and first day: pages and calendars ask for the same ones."""
    _lacks: dict[tuple[str, int], tuple[Held, ...]] = field(default_factory=dict, repr=False, compare=False)

    def overdue(self, booking: Booking) -> bool:
        """Whether something should be back by now and is not."""
        return booking.open and booking.entry.last is not None and booking.entry.last < self.on

    def unsure(self, booking: Booking) -> bool:
        """Whether nobody knows when something that is out comes back: it is overdue, or nobody said when it is due."""
        return booking.open and (booking.entry.last is None or self.overdue(booking))

    def awaited(self, part: str, need: int) -> "Awaited | None":
        """Return which loans must come back as agreed, lest from some day on fewer than ``need`` of a part be left.

        What has no known return counts as away from the day on which it went out. What is only spoken for meanwhile
        does not count: it says on its own days that somebody has it.
        """
        left = self.stock.get(part, 0) - need
        late: list[Booking] = []
        for day, booking in self._open_by_part.get(part, ()):
            left -= booking.pieces[part]
            if not self.unsure(booking):
                late.append(booking)
            if left < 0:
                return Awaited(part, day, tuple(late)) if late else None
        return None

    @cached_property
    def _open_by_part(self) -> Mapping[str, Sequence[tuple[dt.date, Booking]]]:
        """For each part the open loans that have some, each with the day from which nobody knows that it is back."""
        found: dict[str, list[tuple[dt.date, Booking]]] = {}
        for one in self.bookings:
            due = one.entry.last
            if one.open and (due is None or due < dt.date.max):
                day = one.entry.first if due is None or self.overdue(one) else due + dt.timedelta(days=1)
                for id_ in one.pieces:
                    found.setdefault(id_, []).append((day, one))
        return {id_: sorted(some, key=lambda one: (one[0], one[1].order)) for id_, some in found.items()}

    def held(self, booking: Booking) -> Span:
        """Return the half-days over which a booking keeps its pieces away.

        What is still to come back keeps them through the noon of the day on which it is due: until then it is not here.
        """
        span = booking.span
        if self.unsure(booking):
            return Span(span.start, FOREVER)
        on_one_day = booking.entry.first == booking.entry.last
        back = not booking.open and booking.sort == "loan"
        return span if back or on_one_day or span.end == FOREVER else Span(span.start, span.end + 1)

    @cached_property
    def by_rig(self) -> Mapping[str, tuple[Booking, ...]]:
        """The bookings of each rig that has any, the earliest first."""
        found: dict[str, list[Booking]] = {}
        for booking in sorted(self.bookings, key=lambda one: (one.span.start, one.order)):
            if booking.entry.rig is not None:
                found.setdefault(booking.entry.rig, []).append(booking)
        return {id_: tuple(some) for id_, some in found.items()}

    @cached_property
    def by_part(self) -> Mapping[str, tuple[Held, ...]]:
        """For each part that is ever away: the runs of half-days over which the same pieces are."""
        users: dict[str, list[Booking]] = {}
        for booking in self.bookings:
            for id_ in booking.pieces:
                users.setdefault(id_, []).append(booking)
        return {id_: tuple(self._runs(id_, some)) for id_, some in users.items()}

    def _runs(self, id_: str, users: list[Booking]) -> Iterator[Held]:
        spans = [(self.held(booking), booking) for booking in users]
        changes = sorted({edge for span, _ in spans for edge in span})
        waiting = sorted(spans, key=lambda one: (one[0].start, one[1].order), reverse=True)
        active: list[tuple[Span, Booking]] = []
        for start, end in pairwise(changes):
            active = [one for one in active if one[0].end > start]
            while waiting and waiting[-1][0].start <= start:
                active.append(waiting.pop())
            if active:
                holders = tuple(booking for _, booking in active)
                wanted = sum(one.pieces[id_] for one in holders)
                away = wanted - self._counted_twice(id_, holders)
                yield Held(Span(start, end), min(away, self.stock.get(id_, 0)), wanted, holders)

    def _counted_twice(self, id_: str, holders: Sequence[Booking]) -> int:
        """Return how many pieces are those of a loan that is not back and of a later booking of the same rig."""
        later: Counter[str] = Counter()
        for one in holders:
            if one.entry.rig is not None and not self.unsure(one):
                later[one.entry.rig] += one.pieces[id_]
        twice = 0
        for one in holders:
            if one.entry.rig is not None and self.unsure(one):
                both = min(one.pieces[id_], later[one.entry.rig])
                later[one.entry.rig] -= both
                twice += both
        return twice

    def lacks(self, part: str, need: int) -> tuple[Held, ...]:
        """Return the half-days over which fewer than ``need`` pieces of a part are left of those that there are."""
        key = part, need
        if key not in self._lacks:
            left = self.stock.get(part, 0) - need
            self._lacks[key] = tuple(held for held in self.by_part.get(part, ()) if held.count > left)
        return self._lacks[key]

    def contradictions(self) -> Iterator[tuple[Booking, Booking, tuple[str, ...]]]:
        """Yield loans that went out with pieces of an overdue one, which must have been back by then, and the parts.

        Only what was out together when the later one went out counts: what is spoken for later accuses nobody.
        """
        for booking in self.bookings:
            if booking.sort != "loan" or booking.entry.first > self.on:
                continue
            found: dict[int, tuple[Booking, list[str]]] = {}
            for id_ in booking.pieces:
                out = self._out_at(id_, booking.span.start)
                if sum(one.pieces[id_] for one in out) > self.stock.get(id_, 0):
                    for other in out:
                        if self.overdue(other) and other.span.start < booking.span.start:
                            found.setdefault(other.order, (other, []))[1].append(id_)
            for _, (other, ids) in sorted(found.items()):
                yield booking, other, tuple(ids)

    def _out_at(self, part: str, moment: int) -> tuple[Booking, ...]:
        """Return the loans that have some of a part at a half-day."""
        runs = (held for held in self.by_part.get(part, ()) if held.span.start <= moment < held.span.end)
        return tuple(one for held in runs for one in held.holders if one.sort == "loan")

    @cached_property
    def _waited_for(self) -> Mapping[str, tuple[Held, ...]]:
        """For each part: when more pieces are wanted than there are and nobody knows the return of some."""
        found = {
            id_: tuple(
                one for one in runs if one.wanted > self.stock.get(id_, 0) and any(map(self.unsure, one.holders))
            )
            for id_, runs in self.by_part.items()
        }
        return {id_: runs for id_, runs in found.items() if runs}

    def hangs_on(self, booking: Booking) -> tuple[tuple[Booking, tuple[str, ...]], ...]:
        """Return the loans without a known return on which a booking hangs, each with the ids of the parts."""
        found: dict[int, tuple[Booking, dict[str, None]]] = {}
        for id_ in booking.pieces:
            for held in self._waited_for.get(id_, ()):
                if held.span.meets(booking.span):
                    for other in held.holders:
                        if other is not booking and self.unsure(other):
                            found.setdefault(other.order, (other, {}))[1][id_] = None
        return tuple((other, tuple(ids)) for _, (other, ids) in sorted(found.items()))


_ledgers: dict[int, tuple[weakref.ref[Catalogue], dict[dt.date, Ledger]]] = {}


def ledger_of(catalogue: Catalogue, on: dt.date | None = None) -> Ledger:
    """Return the book of a catalogue as of a day, that of the build where none is given; made once."""
    day = as_of(catalogue) if on is None else on
    key = id(catalogue)
    known = _ledgers.get(key)
    if known is None or known[0]() is not catalogue:
        known = _ledgers[key] = weakref.ref(catalogue, lambda _: _ledgers.pop(key, None)), {}
    if day not in known[1]:
        known[1].clear()  # one day at a time is asked for
        known[1][day] = _made(catalogue, day)
    return known[1][day]


def hand_on(before: Catalogue, after: Catalogue) -> None:
    """Let a catalogue have what was worked out of the book of an earlier one, of rigs that are the same objects.

    What is said of a rig depends on itself and on the bookings: on what these take, and on the names of all that they
    name. Where any of that differs, or how many there are of a part, everything is worked out anew.
    """
    known = _ledgers.get(id(before))
    if known is None or known[0]() is not before or before is after:
        return
    if any(getattr(before, name) != getattr(after, name) for name in ("guide", "desk", "parts", "places")):
        return
    same = {id_ for id_, rig in after.rigs.items() if before.rigs.get(id_) is rig}
    for day, old in known[1].items():
        new = ledger_of(after, day)
        if new.stock == old.stock and all(one.entry.rig is None or one.entry.rig in same for one in old.bookings):
            new.told.update((key, phases) for key, phases in old.told.items() if key[0] in same)


def _made(catalogue: Catalogue, on: dt.date) -> Ledger:
    stock = stock_of(catalogue.parts, catalogue.rigs.values())
    desk = catalogue.desk
    written: list[Written[Loan] | Written[Reservation]] = [*desk.loans, *desk.reservations]
    bookings = tuple(
        Booking(one.entry, pieces_taken(one.entry, catalogue.rigs, stock), one.place, order)
        for order, one in enumerate(written)
    )
    return Ledger(on, bookings, stock, {id_: pieces_of_rig(rig) for id_, rig in catalogue.rigs.items()})
