"""Pages of parts on a long shelf: lists that would grow with its square are cut off and say by how much."""

from pathlib import Path

import pytest
from lxml import html

from rigleaf.site.book import make_book
from rigleaf.site.shelf.pages import MOST_NEIGHBOURS
from rigleaf.site.typeset.addresses import Addresses
from tests.chapters.small_guide import Data
from tests.site.yaml_guide import read_guide


def rings(count: int) -> dict[str, Data]:
    ring = {"kind": "spacer", "front": "M48 x 0.75 female", "rear": "M48 x 0.75 male"}
    return {f"ring-{n:03}": {**ring, "name": f"Ring {n}"} for n in range(count)}


@pytest.mark.parametrize(("others", "more"), [(MOST_NEIGHBOURS, 0), (MOST_NEIGHBOURS + 7, 7)])
def test_a_long_list_of_what_mates_is_cut_off_and_says_so(others: int, more: int, tmp_path: Path) -> None:
    book = make_book(read_guide(tmp_path, shelf=rings(others + 1), rigs=[]), Addresses())
    page = next(page for page in book.pages if page.address == "parts/ring-004")
    lists = html.fromstring(f"<main>{page.html}</main>").xpath("//h2[@id='mating']/following-sibling::dl//ul")
    assert len(lists) == 2
    for one in lists:
        assert len(one.xpath("./li/a")) == MOST_NEIGHBOURS
        assert [li.text_content() for li in one.xpath("./li[not(a)]")] == ([f"and {more} more"] if more else [])
        assert not one.xpath(".//a[contains(@href, 'ring-004')]")


def test_the_pages_of_a_long_shelf_grow_with_it_and_not_with_its_square(tmp_path: Path) -> None:
    def size(count: int) -> int:
        pages = make_book(read_guide(tmp_path / str(count), shelf=rings(count), rigs=[]), Addresses()).pages
        return sum(len(page.html) for page in pages if page.address.startswith("parts/"))

    hundred, twice = size(100), size(200)
    assert twice == pytest.approx(2 * hundred, rel=0.02)
