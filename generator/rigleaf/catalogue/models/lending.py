"""The club's book: what was lent, what is spoken for, and what was looked after."""

import datetime as dt
import re
from calendar import monthrange
from typing import Annotated, Any, Literal, NamedTuple, get_args

from pydantic import Field, PlainValidator, WithJsonSchema

from rigleaf.catalogue.models.fields import Entry, Line, Reference, Text
from rigleaf.catalogue.models.place_fields import Evening
from rigleaf.catalogue.models.quantity_field import refuse
from rigleaf.catalogue.models.rig import UsedPart
from rigleaf.catalogue.wording import shown

Step = Literal["day", "week", "month", "year"]

_DAYS: dict[str, int] = {"day": 1, "week": 7, "month": 30, "year": 365}
_LONGEST = 36_500
_INTERVAL = re.compile(rf"(\d{{1,4}})\s+({'|'.join(get_args(Step))})s?")


class Interval(NamedTuple):
    """A span of time by the calendar: "6 months" after 14 August is 14 February, however long the months are."""

    number: int
    step: Step

    def after(self, day: dt.date) -> dt.date:
        """Return the day that comes so long after ``day``; a month without that day gives its last one.

        Raises:
            OverflowError: when it lies beyond the last year that calendars have.
        """
        if self.step in ("day", "week"):
            return day + dt.timedelta(days=self.number * (7 if self.step == "week" else 1))
        months = day.year * 12 + day.month - 1 + self.number * (12 if self.step == "year" else 1)
        year, month = divmod(months, 12)
        if year > dt.MAXYEAR:
            raise OverflowError("date value out of range")
        return dt.date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))

    def __str__(self) -> str:
        return f"{self.number} {self.step}{'' if self.number == 1 else 's'}"


def _read_interval(raw: object) -> Interval:
    found = _INTERVAL.fullmatch(raw.strip()) if isinstance(raw, str) else None
    if found is None or not int(found[1]):
        refuse("interval", f"{shown(raw)} is not a span of days, weeks, months or years; write it like '6 months'")
    step: Any = found[2]
    if int(found[1]) * _DAYS[step] > _LONGEST:
        refuse("interval", f"{shown(raw)} is more than a hundred years; write it like '6 months'")
    return Interval(int(found[1]), step)


CalendarInterval = Annotated[
    Interval,
    PlainValidator(_read_interval),
    WithJsonSchema({"type": "string", "pattern": f"^{_INTERVAL.pattern}$", "examples": ["6 months"]}),
]
Cycles = Annotated[int, Field(strict=True, ge=0, le=1_000_000)]


class BorrowerPrivate(Entry):
    """Who has it; the public site never shows it."""

    borrower: Line | None = Field(
        None, description="Who has it; shown in public only where guide.yml says 'show_borrowers: true'."
    )
    contact: Line | None = Field(None, description="How to reach this person.")
    remarks: Text | None = Field(None, description="Remarks for the equipment officer.")


class ServicePrivate(Entry):
    """What the public site never shows of a service."""

    remarks: Text | None = Field(None, description="Remarks for the equipment officer.")


class Taking(Entry):
    """What goes out together."""

    # Keys that are words of Python have another name inside: "for" and "from".
    rig: Reference | None = Field(None, description="Id of the rig.")
    parts: tuple[UsedPart, ...] = Field((), description="What goes with it, or alone where no rig is named.")
    without: tuple[Reference, ...] = Field(
        (),
        examples=["[day-bag]"],
        description="Ids of the rig's parts that stay at the club, all pieces of each.",
    )
    occasion: Line | None = Field(
        None, alias="for", examples=["beginners' evening"], description="What for, in words that anybody may read."
    )
    private: BorrowerPrivate | None = Field(None, description="What the public site never shows.")


class Loan(Taking):
    """One loan: a rig, or single parts, from the day it goes out until it is back."""

    out: Evening = Field(description="Day on which it goes out, in the afternoon.")
    due: Evening | None = Field(None, description="Day on which it should be back, in the morning.")
    back: Evening | None = Field(None, description="Day on which it came back; unsaid means that it is still out.")
    asset: Line | None = Field(
        None, examples=["TAC-B-07"], description="Asset tag of the very piece, where several are owned."
    )
    condition_out: Text | None = Field(
        None, description="How it was when it went out. Public: it stands on hand-over sheets, so name nobody."
    )
    condition_in: Text | None = Field(
        None, description="How it was when it came back. Public: it stands on hand-over sheets, so name nobody."
    )

    @property
    def first(self) -> dt.date:
        """The day on which it goes out."""
        return self.out

    @property
    def last(self) -> dt.date | None:
        """The day on which it came back, or is due; None where nobody has said."""
        return self.back or self.due


class Reservation(Taking):
    """One reservation: a rig, or single parts, for some days to come."""

    first: Evening = Field(alias="from", description="Day on which it should go out, in the afternoon.")
    until: Evening = Field(description="Day on which it will be back, in the morning.")

    @property
    def last(self) -> dt.date:
        """The day on which it will be back."""
        return self.until


class Service(Entry):
    """Something that was done to keep a part or a rig in order, and when it wants it again."""

    part: Reference | None = Field(None, examples=["colour-camera"], description="Id of the part.")
    rig: Reference | None = Field(None, description="Id of the rig, where it was the rig as a whole.")
    asset: Line | None = Field(
        None, examples=["TAC-B-07"], description="Asset tag of the very piece, where several are owned."
    )
    what: Line = Field(examples=["desiccant dried"], description="What was done, in the same words every time.")
    done: Evening = Field(description="Day on which it was done.")
    every: CalendarInterval | None = Field(None, description="How often it should be done; months by the calendar.")
    reading: Line | None = Field(
        None, examples=["firmware 3.1"], description="What was read or found, in words that anybody may read."
    )
    cycles: Cycles | None = Field(None, examples=[212], description="Charging cycles of a battery so far.")
    private: ServicePrivate | None = Field(None, description="What the public site never shows.")


class DeskBook(Entry):
    """One file of the book."""

    loans: tuple[Loan, ...] = Field((), description="What is out, and what was.")
    reservations: tuple[Reservation, ...] = Field((), description="What is spoken for.")
    service: tuple[Service, ...] = Field((), description="What was looked after.")
