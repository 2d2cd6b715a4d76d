"""The letters of preview pictures: how wide words are, which characters can be written, and how a text is fitted."""

import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

Weight = Literal["regular", "semibold"]
ELLIPSIS = "…"
LEADING = 1.14
"""Distance of two lines of a text, in their size."""

LONGEST = 400
"""Characters of a text that are looked at: no picture has room for more, and nobody may slow a build down with them."""

LEAST_KEPT = 0.8
"""Part of a text's letters and digits that must be in the typeface; with fewer, what is left would be misread."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A text broken into lines at the largest size at which it fits."""

    lines: tuple[str, ...]
    size: int


@lru_cache(maxsize=2)
def _file(weight: Weight) -> bytes:
    return (files("rigleaf.site.previews") / "fonts" / f"literata-{weight}.ttf").read_bytes()


@lru_cache(maxsize=64)
def font(weight: Weight, size: int) -> "FreeTypeFont":
    """Return the typeface at a size in pixels; it is read once."""
    from io import BytesIO

    from PIL import ImageFont

    return ImageFont.truetype(BytesIO(_file(weight)), size)


def width(text: str, weight: Weight, size: int) -> float:
    """Return how wide a line is, in pixels."""
    return float(font(weight, size).getlength(text))


def rise(text: str, weight: Weight, size: int) -> float:
    """Return how far a line's ink reaches above its baseline, in pixels."""
    return -float(font(weight, size).getbbox(text, anchor="ls")[1])


@lru_cache(maxsize=4096)
def _is_there(character: str) -> bool:
    """Whether the typeface has a character: one that it has not looks like one that no typeface has."""
    if character.isspace():
        return True
    face = font("semibold", 40)
    drawn, box = face.getmask(character), face.getmask("\U0010fffd")
    return drawn.size != box.size or bytes(drawn) != bytes(box)


def writable(text: str) -> str:
    """Return a text as far as the typeface goes; "" where too little would be left of it to be understood.

    Accents that are missing are left off their letter, signs in other widths become ordinary ones, and what no
    letter stands for (emoji, marks of direction) is left out.
    """
    whole = unicodedata.normalize("NFC", text[:LONGEST])
    kept = "".join(map(_written, whole))
    wanted = sum(map(str.isalnum, whole))
    if sum(map(str.isalnum, kept)) < LEAST_KEPT * max(wanted, 1):
        return ""
    return " ".join(kept.split())


@lru_cache(maxsize=4096)
def _written(character: str) -> str:
    category = unicodedata.category(character)
    if category.startswith("Z") or character in "\t\n\r":
        return " "
    if category.startswith(("C", "M")):
        return ""
    if _is_there(character):
        return character
    simple = [one for one in unicodedata.normalize("NFKD", character) if not unicodedata.category(one).startswith("M")]
    return "".join(one for one in simple if one != character and unicodedata.category(one)[0] != "C" and _is_there(one))


def fit(text: str, weight: Weight, room: float, high: float, sizes: tuple[int, ...]) -> Fitted:
    """Break a text into lines within ``room`` by ``high`` pixels, at the first of ``sizes`` that will do.

    Where none will, the last one is taken and what does not go in gives way to an ellipsis.
    """
    for size in sizes:
        lines = _broken(text, weight, size, room)
        if len(lines) <= lines_in(high, size) and all(width(line, weight, size) <= room for line in lines):
            return Fitted(tuple(_evened(lines, weight, size)), size)
    size = sizes[-1]
    lines = _broken(text, weight, size, room)
    most = lines_in(high, size)
    kept = [*lines[: most - 1], " ".join(lines[most - 1 :])]
    return Fitted(tuple(_cut(line, weight, size, room) for line in kept), size)


def lines_in(high: float, size: int) -> int:
    """Return how many lines there is room for, one at least."""
    return max(1, int(high // (size * LEADING)))


def _broken(text: str, weight: Weight, size: int, room: float) -> list[str]:
    """Fill lines word by word; a word that is too long has a line of its own."""
    lines: list[str] = []
    for word in text.split(" "):
        if lines and width(f"{lines[-1]} {word}", weight, size) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _evened(lines: list[str], weight: Weight, size: int) -> list[str]:
    """Break lines anew so that none is much shorter than the others."""
    best, text = lines, " ".join(lines)
    longest = max(width(line, weight, size) for line in lines)
    for _ in range(len(text) if len(lines) > 1 else 0):
        narrower = _broken(text, weight, size, longest - 1)
        longest = max(width(line, weight, size) for line in narrower)
        if len(narrower) > len(lines) or longest >= max(width(line, weight, size) for line in best):
            break
        best = narrower
    return best


def _cut(line: str, weight: Weight, size: int, room: float) -> str:
    """Return as much of a line as there is room for, with an ellipsis where something is missing."""
    if width(line, weight, size) <= room:
        return line
    short, long = 0, len(line)
    while short < long:  # the longest beginning that fits
        middle = (short + long + 1) // 2
        if width(line[:middle].rstrip() + ELLIPSIS, weight, size) <= room:
            short = middle
        else:
            long = middle - 1
    return line[:short].rstrip() + ELLIPSIS
