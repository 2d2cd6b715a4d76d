"""The words of scripts in another language than English, as one small script that pages load before the others.

A script asks for its words by the English text: ``rlSay("{n} rigs", { n: 3 })``. So English stands in one place, and a
page in English loads nothing more.
"""

import json
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import get_args

from rigleaf.lending.phases import State
from rigleaf.site.delivery.static_files import STATIC
from rigleaf.words import LANGUAGES, language, tr

WORDS_PATH = "assets/rigleaf/words.js"
"""Path in the site of the script with the words."""

_ASKS = re.compile(r"\b(?:rlSay|plural|count)\(")
_LITERAL = re.compile(r'"((?:[^"\\]|\\.)*)"')


def word_files() -> Iterator[tuple[str, bytes]]:
    """Yield the script with the words in the language that is spoken; none in English."""
    if language() != LANGUAGES[0]:
        words = {text: tr(text) for text in (*script_messages(), *get_args(State), "unsaid")}
        yield WORDS_PATH, f"window.rlWords={json.dumps(words, separators=(',', ':'))};\n".encode("ascii")


@lru_cache(maxsize=1)
def script_messages() -> tuple[str, ...]:
    """Return every text that a script asks for, in a stable order."""
    scripts = sorted((Path(STATIC) / "assets" / "rigleaf").glob("*.js"))
    return tuple(dict.fromkeys(text for script in scripts for text in _asked(script.read_text(encoding="utf-8"))))


def _asked(source: str) -> Iterator[str]:
    for call in _ASKS.finditer(source):
        arguments = _arguments(source, call.end())
        for literal in _LITERAL.finditer(arguments):
            before = arguments[: literal.start()].rstrip()
            text = json.loads(literal.group())
            if (not before or before[-1] in "?:,") and re.search(r"[^\W\d_]{2}", text):
                yield text


def _arguments(source: str, start: int) -> str:
    """Return the arguments of a call up to its closing bracket or to the values for the places."""
    depth, at = 1, start
    while depth and source[at] != "{":
        if source[at] == '"':
            at = _LITERAL.match(source, at).end()  # type: ignore[union-attr]
            continue
        depth += {"(": 1, ")": -1}.get(source[at], 0)
        at += 1
    return source[start:at]
