"""What is made for paper: the sheet for the check-in desk, and labels for batteries."""

import re
from dataclasses import replace
from importlib.resources import files
from typing import Any, get_args

import pytest
from lxml import html
from lxml.html import HtmlElement

from rigleaf.catalogue.models.guide import Guide
from rigleaf.journeys.result import TripStudy
from rigleaf.site.delivery.static_files import static_content
from rigleaf.site.sheets.label_sheets import LabelSheet, label_sheets
from rigleaf.site.trips.battery_labels import label_page, labels_of
from rigleaf.site.trips.check_in import MOST_ROWS, check_in_page, sheets_of
from rigleaf.site.typeset.addresses import Addresses
from tests.site.made_trip import ASSET, CRATE, OWN, RULE, bag, battery, leg, made_guide, made_trip

PAPER = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height in mm: ISO 216 and ANSI Y14.1, from memory."""


def check_in(**changes: Any) -> HtmlElement:
    page = check_in_page(made_guide(), made_trip(**changes), Addresses())
    return html.fromstring(f"<main>{page.html}</main>")


def text(element: HtmlElement) -> str:
    return " ".join(element.text_content().split())


def table(tree: HtmlElement, name: str) -> list[list[str]]:
    (found,) = tree.xpath(f"//div[@aria-label='{name}']//tbody")
    return [[text(cell).replace("\u00a0", " ") for cell in row] for row in found]


def test_the_sheet_lists_what_passes_the_desk_and_nothing_else() -> None:
    tree = check_in()
    assert table(tree, "Flights, sheet 1") == [
        ["Town → Harbour", "4 March 2027", "Stork Air", "Germany, Norway", ""],
        ["Town → Harbour", "10 March 2027", "Stork Air", "Germany, Norway", ""],
    ]  # the leg by train is no flight
    assert table(tree, "Batteries of the first") == [
        ["Bank", "2", "153.6 Wh", "LiFePO4, power bank", "Cabin bag, in the cabin", "ask first", "1"],
        ["Battery", "1", "unsaid", "unsaid, loose", "Cabin bag, in the cabin", "say more", "2"],
    ]
    assert [row[0] for row in table(tree, "Batteries of the second")] == ["Crate"]  # the one left at home is not here
    assert table(tree, "Bags of the second") == [["Crate", "in the hold", "unsaid", "at least 9.00 kg 19.8 lb", ""]]
    rules = [text(item) for item in tree.xpath("//ol[@aria-label='Rules']/li")]
    assert rules == [
        f"{RULE.by}: {RULE.says} {RULE.document}.",
        "Stork Air: Two batteries each. Conditions, 4.2.",
    ]


def test_names_and_bookings_are_blanks_for_each_traveller() -> None:
    for blanks, person in zip(check_in().xpath("//p[@class='rl-blanks']"), ("The first", "The second"), strict=True):
        assert text(blanks.getprevious()) == person
        assert text(blanks) == "Name Booking Telephone"
        assert len(blanks.xpath(".//i[not(text())]")) == 3


def test_what_goes_by_car_or_is_sent_ahead_is_not_on_the_sheet() -> None:
    tree = check_in(bags=(bag(), replace(CRATE, spot="car")), batteries=(battery(spot="sent ahead"),))
    assert not tree.xpath("//div[@aria-label='Bags of the second']")
    assert text(tree).count("No batteries.") == 2


def test_a_large_party_gets_a_sheet_each() -> None:
    assert len(sheets_of(made_trip())) == 1
    crowded = made_trip(batteries=tuple(battery(name=f"Bank {n}", traveller="ab"[n % 2]) for n in range(MOST_ROWS)))
    first, second = sheets_of(crowded)
    assert [one.who.id for sheet in (first, second) for one in sheet.people] == ["a", "b"]
    assert len(first.people[0].batteries) + len(second.people[0].batteries) == MOST_ROWS
    alone = replace(crowded, travellers=crowded.travellers[:1])
    assert len(sheets_of(alone)) == 1


def test_the_guide_may_choose_every_sheet_of_labels_and_no_other() -> None:
    for field, lids in (("label_sheet", False), ("lid_label_sheet", True)):
        wanted = tuple(name for name, sheet in label_sheets().items() if sheet.lids == lids)
        assert get_args(Guide.model_fields[field].annotation) == wanted


@pytest.mark.parametrize("sheet", label_sheets().values(), ids=str)
def test_columns_and_margins_fill_the_paper(sheet: LabelSheet) -> None:
    width, height = PAPER[sheet.paper]
    assert 2 * sheet.left + sheet.columns * sheet.width + (sheet.columns - 1) * sheet.column_gap == pytest.approx(width)
    assert 2 * sheet.top + sheet.rows * sheet.height + (sheet.rows - 1) * sheet.row_gap == pytest.approx(height)
    assert sheet.name == f"{'A4' if sheet.paper == 'a4' else 'Letter'} {sheet.columns} x {sheet.rows}"


def labels(study: TripStudy) -> list[str]:
    page = label_page(made_guide(), study, Addresses())
    return [text(item).replace("\u00a0", " ") for item in html.fromstring(page.html).xpath("//li")]


def test_each_battery_that_goes_along_has_a_label() -> None:
    assert labels(made_trip()) == [
        f"Bank 153.6 Wh 12.8 V · 12 Ah · LiFePO4 terminals covered, switched off {ASSET} · 1 of 2 · Guide",
        f"Bank 153.6 Wh 12.8 V · 12 Ah · LiFePO4 terminals covered, switched off {ASSET} · 2 of 2 · Guide",
        "Battery Wh V · Ah · terminals covered CLUB-01 · Guide",  # what is unsaid is a blank
        "Crate 20 Wh V · Ah · lithium-ion installed, switched off Guide",
    ]


def test_pieces_alike_are_counted_over_all_bags() -> None:
    study = made_trip(batteries=(battery(), battery(count=1, bag="crate", traveller="b")))
    assert [label.piece for label in labels_of(made_guide(), study)] == ["1 of 3", "2 of 3", "3 of 3"]


@pytest.mark.parametrize("name", [name for name, sheet in label_sheets().items() if not sheet.lids])
def test_labels_run_over_as_many_sheets_as_it_takes(name: str) -> None:
    sheet = label_sheets()[name]
    study = made_trip(batteries=(battery(count=sheet.each + 1),))
    tree = html.fromstring(label_page(made_guide(label_sheet=name), study, Addresses()).html)
    assert [len(page) for page in tree.xpath("//ul")] == [sheet.each, 1]
    (box,) = tree.xpath("//*[@data-rl-labels]")
    assert box.get("data-rl-labels") == str(sheet.each)
    assert f'[data-sheet="{box.get("data-sheet")}"]{{--columns:{sheet.columns};--width:{sheet.width}mm;' in (
        static_content("assets/rigleaf/labels.css").decode("utf-8")
    )


def test_a_journey_without_flights_has_labels_all_the_same() -> None:
    assert len(labels(made_trip(legs=(leg(1, 4, by="car"),)))) == 4


def test_the_sheet_cites_what_the_carrier_asks_besides_the_law() -> None:
    tree = check_in(batteries=(battery(carriers=(OWN,)),))
    assert table(tree, "Batteries of the first")[0][-1] == "1, 2"
    assert [text(item) for item in tree.xpath("//ol[@aria-label='Rules']/li")][
        1
    ] == "Stork Air: Two batteries each. Conditions, 4.2."


def test_the_clubs_name_is_never_cut_off_on_a_label(style_sheet: str) -> None:
    (owner,) = re.findall(r"\.rl-label-owner \{([^}]*)\}", style_sheet)
    assert not {"nowrap", "ellipsis", "hidden"} & set(re.findall(r"[a-z]+", owner))


@pytest.fixture
def style_sheet() -> str:
    return (files("rigleaf.site") / "static/assets/rigleaf/labels.css").read_text(encoding="utf-8")
