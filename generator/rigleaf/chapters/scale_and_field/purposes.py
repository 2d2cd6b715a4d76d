"""What a rig is for, as far as it decides by what its sampling and focus are judged."""

from rigleaf.catalogue.models.rig import Rig

BRIGHT = frozenset({"Moon", "planets", "Sun", "eclipses"})
"""Purposes photographed in fractions of a second."""

FINE_DETAIL = frozenset({"galaxies", "planets", "Moon", "Sun"})
"""Purposes for which pixels wider than the star are a fault, and not just a loss."""

WIDE = frozenset({"wide field", "Milky Way", "comets"})
"""Purposes for which wide pixels are the price of a field that was chosen."""


def short_exposures(rig: Rig) -> bool:
    """Whether the rig takes short exposures only: then neither long-exposure seeing nor tracking judges it."""
    return bool(rig.purpose) and BRIGHT.issuperset(rig.purpose)


def wide(rig: Rig) -> bool:
    """Whether the rig was put together for a wide field."""
    return not WIDE.isdisjoint(rig.purpose)
