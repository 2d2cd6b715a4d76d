"""How often somebody walks between car and spot, and how long that takes."""

from math import ceil

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.hands_and_back.lifts import lifts_of
from rigleaf.chapters.hands_and_back.loads import by_car, carried
from rigleaf.chapters.hands_and_back.trips import LOAD_KG, too_heavy, walks_of, way_m
from rigleaf.chapters.setting_up.minutes import Lasting, lasting
from rigleaf.chapters.what_it_weighs.sums import sum_items

WALKING = 1.0
"""Speed of a person with a load, m/s; common practice, no source."""


def trips(assembly: Assembly) -> int:
    """Return how many walks it takes to carry everything from the car; 0 where nothing comes by car.

    Where bags do not say what they hold, the mass in all says how many walks there are at least; where the rig names no
    bags and no masses, it counts as one.
    """
    if not by_car(assembly):
        return 0
    by_mass = ceil(sum_items(assembly.items).total / LOAD_KG)
    loads = carried(assembly)
    heavy = too_heavy(lifts_of(assembly, loads)[0])
    return max(len(walks_of(assembly, loads, heavy)), by_mass, 1)


def carrying(assembly: Assembly) -> Lasting | None:
    """Return how long all walks take, the last one without its way back; None where nothing comes by car."""
    count = trips(assembly)
    if not count:
        return None
    one = lasting(assembly, "unload")
    who = one.who if count == 1 else f"{one.who}, {count} times"
    seconds = one.seconds * count
    # What somebody states for a walk has its way in it.
    if one.basis == "assumed" and assembly.place is not None and assembly.place.walk is not None:
        seconds += way_m(count, assembly.place.walk.value) / WALKING
    return Lasting(seconds, one.basis, who)
