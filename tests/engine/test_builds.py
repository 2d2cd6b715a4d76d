"""Builds of tiny guides under the settings that people choose."""

import json
import logging
from pathlib import Path
from typing import Any

import pytest
from lxml import html
from mkdocs.commands.build import build
from mkdocs.exceptions import Abort, PluginError
from PIL import Image

from rigleaf.chapters.register import chapters
from rigleaf.site.book import SECTIONS
from rigleaf.site.links import check_site
from tests.engine.building import FEW, FEW_RIG, built, configured, contents, pages, project, records
from tests.site.pictures import TRACE, picture
from tests.site.yaml_guide import write_guide

OURS = {
    "index", "rigs/index", "rigs/rig", "rigs/rig/card", "rigs/rig/hand-over", "rigs/rig/labels", "rigs/rig/lids",
    "shelf/index", "shelf/optic", "shelf/corrector", "shelf/camera",
    "shelf/mount", "parts/tube", "parts/reducer", "parts/camera", "parts/head", "method/index", "safety/index",
    "flight/index", "claimed/index", "about/index", "reference/index", "away/index", "terms/index",
    "compare/index",
    *(f"method/{chapter.id}" for chapter in chapters()),
}  # fmt: skip


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site of the guide of four parts with addresses of files and no other setting."""
    return built(tmp_path_factory.mktemp("plain"), use_directory_urls=False)


def tree(page: Path) -> Any:
    return html.parse(str(page), html.HTMLParser(encoding="utf-8")).getroot()


def as_folders(addresses: set[str]) -> set[str]:
    return {f"{address.removesuffix('index').rstrip('/')}/index.html".lstrip("/") for address in addresses}


@pytest.mark.parametrize("folders", [True, False])
@pytest.mark.parametrize("theme", ["material", "mkdocs", "readthedocs"])
def test_every_theme_and_both_styles_of_address(folders: bool, theme: str, tmp_path: Path) -> None:
    site = built(tmp_path, theme={"name": theme}, use_directory_urls=folders, plugins=["search", "rigleaf"])
    assert pages(site) - {"search.html"} == (as_folders(OURS) if folders else {f"{address}.html" for address in OURS})
    article = tree(site / ("rigs/rig/index.html" if folders else "rigs/rig.html"))
    assert [heading.text_content() for heading in article.xpath("//h1")][-1:] == ["Rig"]
    assert article.xpath("//*[@id='scale-and-field-sampling']")
    assert article.xpath("//link[contains(@href, 'assets/rigleaf/tokens.css')]"), "our sheets are asked for"


@pytest.mark.parametrize(
    "plugins", [["rigleaf"], ["rigleaf", "search"], ["search", "offline", "rigleaf"], ["search", "tags", "rigleaf"]]
)
def test_other_plugins_may_be_there_or_not(plugins: list[str], tmp_path: Path) -> None:
    site = built(tmp_path, plugins=plugins)
    found = pages(site)
    assert len(found) == len(OURS)
    assert (site / "search" / "search_index.json").exists() == ("search" in plugins)


SCRIPT = "//script[contains(@src, 'assets/rigleaf/field-copy.js')]"


@pytest.mark.parametrize(("option", "whole"), [("auto", True), ("whole", True), ("rigs", False)])
def test_a_field_copy_is_listed_and_asked_for(option: str, whole: bool, tmp_path: Path) -> None:
    site = built(tmp_path, plugins=["search", {"rigleaf": {"field_copy": option}}])
    listing = json.loads((site / "field-copy.json").read_text("utf-8"))
    assert listing["whole"] is whole
    assert set(listing["files"]) >= pages(site) | {"search/search_index.json", "assets/rigleaf/tokens.css"}
    assert tree(site / "rigs/rig/index.html").xpath(SCRIPT)


@pytest.mark.parametrize(("option", "command"), [("off", "build"), ("auto", "serve")])
def test_there_is_no_field_copy_where_it_is_off_nor_on_the_development_server(
    option: str, command: Any, tmp_path: Path
) -> None:
    config = configured(project(tmp_path, plugins=["search", {"rigleaf": {"field_copy": option}}]))
    config.plugins.on_startup(command=command, dirty=False)
    build(config)
    site = tmp_path / "site"
    assert not (site / "field-copy.json").exists()
    assert "unregister" in (site / "field-copy.js").read_text("utf-8"), "what an earlier build stored goes away"
    page = tree(site / "rigs/rig/index.html")
    assert not page.xpath(SCRIPT)
    (door,) = page.xpath("//ul[@class='rl-doors']//a[contains(@href, 'away')]/@href")
    assert door.endswith("/away/#folder")
    away = tree(site / "away/index.html")
    assert away.xpath("//article//*[@id='folder']")
    assert not away.xpath("//*[@data-rl-away] | //*[@data-rl-away-plain] | //script[contains(@src, 'away.js')]")


def test_a_search_that_is_switched_off_is_no_trouble(tmp_path: Path) -> None:
    site = built(tmp_path, plugins=[{"search": {"enabled": False}}, "rigleaf"])
    assert len(pages(site)) == len(OURS)


def test_the_navigation_holds_the_sections_and_not_every_page(tmp_path: Path) -> None:
    site = built(
        tmp_path,
        docs={"docs/setting-up.md": "# Setting up\n", "docs/deep/er.md": "# Deeper\n"},
        use_directory_urls=False,
    )
    links = [a.text_content().strip() for a in tree(site / "index.html").xpath("//nav[contains(@class, 'md-tabs')]//a")]
    titles = [section.title for section in SECTIONS if section.address in OURS]
    assert [link for link in links if link in titles] == titles
    assert "Handbook" in links
    home = (site / "index.html").read_text("utf-8")
    nav = tree(site / "index.html").xpath("//nav[contains(@class, 'md-nav--primary')]")[0]
    assert nav.xpath(".//a[contains(@href, 'setting-up')]")
    assert not nav.xpath(".//a[contains(@href, 'parts/')]")
    assert "parts/tube" not in home.partition("<article")[0]


def test_the_users_own_navigation_stands(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    nav = [{"Start": "index.md"}, {"Our rigs": "rigs/index.md"}, {"One rig": "rigs/rig.md"}, {"Words": "words.md"}]
    with caplog.at_level(logging.INFO, logger="mkdocs"):
        site = built(tmp_path, nav=nav, docs={"docs/words.md": "# Words\n"}, use_directory_urls=False)
    assert len(pages(site)) == len(OURS) + 1
    links = [a.get("href") for a in tree(site / "index.html").xpath("//nav[contains(@class, 'md-nav--primary')]//a")]
    assert {"rigs/index.html", "rigs/rig.html", "words.html"} <= set(links)
    assert "shelf/index.html" not in links
    assert [record.message for record in caplog.records if record.levelno >= logging.WARNING] == []
    assert "not included in the" not in caplog.text


@pytest.mark.parametrize("name", ["index.md", "README.md"])
@pytest.mark.parametrize("folders", [True, False])
def test_a_page_of_the_users_takes_the_place_of_ours(
    name: str, folders: bool, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.INFO, logger="mkdocs"):
        site = built(
            tmp_path, docs={f"docs/{name}": "# Welcome\n\nTo our hut.\n"}, use_directory_urls=folders,
        )  # fmt: skip
    assert [h.text_content().rstrip("¶") for h in tree(site / "index.html").xpath("//article//h1")] == ["Welcome"]
    assert f"'{name}' in the docs folder takes the place of the generated page" in caplog.text
    assert len(pages(site)) == len(OURS)
    assert sum(record["location"] in ("", "index.html", ".") for record in records(site)) == 1


def test_the_users_own_frame_and_files_go_before_ours(tmp_path: Path) -> None:
    docs = {
        "overrides/main.html": '{% extends "rigleaf.html" %}{% block announce %}Open night on Friday{% endblock %}',
        "overrides/assets/mine.css": "p { color: red }",
        "docs/assets/rigleaf/leaf.svg": "<svg/>",
    }
    site = built(tmp_path, docs=docs, theme={"name": "material", "custom_dir": "overrides"}, use_directory_urls=False)
    text = (site / "rigs" / "rig.html").read_text("utf-8")
    assert "Open night on Friday" in text
    assert "assets/rigleaf/tokens.css" in text
    assert (site / "assets" / "mine.css").exists()
    assert (site / "assets" / "rigleaf" / "leaf.svg").read_text() == "<svg/>"


@pytest.mark.parametrize("rigs", ["rigs", "docs", "docs/rigs"])
def test_the_yaml_is_never_published_wherever_it_lies(rigs: str, tmp_path: Path) -> None:
    serial = "SERIAL-0815"
    plugins = ["search", {"rigleaf": {"rigs": rigs}}]
    project(tmp_path, plugins=plugins, docs={"docs/by-hand.md": "# By hand\n"}, use_directory_urls=False)
    shelf = {**FEW, "head": {**FEW["head"], "private": {"serial": serial}}}
    write_guide(tmp_path / rigs, shelf=shelf, rigs=[FEW_RIG])
    build(configured(tmp_path))
    files = contents(tmp_path / "site")
    # The bundle is written anew, without what is private.
    assert [name for name in files if name.endswith((".yml", ".yaml"))] == ["assets/bundles/rig.bundle.yml"]
    assert [name for name, content in files.items() if serial.encode() in content] == []
    assert {"by-hand.html", "parts/head.html"} <= set(files)


SERIAL = "SERIAL-0815"
BESIDE = (
    "parts/shelf.yml~", "parts/shelf.yml.bak", "parts/shelf.yaml.orig", "parts/SHELF.YML.OLD", "guide.yml.md",
    "parts/shelf.yml.png", "guide.yml.svg", "#guide.yml#", "guide.yml.swp", "loans.txt", "loans.csv", "loans.xlsx",
    "loans", "notes.org", "backup.zip", "data.json", "schema/rig.json", "letter.html", "letter.pdf", "~notes.md~",
    "list.md~", ".hidden.md", ".notes/list.md", "old~/list.md", "old~/list.css", "script.py", "shelf.sqlite",
)  # fmt: skip
WANTED = ("hello.md", "about-us/index.md", "own.css", "own.js", "own.woff2", "drawing.svg", "dance.gif", "own.ico")


def with_serials(root: Path) -> None:
    """Put files of every sort, with a serial in each of those that must stay private, where the YAML lies."""
    shelf = {**FEW, "head": {**FEW["head"], "private": {"serial": SERIAL}}}
    write_guide(root, shelf=shelf, rigs=[FEW_RIG])
    for name in (*BESIDE, *WANTED):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        text = SERIAL if name in BESIDE else "<svg xmlns='http://www.w3.org/2000/svg'/>" if "svg" in name else "x"
        (root / name).write_text(text)


def build_in(folder: Path, rigs: str, docs: str) -> dict[str, bytes]:
    project(folder, plugins=["search", {"rigleaf": {"rigs": rigs}}], docs_dir=docs, use_directory_urls=False)
    with_serials(folder / rigs)
    build(configured(folder))
    return contents(folder / "site")


def test_a_folder_that_is_the_guides_and_the_docs_lets_through_only_what_is_for_the_public(tmp_path: Path) -> None:
    files = build_in(tmp_path, "rigs", "rigs")
    assert [name for name, content in files.items() if SERIAL.encode() in content] == []
    assert {"hello.html", "about-us/index.html", *WANTED[2:], "parts/head.html"} <= set(files)
    stems = {Path(name).name for name in BESIDE} - {"list.md"}
    assert [name for name in files if Path(name).name in stems] == []


def test_a_guide_within_the_docs_stays_out_whole_and_docs_within_a_guide_show_no_backup(tmp_path: Path) -> None:
    files = build_in(tmp_path / "one", "docs/rigs", "docs")
    assert [name for name, content in files.items() if SERIAL.encode() in content] == []
    assert "hello.html" not in files
    two = tmp_path / "two"
    (two / "rigs" / "pages").mkdir(parents=True)
    for name in ("form.pdf", "own.md", "shelf.yml~", "shelf.yml.bak", ".hidden.md", "list.md~"):
        (two / "rigs" / "pages" / name).write_text(SERIAL if name not in {"form.pdf", "own.md"} else "x")
    files = build_in(two, "rigs", "rigs/pages")
    assert [name for name, content in files.items() if SERIAL.encode() in content] == []
    assert {"form.pdf", "own.html"} <= set(files)


def test_a_photo_is_published_once_and_clean_and_so_is_a_loose_picture(tmp_path: Path) -> None:
    root = tmp_path / "rigs"
    picture(root / "photos" / "tube.jpg")
    picture(root / "hut.png", lying=True)
    tube = {**FEW["tube"], "photo": "./photos/tube.jpg"}
    docs = {"rigs/hello.md": "# Hello\n\n![The hut](hut.png)\n"}
    site = built(tmp_path, docs_dir="rigs", docs=docs, guide={"shelf": {**FEW, "tube": tube}}, use_directory_urls=False)
    files = contents(site)
    assert [name for name, content in files.items() if TRACE.encode() in content] == []
    assert [name for name in files if name.endswith(".jpg")] == ["assets/photos/photos/tube.jpg"]
    with Image.open(site / "hut.png") as shown:
        assert shown.size == (40, 60)
    assert check_site(site) == []


def test_a_photo_that_cannot_be_shown_stops_the_build_and_leaves_the_last_site(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "rigs").mkdir()
    (tmp_path / "rigs" / "tube.jpg").write_text("no picture")
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "index.html").write_text("the last site")
    shelf = {**FEW, "tube": {**FEW["tube"], "photo": "tube.jpg"}}
    with pytest.raises((PluginError, Abort)):
        built(tmp_path, guide={"shelf": shelf})
    assert "rigs/parts/shelf.yml:1:1: the photo 'tube.jpg' of 'tube' is no JPEG" in caplog.text
    assert contents(tmp_path / "site") == {"index.html": b"the last site"}


def test_a_loose_picture_that_cannot_be_cleaned_is_left_out_with_a_warning(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "rigs").mkdir()
    (tmp_path / "rigs" / "odd.png").write_text(SERIAL)
    with pytest.raises(Abort):  # the build is strict
        built(tmp_path, docs_dir="rigs")
    assert "'odd.png' is left out: it is no JPEG, PNG or WebP picture" in caplog.text
    assert [name for name, content in contents(tmp_path / "site").items() if SERIAL.encode() in content] == []


def test_the_built_site_has_no_loose_end(tmp_path: Path, plain: Path) -> None:
    assert check_site(plain) == []
    assert check_site(built(tmp_path, use_directory_urls=True)) == []


def test_neighbours_are_those_of_the_same_sort_in_order(plain: Path) -> None:

    def neighbours(page: str) -> list[str | None]:
        found = tree(plain / page)
        links = [found.xpath(f"//a[contains(@class, 'md-footer__link--{side}')]/@href") for side in ("prev", "next")]
        return [link[0] if link else None for link in links]

    order = ["tube", "reducer", "camera", "head"]
    for number, id_ in enumerate(order):
        before = f"{order[number - 1]}.html" if number else None
        after = f"{order[number + 1]}.html" if number + 1 < len(order) else None
        assert neighbours(f"parts/{id_}.html") == [before, after]
    assert neighbours("shelf/optic.html")[1] == "corrector.html"


def test_a_page_below_a_section_shows_the_way_back_to_it(plain: Path) -> None:
    for page, section in (
        ("rigs/rig.html", "Find a rig"),
        ("parts/tube.html", "Shelf"),
        ("method/scale-and-field.html", "Method"),
    ):
        active = tree(plain / page).xpath("//li[contains(@class, 'md-tabs__item--active')]//a")
        assert [link.text_content().strip() for link in active] == [section], page


def test_edit_links_lead_to_the_yaml(tmp_path: Path) -> None:
    edit = "https://code.example/club/edit/main/docs/{path}"
    site = built(
        tmp_path, edit_uri_template=edit, use_directory_urls=False, repo_url="https://code.example/club",
        theme={"name": "material", "features": ["content.action.edit"]},
    )  # fmt: skip

    def link(page: str) -> list[str]:
        found: list[str] = tree(site / page).xpath("//a[contains(@href, '/edit/')]/@href")
        return found

    assert link("parts/tube.html") == ["https://code.example/club/edit/main/docs/../rigs/parts/shelf.yml"]
    assert link("rigs/rig.html") == ["https://code.example/club/edit/main/docs/../rigs/rig.yml"]
    assert link("about/index.html") == []


def test_the_list_of_contents_is_the_pages_own(plain: Path) -> None:
    page = tree(plain / "rigs" / "rig.html")
    listed = {href.partition("#")[2] for href in page.xpath("//nav[contains(@class, 'md-nav--secondary')]//a/@href")}
    assert {"at-a-glance", "what-it-is-made-of", "scale-and-field", "what-it-weighs"} <= listed
    assert listed <= set(page.xpath("//@id"))


def test_hostile_text_stays_text_in_the_frame_too(tmp_path: Path) -> None:
    hostile = (
        '<script>alert(1)</script></title><b title="x"> &lt;/title&gt;&lt;script&gt;alert(2)&lt;/script&gt;'
        " & \"quoted\" 'name'"
    )
    shelf = {id_: {**data, "name": f"{hostile} {id_}", "summary": hostile} for id_, data in FEW.items()}
    rig = {**FEW_RIG, "name": hostile, "summary": hostile}
    site = built(
        tmp_path, guide={"shelf": shelf, "rigs": [rig], "name": hostile, "summary": hostile}, use_directory_urls=False
    )
    for page, name in (
        ("rigs/rig.html", hostile),
        ("parts/reducer.html", f"{hostile} reducer"),
        ("index.html", "Guide"),
    ):
        text = (site / page).read_text("utf-8")
        assert "<script>alert" not in text, page
        assert '<b title="x">' not in text, page
        found = tree(site / page)
        assert found.find("head/title").text_content().startswith(name) or page == "index.html"
        assert found.xpath("//head/meta[@name='description']/@content") == [hostile]
    footer = tree(site / "parts" / "reducer.html").xpath("//a[contains(@class, 'md-footer__link--prev')]")[0]
    assert f"{hostile} tube" in " ".join(footer.text_content().split())
    for record in records(site):
        for value in (record["title"], record["text"], *record.get("tags", ())):
            assert "<script" not in value
            assert "<b " not in value


def test_pages_ask_nothing_of_another_host_whatever_the_font_setting(tmp_path: Path) -> None:
    for name, theme in (("plain", {"name": "material"}), ("font", {"name": "material", "font": False})):
        assert check_site(built(tmp_path / name, theme=theme)) == []


def test_a_broken_link_in_a_hand_written_page_stops_the_build(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    with pytest.raises((PluginError, Abort)):
        built(tmp_path, docs={"docs/words.md": '# Words\n\n<a href="nowhere.html">x</a>\n'}, use_directory_urls=False)
    assert "words.html: the link 'nowhere.html' leads nowhere" in caplog.text


def test_no_section_opens_as_an_empty_list(plain: Path) -> None:
    for page in ("rigs/rig.html", "parts/tube.html", "shelf/index.html", "index.html"):
        lists = tree(plain / page).xpath("//nav[contains(@class, 'md-nav--primary')]//ul")
        assert [one for one in lists if not one.xpath("./li")] == [], page


def test_breadcrumbs_lead_back_through_the_section(tmp_path: Path) -> None:
    site = built(tmp_path, use_directory_urls=False, theme={"name": "material", "features": ["navigation.path"]})
    trail = tree(site / "parts" / "tube.html").xpath("//nav[contains(@class, 'md-path')]//a")
    assert [" ".join(link.text_content().split()) for link in trail] == ["Guide", "Shelf"]
    assert trail[-1].get("href") == "../shelf/index.html"
