"""Bytes on a spool are read as they were added, by copies of the process too, and leave nothing behind."""

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.processes import apart
from rigleaf.site.packed import Packed
from rigleaf.site.spool import Laid, Spool, Spooled


@given(st.lists(st.tuples(st.sampled_from("abc"), st.none() | st.binary(max_size=40)), max_size=30))
def test_bytes_by_name_on_a_spool_are_those_in_a_dictionary(steps: list[tuple[str, bytes | None]]) -> None:
    plain: dict[str, bytes] = {}
    spooled = Spooled(Spool())
    for name, data in steps:
        if data is None:
            assert plain.pop(name, None) == spooled.pop(name, None)
        else:
            plain[name] = spooled[name] = data
        assert dict(spooled) == plain


def test_a_text_on_a_spool_is_equal_to_one_in_memory(tmp_path: Path) -> None:
    spool = Spool(tmp_path)
    texts = [b"first", b"", "räumlich".encode() * 1000]
    laid = [Packed.of(text, spool) for text in texts]
    assert laid == [Packed.of(text) for text in texts]
    assert [one.content for one in reversed(laid)] == texts[::-1]
    assert list(tmp_path.iterdir()) == [] or os.name == "nt", "it has no name"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="only where processes can be copied")
def test_a_copy_of_the_process_reads_without_getting_in_the_way() -> None:
    spool = Spool()
    places = [(spool.add(bytes([number]) * 1000), number) for number in range(100)]
    child = os.fork()
    wrong = sum(spool.read(start, 1000) != bytes([number]) * 1000 for start, number in places)
    if child == 0:
        os._exit(wrong)
    spool.add(b"more")
    assert wrong == 0
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


@given(st.lists(st.text(max_size=5) | st.integers() | st.none(), max_size=600), st.integers(0, 3))
def test_values_that_are_laid_down_are_read_as_they_were_and_anew(values: list[object], others: int) -> None:
    spool = Spool()
    laid = Laid(iter(values), spool)
    for _ in range(others):
        spool.add(b"something else")
    assert list(laid) == values
    assert list(laid) == values


def test_what_a_copy_lays_down_is_read_here_with_all_that_it_names_on_the_spool() -> None:
    spool, words = Spool(), "räumlich".encode() * 1000
    before = Packed.of(b"before", spool)
    laid = apart(lambda: Laid([before, Packed.of(words, spool)], spool))
    after = Packed.of(b"after", spool)
    found = list(laid)
    assert [one.where for one in found] == [spool, spool]
    assert [one.content for one in (*found, after)] == [b"before", words, b"after"]
