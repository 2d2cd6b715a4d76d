"""The styles of a page that travels alone: all sheets in one text, the typefaces inside them, nothing to fetch."""

import re
from base64 import b64encode
from functools import lru_cache
from importlib.resources import files
from pathlib import Path

from rigleaf.site.delivery.lean import lean_style
from rigleaf.site.delivery.static_files import SHEETS, STATIC

_FACE = re.compile(r"@font-face\s*\{[^}]*\}")
_FONT = re.compile(r'url\("(fonts/[a-z-]+\.woff2)"\)')
_RANGE = re.compile(r"unicode-range:\s*([^;}]+)")

NIGHT = ":root:has(#rl-night:checked)"
"""Stands for the night palette where no script can set an attribute: the page's own switch does."""


def copy_styles(text: str) -> tuple[str, str]:
    """Return the styles for a page, and those for its print alone; faces go along whose letters ``text`` has."""
    letters = frozenset(text)
    kept = frozenset(number for number, face in enumerate(_faces()) if _needed(face, letters))
    return _styles(kept), lean_style(_sheet("print"))


@lru_cache(maxsize=4)
def _styles(faces: frozenset[int]) -> str:
    embedded = [_FONT.sub(_inside, face) if number in faces else "" for number, face in enumerate(_faces())]
    rest = "".join(_sheet(name) for name in SHEETS if name != "fonts")
    own = (files("rigleaf.site") / "templates" / "copy.css").read_text(encoding="utf-8")
    text = "".join(embedded) + rest + own
    for scheme in (':root[data-rl-scheme="night"]', '[data-rl-scheme="night"]'):
        text = text.replace(scheme, NIGHT)
    return lean_style(text)


def _sheet(name: str) -> str:
    return (Path(STATIC) / "assets" / "rigleaf" / f"{name}.css").read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def _faces() -> tuple[str, ...]:
    """Return every face; of those that travel inside a file none is late for long, so the first line waits."""
    found = _FACE.findall(_sheet("fonts"))
    return tuple(face.replace("font-display: optional", "font-display: block") for face in found)


@lru_cache(maxsize=16)
def _letters(face: str) -> frozenset[str] | None:
    """Return the letters that a face is for; None where it is for all."""
    found = _RANGE.search(face)
    if found is None:
        return None
    ends = [part.strip().removeprefix("U+").partition("-") for part in found[1].split(",")]
    return frozenset(chr(code) for first, _, last in ends for code in range(int(first, 16), int(last or first, 16) + 1))


def _needed(face: str, shown: frozenset[str]) -> bool:
    letters = _letters(face)
    return letters is None or not letters.isdisjoint(shown)


def _inside(found: re.Match[str]) -> str:
    content = (Path(STATIC) / "assets" / "rigleaf" / found[1]).read_bytes()
    return f'url("data:font/woff2;base64,{b64encode(content).decode("ascii")}")'
