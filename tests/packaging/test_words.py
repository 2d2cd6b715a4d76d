"""Words that must not stand in the project: leftovers, machines' paths, addresses that a page would load.

The patterns are put together from pieces so that this file does not hold what it looks for.
"""

import re
from pathlib import Path

import pytest

NOT_TEXT = {".woff2", ".ttf", ".png", ".jpg", ".jpeg", ".webp", ".gz", ".ico", ".pdf", ".npz"}


def spelled(*pieces: str) -> str:
    return "".join(pieces)


FORBIDDEN = {
    "a package registry's host": spelled(
        r"\b(?:py", r"pi\.org|python", r"hosted\.org|npm", r"js\.(?:com|org)|deb\.", r"debian\.org)\b"
    ),
    "a path of somebody's machine": spelled(
        r"(?<![\w.<>{}*-])/(?:wo", r"rk|ro", r"ot|ho", r"me/\w+|Us", r"ers/\w+|tm", r"p/[a-z]\w*)\b"
    ),
    "a folder outside the project": spelled(r"(?<![\w/-])(?:\.\./)?sha", r"red/"),
    "words about how the project is worked on": spelled(
        r"(?i)\b(?:seed docu", r"ment|(?:this|previous|next) sess", r"ion|trans", r"cript)s?\b"
    ),
    "an issue's number": spelled(
        r"(?i)\bissue",
        r"s?[ -]*(?:no\.? *|#)?\d|(?:\(|\b(?:see|in|by|of|fix(?:es)?|closes?) )#",
        r"\d{1,4}\b",
    ),
    "a leftover": spelled(r"\b(?:TO", r"DO|FIX", r"ME|XX", r"X|HA", r"CK|NotImple", r"mentedError|assert Tr", r"ue)\b"),
}

LOADED_FROM_ELSEWHERE = re.compile(
    r"""\bsrc(?:set)?\s*=\s*["']?\s*(?:https?:)?//"""
    r"""|url\(\s*["']?\s*(?:https?:)?//"""
    r"""|@import\s+["'](?:https?:)?//"""
    r"""|<link\b[^>]*href\s*=\s*["']?(?:https?:)?//"""
    r"""|\b(?:fetch|importScripts|import|Worker)\(\s*["'](?:https?:)?//"""
)


def texts(files: list[Path]) -> dict[Path, str]:
    return {path: path.read_text(encoding="utf-8") for path in files if path.suffix not in NOT_TEXT}


def found(pattern: re.Pattern[str], files: list[Path], project: Path) -> list[str]:
    return [
        f"{path.relative_to(project)}:{number}: {hit.group()}"
        for path, text in texts(files).items()
        for number, line in enumerate(text.splitlines(), 1)
        if (hit := pattern.search(line))
    ]


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_file_holds(what: str, project_files: list[Path], project: Path) -> None:
    assert found(re.compile(FORBIDDEN[what]), project_files, project) == []


@pytest.mark.parametrize(
    ("what", "text"),
    [
        ("a package registry's host", spelled("see https://py", "pi.org/simple")),
        ("a path of somebody's machine", spelled('open("/wo', 'rk/main")')),
        ("a path of somebody's machine", spelled("in /ro", "ot/.cache")),
        ("a folder outside the project", spelled("../sha", "red/notes.md")),
        ("words about how the project is worked on", spelled("the Seed docu", "ment")),
        ("an issue's number", spelled("as issue ", "12 asks")),
        ("an issue's number", spelled("see #", "12.")),
        ("a leftover", spelled("# TO", "DO: later")),
    ],
)
def test_the_patterns_find_what_they_are_for(what: str, text: str) -> None:
    assert re.search(FORBIDDEN[what], text)


def test_file_names_hold_none_of_them_either(project_files: list[Path], project: Path) -> None:
    names = [str(path.relative_to(project)) for path in project_files]
    assert [n for n in names for pattern in FORBIDDEN.values() if re.search(pattern, n)] == []


def test_no_template_style_or_script_loads_anything_from_elsewhere(project_files: list[Path], project: Path) -> None:
    files = [path for path in project_files if path.suffix in {".html", ".css", ".js", ".svg", ".j2"}]
    assert files
    assert found(LOADED_FROM_ELSEWHERE, files, project) == []


def test_text_files_are_utf_8_with_plain_line_ends_and_no_stray_space(project_files: list[Path], project: Path) -> None:
    faults = [
        f"{path.relative_to(project)}:{number}: {line[-20:]!r}"
        for path, text in texts(project_files).items()
        if not path.name.endswith((".min.js", ".txt", "LICENSE"))
        for number, line in enumerate(text.split("\n"), 1)
        if line != line.rstrip()
    ]
    assert faults == []
