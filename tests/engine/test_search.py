"""Search: one short record a page through the theme's own list, and the same words when that list is gone."""

import html
import io
import json
import re
from collections import Counter
from pathlib import Path

import pytest
from mkdocs.exceptions import PluginError

from rigleaf.engine import plugin as engine
from rigleaf.engine import search
from tests.conftest import PROJECT
from tests.engine.building import built, configured, contents, pages, plugin_of, project, records


def words(text: str) -> Counter[str]:
    """The words that a search finds, whatever markup is around them."""
    return Counter(re.findall(r"\w+", html.unescape(re.sub(r"<[^>]*>", " ", text)).casefold()))


def test_the_pinned_theme_has_the_list_that_we_append_to(tmp_path: Path) -> None:
    """Fails when a new release of the theme hides it: then the guide falls back, and this should be looked into."""
    config = configured(project(tmp_path))
    config.plugins.on_startup(command="build", dirty=False)
    config.plugins.on_config(config)
    assert search.record_list(config) == []


def test_there_is_one_record_for_each_page_but_labels_and_it_is_small(tmp_path: Path) -> None:
    site = built(tmp_path, use_directory_urls=False)
    found = Counter(record["location"] for record in records(site))
    unsought = {
        "rigs/rig/labels.html",
        "rigs/rig/lids.html",
        "rigs/rig/card.html",
        "rigs/rig/hand-over.html",
    }  # the rig's page leads to them
    assert set(found) == pages(site) - unsought
    assert unsought < pages(site)
    assert set(found.values()) == {1}
    assert (site / "search" / "search_index.json").stat().st_size < 2000 * len(found)


def test_the_demos_index_is_small(demo_site: Path) -> None:
    """Of what the guide makes; pages written by hand stand in it with every word."""
    by_hand = {path.with_suffix(".html").name for path in (PROJECT / "docs").glob("*.md")}
    found = [record for record in records(demo_site) if record["location"].partition("#")[0] not in by_hand]
    assert len(found) > 200
    assert len(json.dumps(found, ensure_ascii=False).encode()) < 200_000


@pytest.mark.parametrize("theirs", ['{"config":{},"docs":[]}', '{"docs": [\n  {"location": "a"}\n ]\n}\n'])
def test_our_records_stand_behind_theirs_however_those_are_written(theirs: str) -> None:
    ours = [{"location": "b", "title": "Größe ]}"}, {"location": "c"}]
    found = io.BytesIO()
    search._add(found, theirs.encode(), ours)
    whole = json.loads(theirs)
    assert json.loads(found.getvalue()) == {**whole, "docs": whole["docs"] + ours}


def test_an_index_without_a_list_at_its_end_is_refused() -> None:
    with pytest.raises(PluginError, match=r"the index ends with b'\{\}'"):
        search._add(io.BytesIO(), b"{}", [])


COUNTS = """
import json, pathlib
def on_post_build(config, **_):
    index = pathlib.Path(config.site_dir, "search", "search_index.json")
    pathlib.Path("counted").write_text(str(len(json.loads(index.read_text())["docs"])))
"""


@pytest.mark.parametrize("plugins", [["search", "offline", "rigleaf"], ["rigleaf", "offline", "search"]])
def test_the_index_has_the_bytes_that_the_theme_would_have_written(
    plugins: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And whoever looks at it after the theme's plugin sees all of it, unless ours has its turn before that."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "counts.py").write_text(COUNTS, encoding="utf-8")
    help_page = {"docs/setting-up.md": "# Setting up\n\nLevel the tripod.\n"}
    site = built(tmp_path, docs=help_page, plugins=plugins, hooks=["counts.py"])
    text = (site / "search" / "search_index.json").read_text("utf-8")
    docs = json.loads(text)["docs"]
    assert text == json.dumps(json.loads(text), separators=(",", ":"))
    assert len({doc["location"] for doc in docs}) == len(docs) > 10
    assert (site / "search" / "search_index.js").read_text("utf-8") == f"var __index = {text}"
    assert {path.name for path in (site / "search").iterdir()} == {"search_index.json", "search_index.js"}
    assert (tmp_path / "counted").read_text() == str(len(docs) if plugins[0] == "search" else 1)


def test_other_plugins_may_change_what_front_matter_says(tmp_path: Path) -> None:
    """As one that ships with the theme does, which copies all of it."""
    hook = "def on_page_markdown(markdown, page, **_):\n    page.meta['hide'].append('footer')\n"
    (tmp_path / "hides.py").write_text(hook, encoding="utf-8")
    site = built(tmp_path, plugins=["search", "meta", "rigleaf"], hooks=["hides.py"])
    assert len(records(site)) > 10


def test_hand_written_pages_are_found_by_their_sections(tmp_path: Path) -> None:
    text = "# Setting up\n\nLevel the tripod.\n\n## In the cold\n\nGloves.\n"
    site = built(tmp_path, docs={"docs/setting-up.md": text}, use_directory_urls=False)
    found = {record["location"]: record["text"] for record in records(site)}
    assert "Level the tripod." in found["setting-up.html"]
    assert "Gloves." in found["setting-up.html#in-the-cold"]


def test_without_the_list_the_same_words_are_found_and_articles_stay_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    curated = built(tmp_path / "curated", use_directory_urls=False)
    monkeypatch.setattr(engine, "record_list", lambda _: None)
    fallen_back = built(tmp_path / "fallback", use_directory_urls=False)
    texts = [
        {
            record["location"]: words(f"{record['title']} {record['text']}")
            for record in records(site)
            if "#" not in record["location"]
        }
        for site in (curated, fallen_back)
    ]
    assert set(texts[0]) == set(texts[1])
    for location, found in texts[0].items():
        assert set(found) <= set(texts[1][location]), location
    ours, theirs = contents(curated), contents(fallen_back)
    changed = {name for name in ours if ours[name] != theirs[name]}
    assert changed <= {name for name in ours if name.startswith(("search/", "field-copy.")) or name.endswith(".gz")}


def test_the_list_is_found_gone_when_the_theme_hides_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    config = configured(project(tmp_path))
    config.plugins.on_startup(command="build", dirty=False)
    config.plugins.on_config(config)
    theirs = config.plugins["material/search"]
    monkeypatch.setattr(theirs, "search_index", object())
    assert search.record_list(config) is None
    monkeypatch.delattr(theirs, "search_index")
    assert search.record_list(config) is None


def test_mkdocs_own_search_finds_the_words_too(tmp_path: Path) -> None:
    site = built(tmp_path, theme={"name": "mkdocs"}, plugins=["search", "rigleaf"], use_directory_urls=False)
    found = {record["location"]: words(f"{record['title']} {record['text']}") for record in records(site)}
    assert {"rig", "galaxies", "384", "tube", "reducer"} <= set(found["rigs/rig.html"])
    assert "focal" in found["parts/tube.html"]


def test_a_rig_counts_more_than_a_page_that_mentions_it(tmp_path: Path) -> None:
    site = built(tmp_path, use_directory_urls=False)
    boosts = {record["location"]: record.get("boost", 1) for record in records(site)}
    assert boosts["rigs/rig.html"] > boosts["parts/tube.html"] >= boosts["method/scale-and-field.html"]


def test_records_are_written_once_in_each_build_of_a_server(tmp_path: Path) -> None:
    """`mkdocs serve` keeps the plugin and builds again and again."""
    from mkdocs.commands.build import build

    folder = project(tmp_path, use_directory_urls=False)
    counts = []
    for _ in range(2):
        config = configured(folder)
        config.plugins.on_startup(command="serve", dirty=False)
        build(config, serve_url="http://127.0.0.1:8000/")
        counts.append(len(records(folder / "site")))
        assert sum(page.record.sought for page in plugin_of(config).pages) == counts[-1]
    assert counts[0] == counts[1]
