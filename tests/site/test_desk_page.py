"""The desk's page and the parts' say what the book says: overdue, endless, in part, touching, short; and no names."""

import datetime as dt
import re
from pathlib import Path
from typing import Any

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.site.book import make_book
from rigleaf.site.lent.availability import lending_of
from rigleaf.site.lent.desk import desk_page
from rigleaf.site.lent.of_part import PartBook
from rigleaf.site.lent.shortages import shortages
from rigleaf.site.typeset.addresses import Addresses
from tests.chapters.small_guide import RIG
from tests.lending.small_club import club, day
from tests.site.yaml_guide import read_guide

ON = "2026-11-24"
MEMBER = "Ottilie Brandt"


@pytest.fixture(autouse=True)
def _on_a_day(monkeypatch: pytest.MonkeyPatch) -> None:
    moment = dt.datetime.combine(day(ON), dt.time(12), dt.UTC)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(moment.timestamp())))


def page(catalogue: Catalogue) -> str:
    lending = lending_of(catalogue)
    assert lending is not None
    return desk_page(catalogue, lending, Addresses()).html


def rows(html: str, heading: str) -> list[list[str]]:
    """The rows of the table below a heading, cell by cell, as a reader sees them."""
    after = html.split(f'<h2 id="{heading}">')[1].split("<h2", maxsplit=1)[0]
    found = re.findall(r"<tr role=\"row\">(.*?)</tr>", after.partition("<tbody")[2], re.DOTALL)
    cells = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL) for row in found]
    return [[" ".join(re.sub(r"<[^>]+>", "", cell).split()) for cell in row] for row in cells]


def short(catalogue: Catalogue) -> list[tuple[str, str, str, str]]:
    lending = lending_of(catalogue)
    assert lending is not None
    return [
        (
            ", ".join(name for _, name in one.parts),
            one.days,
            ", ".join(name for _, name in one.rigs),
            ", ".join(name for _, name in one.holders) + (" alone" if one.alone else ""),
        )
        for one in shortages(catalogue, lending)
    ]


def test_what_is_overdue_stands_first() -> None:
    html = page(club(loans=({"rig": "heron", "out": "2026-10-31", "due": "2026-11-14", "for": "comets"},)))
    assert rows(html, "overdue") == [["Heron", "31 October 2026", "14 November 2026", "Comets"]]
    assert "Nothing else is out." in html
    assert html.index('id="overdue"') < html.index('id="out"')


def test_a_loan_without_an_end_says_that_nobody_has_said() -> None:
    html = page(club(loans=({"rig": "heron", "out": "2026-11-06"},)))
    assert rows(html, "out") == [["Heron", "6 November 2026", "nobody has said", ""]]
    assert 'id="overdue"' not in html


def test_a_loan_in_part_names_what_stays_and_what_goes_along() -> None:
    loan = {
        "rig": "heron", "without": ["torch"], "parts": [{"part": "pier"}], "out": "2026-11-20", "due": "2026-12-05",
    }  # fmt: skip
    html = page(club(loans=(loan, {"parts": [{"part": "lead", "count": 2}], "out": "2026-11-23"})))
    assert rows(html, "out") == [
        ["Heron, with Pier", "20 November 2026", "5 December 2026", "without Torch"],
        ["2 × Lead", "23 November 2026", "nobody has said", ""],
    ]


def test_touching_bookings_follow_each_other() -> None:
    loan = {"rig": "heron", "out": "2026-11-17", "due": "2026-11-28"}
    html = page(club(loans=(loan,), reservations=({"rig": "heron", "from": "2026-11-28", "until": "2026-12-07"},)))
    assert rows(html, "out")[0][:3] == ["Heron", "17 November 2026", "28 November 2026"]
    assert rows(html, "spoken-for") == [["Heron", "28 November 2026", "7 December 2026", ""]]
    assert "Until 28" not in html.split("Day by day")[0]


def test_a_reservation_that_hangs_on_what_is_overdue_says_so() -> None:
    loans = ({"rig": "heron", "out": "2026-10-31", "due": "2026-11-14"},)
    html = page(club(loans=loans, reservations=({"rig": "heron", "from": "2026-12-12", "until": "2026-12-19"},)))
    assert rows(html, "spoken-for")[0][3] == "hangs on the return of what is overdue"


def test_rigs_that_wait_for_the_same_part_stand_together() -> None:
    loan = {"parts": ["tube-b"], "out": "2026-11-20", "due": "2026-12-05"}
    assert short(club(loans=(loan,))) == [("Tube b", "until 5 December 2026", "Curlew, Plover", " alone")]


def test_what_a_rig_is_short_of_is_told_once_over_all_its_phases() -> None:
    loans = ({"rig": "heron", "out": "2026-10-31", "due": "2026-11-14"},)
    reserved = {"parts": ["tube-b"], "from": "2026-12-10", "until": "2026-12-12"}
    assert short(club(loans=loans, reservations=(reserved,))) == [
        ("Mount", "nobody knows until when", "Curlew", "Heron"),
        ("Tube b", "10 to 12 December 2026", "Curlew, Plover", " alone"),
    ]


def test_a_book_of_the_past_leaves_nothing_out() -> None:
    past = {"rig": "heron", "out": "2026-10-02", "due": "2026-10-12", "back": "2026-10-12"}
    html = page(club(loans=(past,)))
    assert "Nothing is out." in html
    assert "Nothing is spoken for." in html
    assert "Every rig that is here is whole." in html
    assert html.count('<li id="rig_') == 3


def test_service_is_overdue_due_or_can_wait() -> None:
    service = (
        {"part": "mount", "what": "greased", "done": "2025-10-25", "every": "1 year", "reading": "stiff"},
        {"rig": "heron", "what": "bag checked", "done": "2026-11-09", "every": "1 month"},
        {"part": "torch", "what": "cells changed", "done": "2026-11-01", "every": "6 months"},
        {"part": "lead", "what": "measured", "done": "2026-01-01"},
    )
    html = page(club(service=service))
    urgent, later = html.split('id="service"')[1].split("<details")[:2]
    assert [one for one in ("Mount", "Heron", "Torch", "Lead") if one in urgent] == ["Mount", "Heron"]
    assert rows(html, "service")[0] == [
        "Mount", "greased, every year", "overdue, 25 October 2026", "25 October 2025: stiff",
    ]  # fmt: skip
    assert "Torch" in later
    assert "nobody has said" in later


def test_it_says_of_which_day_it_is_and_every_rig_has_a_year() -> None:
    html = page(club(loans=({"rig": "heron", "out": "2026-11-06"},)))
    assert "as of 24 November 2026" in html
    assert "1 November 2026 to 31 October 2027" in html
    assert re.findall(r'<section class="rl-year" id="([^"]+)"', html) == ["rig_heron", "rig_curlew"]
    assert html.count('<svg class="plate-svg plate-480" ') == 2
    assert '<li id="rig_plover">' in html
    assert "assets/calendars/club.ics" in html
    assert "assets/calendars/heron.ics" in html


def test_a_part_says_who_has_how_many_and_until_when() -> None:
    loans = (
        {"rig": "heron", "out": "2026-11-20", "due": "2026-12-05"},
        {"parts": ["lead"], "out": "2026-10-31", "due": "2026-11-14", "condition_in": "not read: not back"},
    )
    book = PartBook(
        club(loans=loans, reservations=({"rig": "plover", "from": "2026-12-20", "until": "2026-12-24"},)), day(ON)
    )
    lead, torch, pier = book.told("lead"), book.told("torch"), book.told("pier")
    assert lead is not None
    assert torch is not None
    assert pier is not None
    assert lead.where == "1 of 4 is at the club"
    assert [(one.count, one.rig, one.words) for one in lead.held] == [
        (1, "", "overdue: was due on 14 November 2026"),
        (2, "heron", "until 5 December 2026"),
    ]
    assert torch.where == "2 of 3 are at the club"
    assert [(one.rig, one.words) for one in torch.coming] == [("plover", "from 20 to 24 December 2026")]
    assert pier.where == "It is at the club"


def test_of_a_part_that_the_club_does_not_own_the_book_says_nothing() -> None:
    catalogue = club(loans=({"rig": "heron", "out": "2026-11-20"},), stock={"pier": 0})
    assert PartBook(catalogue, day(ON)).told("pier") is None


def named(rig: str, **days: str) -> dict[str, Any]:
    return {"rig": rig, **days, "private": {"borrower": MEMBER, "contact": "0170 555", "remarks": "Owes a deposit."}}


@pytest.mark.parametrize("shown", [False, True])
def test_borrowers_are_shown_where_the_guide_says_so(tmp_path: Path, shown: bool) -> None:
    guide: dict[str, Any] = {"show_borrowers": True} if shown else {}
    book = {
        "loans": [
            named("rig", out="2026-11-20", due="2026-12-05"),
            {**named("rig", out="2026-10-01"), "back": "2026-10-03"},
        ],
        "reservations": [named("rig", **{"from": "2027-01-05", "until": "2027-01-08"})],
    }
    catalogue = read_guide(tmp_path, rigs=[RIG, {**RIG, "id": "other", "name": "Other"}], desk=book, **guide)
    pages = {one.address: one for one in make_book(catalogue, Addresses()).pages}
    for address in ("index", "rigs/index", "rigs/rig", "desk/index", "parts/tube"):
        assert (MEMBER in pages[address].html) is shown, address
    everything = "\n".join(f"{one.html} {one.title} {one.description} {one.search}" for one in pages.values())
    assert "0170 555" not in everything
    assert "deposit" not in everything
    assert shown or MEMBER not in everything


def test_a_guide_without_a_book_has_no_desk(tmp_path: Path) -> None:
    book = make_book(read_guide(tmp_path), Addresses())
    assert "desk/index" not in {one.address for one in book.pages}
    assert "Desk" not in {section.title for section in book.sections}
    for one in book.pages:
        assert "data-rl-phases" not in one.html
        assert "desk/index" not in one.html


def test_no_two_things_on_the_desk_have_one_id() -> None:
    loans = tuple({"rig": rig, "out": "2026-11-20", "due": "2026-12-05"} for rig in ("heron", "plover"))
    some = club(loans=loans)
    for twin in ("heron-name", "heron-title", "heron-desc", "heron-hatch"):
        some.rigs[twin] = some.rigs["heron"].model_copy(update={"id": twin})  # type: ignore[index]
    reserved = club(reservations=({"rig": "heron", "from": "2026-12-06", "until": "2026-12-07"},))
    for html in (page(some), page(reserved)):
        ids = re.findall(r'\bid="([^"]+)"', html)
        assert sorted(ids) == sorted(set(ids))
