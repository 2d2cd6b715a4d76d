"""The page of the club's desk: what is out, due and spoken for, what that leaves of each rig, what wants service."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from rigleaf.catalogue.bookings import Booking
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.days import days_in_words
from rigleaf.lending.board import SOON, board_of
from rigleaf.lending.ledger import Ledger
from rigleaf.lending.phases import Phase
from rigleaf.lending.sentences import borrower, few, taken
from rigleaf.lending.service import Care, Condition, Conditions, cares
from rigleaf.site.lent.availability import Availability, Lending
from rigleaf.site.lent.calendars import CLUB_CALENDAR, calendar_path
from rigleaf.site.lent.shortages import shortages
from rigleaf.site.lent.year_strip import year_axis, year_strip
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.typeset.addresses import DESK_ADDRESS, Addresses, desk_anchor
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

MOST_CONDITIONS = 2
"""How many notes on the condition of a rig its year shows, the newest first."""

MOST_RUNS = 12
"""Runs of days that the year of a rig tells in words, the next first."""

SAMPLES: tuple[tuple[str, str], ...] = (
    ("here", "all of it is at the club"),
    ("due back", "so it should be again, if what is out comes back as agreed"),
    ("short", "a part that it needs is with another"),
    ("spoken for", "reserved"),
    ("out", "somebody has it; a point at the end: nobody knows until when"),
    ("overdue", "it should be back and is not"),
)
"""What the strips show, in words."""

_ALSO = "loans, lending, borrow, booking, reservation, calendar, return, maintenance"


@dataclass(frozen=True, slots=True)
class Row:
    """A loan or a reservation in a list; ``others`` are ids and names of parts that go with it or by themselves."""

    rig: str
    name: str
    others: tuple[tuple[str, str], ...]
    first: dt.date
    last: dt.date | None
    borrower: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CareRow:
    """Something that is looked after again and again; ``state`` is overdue, due, or empty where it can wait."""

    care: Care
    name: str
    state: str


@dataclass(frozen=True, slots=True)
class RigYear:
    """A rig with its strip, and what the strip shows in words; without one where it is here as far as is known."""

    rig: str
    anchor: str
    name: str
    availability: Availability
    svg: str
    days: tuple[tuple[str, Phase], ...]
    more: int
    conditions: tuple[Condition, ...]
    calendar: str


def desk_page(catalogue: Catalogue, lending: Lending, addresses: Addresses) -> PageRecord:
    """Return the page of the book of loans."""
    names = {id_: part.name for id_, part in catalogue.parts.items()}
    writer = Writer(DESK_ADDRESS, addresses, catalogue.guide.units, names)
    board = board_of(catalogue, lending.on)
    overdue, out, coming = (
        [_row(catalogue, board.ledger, one) for one in some] for some in (board.overdue, board.out, board.coming)
    )
    years = [*_years(catalogue, lending)]
    service = [_care(catalogue, care, lending.on) for care in cares(catalogue, lending.on)]
    html = writer.render(
        "desk.html",
        guide=catalogue.guide,
        lending=lending,
        overdue=overdue,
        out=out,
        coming=coming,
        short=shortages(catalogue, lending),
        wanted=[row for row in service if row.state],
        later=[row for row in service if not row.state],
        soon=SOON.days,
        calendar=CLUB_CALENDAR,
        calendar_address=addresses.public(CLUB_CALENDAR),
        samples=SAMPLES,
        shown=days_in_words(lending.first, lending.last),
        years=[one for one in years if one.svg],
        always=[one for one in years if not one.svg],
        axis=year_axis(lending.first, lending.last),
    )
    summary = tr(
        "The desk of {name}: what is out, due and overdue, what is spoken for, and what wants service.",
        name=catalogue.guide.name,
    )
    contents = (
        *((Heading(tr("Overdue"), "overdue"),) if overdue else ()),
        Heading(tr("Out"), "out"),
        Heading(tr("Spoken for"), "spoken-for"),
        Heading(tr("Service"), "service"),
        Heading(tr("Short of a part"), "short"),
        Heading(tr("The year of each rig"), "year"),
        Heading(tr("Calendars"), "calendars"),
    )
    return PageRecord(DESK_ADDRESS, tr("Desk"), html, summary, SearchEntry(f"{summary} {_ALSO}"), contents=contents)


def _row(catalogue: Catalogue, ledger: Ledger, booking: Booking) -> Row:
    entry = booking.entry
    names = {use.part: taken(catalogue, [use]) for use in entry.parts}
    notes = [entry.occasion[:1].upper() + entry.occasion[1:]] if entry.occasion else []
    if entry.without:
        stays = [catalogue.parts[id_].name for id_ in entry.without]
        notes.append(tr("without {few}", few=few(stays)))
    if booking.sort == "reservation":
        notes += [tr("hangs on the return of {waited}", waited=waited) for waited in _waits(catalogue, ledger, booking)]
    return Row(
        entry.rig or "",
        catalogue.rigs[entry.rig].name if entry.rig else "",
        tuple(names.items()),
        entry.first,
        entry.last,
        borrower(catalogue, booking),
        tuple(notes),
    )


def _waits(catalogue: Catalogue, ledger: Ledger, booking: Booking) -> Iterator[str]:
    for other, ids in ledger.hangs_on(booking):
        same = other.entry.rig is not None and other.entry.rig == booking.entry.rig
        yield tr("what is overdue") if same else few([catalogue.parts[id_].name for id_ in ids])


def _days(phase: Phase, on: dt.date) -> str:
    """Return the days of a phase, as far as they are not yet over."""
    first = max(phase.first, on)
    if phase.last is None:
        return tr("from {days} on", days=days_in_words(first, first))
    return days_in_words(first, phase.last)


def _care(catalogue: Catalogue, care: Care, on: dt.date) -> CareRow:
    name = catalogue.rigs[care.rig].name if care.rig else catalogue.parts[care.part or ""].name
    due = care.due is not None and care.due <= on + SOON
    return CareRow(care, name, "overdue" if care.overdue(on) else "due" if due else "")


def _years(catalogue: Catalogue, lending: Lending) -> Iterator[RigYear]:
    conditions = Conditions(catalogue, lending.on)
    for id_, phases in lending.phases.items():
        rig = catalogue.rigs[id_]
        told = [one for one in phases if one.first <= lending.known and one.state != "here"]
        strip = year_strip(f"year_{id_}", rig.name, phases, lending.first, lending.last, lending.on) if told else ""
        coming = [one for one in phases if one.first <= lending.known and (one.last is None or one.last >= lending.on)]
        yield RigYear(
            id_,
            desk_anchor(id_),
            rig.name,
            lending.rigs[id_],
            strip,
            tuple((_days(one, lending.on), one) for one in coming[:MOST_RUNS]),
            max(len(coming) - MOST_RUNS, 0),
            conditions.of_rig(id_)[:MOST_CONDITIONS],
            calendar_path(id_),
        )
