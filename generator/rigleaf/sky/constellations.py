"""In which constellation a place stands, by the boundaries of 1930 that astropy knows."""

from functools import lru_cache


@lru_cache(maxsize=64)
def constellations(places: tuple[tuple[float, float], ...]) -> tuple[str, ...]:
    """Return the constellation's Latin name for each right ascension and declination (ICRS, deg); asks no network."""
    if not places:
        return ()
    from astropy.coordinates import SkyCoord, get_constellation  # late: costs a third of a second

    ra, dec = zip(*places, strict=True)
    return tuple(str(name) for name in get_constellation(SkyCoord(list(ra), list(dec), unit="deg")))
