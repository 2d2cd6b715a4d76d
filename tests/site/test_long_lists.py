"""Pages that list rigs stay short in a large guide, and say where the others are."""

import pytest
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.in_the_frame import fleet
from rigleaf.chapters.study import RigStudy
from rigleaf.site import book
from rigleaf.site.book import make_book
from rigleaf.site.rigs.facts import easiest_first
from rigleaf.site.skies.mosaics import mosaic_files
from rigleaf.site.typeset.addresses import Addresses


@pytest.fixture
def short(demo: Catalogue, monkeypatch: pytest.MonkeyPatch) -> dict[str, html.HtmlElement]:
    """The pages of a guide that counts as large, by their addresses."""
    monkeypatch.setattr(book, "MOST_ON_HOME", 3)
    monkeypatch.setattr(fleet, "MOST_NAMED", 2)
    return {page.address: html.fromstring(page.html) for page in make_book(demo, Addresses(False)).pages}


def test_a_large_guide_begins_with_the_rigs_that_are_easiest_to_use(
    demo: Catalogue, demo_studies: tuple[RigStudy, ...], short: dict[str, html.HtmlElement]
) -> None:
    home = short["index"]
    names = [link.text_content().strip() for link in home.xpath("//*[contains(@class, 'rl-card-grid')]//h3//a")]
    assert names == [study.rig.name for study in sorted(demo_studies, key=easiest_first)[:3]]
    assert f"This guide describes {len(demo.rigs)} rigs" in home.text_content()
    assert home.xpath(f"//a[contains(., 'all {len(demo.rigs)}')]/@href") == ["rigs/index.html"]


def test_a_target_names_the_best_rigs_and_those_made_for_it_and_how_many_others_there_are(
    demo: Catalogue, short: dict[str, html.HtmlElement], monkeypatch: pytest.MonkeyPatch
) -> None:
    made_for = others = 0
    for id_, ranked in fleet.framings_of(demo).items():
        page = short[f"targets/{id_}"]
        named = [one.rig.name for number, one in enumerate(ranked) if number < 2 or id_ in one.rig.targets]
        assert page.xpath("//section//tbody/tr/th/a/text()|//tbody/tr/th/a/text()") == named, id_
        left = len(ranked) - len(named)
        assert (f"no better than those: {left}." in page.text_content()) == bool(left), id_
        made_for, others = made_for + len(named[2:]), others + left
    assert made_for
    assert others
    known = {path for path, _ in mosaic_files(demo)}
    monkeypatch.undo()
    assert known < {path for path, _ in mosaic_files(demo)}, "only the rigs that are named have files"
