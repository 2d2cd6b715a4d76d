"""The drop-in fork of MkDocs builds the same guide: should MkDocs 1.x fall, the way out is open."""

import re
from pathlib import Path

import pytest

from tests.conftest import Once, build_guide


@pytest.fixture(scope="module")
def fork_site(once: Once, project: Path) -> Path:
    return once("fork site", lambda folder: build_guide("properdocs", project, folder))


def files_in(site: Path) -> dict[str, Path]:
    return {path.relative_to(site).as_posix(): path for path in site.rglob("*") if path.is_file()}


def text_of(page: Path) -> str:
    """A page's text without the one line that names the program that wrote it."""
    return re.sub(r'<meta name="generator" content="[^"]*">', "", page.read_text("utf-8"))


def test_the_fork_writes_the_same_files(demo_site: Path, fork_site: Path) -> None:
    assert set(files_in(fork_site)) == set(files_in(demo_site))
    assert sum(name.endswith(".html") for name in files_in(fork_site)) > 1


def test_the_fork_writes_the_same_pages(demo_site: Path, fork_site: Path) -> None:
    theirs, ours = files_in(fork_site), files_in(demo_site)
    pages = [name for name in ours if name.endswith((".html", "search_index.json"))]
    assert [name for name in pages if text_of(theirs[name]) != text_of(ours[name])] == []
