"""The nearest known name to a mistyped one."""

from collections.abc import Iterable
from difflib import SequenceMatcher, get_close_matches

_MOST_CHARACTERS = 100
_ALIKE, _ALMOST_THE_SAME = 0.6, 0.8


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name most like ``name``, or None when nothing is close.

    Case and the choice between hyphen, underscore and space do not count as differences. Where no name is
    almost the same, one whose words all occur in ``name`` is preferred: "pixel_size" means "pixel" rather
    than "pixels".
    """
    if len(name) > _MOST_CHARACTERS:
        return None  # no typing error, and comparing takes time that grows with the square of the length
    folded: dict[str, str] = {}
    for candidate in known:
        folded.setdefault(_fold(candidate), candidate)
    wanted = _fold(name)
    found = get_close_matches(wanted, folded, n=1, cutoff=_ALIKE)
    if found and SequenceMatcher(None, found[0], wanted).ratio() >= _ALMOST_THE_SAME:
        return folded[found[0]]
    words = set(wanted.split("-"))
    inside = [candidate for candidate in folded if words.issuperset(candidate.split("-"))]
    best = max(inside, key=len, default=found[0] if found else None)
    return folded[best] if best is not None else None


def _fold(name: str) -> str:
    return name.casefold().replace("_", "-").replace(" ", "-")
