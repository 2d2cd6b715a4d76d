"""Which rigs wait for which parts: each is told once for a part and a run of days, and alike ones together."""

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from rigleaf.catalogue.bookings import Booking, Span, noon
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.days import day_in_words, days_in_words
from rigleaf.lending.ledger import Ledger, ledger_of
from rigleaf.site.lent.availability import Lending
from rigleaf.words import tr

Named = tuple[str, str]
"""Id and name."""

_ONE_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Shortage:
    """Parts of which there are too few for some rigs over some days.

    Attributes:
        days: when, in words; what has begun is told by its end only.
        parts: the parts.
        rigs: the rigs that miss them and are not themselves lent.
        holders: the rigs with which the parts are.
        alone: whether some of them were lent, or are spoken for, by themselves.
    """

    days: str
    parts: tuple[Named, ...]
    rigs: tuple[Named, ...]
    holders: tuple[Named, ...]
    alone: bool


def shortages(catalogue: Catalogue, lending: Lending) -> tuple[Shortage, ...]:
    """Return what the rigs are short of from the day of the book to the end of the year shown, the earliest first."""
    ledger = ledger_of(catalogue, lending.on)
    rigs: dict[tuple[str, dt.date, dt.date | None], list[str]] = defaultdict(list)
    for (rig, part), runs in _runs(lending).items():
        for first, last in runs:
            rigs[part, first, last].append(rig)
    parts: dict[tuple[dt.date, dt.date | None, tuple[str, ...]], list[str]] = defaultdict(list)
    for (part, first, last), some in rigs.items():
        parts[first, last, tuple(some)].append(part)
    ordered = sorted(parts.items(), key=lambda one: (one[0][0], one[0][1] or dt.date.max, one[0][2]))
    found = []
    for (first, last, waiting), ids in ordered:
        bookings = [one for id_ in ids for one in _holders(ledger, id_, waiting, first, last)]
        with_rigs = dict.fromkeys(one.entry.rig for one in bookings)
        found.append(
            Shortage(
                _days(first if first > lending.on else None, last),
                tuple((id_, catalogue.parts[id_].name) for id_ in ids),
                tuple((id_, catalogue.rigs[id_].name) for id_ in waiting),
                tuple((id_, catalogue.rigs[id_].name) for id_ in with_rigs if id_ is not None),
                None in with_rigs,
            )
        )
    return tuple(found)


def _days(first: dt.date | None, last: dt.date | None) -> str:
    if first is None:
        return tr("nobody knows until when") if last is None else tr("until {day}", day=day_in_words(last))
    return (
        tr("from {day}, nobody knows until when", day=day_in_words(first))
        if last is None
        else days_in_words(first, last)
    )


def _runs(lending: Lending) -> dict[tuple[str, str], list[tuple[dt.date, dt.date | None]]]:
    """Return for each rig and part the days over which it is short of it, without a gap between two phases."""
    found: dict[tuple[str, str], list[tuple[dt.date, dt.date | None]]] = defaultdict(list)
    for rig, phases in lending.phases.items():
        for phase in phases:
            over = phase.last is not None and phase.last < lending.on
            if phase.state != "short" or over or phase.first > lending.last:
                continue
            begin = max(phase.first, lending.on)
            for part in phase.parts:
                runs = found[rig, part]
                last = runs[-1][1] if runs else None
                joined = last is not None and last + _ONE_DAY == begin
                runs.append((runs.pop()[0] if joined else begin, phase.last))
    return found


def _holders(ledger: Ledger, part: str, rigs: tuple[str, ...], first: dt.date, last: dt.date | None) -> list[Booking]:
    """Return who has the pieces of a part that some rigs miss over some days."""
    days = Span(noon(first), noon(last or first) + 2)
    found: dict[int, Booking] = {}
    for rig in rigs:
        for held in ledger.lacks(part, ledger.needs[rig][part]):
            if held.span.meets(days):
                found.update({one.order: one for one in held.holders})
    return list(found.values())
