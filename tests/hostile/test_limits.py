"""Guides made to be too much: each ends in bounded time with faults that somebody can read, or with a whole book."""

import os
import time
from pathlib import Path
from random import Random
from typing import Any

import pytest

from rigleaf.catalogue.bookings import MOST_CLASHES
from rigleaf.catalogue.document import MOST_FAULTS
from rigleaf.catalogue.faults import CatalogueError
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.site.book import make_book
from rigleaf.site.sheets.part_labels import MOST_PIECES
from rigleaf.site.typeset.addresses import Addresses
from tests.chapters.small_guide import PARTS, RIG
from tests.conftest import PROJECT
from tests.hostile.mutations import disturb, gnaw
from tests.hostile.schemas import read_guide as read_files
from tests.hostile.schemas import slice_of, write_guide
from tests.site.yaml_guide import read_guide
from tests.site.yaml_guide import write_guide as write_small

CABLES: dict[str, Any] = {**PARTS, "lead": {"kind": "cable", "name": "Lead", "owned": 100_000}}
LONG: dict[str, Any] = {"out": "2026-01-01", "due": "2027-01-01"}


def faults_of(folder: Path) -> CatalogueError:
    """Return what is wrong with a guide, which must be something."""
    with pytest.raises(CatalogueError) as caught:
        read_catalogue(folder)
    return caught.value


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("parts/b.yml", "- a\n" * 40_000),
        ("guide.yml", "name: x\n" * 40_000),
        ("guide.yml", "name: x\n" + "".join(f"k{number}: 1\n" for number in range(20_000))),
        ("parts/b.yml", "".join(f"- {{id: a{number}, kind: optix, name: x}}\n" for number in range(9_000))),
        ("parts/b.yml", "".join(f"- {{id: a{number}, kind: cable, name: x, mass: 1 kk}}\n" for number in range(9_000))),
        ("new.yml", "id: new\nname: x\ncarried:\n" + "".join(f"- zz-{number}\n" for number in range(20_000))),
    ],
)
def test_of_very_many_faults_the_first_are_told(tmp_path: Path, name: str, text: str) -> None:
    folder = write_small(tmp_path)
    (folder / name).write_text(text)
    began = time.process_time()
    faults = faults_of(folder).faults
    assert time.process_time() - began < 20
    assert len(faults) == MOST_FAULTS + 1
    assert faults[-1].message == f"there may be more than these {MOST_FAULTS} faults; mend them and look again"
    assert faults[-1].line == faults[-2].line


def test_thousands_of_loans_at_once_are_told_in_short_sentences(tmp_path: Path) -> None:
    folder = write_small(tmp_path, desk={"loans": [{"rig": "rig", **LONG} for _ in range(5_000)]})
    error = faults_of(folder)
    assert len(error.faults) <= MOST_FAULTS + 1 <= MOST_CLASHES
    assert max(len(fault.message) for fault in error.faults) < 1000
    assert "more have some" in error.faults[-2].message


def test_thousands_of_loans_of_one_piece_are_bounded_too(tmp_path: Path) -> None:
    loans = [{"parts": ["lead"], "asset": "A", **LONG} for _ in range(5_000)]
    assert len(faults_of(write_small(tmp_path, shelf=CABLES, desk={"loans": loans})).faults) == MOST_FAULTS + 1


def test_many_loans_that_do_not_clash_are_no_fault(tmp_path: Path) -> None:
    loans = [{"parts": ["lead"], **LONG} for _ in range(5_000)]
    began = time.process_time()
    catalogue = read_guide(tmp_path, shelf=CABLES, desk={"loans": loans})
    assert len(catalogue.desk.loans) == 5_000
    assert time.process_time() - began < 20


def test_a_hundred_thousand_pieces_do_not_become_as_many_labels(tmp_path: Path) -> None:
    book = make_book(read_guide(tmp_path, shelf=CABLES), Addresses(False))
    (first, *more) = [page for page in book.pages if page.address.startswith("shelf/cable/labels")]
    assert sum(page.html.count('class="rl-label rl') for page in (first, *more)) == MOST_PIECES
    assert "The first hundred pieces only of Lead" in first.html
    assert f"{MOST_PIECES} of 100000" in book.pages[book.pages.index(more[-1] if more else first)].html


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("mass", "5e-324 kg", "'5e-324 kg' is too little to make sense; write it like '4.2 kg'"),
        ("mass", "0 kg +- 1e999 kg", "the uncertainty in '0 kg +- 1e999 kg' is larger than any value that makes sense"),
        ("mass", "0 kg +- 1e999 %", "the uncertainty in '0 kg +- 1e999 %' is larger than any value that makes sense"),
        ("setting_up", "60000 h", "'60000 h' is above the most that makes sense (10,000,000 s)"),
        ("setting_up", "25 h", "'25 h' is not between 0 s and 86400 s"),
    ],
)
def test_numbers_at_which_physics_breaks_are_refused(tmp_path: Path, key: str, value: str, said: str) -> None:
    shelf = {**PARTS, "head": {**PARTS["head"], key: value}}
    assert [fault.message for fault in faults_of(write_small(tmp_path, shelf=shelf)).faults] == [said]


def test_words_where_units_belong_are_told_soon(tmp_path: Path) -> None:
    """It takes long to find that a word is no unit at all; each is looked up once, and not for every dimension."""
    shelf = {f"p{one}": {"kind": "cable", "name": "x", "mass": f"3 word{one} of it"} for one in range(150)}
    began = time.process_time()
    assert len(faults_of(write_small(tmp_path, shelf={**PARTS, **shelf})).faults) == 150
    assert time.process_time() - began < 5


def test_a_service_is_due_within_the_calendar(tmp_path: Path) -> None:
    service = [{"rig": "rig", "what": "looked at", "done": "2099-12-31", "every": "9999 years"}]
    (fault,) = faults_of(write_small(tmp_path, desk={"service": service})).faults
    assert fault.message == "'9999 years' is more than a hundred years; write it like '6 months'"
    assert make_book(
        read_guide(tmp_path / "sound", desk={"service": [{**service[0], "every": "100 years"}]}), Addresses(False)
    ).pages


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with names")
def test_pipes_and_endless_files_are_not_waited_for(tmp_path: Path) -> None:
    folder = write_small(tmp_path, shelf={**PARTS, "tube": {**PARTS["tube"], "photo": "a.jpg"}})
    os.mkfifo(folder / "a.jpg")
    os.mkfifo(folder / "parts" / "pipe.yml")
    (folder / "parts" / "zero.yml").symlink_to("/dev/zero")
    assert sorted(fault.code for fault in faults_of(folder).faults) == ["outside", "photo", "unreadable"]


@pytest.mark.parametrize("seed", range(6))
def test_a_disturbed_guide_has_faults_or_a_whole_book(tmp_path: Path, seed: int) -> None:
    """The long form is `make fuzz`."""
    guide = slice_of(read_files(PROJECT / "rigs"), ("milky-way-walk",))
    for data in guide.values():
        for part in data if isinstance(data, list) else ():
            part.pop("photo", None)
    random = Random(seed)  # noqa: S311 - the same seed does the same
    disturb(guide, random, 3)
    try:
        catalogue = read_catalogue(write_guide(guide, tmp_path))
    except CatalogueError as error:
        assert error.faults  # noqa: PT017 - a sound guide is as good
    else:
        assert len(make_book(catalogue, Addresses(False)).pages) > len(catalogue.rigs)


def test_gnawed_bytes_are_read_or_refused(tmp_path: Path) -> None:
    guide = slice_of(read_files(PROJECT / "rigs"), ("milky-way-walk",))
    folder = write_guide(guide, tmp_path)
    sound = {path: path.read_bytes() for path in folder.rglob("*.yml")}
    for seed in range(60):
        random = Random(seed)  # noqa: S311 - the same seed does the same
        victim = random.choice(sorted(sound))
        victim.write_bytes(gnaw(sound[victim], random))
        try:
            read_catalogue(folder)
        except CatalogueError as error:
            assert error.faults  # noqa: PT017 - a sound guide is as good
        victim.write_bytes(sound[victim])


def test_the_interface_survives_names_of_objects_and_devices(tmp_path: Path) -> None:
    ids = ("index", "card", "labels", "con", "nul", "constructor", "prototype", "404", "search", "assets", "x" * 80)
    shelf = {**PARTS, **{id_: {"kind": "cable", "name": id_, "owned": 2} for id_ in ids}}
    book = make_book(
        read_guide(tmp_path, shelf=shelf, rigs=[{**RIG, "id": id_, "name": id_} for id_ in ids]), Addresses()
    )
    addresses = [page.address for page in book.pages]
    assert len(set(addresses)) == len(addresses)
