"""Search in pieces: what is written, how much of it a phone fetches, and what is said where it cannot be."""

import gzip
import importlib.util
import json
import logging
import sys
from pathlib import Path
from typing import Any

import pytest
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError

from rigleaf.engine import split_search
from rigleaf.engine.split_search import is_installed, told_of_size, write_split
from rigleaf.site.delivery.policy import page_policy
from rigleaf.site.offline_files import SPLIT
from tests.bench.search_records import records
from tests.conftest import skip_or_fail
from tests.engine.building import built, configured, contents, project

IN_PIECES: dict[str, Any] = {"plugins": ["search", {"rigleaf": {"search": "split"}}]}


BY_HAND = {"docs/bücher & co.md": "# Books\n\nRead.\n\n## Old ones\n\nReread &amp; &lt;keep&gt;.\n"}


def need_pagefind() -> None:
    """Skip where there is not what makes the pieces: a guide that does not ask for them need not have it."""
    if not is_installed():
        skip_or_fail("pagefind is not installed: pip install 'rigleaf[search]'")


def started(folder: Path, **settings: Any) -> MkDocsConfig:
    config = configured(project(folder, **settings))
    config.plugins.on_startup(command="build", dirty=False)
    return config


def test_a_phone_fetches_less_than_200_kb_for_a_question(tmp_path: Path) -> None:
    """Of 300 rigs and their shelf, one typed word in thirty characters with three lists of ten pages on the way."""
    need_pagefind()
    found = records(300)
    assert len(found) > 1000
    write_split(tmp_path, found, "en")
    pieces = tmp_path / SPLIT

    def sizes(pattern: str) -> list[int]:
        return sorted((path.stat().st_size for path in pieces.glob(pattern)), reverse=True)

    program = len(gzip.compress((pieces / "pagefind.js").read_bytes()))  # the others are packed already
    once = program + sum(sizes("wasm.en.*") + sizes("*.pf_meta") + sizes("pagefind-entry.json"))
    assert sizes("wasm.en.*")
    assert sizes("*.pf_meta")
    assert len(sizes("fragment/*")) == len(found)
    assert len(sizes("index/*")) > 8, "it is not one piece that a search has to fetch whole"
    assert once < 120_000
    assert once + sum(sizes("index/*")[:2]) + sum(sizes("fragment/*")[:30]) < 200_000


def test_pieces_are_the_same_each_time_and_nothing_else_comes_along(tmp_path: Path) -> None:
    need_pagefind()
    some = records(3)
    for name in ("one", "two"):
        write_split(tmp_path / name, some, "en")
    assert contents(tmp_path / "one") == contents(tmp_path / "two")
    beside = {path.name.split(".")[0] for path in (tmp_path / "one" / SPLIT).iterdir()}
    assert beside == {"pagefind", "pagefind-entry", "wasm", "index", "fragment"}


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small guide that is searched in pieces, whose pages say their policy, with a page written by hand."""
    need_pagefind()
    plugins = ["search", {"rigleaf": {"search": "split", "policy": "pages"}}]
    return built(tmp_path_factory.mktemp("split"), docs=BY_HAND, use_directory_urls=False, plugins=plugins)


def check_addresses(site: Path) -> list[dict[str, Any]]:
    """Return what the pieces say of each page, each under the address that the whole index has."""
    whole = json.loads((site / "search" / "search_index.json").read_text("utf-8"))["docs"]
    found: list[dict[str, Any]] = [
        json.loads(gzip.decompress(path.read_bytes()).removeprefix(b"pagefind_dcd"))
        for path in (site / SPLIT / "fragment").iterdir()
    ]
    assert {one["url"].removeprefix("/") for one in found} == {one["location"].partition("#")[0] for one in whole}
    return found


def test_every_page_that_is_sought_has_its_piece_under_its_address(site: Path) -> None:
    books = next(one for one in check_addresses(site) if one["meta"]["title"] == "Books")
    assert [anchor["id"] for anchor in books["anchors"]] == ["old-ones"]
    assert "Reread & <keep>." in books["content"]


def test_addresses_may_end_in_folders(tmp_path: Path) -> None:
    need_pagefind()
    check_addresses(built(tmp_path, docs=BY_HAND, **IN_PIECES))


def test_only_where_search_is_in_pieces_may_pages_run_webassembly(site: Path) -> None:
    assert page_policy(assembly=True).replace(" 'wasm-unsafe-eval'", "") == page_policy()
    assert "script-src 'self' 'wasm-unsafe-eval';" in (site / "_headers").read_text()
    page = (site / "index.html").read_text("utf-8")
    assert f'content="{page_policy(assembly=True)}"' in page
    assert page.index("split-search.js") < page.index("assets/javascripts/bundle"), "it must come before the theme's"


def test_a_copy_of_the_whole_guide_has_the_pieces_and_not_the_whole_index(site: Path) -> None:
    listing = json.loads((site / "field-copy.json").read_text("utf-8"))
    paths = list(listing["files"])
    there = {path.relative_to(site).as_posix() for path in (site / SPLIT).rglob("*") if path.is_file()}
    assert there <= set(paths)
    assert not {path for path in paths if path.startswith("search/")} - there
    assert not {paths[number] for number in listing["frame"]} & there, "who keeps some rigs fetches no thousand pieces"
    assert (site / "search" / "search_index.json").is_file(), "pages opened from a folder search in it"


@pytest.mark.parametrize(
    ("settings", "installed", "said"),
    [
        (IN_PIECES | {"theme": {"name": "mkdocs"}}, True, "needs the theme 'material' and its plugin 'search'"),
        ({"plugins": [{"rigleaf": {"search": "split"}}]}, True, "needs the theme 'material' and its plugin 'search'"),
        (IN_PIECES, False, "needs one more package: pip install 'rigleaf[search]'"),
    ],
)
def test_what_is_missing_is_said_before_anything_is_built(
    settings: dict[str, Any], installed: bool, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(split_search, "is_installed", lambda: installed)
    config = started(tmp_path, **settings)
    with pytest.raises(PluginError) as told:
        config.plugins.on_config(config)
    assert str(told.value) == f"'search: split' of the plugin rigleaf {said}"


def test_half_of_what_it_needs_is_not_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The package without its program, as `pip install pagefind` leaves it."""
    theirs = importlib.util.find_spec
    for there in ({"pagefind"}, {"pagefind_bin"}, set()):
        monkeypatch.setattr(
            split_search, "find_spec", lambda name, there=there: theirs("json") if name in there else None
        )
        assert not is_installed()


def test_what_the_program_says_is_passed_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/bin/false")
    with pytest.raises(PluginError, match="pagefind could not make the pieces of the index"):
        write_split(tmp_path, records(1), "en")


def test_a_large_index_is_told_with_its_cure(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    assert told_of_size(records(20)) == ""
    monkeypatch.setattr(split_search, "LARGE", 1_000)
    with caplog.at_level(logging.INFO, "mkdocs.plugins.rigleaf"):
        whole = built(tmp_path)
    assert not (whole / SPLIT).exists()
    assert "split-search.js" not in (whole / "index.html").read_text("utf-8")
    assert "wasm" not in (whole / "_headers").read_text()
    assert "kB before it can search; with the option 'search: split' of the plugin rigleaf" in caplog.text
