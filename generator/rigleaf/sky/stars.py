"""The stars down to G = 10 of the whole sky, from a file of 3 MB that needs no other library than numpy.

Positions are ICRS. Those of the 100 000 stars whose proper motion is known are of epoch J2026.5, the rest of
J2016.0; ``data/SOURCES.md`` says where they come from and how far off they may be. The file keeps its stars in
cells of about 3 deg by 3 deg, in each the brightest first, so that a cone reads a few stretches of it.

The arrays of the file: ``count`` has the number of stars of each cell, in the order of `cells_in_band`; ``east``
and ``north`` their places within the cell in 65536ths of its width and height, ``mag`` hundredths of a magnitude
from `BRIGHTEST`, ``colour`` steps of `COLOUR_STEP` from `BLUEST` with `NO_COLOUR` for unknown.
"""

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

FAINTEST: Final = 10.0
"""The catalogue is complete to this G magnitude, but for a few close pairs."""
EPOCH: Final = 2026.5
"""Julian year of the positions of stars whose motion is known."""

BANDS: Final = 60
BAND_HEIGHT: Final = 180 / BANDS
PLACES: Final = 65536
BRIGHTEST: Final = -2.0
BLUEST: Final = -1.0
COLOUR_STEP: Final = 0.03
NO_COLOUR: Final = 255


@dataclass(frozen=True, slots=True)
class StarField:
    """Stars of a part of the sky, the brightest first; four arrays of one length.

    Attributes:
        ra: Right ascension, ICRS, deg, 0 to 360.
        dec: Declination, deg.
        mag: G magnitude. G is redder and much wider than V: some 0.2 mag brighter for a star like the Sun.
        colour: BP - RP, mag; NaN where unknown. The Sun has 0.82.
    """

    ra: NDArray[np.float64]
    dec: NDArray[np.float64]
    mag: NDArray[np.float64]
    colour: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.ra)


def stars_in_cone(ra_deg: float, dec_deg: float, radius_deg: float, limit: float = FAINTEST) -> StarField:
    """Return the stars within ``radius_deg`` of a point that are no fainter than ``limit``, brightest first.

    Raises:
        ValueError: for a declination outside -90 to 90, a radius outside 0 to 180, or anything not finite.
    """
    if not np.isfinite([ra_deg, dec_deg, radius_deg]).all() or np.isnan(limit):
        raise ValueError("the cone's right ascension, declination, radius and limit must be numbers")
    if not -90 <= dec_deg <= 90:
        raise ValueError(f"a declination lies between -90 and 90 deg, not at {dec_deg}")
    if not 0 <= radius_deg <= 180:
        raise ValueError(f"a radius lies between 0 and 180 deg, not at {radius_deg}")
    table = _table()
    found = [_decoded(table, *stretch, limit) for stretch in _stretches(ra_deg, dec_deg, radius_deg)]
    ra, dec, mag, colour = (np.concatenate(parts) for parts in zip(*found, strict=True))
    # Haversines keep their accuracy in cones of arcseconds, where the cosine of the separation would lose it.
    hav = (
        np.sin(np.radians(dec - dec_deg) / 2) ** 2
        + np.cos(np.radians(dec)) * np.cos(np.radians(dec_deg)) * np.sin(np.radians(ra - ra_deg) / 2) ** 2
    )
    inside = np.flatnonzero(hav <= np.sin(np.radians(radius_deg) / 2) ** 2)
    order = inside[np.argsort(mag[inside], kind="stable")]
    return StarField(ra[order], dec[order], mag[order], colour[order])


def cells_in_band(band: int) -> int:
    """Number of cells of a declination band; bands count from the south pole, cells from RA 0 eastwards."""
    south = -90 + BAND_HEIGHT * band
    widest = np.cos(np.radians(min(abs(south), abs(south + BAND_HEIGHT))))
    return int(np.ceil(360 * widest / BAND_HEIGHT))


@dataclass(frozen=True, slots=True)
class _Table:
    first: tuple[NDArray[np.int64], ...]  # for each band: where its cells begin, and where the last one ends
    east: NDArray[np.uint16]
    north: NDArray[np.uint16]
    mag: NDArray[np.uint16]
    colour: NDArray[np.uint8]


@lru_cache(maxsize=1)
def _table() -> _Table:
    with (files("rigleaf.sky") / "data" / "stars.npz").open("rb") as file, np.load(file) as arrays:
        starts = np.concatenate([[0], np.cumsum(arrays["count"], dtype=np.int64)])
        edges = np.cumsum([0, *(cells_in_band(band) for band in range(BANDS))])
        first = tuple(starts[a : b + 1] for a, b in pairwise(edges))
        return _Table(first, arrays["east"], arrays["north"], arrays["mag"], arrays["colour"])


def _stretches(ra: float, dec: float, radius: float) -> list[tuple[int, int, int]]:
    """Band, first cell and the cell after the last one, of all neighbouring cells that a cone may touch."""
    lowest = min(max(0, int((dec - radius + 90) / BAND_HEIGHT)), BANDS - 1)
    highest = min(BANDS - 1, int((dec + radius + 90) / BAND_HEIGHT))
    whole_circle = abs(dec) + radius >= 90
    # The cone's edge reaches farthest in right ascension where the meridian touches it.
    reach = 180.0 if whole_circle else np.degrees(np.arcsin(np.sin(np.radians(radius)) / np.cos(np.radians(dec))))
    stretches: list[tuple[int, int, int]] = []
    for band in range(lowest, highest + 1):
        number = cells_in_band(band)
        # A rounding error at a cell's edge must not lose it, hence the hair's breadth more.
        begin = int(np.floor((ra - reach) / 360 * number - 1e-9))
        end = int(np.floor((ra + reach) / 360 * number + 1e-9)) + 1
        if end - begin >= number:
            stretches.append((band, 0, number))
            continue
        begin, end = begin % number, (end - 1) % number + 1
        pieces = [(begin, end)] if begin < end else [(0, end), (begin, number)]
        stretches += [(band, *piece) for piece in pieces]
    return stretches


def _decoded(
    table: _Table, band: int, begin: int, end: int, limit: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    starts = table.first[band]
    rows = slice(starts[begin], starts[end])
    cell = np.repeat(np.arange(begin, end), np.diff(starts[begin : end + 1]))
    mag = BRIGHTEST + table.mag[rows] / 100
    bright = mag <= limit + 1e-9
    width = 360 / cells_in_band(band)
    ra = (cell[bright] + (table.east[rows][bright] + 0.5) / PLACES) * width
    dec = -90 + (band + (table.north[rows][bright] + 0.5) / PLACES) * BAND_HEIGHT
    steps = table.colour[rows][bright]
    colour = np.where(steps == NO_COLOUR, np.nan, BLUEST + steps * COLOUR_STEP)
    return ra, dec, mag[bright], colour
