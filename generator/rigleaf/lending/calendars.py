"""The book as calendars (RFC 5545), one for the club and one for each rig, for anybody to subscribe to.

An event lasts from the day on which a thing goes out to the day on which it comes back, both included. What is overdue
or has no day for its return lasts until the day as of which the book is read, and says so. Nothing private stands in a
calendar, and no identifier is made from anything private: it holds ids and the first day.
"""

import datetime as dt
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from rigleaf.catalogue.bookings import Booking
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.days import day_in_words
from rigleaf.catalogue.models.fields import nearest_id
from rigleaf.lending.availability import phases_of
from rigleaf.lending.ledger import Ledger, ledger_of
from rigleaf.lending.sentences import borrower, few, taken
from rigleaf.lending.service import Care, cares
from rigleaf.lending.today import happened
from rigleaf.words import tr

PRODUCT = "-//rigleaf//The book of loans//EN"
REFRESH = dt.timedelta(hours=12)
"""How often a calendar should be fetched again."""
REMEMBERED = dt.timedelta(days=366)
"""How long what is back stays in a calendar."""

_ONE_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Event:
    """One event of whole days.

    Attributes:
        uid: its lasting name, before the "@".
        first: its first day.
        last: its last day, included.
        changed: the day on which what it says was last written, as far as the book tells.
        summary: its title.
        words: what else there is to say; may be empty.
        busy: whether something is away, in contrast to a reminder.
        status: whether it is certain.
    """

    uid: str
    first: dt.date
    last: dt.date
    changed: dt.date
    summary: str
    words: str = ""
    busy: bool = True
    status: Literal["CONFIRMED", "TENTATIVE"] = "CONFIRMED"


def calendar_of(catalogue: Catalogue, rig_id: str | None = None, on: dt.date | None = None, url: str = "") -> bytes:
    """Return the calendar of a rig, or of the club where none is given, as a file that calendars subscribe to.

    Args:
        catalogue: the guide.
        rig_id: id of the rig.
        on: the day as of which the book is read; that of the build where none is given.
        url: whole address of the page about it, where that is known.
    """
    from icalendar import Calendar, Journal, vText  # late: it takes a while, and most runs write no calendar
    from icalendar import Event as Component

    ledger = ledger_of(catalogue, on)
    name = (
        catalogue.rigs[rig_id].name
        if rig_id is not None
        else tr("{name}: the book of loans", name=catalogue.guide.name)
    )
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", vText(name))  # which the library does not know as text to be escaped
    calendar.add("x-wr-calname", vText(name))
    calendar.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", REFRESH, parameters={"VALUE": "DURATION"})
    if url:
        calendar.add("url", url)
    at = f"@{nearest_id(catalogue.guide.name)}.rigleaf"
    # A calendar may not be empty, and a rig that nobody has spoken for should have one all the same.
    note = Journal()
    note.add("uid", f"as-of-{rig_id or 'club_'}{at}")
    note.add("dtstamp", _stamp(ledger.on))
    note.add("dtstart", ledger.on)
    note.add("summary", _as_of(catalogue, ledger, rig_id))
    calendar.add_component(note)
    for event in events_of(catalogue, ledger, rig_id):
        component = Component()
        component.add("uid", f"{event.uid}{at}")
        component.add("dtstamp", _stamp(event.changed))
        component.add("dtstart", event.first)
        component.add("dtend", event.last + _ONE_DAY)  # the first day that is no longer part of it
        component.add("summary", event.summary)
        if event.words:
            component.add("description", event.words)
        component.add("status", event.status)
        component.add("transp", "OPAQUE" if event.busy else "TRANSPARENT")
        calendar.add_component(component)
    written: bytes = calendar.to_ical()
    return written


def _stamp(day: dt.date) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(), dt.UTC)


def _as_of(catalogue: Catalogue, ledger: Ledger, rig_id: str | None) -> str:
    if rig_id is None:
        out = sum(one.open and one.entry.first <= ledger.on for one in ledger.bookings)
        told = "The book on {day}: {out} loan out" if out == 1 else "The book on {day}: {out} loans out"
        return tr(told, day=day_in_words(ledger.on), out=out)
    sentence = phases_of(catalogue, rig_id, ledger.on, ledger.on)[0].sentence
    return tr(
        "{value} on {day}: {sentence}",
        value=catalogue.rigs[rig_id].name,
        day=day_in_words(ledger.on),
        sentence=sentence,
    )


def events_of(catalogue: Catalogue, ledger: Ledger, rig_id: str | None = None) -> Iterator[Event]:
    """Yield the events of a rig's calendar, or of the club's, which has days of handing over and of service too."""
    bookings = ledger.bookings if rig_id is None else ledger.by_rig.get(rig_id, ())
    used: Counter[str] = Counter()
    noted = _last_noted(catalogue, ledger)
    for booking in bookings:
        uid = _uid(booking, used)
        event = _away(catalogue, ledger, booking, uid)
        if event.last + REMEMBERED < ledger.on:
            continue
        yield event
        if rig_id is None:
            yield from _handing_over(catalogue, ledger, booking, uid, noted)
    if rig_id is None:
        for care in cares(catalogue, ledger.on):
            if care.due is not None:
                yield _service_due(catalogue, ledger, care, care.due, used)


def _uid(booking: Booking, used: Counter[str]) -> str:
    """Return a name that stays the same when other entries come and go: sort, what, first day."""
    entry = booking.entry
    what = entry.rig if entry.rig is not None else f"part_{entry.parts[0].part}"  # no id has an underscore
    return _numbered(f"{booking.sort}-{what}-{entry.first:%Y%m%d}", used)


def _numbered(uid: str, used: Counter[str]) -> str:
    used[uid] += 1
    return uid if used[uid] == 1 else f"{uid}-{used[uid]}"


def _away(catalogue: Catalogue, ledger: Ledger, booking: Booking, uid: str) -> Event:
    entry = booking.entry
    last = entry.last
    end = last or entry.first
    state = "spoken for" if booking.sort == "reservation" else "out"
    notes = [f"{entry.occasion[:1].upper()}{entry.occasion[1:].removesuffix('.')}."] if entry.occasion else []
    if ledger.unsure(booking):
        end = max(end, ledger.on)
        if last is None:
            still = tr("; still out on {day}", day=day_in_words(ledger.on)) if entry.first <= ledger.on else ""
            notes.append(tr("No date for its return{still}.", still=still))
        else:
            state = "overdue"
            notes.append(
                tr(
                    "Was due on {day}; not back on {day2}.",
                    day=day_in_words(last),
                    day2=day_in_words(ledger.on),
                )
            )
    if entry.rig is not None and entry.parts:
        notes.append(tr("With it: {taken}.", taken=taken(catalogue, entry.parts)))
    if entry.without:
        notes.append(tr("Without {few}.", few=few([catalogue.parts[id_].name for id_ in entry.without])))
    if booking.sort == "reservation" and ledger.hangs_on(booking):
        notes.append(tr("It hangs on the return of what is out with no known date."))
    return Event(
        uid,
        entry.first,
        end,
        _changed(catalogue, ledger, booking),
        f"{_name(catalogue, booking)}: {tr(state)}{borrower(catalogue, booking)}",
        " ".join(notes),
        status="TENTATIVE" if booking.sort == "reservation" else "CONFIRMED",
    )


def _changed(catalogue: Catalogue, ledger: Ledger, booking: Booking) -> dt.date:
    """Return the day on which an event last became what it is.

    A loan is written when it goes out and when it comes back; of one whose end nobody knows, the event grows every day.
    When a reservation was written the book does not say: at the latest when something was last noted in it.
    """
    entry = booking.entry
    if ledger.unsure(booking):
        return ledger.on
    if booking.sort == "reservation":
        return _last_noted(catalogue, ledger)
    return min(entry.first if booking.open or entry.last is None else entry.last, ledger.on)


def _last_noted(catalogue: Catalogue, ledger: Ledger) -> dt.date:
    """Return the newest day, up to that as of which the book is read, on which something happened."""
    return max((day for day in happened(catalogue) if day <= ledger.on), default=ledger.on)


def _handing_over(catalogue: Catalogue, ledger: Ledger, booking: Booking, uid: str, noted: dt.date) -> Iterator[Event]:
    """Yield the days on which the equipment officer hands something out or takes it back."""
    name = _name(catalogue, booking)
    entry = booking.entry
    if entry.first >= ledger.on and (booking.open or booking.sort == "reservation"):
        yield Event(f"hand-out-{uid}", entry.first, entry.first, noted, tr("{name}: hand out", name=name), busy=False)
    if booking.open and entry.last is not None:
        yield Event(f"due-back-{uid}", entry.last, entry.last, noted, tr("{name}: due back", name=name), busy=False)


def _service_due(catalogue: Catalogue, ledger: Ledger, care: Care, due: dt.date, used: Counter[str]) -> Event:
    name = catalogue.rigs[care.rig].name if care.rig else catalogue.parts[care.part or ""].name
    piece = f" ({care.asset})" if care.asset else ""
    what = care.rig if care.rig is not None else f"part_{care.part}"
    ids = "_".join((what, *(nearest_id(word) for word in (care.asset, care.what) if word)))
    uid = _numbered(f"service-{ids}-{care.last.done:%Y%m%d}", used)
    words = tr(
        "Last done on {day}{value}.",
        day=day_in_words(care.last.done),
        value=f": {care.last.reading}" if care.last.reading else "",
    )
    changed = min(care.last.done, ledger.on)
    return Event(
        uid,
        due,
        due,
        changed,
        tr("{name}{piece}: {what} is due", name=name, piece=piece, what=care.what),
        words,
        busy=False,
    )


def _name(catalogue: Catalogue, booking: Booking) -> str:
    entry = booking.entry
    return catalogue.rigs[entry.rig].name if entry.rig is not None else taken(catalogue, entry.parts)
