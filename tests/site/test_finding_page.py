"""The page on which people find a rig: whole without script, true to the studies, light enough for a thousand rigs."""

import re
from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.figures import Finding, Study, Verdict
from rigleaf.chapters.formatting import show
from rigleaf.chapters.in_the_frame.fleet import framings_of
from rigleaf.chapters.study import RigStudy, study_guide
from rigleaf.site.delivery.static_files import STATIC
from rigleaf.site.lent.availability import Availability, lending_of
from rigleaf.site.rigs.facts import (
    STATES,
    RigFacts,
    battery_answer,
    day_by_day,
    easiest_first,
    facts_of,
    flight_answer,
)
from rigleaf.site.rigs.finding import bits, finding_page, slug, ways_in
from rigleaf.site.rigs.page import EXPERIENCE
from rigleaf.site.typeset.addresses import Addresses
from tests.chapters.small_guide import parts
from tests.lending.oracle import phase_on
from tests.site.yaml_guide import read_guide

HEADS = ["Rig", "Travels", "Mass", "Asks for", "Camera", "Scale", "Field", "By air", "Battery", "Findings"]


@pytest.fixture(scope="module")
def studies(demo_studies: tuple[RigStudy, ...]) -> tuple[RigStudy, ...]:
    return demo_studies


@pytest.fixture(scope="module")
def tree(demo: Catalogue, studies: tuple[RigStudy, ...]) -> html.HtmlElement:
    return page_of(demo, studies)


def page_of(
    guide: Catalogue, studies: tuple[RigStudy, ...], had: Mapping[str, Availability] | None = None
) -> html.HtmlElement:
    page = finding_page(guide, studies, framings_of(guide), Addresses(), had)
    return html.fromstring(f"<main>{page.html}</main>")


def small(tmp_path: Path, **written: Any) -> html.HtmlElement:
    guide = read_guide(tmp_path, **written)
    return page_of(guide, study_guide(guide))


def rows(tree: html.HtmlElement) -> dict[str, html.HtmlElement]:
    return {row.xpath("string(th/a)"): row for row in tree.xpath("//table[@id='rigs']/tbody/tr[th/a]")}


def words(element: html.HtmlElement) -> str:
    return " ".join(element.text_content().split())


def control(tree: html.HtmlElement, name: str) -> list[str]:
    return [
        str(value)
        for value in tree.xpath(f"//form//*[@name='{name}']/@value | //form//*[@name='{name}']/option/@value")
    ]


def test_every_rig_has_a_row_the_easiest_first_and_rigs_for_practice_by_themselves(
    studies: tuple[RigStudy, ...], tree: html.HtmlElement
) -> None:
    assert [*rows(tree)] == [study.rig.name for study in sorted(studies, key=easiest_first)]
    assert tree.xpath("//thead/tr/th/text()") == HEADS
    bodies = tree.xpath("//table[@id='rigs']/tbody")
    practice = [study.rig.name for study in studies if study.rig.for_training]
    assert bodies[1].xpath("tr/th/a/text()") == practice == ["Workshop rig with deliberate mistakes"]


def test_what_the_rows_say_is_what_the_studies_found(studies: tuple[RigStudy, ...], tree: html.HtmlElement) -> None:
    for study in studies:
        row, rig = rows(tree)[study.rig.name], study.rig
        cells = [words(cell) for cell in row.xpath("td")]
        assert cells[0] == ", ".join(rig.travels)
        assert words(row.xpath("th/span")[0]) == ", ".join(rig.purpose)
        mass, scale = study.value("what-it-weighs", "total"), study.value("scale-and-field", "image-scale")
        assert mass is not None
        assert scale is not None
        assert show(mass, "mass").first.replace("\u00a0", " ") in cells[1]
        assert float(row.attrib["data-mass"].rstrip("+")) == pytest.approx(mass, rel=1e-4)
        assert cells[2] == EXPERIENCE[str(rig.experience)]
        assert cells[4] == show(scale, "image_scale").first
        assert float(row.attrib["data-scale"]) == pytest.approx(scale, rel=1e-4)
        width = study.value("scale-and-field", "field-width")
        assert width is not None
        assert float(row.attrib["data-field"]) == pytest.approx(width, rel=1e-4)
        assert show(width, "angle").first in cells[5]
        for verdict in ("fails", "tight", "unsaid", "sound"):
            count = sum(finding.verdict == verdict for _, finding in study.findings)
            assert (f"{count} {verdict}" in cells[8]) == bool(count)


def test_what_may_fly_and_how_long_power_lasts_agree_with_their_chapters(
    studies: tuple[RigStudy, ...], tree: html.HtmlElement
) -> None:
    for study in studies:
        row = rows(tree)[study.rig.name]
        answers = [
            cells[2].text
            for chapter, found in study.studies
            if chapter.id == "at-the-airport"
            for table in found.tables
            for cells in table.rows
        ]
        flying = words(row.xpath("td[7]")[0])
        assert (flying == "not asked") == (not {"hand luggage", "hold luggage"} & set(study.rig.travels))
        assert ("stays home" in flying) == ("stays home" in answers)
        power = {
            finding.verdict
            for chapter, finding in study.findings
            if chapter.id == "power-for-the-night" and finding.id.startswith("lasts")
        }
        assert ("runs out" in words(row.xpath("td[8]")[0])) == ("fails" in power)
    shown = {name: (words(row.xpath("td[7]")[0]), words(row.xpath("td[8]")[0])) for name, row in rows(tree).items()}
    assert shown["Grebe 105 on the balcony"][1] == "needs mains"
    assert shown["135 mm lens on the tracker, by bicycle"][1] == "just lasts"
    assert shown["Heron 65 for the eclipse"] == ("may fly if the rules still hold", "lasts")


def finding(id_: str, verdict: Verdict) -> Finding:
    return Finding(id_, verdict, f"About {id_}", "A sentence.", (), "lasting")


@pytest.mark.parametrize(
    ("found", "level", "word", "unsure"),
    [
        ([("rest", "sound")], 0, "may fly", False),
        ([("a", "tight"), ("rest", "sound")], 1, "ask first", False),
        ([("a", "fails"), ("b", "tight"), ("c", "unsaid")], 2, "part stays home", False),
        ([("a", "unsaid"), ("rest", "sound")], None, "say more", True),
        ([("a", "unsaid"), ("b", "tight")], 1, "ask first", True),
        ([("flies", "unsaid")], None, "say more", True),
        ([], None, "say more", True),
    ],
)
def test_flight_is_as_good_as_its_worst_answer(
    found: list[tuple[str, Verdict]], level: int | None, word: str, unsure: bool
) -> None:
    answer = flight_answer(Study("at-the-airport", findings=tuple(finding(*one) for one in found)))
    assert (answer.level, answer.word, answer.open) == (level, word, unsure)


def test_a_rig_that_does_not_fly_was_not_asked_and_rules_to_read_again_change_no_word() -> None:
    asked = flight_answer(Study("at-the-airport", not_asked="This rig travels by car."))
    assert (asked.level, asked.word, asked.open) == (3, "not asked", False)
    found = Study("at-the-airport", findings=(finding("rest", "sound"), finding("again", "unsaid")))
    assert (flight_answer(found).word, flight_answer(found).lacks) == ("may fly", "if the rules still hold")


@pytest.mark.parametrize(
    ("found", "level", "word", "lacks"),
    [
        ([("lasts", "sound"), ("voltage", "fails")], 0, "lasts", ""),
        ([("lasts-a", "tight"), ("lasts", "sound")], 1, "just lasts", ""),
        ([("lasts-a", "fails"), ("draws", "unsaid")], 2, "runs out", ""),
        ([("lasts", "sound"), ("draws", "unsaid")], None, "unsaid", "About draws"),
        ([("lasts-a", "tight"), ("feeds", "unsaid")], 1, "just lasts", "About feeds"),
        ([("mains", "sound"), ("lasts", "sound")], 3, "needs mains", ""),
        ([("draws", "sound")], 0, "needs none", ""),
        ([], None, "unsaid", ""),
    ],
)
def test_power_lasts_as_long_as_what_runs_out_first(
    found: list[tuple[str, Verdict]], level: int | None, word: str, lacks: str
) -> None:
    answer = battery_answer(finding(*one) for one in found)
    assert (answer.level, answer.word, answer.lacks) == (level, word, lacks)


def test_what_is_unsaid_says_so_and_gives_the_script_nothing_to_judge(tmp_path: Path) -> None:
    shelf = parts(tube={"focal_length": None, "mass": None}, camera={"sensor": None, "guide_sensor": None})
    (row,) = rows(small(tmp_path, shelf=shelf)).values()
    cells = [words(cell) for cell in row.xpath("td")]
    assert [cells[place] for place in (0, 2, 3, 4, 5)] == ["unsaid"] * 5
    assert cells[1].startswith("at least ")
    assert row.attrib["data-mass"].endswith("+")
    assert not {
        f"data-{name}" for name in ("travel", "shoot", "asks", "camera", "scale", "field", "frames", "fly")
    } & set(row.attrib)


def test_a_rig_of_nothing_and_a_guide_without_rigs_have_a_page(tmp_path: Path) -> None:
    (row,) = rows(small(tmp_path / "one", rigs=[{"id": "bare", "name": "Bare"}])).values()
    assert "unsaid" in words(row.xpath("td[2]")[0])
    tree = small(tmp_path / "none", rigs=[])
    assert rows(tree) == {}
    assert tree.xpath("//form//*[@data-rl-test]") == []


def test_choices_that_no_rig_has_are_not_offered(demo: Catalogue, tree: html.HtmlElement) -> None:
    lent = [rig for rig in demo.rigs.values() if not rig.for_training]
    assert set(control(tree, "travel")) == {slug(way) for rig in lent for way in rig.travels} | {"by-air"}
    assert set(control(tree, "shoot")) == {slug(what) for rig in lent for what in rig.purpose}
    assert control(tree, "camera") == ["", "colour", "mono"]
    assert control(tree, "fly") == ["", "all", "ask"]
    assert control(tree, "on") == []
    held = control(tree, "target")[1:]
    framed = framings_of(demo)
    assert held
    for id_ in demo.targets:
        whole = any(one.framed.whole and one.framed.elements >= 5 and not one.rig.for_training for one in framed[id_])
        assert (id_ in held) == whole, id_


def test_by_air_is_either_sort_of_luggage_and_offered_only_where_a_rig_flies(
    tmp_path: Path, demo: Catalogue, tree: html.HtmlElement
) -> None:
    flying = {rig.name for rig in demo.rigs.values() if {"hand luggage", "hold luggage"} & set(rig.travels)}
    assert flying == {name for name, row in rows(tree).items() if "by-air" in row.attrib["data-travel"].split()}
    by_car = small(tmp_path, rigs=[{"id": "one", "name": "One", "travels": ["car"]}])
    assert control(by_car, "travel") == ["car"]
    assert [choice.name for choice in ways_in(demo)] == ["shoot", "travel"]


def test_the_bits_of_a_row_are_the_targets_that_it_frames(
    demo: Catalogue, studies: tuple[RigStudy, ...], tree: html.HtmlElement
) -> None:
    held = control(tree, "target")[1:]
    facts = {one.rig.name: one for one in facts_of(demo, studies, framings_of(demo), {})}
    for name, row in rows(tree).items():
        digits = row.attrib["data-frames"]
        found = {id_ for bit, id_ in enumerate(held) if int(digits[bit // 4], 16) >> bit % 4 & 1}
        assert found == (facts[name].frames or frozenset()) & set(held), name
    sun = next(row for name, row in rows(tree).items() if name == "Heron 65 for the eclipse")
    assert int(sun.attrib["data-frames"][held.index("sun") // 4], 16) >> held.index("sun") % 4 & 1


@given(st.lists(st.booleans(), max_size=70))
def test_bits_can_be_read_back(wanted: list[bool]) -> None:
    digits = bits(wanted)
    assert [bool(int(digits[place // 4], 16) >> place % 4 & 1) for place in range(len(wanted))] == wanted


def state_in(text: str, day: date) -> str:
    """Read what find.js reads: the last run that has begun."""
    begun = [run for run in text.split() if run[:10] <= day.isoformat()]
    return begun[-1][10:] if begun else STATES["unsaid"]


def test_what_is_told_is_written_so_that_any_day_can_be_looked_up(demo: Catalogue) -> None:
    lending = lending_of(demo)
    assert lending is not None
    met = set()
    for id_, had in lending.rigs.items():
        text = day_by_day(had.told)
        for ordinal in range(lending.on.toordinal(), lending.known.toordinal() + 40):
            day = date.fromordinal(ordinal)
            phase = phase_on(lending.phases[id_], day)
            assert phase is not None
            known = STATES[phase.state] if day <= lending.known else STATES["unsaid"]
            assert state_in(text, day) == known, (id_, day)
            met.add(known)
        assert state_in(text, lending.on - timedelta(days=1)) == STATES["unsaid"]
    assert met == {*STATES.values()}, "a check of the check"
    assert day_by_day(()) == ""


def test_a_date_is_offered_where_somebody_keeps_a_book_of_loans(demo: Catalogue, studies: tuple[RigStudy, ...]) -> None:
    lending = lending_of(demo)
    assert lending is not None
    had = lending.rigs["heron-cabin"]
    tree = page_of(demo, studies, {"heron-cabin": had})
    assert tree.xpath("//form//input[@type='date']/@name") == ["on", "until"]
    dated = [row.get("data-days") for row in rows(tree).values()]
    assert dated.count(day_by_day(had.told)) == 1
    assert dated.count(None) == len(demo.rigs) - 1


def test_units_of_the_guide_come_first(tmp_path: Path, tree: html.HtmlElement) -> None:
    path = "//select[@data-rl-unit-of='most']/option"
    assert [(one.get("value"), float(one.attrib["data-rl-number"])) for one in tree.xpath(path)] == [
        ("kg", 1.0),
        ("lb", pytest.approx(0.45359237)),  # the pound by its definition of 1959, read
    ]
    imperial = small(tmp_path, units="imperial")
    assert imperial.xpath(f"{path}/@value") == ["lb", "kg"]


def test_the_form_waits_for_script_and_every_control_has_a_name(tree: html.HtmlElement) -> None:
    (form,) = tree.xpath("//form")
    assert form.get("hidden") is not None
    for one in form.xpath(".//input | .//select"):
        assert one.getparent().tag == "label" or one.get("aria-label"), one.get("name")
    assert all(words(legend) for legend in form.xpath(".//legend"))
    for one in form.xpath(".//*[@data-rl-test]"):
        assert all(one.get(name) for name in ("data-rl-say", "data-rl-lacks", "name"))


def test_cards_are_labelled_as_the_columns_are() -> None:
    sheet = (Path(STATIC) / "assets/rigleaf/finding.css").read_text("utf-8")
    labels = re.findall(r'td:nth-child\((\d+)\)::before \{ content: "([^"]+)"', sheet)
    assert [(int(number), label) for number, label in labels] == [*enumerate(HEADS, 1)][1:-1]


def test_a_row_is_light_enough_for_a_thousand_rigs(tree: html.HtmlElement) -> None:
    sizes = [len(html.tostring(row, encoding="utf-8")) for row in rows(tree).values()]
    assert sum(sizes) / len(sizes) < 1300


def test_facts_say_none_where_nothing_is_known(tmp_path: Path) -> None:
    guide = read_guide(tmp_path, rigs=[{"id": "bare", "name": "Bare"}])
    (facts,) = facts_of(guide, study_guide(guide), {}, {})
    assert isinstance(facts, RigFacts)
    assert (facts.mass, facts.scale, facts.field, facts.asks, facts.camera, facts.frames) == (None,) * 4 + ("", None)
