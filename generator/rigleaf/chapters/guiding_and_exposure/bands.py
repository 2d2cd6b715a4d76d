"""Which light reaches a sensor: the pass bands of the filters before it, and what a photosite sees of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

from rigleaf.catalogue.models.train import Filter
from rigleaf.chapters.image_train.physics import WHITE_NM

PHOTOSITES = MappingProxyType({"green": (490.0, 580.0), "red": (580.0, 690.0), "blue": (410.0, 500.0)})
"""Bands that the photosites of a colour mosaic see, in nm at half height (common practice, no source); green first,
because half of all photosites are green."""

NARROW_NM = 50.0
"""A band narrower than this is made for the lines of nebulae."""

COLOUR_SHARE = 1 / 3
"""Part of white light that a photosite of a mosaic sees (an assumption)."""


@dataclass(frozen=True, slots=True)
class Slice:
    """One stretch of the spectrum that gets through: middle and width in nm, transmission 0 to 1."""

    centre: float
    width: float
    transmission: float


@dataclass(frozen=True, slots=True)
class Light:
    """The light that one sort of photosite sees; ``photosite`` is "" for a monochrome sensor."""

    slices: tuple[Slice, ...]
    photosite: str = ""

    @property
    def width(self) -> float:
        """Width in nm that gets through, losses not counted."""
        return sum(one.width for one in self.slices)

    @property
    def passed(self) -> float:
        """The same with the filters' losses."""
        return sum(one.width * one.transmission for one in self.slices)

    @property
    def narrow(self) -> bool:
        """Whether this is a band for lines."""
        return self.width < NARROW_NM

    @property
    def words(self) -> str:
        """The light in words, such as "green, 490 to 580 nm"."""
        spans = [f"{one.centre - one.width / 2:.0f} to {one.centre + one.width / 2:.0f}" for one in self.slices]
        return ", ".join([*([self.photosite] if self.photosite else []), " and ".join(spans) + " nm"])


def bands_known(filters: Sequence[Filter]) -> bool:
    """Whether every filter states bands with centre and width."""
    return all(one.bands and all(band.centre and band.width for band in one.bands) for one in filters)


def passed(filters: Sequence[Filter], window: tuple[float, float]) -> tuple[Slice, ...]:
    """Return what these filters, one behind the other, let through of a window in nm, neighbours joined.

    A band is taken as a box; where the bands of one filter overlap, the brighter counts.
    """
    boxes = [
        [
            (band.centre.value - band.width.value / 2, band.centre.value + band.width.value / 2,
             band.transmission.value if band.transmission else 1.0)
            for band in one.bands or () if band.centre and band.width
        ]
        for one in filters
    ]  # fmt: skip
    least, most = window
    edges = sorted({least, most, *(min(max(edge, least), most) for box in boxes for a, b, _ in box for edge in (a, b))})
    found: list[Slice] = []
    for low, high in pairwise(edges):
        middle, kept = (low + high) / 2, 1.0
        for box in boxes:
            kept *= max((transmission for a, b, transmission in box if a < middle < b), default=0.0)
        if kept > 0:
            found.append(Slice(middle, high - low, kept))
    return tuple(found)


def light_on(filters: Sequence[Filter], mosaic: str) -> Light:
    """Return the light on the photosites that count: the green ones, or the brightest where these are dark."""
    if mosaic == "mono":
        return Light(passed(filters, WHITE_NM))
    seen = [Light(passed(filters, window), name) for name, window in PHOTOSITES.items()]
    return seen[0] if seen[0].slices else max(seen, key=lambda one: one.passed)
