"""Data written as YAML are read back as the same data, and look like a guide's own files."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.document import read_document
from rigleaf.desk.yaml_text import WIDTH, as_item, write_list, write_mapping, write_value

LETTERS = st.characters(min_codepoint=32, max_codepoint=0x2FF, exclude_characters="\x7f", exclude_categories=["Cc"])
WORDS = st.sampled_from(["007", "12:30", "on", "yes", "null", "~", "1e3", "-.5", "5.", "2026-03-14", ".inf", "1_0",
    "0x1F", "", "- a", "a: b", "a #b", "'", '"', "&a", "*a", "!a", "%a", "<<", "=", "x " * 60, "true", "\n",
    "a\n b\n"])  # fmt: skip
TEXT = st.one_of(WORDS, st.text(LETTERS, max_size=150))
NUMBERS = st.one_of(
    st.integers(-(10**17), 10**17), st.floats(-1e6, 1e6, allow_nan=False).map(lambda value: round(value, 8))
)
VALUES: st.SearchStrategy[Any] = st.recursive(
    st.one_of(TEXT, NUMBERS, st.booleans(), st.none()),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(TEXT, inner, max_size=4)),
    max_leaves=12,
)
ENTRY = st.dictionaries(TEXT, VALUES, min_size=1, max_size=5)


def read(text: str) -> Any:
    document = read_document("file.yml", text.encode())
    assert [fault for fault in document.faults if fault.code != "not-finite"] == []
    return document.data


@given(ENTRY)
def test_a_mapping_is_read_back_as_it_was(entry: dict[str, Any]) -> None:
    assert read(write_mapping(entry)) == entry


@given(st.lists(ENTRY, min_size=1, max_size=3))
def test_a_list_is_read_back_as_it_was(entries: list[dict[str, Any]]) -> None:
    assert read(write_list(entries)) == entries


@given(VALUES)
def test_a_value_in_one_line_is_read_back_as_it_was(value: object) -> None:
    text = write_value(value)
    assert "\n" not in text
    assert read(f"[{text}]") == [value]


def test_it_looks_like_the_files_of_a_guide() -> None:
    entry = {
        "id": "heron-65",
        "kind": "optic",
        "name": "Heron 65",
        "aperture": "65 mm",
        "needs_collimation": False,
        "owned": 2,
        "asset": "007",
        "mass": {"stated": "2.1 kg", "measured": "2.16 kg", "on": "2026-03-14"},
        "made_for": ["one", "two"],
        "sensor": {"pixels": "6000 x 4000", "offset": ["0 mm", "1 mm"]},
        "horizon": [{"azimuth": "0 deg", "altitude": "6 deg"}],
    }
    assert write_mapping(entry) == (
        "id: heron-65\n"
        "kind: optic\n"
        "name: Heron 65\n"
        "aperture: 65 mm\n"
        "needs_collimation: false\n"
        "owned: 2\n"
        "asset: 007\n"
        "mass: {stated: 2.1 kg, measured: 2.16 kg, on: 2026-03-14}\n"
        "made_for: [one, two]\n"
        "sensor:\n  pixels: 6000 x 4000\n  offset: [0 mm, 1 mm]\n"
        "horizon:\n  - {azimuth: 0 deg, altitude: 6 deg}\n"
    )
    assert as_item(write_mapping({"id": "a", "name": "A"})) == "- id: a\n  name: A\n"


def test_long_text_goes_on_in_the_next_line() -> None:
    written = write_mapping({"notes": "word " * 80 + "end"})
    assert written.startswith("notes: >-\n  word")
    assert max(map(len, written.splitlines())) <= WIDTH + 10
