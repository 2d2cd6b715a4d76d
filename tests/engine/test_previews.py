"""Tags for previews of links in sites that MkDocs has built."""

from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest
from lxml import html

from rigleaf.site.previews.pictures import GUIDE_PICTURE
from tests.engine.building import built, pages

AT = "https://rigs.example/guide/"
OVERRIDE = """{% extends "rigleaf.html" %}
{% block extrahead %}{{ super() }}<meta property="og:image" content="https://elsewhere.example/own.png">{% endblock %}
"""


def tags(page: Path) -> dict[str, list[str]]:
    """What each tag for previews on a page says."""
    root: Any = html.parse(str(page), html.HTMLParser(encoding="utf-8")).getroot()
    found: dict[str, list[str]] = {}
    for meta in root.xpath("//head/meta[starts-with(@property, 'og:')] | //head/meta[@name='twitter:card']"):
        found.setdefault(meta.get("property") or meta.get("name"), []).append(meta.get("content"))
    return found


@pytest.mark.parametrize("theme", ["material", "mkdocs", "readthedocs"])
@pytest.mark.parametrize("folders", [True, False])
def test_every_page_of_every_theme(theme: str, folders: bool, tmp_path: Path) -> None:
    site = built(
        tmp_path, theme={"name": theme}, use_directory_urls=folders, site_url=AT, site_description="Our rigs",
        docs={"docs/borrowing.md": "# Borrowing & more\n\nAsk us."}, plugins=["search", "rigleaf"],
    )  # fmt: skip
    for path in pages(site) - {"search.html"}:
        found = tags(site / path)
        assert {len(contents) for contents in found.values()} == {1}, (path, found)
        address = found["og:url"][0]
        assert address.startswith(AT)
        there = site / unquote(address.removeprefix(AT))
        assert (there / "index.html" if there.is_dir() else there) == site / path
        picture = site / unquote(found["og:image"][0].removeprefix(AT))
        assert picture.read_bytes().startswith(b"\x89PNG"), path
        assert len(found["og:description"][0]) <= 200
        assert found["og:description"][0][-1] in ".!?…"
        canonical = html.parse(str(site / path)).xpath("//link[@rel='canonical']/@href")
        assert canonical in ([], [address])
    rig = tags(site / ("rigs/rig/index.html" if folders else "rigs/rig.html"))
    assert rig["og:title"] == ["Rig"]
    assert rig["og:image"] == [f"{AT}assets/previews/rig.png"]
    assert rig["og:description"] == ["For galaxies."]
    by_hand = tags(site / ("borrowing/index.html" if folders else "borrowing.html"))
    assert by_hand["og:title"] == ["Borrowing & more"]
    assert by_hand["og:description"] == ["Our rigs."]
    assert by_hand["og:image"] == [AT + GUIDE_PICTURE]


def test_without_site_url_no_tag_points_anywhere(tmp_path: Path) -> None:
    site = built(tmp_path)  # strict: a warning would end it
    found = tags(site / "rigs/rig/index.html")
    assert found["og:title"] == ["Rig"]
    assert not [name for name in found if "url" in name or "image" in name]
    assert not (site / "assets/previews").exists()


def test_the_users_own_tags_win(tmp_path: Path) -> None:
    (tmp_path / "overrides").mkdir()
    (tmp_path / "overrides" / "main.html").write_text(OVERRIDE, encoding="utf-8")
    site = built(tmp_path, theme={"name": "material", "custom_dir": "overrides"}, site_url=AT)
    found = tags(site / "rigs/rig/index.html")
    assert found["og:image"] == ["https://elsewhere.example/own.png"]
    assert "og:image:width" not in found
    assert found["og:title"] == ["Rig"]


def test_the_demo_has_its_pictures(demo_site: Path) -> None:
    cards = sorted((demo_site / "rigs").glob("*.html"))
    assert len(cards) > 20
    for page in cards:
        found = tags(page)
        path = urlsplit(found["og:image"][0]).path.removeprefix("/rigs/")
        assert path == (GUIDE_PICTURE if page.stem == "index" else f"assets/previews/{page.stem}.png")
        assert (demo_site / path).is_file()
