"""The sheet for handing a rig over: all of it, once, in the order in which it is packed."""

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import html
from lxml.html import HtmlElement

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.study import study_rig
from rigleaf.site.sheets.hand_over import MOST_WORDS, before_handing, hand_over_page, row_groups, shortened
from rigleaf.site.sheets.kit_list import LOOSE, NO_BAG, WORN
from rigleaf.site.sheets.last_seen import LastSeen
from rigleaf.site.typeset.addresses import Addresses
from tests.chapters.small_guide import RIG, Data, catalogue, parts

BAGS: dict[str, Data] = {"crate": {"kind": "bag", "name": "Crate", "mass": "3 kg"}}


def guide(rig: Data | None = None, **changes: Any) -> Catalogue:
    made = catalogue({**parts(**changes), **BAGS}, contact="kit@club.example")
    return Catalogue(made.root, made.guide, made.parts, {"rig": Rig.model_validate({**RIG, **(rig or {})})})


def sheet(rig: Data | None = None, conditions: dict[str, str] | None = None, **changes: Any) -> HtmlElement:
    made = guide(rig, **changes)
    page = hand_over_page(made, study_rig(made, made.rigs["rig"]), Addresses(), LastSeen(parts=conditions or {}))
    return html.fromstring(f"<main>{page.html}</main>")


def text(element: HtmlElement) -> str:
    return " ".join(element.text_content().split()).replace("\u00a0", " ")


def groups(rig: Data | None = None, **changes: Any) -> list[tuple[str, list[str]]]:
    made = guide(rig, **changes)
    return [
        (group.heading, [row.called for row in group.rows]) for group in row_groups(Assembly(made, made.rigs["rig"]))
    ]


def test_every_demo_rig_is_listed_whole_and_once(project: Path) -> None:
    demo = read_catalogue(project)
    for rig in demo.rigs.values():
        wanted = Counter[str]()
        for item in demo.items(rig):
            wanted[item.part.id] += item.count
        rows = [row for group in row_groups(Assembly(demo, rig)) for row in group.rows]
        listed = Counter[str]()
        for row in rows:
            listed[row.line.part.id] += row.line.count
        assert listed == wanted, rig.id
        keys = [row.line.key for row in rows]
        assert len(set(keys)) == len(keys), rig.id


def test_without_bags_parts_go_by_their_roles() -> None:
    assert groups()[0] == ("Image train", ["Tube", "Reducer", "Camera"])
    assert ("Counterweights", ["2 × Weight"]) in groups()


def test_a_bag_comes_first_and_then_what_it_holds_in_the_order_of_the_list() -> None:
    rig = {
        "bags": [{"part": "crate", "holds": ["weight", "camera", "tube"], "note": "The green one."}],
        "worn": ["motor"], "loose": ["legs"],
    }  # fmt: skip
    assert groups(rig) == [
        ("", ["Crate", "2 × Weight", "Camera", "Tube"]),
        (WORN, ["Motor"]),
        (LOOSE, ["Legs"]),
        (NO_BAG, ["Reducer", "Head", "Battery"]),
    ]
    (first,) = sheet(rig).xpath("//tr[@data-rl-line='Crate']/th")
    assert text(first).startswith("Crate 10.6 kg")  # 3 + 2 x 2 + 0.7 + 2.9
    assert text(first).endswith("as packedThe green one.")  # a line of its own


def test_a_part_in_two_roles_is_one_line_and_one_in_two_bags_names_the_other() -> None:
    assert ("Image train", ["Tube", "Reducer", "2 × Camera"]) in groups({"carried": ["camera"]})
    two = [{"part": "crate", "holds": ["tube", "camera"]}, {"part": "crate", "holds": ["head", "camera"]}]
    (camera,) = sheet({"bags": two}).xpath("//tr[@data-rl-line='Camera']/th")
    assert "Here, or in Crate (Head)." in text(camera)


def test_each_line_has_two_boxes_that_are_named_by_the_part() -> None:
    found = sheet()
    for row in found.xpath("//tr[@data-rl-line]"):
        boxes = row.xpath(".//input")
        assert [box.get("aria-label").split(": ")[0] for box in boxes] == ["out", "in"]
        assert {box.get("data-rl-tick").partition("/")[2] for box in boxes} == {boxes[0].get("data-rl-tick")[4:]}
    (weight,) = found.xpath("//tr[@data-rl-line='2 × Weight']")
    assert weight.xpath(".//input/@data-rl-tick") == ["out/weight", "in/weight"]


def test_the_sheet_says_whose_it_is_and_leaves_names_and_days_blank() -> None:
    found = sheet()
    assert "kit@club.example" in text(found.xpath("//p[@class='rl-whose']")[0])
    blanks = [text(span) for span in found.xpath("//p[@class='rl-blanks']/span")]
    assert blanks[:5] == ["Borrower", "Telephone", "Handed out on", "Due back on", "Came back on"]
    assert blanks[5:8] == ["for the club", "borrower", "date"]
    assert all(span.xpath("./i[not(text())]") for span in found.xpath("//p[@class='rl-blanks']/span"))


def test_a_condition_that_somebody_wrote_down_stands_beside_the_part() -> None:
    found = sheet(conditions={"tube": "a scratch on the dew shield", "nobody": "x"})
    (tube,) = found.xpath("//tr[@data-rl-line='Tube']/th")
    assert text(tube).endswith("When last seen: a scratch on the dew shield")
    assert "When last seen" not in text(sheet())


def test_quirks_are_told_once_of_pieces_in_two_places() -> None:
    two = [{"part": "crate", "holds": ["tube"]}, {"part": "crate", "holds": ["head"]}]
    made = guide({"bags": two})
    crate = made.parts["crate"].model_copy(update={"notes": "Lift with the legs."})
    made = Catalogue(made.root, made.guide, {**made.parts, "crate": crate}, made.rigs)
    rows = [group.rows[0] for group in row_groups(Assembly(made, made.rigs["rig"]))][:2]
    assert [row.quirks for row in rows] == ["Lift with the legs.", ""]


def test_what_is_charged_emptied_and_closed_before() -> None:
    changes: dict[str, Data] = {
        "battery": {"chemistry": "lithium-ion", "installed": False},
        "cells": {"kind": "battery", "name": "Cells", "chemistry": "alkaline"},
        "can": {"kind": "liquid", "name": "Can", "form": "compressed gas"},
        "laptop": {"kind": "computer", "name": "Laptop", "form": "laptop"},
    }
    made = guide({"carried": ["cells", "can", "laptop"], "travels": ["hand luggage"]}, **changes)
    found = {item.name: item.doing for item in before_handing(Assembly(made, made.rigs["rig"]))}
    assert found == {
        "Charged": "Battery.",
        "Fresh cells": "Cells; taken out again when it comes back.",
        "Terminals covered": "Battery.",
        "Emptied of the last one's frames": "Laptop.",
        "Liquids and cans": "Can. Closed, and upright in a bag of their own; taken out before a flight.",
    }


def test_a_damaged_battery_stays_at_the_club() -> None:
    made = guide(battery={"damaged": True, "chemistry": "lithium-ion"})
    found = {item.name: item.doing for item in before_handing(Assembly(made, made.rigs["rig"]))}
    assert found["Stays here"] == "Battery: damaged, so nobody takes it along."


@pytest.mark.parametrize(
    ("words", "short"),
    [
        ("Short and whole.", "Short and whole."),
        ("One sentence. W" + "ord " * 40 + "end.", "One sentence."),
        ("At f/4.8 it counts. It reads 2.5 mm. L" + "ong " * 30, "At f/4.8 it counts. It reads 2.5 mm."),
        ("word " * 40, "word " * 20 + "word …"),
        ("x" * 300, "x" * 108 + " …"),
    ],
)
def test_quirks_are_shortened_between_sentences_or_words(words: str, short: str) -> None:
    assert shortened(words) == short


@given(st.text(st.sampled_from("ab .,;:!?-A"), max_size=400))
def test_what_is_shortened_is_a_beginning_and_fits(words: str) -> None:
    short = shortened(words)
    assert len(short) <= MOST_WORDS
    assert " ".join(words.split()).startswith(short.removesuffix(" …"))


def test_setting_up_and_coming_back_are_those_of_the_rigs_page(project: Path) -> None:
    demo = read_catalogue(project)
    study = study_rig(demo, demo.rigs["curlew-twin"])
    found = html.fromstring(hand_over_page(demo, study, Addresses()).html)
    tables = {table.id: table for chapter, one in study.studies if chapter.id == "setting-up" for table in one.tables}
    steps = [text(item) for item in found.xpath("//h2[@id='setting-up']/following-sibling::ol[1]/li")]
    assert steps == [f"{row[0].text}. {row[1].text}" for row in tables["up"].rows]
    assert len(found.xpath("//h2[@id='coming-back']/following-sibling::ul[1]/li")) == len(tables["after"].rows)
    assert found.xpath("//aside[@aria-label='Cautions']")
