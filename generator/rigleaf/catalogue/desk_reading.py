"""The book of the club's desk: its entries, the names in them, their days, and things promised twice."""

import datetime as dt
from collections.abc import Iterator
from typing import Any

from rigleaf.catalogue.bookings import Booking, Clash, clashes, pieces_of_rig, pieces_taken, stock_of, twice_out
from rigleaf.catalogue.days import day_in_words
from rigleaf.catalogue.desk import Desk, Written
from rigleaf.catalogue.document import Document, Path
from rigleaf.catalogue.held import Held
from rigleaf.catalogue.lookup import check_known, check_use, named_parts
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.lending import DeskBook, Loan, Reservation, Service
from rigleaf.catalogue.shelf import Noted, Shelf
from rigleaf.catalogue.validation import unknown_key, validate
from rigleaf.catalogue.wording import listed, shown
from rigleaf.nearest import nearest
from rigleaf.quantities import short

_LISTS: dict[str, tuple[type[Entry], str]] = {
    "loans": (Loan, "loan"),
    "reservations": (Reservation, "reservation"),
    "service": (Service, "service"),
}
"""The keys of a file of the book, what stands in each list, and how sentences call one entry."""

_IN_ORDER: dict[str, tuple[tuple[str, str, str], ...]] = {
    "loans": (
        ("due", "out", "this loan is due before it goes out"),
        ("back", "out", "this loan is back before it goes out"),
    ),
    "reservations": (("until", "from", "this reservation ends before it begins"),),
    "service": (),
}
"""Keys of days that come after others, and what is said where they do not."""


def take_desk(document: Document, shelf: Shelf) -> None:
    """Take the lists of one file of the book onto the shelf; each entry's own faults go to the document."""
    for key in document.data:
        if key not in _LISTS:
            document.report((key,), "unknown-key", unknown_key(str(key), "book", DeskBook), key=True)
    for key, (model, what) in _LISTS.items():
        found = document.data.get(key)
        if found is not None and not isinstance(found, list):
            document.report((key,), "list", f"a list is wanted in '{key}'; begin each {what} with '- '")
            continue
        for index, data in enumerate(found or ()):
            path: Path = (key, index)
            if isinstance(data, dict):
                entry = validate(model, data, document, path, what)
                shelf.noted.append(Noted(key, data, document, path, entry, document.line(path)))
            else:
                document.report(path, "mapping", f"a {what} is wanted here: one 'key: value' in each line")


def desk_of(shelf: Shelf) -> Desk:
    """Return the book once everything in it is known to be sound."""
    loans, reservations, service = [], [], []
    for noted in shelf.noted:
        file, line = noted.document.file, noted.line
        match noted.entry:
            case Loan() as loan:
                loans.append(Written(loan, file, line))
            case Reservation() as reservation:
                reservations.append(Written(reservation, file, line))
            case Service() as record:
                service.append(Written(record, file, line))
    return Desk(tuple(loans), tuple(reservations), tuple(service))


def check_desk(shelf: Shelf, held: Held | None = None) -> None:
    """Report every name in the book that leads nowhere, days out of order, and things that are promised twice.

    Args:
        shelf: what has been read.
        held: what earlier readings of the same guide have shown to hold.
    """
    if held and held.among(shelf).book_holds(shelf):
        return
    for noted in shelf.noted:
        if noted.key == "service":
            _check_service(noted, shelf)
        else:
            _check_taking(noted, shelf)
        _check_days(noted)
    if not shelf.incomplete & {"part", "rig"}:  # else nobody knows what is taken
        _check_clashes(shelf)


def _check_service(noted: Noted, shelf: Shelf) -> None:
    _, data, document, path, *_ = noted
    if isinstance(id_ := data.get("part"), str):
        check_use(id_, (), document, (*path, "part"), shelf)
    check_known(data, "rig", document, path, shelf)
    named = [key for key in ("part", "rig") if data.get(key) is not None]
    if len(named) != 1:
        message = "name 'part' or 'rig', not both" if named else "'part' or 'rig' is missing in this service"
        document.report((*path, *named[1:]), "one-of", message)


def _check_taking(noted: Noted, shelf: Shelf) -> None:
    key, data, document, path, *_ = noted
    check_known(data, "rig", document, path, shelf)
    for id_, where, _ in named_parts(data.get("parts"), (*path, "parts")):
        check_use(id_, (), document, where, shelf)
    if data.get("rig") is None and not data.get("parts"):
        message = f"'rig' or 'parts' is missing in this {_LISTS[key][1]}: it takes nothing"
        document.report(path, "takes-nothing", message)
    _check_without(noted, shelf)


def _check_without(noted: Noted, shelf: Shelf) -> None:
    """What stays is a part of the rig, and something goes all the same."""
    key, data, document, path, *_ = noted
    without = data.get("without")
    if not isinstance(without, list):
        return
    id_ = data.get("rig")
    if id_ is None and without:
        document.report((*path, "without"), "not-in-rig", "'without' names what stays of a rig, but 'rig' is missing")
        return
    rig = shelf.entries["rig"].get(id_) if isinstance(id_, str) else None
    if rig is None:
        return  # told already as an unknown or a faulty one
    own = pieces_of_rig(rig)
    for index, named in enumerate(without):
        if isinstance(named, str) and named not in own:
            near = nearest(named, sorted(own))
            cure = f"did you mean '{near}'?" if near else "'without' lists what stays at the club"
            message = f"'{short(named)}' is not a part of '{id_}'; {cure}"
            document.report((*path, "without", index), "not-in-rig", message)
    if own and not data.get("parts") and own.keys() <= {named for named in without if isinstance(named, str)}:
        message = f"all parts of '{id_}' stay: this {_LISTS[key][1]} takes nothing"
        document.report((*path, "without"), "takes-nothing", message)


def _check_days(noted: Noted) -> None:
    key, data, document, path, *_ = noted
    for later, earlier, message in _IN_ORDER[key]:
        if (last := _day(data.get(later))) and (first := _day(data.get(earlier))) and last < first:
            document.report((*path, later), "order", f"{message}, on {shown(data[earlier])}; exchange the two days")


def _day(raw: object) -> dt.date | None:
    """Return a day, or None for what is none (and is reported as such)."""
    try:
        return dt.date.fromisoformat(raw) if isinstance(raw, str) else None
    except ValueError:
        return None


def _check_clashes(shelf: Shelf) -> None:
    stock = stock_of(shelf.entries["part"], shelf.entries["rig"].values())
    bookings: list[Booking] = []
    noted_as: dict[int, Noted] = {}
    for noted in shelf.noted:
        entry = noted.entry
        if isinstance(entry, Loan | Reservation) and _takes_what_is_known(entry, shelf):
            place = f"{noted.document.file}:{noted.line}"
            order = len(bookings)
            bookings.append(Booking(entry, pieces_taken(entry, shelf.entries["rig"], stock), place, order))
            noted_as[order] = noted
            _check_stock(noted, entry, stock)
    for clash in clashes(bookings, stock):
        noted = noted_as[clash.booking.order]
        noted.document.report(noted.path, "double-booking", _promised_twice(clash, shelf, stock))
    for booking, other in twice_out(bookings):
        noted = noted_as[booking.order]
        asset = booking.entry.asset if isinstance(booking.entry, Loan) else None
        message = f"the piece {shown(asset)} is with {_who(other)} {_until(other)}; name another, or change the days"
        noted.document.report((*noted.path, "asset"), "double-booking", message)


def _takes_what_is_known(entry: Loan | Reservation, shelf: Shelf) -> bool:
    rig = shelf.entries["rig"].get(entry.rig or "")
    ids: Iterator[Any] = iter(use.part for use in entry.parts)
    known = all(id_ in shelf.entries["part"] for id_ in ids)
    if entry.rig is None:
        return known
    return known and rig is not None and all(id_ in shelf.entries["part"] for id_ in pieces_of_rig(rig))


def _check_stock(noted: Noted, entry: Loan | Reservation, stock: dict[str, int]) -> None:
    """Single parts are counted: more than there are cannot have gone."""
    for index, use in enumerate(entry.parts):
        if use.count > stock[use.part]:
            owned = f"the club owns {stock[use.part] or 'none'}"
            what = f"this {_LISTS[noted.key][1]} takes {use.count} of '{use.part}'"
            message = f"{what}, but {owned}; mend the count here, or 'owned' of the part"
            noted.document.report((*noted.path, "parts", index), "more-than-owned", message)


def _promised_twice(clash: Clash, shelf: Shelf, stock: dict[str, int]) -> str:
    booking = clash.booking
    name = shelf.entries["part"][clash.part].name
    told = [f"{_who(other)} has {count} {_until(other)}" for other, count in clash.others]
    holders = listed([*told, f"{clash.untold} more have some"] if clash.untold else told)
    wants = f"this {booking.sort} wants {clash.wanted} of '{short(name)}' from {day_in_words(booking.entry.first)}"
    more = f"; so it is with {clash.more} more {'part' if clash.more == 1 else 'parts'}" if clash.more else ""
    return f"{wants}; the club owns {stock[clash.part]}, and {holders}{more}; {_cure(clash)}"


def _cure(clash: Clash) -> str:
    sorts = {clash.booking.sort, *(other.sort for other, _ in clash.others)}
    if clash.booking.sort == "loan" and any(one.open and one.entry.last is None for one, _ in clash.others):
        return "write there when it came 'back'"
    if sorts == {"loan", "reservation"}:
        return "change the days, or remove the reservation once its loan is written"
    return "change the days, or name what stays at the club in 'without'"


def _who(booking: Booking) -> str:
    entry = booking.entry
    what = f"'{entry.rig}'" if entry.rig is not None else f"the {booking.sort} of '{entry.parts[0].part}'"
    return f"{what} ({booking.place})"


def _until(booking: Booking) -> str:
    last = booking.entry.last
    return f"until {day_in_words(last)}" if last is not None else "with no day for its return"
