"""The nights at the place of a journey: darkness, the Moon, the rigs' targets, and power."""

import datetime as dt
import math
from collections.abc import Iterator, Sequence

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import choice
from rigleaf.catalogue.models.guide import Place
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.models.trip import Trip
from rigleaf.catalogue.targets import resolve
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.at_the_airport.words import day
from rigleaf.chapters.figures import Finding, Verdict
from rigleaf.chapters.under_the_sky.place_sky import site_of, store_of, time_in_words
from rigleaf.journeys.power import Drawn, evenings_of, power_night, through_the_nights
from rigleaf.journeys.result_nights import NightStudy, PowerNight, TargetNight
from rigleaf.journeys.words import say, short_name, worst
from rigleaf.sky.night import LEVELS, Nights, nights
from rigleaf.sky.seasons import season

MOST_NIGHTS = 31
"""Nights of a journey that are worked out; a longer stay is told by its first month."""
DARK = LEVELS.index(-18.0)
MOONLESS, UP, LASTING = "moonless-hours", "usable-hours", "lasting"
"""Methods of the chapters by which nights of journeys are judged too."""


def nights_there(catalogue: Catalogue, trip: Trip) -> tuple[NightStudy, ...]:
    """Return the nights of a journey; none where its place, its coordinates or the nights are unsaid."""
    place = catalogue.places.get(trip.place or "")
    site = site_of(place) if place is not None else None
    if place is None or site is None:
        return ()
    evenings = evenings_of(trip)[:MOST_NIGHTS]
    rigs = [catalogue.rigs[id_] for id_ in sorted(set(trip.rigs))]
    power = {rig.id: through_the_nights(catalogue, trip, rig, evenings) for rig in rigs}
    found = []
    for evening in evenings:
        year = nights(site, evening.year, store_of(catalogue))
        index = year.dates.index(evening)
        found.append(
            NightStudy(
                date=evening,
                dark=float(year.dark[index]),
                moonless=float(year.moonless[index]),
                moon_lit=float(year.illuminated[index]),
                dusk=_clock(year, float(year.dusk[index, DARK])),
                dawn=_clock(year, float(year.dawn[index, DARK])),
                targets=tuple(_targets(catalogue, rigs, place, evening, index)),
                power=tuple(_power(catalogue, rigs, power, evening)),
            )
        )
    return tuple(found)


def _clock(year: Nights, instant: float) -> str:
    return time_in_words(year, instant) if math.isfinite(instant) else ""


def _targets(
    catalogue: Catalogue, rigs: Sequence[Rig], place: Place, evening: dt.date, index: int
) -> Iterator[TargetNight]:
    site = site_of(place)
    lowest = choice(catalogue.guide, "lowest_altitude").value
    for id_ in dict.fromkeys(id_ for rig in rigs for id_ in rig.targets):
        target = resolve(catalogue.targets[id_])
        if target.place is None or site is None:
            yield TargetNight(id_, target.name, None, None)
            continue
        year = season(site, evening.year, target.place, lowest, store_of(catalogue))
        yield TargetNight(id_, target.name, float(year.dark[index]), float(year.usable[index]))


def _power(
    catalogue: Catalogue, rigs: Sequence[Rig], power: dict[str, dict[dt.date, Drawn]], evening: dt.date
) -> Iterator[PowerNight]:
    kept = choice(catalogue.guide, "battery_left").value
    for rig in rigs:
        if evening in power[rig.id]:
            yield power_night(catalogue, rig, power[rig.id][evening], kept)


def judge_nights(
    catalogue: Catalogue, trip: Trip, found: Sequence[NightStudy], left: Sequence[str]
) -> Iterator[Finding]:
    """Judge what the nights are worth, and whether power lasts; ``left`` are ids of what cannot go along."""
    if not found:
        if missing := _missing(catalogue, trip):
            yield Finding("nights", "unsaid", "The nights", missing, (), MOONLESS, "State it in the journey's file.")
        return
    place = catalogue.places[trip.place or ""]
    yield _darkness(catalogue, short_name(place.name), found)
    if low := _low(found):
        yield low
    by_rig: dict[str, list[tuple[dt.date, PowerNight]]] = {}
    for night in found:
        for one in night.power:
            by_rig.setdefault(one.rig, []).append((night.date, one))
    for rig, nights_of_rig in by_rig.items():
        gone = [use.part for use in catalogue.rigs[rig].power if use.part in left]
        missing = listed([catalogue.parts[id_].name for id_ in gone]) if gone else ""
        yield _power_finding(catalogue, trip, nights_of_rig, missing)


def _missing(catalogue: Catalogue, trip: Trip) -> str:
    place = catalogue.places.get(trip.place or "")
    if trip.nights is None:
        return "Which nights this journey is for is unsaid, so neither Moon nor power was reckoned." if place else ""
    if place is None:
        return "The place that this journey leads to is unsaid, so its nights were not reckoned."
    return f"The coordinates of {short_name(place.name)} are unsaid, so its nights were not reckoned."


def _darkness(catalogue: Catalogue, place: str, found: Sequence[NightStudy]) -> Finding:
    dark, moonless = sum(one.dark for one in found), sum(one.moonless for one in found)
    guide = catalogue.guide
    span = f"The night of {day(found[0].date)}"
    if len(found) > 1:
        span = f"The {len(found)} nights from {day(found[0].date)} on"
    if dark <= 0:
        verb = "does" if len(found) == 1 else "do"
        words = f"{span} {verb} not grow dark at {place}."
        return Finding("nights", "fails", "Darkness and Moon", words, (), MOONLESS, "Look for another date.")
    verb = "has" if len(found) == 1 else "have"
    words = (
        f"{span} {verb} {say(guide, dark, 'hours')} of darkness at {place}, {say(guide, moonless, 'hours')} of it "
        "without the Moon."
    )
    verdict: Verdict = "sound" if moonless >= dark / 2 else "tight"
    remedy = "" if verdict == "sound" else "Look for dates nearer to the new Moon, or take narrow filters."
    return Finding("nights", verdict, "Darkness and Moon", words, (), MOONLESS, remedy)


def _low(found: Sequence[NightStudy]) -> Finding | None:
    """Say which targets never stand high enough in the dark; None where there is no such."""
    names = {one.id: one.name for night in found for one in night.targets if one.hours is not None}
    up = {one.id for night in found for one in night.targets if one.hours}
    low = [name for id_, name in names.items() if id_ not in up]
    if not names:
        return None
    if not low:
        words = "All targets of the rigs stand high enough in the dark." if len(names) > 1 else (
            f"{next(iter(names.values()))} stands high enough in the dark."
        )  # fmt: skip
        return Finding("targets", "sound", "Targets", words, (), UP)
    shown = low if len(low) <= 5 else [*low[:4], f"{len(low) - 4} more"]
    words = f"In these nights {listed(shown)} never {'stands' if len(low) == 1 else 'stand'} high enough in the dark."
    verdict: Verdict = "fails" if len(low) == len(names) else "tight"
    return Finding("targets", verdict, "Targets", words, (), UP, "Choose others for this date.")


def _power_finding(
    catalogue: Catalogue, trip: Trip, found: Sequence[tuple[dt.date, PowerNight]], missing: str
) -> Finding:  # fmt: skip
    verdict = worst([one.verdict for _, one in found])
    date, hardest = min(
        (pair for pair in found if pair[1].verdict == verdict), key=lambda pair: (pair[1].left or 0.0, pair[0])
    )
    recharging = trip.nights is None or trip.nights.recharging
    words = hardest.sentence
    if hardest.left is not None and len(found) > 1:
        words = f"With batteries charged full each day, the hardest night is that of {day(date)}. {words}"
        if not recharging:
            words = _without_charging(catalogue, found)
    if missing:
        words += f" This counts on {missing}, which cannot go along."
    remedy = ""
    if verdict == "fails":
        remedy = "Take more batteries, or give up hours or cooling."
        if not recharging:
            remedy = "Charge by day, take more batteries, or observe on fewer nights."
        remedy = f"{_mains_words(catalogue, trip)}{remedy}"
    elif verdict == "unsaid":
        remedy = "Measure what is unsaid with a power meter."
    return Finding(f"power-{hardest.rig}", verdict, f"Power for {hardest.name}", words, (), LASTING, remedy)


def _mains_words(catalogue: Catalogue, trip: Trip) -> str:
    """Say how the mains of the place helps where batteries do not last; nothing where it has none."""
    place = catalogue.places.get(trip.place or "")
    if place is None or place.mains is None:
        return ""
    if place.mains.hours is None:
        return "Run from the mains of the place, which is on all night, or charge one battery while another feeds. "
    return f"Charge while the mains of the place is on ({place.mains.hours}). "


def short_of_power(catalogue: Catalogue, trip: Trip, found: Sequence[NightStudy], left: Sequence[str]) -> str:
    """Say in a sentence which rigs' batteries do not last through the nights; empty where none is known to fail.

    Rigs whose battery is among the ids of what cannot go along (``left``) are passed over: the ways out speak of them.
    """
    least: dict[str, tuple[str, float]] = {}
    for one in (one for night in found for one in night.power):
        gone = any(use.part in left for use in catalogue.rigs[one.rig].power)
        if not gone and one.left is not None and one.left < least.get(one.rig, ("", 0.0))[1]:
            least[one.rig] = (one.name, one.left)
    if not least:
        return ""
    when = "in the hardest" if trip.nights is None or trip.nights.recharging else "over all of them"
    short = [f"{name} is short of {say(catalogue.guide, -left, 'energy')} {when}" for name, left in least.values()]
    return f"But the batteries do not last through the nights: {listed(short)}."


def _without_charging(catalogue: Catalogue, found: Sequence[tuple[dt.date, PowerNight]]) -> str:
    """Say for how many nights a rig's batteries last where nothing charges them."""
    lasted = next((n for n, (_, one) in enumerate(found) if one.left is not None and one.left < 0), len(found))
    last = found[-1][1]
    left = last.left or 0.0
    end = say(catalogue.guide, abs(left), "energy")
    words = f"Without charging in between, {last.name} runs from {last.source} for"
    if lasted == len(found):
        return f"{words} all {len(found)} nights: {end} are left."
    return f"{words} {lasted or 'none'} of {len(found)} nights: {end} are missing in all."
