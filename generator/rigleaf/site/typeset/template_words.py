"""Finds the words in the source of a template and puts those of another language in their place.

Text that stands in a template is a word of the interface by its nature, and never a club's own. So templates need no
marks: their source is cut into sentences here, once for each language when a template is compiled, and rendering costs
nothing.

A sentence is what stands between two block tags or statements. Inside it, an expression is a place named after what
it shows, as in "{rigs} rigs", and a tag such as a link keeps its name only, as in "See <a>the rules</a>". Translations
may move them about. A text in quotes inside an expression is a sentence as well, where it begins with a capital or has
a space; a lone small word is marked by hand, as in ``{{ _("none") }}``.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from jinja2.ext import Extension

from rigleaf.words import tr

_EXPRESSION = r"\{\{.*?\}\}"
_STATEMENT = r"\{%.*?%\}"
_INSIDE = rf"(?:{_EXPRESSION}|{_STATEMENT}|[^<>{{]|\{{(?![{{%#]))*"
_TOKEN = re.compile(
    rf"(?P<comment>\{{#.*?#\}}|<!--.*?-->|<!doctype[^>]*>)|(?P<statement>{_STATEMENT})|(?P<expression>{_EXPRESSION})"
    rf"|(?P<silent><(?P<kind>script|style)\b{_INSIDE}>.*?</(?P=kind)>)|(?P<tag></?[a-z]{_INSIDE}>)",
    re.DOTALL,
)
_ATTRIBUTE = re.compile(
    rf'(?<=\s)(?P<name>aria-label|title|alt|placeholder|label|data-head)="'
    rf'(?P<value>(?:{_EXPRESSION}|{_STATEMENT}|[^"{{]|\{{(?![{{%]))*)"',
    re.DOTALL,
)
_LITERAL = re.compile(r'"([^"\\]*)"|\'([^\'\\]*)\'')
_NO_WORDS_IN = re.compile(
    r"\{%-?\s*(?:if|elif|for|from|import|include|extends|macro|endif|endfor|else|block)\b|\{%-?\s*set \w+ = \["
)
_COMPARED = re.compile(r"(?:==|!=|\bin|\w\[|\b(?:link|file|selectattr|rejectattr|join|replace|startswith|get)\()\s*$")
_INLINE = frozenset({"a", "b", "code", "em", "i", "span", "strong"})
_BESIDE = frozenset({"i", "span"})
_SIGNS = frozenset({"Ah", "CSV", "Wh", "YAML"})
_WORD = re.compile(r"[^\W\d_]{2,}")
_PATH = re.compile(r"\{\{-?\s*(?:_\()?([A-Za-z_][\w.]*)")


class _Piece(NamedTuple):
    """A piece of a template's source: its kind, its text, and for a tag its name."""

    kind: str
    raw: str
    name: str = ""


Say = Callable[[str], str]
"""Gives the words of the language for an English sentence."""


class TemplateWords(Extension):
    """Puts the words of the language that is spoken into templates while they are compiled."""

    def preprocess(self, source: str, name: str | None, filename: str | None = None) -> str:  # noqa: ARG002 - the form that the base class sets
        """Return the source with the words of the language."""
        return translated(source, tr) if name and name.endswith(".html") else source


def messages(source: str) -> list[str]:
    """Return every sentence of a template in the order in which they stand."""
    found: list[str] = []

    def note(text: str) -> str:
        found.append(text)
        return text

    translated(source, note)
    return found


def translated(source: str, say: Say) -> str:
    """Return the source of a template with each of its sentences as ``say`` gives it."""
    made: list[str] = []
    run: list[_Piece] = []
    for piece in _pieces(source):
        if piece.kind in ("text", "expression") or (piece.kind == "tag" and piece.name in _INLINE):
            run.append(piece)
            continue
        made += [_run(run, say), _outer(piece, say)]
        run = []
    return "".join([*made, _run(run, say)])


def _pieces(source: str) -> Iterator[_Piece]:
    done = 0
    for found in _TOKEN.finditer(source):
        if found.start() > done:
            yield _Piece("text", source[done : found.start()])
        kind = str(found.lastgroup) if found.lastgroup != "kind" else "silent"
        tag = re.match(r"</?([a-z0-9]+)", found.group()) if kind == "tag" else None
        yield _Piece(kind, found.group(), tag[1] if tag else "")
        done = found.end()
    if done < len(source):
        yield _Piece("text", source[done:])


def _outer(piece: _Piece, say: Say) -> str:
    """Return a piece between sentences, with the words of its attributes and of its quoted texts."""
    if piece.kind == "tag":
        return _tag(piece.raw, say)
    if piece.kind == "statement" and not _NO_WORDS_IN.match(piece.raw):
        return _quoted(piece.raw, say)
    if re.match(r"\{% for \w+ in \[", piece.raw):
        _quoted(piece.raw, say)  # heads of columns in a row: known here, and looked up where they are shown
    return piece.raw


def _tag(raw: str, say: Say) -> str:
    parts: list[str] = []
    done = 0
    for found in _ATTRIBUTE.finditer(raw):
        parts += [_spoken(raw[done : found.start("value")], say), translated(found["value"], say)]
        done = found.end("value")
    return "".join([*parts, _spoken(raw[done:], say)])


def _spoken(raw: str, say: Say) -> str:
    """Return the rest of a tag, in which only expressions can have words."""
    return re.sub(_EXPRESSION, lambda found: _quoted(found.group(), say), raw, flags=re.DOTALL)


def _quoted(raw: str, say: Say) -> str:
    """Return an expression whose quoted sentences are looked up when it is rendered."""

    def wrap(found: re.Match[str]) -> str:
        text = found[1] if found[1] is not None else found[2]
        before = raw[: found.start()]
        marked = before.endswith("_(")
        words = text.strip(" ")
        reads = bool(re.match(r"[A-Z][a-z]", words) or " " in words or text != words) and _reads(words)
        if marked or (reads and not _COMPARED.search(before)):
            say(words)
        return found.group() if marked or not reads or _COMPARED.search(before) else f"_({found.group()})"

    return _LITERAL.sub(wrap, raw)


def _reads(text: str) -> bool:
    """Return whether a text has words; attributes and signs of units have none."""
    return (
        '="' not in text
        and not text.strip().startswith("data-")
        and any(word not in _SIGNS for word in _WORD.findall(re.sub(r"&\w+;", "", text)))
    )


def _run(run: list[_Piece], say: Say) -> str:
    """Return pieces in which a sentence may stand; elements that are not closed in it part it."""
    ends = _ends(run)
    parts: list[list[_Piece]] = [[]]
    for at, piece in enumerate(run):
        if piece.kind == "tag" and at not in ends:
            parts += [[piece], []]
        else:
            parts[-1].append(piece)
    return "".join(
        _tag(part[0].raw, say) if len(part) == 1 and part[0].kind == "tag" else _sentence(part, say) for part in parts
    )


def _ends(run: list[_Piece]) -> dict[int, int]:
    """Return for each tag that opens or closes an element in the run the place of its partner."""
    waiting: list[int] = []
    ends: dict[int, int] = {}
    for at, piece in enumerate(run):
        if piece.kind != "tag":
            continue
        if not piece.raw.startswith("</"):
            waiting.append(at)
        elif waiting and run[waiting[-1]].name == piece.name:
            opened = waiting.pop()
            ends |= {opened: at, at: opened}
        else:
            waiting.clear()
    return ends


def _sentence(run: list[_Piece], say: Say) -> str:
    """Return a sentence in the language; what only frames sentences is looked through."""
    ends = _ends(run)
    top, at = "", 0
    while at < len(run):
        top += run[at].raw if run[at].kind == "text" else ""
        at = ends.get(at, at) + 1
    if _reads(top):
        first, last = 0, len(run)
        while run[first].name in _BESIDE and not _has_words(run[first + 1 : ends[first]]):
            first = ends[first] + 1
        while run[last - 1].name in _BESIDE and not _has_words(run[ends[last - 1] + 1 : last - 1]):
            last = ends[last - 1]
            if run[last - 1].kind == "text" and not run[last - 1].raw.strip():
                last -= 1
        if (first, last) != (0, len(run)):
            return "".join(_sentence(part, say) for part in (run[:first], run[first:last], run[last:]))
        return _message(run, say)
    made, at = [], 0
    while at < len(run):
        piece = run[at]
        if piece.kind == "tag":
            end = ends[at]
            made += [_tag(piece.raw, say), _sentence(run[at + 1 : end], say), run[end].raw]
            at = end
        else:
            made.append(_quoted(piece.raw, say) if piece.kind == "expression" else piece.raw)
        at += 1
    return "".join(made)


def _has_words(run: list[_Piece]) -> bool:
    return _reads("".join(piece.raw for piece in run if piece.kind == "text"))


def _message(run: list[_Piece], say: Say) -> str:
    places: dict[str, str] = {}
    ends = _ends(run)
    names: dict[int, str] = {}
    text = ""
    for at, piece in enumerate(run):
        if piece.kind == "text":
            text += piece.raw
            continue
        if piece.kind == "tag":
            if piece.raw.startswith("</"):
                place = f"</{names[ends[at]]}>"
            else:
                names[at] = _free(piece.name, names.values())
                place = f"<{names[at]}>"
            places[place] = _tag(piece.raw, say)
        else:
            path = _PATH.match(piece.raw)
            name = _free(
                path[1].rpartition(".")[2] if path and path[1] != "_" else "value", [key.strip("{}") for key in places]
            )
            place = f"{{{name}}}"
            places[place] = _quoted(piece.raw, say)
        text += place
    core = re.sub(r"[ \t\n]+", " ", text.strip(" \t\n"))
    start = len(text) - len(text.lstrip(" \t\n"))
    end = len(text.rstrip(" \t\n"))
    put = re.sub(r"\{\w+\}|</?\w+>", lambda found: places.get(found.group(), found.group()), say(core))
    return text[:start] + put + text[end:]


def _free(name: str, taken: Iterable[str]) -> str:
    """Return a name that is not taken, with a number where it must have one."""
    used = set(taken)
    number = 2
    free = name
    while free in used:
        free, number = f"{name}{number}", number + 1
    return free
