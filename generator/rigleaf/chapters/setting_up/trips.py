"""How often somebody walks between car and spot."""

from math import ceil

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.what_it_weighs.sums import sum_items

PIECES, LOAD_KG = 2, 25.0
"""What one person carries at once: a piece in each hand, or one on the back and one in the hand, and no more than the
mass that most guidance on lifting allows a strong adult; common practice, no source."""


def trips(assembly: Assembly) -> int | None:
    """Return how many walks it takes to carry everything from the car; 0 where nothing has to be carried.

    Returns:
        None where the rig names no bags.
    """
    ways = assembly.rig.travels
    if ways and "car" not in ways:
        return 0
    pieces = sum(item.count for item in assembly.items if item.role == "bag")
    if not pieces:
        return None
    return max(ceil(pieces / PIECES), ceil(sum_items(assembly.items).total / LOAD_KG))
