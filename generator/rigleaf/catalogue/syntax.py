"""What the YAML parser complains about, in the words of somebody who wants to mend it."""

import re
from collections.abc import Iterator
from itertools import islice

import yaml

from rigleaf.catalogue.faults import Mark

# Invisible characters: controls, the rarer line breaks of Unicode (editors and the parser count lines
# differently there), marks that turn the direction of text (they can make a line read otherwise than it is),
# and noncharacters.
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff]")
_MOST_CONTROLS = 20

_LINE_END = re.compile("\r\n|\r|\n")
"""Where the parser and editors begin a new line."""

_QUOTED = "put text that holds ': ' in quotes"

# Part of the parser's context and of its problem, whether the context's place is the better one, our words.
_SENTENCES: tuple[tuple[str, str, bool, str], ...] = (
    ("", "nesting depth", False, "values are nested far too deep"),
    ("quoted scalar", "unexpected", True, "the quote that opens here is never closed"),
    ("quoted scalar", "", False, "'\\' has a special meaning between double quotes; use single quotes"),
    ("flow sequence", "", True, "the '[' that opens here is not closed, or a ',' is missing after it"),
    ("flow mapping", "", True, "the '{' that opens here is not closed, or a ',' is missing after it"),
    ("simple key", "", True, "this line has no ': '; indent it if it goes on with the text above"),
    ("block scalar", "", False, "after '|' or '>' the text begins in the next line"),
    ("anchor", "", True, "a value cannot begin with '&'; put it in quotes"),
    ("alias", "", True, "a value cannot begin with '*'; put it in quotes"),
    ("tag", "", True, "a value cannot begin with '!'; put it in quotes"),
    ("", "tag handle", False, "a value cannot begin with '!'; put it in quotes"),
    ("directive", "", True, "a line cannot begin with '%'"),
    ("", "incompatible", False, "a line cannot begin with '%'"),
    ("", "'-' indicator", False, "an item that begins with '- ' is wanted here; check the indentation"),
    ("", "block sequence entries", False, "a list cannot begin in the line of its key; begin it below"),
    ("", "<document start>", False, "nothing may follow here; check brackets and lines of '...' before it"),
)  # fmt: skip


def control_characters(text: str) -> Iterator[tuple[Mark, str]]:
    """Yield place and name of the first characters that do not belong into text, such as "U+0007"."""
    for found in islice(_CONTROL.finditer(text), _MOST_CONTROLS):
        yield place_behind(text[: found.start()]), f"U+{ord(found[0]):04X}"


def place_behind(text: str) -> Mark:
    """Return the place of what follows a text."""
    lines = _LINE_END.split(text)
    return Mark(len(lines), len(lines[-1]) + 1)


def without_control_characters(text: str) -> str:
    """Return ``text`` with a replacement character in the place of each, so that the rest can be read."""
    return _CONTROL.sub("\ufffd", text)


def explain(error: yaml.YAMLError, text: str) -> tuple[Mark, str]:
    """Return where the YAML in ``text`` goes wrong and a sentence that says what would be right."""
    if not isinstance(error, yaml.MarkedYAMLError) or error.problem_mark is None:
        return Mark(1, 1), f"this is not YAML: {str(error).splitlines()[0]}"
    context, problem = error.context or "", error.problem or ""
    # The parser sees a line behind a comment at the end of the file, where there is none.
    place = min(Mark(error.problem_mark.line + 1, error.problem_mark.column + 1), place_behind(text))
    line = _LINE_END.split(text)[place.line - 1]
    before, rest = line[: place.column - 1], line[place.column - 1 :]
    if rest.startswith("\t") or "tab character" in problem or "\t" in before[: len(before) - len(before.lstrip())]:
        return place, "this is not YAML: indent with spaces, not with tabs"
    for in_context, in_problem, at_context, sentence in _SENTENCES:
        if in_context in context and in_problem in problem:
            if at_context and error.context_mark is not None:
                place = Mark(error.context_mark.line + 1, error.context_mark.column + 1)
            return place, f"this is not YAML: {sentence}"
    sentence = _from_line(problem, before, rest) or " ".join(filter(None, [context, problem]))
    return place, f"this is not YAML: {sentence}"


def _from_line(problem: str, before: str, rest: str) -> str:
    """Return words for the problems whose cause shows in the line itself, or ""."""
    if "mapping values" in problem:
        if ": " in before:
            return f"a second ': ' in one line; {_QUOTED}"
        return f"this ':' is out of place; check the indentation, and {_QUOTED}"
    if "cannot start any token" in problem:
        return f"a value cannot begin with '{rest[:1]}'; put it in quotes"
    if "node content" in problem and not rest:
        return "a value is wanted here; look for a '[' or '{' before it that is not closed"
    if "node content" in problem:
        return f"a value is wanted here, not '{rest[:1]}'; put it in quotes if it is text"
    if "expected key" in problem and before.strip():
        return "the value has ended before this; put all of it in quotes, and double a quote that stands inside"
    if "expected key" in problem:
        return "this line does not line up with those above it; check the indentation"
    return ""
