"""What the equipment officer looks at first: lists of what is overdue, out and spoken for, and what wants service."""

import datetime as dt
from dataclasses import dataclass

from rigleaf.catalogue.bookings import Booking
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.lending.ledger import Ledger, ledger_of
from rigleaf.lending.service import Care, cares

SOON = dt.timedelta(days=30)
"""How long before service is due it is listed."""


@dataclass(frozen=True, slots=True)
class Board:
    """What the equipment officer looks at: each list with what is most urgent first."""

    ledger: Ledger
    overdue: tuple[Booking, ...]
    out: tuple[Booking, ...]
    coming: tuple[Booking, ...]
    service: tuple[Care, ...]
    to_mend: tuple[tuple[Booking, Booking, tuple[str, ...]], ...]
    over: tuple[Booking, ...]


def board_of(catalogue: Catalogue, on: dt.date, rig: str | None = None) -> Board:
    """Return the lists of a day, of the whole club or of one rig and the parts that it is made of."""
    ledger = ledger_of(catalogue, on)
    bookings = ledger.bookings if rig is None else ledger.by_rig.get(rig, ())
    open_ = [one for one in bookings if one.open and one.entry.first <= on]
    overdue = [one for one in open_ if ledger.overdue(one)]
    away, late = {id(one) for one in open_}, {id(one) for one in overdue}  # comparing thousands takes minutes
    coming = [one for one in bookings if id(one) not in away and (one.open or _to_come(one, on))]
    own = set(ledger.needs[rig]) if rig is not None else set()
    wanted = [
        care for care in cares(catalogue, on)
        if care.due is not None and (rig is None or care.rig == rig or care.part in own)
    ]  # fmt: skip
    mend = [one for one in ledger.contradictions() if rig is None or rig in (one[0].entry.rig, one[1].entry.rig)]
    return Board(
        ledger,
        tuple(sorted(overdue, key=_by_end)),
        tuple(sorted((one for one in open_ if id(one) not in late), key=_by_end)),
        tuple(sorted(coming, key=lambda one: (one.entry.first, one.order))),
        tuple(care for care in wanted if care.due is not None and care.due <= on + SOON),
        tuple(mend),
        tuple(one for one in bookings if one.sort == "reservation" and not _to_come(one, on)),
    )


def _to_come(booking: Booking, on: dt.date) -> bool:
    return booking.sort == "reservation" and booking.entry.last is not None and booking.entry.last >= on


def _by_end(booking: Booking) -> tuple[dt.date, int]:
    return booking.entry.last or dt.date.max, booking.order
