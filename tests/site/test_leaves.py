"""Leaves that are kept: a guide with them is the guide without, whatever is edited, damaged or done at once."""

import os
import pickle
import threading
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
import yaml

from rigleaf import processes
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.site.leaves import growing, keys
from rigleaf.site.leaves.form import DamagedError, Reader, encode
from rigleaf.site.leaves.found import Finds
from rigleaf.site.leaves.growing import leaves_of
from rigleaf.site.leaves.keys import keys_of
from rigleaf.site.leaves.leaf import Around, Leaf, Maker, around
from rigleaf.site.leaves.store import SWITCH, Store, leaf_store
from rigleaf.site.lent.availability import lending_of
from rigleaf.site.packed import Packed
from rigleaf.site.spool import Spool
from rigleaf.site.typeset.addresses import Addresses
from tests.chapters.small_guide import PARTS, RIG, Data
from tests.site.yaml_guide import write_guide

LENS: Data = {
    "kind": "optic", "name": "Lens", "form": "lens", "aperture": "60 mm", "focal_length": "135 mm", "mass": "0.8 kg",
}  # fmt: skip
BAG: Data = {"kind": "bag", "name": "Bag", "inner": "500 x 400 x 300 mm"}
RIGS: list[Data] = [
    {**RIG, "targets": ["big"], "bags": ["bag"]},
    {"id": "wide", "name": "Wide one", "train": ["lens", "camera"], "mount": "head", "targets": ["big"]},
    {"id": "third", "name": "Third", "train": ["tube", "camera"], "power": ["cell"], "notes": "Old."},
]
GUIDE: dict[str, Any] = {
    "shelf": {**PARTS, "lens": LENS, "bag": BAG, "cell": {**PARTS["battery"], "name": "Cell"}},
    "rigs": RIGS,
    "places": [{"id": "home", "name": "Home", "seeing": "2 arcsec"}],
    "targets": [{"id": "big", "name": "Big one", "object": "M 31"}],
    "desk": {"loans": [{"rig": "rig", "out": "2026-03-01", "due": "2026-03-05", "back": "2026-03-04"}]},
    "place": "home",
}


@pytest.fixture
def guide(tmp_path: Path) -> Path:
    root = write_guide(tmp_path / "rigs", **GUIDE)
    (root / "trips").mkdir()
    trip = {"id": "away", "name": "Away", "travellers": [{"id": "one", "called": "one"}], "rigs": ["wide"]}
    (root / "trips" / "away.yml").write_text(yaml.safe_dump(trip), encoding="utf-8")
    return root


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "kept")


def given(root: Path, site: str = "", *, field_copy: bool = True) -> Around:
    catalogue = read_catalogue(root)
    return around(catalogue, Addresses(False, site), lending_of(catalogue), field_copy=field_copy)


def content(leaves: tuple[Leaf, ...]) -> list[object]:
    """Everything in leaves that a page or a file is made of."""
    return [
        (leaf.rig, tuple(leaf.pages), leaf.files, Finds(leaves).of(leaf)) for leaf in leaves
    ]  # fmt: skip


def changed(root: Path, file: str, change: Callable[[Any], None]) -> None:
    path = root / file
    data = yaml.safe_load(path.read_text(encoding="utf-8"))
    change(data)
    path.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")


def part(id_: str, **values: Any) -> Callable[[Any], None]:
    return lambda shelf: next(one for one in shelf if one["id"] == id_).update(values)


EDITS: dict[str, tuple[str, Callable[[Any], None], set[str]]] = {
    "words of a rig": ("third.yml", lambda rig: rig.update(notes="New."), {"third"}),
    "a name that another rig's page tells": ("wide.yml", lambda rig: rig.update(name="Widest"), {"wide", "rig"}),
    "a frame that another rig's page tells": ("wide.yml", lambda rig: rig.update(train=["tube", "camera"]),
                                              {"wide", "rig"}),
    "a bag that now has two users": ("third.yml", lambda rig: rig.update(bags=["bag"]), {"third", "rig"}),
    "a battery that is for practice only": ("third.yml", lambda rig: rig.update(for_training=True),
                                            {"rig", "wide", "third"}),
    "a part": ("parts/shelf.yml", part("legs", mass="3.5 kg"), {"rig", "wide", "third"}),
    "a place": ("places.yml", lambda places: places[0].update(seeing="4 arcsec"), {"rig", "wide", "third"}),
    "a target": ("targets.yml", lambda found: found[0].update(name="Large one"), {"rig", "wide", "third"}),
    "the guide": ("guide.yml", lambda guide: guide.update(choices={"seeing": "5 arcsec"}), {"rig", "wide", "third"}),
    "a loan": ("desk/book.yml", lambda desk: desk["loans"].append({"rig": "third", "out": "2026-03-06"}),
               {"rig", "wide", "third"}),
    "words of the book": ("desk/book.yml", lambda desk: desk["loans"][0].update(condition_in="Dry."), {"rig"}),
    "a journey": ("trips/away.yml", lambda trip: trip.update(name="Far away"), {"wide"}),
}  # fmt: skip
"""What is edited: file, change, and the rigs whose leaves are other ones after it."""


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The ids of the rigs whose leaves were made, as they are made."""
    ids: list[str] = []
    make = Maker.make

    def noted(maker: Maker, id_: str) -> Leaf:
        ids.append(id_)
        return make(maker, id_)

    monkeypatch.setattr(Maker, "make", noted)
    return ids


def test_whatever_is_edited_kept_leaves_are_those_that_would_be_made(
    guide: Path, store: Store, made: list[str]
) -> None:
    leaves_of(given(guide), store)
    for edit, (file, change, others) in EDITS.items():
        before = keys_of(given(guide))
        made.clear()
        changed(guide, file, change)
        kept = leaves_of(given(guide), store)
        after = keys_of(given(guide))
        assert others == {id_ for id_ in after if after[id_] != before[id_]}, edit
        assert set(made) == others, edit
        assert content(kept) == content(leaves_of(given(guide))), edit
        made.clear()
        assert content(leaves_of(given(guide), store)) == content(kept), edit
        assert not made, edit


@pytest.mark.parametrize("edit", ["words of a rig", "a journey", "words of the book"])
def test_what_concerns_one_rig_makes_one_leaf(guide: Path, store: Store, made: list[str], edit: str) -> None:
    leaves_of(given(guide), store)
    made.clear()
    file, change, others = EDITS[edit]
    changed(guide, file, change)
    leaves_of(given(guide), store)
    assert set(made) == others
    assert len(made) == 1


def test_another_program_day_address_or_setting_is_another_key(guide: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    found = [keys_of(given(guide)), keys_of(given(guide, "https://club.example/"))]
    found.append(keys_of(given(guide, field_copy=False)))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1790000000")
    found.append(keys_of(given(guide)))
    monkeypatch.setattr(keys, "program", lambda: "another")
    found.append(keys_of(given(guide)))
    all_keys = [key for one in found for key in one.values()]
    assert len(set(all_keys)) == len(all_keys) == 5 * len(RIGS)


def harmed(data: bytes, other: bytes) -> dict[str, bytes]:
    return {
        "nothing": b"",
        "cut off": data[:-7],
        "one bit": data[:100] + bytes([data[100] ^ 1]) + data[101:],
        "longer": data + b"x",
        "another leaf": other,
        "something else": b"\x80\x04\x95 no leaf at all",
    }


def test_what_is_damaged_or_foreign_is_made_anew(guide: Path, store: Store, made: list[str]) -> None:
    plain = content(leaves_of(given(guide), store))
    known = keys_of(given(guide))
    whole = {id_: store.read(key) or b"" for id_, key in known.items()}
    for harm, data in harmed(whole["rig"], whole["third"]).items():
        store.write(known["rig"], data)
        with pytest.raises(DamagedError):
            Reader().decode(data, known["rig"])
        made.clear()
        assert content(leaves_of(given(guide), store)) == plain, harm
        assert made == ["rig"], harm
        assert store.read(known["rig"]) == whole["rig"], harm


def test_two_writers_at_once_leave_a_whole_leaf(guide: Path, store: Store) -> None:
    here = given(guide)
    leaf, key = Maker(here).make("rig"), "ab" * 32
    data = encode(leaf, key)
    seen: list[bytes | None] = []

    def writes() -> None:
        for _ in range(40):
            store.write(key, data)
            seen.append(store.read(key))

    threads = [threading.Thread(target=writes) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(seen) == {data}
    assert [path.name for path in store.folder.rglob("*") if path.is_file()] == [f"{key}.leaf"], "no drafts are left"


@pytest.fixture
def one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let processes make leaves one at a time, so that each has some to make in a guide of a few."""
    monkeypatch.setattr(growing, "_AT_ONCE", 1)


@pytest.mark.usefixtures("one_by_one")
def test_several_processes_make_the_same_leaves(guide: Path, store: Store) -> None:
    here = given(guide, "https://club.example/")
    leaves_of(here, store, processes=2)
    assert all(store.read(key) for key in keys_of(here).values())


@pytest.mark.usefixtures("one_by_one")
def test_where_no_further_process_starts_one_does_it_all(
    guide: Path, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    def refuse(*_: object) -> None:
        raise OSError("no more processes")

    monkeypatch.setattr(processes, "ProcessPoolExecutor", refuse)
    assert len(leaves_of(given(guide), processes=2)) == len(RIGS)


@pytest.mark.usefixtures("one_by_one")
@pytest.mark.parametrize("copied", [True, False])
def test_helpers_that_are_killed_at_once_leave_the_work_to_this_process(
    copied: bool, guide: Path, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    monkeypatch.setattr(growing, "may_be_copied", lambda: copied)
    monkeypatch.setattr(processes, "leave_with_parent", lambda: os._exit(9))
    if not copied:  # begun anew, they know nothing of this test: their file kills them
        monkeypatch.setattr(pickle, "dumps", lambda _: b"no pickle")
    assert len(leaves_of(given(guide), processes=2)) == len(RIGS)


@pytest.mark.usefixtures("one_by_one")
@pytest.mark.parametrize("copied", [True, False])
def test_copies_and_newcomers_make_the_same_leaves(
    copied: bool, guide: Path, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    monkeypatch.setattr(growing, "may_be_copied", lambda: copied)
    here = given(guide)
    assert content(leaves_of(here, processes=2)) == content(leaves_of(here))


def test_leaves_that_no_store_keeps_wait_on_a_spool(guide: Path) -> None:
    here, spool = given(guide), Spool()
    leaves = leaves_of(here, spool=spool)
    assert content(leaves) == content(leaves_of(here))
    assert all(
        isinstance(page.article, Packed) and page.article.where is spool for leaf in leaves for page in leaf.pages
    )
    assert all(page.html for leaf in leaves for page in leaf.pages)


def test_a_file_that_changed_after_the_guide_was_read_is_not_kept(guide: Path, store: Store) -> None:
    here = given(guide)
    changed(guide, "third.yml", lambda rig: rig.update(notes="Meanwhile."))
    leaves_of(here, store)
    assert store.read(keys_of(here)["third"]) is None


def test_what_no_guide_uses_any_more_goes_the_oldest_first(tmp_path: Path) -> None:
    store = Store(tmp_path, most=250)
    names = [f"{number:02d}" * 32 for number in range(4)]
    for age, key in enumerate(names):
        store.write(key, b"x" * 100)
        os.utime(next(tmp_path.glob(f"*/{key}.leaf")), (1_000_000 + age, 1_000_000 + age))
    store.tidy({names[0]})
    assert [bool(store.read(key)) for key in names] == [True, False, False, True]


def test_the_switch_turns_it_off_and_it_never_stands_in_the_site(
    guide: Path, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    catalogue = read_catalogue(guide)
    kept = leaf_store(catalogue)
    assert kept is not None
    assert kept.folder == guide.parent / ".cache" / "rigleaf" / "leaves"
    monkeypatch.setenv(SWITCH, "off")
    assert leaf_store(catalogue) is None


def test_every_field_of_a_leaf_is_compared_here() -> None:
    assert {one.name for one in fields(Leaf)} == {"rig", "found", "pages", "files"}
