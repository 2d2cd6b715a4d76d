"""The card for the lid says what the chapters say, in short names, the worst findings first."""

from pathlib import Path

import pytest
from lxml import html

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.figures import WORST_FIRST
from rigleaf.chapters.register import chapters
from rigleaf.chapters.study import RigStudy
from rigleaf.site.sheets.codes import LEAST_MODULE
from rigleaf.site.sheets.field_card import CODE_SIDE, MOST_FINDINGS, PICKED, blocks_of, field_card, minds_of
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer

SITE = "https://rigs.example/guide/"


@pytest.fixture(scope="module")
def studies(demo_studies: tuple[RigStudy, ...]) -> dict[str, RigStudy]:
    return {study.rig.id: study for study in demo_studies}


def test_every_figure_that_it_picks_exists_for_some_rig(studies: dict[str, RigStudy]) -> None:
    known = {(chapter.id, id_) for study in studies.values() for chapter, found in study.studies for id_ in found.index}
    asked = {(chapter, id_) for _, chapter, wanted in PICKED for id_ in wanted}
    assert asked - known == set()
    assert {chapter for _, chapter, _ in PICKED} <= {chapter.id for chapter in chapters()}


def test_values_are_those_of_the_chapters(studies: dict[str, RigStudy]) -> None:
    writer = Writer("rigs/some/card", Addresses())
    for study in studies.values():
        rows = {label: value for block in blocks_of(study, writer) for label, value in block.rows}
        exposure = next(found for owner, found in study.studies if owner.id == "guiding-and-exposure")
        if "Sub-exposure" in rows:
            assert rows["Sub-exposure"] == writer.brief(exposure.index["sub"])
        assert not any("unsaid" in value for value in rows.values())


def test_what_does_not_hold_stands_worst_first_and_the_rest_is_counted(studies: dict[str, RigStudy]) -> None:
    for study in studies.values():
        told, more = minds_of(study)
        ranks = [WORST_FIRST.index(mind.finding.verdict) for mind in told]
        assert ranks == sorted(ranks)
        bad = [finding for _, finding in study.findings if finding.verdict in ("fails", "tight")]
        assert len(told) == min(len(bad), MOST_FINDINGS)
        assert len(told) + more == len(bad)


def test_it_has_a_code_only_where_the_site_has_an_address(project: Path, studies: dict[str, RigStudy]) -> None:
    catalogue, study = read_catalogue(project), studies["curlew-twin"]
    known = html.fromstring(field_card(catalogue, study, Addresses(site=SITE)).html)
    assert known.find_class("rl-code")
    assert "rigs.example/guide/rigs/curlew-twin.html" in known.text_content()
    assert not html.fromstring(field_card(catalogue, study, Addresses()).html).find_class("rl-code")


@pytest.mark.parametrize(("signs", "grows"), [(60, False), (100, False), (150, True), (280, True), (400, None)])
def test_the_code_of_a_long_address_grows_or_is_left_out(
    project: Path, studies: dict[str, RigStudy], signs: int, grows: bool | None
) -> None:
    site = f"https://rigs.example/{'a' * signs}/"
    page = html.fromstring(field_card(read_catalogue(project), studies["curlew-twin"], Addresses(site=site)).html)
    codes = page.find_class("rl-code")
    if grows is None:
        assert not codes
        return
    (code,) = codes
    side = float((code.get("width") or "").removesuffix("mm"))
    across = float((code.get("viewbox") or "").split()[-1])
    assert side / across >= LEAST_MODULE - 1e-3
    assert (side > CODE_SIDE) is grows


def test_the_steps_and_the_cautions_are_on_it(project: Path, studies: dict[str, RigStudy]) -> None:
    text = html.fromstring(
        field_card(read_catalogue(project), studies["heron-eclipse"], Addresses()).html
    ).text_content()
    for words in ("Filter for the Sun", "Filter on again", "Lithium batteries", "First exposure"):
        assert words in text
