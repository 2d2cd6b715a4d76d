"""What the guide says of a rig's loans and reservations, in words that name nobody unless the club wants it so."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from rigleaf.catalogue.bookings import Booking
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.days import day_in_words, days_in_words
from rigleaf.catalogue.models.rig import Use
from rigleaf.catalogue.wording import listed
from rigleaf.lending.ledger import Awaited, Ledger
from rigleaf.lending.phases import State
from rigleaf.words import tr

MOST_NAMED = 3
"""Parts that a sentence names; of more it says how many."""


@dataclass(frozen=True, slots=True)
class Absence:
    """A part that a rig misses: how many pieces, the last day without it (None: nobody knows), and who has some.

    Nobody has it where the club never owned enough.
    """

    part: str
    count: int
    last: dt.date | None
    holders: tuple[Booking, ...]


class Words:
    """Sentences about one rig."""

    def __init__(self, catalogue: Catalogue, ledger: Ledger, rig_id: str) -> None:
        self.catalogue = catalogue
        self.ledger = ledger
        self.rig_id = rig_id

    def of_booking(self, booking: Booking, state: State, *, second: bool = False) -> tuple[str, ...]:
        """Say what a booking of the rig does to it, and whether a second one can be had meanwhile."""
        entry = booking.entry
        first, last = entry.first, entry.last
        if state == "overdue" and last is not None:
            said = tr("was due on {day}, not back yet", day=day_in_words(last))
        elif last is None:
            said = tr("out, with no date for its return")
        elif state == "spoken for":
            said = tr("spoken for {days}{hanging}", days=from_to(first, last), hanging=self._hanging(booking))
        elif first > self.ledger.on or not booking.open:
            said = tr("out {days}", days=from_to(first, last))
        else:
            said = tr("out until {day}", day=day_in_words(last))
        another = (tr("a second one can be put together from what is here"),) if second else ()
        return f"{said}{borrower(self.catalogue, booking)}", *self._stayed(booking), *another

    def _stayed(self, booking: Booking) -> tuple[str, ...]:
        names = [self._name(id_) for id_ in booking.entry.without]
        gone = booking.sort == "loan" and booking.entry.first <= self.ledger.on
        one = "{few} stayed at the club" if gone else "{few} stays at the club"
        many = "{few} stayed at the club" if gone else "{few} stay at the club"
        return (tr(one if len(names) == 1 else many, few=few(names)),) if names else ()

    def _hanging(self, booking: Booking) -> str:
        loans = self.ledger.hangs_on(booking)
        if not loans:
            return ""
        if any(loan.entry.rig == self.rig_id for loan, _ in loans):
            return tr(", if it is back by then")
        names = [self._name(id_) for id_ in dict.fromkeys(id_ for _, ids in loans for id_ in ids)]
        return tr(", if {few} is back by then" if len(names) == 1 else ", if {few} are back by then", few=few(names))

    def due_back(self, due: dt.date) -> tuple[str, ...]:
        """Say by when the rig was to come back, so that it is here again."""
        return tr("due back on {day}", day=day_in_words(due)), tr("here if it comes back as agreed")

    def due_back_with(self, awaited: Sequence[Awaited]) -> tuple[str, ...]:
        """Say which parts were to come back by when, so that all of the rig is here again."""
        absent = [Absence(one.part, 1, max(loan.entry.last or loan.entry.first for loan in one.loans), one.loans)
                  for one in awaited]  # fmt: skip
        due = max(one.last for one in absent if one.last is not None)
        parts = {"absent": self._absent(absent), "day": day_in_words(due), "with_": self._with(absent)}
        return tr("due back: {absent} on {day}{with_}", **parts), tr("here if all comes back as agreed")

    def coming(self, booking: Booking) -> str:
        """Say from when somebody has the rig next."""
        does = tr("spoken for from") if booking.sort == "reservation" else tr("goes out on")
        return f"{does} {day_in_words(booking.entry.first)}"

    def coming_short(self, missing: Sequence[tuple[str, int]], day: dt.date) -> str:
        """Say from when the rig will be short of parts."""
        return tr("short of {counted} from {day}", counted=self._counted(missing), day=day_in_words(day))

    def short(self, absences: Sequence[Absence]) -> tuple[str, ...]:
        """Say what the rig is short of, until when, and with which rig that is."""
        known = [one for one in absences if one.holders and one.last is not None]
        unknown = [one for one in absences if one.holders and one.last is None]
        said = []
        if known:
            until = max(one.last for one in known if one.last is not None)
            said.append(
                tr(
                    "{absent} until {day}{with_}",
                    absent=self._absent(known),
                    day=day_in_words(until),
                    with_=self._with(known),
                )
            )
        if unknown:
            said.append(f"{self._absent(unknown)}, {self._lost(unknown)}{self._with(unknown)}")
        for one in [one for one in absences if not one.holders][:MOST_NAMED]:
            owned, need = self.ledger.stock[one.part], self.ledger.needs[self.rig_id][one.part]
            why = (
                tr("of which it needs {need} and the club owns {owned}", need=need, owned=owned)
                if owned
                else tr("which the club does not own")
            )
            said.append(f"{self._name(one.part)}, {why}")
        return tr("short of {value}", value=said[0]), *(tr("of {what}", what=one) for one in said[1:])

    def _lost(self, absences: Sequence[Absence]) -> str:
        """Say why nobody knows when something is back."""
        dues = {loan.entry.last for one in absences for loan in one.holders if self.ledger.unsure(loan)}
        if len(dues) == 1 and (due := min(day for day in dues if day is not None) if None not in dues else None):
            return tr("due on {day} and not back yet", day=day_in_words(due))
        return tr("with no date for the return") if None in dues else tr("overdue")

    def _with(self, absences: Sequence[Absence]) -> str:
        """Name the rigs with which the parts are, where they are few."""
        bookings = {one.order: one for absence in absences for one in absence.holders}
        rigs = dict.fromkeys(booking.entry.rig for booking in bookings.values())
        names = [self.catalogue.rigs[id_].name for id_ in rigs if id_ is not None]
        if len(rigs) >= MOST_NAMED:
            return ""
        if names:
            return tr(
                " (with {listed}{value})", listed=listed(names), value=tr(" or lent by itself") if None in rigs else ""
            )
        return tr(" (lent by itself)") if any(one.sort == "loan" for one in bookings.values()) else tr(" (spoken for)")

    def _absent(self, absences: Sequence[Absence]) -> str:
        return self._counted([(one.part, one.count) for one in absences])

    def _counted(self, missing: Sequence[tuple[str, int]]) -> str:
        return few([f"{n} × {self._name(id_)}" if n > 1 else self._name(id_) for id_, n in missing])

    def _name(self, id_: str) -> str:
        return self.catalogue.parts[id_].name


def few(names: Sequence[str]) -> str:
    """Return names in a row, of many the first and how many more."""
    if len(names) <= MOST_NAMED:
        return listed(names)
    return listed([*names[: MOST_NAMED - 1], tr("{len} more parts", len=len(names) - MOST_NAMED + 1)])


def taken(catalogue: Catalogue, parts: Sequence[Use]) -> str:
    """Return the names of parts that go with a rig or by themselves, each with its number."""
    return few([f"{use.count} × {name}" if use.count > 1 else name for use in parts
                if (name := catalogue.parts[use.part].name)])  # fmt: skip


def from_to(first: dt.date, last: dt.date) -> str:
    """Return days as they follow "out" or "spoken for"."""
    return (
        tr("on {day}", day=day_in_words(first)) if first == last else tr("from {days}", days=days_in_words(first, last))
    )


def borrower(catalogue: Catalogue, booking: Booking) -> str:
    """Return who has it in brackets where the guide shows that in public, else nothing."""
    known = booking.entry.private
    shown = catalogue.guide.show_borrowers and known is not None and known.borrower
    return f" ({known.borrower})" if shown and known is not None else ""
