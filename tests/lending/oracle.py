"""The rules of handing over once more, by brute force: every day has a noon and a night, and each is looked at."""

import datetime as dt
from collections.abc import Iterable

from rigleaf.lending.phases import Phase
from tests.lending.small_club import RIGS, STOCK, Data, day

Moment = tuple[dt.date, str]
UNSURE = ("open", "overdue")


def moments(first: dt.date, last: dt.date) -> set[Moment]:
    """Return the noons and nights that something is away from the afternoon of one day to the morning of another."""
    if first == last:
        return {(first, "noon")}
    days = [first + dt.timedelta(days=step) for step in range((last - first).days)]
    return {(one, "night") for one in days} | {(one, "noon") for one in days[1:]}


def too_many(takings: Iterable[tuple[set[Moment], int]], owned: int) -> bool:
    """Whether at any moment more pieces are taken than there are."""
    counts: dict[Moment, int] = {}
    for away, pieces in takings:
        for moment in away:
            counts[moment] = counts.get(moment, 0) + pieces
    return any(count > owned for count in counts.values())


def holds(one: Data, on: dt.date, half: str, today: dt.date) -> str | None:
    """How a booking has its rig at one half of a day: not, for sure ("out", "spoken"), or with an unknown end."""
    moment = (on, half)
    first = day(one.get("out") or one["from"])
    if "until" in one:
        return "spoken" if _or_comes_back(moment, first, day(one["until"])) else None
    if "back" in one:
        return "out" if moment in moments(first, day(one["back"])) else None
    started = on > first or moment == (first, "night")
    if "due" not in one:
        return "open" if started else None
    due = day(one["due"])
    if due < today:
        return "overdue" if started or moment == (due, "noon") == (first, "noon") else None
    return "out" if _or_comes_back(moment, first, due) else None


def _or_comes_back(moment: Moment, first: dt.date, last: dt.date) -> bool:
    return moment in moments(first, last) or moment == (last, "noon")


def state(book: dict[str, tuple[Data, ...]], rig: str, on: dt.date, today: dt.date) -> str:
    """The state of a rig on a day, from the rules as they are written: one booking and one half-day after the other."""
    bookings = (*book["loans"], *book["reservations"])
    # What is known goes before what is not, the night before the noon, loans before reservations.
    own = sorted(
        (word in UNSURE, half == "noon", word == "spoken", number, word)
        for half in ("noon", "night")
        for number, one in enumerate(bookings)
        if one["rig"] == rig and (word := holds(one, on, half, today)) is not None
    )
    if own:
        _, _, _, number, word = own[0]
        late = word == "overdue" and on > day(bookings[number]["due"])
        return "spoken for" if word == "spoken" else "overdue" if late else "out"
    needed = {part: RIGS[rig].count(part) for part in RIGS[rig]}
    halves = ("noon", "night")
    if any(_short(bookings, needed, on, half, today) for half in halves):
        return "short"
    awaited = [one for one in bookings if "due" in one and "back" not in one and today <= day(one["due"]) <= on]
    if any(one["rig"] == rig and day(one["due"]) < on for one in awaited):
        return "due back"
    # What nobody may have brought back: too few are left beside it, some of it is not overdue.
    loans = [one for one in bookings if "out" in one and "back" not in one and day(one["out"]) <= on]
    gone = [one for one in loans if "due" not in one or day(one["due"]) < on]
    for part, count in needed.items():
        kept = any(part in RIGS[one["rig"]] for one in awaited if one in gone)
        if kept and count + sum(RIGS[one["rig"]].count(part) for one in gone) > STOCK[part]:
            return "due back"
    return "here"


def _short(bookings: tuple[Data, ...], needed: dict[str, int], on: dt.date, half: str, today: dt.date) -> bool:
    words = [(one["rig"], holds(one, on, half, today)) for one in bookings]
    taken: dict[str, int] = {}
    for rig in RIGS:
        unsure = sum(one == rig and word in UNSURE for one, word in words)
        known = sum(one == rig and word not in (*UNSURE, None) for one, word in words)
        # What is waited for is there once: loans of unknown end and what comes after them share the pieces.
        for part in RIGS[rig]:
            taken[part] = taken.get(part, 0) + max(unsure, known)
    return any(STOCK[part] - min(taken.get(part, 0), STOCK[part]) < count for part, count in needed.items())


def phase_on(phases: tuple[Phase, ...], on: dt.date) -> Phase | None:
    """Return the phase in which a day lies, or None before the first and after the last."""
    return next((one for one in phases if one.first <= on and (one.last is None or on <= one.last)), None)
