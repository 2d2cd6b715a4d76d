"""Files that were read before: whatever is edited, a reading that keeps them says what one from the beginning says."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from rigleaf.catalogue import kept as kept_files
from rigleaf.catalogue import references
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.document import Document, read_document
from rigleaf.catalogue.faults import CatalogueError, Fault
from rigleaf.catalogue.kept import KeptFiles
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.catalogue.shelf import Given, Shelf
from tests.chapters.small_guide import PARTS, RIG
from tests.site.yaml_guide import write_guide


def found(root: Path, kept: KeptFiles | None = None) -> Catalogue | list[Fault]:
    try:
        return read_catalogue(root, kept=kept)
    except CatalogueError as error:
        return list(error.faults)


def replaced(file: str, old: str, new: str) -> Callable[[Path], None]:
    def change(root: Path) -> None:
        text = (root / file).read_text("utf-8")
        assert old in text
        (root / file).write_text(text.replace(old, new), encoding="utf-8")

    return change


def written(file: Path, text: str) -> None:
    file.write_text(text, encoding="utf-8")


MORE_LOANS = "loans: [{parts: [{part: legs}], out: 2026-03-02, due: 2026-03-04}]"
TWICE = "{id: rig, name: Rig, train: [tuba]}"


def copied(root: Path) -> None:
    (root / "twin.yml").write_bytes((root / "second.yml").read_bytes())


EDITS: dict[str, Callable[[Path], None]] = {
    "nothing": lambda _: None,
    "a name": replaced("second.yml", "name: Second", "name: Other"),
    "a key mistyped": replaced("second.yml", "name: Other", "nmae: Other"),
    "and a part that it names gone": replaced("parts/shelf.yml", "id: tube\n", "id: pipe\n"),
    "the key mended": replaced("second.yml", "nmae: Other", "name: Other"),
    "text that is no YAML": replaced("second.yml", "name: Other", "name: [Other"),
    "the text mended": replaced("second.yml", "name: [Other", "name: Other"),
    "the part back": replaced("parts/shelf.yml", "id: pipe\n", "id: tube\n"),
    "a second rig of the same id": copied,
    "the first of them gone": lambda root: (root / "second.yml").unlink(),
    "a loan of what is there": replaced("desk/book.yml", "rig: rig", "rig: second"),
    "that rig gone": lambda root: (root / "twin.yml").unlink(),
    "the loan of what is there again": replaced("desk/book.yml", "rig: second", "rig: rig"),
    "no tripod": replaced("rig.yml", "tripod: legs\n", ""),
    "another loan of the same days": lambda root: written(root / "desk/more.yml", MORE_LOANS),
    "what it takes in the rig, too": replaced("rig.yml", "mount: head\n", "mount: head\ntripod: legs\n"),
    "no tripod again": replaced("rig.yml", "tripod: legs\n", ""),
    "the loan takes what is in the rig": replaced("desk/more.yml", "part: legs", "part: camera"),
    "the other loan gone": lambda root: (root / "desk/more.yml").unlink(),
    "the tripod again": replaced("rig.yml", "mount: head\n", "mount: head\ntripod: legs\n"),
    "a photo that is not there": replaced("parts/shelf.yml", "id: tube\n", "id: tube\n  photo: tube.png\n"),
    "the photo": lambda root: written(root / "tube.png", "any"),
    "the photo gone": lambda root: (root / "tube.png").unlink(),
    "no photo": replaced("parts/shelf.yml", "  photo: tube.png\n", ""),
    "a part of another kind": replaced("parts/shelf.yml", "kind: tripod", "kind: mount"),
    "the kind mended": replaced("parts/shelf.yml", "kind: mount\n  name: Legs", "kind: tripod\n  name: Legs"),
    "the same id twice, with a name that leads nowhere": lambda root: written(root / "two.yml", TWICE),
    "that gone": lambda root: (root / "two.yml").unlink(),
}


def test_whatever_is_edited_the_same_is_read_and_the_same_faults_are_told(tmp_path: Path) -> None:
    desk = {"loans": [{"rig": "rig", "out": "2026-03-01", "due": "2026-03-05"}]}
    second = {"id": "second", "name": "Second", "train": ["tube", "camera"]}
    root = write_guide(tmp_path / "rigs", shelf=PARTS, rigs=[RIG, second], desk=desk)
    kept, faulty = KeptFiles(), 0
    for name, change in EDITS.items():
        change(root)
        for _ in range(2):
            here = found(root, kept)
            assert here == found(root), name
        faulty += isinstance(here, list)
    assert 10 <= faulty < len(EDITS), "both kinds are looked at"


def test_what_holds_is_not_looked_at_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    second = {"id": "second", "name": "Second", "train": ["tube", "camera"]}
    root = write_guide(tmp_path / "rigs", shelf=PARTS, rigs=[RIG, second])
    looked_at: list[str] = []
    check = references._check

    def noted(given: Given, shelf: Shelf) -> None:
        looked_at.append(given.data["id"])
        check(given, shelf)

    monkeypatch.setattr(references, "_check", noted)
    kept = KeptFiles()
    read_catalogue(root, kept=kept)
    assert {"rig", "second", "tube"} <= set(looked_at)
    looked_at.clear()
    replaced("second.yml", "name: Second", "name: Other")(root)
    read_catalogue(root, kept=kept)
    assert looked_at == ["second"]


def test_a_file_that_nobody_touched_is_not_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = write_guide(tmp_path / "rigs")
    opened: list[str] = []

    def noted(path: Path) -> bytes:
        opened.append(path.name)
        return path.read_bytes()

    monkeypatch.setattr(kept_files, "read_bytes", noted)
    kept = KeptFiles()
    read_catalogue(root, kept=kept)
    read_catalogue(root, kept=kept)
    assert opened.count("rig.yml") == 2, "written so shortly before that the next edit may bear the same time"
    monkeypatch.setattr(kept_files, "_COARSE_NS", -1)
    read_catalogue(root, kept=kept)
    opened.clear()
    times = (root / "rig.yml").stat()
    replaced("rig.yml", "name: Rig", "name: Gir")(root)
    os.utime(root / "rig.yml", ns=(times.st_atime_ns, times.st_mtime_ns))
    assert read_catalogue(root, kept=kept).rigs["rig"].name == "Gir", "told by the time of its last change of any kind"
    assert opened == ["rig.yml"]


def test_what_has_not_changed_is_not_parsed_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    second = {"id": "second", "name": "Second", "train": ["tube", "camera"]}
    root = write_guide(tmp_path / "rigs", shelf=PARTS, rigs=[RIG, second])
    parsed: list[str] = []

    def noted(file: str, raw: bytes) -> Document:
        parsed.append(file)
        return read_document(file, raw)

    monkeypatch.setattr(kept_files, "read_document", noted)
    kept = KeptFiles()
    first = read_catalogue(root, kept=kept)
    parsed.clear()
    replaced("second.yml", "name: Second", "name: Other")(root)
    second_time = read_catalogue(root, kept=kept)
    assert parsed == ["second.yml"]
    assert second_time.rigs["rig"] is first.rigs["rig"]
    assert second_time.rigs["second"].name == "Other"


def test_a_sound_file_that_nobody_touched_is_not_parsed_again_for_its_places(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    root, kept = write_guide(tmp_path), KeptFiles()
    first = read_catalogue(root, kept=kept)

    def refuse(*_: object) -> None:
        raise AssertionError("a file is parsed again")

    monkeypatch.setattr("rigleaf.catalogue.document.read_document", refuse)
    monkeypatch.setattr("rigleaf.catalogue.kept.read_document", refuse)
    assert read_catalogue(root, kept=kept).sources == first.sources
