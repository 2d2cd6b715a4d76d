"""YAML text to plain data: what is read, where it stands, and that nothing else ever comes out."""

from itertools import pairwise
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.document import Document, read_document
from rigleaf.catalogue.faults import Fault, Mark
from tests.strategies import TEXTS, plain_data

SOUND = (Path(__file__).parent / "good" / "parts" / "a-first.yml").read_text(encoding="utf-8")


def read(text: str) -> Document:
    return read_document("a.yml", text.encode())


@given(plain_data(), st.sampled_from([None, True, False]), st.booleans(), st.sampled_from(["\n", "\r\n"]))
def test_plain_data_is_read_as_a_yaml_library_reads_it(
    data: object, flow: bool | None, letters: bool, line_break: str
) -> None:
    text = yaml.safe_dump(data, default_flow_style=flow, allow_unicode=letters, line_break=line_break)
    document = read(text)
    assert (document.faults, document.data) == ([], yaml.safe_load(text))


@given(st.lists(TEXTS, max_size=5), st.sampled_from("\"'|>"), st.integers(20, 120))
def test_text_in_any_style_is_read_as_a_yaml_library_reads_it(texts: list[str], style: str, width: int) -> None:
    text = yaml.safe_dump(texts, default_style=style, width=width)
    document = read(text)
    assert (document.faults, document.data) == ([], yaml.safe_load(text))


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(raw: bytes) -> None:
    document = read_document("a.yml", raw)
    assert is_plain(document.data)
    assert all(is_in(fault, raw) for fault in document.faults)


@given(st.data())
def test_any_mistyped_file_is_read_or_refused(data: st.DataObject) -> None:
    text = SOUND
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(text)))
        to = at + data.draw(st.integers(0, 3))
        text = text[:at] + data.draw(st.text("\t\n :-[]{}#&*!|>'\"%@`<,?~\\\x00\u2028é", max_size=3)) + text[to:]
    document = read(text)
    assert is_plain(document.data)
    assert document.whole or document.faults
    assert all(is_in(fault, text.encode()) for fault in document.faults)
    assert all(fault.message.isprintable() for fault in document.faults)


def is_plain(data: object) -> bool:
    """Say whether data is made of nothing but text, numbers, truth values, lists and mappings."""
    if isinstance(data, dict):
        return all(type(key) is str and is_plain(value) for key, value in data.items())
    if isinstance(data, list):
        return all(map(is_plain, data))
    return data is None or type(data) in (str, int, float, bool)


def is_in(fault: Fault, raw: bytes) -> bool:
    """Say whether a fault stands in a line that there is, or in the one after the last."""
    lines = raw.decode("utf-8-sig", "replace").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return 1 <= fault.line <= len(lines) + 1 and fault.column >= 1


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("", None),
        ("~", None),
        ("null", None),
        ("true", True),
        ("False", False),
        ("12", 12),
        ("-3", -3),
        ("+5", 5),
        ("0", 0),
        ("0.8", 0.8),
        ("-.5", -0.5),
        ("5.", 5.0),
        ("123456789012345678", 123456789012345678),
        # Text, although one version of YAML or another takes it for something else.
        ("yes", "yes"),
        ("No", "No"),
        ("on", "on"),
        ("y", "y"),
        ("12:30", "12:30"),
        ("1:02:03", "1:02:03"),
        ("2026-03-21", "2026-03-21"),
        ("1e3", "1e3"),
        ("1.5e3", "1.5e3"),
        ("0o17", "0o17"),
        ("017", "017"),
        ("007.5", "007.5"),
        ("0x1F", "0x1F"),
        ("1_000", "1_000"),
        ("1234567890123456789", "1234567890123456789"),
        ("nUll", "nUll"),
        (".", "."),
        ("=", "="),
        ("inf", "inf"),
        ("nan", "nan"),
        ("'12'", "12"),
        ('"true"', "true"),
        ("''", ""),
        ("!!str 12", "12"),
        ("! 12", "12"),
        ("a # b", "a"),
        ("a#b", "a#b"),
    ],
)
def test_plain_words_and_numbers(text: str, value: object) -> None:
    document = read(f"key: {text}\n")
    assert document.faults == []
    assert document.data == {"key": value}
    assert type(document.data["key"]) is type(value)


def test_places_of_keys_and_values() -> None:
    document = read("# first\na: 1\nb:\n  - x\n  - c: {d: e}\n  -\n    f: g\n")
    assert document.mark(()) == Mark(2, 1)
    assert document.mark(("a",)) == Mark(2, 4)
    assert document.mark(("a",), key=True) == Mark(2, 1)
    assert document.mark(("b",)) == Mark(4, 3)
    assert document.mark(("b", 0)) == Mark(4, 5)
    assert document.mark(("b", 1)) == Mark(5, 5)
    assert document.mark(("b", 1, "c")) == Mark(5, 8)
    assert document.mark(("b", 1, "c", "d"), key=True) == Mark(5, 9)
    assert document.mark(("b", 2, "f")) == Mark(7, 8)


def test_the_place_of_what_is_not_there_is_that_around_it() -> None:
    document = read("a:\n  b: 1\n")
    assert document.mark(("a", "c", 3)) == Mark(2, 3)
    assert document.mark(("z",), key=True) == Mark(1, 1)
    assert Document("nothing.yml").mark(("z",)) == Mark(1, 1)


def test_a_byte_order_mark_and_other_line_ends_do_not_move_places() -> None:
    plain = read("a: é\nb:\n  c: 🔭 x\n")
    marked = read_document("a.yml", "\ufeffa: é\r\nb:\r\n  c: 🔭 x\r\n".encode())
    assert (plain.data, plain.values, plain.keys) == (marked.data, marked.values, marked.keys)
    assert marked.mark(("b", "c")) == Mark(3, 6)


def test_repeated_values_stand_where_they_are_repeated() -> None:
    document = read("a: &x {b: [1, 2]}\nc: *x\n")
    assert document.data == {"a": {"b": [1, 2]}, "c": {"b": [1, 2]}}
    assert document.mark(("a", "b", 1)) == Mark(1, 15)
    assert document.mark(("c", "b", 1)) == Mark(2, 4)


def test_a_repeated_key_may_be_a_value() -> None:
    assert read("&x name: y\nalso: *x\n").data == {"name": "y", "also": "name"}


def test_an_anchor_given_twice_means_the_last() -> None:
    assert read("- &x 1\n- *x\n- &x 2\n- *x\n").data == [1, 1, 2, 2]


def test_reading_stops_before_a_bomb_is_unrolled() -> None:
    bomb = "a: &a [x]\n" + "".join(f"{b}: &{b} [{', '.join([f'*{a}'] * 9)}]\n" for a, b in pairwise("abcdefghi"))
    document = read(bomb)
    assert [fault.code for fault in document.faults] == ["too-large"]
    assert document.data is None
    assert not document.whole


def test_many_faults_in_one_text_are_all_reported() -> None:
    document = read("a: 1\na: 2\n3: b\n? [c]\n: d\ne: !x f\ng: *h\ni: .nan\n<<: j\n")
    assert [fault.code for fault in document.faults] == [
        "duplicate-key",
        "key",
        "key",
        "tag",
        "alias",
        "not-finite",
        "merge",
    ]


def test_a_fault_is_not_reported_on_a_value_that_could_not_be_read() -> None:
    document = read("a: *b\nc: 1\n")
    document.report(("a",), "code", "second")
    document.report(("c",), "code", "first")
    assert [(fault.line, fault.code) for fault in document.faults] == [(1, "alias"), (2, "code")]
