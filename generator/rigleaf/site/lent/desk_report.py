"""What `rigleaf desk` prints for the equipment officer: the book on a day, with borrowers. No page may use it."""

import datetime as dt
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from rigleaf.catalogue.bookings import Booking
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.days import day_in_words
from rigleaf.catalogue.lookup import rig_named
from rigleaf.catalogue.models.lending import Loan
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.catalogue.wording import listed
from rigleaf.lending.availability import phases_of
from rigleaf.lending.board import Board, board_of
from rigleaf.lending.sentences import few, from_to, taken
from rigleaf.lending.service import Care, Conditions
from rigleaf.lending.today import today


def desk(folder: Path, on: dt.date | None = None, rig: str | None = None, *, as_json: bool = False) -> str:
    """Return the book of the guide in ``folder`` as of a day, as text or as JSON. It is private.

    Args:
        folder: the guide.
        on: the day; today by the calendar of the guide's home place where none is given.
        rig: id of one rig; all of them without it.
        as_json: whether to return JSON.

    Raises:
        CatalogueError: with every fault of the guide.
        FileNotFoundError: when there is no such folder.
        KeyError: when there is no such rig; the message offers the nearest name.
    """
    catalogue = read_catalogue(folder)
    if rig is not None:
        rig_named(rig, catalogue.rigs)
    day = on or today(catalogue, dt.datetime.now(dt.UTC))
    board = board_of(catalogue, day, rig)
    if as_json:
        return json.dumps(_json(catalogue, board), indent=2, ensure_ascii=False) + "\n"
    return "\n".join(_text(catalogue, board, rig)) + "\n"


def _text(catalogue: Catalogue, board: Board, rig: str | None) -> Iterator[str]:
    on = board.ledger.on
    yield f"{catalogue.guide.name}: the book on {day_in_words(on)}"
    yield "Private: names and contacts stand here. Keep it off the site."
    if rig is not None:
        phases = phases_of(catalogue, rig, on, on)
        yield ""
        yield f"{catalogue.rigs[rig].name}: {phases[0].sentence}"
        yield from (f"  from {day_in_words(phase.first)}: {phase.sentence}" for phase in phases[1:])
    yield from _section("Overdue", [line for one in board.overdue for line in _loan(catalogue, one, on)])
    yield from _section("Out", [line for one in board.out for line in _loan(catalogue, one, on)])
    yield from _section("Coming", [line for one in board.coming for line in _reservation(catalogue, board, one)])
    yield from _section("Service", [_service(catalogue, care, on) for care in board.service])
    over = [f"{one.place}: the reservation of {_what(catalogue, one)} is over; remove it" for one in board.over]
    yield from _section("Mend the book", [*(_mend(catalogue, *one) for one in board.to_mend), *over])
    if rig is not None and (known := Conditions(catalogue, on).of_rig(rig)):
        yield from _section("Condition", [f"{day_in_words(one.day)}: {one.words}" for one in known])
    if not (board.overdue or board.out or board.coming or board.service or board.to_mend or board.over):
        yield ""
        yield "Nothing is out, nothing is spoken for, and nothing wants service within a month."


def _section(title: str, lines: list[str]) -> Iterator[str]:
    if lines:
        yield ""
        yield title
        yield from (f"  {line}" for line in lines)


def _loan(catalogue: Catalogue, booking: Booking, on: dt.date) -> Iterator[str]:
    last = booking.entry.last
    if last is None:
        due = "no day for its return"
    elif last < on:
        due = f"due on {day_in_words(last)}, {_days(on - last)} ago"
    else:
        due = f"due on {day_in_words(last)}, " + ("today" if last == on else f"in {_days(last - on)}")
    yield f"{_what(catalogue, booking)}: {due}"
    yield from _details(catalogue, booking, f"out since {day_in_words(booking.entry.first)}")


def _reservation(catalogue: Catalogue, board: Board, booking: Booking) -> Iterator[str]:
    entry = booking.entry
    when = from_to(entry.first, entry.last) if entry.last is not None else f"from {day_in_words(entry.first)}"
    yield f"{_what(catalogue, booking)}: {when}"
    yield from _details(catalogue, booking, "")
    for other, ids in board.ledger.hangs_on(booking):
        names = few([catalogue.parts[id_].name for id_ in ids])
        yield f"    hangs on {other.place}, which is not back: {names}"


def _details(catalogue: Catalogue, booking: Booking, since: str) -> Iterator[str]:
    entry = booking.entry
    known = entry.private
    who = ", ".join(text for text in (known.borrower, known.contact) if text) if known is not None else ""
    asset = f"piece {entry.asset}" if isinstance(entry, Loan) and entry.asset else ""
    words = (who or "nobody is named", since, entry.occasion or "", asset, f"[{booking.place}]")
    yield "    " + "; ".join(text for text in words if text)
    if entry.rig is not None and entry.parts:
        yield f"    with {taken(catalogue, entry.parts)}"
    if entry.without:
        yield f"    without {few([catalogue.parts[id_].name for id_ in entry.without])}"
    if known is not None and known.remarks:
        yield f"    {' '.join(known.remarks.split())}"


def _service(catalogue: Catalogue, care: Care, on: dt.date) -> str:
    name = catalogue.rigs[care.rig].name if care.rig else catalogue.parts[care.part or ""].name
    piece = f" ({care.asset})" if care.asset else ""
    due = care.due or on
    when = f"since {day_in_words(due)}" if due < on else f"on {day_in_words(due)}"
    cycles = f", {care.last.cycles} cycles" if care.last.cycles is not None else ""
    reading = f", {care.last.reading}" if care.last.reading else ""
    last = f"last on {day_in_words(care.last.done)}{reading}{cycles}"
    return f"{name}{piece}: {care.what}, {'overdue' if due < on else 'due'} {when} ({last})"


def _mend(catalogue: Catalogue, later: Booking, earlier: Booking, ids: tuple[str, ...]) -> str:
    names = few([catalogue.parts[id_].name for id_ in ids])
    verb = "was" if len(ids) == 1 else "were"
    again = f"{names} {verb} out again on {day_in_words(later.entry.first)} ({later.place})"
    return f"{earlier.place}: {again}; write 'back' here"


def _what(catalogue: Catalogue, booking: Booking) -> str:
    entry = booking.entry
    if entry.rig is not None:
        return f"{catalogue.rigs[entry.rig].name} ({entry.rig})"
    return listed([f"{taken(catalogue, [use])} ({use.part})" for use in entry.parts])


def _days(span: dt.timedelta) -> str:
    return "1 day" if span.days == 1 else f"{span.days} days"


def _json(catalogue: Catalogue, board: Board) -> dict[str, Any]:
    return {
        "guide": catalogue.guide.name,
        "on": str(board.ledger.on),
        "overdue": [_booking_json(board, one) for one in board.overdue],
        "out": [_booking_json(board, one) for one in board.out],
        "coming": [_booking_json(board, one) for one in board.coming],
        "service": [_care_json(care, board.ledger.on) for care in board.service],
        "to_mend": [
            {"loan": earlier.place, "out_again": later.place, "parts": list(ids)}
            for later, earlier, ids in board.to_mend
        ],
        "over": [one.place for one in board.over],
    }


def _booking_json(board: Board, booking: Booking) -> dict[str, Any]:
    entry, known = booking.entry, booking.entry.private
    return {
        "sort": booking.sort,
        "place": booking.place,
        "rig": entry.rig,
        "pieces": dict(booking.pieces),
        "without": list(entry.without),
        "from": str(entry.first),
        "until": str(entry.last) if entry.last is not None else None,
        "for": entry.occasion,
        "borrower": known.borrower if known is not None else None,
        "contact": known.contact if known is not None else None,
        "remarks": known.remarks if known is not None else None,
        "hangs_on": [other.place for other, _ in board.ledger.hangs_on(booking)],
    }


def _care_json(care: Care, on: dt.date) -> dict[str, Any]:
    return {
        "part": care.part,
        "rig": care.rig,
        "asset": care.asset or None,
        "what": care.what,
        "done": str(care.last.done),
        "due": str(care.due),
        "overdue": care.overdue(on),
        "reading": care.last.reading,
        "cycles": care.last.cycles,
    }
