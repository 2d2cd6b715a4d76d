"""Days of the calendar in words."""

import datetime as dt

from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.words import tr


def day_in_words(day: dt.date) -> str:
    """Return a day as people say it, such as "22 January 2027"."""
    return tr("{day} {month} {year}", day=day.day, month=month_in_words(day.month), year=day.year)


def month_in_words(month: int) -> str:
    """Return the name of a month, 1 to 12."""
    return tr(MONTHS[month - 1])


def days_in_words(first: dt.date, last: dt.date) -> str:
    """Return days from one to another as people say it, such as "5 to 8 March 2027"."""
    if first == last:
        return day_in_words(first)
    end = day_in_words(last)
    if (first.year, first.month) == (last.year, last.month):
        return tr("{first} to {last}", first=tr("{day}", day=first.day), last=end)
    begin = day_in_words(first)
    return tr("{first} to {last}", first=begin.removesuffix(f" {last.year}"), last=end)
