"""Sentences that chapters and journeys have written, said in another language.

A chapter writes English sentences with figures, days and the club's names in them. Here these are lifted out, and what
is left is looked up clause by clause in ``site/texts/sentences.<language>.yml``:

    Heron 65 gives 92 Wh in use at 0 °C.    is    {n1} gives {v1} Wh in use at {v2} °C.

``n`` stands for names, ``v`` for figures, ``d`` for days and months,
``c`` for directions, ``w`` for ways to travel. A text of which a clause is not
known stays English as a whole, and the page says so.
"""

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from rigleaf.words import LANGUAGES, clubs_names, in_digits, language, texts_of, tr, words_of

PLACE = "{part}"
"""Where a chapter puts a name of the club's into one of its own."""

_MONTHS = "January|February|March|April|May(?! fly)|June|July|August|September|October|November|December"
_DIRECTION = r"(?:north|south|east|west)(?:-(?:north|south|east|west))*"
_LIFTED = re.compile(
    rf"(?P<d>(?:\d{{1,2}}[ \u00a0])?\b(?:{_MONTHS})\b(?: \d{{4}})?)"
    r"|(?P<w>(?<=this rig travels by )[^.]+(?=\.))"
    rf"|(?P<c>\b(?:{_DIRECTION}|[NS]{{1,2}}[EW]|[EW][NS][EW])\b)"
    r"|(?P<n>(?<=[\s(])'[^']{1,60}'(?=[\s.,;:)])|\b[A-Z]\w+/[A-Z]\w+(?:/\w+)?\b)"
    r"|(?P<v>\bM\d[\d.]*(?: [x×] \d[\d.]*\d|(?<!\.))|(?<![\w.,])−?\d(?:[\d\u202f.,:]*\d)?)"
)
_CLAUSE_ENDS = re.compile(r"(?<=[.;:])(?<!\bno\.)\s+")
_NAME_OF_PLACE = re.compile(r"\{(\w+)\}")
_PLACE = re.compile("\ue000(\\d+)\ue001")
_NAMED = "\ue000(\\d+)\ue001"
_LIST = re.compile(f"{_NAMED}(, | and | or ){_NAMED}")
_COUNTED = re.compile(f"{_NAMED} × {_NAMED}")
_UNITS = "%|°C|°F|[kmµ]?[gmWAVhsK]|mm|Wh|Ah|min|px|mW|kB|GB|N m|m/s|kg/m³|e−|in|ft|lb|oz|mph"
"""Units that do not part from their figure at the end of a line."""
_UNIT = re.compile(rf"(?<=\d) (?=(?:{_UNITS})(?![\w-]))")


_SOURCE = "Source:"


class Lifted(NamedTuple):
    """A clause with what was lifted out of it."""

    key: str
    values: Mapping[str, str]


def said(text: str) -> str | None:
    """Return a text in the language spoken; None where a clause of it is not known, and the text itself in English."""
    if language() == LANGUAGES[0]:
        return text
    return _said(text, language(), clubs_names())


def named(text: str) -> str:
    """Return the name of a figure, finding or table, or a short text, that a chapter has made, in the language spoken.

    The language knows it as it is, with the place "{part}" where the chapter put a name of the club's in, or as a
    sentence. What a club has written stays as it is.
    """
    if language() == LANGUAGES[0] or text in clubs_names():
        return text
    return _named(text, language(), clubs_names())


@lru_cache(maxsize=1 << 13)
def _named(text: str, code: str, names: frozenset[str]) -> str:
    if found := words_of(code).get(text) or _said(text, code, names):
        return found
    for pattern, words in _patterns(code):
        if part := pattern.fullmatch(text):
            return words.replace(PLACE, _said(part[1], code, names) or part[1])
    return text


@lru_cache(maxsize=len(LANGUAGES))
def _patterns(code: str) -> list[tuple[re.Pattern[str], str]]:
    with_part = [(english, words) for english, words in words_of(code).items() if PLACE in english]
    return [(re.compile(re.escape(english).replace(re.escape(PLACE), "(.+)")), words) for english, words in with_part]


@lru_cache(maxsize=1 << 13)
def _said(text: str, code: str, names: frozenset[str]) -> str | None:
    known = sentences_of(code)
    made: list[str] = []
    titles = False
    for clause in lifted(text, names):
        words = known.get(clause.key)
        if words is None:
            # Titles of documents stay what they are.
            if not titles and re.search(r"[^\W\d_]{2}", re.sub(r"\{\w+\}", "", clause.key)):
                return None
            words = clause.key
        titles = titles or clause.key == _SOURCE
        spoken = {place: _spoken(place, value) for place, value in clause.values.items()}
        filled = _NAME_OF_PLACE.sub(lambda place, of=spoken: of.get(place[1], place[0]), words)  # type: ignore[misc]
        made.append(_UNIT.sub("\u00a0", filled))
    return " ".join(made)


@lru_cache(maxsize=len(LANGUAGES))
def sentences_of(code: str) -> Mapping[str, str]:
    """Return the clauses of a language by the English ones."""
    return texts_of("sentences", code)


def lifted(text: str, names: frozenset[str]) -> Iterator[Lifted]:
    """Yield each clause of a text as the language file knows it, with what stands in its places."""
    values: list[tuple[str, str]] = []

    def put(kind: str, value: str) -> str:
        values.append((kind, value))
        return f"\ue000{len(values) - 1}\ue001"

    made, done = "", 0
    for start, end in _found_names(text, names):
        made += _LIFTED.sub(lambda found: put(str(found.lastgroup), found.group()), text[done:start])
        made += put("n", text[start:end])
        done = end
    made += _LIFTED.sub(lambda found: put(str(found.lastgroup), found.group()), text[done:])

    def counted(found: re.Match[str]) -> str:
        one, other = values[int(found[1])], values[int(found[2])]
        return put("n", f"{one[1]} × {other[1]}") if (one[0], other[0]) == ("v", "n") else found.group()

    def listed(found: re.Match[str]) -> str:
        one, other = values[int(found[1])], values[int(found[3])]
        return put("n", f"{one[1]}{tr(found[2])}{other[1]}") if one[0] == other[0] == "n" else found.group()

    made = _COUNTED.sub(counted, made)
    while (joined := _LIST.sub(listed, made)) != made:
        made = joined
    for clause in _CLAUSE_ENDS.split(re.sub("[ \u00a0\u202f\n]+", " ", made).strip()):
        yield _numbered(clause, values)


def _numbered(clause: str, values: list[tuple[str, str]]) -> Lifted:
    count: dict[str, int] = {}
    places: dict[str, str] = {}

    def name(found: re.Match[str]) -> str:
        kind, value = values[int(found[1])]
        count[kind] = count.get(kind, 0) + 1
        places[f"{kind}{count[kind]}"] = value
        return f"{{{kind}{count[kind]}}}"

    return Lifted(_PLACE.sub(name, clause), places)


def _found_names(text: str, names: frozenset[str]) -> Iterator[tuple[int, int]]:
    """Yield where the club's names stand, the longest where several begin at one place."""
    begun = _by_first_word(names)
    at = 0
    for word in re.finditer(r"\w+", text):
        if word.start() < at:
            continue
        for name in begun.get(word.group(), ()):
            start = word.start() - len(name) + len(name.lstrip())
            if text.startswith(name, start) and not text[start + len(name) : start + len(name) + 1].isalnum():
                yield start, start + len(name)
                at = start + len(name)
                break


@lru_cache(maxsize=4)
def _by_first_word(names: frozenset[str]) -> Mapping[str, list[str]]:
    begun: dict[str, list[str]] = {}
    for name in sorted(names, key=lambda one: (-len(one), one)):
        if word := re.match(r"\w+", name):
            begun.setdefault(word.group(), []).append(name)
    return begun


def _spoken(place: str, value: str) -> str:
    """Return what stands in a place as the language writes it; names stay what they are."""
    if place[0] == "v":
        return in_digits(value)
    if place[0] == "d":
        return _day(value)
    if place[0] == "w":
        return "".join(tr(word) for word in re.split(r"(, | or )", value))
    return sentences_of(language()).get(value, value) if place[0] == "c" else value


def _day(value: str) -> str:
    day, _, rest = value.replace("\u00a0", " ").partition(" ")
    if not day.isdigit():
        return f"{tr(day)} {rest}".rstrip()
    month, _, year = rest.partition(" ")
    return tr("{day}\u00a0{month}", day=day, month=tr(month)) + (f" {year}" if year else "")
