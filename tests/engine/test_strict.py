"""What MkDocs builds is fit for a strict policy, tells what it ships, and takes names from mkdocs.yml as text."""

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
from lxml import html
from mkdocs.exceptions import Abort

from rigleaf.site.delivery.inventory import INVENTORY, components
from rigleaf.site.delivery.policy import page_policy
from rigleaf.site.delivery.static_files import static_files
from tests.engine.building import built, configured, contents, plugin_of, project

PAGE = """# By hand

| a | b |
|---|--:|
| 1 | 2 |

<script>window.mine = 1</script>
<style>h1 { color: red }</style>
"""
NAME = "<script>alert(1)</script></title><b title=\"'> & A"
META = "//meta[@http-equiv='Content-Security-Policy']/@content"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built(
        tmp_path_factory.mktemp("strict"),
        docs={"docs/hand.md": PAGE, "docs/own.js": "1"},
        markdown_extensions=["tables"],
        site_name=NAME,
        site_description=NAME,
        site_author=NAME,
        site_url="https://club.example/guide/",
        repo_url="https://code.example/club",
        repo_name=NAME,
        extra_javascript=["own.js"],
    )


def trees(site: Path) -> dict[str, Any]:
    pages = {path: path.read_bytes() for path in site.rglob("*.html") if "copies" not in path.parts}
    return {path.relative_to(site).as_posix(): html.document_fromstring(page) for path, page in pages.items()}


def test_no_page_holds_a_script_or_a_style(site: Path) -> None:
    found = trees(site)
    assert {"404.html", "hand/index.html", "rigs/rig/index.html"} <= set(found)
    for name, tree in found.items():
        scripts = tree.xpath("//script[not(@src) and not(@type='application/json')]")
        assert [script.text for script in scripts] == [], name
        assert tree.xpath("//style | //@style | //@*[starts-with(name(), 'on')]") == [], name


def test_what_people_write_by_hand_works_from_files(site: Path) -> None:
    tree = trees(site)["hand/index.html"]
    sources = [src for src in tree.xpath("//script/@src | //link/@href") if "/inline/" in src]
    held = [(site / "hand" / src).resolve().read_text("utf-8") for src in sources]
    assert "window.mine = 1" in held
    assert "h1 { color: red }" in held
    assert any("text-align: right" in text for text in held)


def test_names_are_text_everywhere(site: Path) -> None:
    for name, tree in trees(site).items():
        assert tree.xpath("count(//head//title)") == 1, name
        assert NAME in tree.xpath("string(//head/title)"), name
        assert not [script for script in tree.iter("script") if "alert" in (script.text or "")], name
        assert not tree.xpath("//b[@title]"), name
        assert set(tree.xpath("//meta[@name='author']/@content")) == {NAME}, name
        assert set(tree.xpath("//meta[@property='og:site_name']/@content")) <= {NAME}, name
    assert trees(site)["index.html"].xpath("//meta[@property='og:site_name']")


def test_every_file_that_is_not_the_guides_own_stands_in_the_list(demo_site: Path) -> None:
    listed = {
        file["name"]: file["hashes"][0]["content"]
        for one in json.loads((demo_site / INVENTORY).read_text("utf-8"))["components"]
        for file in one.get("components", ())
    }
    shipped = contents(demo_site)
    assert {name: hashlib.sha256(shipped[name]).hexdigest() for name in listed} == listed
    patterns = [pattern.rstrip("*") for one in components() for pattern in one.files]
    own = {path for path in static_files() if not path.startswith(tuple(patterns))}
    own |= {"_headers", ".htaccess", "404.html", "sitemap.xml", "sitemap.xml.gz", "assets/favicon.svg"}
    made = (
        "field-copy.", "search/", "assets/how/", "assets/beside", "assets/bundles/", "assets/copies/",
        "assets/previews/", "assets/mosaics/", "assets/photos/", "assets/calendars/", "assets/hosting/", INVENTORY,
    )  # fmt: skip
    rest = {name for name in shipped if not name.endswith(".html") and name not in own and not name.startswith(made)}
    assert rest - set(listed) == set()


def test_the_list_names_a_licence_for_everything(demo_site: Path) -> None:
    shipped = json.loads((demo_site / INVENTORY).read_text("utf-8"))["components"]
    assert {"mkdocs-material", "lunr", "rxjs", "Literata", "OpenNGC"} <= {one["name"] for one in shipped}
    assert [one["name"] for one in shipped if "id" not in one["licenses"][0]["license"]] == []
    texts = {one["name"] for one in shipped if "text" in one["licenses"][0]["license"]}
    assert texts >= {"mkdocs-material", "iframe-worker", "Literata"}


def test_maps_of_sources_and_languages_that_nobody_searches_in_stay_behind(demo_site: Path, tmp_path: Path) -> None:
    assert not [name for name in contents(demo_site) if name.endswith(".map") or "/lunr/" in name]
    german = contents(built(tmp_path, plugins=[{"search": {"lang": ["en", "de"]}}, "rigleaf"]))
    assert "assets/javascripts/lunr/min/lunr.de.min.js" in german
    assert '"lunr-languages"' in german[INVENTORY].decode("utf-8")


def test_pages_say_the_policy_where_that_is_asked_for(site: Path, tmp_path: Path) -> None:
    assert {name for name, tree in trees(site).items() if tree.xpath(META)} == set()
    told = trees(built(tmp_path, plugins=["search", {"rigleaf": {"policy": "pages"}}]))
    assert {tuple(tree.xpath(META)) for tree in told.values()} == {(page_policy(),)}
    assert all(tree.xpath("name(//head/*[1])") == "meta" for tree in told.values())


def test_where_a_server_loads_pages_again_after_an_edit_none_forbids_it(tmp_path: Path) -> None:
    config = configured(project(tmp_path, plugins=[{"rigleaf": {"policy": "pages"}}]))
    config.plugins.on_startup(command="serve", dirty=False)
    config.plugins.on_config(config)
    assert not plugin_of(config).strict.in_pages


@pytest.mark.parametrize(
    ("option", "words"),
    [
        ({"rigs": ["rigs"]}, "option 'rigs': it is the name of a folder, not ['rigs']"),
        ({"rigs": "x" * 5000}, f"option 'rigs': no folder can have the name '{'x' * 49}...'"),
        ({"rigs": "/"}, "option 'rigs': it is the folder of the YAML, not that of the whole machine"),
        ({"field_copy": True}, "option 'field_copy': it is one of auto, whole, rigs, off, not True"),
        ({"field_copy": {"a": 1}}, "option 'field_copy': it is one of auto, whole, rigs, off, not {'a': 1}"),
        ({"policy": "lax"}, "option 'policy': it is one of headers, pages, not 'lax'"),
    ],
)
def test_an_absurd_option_is_one_clear_fault(
    option: dict[str, Any], words: str, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    project(tmp_path, plugins=["search", {"rigleaf": option}])
    with pytest.raises(Abort):
        configured(tmp_path)
    assert [words in record.message for record in caplog.records if record.levelname == "ERROR"] == [True]


def test_off_is_a_word_although_yaml_has_it_for_a_truth_value(tmp_path: Path) -> None:
    project(tmp_path)
    config = tmp_path / "mkdocs.yml"
    config.write_text(
        "site_name: S\ntheme: {name: material}\nplugins:\n- rigleaf:\n    field_copy: off\n", encoding="utf-8"
    )
    assert configured(tmp_path).plugins["rigleaf"].config["field_copy"] == "off"
