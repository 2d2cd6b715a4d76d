"""Cells of a list: numbers however they are written, units from the header, and nothing that could mean two things."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.desk.cells import CellError, Decimal, decimal_mark, is_unsaid, read_cell
from rigleaf.desk.fields_of_kinds import Leaf

MASS, SIZE = Leaf(("mass",), "mass"), Leaf(("packed",), "size")


@pytest.mark.parametrize(
    ("cell", "unit", "decimal", "said"),
    [
        ("4.2", "kg", "point", "4.2 kg"),
        ("4,2", "kg", "comma", "4.2 kg"),
        ("1.234,5", "g", "comma", "1234.5 g"),
        ("1,234.5", "g", "point", "1234.5 g"),
        ("1'234", "g", "point", "1234 g"),
        ("4.2 lb", "kg", "point", "4.2 lb"),
        ("4,2kg", "", "comma", "4.2 kg"),
        ("4.2 ± 0.1", "kg", "point", "4.2 kg +- 0.1 kg"),
        ("4.2 kg +- 5 %", "", "point", "4.2 kg +- 5 %"),
        ("−10", "degC", "point", "-10 degC"),
        ("007", "g", "point", "007 g"),
    ],
)
def test_a_quantity(cell: str, unit: str, decimal: Decimal, said: str) -> None:
    leaf = Leaf(("x",), "temperature") if unit == "degC" else MASS
    assert read_cell(cell, leaf, unit, decimal) == said


@pytest.mark.parametrize(
    ("cell", "leaf", "decimal", "why"),
    [
        ("4.2", MASS, "point", "has no unit; write it in the header, in brackets, like '(kg)'"),
        ("1,234 g", MASS, None, "can be read in two ways; say 'decimal: comma' or 'decimal: point' in a mapping"),
        ("heavy", MASS, "point", "is not a quantity; write it like '4.2 kg'"),
        ("ca. 4 kg", MASS, "point", "is not a quantity"),
        ("1,5 kg", MASS, "point", "is no number with a decimal point; is it one with a comma?"),
        ("300 x 200 mm", SIZE, "point", "is not a size; three lengths are wanted"),
        ("300 x 200 x 100", SIZE, "point", "has no unit; write it in the header, like 'Packed (mm)'"),
        ("perhaps", Leaf(("hook",), "boolean"), "point", "is neither yes nor no"),
        ("2.5", Leaf(("owned",), "integer"), "point", "is not a whole number, like 2"),
        ("refracter", Leaf(("form",), "text", ("refractor", "lens")), "point", "did you mean 'refractor'?"),
        ("zzzz", Leaf(("form",), "text", ("refractor", "lens")), "point", "known are refractor, lens"),
    ],
)
def test_what_cannot_be_used_says_why(cell: str, leaf: Leaf, decimal: Decimal | None, why: str) -> None:
    with pytest.raises(CellError) as caught:
        read_cell(cell, leaf, "", decimal)
    assert why in str(caught.value)


@pytest.mark.parametrize(
    ("cell", "leaf", "said"),
    [
        ("300x200 × 100", SIZE, "300 x 200 x 100 mm"),
        ("30 x 20 x 10 cm", SIZE, "30 x 20 x 10 cm"),
        ("3 pcs", Leaf(("owned",), "integer"), 3),
        ("2.0", Leaf(("owned",), "integer"), 2),
        ("X", Leaf(("hook",), "boolean"), True),
        ("no", Leaf(("hook",), "boolean"), False),
        ("Refractor", Leaf(("form",), "text", ("refractor", "lens")), "refractor"),
        ("a; b / c", Leaf(("made_for",), "list"), ["a", "b", "c"]),
        ("one\ntwo", Leaf(("name",), "text"), "one two"),
        ("one\ntwo", Leaf(("notes",), "text"), "one\ntwo"),
    ],
)
def test_other_cells(cell: str, leaf: Leaf, said: object) -> None:
    assert read_cell(cell, leaf, "mm", "point") == said


@pytest.mark.parametrize(
    ("cells", "delimiter", "mark"),
    [
        (["4,2", "1,25"], ",", "comma"),
        (["4.2", "1,250"], ",", "point"),
        (["1.234,5"], ",", "comma"),
        (["1,234"], ",", None),
        (["1,234"], ";", "comma"),
        (["1,234,567"], ";", "point"),
        (["4,2", "4.2"], ";", None),
        (["42", "7"], ",", "point"),
        ([], ",", "point"),
    ],
)
def test_the_decimal_mark_of_a_column(cells: list[str], delimiter: str, mark: Decimal | None) -> None:
    assert decimal_mark(cells, delimiter) == mark


@given(st.integers(0, 10**7), st.integers(0, 99))
def test_a_number_means_the_same_in_every_spelling(whole: int, hundredths: int) -> None:
    grouped = f"{whole:,}"
    plain = f"{whole}.{hundredths:02} kg"
    assert read_cell(f"{grouped}.{hundredths:02}", MASS, "kg", "point") == plain
    swapped = grouped.replace(",", ".")
    assert read_cell(f"{swapped},{hundredths:02}", MASS, "kg", "comma") == plain


@given(st.text(max_size=40), st.sampled_from(["point", "comma", None]))
def test_no_cell_brings_anything_but_a_value_or_a_reason(cell: str, decimal: Decimal | None) -> None:
    for leaf in (MASS, SIZE, Leaf(("owned",), "integer"), Leaf(("hook",), "boolean")):
        with contextlib.suppress(CellError):
            assert read_cell(cell, leaf, "", decimal) is not None


def test_what_says_nothing() -> None:
    assert all(map(is_unsaid, ["", "-", "?", "n/a", "Unknown"]))
    assert not is_unsaid("0")
