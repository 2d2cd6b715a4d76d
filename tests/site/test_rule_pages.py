"""The page of flight rules: every rule with its source, in words that can be read out, and links that reach it."""

import re
from dataclasses import replace

import pytest
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.at_the_airport.chapter import CHAPTER
from rigleaf.chapters.at_the_airport.study import study
from rigleaf.rules.carriers import rules_of
from rigleaf.rules.register import published
from rigleaf.site.record import PageRecord
from rigleaf.site.reference.rules import rule_page
from rigleaf.site.typeset.addresses import RULES_ADDRESS, Addresses
from rigleaf.site.typeset.templating import Writer
from tests.rules.kit import published_rule


@pytest.fixture(scope="module")
def page(demo: Catalogue) -> PageRecord:
    return rule_page(demo, Addresses())


def words_of(page: PageRecord) -> dict[str, str]:
    """Return what stands under each rule, by its id."""
    tree = html.fromstring(f"<main>{page.html}</main>")
    found: dict[str, str] = {}
    for term in tree.iter("dt"):
        below = term.getnext()
        assert below is not None
        words = " ".join(f"{term.text_content()} {below.text_content()}".split())
        found |= {one.get("id") or "": words for one in (term, *term.iter("span")) if one.get("id")}
    return found


def test_every_rule_stands_there_with_its_source(demo: Catalogue, page: PageRecord) -> None:
    words = words_of(page)
    rules = [*published().rules.values(), *(rule for one in demo.carriers.values() for rule in rules_of(one))]
    assert set(words) == {rule.id for rule in rules}
    for rule in rules:
        assert f"{rule.body.word} {rule.body.says}" in words[rule.id] or f"{rule.body.word}: " in words[rule.id]
        assert rule.body.says in words[rule.id]
        assert rule.document in words[rule.id]
        assert words[rule.id].endswith(".")
    assert "in force since 27 March 2026; read in a copy; confidence high." in words["icao-power-bank-two"]
    assert "from memory; confidence high." in words["icao-open-lead"]
    assert "until 26 March 2026" in words["icao-power-bank-until-2026"]
    assert "read by this guide on 22 October 2026" in words["merulane--one-power-bank"]


def test_the_page_says_when_it_was_read_and_that_it_permits_nothing(page: PageRecord) -> None:
    assert "looked for up to 25 November 2026" in " ".join(page.html.split())
    assert "never a permission" in page.html


def test_no_sentence_stands_there_twice_for_one_authority(page: PageRecord) -> None:
    for section in html.fromstring(f"<main>{page.html}</main>").iter("section"):
        says = [" ".join((term.text_content()).split()) for term in section.iter("dt")]
        assert len(says) == len(set(says))
    both = words_of(page)["tannfalk--cabin-mass"]
    assert both.startswith("may fly: up to 8 kg stays home: over 8 kg Tannfalk Air takes cabin bags of up to 8 kg.")
    assert both == words_of(page)["tannfalk--cabin-too-heavy"]


def test_dates_are_written_in_one_way(page: PageRecord) -> None:
    assert not re.search(r"\d{4}-\d{2}-\d{2}", page.html)


def test_rules_are_folded_and_each_fold_counts_its_answers(page: PageRecord) -> None:
    for section in html.fromstring(f"<main>{page.html}</main>").iter("section"):
        (fold,) = section.iter("details")
        summary = fold.find("summary")
        assert summary is not None
        counts = [
            int(number)
            for number in re.findall(r"(\d+) (?:may fly|ask first|say more|stays home)", summary.text_content())
        ]
        assert sum(counts) == len([one for one in section.iter("span") if one.get("class") == "rl-rule-word"])


def test_ids_on_the_page_are_unique(page: PageRecord) -> None:
    ids = re.findall(r'id="([^"]+)"', page.html)
    assert len(ids) == len(set(ids))


def test_rules_of_the_guides_own_are_told_too(demo: Catalogue) -> None:
    own = published_rule("own", authority="NA", says="No <b>bold</b> banks.")
    words = words_of(rule_page(replace(demo, rules={"own": own}), Addresses()))
    assert "No <b>bold</b> banks." in words["own"]


def test_a_rigs_chapter_links_the_rules_behind_its_answers(demo: Catalogue, page: PageRecord) -> None:
    found = study(Assembly(demo, demo.rigs["heron-south"]))
    names = {id_: part.name for id_, part in demo.parts.items()}
    writer = Writer("rigs/heron-south", Addresses(), part_names=names)
    written = writer.render(CHAPTER.template, chapter=CHAPTER, study=found)
    linked = set(re.findall(rf'href="\.\./{RULES_ADDRESS}\.html#([^"]+)"', written))
    assert "icao-power-bank-two" in linked
    assert linked <= set(words_of(page))
