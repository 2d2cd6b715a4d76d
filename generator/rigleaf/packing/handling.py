"""How parts are handled in bags: what is soft, fragile, to be kept upright or padded, where they do not say themselves.

Which kinds these are is common practice, no source; a part that states it itself goes before.
"""

from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Battery

SOFT: frozenset[str] = frozenset({"cable", "car-lead", "dew-heater"})
"""Kinds that can be pressed into gaps."""

FRAGILE: frozenset[str] = frozenset(
    {
        "optic", "front-filter", "corrector", "filter", "camera", "guide-camera", "guide-scope", "off-axis-pick-off",
        "filter-wheel",
    }
)  # fmt: skip
"""Kinds on which nothing heavy may stand: glass, and what its axis depends on."""

BARE: frozenset[str] = frozenset(
    {
        "adapter", "spacer", "shim", "tilt-plate", "filter", "filter-drawer", "counterweight", "counterweight-bar",
        "tripod", "fixing", "charger", "mains-supply", "bag", "tool", "spare", "liquid", "sundry",
    }
)  # fmt: skip
"""Kinds that need no padding around them: metal, what has a box of its own, and what cannot be bent."""

CABIN: frozenset[str] = frozenset({*FRAGILE, "computer", "battery"})
"""Kinds that travel in the cabin where there is one: glass breaks in the hold, loose batteries may not fly there."""


def is_soft(part: Part) -> bool:
    """Say whether a part is pressed into gaps, so that only its volume counts."""
    return part.kind in SOFT if part.soft is None else part.soft


def is_fragile(part: Part) -> bool:
    """Say whether nothing heavy may stand above a part."""
    return part.kind in FRAGILE if part.fragile is None else part.fragile


def is_upright(part: Part) -> bool:
    """Say whether a part's height must stay upwards: of batteries only lead-acid, whose vents would leak."""
    if part.upright is not None:
        return part.upright
    return isinstance(part, Battery) and part.chemistry == "sealed lead-acid"


def padding_of(part: Part, usual: float) -> float:
    """Return the padding on every side of a part in mm; ``usual`` is what the guide chooses for what needs any."""
    if part.padding is not None:
        return part.padding.value
    return 0.0 if is_soft(part) or part.kind in BARE else usual


def is_inside_another(part: Part) -> bool:
    """Say whether a part travels inside another one, as a battery that is installed in its camera does."""
    return isinstance(part, Battery) and part.installed is True
