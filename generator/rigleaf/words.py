"""The language of the interface: English stands in the source, other languages in ``site/texts/words.<language>.yml``.

Only the guide's own words pass through here: headings, labels, buttons, dates. What a club writes in its YAML never does.
English texts are their own keys, so that templates and modules stay readable, and English needs no look-up.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from importlib.resources import files

LANGUAGES: tuple[str, ...] = ("en", "de")
"""Languages that the interface speaks; the first is the one in which the source is written."""

_spoken: ContextVar[str] = ContextVar("language", default=LANGUAGES[0])


@lru_cache(maxsize=len(LANGUAGES))
def words_of(language: str) -> Mapping[str, str]:
    """Return the words of a language by the English ones; none for English itself."""
    if language == LANGUAGES[0]:
        return {}
    import yaml

    text = (files("rigleaf.site") / "texts" / f"words.{language}.yml").read_text(encoding="utf-8")
    found: dict[str, str] = yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))  # noqa: S506 - safe
    return found


def language() -> str:
    """Return the language that is spoken now, such as "de"."""
    return _spoken.get()


@contextmanager
def speaking(code: str) -> Iterator[None]:
    """Speak a language of LANGUAGES until the block ends."""
    before = _spoken.set(code)
    try:
        yield
    finally:
        _spoken.reset(before)


def tr(text: str, /, **values: object) -> str:
    """Return a text of the interface in the language spoken, with values in its places.

    Args:
        text: the English text, with named places such as "{name}"; spaces around it are kept.
        values: what stands in the places. A text without values is taken as it is, braces and all.
    """
    code = _spoken.get()
    if code != LANGUAGES[0]:
        core = text.strip(" ")
        if found := words_of(code).get(core):
            text = text.replace(core, found, 1) if core != text else found
    return text.format(**values) if values else text


def tr_many(count: int, one: str, many: str, /, **values: object) -> str:
    """Return the text for one or for many things, with the place "{n}" for how many."""
    return tr(one if count == 1 else many, n=count, **values)
