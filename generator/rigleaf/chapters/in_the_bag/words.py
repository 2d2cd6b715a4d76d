"""Lists of parts and bags in words."""

from collections import Counter
from collections.abc import Iterable

from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.wording import listed

MOST_NAMED = 5


def count(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun: "1 piece", "3 pieces"."""
    return f"{number} {one}" if number == 1 else f"{number} {many or one + 's'}"


def names(parts: Iterable[Part], most: int = MOST_NAMED) -> tuple[str, tuple[str, ...]]:
    """Return parts by name, each with its number where it is more than one, and the ids of those named."""
    whole = list(parts)
    counted = Counter(part.id for part in whole)
    by_id = {part.id: part.name for part in whole}
    ids = list(by_id)
    shown = [f"{counted[id_]} × {by_id[id_]}" if counted[id_] > 1 else by_id[id_] for id_ in ids[:most]]
    if len(ids) > most:
        shown.append(f"{len(ids) - most} more")
    return listed(shown), tuple(ids[:most])
