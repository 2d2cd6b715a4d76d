"""Stretches of nights without darkness, in words."""

from rigleaf.catalogue.wording import listed
from rigleaf.chapters.under_the_sky.place_sky import date_in_words
from rigleaf.sky.night import Nights
from rigleaf.words import tr


def stretches(found: Nights) -> list[tuple[int, int]]:
    """Return first and last night of each stretch without astronomical darkness, the year taken as a ring.

    A stretch over the turn of the year comes as one, with its last night before its first.
    """
    light = (found.dark <= 0).tolist()
    count = len(light)
    if all(light):
        return [(0, count - 1)]
    starts = [night for night in range(count) if light[night] and not light[night - 1]]
    ends = [night for night in range(count) if light[night] and not light[(night + 1) % count]]
    if ends and starts[0] > ends[0]:
        ends = [*ends[1:], ends[0]]
    return list(zip(starts, ends, strict=True))


def gap_in_words(found: Nights) -> str:
    """Return when it does not grow dark: "from 2 June to 10 July"; empty where it always does."""
    parts = [
        tr("on {day}", day=date_in_words(found, first))
        if first == last
        else tr("from {first} to {last}", first=date_in_words(found, first), last=date_in_words(found, last))
        for first, last in stretches(found)
    ]
    return listed(parts)
