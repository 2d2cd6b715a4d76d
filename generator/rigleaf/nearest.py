"""The nearest known name to a mistyped one."""

from collections.abc import Iterable
from difflib import get_close_matches

_MOST_CHARACTERS = 100


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name most like ``name``, or None when nothing is close.

    Case and the choice between hyphen, underscore and space do not count as differences.
    """
    if len(name) > _MOST_CHARACTERS:
        return None  # no typing error, and comparing takes time that grows with the square of the length
    folded: dict[str, str] = {}
    for candidate in known:
        folded.setdefault(_fold(candidate), candidate)
    found = get_close_matches(_fold(name), folded, n=1, cutoff=0.6)
    return folded[found[0]] if found else None


def _fold(name: str) -> str:
    return name.casefold().replace("_", "-").replace(" ", "-")
