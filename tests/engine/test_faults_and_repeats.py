"""What stops a build and leaves the last site as it was, and builds that repeat to the byte."""

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import quiet_environment
from tests.engine.building import built, contents, project


def mkdocs(folder: Path, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run `mkdocs build` as people do."""
    return subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", *arguments],
        cwd=folder,
        env=quiet_environment() | environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


def test_faults_are_all_told_without_a_traceback_and_the_last_site_stays(tmp_path: Path) -> None:
    site = built(tmp_path)
    before = contents(site)
    (tmp_path / "rigs" / "guide.yml").write_text("name: Small guide\nunit: metric\n")
    (tmp_path / "rigs" / "rig.yml").write_text("id: rig\nname: Rig\ntrain: [tubb]\n")
    done = mkdocs(tmp_path, "--strict")
    said = done.stdout + done.stderr
    assert done.returncode == 1
    assert "the guide has 2 faults:" in said
    assert "rigs/guide.yml:2:1: " in said
    assert "did you mean 'units'?" in said
    assert "rigs/rig.yml:3:" in said
    assert "did you mean 'tube'?" in said
    assert "Traceback" not in said
    assert contents(site) == before


def test_a_fault_is_named_from_where_one_stands(tmp_path: Path) -> None:
    project(tmp_path / "deep" / "club")
    (tmp_path / "deep" / "club" / "rigs" / "guide.yml").write_text("name: Small guide\nunit: metric\n")
    done = mkdocs(tmp_path, "--config-file", "deep/club/mkdocs.yml")
    assert "the guide has 1 fault:" in done.stderr
    assert "deep/club/rigs/guide.yml:2:1: " in done.stderr
    other = tmp_path / "other"
    other.mkdir()
    done = mkdocs(other, "--config-file", "../deep/club/mkdocs.yml")
    assert "../deep/club/rigs/guide.yml:2:1: " in done.stderr


@pytest.mark.parametrize(
    ("option", "words"),
    [
        ("nowhere", "the option 'rigs' of the plugin names the folder of YAML"),
        (5, "'rigs'"),
    ],
)
def test_a_wrong_option_is_named_and_nothing_is_touched(option: Any, words: str, tmp_path: Path) -> None:
    site = project(tmp_path, plugins=[{"rigleaf": {"rigs": option}}]) / "site"
    site.mkdir()
    (site / "index.html").write_text("the last site")
    done = mkdocs(tmp_path)
    assert done.returncode == 1
    assert words in done.stderr
    assert "Traceback" not in done.stdout + done.stderr
    assert contents(site) == {"index.html": b"the last site"}


def test_a_mistyped_option_is_told(tmp_path: Path) -> None:
    project(tmp_path, plugins=["search", {"rigleaf": {"rig": "rigs"}}])
    done = mkdocs(tmp_path, "--strict")
    assert done.returncode == 1
    assert "Unrecognised configuration name: rig" in done.stderr


def test_an_empty_folder_is_a_fault_and_no_traceback(tmp_path: Path) -> None:
    project(tmp_path, plugins=[{"rigleaf": {"rigs": "empty"}}])
    (tmp_path / "empty").mkdir()
    done = mkdocs(tmp_path)
    assert done.returncode == 1
    assert "there is no YAML in 'empty'" in done.stderr
    assert "Traceback" not in done.stderr


SOURCES = ("docs", "overrides", "rigs")
"""Folders that the demo's mkdocs.yml builds from."""


def test_the_demo_repeats_to_the_byte_wherever_it_lies_and_whatever_the_order_of_sets(
    demo_site: Path, project: Path, tmp_path: Path
) -> None:
    copy = tmp_path / "another place" / "of another name"
    for folder in SOURCES:
        shutil.copytree(project / folder, copy / folder, copy_function=shutil.copyfile)  # with new dates
    shutil.copyfile(project / "mkdocs.yml", copy / "mkdocs.yml")
    done = mkdocs(copy, "--strict", "--site-dir", str(tmp_path / "again"), PYTHONHASHSEED="4711")
    assert done.returncode == 0, done.stderr
    one, two = contents(demo_site), contents(tmp_path / "again")
    assert sorted(one) == sorted(two)
    assert [name for name in one if one[name] != two[name]] == []


def test_no_page_holds_a_date_or_a_path_of_this_machine(demo_site: Path, project: Path) -> None:
    needles = [os.fsencode(project), os.fsencode(Path.home()), os.fsencode(demo_site)]
    for name, content in contents(demo_site).items():
        assert [needle for needle in needles if needle in content and needle != b"/"] == [], name
