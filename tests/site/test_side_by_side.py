"""Data of rigs side by side: what the studies say, small, harmless, and a band within which nothing differs."""

import json
import math
import time
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.formatting import FIGURES_ONLY, show
from rigleaf.chapters.register import chapters
from rigleaf.chapters.study import RigStudy, study_guide
from rigleaf.quantities import DIMENSIONS
from rigleaf.site.lent.availability import lending_of
from rigleaf.site.rigs.side_by_side import (
    CALL,
    FOLDER,
    LIGHTEST,
    LIST_PATH,
    band,
    neighbours,
    rig_file,
    script,
    side_by_side_files,
)
from rigleaf.site.rigs.side_by_side_page import STANDS_FOR_ID, side_by_side_page
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.doors import doors_of
from rigleaf.site.typeset.templating import Writer
from tests.chapters.small_guide import RIG
from tests.site.yaml_guide import read_guide

LARGEST_FILE = 8_000
SLOWEST_MS = 10
"""A file of one rig takes well under a millisecond or two; this leaves room for a busy machine."""

LABEL, SHOWN, NUMBER, BAND, OTHER, ERROR, NOTE, LEAST = range(8)


@pytest.fixture(scope="module")
def studies(demo_studies: tuple[RigStudy, ...]) -> tuple[RigStudy, ...]:
    return demo_studies


@pytest.fixture(scope="module")
def files(demo: Catalogue, studies: tuple[RigStudy, ...]) -> Mapping[str, bytes]:
    return dict(side_by_side_files(demo, studies))


def read(content: bytes) -> Any:
    text = content.decode("utf-8")
    assert text.startswith(f"{CALL}(")
    assert text.endswith(");\n")
    return json.loads(text.removeprefix(f"{CALL}(").removesuffix(");\n"))


def test_every_rig_has_a_small_file_and_the_list_names_all(
    demo: Catalogue, studies: tuple[RigStudy, ...], files: Mapping[str, bytes]
) -> None:
    assert set(files) == {LIST_PATH} | {rig_file(id_) for id_ in demo.rigs}
    assert max(len(content) for path, content in files.items() if path != LIST_PATH) < LARGEST_FILE
    listed = read(files[LIST_PATH])
    assert listed["rigs"] == [[rig.id, rig.name] for rig in demo.rigs.values()]
    assert [id_ for id_, _ in listed["chapters"]] == [chapter.id for chapter in chapters()]
    m31 = next(one for one in listed["targets"] if one[0] == "m31")
    assert m31[2] == pytest.approx(math.degrees(math.tan(math.radians(177.83 / 120))), rel=1e-3)
    assert [one[0] for one in listed["targets"] if "certified" in one[5]] == ["sun"]
    begun = time.perf_counter()
    list(side_by_side_files(demo, studies))
    assert (time.perf_counter() - begun) / len(studies) * 1000 < SLOWEST_MS


def test_figures_and_findings_are_those_of_the_studies(
    studies: tuple[RigStudy, ...], files: Mapping[str, bytes]
) -> None:
    for study in studies:
        data = read(files[rig_file(study.rig.id)])
        assert [row[LABEL] for row in data["key"]] == [figure.label for _, figure in study.on_card]
        for chapter, found in study.studies:
            rows = {row[LABEL]: row for row in data["rows"].get(chapter.id, [])}
            wanted = [found.index[id_] for id_ in chapter.compared if id_ in found.index]
            assert list(rows) == [figure.label for figure in wanted]
            for figure in wanted:
                row = rows[figure.label]
                if isinstance(figure.value, float):
                    shown = show(figure.value, figure.dimension)
                    assert row[SHOWN] == shown.first
                    assert row[NUMBER] == pytest.approx(figure.value, rel=1e-5)
                    assert (row[OTHER] if len(row) > OTHER else "") == shown.second
                    bounds = len(row) > NOTE and row[NOTE].startswith("at ")
                    assert bounds == figure.note.startswith(("at least", "at most"))
                else:
                    assert row[1:] == ([figure.value] if figure.value else row[1:])
            findings = data["findings"].get(chapter.id, [])
            assert findings == [[one.verdict, one.id, one.title] for one in found.worst_first]


def test_every_figure_that_is_compared_exists_in_some_study(studies: tuple[RigStudy, ...]) -> None:
    known = {
        (chapter.id, figure.id) for study in studies for chapter, found in study.studies for figure in found.figures
    }
    asked = {(chapter.id, id_) for chapter in chapters() for id_ in chapter.compared}
    assert asked - known == set()
    assert LIGHTEST - known == set()
    assert not {(chapter.id, id_) for chapter in chapters() for id_ in chapter.on_card} & asked, "no figure twice"


def test_a_mass_with_gaps_is_told_as_a_bound(files: Mapping[str, bytes]) -> None:
    misfits = read(files[rig_file("workshop-misfits")])
    assert any(len(row) > NOTE and row[NOTE].startswith("at least") for row in misfits["rows"]["what-it-weighs"])


DIMENSION = st.sampled_from(sorted({*DIMENSIONS, *FIGURES_ONLY} - {"text"}))
NUMBERS = st.floats(1e-3, 1e5)


@given(NUMBERS, DIMENSION, st.none() | st.floats(1e-6, 10.0))
def test_a_band_is_finer_than_what_is_shown_and_never_finer_than_the_uncertainty(
    value: float, dimension: str, error: float | None
) -> None:
    shown = show(value, dimension)
    width = band(value, shown, error)
    assert width >= (error or 0.0)
    assert 0 <= band(value, shown) <= value, "never more than the value itself"


@given(st.integers(10, 99), st.integers(10, 99))
def test_neighbouring_values_differ_where_half_a_shown_step_lies_between(one: int, other: int) -> None:
    a, b = one / 10 + 0.0, other / 10 + 0.0
    bands = band(a, show(a, "voltage")) + band(b, show(b, "voltage"))
    assert (abs(a - b) <= bands) == (one == other)
    assert abs(a - (a + 0.04)) <= band(a, show(a, "voltage")) * 2


@pytest.mark.parametrize("word", ["</script><script>alert(1)", "\u2028", "\u2029", "<!--", "]]>", '"', "\\", "é″²"])
def test_no_text_ends_the_script_or_is_changed(word: str) -> None:
    content = script({"name": word})
    assert read(content)["name"] == word
    text = content.decode("utf-8")
    assert "<" not in text
    assert not {"\u2028", "\u2029"} & set(text)


def test_whether_it_flies_is_the_strictest_answer(files: Mapping[str, bytes]) -> None:
    words = {id_: read(files[rig_file(id_)])["flight"] for id_ in ("heron-cabin", "curlew-twin")}
    assert words == {"heron-cabin": "stays home", "curlew-twin": ""}


def test_phases_come_along_where_somebody_keeps_account(demo: Catalogue, studies: tuple[RigStudy, ...]) -> None:
    lending = lending_of(demo)
    assert lending is not None
    made = dict(side_by_side_files(demo, studies, lending.rigs))
    for id_, one in lending.rigs.items():
        found = read(made[rig_file(id_)])["told"]
        assert found == [[*row] for row in one.told]
        assert found[-1][2] == "unsaid"
    assert read(dict(side_by_side_files(demo, studies))[rig_file("heron-cabin")])["told"] == []


def test_what_is_offered_beside_has_the_same_purpose_and_is_no_exercise(
    demo: Catalogue, studies: tuple[RigStudy, ...]
) -> None:
    for id_, others in neighbours(studies).items():
        assert id_ not in others
        for other in others:
            assert demo.rigs[other].purpose[0] == demo.rigs[id_].purpose[0]
            assert not demo.rigs[other].for_training
    assert any(neighbours(studies).values())
    alone = neighbours(studies[:1])
    assert [*alone.values()] == [()]


@pytest.mark.parametrize("folders", [False, True])
def test_the_page_names_where_files_and_pages_stand(demo: Catalogue, folders: bool) -> None:
    page = side_by_side_page(demo, Addresses(folders))
    root = html.fromstring(f"<main>{page.html}</main>").xpath("//*[@data-rl-beside]")[0]
    assert root.get("data-files") == f"../{FOLDER}/{STANDS_FOR_ID}.js"
    assert root.get("data-pages") == f"../rigs/{STANDS_FOR_ID}" + ("/" if folders else ".html")
    assert root.get("data-page-of-index") == "../rigs/index_" + ("/" if folders else ".html")
    assert root.get("hidden") is not None, "without a script a sentence and a link stand in its place"
    door = doors_of(demo, demo.rigs["curlew-twin"], Writer("rigs/curlew-twin", Addresses(folders)))[0]
    assert door.href == ("../../compare/?rigs=curlew-twin" if folders else "../compare/index.html?rigs=curlew-twin")


def test_a_rig_of_which_nothing_is_known_has_a_file_too(tmp_path: Path) -> None:
    bare = {"id": "bare", "name": "Bare"}
    guide = read_guide(tmp_path, rigs=[RIG, bare])
    studies = study_guide(guide)
    data = read(dict(side_by_side_files(guide, studies))[rig_file("bare")])
    assert data["frame"] is None
    assert data["flight"] == "unsaid", "how it travels is unsaid, which is not the same as not meant to fly"
    assert replace(studies[0], studies=()).on_card == []
