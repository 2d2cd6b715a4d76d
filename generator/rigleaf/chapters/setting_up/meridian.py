"""Which targets cross the meridian while they are photographed, so that the mount must turn over."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.night_out.chosen import ChosenNight
from rigleaf.chapters.under_the_sky.place_sky import store_of
from rigleaf.sky.seasons import season


def crossings(assembly: Assembly, night: ChosenNight, first: float, last: float) -> list[tuple[str, float]]:
    """Return the targets that cross the upper meridian between two instants, high enough, with when; earliest first.

    Instants are seconds since 1970 UTC; "high enough" is the guide's lowest altitude, or the skyline.
    """
    lowest = assembly.choice("lowest_altitude").value
    site = night.nights.site
    found: list[tuple[str, float]] = []
    for target in assembly.targets:
        if target.place is None:
            continue
        seen = season(site, night.nights.year, target.place, lowest, store_of(assembly.catalogue))
        at = seen.meridian(night.index)
        towards = 180.0 if seen.declination < site.latitude else 0.0
        if first < at < last and seen.highest >= max(lowest, float(site.skyline(towards))):
            found.append((target.name, at))
    return sorted(found, key=lambda one: one[1])
