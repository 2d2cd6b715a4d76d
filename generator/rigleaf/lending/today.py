"""The day on which the book is read."""

import datetime as dt
import os
from zoneinfo import ZoneInfo

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import year_of

AHEAD = dt.timedelta(days=31)
"""A loan that goes out by so much later than all that happened before is taken to be noted ahead."""

_LAST_EPOCH = 4_000_000_000


def as_of(catalogue: Catalogue) -> dt.date:
    """Return the day as of which a build tells what is out; never that of the clock, so that builds can be repeated.

    It is the day of SOURCE_DATE_EPOCH by the calendar of the guide's home place, or of UTC where no place or time
    zone is known. Where that is not set, the book itself must tell: see `told_by`. An empty book is read on the first
    day of the guide's year.
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch.isdecimal():
        moment = dt.datetime.fromtimestamp(min(int(epoch), _LAST_EPOCH), dt.UTC)
        return moment.astimezone(zone_of(catalogue)).date()
    return told_by(catalogue) or dt.date(year_of(catalogue.guide), 1, 1)


def told_by(catalogue: Catalogue) -> dt.date | None:
    """Return the newest day on which something has certainly happened by the book, or None where nothing has.

    What came back or was looked after did so: the newest of these days counts. From it on loans that went out count
    one after the other, each unless it went out more than AHEAD after the day reached by then: such a one is noted
    ahead, or its year is mistyped, and must not make all others overdue. Where nothing came back or was looked after,
    the earliest loan that went out is the beginning.
    """
    desk = catalogue.desk
    outs = sorted(one.entry.out for one in desk.loans)
    backs = [one.entry.back for one in desk.loans if one.entry.back is not None]
    reached = max([*backs, *(one.entry.done for one in desk.service)], default=min(outs, default=None))
    for out in outs:
        if reached is not None and reached < out and out - reached <= AHEAD:
            reached = out
    return reached


def happened(catalogue: Catalogue) -> list[dt.date]:
    """Return every day on which the book says that something went out, came back or was looked after."""
    desk = catalogue.desk
    days = [day for one in desk.loans for day in (one.entry.out, one.entry.back) if day is not None]
    return [*days, *(one.entry.done for one in desk.service)]


def today(catalogue: Catalogue, moment: dt.datetime) -> dt.date:
    """Return the day that a moment, which knows its time zone, falls on at the guide's home place."""
    return moment.astimezone(zone_of(catalogue)).date()


def zone_of(catalogue: Catalogue) -> dt.tzinfo:
    """Return the time zone of the guide's home place, or UTC where none is known."""
    place = catalogue.places.get(catalogue.guide.place or "")
    return ZoneInfo(place.timezone) if place is not None and place.timezone else dt.UTC
