"""New lines in files that stand already: nothing else in them changes, or nothing is put in at all."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.document import read_document
from rigleaf.desk.splice import SpliceError, add_fields, append_entries
from rigleaf.desk.yaml_text import as_item, write_mapping

NEW = {"mass": "4 kg", "packed": "1 x 2 x 3 mm"}

BLOCK = """\
# Ours.

- id: a
  name: A  # the first
  notes: >-
    # no comment, but text
    and more

  # About the next one.
- id: b
  name: B
  sensor:
    pixel: 3 um  # measured

    # a comment inside
  kind: camera
# the end
"""


def test_fields_stand_behind_those_of_their_entry_and_before_what_follows() -> None:
    assert add_fields(BLOCK.encode(), {0: NEW, 1: {"sensor": {"bits": 16}}}).decode() == BLOCK.replace(
        "    and more\n", "    and more\n  mass: 4 kg\n  packed: 1 x 2 x 3 mm\n"
    ).replace("    pixel: 3 um  # measured\n", "    pixel: 3 um  # measured\n    bits: 16\n")


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("- {id: a, name: A}\n", "- {id: a, name: A, mass: 4 kg, packed: 1 x 2 x 3 mm}\n"),
        ("- { id: a, name: A }\n", "- { id: a, name: A, mass: 4 kg, packed: 1 x 2 x 3 mm }\n"),
        ("[{id: a, name: A}]", "[{id: a, name: A, mass: 4 kg, packed: 1 x 2 x 3 mm}]"),
        ("  -   id: a\n      name: A", "  -   id: a\n      name: A\n      mass: 4 kg\n      packed: 1 x 2 x 3 mm"),
        ("- id: a\r\n  name: A\r\n", "- id: a\r\n  name: A\r\n  mass: 4 kg\r\n  packed: 1 x 2 x 3 mm\r\n"),
        ("-\n  id: a\n  name: A\n", "-\n  id: a\n  name: A\n  mass: 4 kg\n  packed: 1 x 2 x 3 mm\n"),
    ],
)
def test_every_way_to_write_an_entry(before: str, after: str) -> None:
    assert add_fields(before.encode(), {0: NEW}).decode() == after


def test_a_field_inside_one_written_in_brackets() -> None:
    text = "- id: a\n  mass: {stated: 2 kg}\n  name: A\n"
    assert add_fields(text.encode(), {0: {"mass": {"measured": "2.1 kg"}}}).decode() == text.replace(
        "{stated: 2 kg}", "{stated: 2 kg, measured: 2.1 kg}"
    )


@pytest.mark.parametrize("text", ["", "# Only a comment.\n", "- id: a\n", "- id: a", "  - id: a\n    name: A\n# end\n"])
def test_entries_stand_at_the_end(text: str) -> None:
    new = append_entries(text.encode(), [{"id": "x", "notes": "word " * 40}, {"id": "y"}])
    assert new.startswith(text.encode())
    data = read_document("x", new).data
    assert [entry["id"] for entry in data][-2:] == ["x", "y"]


@pytest.mark.parametrize(
    "text", ["[{id: a}]\n", "- id: a\n...\n", "- id: &x a\n- id: &x b\n", "id: a\n", "\ufeff- id: a\n"]
)
def test_a_list_that_cannot_grow_is_left_alone(text: str) -> None:
    with pytest.raises(SpliceError):
        append_entries(text.encode(), [{"id": "x"}])


@pytest.mark.parametrize("text", ["- &a {id: a}\n- *a\n", "- id: a\n  notes: >+\n    text\n\n\n", "- &x\n  id: a\n"])
def test_what_would_mean_something_else_is_not_put_in(text: str) -> None:
    """An anchor's value would change where it is repeated; text that keeps its last lines would gain some."""
    try:
        new = add_fields(text.encode(), {0: NEW})
    except SpliceError:
        return
    assert read_document("x", new).data == [{**read_document("x", text.encode()).data[0], **NEW}]


WORD = st.text("abc", min_size=1, max_size=5)
ENTRIES = st.lists(
    st.dictionaries(WORD, st.one_of(WORD, st.integers(0, 9), st.dictionaries(WORD, WORD)), min_size=1, max_size=4),
    min_size=1, max_size=4,
)  # fmt: skip


@given(ENTRIES, st.data(), st.sampled_from(["", "# c\n", "\n\n# c\n"]))
def test_whatever_stands_there_stands_there_still(entries: list[dict[str, Any]], data: st.DataObject, gap: str) -> None:
    text = "".join(gap + as_item(write_mapping(entry)) for entry in entries)
    place = data.draw(st.integers(0, len(entries) - 1))
    new = add_fields(text.encode(), {place: {"zz": "new"}}).decode()
    assert [line for line in new.splitlines() if "zz: new" not in line] == text.splitlines()
    assert read_document("x", new.encode()).data[place] == {**entries[place], "zz": "new"}
