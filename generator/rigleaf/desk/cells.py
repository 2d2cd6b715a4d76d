"""One cell of a list as a value of the YAML: numbers as the guide spells them, units from the header, known words."""

import re
from collections.abc import Iterable
from typing import Literal

from rigleaf.desk.fields_of_kinds import Leaf
from rigleaf.nearest import nearest
from rigleaf.quantities import DIMENSIONS, short

Decimal = Literal["point", "comma"]

UNSAID = frozenset({"", "-", "–", "—", "?", "n/a", "na", "unknown", "none", "tbd", "tba", "not known", "."})
"""What people write into a cell when they know nothing; it stays unsaid, which is never zero."""

_MOST_CHARACTERS = 100

_TRUE = frozenset({"yes", "y", "true", "x", "✓", "1"})
_FALSE = frozenset({"no", "n", "false", "0"})

_NUMBER = r"[+-]?\d[\d.,' ]*"
_QUANTITY = re.compile(
    rf"({_NUMBER}?)(\s*[^\d\s.,'+±-].*?)?(?:\s*(?:\+-|\+/-|±)\s*({_NUMBER}?)(\s*[^\d\s.,'].*)?)?", re.DOTALL
)
_SIDES = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)


class CellError(ValueError):
    """A cell that cannot be used; the message says why and what would help."""


def is_unsaid(cell: str) -> bool:
    """Say whether a cell only says that nothing is known."""
    return cell.casefold() in UNSAID


def decimal_mark(cells: Iterable[str], delimiter: str) -> Decimal | None:
    """Return which mark divides whole ones from tenths in the numbers of a column, or None where nothing tells.

    "1,5" and "12,75" tell it, and so do "1.5" and "1.234,5"; "1,234" alone may be either. Between semicolons the
    comma is the decimal mark: that is why such lists are not divided by commas.
    """
    comma = point = doubt = False
    for cell in cells:
        for number in re.findall(r"\d[\d.,]*\d", cell):
            marks = re.sub(r"\d", "", number)
            last = number[max(number.rfind(","), number.rfind(".")) + 1 :]
            if "," in marks and "." in marks:
                comma, point = comma or marks[-1] == ",", point or marks[-1] == "."
            elif marks == ",":
                comma, doubt = comma or len(last) != 3, doubt or len(last) == 3
            elif marks == ".":
                point = point or len(last) != 3
            elif len(marks) > 1:  # several of one mark divide thousands
                comma, point = comma or marks[0] == ".", point or marks[0] == ","
    if comma and not point:
        return "comma"
    if point and not comma:
        return "point"
    if comma and point:
        return None
    return "comma" if doubt and delimiter == ";" else None if doubt else "point"


def read_cell(cell: str, leaf: Leaf, unit: str, decimal: Decimal | None) -> object:
    """Return what a cell says, as the YAML would say it.

    Args:
        cell: what stands there; not one that is_unsaid.
        leaf: the field that it fills.
        unit: the unit of the column, "" where none is named; one in the cell itself goes before it.
        decimal: the decimal mark of the column, None where it cannot be told.

    Raises:
        CellError: when it cannot be used.
    """
    if leaf.words and leaf.holds != "list":
        return _word(cell, leaf.words)
    if leaf.holds not in ("text", "list") and len(cell) > _MOST_CHARACTERS:
        raise CellError(f"'{short(cell)}' is too long for this column")
    match leaf.holds:
        case "text":
            return cell if leaf.path[-1] in ("notes", "summary", "remarks") else " ".join(cell.split())
        case "joint":
            return re.sub(r"(\d),(\d)", r"\1.\2", " ".join(cell.split()))
        case "integer":
            return _whole(cell, decimal)
        case "boolean":
            return _truth(cell)
        case "list":
            items = [item.strip() for item in re.split(r"[,;/\n]", cell) if item.strip()]
            return [_word(item, leaf.words) if leaf.words else item for item in items]
        case "size":
            return _size(cell, unit, decimal)
    return _quantity(cell, leaf.holds, unit, decimal)


def _word(cell: str, words: tuple[str, ...]) -> str:
    by_folded = {word.casefold(): word for word in words}
    folded = " ".join(cell.casefold().split())
    if folded in by_folded:
        return by_folded[folded]
    near = nearest(cell, words)
    cure = f"did you mean '{near}'?" if near else f"known are {', '.join(words)}"
    raise CellError(f"'{short(cell)}' is not known here; {cure}")


def _truth(cell: str) -> bool:
    folded = cell.casefold()
    if folded in _TRUE or folded in _FALSE:
        return folded in _TRUE
    raise CellError(f"'{short(cell)}' is neither yes nor no")


def _whole(cell: str, decimal: Decimal | None) -> int:
    found = re.fullmatch(r"(\d[\d., ]*)(?:\s*(?:x|pcs|pieces?|off))?", cell, re.IGNORECASE)
    number = float(_number(found[1], decimal)) if found else -1.0
    if number < 0 or not number.is_integer():
        raise CellError(f"'{short(cell)}' is not a whole number, like 2")
    return int(number)


def _size(cell: str, unit: str, decimal: Decimal | None) -> str:
    sides = _SIDES.split(cell.strip())
    found = re.fullmatch(rf"({_NUMBER}?)\s*([^\d\s.,].*)?", sides[-1]) if len(sides) == 3 else None
    own = (found[2] or "").strip() if found else ""
    numbers = [*sides[:2], found[1]] if found else []
    if not found or not all(re.fullmatch(_NUMBER, side.strip()) for side in numbers):
        raise CellError(f"'{short(cell)}' is not a size; three lengths are wanted, like '420 x 180 x 160 mm'")
    if not (own or unit):
        raise CellError(f"'{short(cell)}' has no unit; write it in the header, like 'Packed (mm)'")
    return f"{' x '.join(_number(side, decimal) for side in numbers)} {own or unit}"


def _quantity(cell: str, dimension: str, unit: str, decimal: Decimal | None) -> object:
    known = DIMENSIONS[dimension]
    found = _QUANTITY.fullmatch(cell.replace("−", "-"))
    if found is None:
        raise CellError(f"'{short(cell)}' is not a quantity; write it like '{known.example}'")
    value, own, error, error_unit = (part.strip() if part else "" for part in found.groups())
    shown = own or unit
    if not shown and known.unit:
        raise CellError(f"'{short(cell)}' has no unit; write it in the header, in brackets, like '({known.unit})'")
    text = f"{_number(value, decimal)} {shown}".strip()
    if error:
        text += f" +- {_number(error, decimal)} {error_unit or shown}".rstrip()
    return text


def _number(text: str, decimal: Decimal | None) -> str:
    """Return a number as the guide writes it: with a point, and without marks between thousands."""
    plain = text.strip().replace(" ", "").replace("'", "")
    if "," not in plain and plain.count(".") < 2 and decimal != "comma":
        return plain
    if decimal is None and re.search(r"[.,]", plain):
        raise CellError(
            f"'{short(text)}' can be read in two ways; say 'decimal: comma' or 'decimal: point' in a mapping"
        )
    thousands, mark = (".", ",") if decimal == "comma" else (",", ".")
    groups = plain.split(mark)
    whole = groups[0].lstrip("+-")
    if len(groups) > 2 or (thousands in whole and not re.fullmatch(rf"\d{{1,3}}(?:\{thousands}\d{{3}})+", whole)):
        other = "comma" if decimal == "point" else "point"
        raise CellError(f"'{short(text)}' is no number with a decimal {decimal}; is it one with a {other}?")
    if len(groups) == 2 and thousands in groups[1]:
        raise CellError(f"'{short(text)}' is not a number")
    return plain.replace(thousands, "").replace(mark, ".")
