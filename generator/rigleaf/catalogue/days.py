"""Days of the calendar in words."""

import datetime as dt

from rigleaf.catalogue.models.place_fields import MONTHS


def day_in_words(day: dt.date) -> str:
    """Return a day as people say it, such as "22 January 2027"."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def days_in_words(first: dt.date, last: dt.date) -> str:
    """Return days from one to another as people say it, such as "5 to 8 March 2027"."""
    if first == last:
        return day_in_words(first)
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {day_in_words(last)}"
    begin = day_in_words(first)
    return f"{begin.removesuffix(f' {last.year}')} to {day_in_words(last)}"
