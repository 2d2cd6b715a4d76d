"""The language of the interface: English stands in the source, others in ``site/texts/words.<language>.yml``.

Only the guide's own words pass through here: headings, labels, buttons, dates. What a club writes in its YAML does not.
English texts are their own keys, so that templates and modules stay readable, and English needs no look-up.
"""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from importlib.resources import files

LANGUAGES: tuple[str, ...] = ("en", "de")
"""Languages that the interface speaks; the first is the one in which the source is written."""

_spoken: ContextVar[str] = ContextVar("language", default=LANGUAGES[0])
_names: ContextVar[frozenset[str]] = ContextVar("names", default=frozenset())
_POINT = re.compile(r"(?<=\d)\.(?=\d)")


@lru_cache(maxsize=len(LANGUAGES))
def words_of(language: str) -> Mapping[str, str]:
    """Return the words of a language by the English ones; none for English itself."""
    return {} if language == LANGUAGES[0] else texts_of("words", language)


def texts_of(kind: str, language: str) -> Mapping[str, str]:
    """Return what a file of a language says by the English texts: the file of "words", or that of "sentences"."""
    import yaml

    text = (files("rigleaf.site") / "texts" / f"{kind}.{language}.yml").read_text(encoding="utf-8")
    found: dict[str, str] = yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))  # noqa: S506 - safe
    return found


def language() -> str:
    """Return the language that is spoken now, such as "de"."""
    return _spoken.get()


def clubs_names() -> frozenset[str]:
    """Return the names that a club has given, which no language changes."""
    return _names.get()


@contextmanager
def speaking(code: str, names: frozenset[str] | None = None) -> Iterator[None]:
    """Speak a language of LANGUAGES until the block ends, with the names of a club where they are told."""
    before, known = _spoken.set(code), _names.set(_names.get() if names is None else names)
    try:
        yield
    finally:
        _names.reset(known)
        _spoken.reset(before)


def in_digits(figure: str) -> str:
    """Return a figure in words with the decimal sign of the language spoken."""
    return figure if _spoken.get() == LANGUAGES[0] else _POINT.sub(",", figure)


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


def within(text: str) -> str:
    """Return a heading as it stands within a sentence: in small letters where the language writes nouns so."""
    return text.lower() if _spoken.get() == LANGUAGES[0] else text
