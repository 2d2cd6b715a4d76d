"""The page about using the guide without signal says what is true of this guide, whatever its rigs are called."""

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from lxml import html

from rigleaf.site.book import Book, make_book
from rigleaf.site.export import export
from rigleaf.site.reference.away import files_of_rigs
from rigleaf.site.typeset.addresses import AWAY_ADDRESS, Addresses
from tests.chapters.small_guide import RIG
from tests.site.yaml_guide import read_guide

LIKE_HEADINGS = ("how", "folder", "stored", "rigs")


def of(book: Book, address: str) -> Any:
    (page,) = (page for page in book.pages if page.address == address)
    return html.fragment_fromstring(page.html, create_parent="main")


def test_rigs_that_are_called_as_its_headings_have_places_of_their_own(tmp_path: Path) -> None:
    rigs = [{**RIG, "id": id_, "name": id_.title()} for id_ in LIKE_HEADINGS]
    book = make_book(read_guide(tmp_path, rigs=rigs), Addresses())
    ids = Counter(of(book, AWAY_ADDRESS).xpath("//@id"))
    assert [id_ for id_, count in ids.items() if count > 1] == []
    for id_ in LIKE_HEADINGS:
        (door,) = of(book, f"rigs/{id_}").xpath("//ul[@class='rl-doors']//a[contains(@href, 'away/')]/@href")
        anchor = door.partition("#")[2]
        (row,) = of(book, AWAY_ADDRESS).xpath("//*[@id=$anchor]", anchor=anchor)
        assert row.get("data-rl-page") == f"rigs/{id_}.html"


@pytest.mark.parametrize("field_copy", [True, False])
def test_page_and_door_promise_a_copy_only_where_there_is_one(tmp_path: Path, field_copy: bool) -> None:
    book = make_book(read_guide(tmp_path), Addresses(), field_copy=field_copy)
    page = of(book, AWAY_ADDRESS)
    said = page.text_content()
    assert ("stores itself" in said) is field_copy
    assert ("Keep this rig" in said) is field_copy
    assert ("away.js" in html.tostring(page, encoding="unicode")) is field_copy
    assert "All pages also open from a folder" in said
    (door,) = of(book, "rigs/rig").xpath("//ul[@class='rl-doors']/li[a[contains(@href, 'away/')]]")
    assert ("this device" in door.text_content()) is field_copy
    assert ("USB stick" in door.text_content()) is not field_copy
    (record,) = (one for one in book.pages if one.address == AWAY_ADDRESS)
    assert {heading.anchor for heading in record.contents} <= set(page.xpath("//@id"))
    assert field_copy or "stored" not in f"{record.description} {record.search}"


def test_pages_for_another_generator_promise_none(tmp_path: Path) -> None:
    export(read_guide(tmp_path / "guide"), tmp_path / "site", "markdown")
    assert "stores itself" not in (tmp_path / "site" / "away" / "index.md").read_text("utf-8")


def test_every_file_that_is_of_use_with_one_rig_only_is_named(tmp_path: Path) -> None:
    catalogue = read_guide(tmp_path, rigs=[{**RIG, "id": id_} for id_ in ("one", "club")])
    files = [
        "assets/beside/one.js", "assets/bundles/one.bundle.yml", "assets/calendars/club.ics",
        "assets/calendars/club_.ics", "assets/mosaics/m31--one.csv", "assets/how/terms.js", "assets/beside.js",
    ]  # fmt: skip
    assert files_of_rigs(catalogue, files) == {
        "rigs/one": (files[0], files[1], files[4]),
        "rigs/club": ("assets/calendars/club_.ics",),
    }
