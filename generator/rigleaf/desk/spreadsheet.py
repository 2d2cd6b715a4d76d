"""A list as spreadsheets save it, as rows of text: whatever its delimiter, its encoding and its line ends."""

import contextlib
import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from rigleaf.catalogue.faults import CatalogueError, Fault
from rigleaf.catalogue.syntax import control_characters

MOST_BYTES = 5_000_000
MOST_ROWS = 20_000
MOST_COLUMNS = 200

_DELIMITERS = ",;\t|"
_WORDS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_LOOKED_AT = 50
"""Rows by which the delimiter is found."""


@dataclass(frozen=True)
class Row:
    """One row: its number as the spreadsheet shows it, and its cells without blanks around them."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """A list.

    ``notes`` says what was found out about the file that a person should know, such as its encoding.
    """

    file: str
    header: Row
    rows: tuple[Row, ...]
    delimiter: str
    notes: tuple[str, ...] = ()


def column_name(index: int) -> str:
    """Return what a spreadsheet calls the column with this index from 0: A, B, ... Z, AA and so on."""
    name = ""
    index += 1
    while index:
        index, letter = divmod(index - 1, 26)
        name = chr(ord("A") + letter) + name
    return name


def read_sheet(path: Path) -> Sheet:
    """Read a list.

    Raises:
        FileNotFoundError: when there is no such file.
        CatalogueError: with one fault, when the file is no list that can be read.
    """
    if not path.is_file():
        raise FileNotFoundError(f"there is no file '{path}'")
    with path.open("rb") as file:
        raw = file.read(MOST_BYTES + 1)
    if len(raw) > MOST_BYTES:
        raise _fault(path, 1, 1, "too-large", f"the list is larger than {MOST_BYTES:,} bytes; split it")
    if raw.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        message = "this is a spreadsheet program's own file; save the sheet as CSV and import that"
        raise _fault(path, 1, 1, "spreadsheet", message)
    text, notes = _decoded(path, raw)
    delimiter, text = _delimiter(text)
    rows = list(_rows(path, text, delimiter))
    if len(rows) < 2:
        message = "this list is empty; its first row names the columns, and each further row is a part"
        raise _fault(path, 1, 1, "empty", message)
    notes.append(f"read as {len(rows) - 1} rows below a row of headers, with {_WORDS[delimiter]} between the columns")
    return Sheet(str(path), rows[0], tuple(rows[1:]), delimiter, tuple(notes))


def _fault(path: Path, line: int, column: int, code: str, message: str) -> CatalogueError:
    return CatalogueError([Fault(str(path), line, column, code, message)])


def _decoded(path: Path, raw: bytes) -> tuple[str, list[str]]:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return raw.decode("utf-16"), []
        except UnicodeDecodeError:
            raise _fault(path, 1, 1, "encoding", "the file is not whole UTF-16; save it as UTF-8") from None
    try:
        return raw.decode("utf-8-sig"), []
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        word = re.sub(r"\s+", " ", raw[max(0, error.start - 10) : error.start + 10].decode("cp1252", "replace")).strip()
    note = f"not UTF-8 (first in line {line}: '{word}'); read as Western European (Latin-1): look at accents and signs"
    return raw.decode("cp1252", "replace"), [note]


def _delimiter(text: str) -> tuple[str, str]:
    """Return the delimiter and the text of the list.

    A first line 'sep=;' says it, and is no row to a spreadsheet; otherwise it is the one that cuts most of the
    first rows into equally many cells.
    """
    said = re.match(r"sep=(.)\r?\n", text, re.IGNORECASE)
    if said and said[1] in _DELIMITERS:
        return said[1], text[said.end() :]
    return max(_DELIMITERS, key=lambda delimiter: _evenness(text, delimiter)), text


def _evenness(text: str, delimiter: str) -> tuple[int, int]:
    """Return in how many of the first rows there are as many cells as in the first one (if several), and how many."""
    counts: list[int] = []
    # What the reader refuses is told when the rows are read.
    with contextlib.suppress(csv.Error):
        for cells in csv.reader(text.splitlines(keepends=True), delimiter=delimiter):
            if any(cell.strip() for cell in cells):
                counts.append(len(cells))
            if len(counts) == _LOOKED_AT:
                break
    if not counts or counts[0] < 2:
        return 0, 0
    return sum(count == counts[0] for count in counts), counts[0]


def _rows(path: Path, text: str, delimiter: str) -> Iterator[Row]:
    """Yield the rows that hold anything."""
    reader = csv.reader(text.splitlines(keepends=True), delimiter=delimiter)
    found = 0
    try:
        for number, cells in enumerate(reader, 1):
            if len(cells) > MOST_COLUMNS:
                raise _fault(path, number, 1, "too-large", f"the row has more than {MOST_COLUMNS} columns")
            trimmed = tuple(_tidy(cell) for cell in cells)
            if not any(trimmed):
                continue
            found += 1
            if found > MOST_ROWS:
                raise _fault(path, number, 1, "too-large", f"the list has more than {MOST_ROWS:,} rows; split it")
            yield Row(number, trimmed)
    except csv.Error as error:
        message = f"this is not a list that can be read: {error}; save it as CSV in UTF-8"
        raise _fault(path, reader.line_num or 1, 1, "csv", message) from None


def _tidy(cell: str) -> str:
    """Return a cell with plain line ends and without hard blanks and blanks around it."""
    return cell.replace("\r\n", "\n").replace("\r", "\n").replace("\xa0", " ").replace("\u202f", " ").strip()


def invisible(cell: str) -> str | None:
    """Return the name of the first character in a cell that has no place in a guide, or None."""
    return next((name for _, name in control_characters(cell)), None)
