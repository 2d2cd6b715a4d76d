"""A build that fails, is killed or finds the disk full leaves the last site whole; two at once do not mix."""

import errno
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import mkdocs.utils
import pytest
from mkdocs.commands.build import build
from mkdocs.exceptions import Abort, PluginError

from rigleaf.site.links import check_site
from tests.conftest import PROJECT, Once, quiet_environment
from tests.engine.building import FEW_RIG, built, configured, contents, pages, project

HERE = ["docs", "mkdocs.yml", "rigs", "site"]
"""What lies in a project whose site is built, and nothing else."""


def started(folder: Path, *command: str, **environment: str) -> "subprocess.Popen[str]":
    """Start Python with a command in a project; what is empty in the environment is taken out of it."""
    paths = [environment.pop("PYTHONPATH", ""), str(PROJECT), os.environ.get("PYTHONPATH", "")]
    whole = quiet_environment() | environment | {"PYTHONPATH": os.pathsep.join(filter(None, paths))}
    return subprocess.Popen(
        [sys.executable, "-m", *command],
        cwd=folder,
        env={name: value for name, value in whole.items() if value},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


def names(folder: Path) -> list[str]:
    """What a folder lists, but for the cache."""
    return sorted(path.name for path in folder.iterdir() if path.name != ".cache")


def rebuilt(folder: Path, **more: Any) -> None:
    """Build a project as it stands, in this process."""
    config = configured(folder, **more)
    config.plugins.on_startup(command="build", dirty=False)
    try:
        build(config)
    finally:
        config.plugins.on_shutdown()
    assert config.site_dir == str(folder / "site")  # where `mkdocs gh-deploy` looks for it


def renamed(folder: Path, name: str) -> None:
    """Change the guide, so that its site must change."""
    project(folder, guide={"rigs": [{**FEW_RIG, "name": name}]})


@pytest.fixture
def folder(once: Once, tmp_path: Path) -> Path:
    """A project with a site whose guide has been changed since."""
    shutil.copytree(once("small built project", lambda made: [built(made)].clear()), tmp_path, dirs_exist_ok=True)
    (tmp_path / "site" / ".nojekyll").touch()
    renamed(tmp_path, "New")
    return tmp_path


@pytest.mark.skipif(sys.platform == "win32", reason="kills are of POSIX")
def test_a_build_killed_at_the_worst_moment_loses_nothing(folder: Path) -> None:
    """Between two renames, where the system cannot let folders change places at once; `make faults` has the others."""
    site, before = folder / "site", contents(folder / "site")
    child = started(folder, "tests.engine.dying", "one of two renames is done", "rename", "build", "--strict")
    said, _ = child.communicate(timeout=120)
    assert child.returncode == -9, said
    assert not site.exists()
    assert contents(folder / ".site.being-built" / "old") == before
    faulty = folder / "rigs" / "guide.yml"
    text = faulty.read_text()
    faulty.write_text("nmae: Small\n")
    with pytest.raises(Abort):
        rebuilt(folder)
    assert contents(site) == before  # put back by the next build, even one that fails
    faulty.write_text(text)
    rebuilt(folder)
    assert names(folder) == HERE
    assert b"<h1>New</h1>" in (site / "rigs" / "rig" / "index.html").read_bytes()
    assert (site / ".nojekyll").exists()


@pytest.mark.parametrize(("room", "code"), [(0, errno.ENOSPC), (30, errno.EDQUOT)])
def test_a_full_disk_is_told_in_one_sentence(
    room: int, code: int, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, files = contents(folder / "site"), iter(range(room))
    write = mkdocs.utils.write_file

    def full(content: bytes, path: str) -> None:
        if next(files, None) is None:
            Path(path).parent.mkdir(parents=True, exist_ok=True)
            Path(path).write_bytes(content[:5])
            raise OSError(code, os.strerror(code), path)
        write(content, path)

    monkeypatch.setattr(mkdocs.utils, "write_file", full)
    with pytest.raises(PluginError, match=r"no room left on the disk for the new site; '.*site' is as it was"):
        rebuilt(folder)
    assert contents(folder / "site") == before
    assert names(folder) == HERE
    monkeypatch.undo()
    rebuilt(folder)
    assert contents(folder / "site") != before


def test_a_disk_that_is_full_only_when_all_is_written_is_told_too(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: Path) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    before = contents(folder / "site")
    monkeypatch.setattr("rigleaf.site.delivery.publishing._settle", full)
    with pytest.raises(PluginError, match="no room left"):
        rebuilt(folder)
    assert contents(folder / "site") == before
    assert names(folder) == HERE


@pytest.mark.parametrize("text", ["[nowhere](nowhere.md)", "<a href='nowhere.html'>nowhere</a>"])
def test_a_build_that_strictness_or_a_broken_link_fails_is_not_published(text: str, folder: Path) -> None:
    before = contents(folder / "site")
    (folder / "docs" / "page.md").write_text(f"# Page\n\n{text}\n")
    with pytest.raises(Abort):
        rebuilt(folder)
    assert contents(folder / "site") == before
    assert names(folder) == HERE
    (folder / "docs" / "page.md").unlink()


def test_a_build_that_is_broken_off_leaves_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(*_: Any, **__: Any) -> None:
        raise KeyboardInterrupt

    before = contents(folder / "site")
    monkeypatch.setattr("rigleaf.engine.plugin.write_copy_of", interrupt)
    with pytest.raises(KeyboardInterrupt):
        rebuilt(folder)
    assert contents(folder / "site") == before
    assert names(folder) == HERE


def test_two_builds_at_once_do_not_mix(folder: Path) -> None:
    other = (folder / "mkdocs.yml").read_text().replace("Small", "Other")
    (folder / "other.yml").write_text(other)
    both = [started(folder, "mkdocs", "build", "--strict", "-f", name) for name in ("mkdocs.yml", "other.yml")]
    said = [one.communicate(timeout=120)[0] for one in both]
    assert [one.returncode for one in both] == [0, 0], said
    named = {"Other" in (folder / "site" / page).read_text("utf-8") for page in pages(folder / "site")}
    assert len(named) == 1
    assert check_site(folder / "site") == []
    assert names(folder) == [*HERE[:2], "other.yml", *HERE[2:]]


def test_a_site_that_holds_the_guide_is_refused(folder: Path) -> None:
    (folder / "docs" / "index.md").write_text("# Home\n")
    (folder / "site" / "rigs").rename(folder / "site" / "pages")
    (folder / "rigs").rename(folder / "site" / "rigs")
    (folder / "mkdocs.yml").write_text(
        "site_name: Small\ntheme: {name: material}\nplugins: [{rigleaf: {rigs: site/rigs}}]\n"
    )
    with pytest.raises(Abort):
        rebuilt(folder)
    assert (folder / "site" / "rigs" / "guide.yml").exists()


def test_a_docs_folder_that_cannot_be_read_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "docs" / "shut").mkdir()
    scan = os.scandir

    def shut(path: Any) -> Any:
        if str(path).endswith("shut"):
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        return scan(path)

    monkeypatch.setattr(os, "scandir", shut)
    with pytest.raises(Abort):
        rebuilt(folder)


BOOK = {"loans": [{"rig": "rig", "out": "2026-09-01", "due": "2026-09-11", "back": "2026-09-10"}]}


def test_a_build_on_another_day_and_machine_is_the_same_to_the_byte(tmp_path: Path) -> None:
    """Without SOURCE_DATE_EPOCH: the book of loans says which day it is."""
    places = [tmp_path / "here", tmp_path / "another place"]
    others: list[dict[str, str]] = [
        {"PYTHONHASHSEED": "1", "TZ": "UTC", "LC_ALL": "C.UTF-8"},
        {"PYTHONHASHSEED": "2", "TZ": "Pacific/Kiritimati", "LC_ALL": "C", "HOME": str(tmp_path), "USER": "other",
         "PYTHONPATH": str(PROJECT / "tests" / "engine" / "elsewhere"), "ANOTHER_DAY": "500"},
    ]  # fmt: skip
    running = []
    for place, other in zip(places, others, strict=True):
        place.mkdir()
        project(place, site_url="https://club.example/", docs={"docs/note.md": "# Note\n"}, guide={"desk": BOOK})
        running.append(started(place, "mkdocs", "build", "--strict", SOURCE_DATE_EPOCH="", **other))
    said = [one.communicate(timeout=120)[0] for one in running]
    assert [one.returncode for one in running] == [0, 0], said
    one, two = (contents(place / "site") for place in places)
    assert sorted(one) == sorted(two)
    assert [name for name in one if one[name] != two[name]] == []
    assert set(re.findall(b"<lastmod>(.*?)</lastmod>", one["sitemap.xml"])) == {b"2026-09-10"}
    assert int.from_bytes(one["sitemap.xml.gz"][4:8], "little") == 1788998400  # of that day, by the gzip header


def test_a_guide_without_any_date_gives_its_pages_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH")
    site = built(tmp_path, site_url="https://club.example/", theme={"name": "mkdocs"}, plugins=["rigleaf"])
    sitemap = (site / "sitemap.xml").read_text()
    assert "rigs/rig/</loc>" in sitemap
    assert "lastmod" not in sitemap
    assert "Build Date UTC : 1980-01-01" in (site / "index.html").read_text()  # where this theme alone writes one
