"""What copies of rigs' pages tell of the book of loans: the state on the day of the data, and never who has it."""

from pathlib import Path
from typing import Any

import pytest
from lxml import html

from rigleaf.catalogue.days import day_in_words
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.lending.today import as_of
from rigleaf.site.book import make_book
from rigleaf.site.commands.share import share
from rigleaf.site.sent.copies import page_alone
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.doors import copy_path
from tests.chapters.small_guide import RIG, Data
from tests.site.yaml_guide import write_guide

MEMBER = "Member Seventeen"
RIGS: list[Data] = [RIG, {**RIG, "id": "other", "name": "Other"}]
BOOK: Data = {
    "loans": [{"rig": "rig", "out": "2026-11-20", "due": "2026-12-05", "private": {"borrower": MEMBER}}],
    "reservations": [{"rig": "rig", "from": "2027-01-05", "until": "2027-01-08", "private": {"borrower": MEMBER}}],
}


@pytest.fixture(params=[False, True], ids=["names kept", "names shown"])
def guide(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    more: dict[str, Any] = {"show_borrowers": True} if request.param else {}
    return write_guide(tmp_path / "guide", rigs=RIGS, desk=BOOK, **more)


def test_the_command_writes_what_the_site_offers(guide: Path, tmp_path: Path) -> None:
    addresses = Addresses(site="https://club.example/")
    files = make_book(read_catalogue(guide), addresses).files
    for rig in ("rig", "other"):
        share(guide, rig, tmp_path / f"{rig}.html", addresses=addresses)
        assert (tmp_path / f"{rig}.html").read_bytes() == files[copy_path(rig)]


def test_a_copy_tells_the_state_with_its_day_and_names_nobody(guide: Path) -> None:
    catalogue = read_catalogue(guide)
    book = make_book(catalogue, Addresses())
    (page,) = (page for page in book.pages if page.address == "rigs/rig")
    assert (MEMBER in page.html) is catalogue.guide.show_borrowers
    content = book.files[copy_path("rig")].decode("utf-8")
    assert MEMBER not in content
    (asked,) = html.document_fromstring(content).xpath("//dt[.='Can I have it?']/..")
    assert " ".join(asked.text_content().split()) == (
        f"Can I have it?out until 5 December 2026 (as of {day_in_words(as_of(catalogue))})"
    )
    assert MEMBER not in page_alone(catalogue, page, Addresses()).decode("utf-8"), "nor by another way"


def test_what_scripts_would_go_by_stays_at_home(guide: Path) -> None:
    content = make_book(read_catalogue(guide), Addresses()).files[copy_path("rig")].decode("utf-8")
    main = html.document_fromstring(content).xpath("//main")[0]
    assert {name for node in main.iter("*") for name in node.attrib if name.startswith("data-rl-")} == set()
    used = set(main.xpath("//use/@href"))
    assert {f"#{id_}" for id_ in main.xpath("//symbol/@id")} == used
