"""The small file that says what the columns of a list mean, where their headers do not."""

from pathlib import Path
from typing import Any, Literal

from pydantic import Field

from rigleaf.catalogue import files
from rigleaf.catalogue.document import Document, read_document
from rigleaf.catalogue.faults import CatalogueError
from rigleaf.catalogue.models.fields import Entry, Line
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.validation import validate
from rigleaf.desk.columns import ASK
from rigleaf.desk.fields_of_kinds import leaves
from rigleaf.desk.spreadsheet import Sheet
from rigleaf.nearest import nearest
from rigleaf.quantities import DIMENSIONS, is_unit, short

LEAVE_OUT = "leave out"


class Column(Entry):
    """What one column means."""

    field: Line = Field(description="Field that it fills, such as 'mass' or 'sensor.pixel'; or 'leave out'.")
    unit: Line | None = Field(None, description="Unit of its numbers.")
    words: Any = Field(None, description="What words in it mean, such as {Teleskop: optic}.")


class Mapping(Entry):
    """What the columns of a list mean."""

    columns: Any = Field(None, description="By header: a field, or a mapping with 'field', 'unit' and 'words'.")
    kind: Line | None = Field(None, description="Kind of the rows that say none.")
    decimal: Literal["point", "comma"] | None = Field(None, description="Decimal mark of the numbers.")


class Meant:
    """A mapping that fits a list: what is meant by header, folded to small letters."""

    def __init__(self, mapping: Mapping | None = None, columns: dict[str, Column] | None = None) -> None:
        self.kind = mapping.kind if mapping else None
        self.decimal = mapping.decimal if mapping else None
        self.columns = columns or {}

    def column(self, header: str) -> Column | None:
        """Return what the column with this header means, where the mapping says."""
        return self.columns.get(_folded(header))


def _folded(header: str) -> str:
    return " ".join(header.casefold().split())


def read_mapping(path: Path, sheet: Sheet) -> Meant:
    """Read a mapping for a list.

    Raises:
        FileNotFoundError: when there is no such file.
        CatalogueError: with every fault of it: unknown keys, headers that the list has not, fields that no kind has.
    """
    if not path.is_file():
        raise FileNotFoundError(f"there is no file '{path}'")
    document = read_document(str(path), files.read_bytes(path))
    mapping: Mapping | None = None
    columns: dict[str, Column] = {}
    if isinstance(document.data, dict):
        mapping = validate(Mapping, document.data, document, (), "mapping")
        columns = _columns(document, sheet)
        kind = document.data.get("kind")
        if isinstance(kind, str) and kind not in KINDS:
            _unknown(document, ("kind",), "kind", kind, list(KINDS))
    elif not document.faults:
        document.report((), "mapping", "a mapping is wanted here: one 'key: value' in each line, such as 'columns:'")
    if document.faults:
        raise CatalogueError(document.faults)
    return Meant(mapping, columns)


def _columns(document: Document, sheet: Sheet) -> dict[str, Column]:
    given = document.data.get("columns")
    if given is not None and not isinstance(given, dict):
        document.report(("columns",), "mapping", "a mapping is wanted here: one 'header: field' in each line")
    headers = {_folded(header): header for header in sheet.header.cells if header}
    known = {name for kind in KINDS for name in leaves(kind)} | set(ASK) | {LEAVE_OUT}
    found: dict[str, Column] = {}
    for header, meant in given.items() if isinstance(given, dict) else ():
        path = ("columns", header)
        if _folded(header) not in headers:
            near = nearest(header, headers.values())
            cure = f"did you mean '{short(near)}'?" if near else f"it has {', '.join(map(short, headers.values()))}"
            document.report(path, "header", f"the list has no column '{short(header)}'; {cure}", key=True)
        data = {"field": meant} if isinstance(meant, str) else meant
        if not isinstance(data, dict):
            document.report(path, "mapping", "a field is wanted here, or a mapping with 'field', 'unit' and 'words'")
            continue
        column = validate(Column, data, document, path, "column")
        if column is not None:
            _judge(column, document, (*path, "field") if isinstance(meant, dict) else path, known)
            found[_folded(header)] = column
    return found


def _judge(column: Column, document: Document, path: tuple[str, ...], known: set[str]) -> None:
    if column.field not in known:
        _unknown(document, path, "field", column.field, sorted(known))
    elif column.unit and not _unit_fits(column):
        message = f"'{short(column.unit)}' is not a unit of '{column.field}'"
        document.report((*path[:-1], "unit"), "unit", message)
    if column.words is not None and not _is_words(column.words):
        document.report((*path[:-1], "words"), "mapping", "words are given as 'what stands there: what it means'")


def _is_words(words: object) -> bool:
    return isinstance(words, dict) and all(isinstance(word, (str, int, float, bool)) for word in words.values())


def _unit_fits(column: Column) -> bool:
    for holds in {leaves(kind)[column.field].holds for kind in KINDS if column.field in leaves(kind)}:
        dimension = "length" if holds == "size" else holds
        if dimension in DIMENSIONS and is_unit(column.unit or "", dimension):
            return True
    return False


def _unknown(document: Document, path: tuple[str, ...], what: str, given: str, known: list[str]) -> None:
    near = nearest(given, known)
    some = ", ".join(known) if len(known) < 50 else "listed on the page 'YAML fields'"
    cure = f"did you mean '{near}'?" if near else f"known are {some}" if len(known) < 50 else f"those known are {some}"
    document.report(path, what, f"unknown {what} '{short(given)}'; {cure}")
