"""What the register of methods promises: nothing is shown without a method, a source and an outside check."""

import ast
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters import methods as register_of_methods
from rigleaf.chapters import study as studies
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Study
from rigleaf.chapters.formatting import FIGURES_ONLY
from rigleaf.chapters.methods import MethodError, methods
from rigleaf.chapters.register import ORDER, Chapter, chapters
from rigleaf.chapters.study import RigStudy, study_rig
from rigleaf.quantities import DIMENSIONS
from tests.chapters.small_guide import catalogue


def shown(demo_studies: tuple[RigStudy, ...]) -> Iterator[tuple[str, Figure | Finding]]:
    """Everything that names a method, with the rig and chapter that show it; figures inside tables too."""
    for study in demo_studies:
        for chapter, found in study.studies:
            place = f"{study.rig.id}/{chapter.id}"
            yield from ((place, figure) for figure in found.figures)
            yield from ((place, finding) for finding in found.findings)
            for table in found.tables:
                for row in (*table.rows, table.sums):
                    yield from ((place, cell.figure) for cell in row if cell.figure is not None)


def test_every_figure_and_finding_names_a_method_of_the_register(demo_studies: tuple[RigStudy, ...]) -> None:
    unknown = [f"{place}: {entry.id}" for place, entry in shown(demo_studies) if entry.method not in methods()]
    assert unknown == []


def test_every_method_is_shown_by_a_rig_of_the_demo(demo_studies: tuple[RigStudy, ...]) -> None:
    used = {entry.method for _, entry in shown(demo_studies)}
    assert [name for name in methods() if name not in used] == []


def test_every_method_has_a_source_words_and_symbols_for_its_formula() -> None:
    for method in methods().values():
        assert method.sources, method.id
        assert method.words.strip().endswith("."), method.id
        assert bool(method.formula) == bool(method.symbols), method.id
        assert method.chapter in {chapter.id for chapter in chapters()}, method.id


@pytest.fixture(scope="module")
def outside_tests(project: Path) -> set[str]:
    """Names of the test functions in tests/outside as ``path::name``."""
    return {
        f"{path.relative_to(project).as_posix()}::{node.name}"
        for path in (project / "tests" / "outside").glob("test_*.py")
        for node in ast.parse(path.read_text("utf-8")).body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    }


def test_the_outside_checks_that_methods_name_exist(outside_tests: set[str]) -> None:
    named = {(method.id, check.test) for method in methods().values() for check in method.checks}
    assert named
    assert [f"{id_}: {test}" for id_, test in sorted(named) if test not in outside_tests] == []


def test_figures_have_dimensions_ids_of_their_own_and_a_table_to_stand_in(
    demo_studies: tuple[RigStudy, ...],
) -> None:
    for study in demo_studies:
        for chapter, found in study.studies:
            names = [figure.id for figure in found.figures]
            assert len(names) == len(set(names)), (study.rig.id, chapter.id)
            assert {figure.dimension for figure in found.figures} <= {*DIMENSIONS, *FIGURES_ONLY, "text"}
            verdicts = [finding.id for finding in found.findings]
            assert len(verdicts) == len(set(verdicts)), (study.rig.id, chapter.id)


def test_findings_rest_on_figures_of_their_own_chapter(demo_studies: tuple[RigStudy, ...]) -> None:
    missing = [
        f"{study.rig.id}: {finding.id} names {id_}"
        for study in demo_studies
        for _, found in study.studies
        for finding in found.findings
        for id_ in finding.figures
        if id_ not in found.index
    ]
    assert missing == []


def test_findings_that_find_fault_say_what_would_mend_it_and_name_only_parts_that_exist(
    demo: Catalogue, demo_studies: tuple[RigStudy, ...]
) -> None:
    for study in demo_studies:
        for _, finding in study.findings:
            assert finding.verdict == "sound" or finding.remedy, (study.rig.id, finding.id)
            for id_ in finding.parts:
                assert demo.parts[id_].name in finding.sentence + finding.remedy or "more" in finding.sentence


def test_the_demo_shows_all_four_verdicts(demo_studies: tuple[RigStudy, ...]) -> None:
    assert {finding.verdict for study in demo_studies for _, finding in study.findings} == {
        "sound",
        "tight",
        "fails",
        "unsaid",
    }


def test_cards_show_figures_that_exist(demo_studies: tuple[RigStudy, ...]) -> None:
    for chapter in chapters():
        known = {id_ for study in demo_studies for one, found in study.studies if one == chapter for id_ in found.index}
        assert set(chapter.on_card) <= known


def with_first_figure(monkeypatch: pytest.MonkeyPatch, **changes: str) -> None:
    """Let the chapter on scale and field return its first figure changed."""

    def changed(chapter: Chapter) -> Chapter:
        def study(assembly: Assembly) -> Study:
            found = chapter.study(assembly)
            first = replace(found.figures[0], **changes)  # type: ignore[arg-type]
            return replace(found, figures=(first, *found.figures[1:]))

        return replace(chapter, study=study) if chapter.id == "scale-and-field" else chapter

    found = tuple(map(changed, chapters()))
    monkeypatch.setattr(studies, "chapters", lambda: found)


def test_a_study_that_names_an_unknown_method_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    small = catalogue()
    with_first_figure(monkeypatch)
    study_rig(small, small.rigs["rig"])
    with_first_figure(monkeypatch, method="guesswork")
    with pytest.raises(
        MethodError, match="'aperture' in chapter 'scale-and-field' names the unknown method 'guesswork'"
    ):
        study_rig(small, small.rigs["rig"])


@pytest.mark.parametrize("left_out", ["sources", "checks"])
def test_a_method_without_source_or_check_is_refused(left_out: str) -> None:
    entry = {
        "id": "some",
        "name": "Some",
        "words": "Some.",
        "sources": [{"title": "A book"}],
        "checks": [{"test": "tests/outside/test_some.py::test_some", "against": "a book"}],
    }
    assert register_of_methods._method(entry, "some-chapter").chapter == "some-chapter"
    del entry[left_out]
    with pytest.raises(MethodError, match="'some' needs a source and an outside check"):
        register_of_methods._method(entry, "some-chapter")


def test_chapters_stand_in_order_under_their_folders_names() -> None:
    assert [chapter.id for chapter in chapters()] == [folder.replace("_", "-") for folder in ORDER]


def test_each_folder_of_a_chapter_is_in_the_order(package: Path) -> None:
    folders = {path.parent.name for path in (package / "chapters").glob("*/methods.yml")}
    assert folders == set(ORDER)


@pytest.mark.parametrize(
    ("verdicts", "worst"),
    [
        ([], "sound"),
        (["sound"], "sound"),
        (["sound", "unsaid"], "unsaid"),
        (["unsaid", "tight", "sound"], "tight"),
        (["tight", "unsaid", "fails", "sound"], "fails"),
    ],
)
def test_a_chapter_is_as_good_as_its_worst_finding(verdicts: list[str], worst: str) -> None:
    findings = tuple(Finding(f"f{n}", word, "", "", (), "mass-total") for n, word in enumerate(verdicts))  # type: ignore[arg-type]
    assert Study("some", findings=findings).worst == worst


def test_the_value_of_a_figure_is_a_number_or_nothing() -> None:
    figures = (
        Figure("long", "", 5.0, "length", ""),
        Figure("unsaid", "", None, "length", ""),
        Figure("words", "", "5 × 4", "text", ""),
    )
    study = Study("some", figures)
    assert [study.value(id_) for id_ in ("long", "unsaid", "words", "none such")] == [5.0, None, None, None]


def test_findings_are_listed_worst_first_and_otherwise_as_on_the_page(demo_studies: tuple[RigStudy, ...]) -> None:
    for study in demo_studies:
        ranks = [["fails", "tight", "unsaid", "sound"].index(finding.verdict) for _, finding in study.findings]
        assert ranks == sorted(ranks)
        as_shown = [finding for _, found in study.studies for finding in found.findings]
        for verdict in ("sound", "tight"):
            assert [f for _, f in study.findings if f.verdict == verdict] == [
                f for f in as_shown if f.verdict == verdict
            ]
