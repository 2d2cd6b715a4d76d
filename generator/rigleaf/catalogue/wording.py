"""Small words of every sentence: a value as it is quoted, a noun with its article, names in a row."""

from collections.abc import Iterable

from rigleaf.quantities import short
from rigleaf.words import tr


def shown(value: object) -> str:
    """Return a YAML value for a sentence: in quotes as it was written, or its sort when it has parts."""
    match value:
        case None:
            return "nothing"
        case bool():
            return f"'{str(value).lower()}'"
        case list():
            return "a list"
        case dict():
            return "a mapping"
    return f"'{short(value)}'"


def with_article(noun: str) -> str:
    """Return the noun with its indefinite article, such as "an optic" or "a rig"."""
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


def listed(names: Iterable[str], joint: str = "and") -> str:
    """Return names as prose has them, such as "a, b and c"; nothing for none."""
    *most, last = [*names] or [""]
    return f"{', '.join(most)} {tr(joint)} {last}" if most else last
