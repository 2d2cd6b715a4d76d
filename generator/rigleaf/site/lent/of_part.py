"""What a part's page says of the club's book: where its pieces are, what is due, and how it was when last seen."""

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from rigleaf.catalogue.bookings import Booking, Span, noon
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.days import day_in_words
from rigleaf.lending.ledger import ledger_of
from rigleaf.lending.sentences import borrower, from_to
from rigleaf.lending.service import Care, Condition, Conditions, cares
from rigleaf.words import tr

MOST_COMING = 6
"""Bookings to come that a part's page names, the next first."""


@dataclass(frozen=True, slots=True)
class Holder:
    """Who has pieces of a part, or will: a rig by id and name, or nobody's rig where it was taken by itself."""

    count: int
    rig: str
    name: str
    words: str


@dataclass(frozen=True, slots=True)
class PartLending:
    """What the book says of a part.

    Attributes:
        on: the day as of which it was read.
        stock: how many the club owns.
        where: how many pieces are at the club, as a sentence.
        held: with whom the others are.
        coming: who takes some next.
        due: what is to be looked after, the most urgent first.
        history: what was looked after and how it was, the newest first.
    """

    on: dt.date
    stock: int
    where: str
    held: tuple[Holder, ...]
    coming: tuple[Holder, ...]
    due: tuple[Care, ...]
    history: tuple[Condition, ...]


class PartBook:
    """The book of a catalogue as of a day, by part."""

    def __init__(self, catalogue: Catalogue, on: dt.date) -> None:
        self.catalogue, self.on = catalogue, on
        self.ledger = ledger_of(catalogue, on)
        self.bookings: dict[str, list[Booking]] = defaultdict(list)
        for booking in sorted(self.ledger.bookings, key=lambda one: (one.span.start, one.order)):
            for part in booking.pieces:
                self.bookings[part].append(booking)
        self.conditions = Conditions(catalogue, on)
        self.cares: dict[str, list[Care]] = defaultdict(list)
        for care in cares(catalogue, on):
            if care.part is not None and care.due is not None:
                self.cares[care.part].append(care)

    def told(self, part: str) -> PartLending | None:
        """Return what the book says of a part, or None where the club owns none."""
        stock = self.ledger.stock[part]
        if not stock:
            return None
        day = Span(noon(self.on), noon(self.on) + 2)
        runs = [held for held in self.ledger.by_part.get(part, ()) if held.span.meets(day)]
        # Who brings it back on that day and who takes it away may both be named.
        holders = {one.order: one for held in runs for one in held.holders}
        coming = [one for one in self.bookings[part] if one.order not in holders and one.span.start >= day.end]
        return PartLending(
            self.on,
            stock,
            _where(stock, max((held.count for held in runs), default=0)),
            tuple(self._held(part, one) for one in sorted(holders.values(), key=lambda one: one.span)),
            tuple(self._coming(part, one) for one in coming[:MOST_COMING]),
            tuple(self.cares[part]),
            self.conditions.of_part(part),
        )

    def _held(self, part: str, booking: Booking) -> Holder:
        last = booking.entry.last
        if booking.sort == "reservation" and last is not None:
            words = tr("spoken for {days}", days=from_to(booking.entry.first, last))
        elif last is None:
            words = tr("with no date for the return")
        elif self.ledger.overdue(booking):
            words = tr("overdue: was due on {day}", day=day_in_words(last))
        else:
            words = tr("until {day}", day=day_in_words(last))
        return self._holder(part, booking, words)

    def _coming(self, part: str, booking: Booking) -> Holder:
        first, last = booking.entry.first, booking.entry.last
        return self._holder(
            part,
            booking,
            from_to(first, last) if last else tr("from {day} on", day=day_in_words(first)),
        )

    def _holder(self, part: str, booking: Booking, words: str) -> Holder:
        rig = booking.entry.rig
        name = self.catalogue.rigs[rig].name if rig is not None else ""
        return Holder(booking.pieces[part], rig or "", name, f"{words}{borrower(self.catalogue, booking)}")


def _where(stock: int, away: int) -> str:
    left = stock - away
    if stock == 1:
        return tr("It is away") if away else tr("It is at the club")
    if not away:
        return tr("All {stock} are at the club", stock=stock)
    if not left:
        return tr("All {stock} are away", stock=stock)
    there = tr("{left} of {stock} is at the club") if left == 1 else tr("{left} of {stock} are at the club")
    return tr(there, left=left, stock=stock)
