"""What hosts show in place of an address that leads nowhere, at whatever depth it is."""

from pathlib import Path

import pytest
from lxml import html

from rigleaf.site.book import make_book
from rigleaf.site.export import export
from rigleaf.site.missing_page import base_of, missing_page
from rigleaf.site.typeset.addresses import Addresses
from tests.site.yaml_guide import read_guide


@pytest.mark.parametrize(
    ("site", "base"),
    [
        ("", "/"),
        ("https://a.example", "/"),
        ("https://a.example/", "/"),
        ("https://a.example/club/rigs", "/club/rigs/"),
        ("https://a.example/club/rigs/?a#b", "/club/rigs/"),
    ],
)
def test_a_site_begins_where_its_address_says(site: str, base: str) -> None:
    assert base_of(site) == base


@pytest.mark.parametrize("folders", [False, True])
def test_every_link_counts_from_where_the_site_begins(tmp_path: Path, folders: bool) -> None:
    guide, addresses = read_guide(tmp_path), Addresses(folders, "https://a.example/club/")
    book = make_book(guide, addresses)
    page = missing_page(guide, book, addresses, searches=True)
    tree = html.fromstring(f"<main>{page.html}</main>")
    links = tree.xpath("//a/@href | //form/@action")
    assert all(link.startswith("/club/") for link in links)
    assert len(tree.xpath("//li/a")) == len(book.sections)
    assert ("/club/rigs/" if folders else "/club/rigs/index.html") in links
    assert tree.xpath("//form[@role='search']//input/@name") == ["q"]


def test_an_export_has_the_page_too_without_a_search_that_it_does_not_have(tmp_path: Path) -> None:
    export(read_guide(tmp_path / "guide"), tmp_path / "site", site="https://a.example/club/")
    tree = html.parse(str(tmp_path / "site" / "404.html"))
    assert tree.xpath("//base/@href") == ["/club/"]
    assert tree.xpath("string(//h1)") == "This page is not here"
    assert tree.xpath("//form") == []
    sheets = tree.xpath("//link[@rel='stylesheet']/@href")
    assert sheets
    assert all((tmp_path / "site" / sheet).is_file() for sheet in sheets), "seen from where the site begins"
