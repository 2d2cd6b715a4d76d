"""What can be had of a rig day by day, worked out from the book."""

import datetime as dt
from bisect import bisect_left, bisect_right
from dataclasses import dataclass, replace
from itertools import pairwise

from rigleaf.catalogue.bookings import FOREVER, Booking, day_of, noon
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.lending.ledger import Awaited, Held, Ledger, ledger_of
from rigleaf.lending.phases import Phase, State
from rigleaf.lending.sentences import Absence, Words

_ONE_DAY = dt.timedelta(days=1)


def phases_of(catalogue: Catalogue, rig_id: str, from_day: dt.date, on: dt.date | None = None) -> tuple[Phase, ...]:
    """Return the phases of a rig from a day on; the last one has no end.

    A rig is out while somebody has it, in whole or in part. It is short when it was not lent, but a booking of
    something else holds a part that it needs and of which too few are left. A reservation goes before a loan that is
    overdue or that nobody said the end of: it then says that it hangs on its return. The day on which something is due
    counts as one on which it is away, unless another has it from that day on. A rig that is here only if something
    that is out comes back by the day agreed is due back: a later reader's clock may have passed that day.

    Args:
        catalogue: the guide.
        rig_id: id of the rig.
        from_day: the first day of the first phase.
        on: the day as of which the book is read; that of the build where none is given.
    """
    ledger = ledger_of(catalogue, on)
    key = rig_id, from_day
    if key not in ledger.told:
        ledger.told[key] = _RigBook(catalogue, ledger, rig_id).phases(from_day)
    return ledger.told[key]


@dataclass(frozen=True, slots=True)
class _Told:
    """What holds of a rig on a day: its state, by whose booking, what is missing, whether a second one can be had.

    Where it is due back the booking is its own loan, or what is missing are the parts that must come back.
    """

    state: State
    booking: Booking | None = None
    missing: tuple[tuple[str, int], ...] = ()
    second: bool = False


class _RigBook:
    """What the book says of one rig."""

    def __init__(self, catalogue: Catalogue, ledger: Ledger, rig_id: str) -> None:
        self.ledger = ledger
        self.words = Words(catalogue, ledger, rig_id)
        self.own = ledger.by_rig.get(rig_id, ())
        self.needs = ledger.needs[rig_id]
        self.never = {id_: n - ledger.stock[id_] for id_, n in self.needs.items() if n > ledger.stock[id_]}
        self.lacks: dict[str, tuple[Held, ...]] = {}
        self.awaited: dict[str, Awaited] = {}
        for id_, need in self.needs.items():
            if id_ not in self.never:
                if found := ledger.lacks(id_, need):
                    self.lacks[id_] = found
                if awaited := ledger.awaited(id_, need):
                    self.awaited[id_] = awaited

    def phases(self, from_day: dt.date) -> tuple[Phase, ...]:
        """Return the phases from a day on."""
        days = self._days(from_day)
        told: list[tuple[dt.date, _Told]] = []
        for day, missing in zip(days, self._missing(days), strict=True):
            one = self._told(day, missing)
            if not told or told[-1][1] != one:
                told.append((day, one))
        lasts = [*(after - _ONE_DAY for _, (after, _) in pairwise(told)), None]
        found: list[Phase] = []
        for number, ((first, one), last) in enumerate(zip(told, lasts, strict=True)):
            after = told[number + 1] if number + 1 < len(told) else None
            parts = tuple(id_ for id_, _ in one.missing)
            phase = Phase(first, last, one.state, self._clauses(first, one, after), parts)
            if found and replace(found[-1], first=first, last=last) == phase:  # two bookings of which the same is said
                phase = replace(phase, first=found.pop().first)
            found.append(phase)
        return tuple(found)

    def _days(self, from_day: dt.date) -> list[dt.date]:
        """Return the days on which something may change, the first one included."""
        spans = [self.ledger.held(booking) for booking in self.own]
        spans += [held.span for some in self.lacks.values() for held in some]
        edges = {edge for span in spans for edge in span if edge != FOREVER}
        # An edge changes its own day and, at noon or for the night only, the next one too.
        days = {day for edge in edges for day in (day_of(edge), day_of(edge) + _ONE_DAY)}
        dues = (booking.entry.last for booking in self.own if self.ledger.overdue(booking))
        days |= {due + _ONE_DAY for due in dues if due is not None}
        days |= {one.day for one in self.awaited.values()}
        return sorted({from_day, *(day for day in days if day > from_day)})

    def _told(self, day: dt.date, missing: dict[str, int]) -> _Told:
        halves = (noon(day) + 1, noon(day))  # who has it for the night has it that day
        own = [(half, one) for half in halves for one in self.own if _within(half, self.ledger.held(one))]
        if own:
            # What is known to be so goes before a loan of which nobody knows the return.
            _, booking = min(own, key=lambda one: (self.ledger.unsure(one[1]), -one[0], one[1].sort, one[1].order))
            return _Told(self._state(booking, day), booking, second=not missing)
        if missing:
            return _Told("short", None, tuple(missing.items()))
        lent = [one for one in self.own if self._due_before(one, day)]
        if lent:
            return _Told("due back", max(lent, key=lambda one: (one.entry.last, one.order)))
        awaited = tuple((id_, 1) for id_, one in self.awaited.items() if one.day <= day)
        return _Told("due back" if awaited else "here", None, awaited)

    def _due_before(self, booking: Booking, day: dt.date) -> bool:
        """Whether something that is out was to be back before a day, and the day agreed may still come."""
        last = booking.entry.last
        return booking.open and not self.ledger.overdue(booking) and last is not None and last < day

    def _missing(self, days: list[dt.date]) -> list[dict[str, int]]:
        """Return for each day how many of which parts are missing at its noon or its night, in the order of the rig."""
        found: list[dict[str, int]] = [{} for _ in days]
        for id_, need in self.needs.items():
            if id_ in self.never:
                for one in found:
                    one[id_] = self.never[id_]
            for held in self.lacks.get(id_, ()):
                short = need + held.count - self.ledger.stock[id_]
                first = bisect_left(days, day_of(held.span.start))
                last = len(days) if held.span.end == FOREVER else bisect_right(days, day_of(held.span.end - 1))
                for one in found[first:last]:
                    one[id_] = max(one.get(id_, 0), short)
        return found

    def _state(self, booking: Booking, day: dt.date) -> State:
        if booking.sort == "reservation":
            return "spoken for"
        last = booking.entry.last
        return "overdue" if self.ledger.overdue(booking) and last is not None and day > last else "out"

    def _clauses(self, day: dt.date, told: _Told, after: tuple[dt.date, _Told] | None) -> tuple[str, ...]:
        coming = self._coming(*after) if after is not None else ()
        if told.state == "here":
            return "here", *coming
        if told.state == "short":
            return self.words.short([self._absence(id_, count, day) for id_, count in told.missing])
        if told.booking is None:
            return *self.words.due_back_with([self.awaited[id_] for id_, _ in told.missing]), *coming
        if told.state == "due back" and told.booking.entry.last is not None:
            return *self.words.due_back(told.booking.entry.last), *coming
        return self.words.of_booking(told.booking, told.state, second=told.second)

    def _coming(self, day: dt.date, told: _Told) -> tuple[str, ...]:
        """Return what is said while a rig is here of what comes next, from a day on."""
        if told.state in ("here", "due back"):
            return ()
        if told.booking is not None:
            return (self.words.coming(told.booking),)
        return (self.words.coming_short([*told.missing], day),)

    def _absence(self, id_: str, count: int, day: dt.date) -> Absence:
        """Return who has a part that is missing on a day, and until when it stays away without a gap."""
        some = self.lacks.get(id_, ())
        night = noon(day) + 1
        end = night
        holders: dict[int, Booking] = {}
        # From the first run that lasts into this day on, those that follow each other without a gap.
        for held in some[bisect_right(some, noon(day), key=lambda one: one.span.end) :]:
            if held.span.start > end:
                break
            if held.span.start <= night:
                holders.update({one.order: one for one in held.holders})
            end = held.span.end
        return Absence(id_, count, day_of(end - 1) if end != FOREVER else None, tuple(holders.values()))


def _within(half: int, span: tuple[int, int]) -> bool:
    return span[0] <= half < span[1]
