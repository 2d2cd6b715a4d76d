"""The first screen of a rig's page says what its chapters say, the worst first."""

import re

import pytest
from lxml import html

from rigleaf.chapters.figures import WORST_FIRST
from rigleaf.chapters.study import RigStudy
from rigleaf.site.rigs.head import holding, lines, portrait, questions
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer

WRITER = Writer("rigs/some", Addresses())


@pytest.fixture(scope="module")
def studies(demo_studies: tuple[RigStudy, ...]) -> dict[str, RigStudy]:
    return {study.rig.id: study for study in demo_studies}


def test_every_chapter_has_its_line_or_holds(studies: dict[str, RigStudy]) -> None:
    for study in studies.values():
        named = [line.chapter.id for line in lines(study)] + [chapter.id for chapter in holding(study)]
        assert sorted(named) == sorted(chapter.id for chapter, found in study.studies if found.findings)
        assert all(found.findings or found.not_asked for _, found in study.studies)


def test_lines_stand_worst_first_and_name_a_finding_of_that_verdict(studies: dict[str, RigStudy]) -> None:
    for study in studies.values():
        found = lines(study)
        ranks = [WORST_FIRST.index(line.verdict) for line in found]
        assert ranks == sorted(ranks)
        for line in found:
            assert line.finding.verdict == line.verdict
            owner = next(result for chapter, result in study.studies if chapter == line.chapter)
            left: list[str] = [one.verdict for one in owner.findings if one.verdict != "sound"]
            left.remove(line.verdict)
            assert line.more == tuple((word, left.count(word)) for word in WORST_FIRST if word in left)


def test_the_mass_is_that_of_the_chapter(studies: dict[str, RigStudy]) -> None:
    (heavy,) = [one for one in questions(studies["bittern-heavy"], WRITER) if one.anchor == "what-it-weighs"]
    shown = html.fromstring(f"<p>{heavy.words}</p>").text_content().replace("\u202f", " ").replace("\u00a0", " ")
    total = studies["bittern-heavy"].value("what-it-weighs", "total")
    assert total is not None
    assert float(re.findall(r"[\d.]+", shown)[0]) == pytest.approx(total, abs=0.05)
    assert "hardest lift" in shown


@pytest.mark.parametrize(
    ("rig", "word", "words"),
    [
        ("curlew-twin", "", "not meant to fly"),
        ("milky-way-walk", "ask first", r"\d+ of \d+ things"),
        ("heron-cabin", "stays home", r"\d+ of \d+ things"),
    ],
)
def test_the_flight_answer_is_the_strictest(studies: dict[str, RigStudy], rig: str, word: str, words: str) -> None:
    (flight,) = [one for one in questions(studies[rig], WRITER) if one.anchor == "at-the-airport"]
    assert flight.word == word
    assert re.fullmatch(words, flight.words)


def test_the_answer_counts_what_the_table_lists(studies: dict[str, RigStudy]) -> None:
    airport = next(result for chapter, result in studies["heron-cabin"].studies if chapter.id == "at-the-airport")
    (table,) = (table for table in airport.tables if table.id == "answers")
    rows = [row[2].text for row in table.rows]
    answer = airport.index["answer"]
    assert answer.value == rows[0]
    assert answer.note == f"{rows.count(rows[0])} of {len(rows)} things"


def test_the_portrait_shows_the_frame_to_scale(studies: dict[str, RigStudy]) -> None:
    for study in studies.values():
        drawing = portrait(study)
        assert drawing is not None, study.rig.id
        sides = next(
            (float(found["w"]), float(found["h"]))
            for found in re.finditer(
                r'<rect class="ink" x="[^"]*" y="[^"]*" width="(?P<w>[^"]*)" height="(?P<h>[^"]*)"', drawing.svg
            )
        )
        scale = next(result for chapter, result in study.studies if chapter.id == "scale-and-field")
        across, up = scale.value("sensor-width"), scale.value("sensor-height")
        assert across is not None
        assert up is not None
        assert sides[0] / sides[1] == pytest.approx(across / up, rel=1e-3), study.rig.id
