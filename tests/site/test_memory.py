"""What a process remembers of a guide changes nothing of the guide that an edit made of it."""

from pathlib import Path
from typing import Any

import pytest

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.site.book import make_book
from rigleaf.site.memory import Memory
from rigleaf.site.typeset.addresses import Addresses
from tests.chapters.small_guide import PARTS, RIG
from tests.site.yaml_guide import write_guide

SHELF = {**PARTS, "lead": {"kind": "cable", "name": "Lead", "owned": 2}}
PLACE = {"id": "field", "name": "Field", "latitude": "50 deg", "longitude": "7 deg", "timezone": "Europe/Berlin"}
TARGET = {"id": "big", "name": "Big one", "object": "M 31"}
LOAN = {"rig": "rig", "out": "2026-03-01", "due": "2026-03-05"}

EDITS: dict[str, dict[str, Any]] = {
    "a part more": {"shelf": SHELF},
    "a rig more": {"rigs": [RIG, {**RIG, "id": "other", "name": "Other"}]},
    "another name": {"rigs": [{**RIG, "name": "Renamed"}]},
    "a place": {"places": [PLACE]},
    "a target": {"targets": [TARGET]},
    "a loan": {"desk": {"loans": [LOAN]}},
    "another name for the guide": {"name": "Another guide"},
    "other units": {"units": "imperial"},
}


@pytest.mark.parametrize("edit", EDITS)
def test_an_edit_makes_the_book_that_would_be_made_without_memory(edit: str, tmp_path: Path) -> None:
    memory = Memory()
    for number, settings in enumerate(({}, EDITS[edit], {})):
        for path in tmp_path.rglob("*.yml"):
            path.unlink()
        write_guide(tmp_path, **settings)
        book = make_book(read_catalogue(tmp_path, kept=memory.files), Addresses(False), memory=memory)
        fresh = make_book(read_catalogue(tmp_path), Addresses(False))
        assert [page.address for page in book.pages] == [page.address for page in fresh.pages], number
        wrong = [one.address for one, other in zip(book.pages, fresh.pages, strict=True) if one != other]
        assert (wrong, dict(book.files) == dict(fresh.files)) == ([], True), number
