"""A large guide is read in a copy of the process, and nobody sees a difference."""

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml
from mkdocs.commands.build import build
from mkdocs.exceptions import Abort
from PIL import Image

from rigleaf import processes
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.engine import plugin as engine
from rigleaf.engine import preparing, scribes
from rigleaf.processes import apart
from rigleaf.site.book import make_book
from tests.engine.building import configured, contents, project
from tests.engine.edits import GUIDE, Server

copied = pytest.mark.skipif(sys.platform != "linux", reason="only where processes are copied")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A guide in a process that may be copied, though other tests may have left it with threads."""
    if sys.platform == "linux":
        monkeypatch.setattr(processes, "may_be_copied", lambda: True)
    (tmp_path / "rigs" / "photos").mkdir(parents=True)
    Image.new("RGB", (40, 30), "red").save(tmp_path / "rigs" / "photos" / "tube.png")
    shelf = {**GUIDE["shelf"], "tube": {**GUIDE["shelf"]["tube"], "photo": "photos/tube.png"}}
    return project(tmp_path, guide={**GUIDE, "shelf": shelf}, docs={"docs/help.md": "# Help\n\n[One](rigs/rig.md)\n"})


def site_of(folder: Path, name: str = "site", **settings: Any) -> dict[str, bytes]:
    config = configured(folder, **settings)
    config.site_dir = str(folder / name)
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    config.plugins.on_shutdown()
    return contents(folder / name)


def readers(monkeypatch: pytest.MonkeyPatch) -> Path:
    """Note in which processes the guide is read; return the file."""
    noted = Path("readers").absolute()

    def note(*given: Any, **more: Any) -> Any:
        with noted.open("a") as file:
            file.write(f"{os.getpid()}\n")
        return read_catalogue(*given, **more)

    monkeypatch.setattr(engine, "read_catalogue", note)
    return noted


@copied
def test_the_site_of_a_guide_that_is_read_apart_is_the_same(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    address = {"site_url": "https://club.example/guide/"}
    here = site_of(folder, "here", **address)
    noted = readers(monkeypatch)
    monkeypatch.setattr(preparing, "LARGE", 0)
    assert site_of(folder, "apart", **address) == here
    assert {name for name in here if "photos/" in name}, "photos are made apart, too"
    assert site_of(folder, "apart", **address) == here, "on top of a site that is there"
    assert set(noted.read_text().split()).isdisjoint({str(os.getpid())})


@copied
def test_pages_that_are_framed_apart_are_the_same(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked, whole = [], site_of(folder, "here")

    def made(make: Callable[[], Any]) -> Any:
        asked.append(make)
        return apart(make)

    monkeypatch.setattr(scribes, "LARGE", 2_000)
    monkeypatch.setattr(scribes, "apart", made)
    assert site_of(folder, "apart") == whole
    assert 0 < len(asked) < len([name for name in whole if name.endswith(".html")])


@copied
def test_faults_of_a_guide_that_is_read_apart_are_told_as_ever(
    folder: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    rig = folder / "rigs" / "wide.yml"
    rig.write_text(yaml.safe_dump({**yaml.safe_load(rig.read_text()), "mount": "hed"}), encoding="utf-8")

    def told() -> list[str]:
        caplog.clear()
        with pytest.raises(Abort):
            site_of(folder)
        return [record.getMessage() for record in caplog.records]

    here = told()
    monkeypatch.setattr(preparing, "LARGE", 0)
    assert told() == here
    assert "did you mean 'head'?" in "\n".join(here)
    assert not (folder / "site").exists()


@copied
def test_a_copy_that_is_killed_leaves_the_work_to_this_process(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole, here = site_of(folder, "here"), os.getpid()

    def die(*given: Any, **more: Any) -> Any:
        if os.getpid() != here:
            os._exit(9)
        return make_book(*given, **more)

    monkeypatch.setattr(preparing, "LARGE", 0)
    monkeypatch.setattr(engine, "make_book", die)
    assert site_of(folder) == whole


def test_what_a_server_reads_it_keeps(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Or it would have to read all of it again after an edit."""
    monkeypatch.setattr(preparing, "LARGE", 0)
    monkeypatch.chdir(tmp_path)
    noted = readers(monkeypatch)
    server = Server(folder, folder / "site")
    server.build()
    assert set(noted.read_text().split()) == {str(os.getpid())}
    assert server.plugin.catalogue is not None
