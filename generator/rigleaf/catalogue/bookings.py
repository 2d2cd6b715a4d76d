"""When things change hands and how many are left: loans and reservations as half-days and pieces.

Only dates are written down, and a date is a day of the calendar where the club is: no clock, no daylight saving.
A thing goes out in the afternoon and comes back in the morning. So a day has two places in which a piece can be: its
noon and the night that follows. A loan from the 5th to the 8th takes the nights of the 5th to the 7th and the noons
between them; another may begin on the 8th. What goes out and comes back on one day takes the noon of that day.
"""

import datetime as dt
import heapq
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from rigleaf.catalogue.catalogue import rig_uses
from rigleaf.catalogue.models.lending import Loan, Reservation
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.rig import Rig

MOST_CLASHES = 1000
"""Clashes that are told at once."""

_MOST_TOLD = 6

FOREVER = 2 * dt.date.max.toordinal() + 2
"""The end of what has no end that anybody knows."""


class Span(NamedTuple):
    """Half-days from ``start`` until before ``end``: 2 n is the noon of the day with ordinal n, 2 n + 1 its night."""

    start: int
    end: int

    def meets(self, other: "Span") -> bool:
        """Whether both need the same half-day."""
        return self.start < other.end and other.start < self.end


def span_of(first: dt.date, last: dt.date | None) -> Span:
    """Return the half-days from the afternoon of ``first`` to the morning of ``last``; without it there is no end."""
    start = noon(first) + 1
    if last is None:
        return Span(start, FOREVER)
    return Span(noon(first), start) if last == first else Span(start, noon(last))


def noon(day: dt.date) -> int:
    """Return the half-day that is the noon of a day."""
    return 2 * day.toordinal()


def day_of(half_day: int) -> dt.date:
    """Return the day to which a half-day belongs."""
    return dt.date.fromordinal(half_day // 2)


@dataclass(frozen=True, slots=True)
class Booking:
    """A loan or a reservation with what it takes.

    Attributes:
        entry: what the book says.
        pieces: how many of each part it takes, by id; none of parts that the club does not own.
        place: where it stands in the book, such as "desk/loans.yml:12".
        order: its place among all bookings, as they are read.
    """

    entry: Loan | Reservation
    pieces: Mapping[str, int]
    place: str
    order: int = 0

    @property
    def sort(self) -> Literal["loan", "reservation"]:
        """What it is."""
        return "loan" if isinstance(self.entry, Loan) else "reservation"

    @property
    def open(self) -> bool:
        """Whether it is a loan that has not come back."""
        return isinstance(self.entry, Loan) and self.entry.back is None

    @property
    def span(self) -> Span:
        """The half-days that it takes, as far as the book says when it ends."""
        return span_of(self.entry.first, self.entry.last)

    @property
    def sure(self) -> Span:
        """The half-days that it takes for certain: of a loan without a date for its return, its first night only."""
        span = self.span
        return Span(span.start, span.start + 1) if span.end == FOREVER else span


def stock_of(parts: Mapping[str, Part], rigs: Iterable[Rig]) -> dict[str, int]:
    """Return how many of each part there are: as stated, else as many as the one rig that needs most, and at least one.

    Parts of which none is owned are never at the club: a friend's, or a wish.
    """
    stock = {id_: 1 if part.owned is None else part.owned for id_, part in parts.items()}
    for rig in rigs:
        for id_, count in pieces_of_rig(rig).items():
            if id_ in parts and parts[id_].owned is None:
                stock[id_] = max(stock[id_], count)
    return stock


def pieces_of_rig(rig: Rig) -> Counter[str]:
    """Return how many of each part a rig is made of."""
    pieces: Counter[str] = Counter()
    for _, id_, count, _ in rig_uses(rig):
        pieces[id_] += count
    return pieces


def pieces_taken(entry: Loan | Reservation, rigs: Mapping[str, Rig], stock: Mapping[str, int]) -> dict[str, int]:
    """Return how many of each part a booking takes: the rig's but for what stays, and what goes with it.

    Of a rig that wants more than the club owns no more goes out than there is.
    """
    taken: Counter[str] = Counter()
    if entry.rig is not None:
        wanted = pieces_of_rig(rigs[entry.rig])
        taken.update({id_: min(count, stock.get(id_, 0)) for id_, count in wanted.items() if id_ not in entry.without})
    for use in entry.parts:
        taken[use.part] += use.count
    return {id_: count for id_, count in taken.items() if count}


@dataclass(frozen=True, slots=True)
class Clash:
    """A booking that wants pieces which others have.

    Attributes:
        booking: the one that begins while the others last.
        part: id of the first part of which there are too few.
        wanted: how many of it the booking takes.
        others: who has it then, each with how many; of many the first few.
        more: how many further parts are short in the same way.
        untold: how many others have it besides.
    """

    booking: Booking
    part: str
    wanted: int
    others: tuple[tuple[Booking, int], ...]
    more: int
    untold: int = 0


def clashes(bookings: Iterable[Booking], stock: Mapping[str, int]) -> Iterator[Clash]:
    """Yield every booking that begins while others have the pieces that it takes, once for the same others.

    A loan that has not come back counts to its due day. Without one it counts for its first night alone beside a
    reservation, since nothing says that it stays out; but what went out once more must have been back.
    """
    by_part: dict[str, list[Booking]] = {}
    for booking in sorted(bookings, key=lambda one: (one.span.start, one.order)):
        for id_ in booking.pieces:
            by_part.setdefault(id_, []).append(booking)
    found: dict[tuple[int, tuple[int, ...]], Clash] = {}
    for id_, users in by_part.items():
        certain, whole = _Holding(id_), _Holding(id_)
        for booking in users:
            holding = whole if booking.sort == "loan" else certain
            holding.end_before(booking.span.start)
            wanted = booking.pieces[id_]
            if holding.pieces and wanted + holding.pieces > stock.get(id_, 0):
                holders = holding.first(_MOST_TOLD)
                key = booking.order, (len(holding.running), *(one.order for one in holders))
                known = found.get(key)
                if known is None:
                    others = tuple((one, one.pieces[id_]) for one in holders)
                    found[key] = Clash(booking, id_, wanted, others, 0, len(holding.running) - len(holders))
                else:
                    found[key] = replace(known, more=known.more + 1)
                if len(found) >= MOST_CLASHES:
                    yield from found.values()
                    return
            certain.add(booking, booking.sure.end)
            whole.add(booking, booking.span.end)
    yield from found.values()


class _Holding:
    """What is out of one part as the days go by: how many pieces, and by which bookings."""

    def __init__(self, part: str) -> None:
        self.part = part
        self.pieces = 0
        self.running: list[tuple[int, int, int, Booking]] = []  # the one that ends first stands first

    def add(self, booking: Booking, end: int) -> None:
        heapq.heappush(self.running, (end, booking.span.start, booking.order, booking))
        self.pieces += booking.pieces[self.part]

    def end_before(self, half_day: int) -> None:
        """Give back what has ended by then."""
        while self.running and self.running[0][0] <= half_day:
            self.pieces -= heapq.heappop(self.running)[3].pieces[self.part]

    def first(self, most: int) -> list[Booking]:
        """Return those that began first."""
        return [one[3] for one in heapq.nsmallest(most, self.running, key=lambda one: one[1:3])]


def twice_out(bookings: Iterable[Booking]) -> Iterator[tuple[Booking, Booking]]:
    """Yield the loans that take the very piece, by its asset tag, that another one has at the time; the later first.

    Of several that have it, the one that has it longest is named.
    """
    by_asset: dict[str, list[Booking]] = {}
    for booking in sorted(bookings, key=lambda one: (one.span.start, one.order)):
        if isinstance(booking.entry, Loan) and booking.entry.asset:
            by_asset.setdefault(booking.entry.asset.casefold(), []).append(booking)
    for users in by_asset.values():
        longest: Booking | None = None  # of those before; whoever meets any of them meets this one
        for booking in users:
            if longest is not None and longest.span.meets(booking.span):
                yield booking, longest
            if longest is None or booking.span.end > longest.span.end:
                longest = booking
