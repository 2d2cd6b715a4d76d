"""A place of the guide as the sky sees it, and the words for months, dates and times."""

from collections.abc import Sequence
from pathlib import Path

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import choice, year_of
from rigleaf.catalogue.models.guide import Place
from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.catalogue.targets import resolve
from rigleaf.sky.night import Nights, nights
from rigleaf.sky.seasons import Season, season
from rigleaf.sky.site import Site
from rigleaf.sky.targets import SkyTarget
from rigleaf.words import tr


def site_of(place: Place) -> Site | None:
    """Return where a place is, or None where its coordinates are unsaid.

    Without an elevation it counts as at sea level, which moves no twilight by a tenth of a second.
    """
    if place.latitude is None or place.longitude is None:
        return None
    skyline = tuple((point.azimuth.value, point.altitude.value) for point in place.horizon)
    elevation = place.elevation.value if place.elevation else 0.0
    return Site(place.latitude.value, place.longitude.value, elevation, place.timezone or "", skyline)


def store_of(catalogue: Catalogue) -> Path | None:
    """Return the folder that keeps the ephemeris from one run to the next; none for guides made in memory."""
    root = catalogue.root
    if not root.name:
        return None
    return (root.parent if root.name == "rigs" else root) / ".cache" / "rigleaf"


def nights_of(catalogue: Catalogue, place: Place) -> Nights | None:
    """Return the nights of the guide's year at a place, or None where its coordinates are unsaid."""
    site = site_of(place)
    return nights(site, year_of(catalogue.guide), store_of(catalogue)) if site else None


def season_of(catalogue: Catalogue, place: Place, target: SkyTarget) -> Season | None:
    """Return a target's year at a place, or None where either has no coordinates."""
    site = site_of(place)
    if site is None or target.place is None:
        return None
    lowest = choice(catalogue.guide, "lowest_altitude").value
    return season(site, year_of(catalogue.guide), target.place, lowest, store_of(catalogue))


def best_months(catalogue: Catalogue) -> dict[str, str]:
    """Return when each target is best seen from the guide's home place, in words; nothing where that is unsaid."""
    place = catalogue.places.get(catalogue.guide.place or "")
    if place is None:
        return {}
    found: dict[str, str] = {}
    for target in catalogue.targets.values():
        seen = season_of(catalogue, place, resolve(target))
        if seen is not None and seen.best_months:
            found[target.id] = months_in_words(seen.best_months)
    return found


def months_in_words(months: Sequence[int]) -> str:
    """Return months (0 for January) as ranges, the year taken as a ring: "October to January, and June"."""
    chosen = set(months)
    if len(chosen) == len(MONTHS):
        return "the whole year"
    ranges = []
    for first in sorted(chosen):
        if (first - 1) % 12 in chosen:
            continue
        last = first
        while (last + 1) % 12 in chosen:
            last = (last + 1) % 12
        ranges.append(MONTHS[first] if last == first else f"{MONTHS[first]} to {MONTHS[last]}")
    return ranges[0] if len(ranges) == 1 else ", ".join(ranges[:-1]) + f" and {ranges[-1]}" if ranges else ""


def date_in_words(found: Nights, night: int) -> str:
    """Return the date of a night's evening: "3 June"."""
    day = found.dates[night]
    return tr("{day}\u00a0{month}", day=day.day, month=tr(MONTHS[day.month - 1]))


def time_in_words(found: Nights, instant: float) -> str:
    """Return what the clocks of the place show, to the minute: "22:41"."""
    return f"{found.site.clock(round(instant / 60) * 60):%H:%M}"


def clock_in_words(place: Place) -> str:
    """Say whose clock times are given in."""
    return (
        tr("clocks of {zone}", zone=place.timezone) if place.timezone else tr("UTC, as the place states no time zone")
    )
