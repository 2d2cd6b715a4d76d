"""The rows of a list as parts: each cell read, each part judged by its model, and all that cannot be used told."""

import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from rigleaf.catalogue.document import Document, Path
from rigleaf.catalogue.faults import Mark
from rigleaf.catalogue.models.fields import is_id, nearest_id
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.validation import validate
from rigleaf.desk.cells import CellError, decimal_mark, is_unsaid, read_cell
from rigleaf.desk.columns import ASK, Header, asks_for, find_leaf, known_to_any_kind, nearest_name, read_header
from rigleaf.desk.fields_of_kinds import Leaf, leaves
from rigleaf.desk.list_mapping import LEAVE_OUT, Meant
from rigleaf.desk.spreadsheet import Row, Sheet, column_name, invisible
from rigleaf.nearest import nearest
from rigleaf.quantities import short

_SIDES = ("length", "width", "height")

_KIND_WORDS: dict[str, str] = {
    "telescope": "optic", "scope": "optic", "refractor": "optic", "reflector": "optic", "lens": "optic", "ota": "optic",
    "reducer": "corrector", "flattener": "corrector", "extender": "corrector", "solar filter": "front-filter",
    "ring": "adapter", "extension": "spacer", "extension ring": "spacer", "extension tube": "spacer",
    "oag": "off-axis-pick-off", "focuser": "focuser-motor", "guidescope": "guide-scope",
    "pier": "tripod", "weight": "counterweight", "power bank": "battery", "power supply": "mains-supply",
    "usb hub": "hub", "laptop": "computer", "lead": "cable", "case": "bag", "rucksack": "bag", "tube ring": "fixing",
    "tube rings": "fixing", "rings": "fixing", "plate": "fixing", "dovetail": "fixing", "saddle": "fixing",
    "heater": "dew-heater", "dew band": "dew-heater", "dew strap": "dew-heater", "sundries": "sundry",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that could not be used: where it stands, and why; row 1 is that of the headers."""

    row: int
    column: int
    why: str


@dataclass
class ListedPart:
    """One row as a part: its data, and in which column each of its fields stands."""

    row: int
    data: dict[str, Any]
    columns: dict[tuple[str, ...], int]


@dataclass
class Listed:
    """What a list says: its parts, what each column was taken for, and what could not be used."""

    parts: list[ListedPart] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    used: dict[int, dict[str, int]] = field(default_factory=dict)
    """How many cells of each column filled which field, by column and by field."""
    asked: dict[str, int] = field(default_factory=dict)
    """Which columns hold id, kind and name."""


def read_rows(sheet: Sheet, meant: Meant) -> Listed:
    """Read every row of a list as a part."""
    return _Reading(sheet, meant).read()


class _Reading:
    def __init__(self, sheet: Sheet, meant: Meant) -> None:
        self.sheet, self.meant, self.found = sheet, meant, Listed()
        self.headers = [read_header(text) for text in sheet.header.cells]
        self.asked = self.found.asked = self._asked()
        self.leaves: dict[tuple[int, str], Leaf | None] = {}
        self.marks = [meant.decimal or decimal_mark(self._cells(column), sheet.delimiter)
                      for column in range(len(self.headers))]  # fmt: skip
        self.sides = self._sides()
        self.ids: dict[str, int] = {}

    def read(self) -> Listed:
        for column, header in enumerate(self.headers):
            self._judge_header(column, header)
        if "name" not in self.asked:
            self._problem(
                self.sheet.header.number, 0, "no column holds the names; call one 'Name', or say so in a mapping"
            )
            return self.found
        if "kind" not in self.asked and self.meant.kind is None:
            why = "no column holds the kinds; call one 'Kind', or say 'kind: optic' or the like in a mapping"
            self._problem(self.sheet.header.number, 0, why)
            return self.found
        for row in self.sheet.rows:
            self._row(row)
        return self.found

    def _problem(self, row: int, column: int, why: str) -> None:
        self.found.problems.append(Problem(row, column, why))

    def _cells(self, column: int) -> Iterator[str]:
        for row in self.sheet.rows:
            if column < len(row.cells):
                yield row.cells[column]

    def _asked(self) -> dict[str, int]:
        """Return which columns hold id, kind and name; the mapping goes before the headers, the first before others."""
        found: dict[str, int] = {}
        for by_mapping in (True, False):
            for column, header in enumerate(self.headers):
                said = self.meant.column(header.text)
                word = (said.field if said else None) if by_mapping else None if said else asks_for(header)
                if word in ASK:
                    found.setdefault(word, column)
        return found

    def _sides(self) -> dict[str, int]:
        """Return the columns of length, width and height, where a list has all three: they make a packed size."""
        found = {
            header.words.removeprefix("packed ").strip(): column
            for column, header in enumerate(self.headers)
            if self.meant.column(header.text) is None
        }
        return {side: found[side] for side in _SIDES} if all(side in found for side in _SIDES) else {}

    def _judge_header(self, column: int, header: Header) -> None:
        said = self.meant.column(header.text)
        if not any(self._cells(column)) or said is not None or column in (*self.asked.values(), *self.sides.values()):
            return
        if not header.text:
            self._problem(
                self.sheet.header.number, column, "the column has no header; name it, or say in a mapping what it is"
            )
        elif not known_to_any_kind(header):
            near = nearest_name(header.words)
            cure = f"the nearest known is '{near}'" if near else "say in a mapping what it means, or 'leave out'"
            self._problem(self.sheet.header.number, column, f"no field is called so; {cure}")

    def _row(self, row: Row) -> None:
        kind = self._kind(row)
        if kind is None:
            return
        name = self._cell(row, self.asked["name"])
        if is_unsaid(name):
            self._problem(row.number, self.asked["name"], "the row has no name; nothing of it was used")
            return
        id_ = self._id(row, name)
        if id_ is None:
            return
        part = ListedPart(row.number, {"id": id_, "kind": kind, "name": " ".join(name.split())}, {})
        part.columns = {(key,): column for key, column in self.asked.items()}
        for column in range(min(len(self.headers), len(row.cells))):
            if column not in self.asked.values() and column not in self.sides.values():
                self._fill(part, row, column, kind)
        if self.sides:
            self._fill_size(part, row)
        if self._sound(part, kind):
            self.found.parts.append(part)

    def _cell(self, row: Row, column: int) -> str:
        return row.cells[column] if column < len(row.cells) else ""

    def _kind(self, row: Row) -> str | None:
        column = self.asked.get("kind")
        cell = self._cell(row, column) if column is not None else ""
        if column is None or is_unsaid(cell):
            if self.meant.kind is None:
                self._problem(row.number, column or 0, "the row says no kind; nothing of it was used")
            return self.meant.kind
        cell = self._meaning(cell, column)
        folded = " ".join(cell.casefold().replace("-", " ").replace("_", " ").split())
        for word, kind in KINDS.items():
            if folded in (word.replace("-", " "), kind.one, kind.many.casefold(), kind.one + "s"):
                return word
        if folded in _KIND_WORDS:
            return _KIND_WORDS[folded]
        near = nearest(folded, [*KINDS, *_KIND_WORDS])
        near = _KIND_WORDS.get(near or "", near)
        cure = f"the nearest known is '{near}'" if near else f"known are {', '.join(KINDS)}"
        self._problem(row.number, column, f"'{short(cell)}' is no kind; {cure}; nothing of the row was used")
        return None

    def _meaning(self, cell: str, column: int) -> str:
        """Return what a cell means by the words of the mapping."""
        said = self.meant.column(self.headers[column].text)
        words: Mapping[str, Any] = said.words if said is not None and said.words else {}
        by_folded = {str(word).casefold(): str(value) for word, value in words.items()}
        return by_folded.get(cell.casefold(), cell)

    def _id(self, row: Row, name: str) -> str | None:
        column = self.asked.get("id")
        given = self._cell(row, column) if column is not None else ""
        if column is not None and not is_unsaid(given):
            if not is_id(given):
                near = nearest_id(_plain_letters(given))
                self._problem(
                    row.number, column, f"'{short(given)}' is not an id, like '{near}'; nothing of the row was used"
                )
                return None
            if given in self.ids:
                self._problem(
                    row.number,
                    column,
                    f"the id '{given}' stands in row {self.ids[given]} already; nothing of the row was used",
                )
                return None
            self.ids[given] = row.number
            return given
        plain = _plain_letters(name)
        if not any(letter.isascii() and letter.isalnum() for letter in plain):
            self._problem(
                row.number,
                self.asked["name"],
                f"no id can be made of '{short(name)}'; add a column 'id'; nothing of the row was used",
            )
            return None
        made = wanted = nearest_id(plain)
        number = 1
        while made in self.ids:
            number += 1
            made = f"{wanted[:76].rstrip('-')}-{number}"
        self.ids[made] = row.number
        return made

    def _leaf(self, column: int, kind: str) -> Leaf | None:
        if (column, kind) not in self.leaves:
            said = self.meant.column(self.headers[column].text)
            found = find_leaf(self.headers[column], kind) if said is None else leaves(kind).get(said.field)
            self.leaves[column, kind] = found
        return self.leaves[column, kind]

    def _fill(self, part: ListedPart, row: Row, column: int, kind: str) -> None:
        cell, header = row.cells[column], self.headers[column]
        said = self.meant.column(header.text)
        if is_unsaid(cell) or (said is not None and said.field == LEAVE_OUT):
            return
        leaf = self._leaf(column, kind)
        if leaf is None:
            if said is not None or known_to_any_kind(header):
                field_ = said.field if said is not None else header.words
                self._problem(
                    row.number, column, f"{KINDS[kind].phrase} has no '{short(field_)}'; '{short(cell)}' was not used"
                )
            return
        if hidden := invisible(cell):
            self._problem(row.number, column, f"the cell holds the invisible character {hidden}; remove it")
            return
        unit = (said.unit if said is not None and said.unit else header.unit) or ""
        try:
            value = read_cell(self._meaning(cell, column), leaf, unit, self.marks[column])
        except CellError as error:
            self._problem(row.number, column, str(error))
            return
        self._put(part, leaf.path, value, column)

    def _fill_size(self, part: ListedPart, row: Row) -> None:
        cells = [(column, self._cell(row, column)) for column in self.sides.values()]
        if all(is_unsaid(cell) for _, cell in cells):
            return
        last = cells[-1][0]
        units = {self.headers[column].unit for column, _ in cells}
        try:
            if any(is_unsaid(cell) for _, cell in cells) or len(units) > 1:
                raise CellError("length, width and height make a size only together, in one unit")
            text = " x ".join(cell for _, cell in cells)
            value = read_cell(text, Leaf(("packed",), "size"), units.pop(), self.marks[last])
        except CellError as error:
            self._problem(row.number, last, str(error))
            return
        self._put(part, ("packed",), value, last)

    def _put(self, part: ListedPart, path: tuple[str, ...], value: object, column: int) -> None:
        """Put a value into the part; the first column that fills a field counts."""
        owner = part.data
        for key in path[:-1]:
            inner = owner.setdefault(key, {})
            if not isinstance(inner, dict):  # a mass as stated, to which a measured one comes
                inner = owner[key] = {"stated": inner}
            owner = inner
        if isinstance(owner.get(path[-1]), dict) and isinstance(value, str):  # and the other way round
            owner, path = owner[path[-1]], (*path, "stated")
        if path[-1] in owner:
            first = column_name(part.columns.get(path, 0))
            self._problem(part.row, column, f"'{'.'.join(path)}' is filled from column {first} already")
            return
        owner[path[-1]] = value
        part.columns[path] = column
        used = self.found.used.setdefault(column, {})
        name = ".".join(path)
        used[name] = used.get(name, 0) + 1

    def _sound(self, part: ListedPart, kind: str) -> bool:
        """Judge the part by its model; take out what it refuses, and say so. False where nothing is left of it."""
        for _ in range(len(part.columns) + 1):
            marks: dict[Path, Mark] = {path: Mark(part.row, column + 1) for path, column in part.columns.items()}
            document = Document(self.sheet.file, part.data, {(): Mark(part.row, 1), **marks})
            if validate(KINDS[kind].model, part.data, document, (), KINDS[kind].one) is not None:
                return True
            refused = {fault.column - 1 for fault in document.faults} & set(part.columns.values())
            for fault in document.faults:
                self._problem(part.row, fault.column - 1, fault.message)
            refused -= set(self.asked.values())
            if not refused:
                return False
            for path in [path for path, column in part.columns.items() if column in refused]:
                _take_out(part.data, path)
                del part.columns[path]
        return False


def _take_out(data: dict[str, Any], path: tuple[str, ...]) -> None:
    owner = data
    for key in path[:-1]:
        owner = owner.get(key, {})
    owner.pop(path[-1], None)
    if len(path) > 1 and not owner:
        _take_out(data, path[:-1])


def _plain_letters(text: str) -> str:
    """Return text with letters in place of those with accents, so that an id stays readable."""
    folded = text.replace("ß", "ss").replace("ø", "o").replace("Ø", "O").replace("æ", "ae").replace("ł", "l")
    return "".join(c for c in unicodedata.normalize("NFKD", folded) if not unicodedata.combining(c))
