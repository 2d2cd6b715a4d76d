"""Scripts and style sheets as they are delivered: without the comments, indents and spaces that only people need.

Names and words stay as they were written. What a comment that begins with an exclamation mark says, such as a licence,
goes along.
"""

import re

_SCRIPT = re.compile(
    r"""
    (?P<space>   (?: \s | /\*(?!!).*?\*/ | //[^\n]* )+ )
  | (?P<licence> /\*!.*?\*/ )
  | (?P<quoted>  "(?:[^"\\\n]|\\.)*" | '(?:[^'\\\n]|\\.)*' )
  | (?P<template> ` )
  | (?P<name>    [\w$#]+ )
  | (?P<pattern> /(?:[^/\\\[\n]|\\.|\[(?:[^\]\\\n]|\\.)*\])+/\w* )
  | (?P<sign>    => | \+\+ | -- | . )
    """,
    re.DOTALL | re.VERBOSE,
)
_OF_TEMPLATE = re.compile(r"(?:[^`\\$]|\\.|\$(?!\{))*(`|\$\{)", re.DOTALL)
_WORD_END = re.compile(r"[\w$]\Z")
_WORD = re.compile(r"[\w$#]")
_BEFORE_PATTERN = frozenset(
    {"return", "typeof", "case", "in", "of", "delete", "void", "throw", "await", "yield", "else"}
)
_OPENS, _CLOSES = frozenset("{([,;:?&|=<*%!~.") | {"=>"}, frozenset("})],;:?&|=*%.")
_STYLE = re.compile(r"""("[^"]*"|'[^']*')|(/\*!.*?\*/)|/\*.*?\*/|\s*([{};])\s*|\s+""", re.DOTALL)


def lean(name: str, content: bytes) -> bytes:
    """Return the content of a file as it is delivered: scripts and style sheets lean, all else as it is."""
    ending = name.rpartition(".")[2]
    make = {"js": lean_script, "css": lean_style}.get(ending)
    return content if make is None else make(content.decode("utf-8")).encode("utf-8")


def lean_style(text: str) -> str:
    """Return a style sheet without comments and needless space; what stands in quotes stays as it is."""
    return _STYLE.sub(
        lambda found: found[1] or found[2] or found[3] or ("" if found[0].startswith("/*") else " "), text
    ).strip()


def lean_script(text: str) -> str:
    """Return a script without comments and needless space.

    A line may end a statement, so an end of line stays unless the sign before or behind it says that the statement
    goes on. A slash behind a closing bracket is taken to divide; a test holds every script of ours against a parser.

    Raises:
        ValueError: where a template in backquotes does not end.
    """
    made: list[str] = []
    _copy(text, 0, made, inside=False)
    return "".join(made).strip() + "\n"


def _copy(text: str, at: int, made: list[str], *, inside: bool) -> int:
    """Copy from a place on, up to the end or, inside a template, to the brace that ends its expression."""
    depth, last, space = 0, "", ""
    while found := _SCRIPT.match(text, at):
        kind, word = str(found.lastgroup), found[0]
        if kind == "pattern" and not _begins_expression(last):
            kind, word = "sign", "/"
        at += len(word)
        if kind == "space":
            space = "\n" if "\n" in word or space == "\n" else " "
            continue
        if inside and word == "}" and not depth:
            return at - 1
        depth += (word == "{") - (word == "}")
        made += (_between(last, space, word), word)
        if kind == "template":
            at = _template(text, at, made)
        last, space = word, ""
    if inside:
        raise ValueError("an expression in a template does not end")
    return at


def _template(text: str, at: int, made: list[str]) -> int:
    """Copy a template from behind its first backquote to its last: words as they are, expressions lean."""
    while found := _OF_TEMPLATE.match(text, at):
        made.append(found[0])
        at = found.end()
        if found[1] == "`":
            return at
        at = _copy(text, at, made, inside=True)
    raise ValueError("a template does not end")


def _begins_expression(last: str) -> bool:
    """Whether a slash behind this word or sign begins a pattern and does not divide."""
    return last in _BEFORE_PATTERN or not (_WORD_END.search(last) or last.endswith((")", "]", "}", '"', "'", "`")))


def _between(last: str, space: str, word: str) -> str:
    """Return what must stay of the space between two words or signs."""
    if not space or last in _OPENS or word[0] in _CLOSES or word == "=>":
        return ""
    if space == "\n":
        return "\n"
    words = _WORD_END.search(last) and _WORD.match(word)
    alike = last[-1:] == word[0] and word[0] in "+-/"
    return " " if words or alike else ""
