"""Every reader stands what it is tried with first, what comes of it by small harm, and what once broke it.

The long form is `make guided`, which is steered by what an input reaches; its findings end up here.
"""

import hashlib
import io
import json
import zlib
from collections.abc import Callable
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from rigleaf.catalogue.document import read_document
from rigleaf.catalogue.faults import Mark
from rigleaf.catalogue.syntax import place_behind
from tests.hostile.mutations import gnaw
from tests.hostile.readers import WAYS

SEEDS = {"pages": 2, "bundle": 2}
"""Of what is slow, so many of the inputs to begin with."""
CHANGES = {"pages": 1, "guide": 25, "bundle": 6, "leaf": 12}


@pytest.mark.parametrize("name", WAYS)
def test_what_a_reader_begins_with_and_small_harm_to_it_break_nothing(name: str) -> None:
    way = WAYS[name]
    seeds = list(way.seeds())
    assert max(map(len, seeds)) <= way.most, "none is too long to be tried"
    for seed in seeds[-SEEDS.get(name, 60) :]:
        way.read(seed)
    random = Random(7)  # noqa: S311 - the same seed does the same
    for _ in range(CHANGES.get(name, 40)):
        one, other = random.choice(seeds), random.choice(seeds)
        way.read(way.change(one, other, random) if way.change else gnaw(one, random))


def packed(head: bytes) -> bytes:
    """A leaf that has nothing but this head."""
    body = zlib.compress(head)
    return len(body).to_bytes(8, "big") + body


def long(head: object) -> bytes:
    """A ledger that has nothing but this head."""
    body = head if isinstance(head, bytes) else json.dumps(head).encode()
    return len(body).to_bytes(8, "big") + body


def photographed() -> bytes:
    """A picture in which the camera wrote how it was turned, and the end of that is cut off."""
    saved = io.BytesIO()
    Image.new("RGB", (9, 7)).save(saved, "JPEG", exif=b"Exif\0\0MM\0*\0\0\0\x08\0\1\x01\x12\0\3\0\0\xff\xff\0\6\0\0")
    return saved.getvalue()


DEEP = b"[" * 100_000
MOVED = "assets/rigleaf/inline/0123456789ab.js"
BROKE: tuple[tuple[str, bytes | Callable[[], bytes]], ...] = (
    ("leaf", packed(DEEP)),
    ("leaf", packed(b'{"key": "key", "texts": [], "studies": [], "inputs": [], "read": [], "pages": [], "files": []}')),
    ("ledger", long(DEEP)),
    ("ledger", long({"form": 1, "moved": {MOVED: ""}, "pages": [["a.html", "key", [1, 2, 3], [[MOVED]], 0]]})),
    ("picture", photographed),
    ("yaml", b"- a\r- \xff"),
    ("yaml", b"a: b\r\rc: \x00"),
    ("yaml", b"[#`om\x06\x00"),
)
"""What broke a reader once, with the reader's name."""


@pytest.mark.parametrize(("name", "data"), BROKE, ids=lambda one: one if isinstance(one, str) else "")
def test_what_once_broke_a_reader_does_so_no_more(name: str, data: bytes | Callable[[], bytes]) -> None:
    WAYS[name].read(data() if callable(data) else data)


@given(
    st.lists(
        st.tuples(st.text("aé🔭", min_size=1, max_size=5), st.sampled_from(("\n", "\r", "\r\n", "\n\n"))), max_size=9
    )
)
def test_places_are_those_of_the_parser_whatever_ends_a_line(rows: list[tuple[str, str]]) -> None:
    text = ""
    wanted: list[Mark] = []
    for words, end in rows:
        wanted.append(place_behind(f"{text}- "))
        text += f"- {words}{end}"
    found = read_document("one.yml", text.encode())
    assert [found.values[index,] for index in range(len(rows))] == wanted
    assert found.digest == hashlib.sha256(text.encode()).hexdigest()
