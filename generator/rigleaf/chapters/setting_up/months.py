"""The times of a night out through the year: one evening of each month."""

import datetime as dt

from rigleaf.catalogue.defaults import year_of
from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Table
from rigleaf.chapters.night_out.chosen import chosen_night
from rigleaf.chapters.setting_up.schedule import lay_out
from rigleaf.chapters.setting_up.steps import Step, sort_of
from rigleaf.chapters.under_the_sky.place_sky import clock_in_words

DAY = 15
"""The evening that speaks for its month."""
BRIGHT = "not dark"
"""What stands where an evening has no night to be reckoned for."""


def table(assembly: Assembly, up: tuple[Step, ...], down: tuple[Step, ...]) -> Table | None:
    """Return when to arrive, begin, end and be packed on an evening of each month.

    None where no place is known, for what looks at the Sun, and where the rig states the date that it is for.
    """
    place, own = assembly.place, assembly.rig.night
    if place is None or sort_of(assembly).day or (own is not None and own.date is not None):
        return None
    year = year_of(assembly.catalogue.guide)
    rows: list[tuple[Cell, ...]] = []
    for month, name in enumerate(MONTHS, 1):
        night = chosen_night(assembly, dt.date(year, month, DAY))
        if night is None:
            rows.append((Cell(f"{DAY}\u00a0{name}"), Cell(BRIGHT), Cell(), Cell(), Cell()))
            continue
        times = lay_out(up, down, night)
        instants = (times.arrive, times.first, times.last, times.packed)
        rows.append((Cell(f"{DAY}\u00a0{name}"), *(Cell(night.clock(at), numeric=True) for at in instants)))
    if all(row[1].text == BRIGHT for row in rows):
        return None
    caption = f"Arrive, first and last exposure, packed: month by month ({clock_in_words(place)})"
    return Table("months", caption, ("Evening", "Arrive", "First", "Last", "Packed"), tuple(rows))
