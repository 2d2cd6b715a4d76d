"""The page of flight rules: every rule with its source, in words that can be read out, and links that reach it."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.at_the_airport.chapter import CHAPTER
from rigleaf.chapters.at_the_airport.study import study
from rigleaf.rules.carriers import rules_of
from rigleaf.rules.register import published
from rigleaf.site.addresses import RULES_ADDRESS, Addresses
from rigleaf.site.record import PageRecord
from rigleaf.site.rule_pages import rule_page
from rigleaf.site.templating import Writer
from tests.rules.kit import published_rule


@pytest.fixture(scope="module")
def demo(project: Path) -> Catalogue:
    return read_catalogue(project)


@pytest.fixture(scope="module")
def page(demo: Catalogue) -> PageRecord:
    return rule_page(demo, Addresses())


def words_of(page: PageRecord) -> dict[str, str]:
    """Return what stands under each rule, by its id."""
    tree = html.fromstring(f"<main>{page.html}</main>")
    found = {}
    for term in tree.iter("dt"):
        below = term.getnext()
        assert below is not None
        found[term.get("id") or ""] = " ".join(f"{term.text_content()} {below.text_content()}".split())
    return found


def test_every_rule_stands_there_with_its_source(demo: Catalogue, page: PageRecord) -> None:
    words = words_of(page)
    rules = [*published().rules.values(), *(rule for one in demo.carriers.values() for rule in rules_of(one))]
    assert set(words) == {rule.id for rule in rules}
    for rule in rules:
        assert words[rule.id].startswith(rule.body.says)
        assert rule.document in words[rule.id]
        assert words[rule.id].endswith(".")
    assert "in force since 27 March 2026; read in a copy; confidence high." in words["icao-power-bank-two"]
    assert "from memory; confidence high." in words["icao-open-lead"]
    assert "until 26 March 2026" in words["icao-power-bank-until-2026"]
    assert "read by this guide on 2026-10-22" in words["merulane--one-power-bank"]


def test_the_page_says_when_it_was_read_and_that_it_permits_nothing(page: PageRecord) -> None:
    assert "looked for up to 25 November 2026" in " ".join(page.html.split())
    assert "never a permission" in page.html


def test_ids_on_the_page_are_unique(page: PageRecord) -> None:
    ids = re.findall(r'id="([^"]+)"', page.html)
    assert len(ids) == len(set(ids))


def test_rules_of_the_guides_own_are_told_too(demo: Catalogue) -> None:
    own = published_rule("own", authority="NA", says="No <b>bold</b> banks.")
    words = words_of(rule_page(replace(demo, rules={"own": own}), Addresses()))
    assert words["own"].startswith("No <b>bold</b> banks.")


def test_a_rigs_chapter_links_the_rules_behind_its_answers(demo: Catalogue, page: PageRecord) -> None:
    found = study(Assembly(demo, demo.rigs["heron-south"]))
    names = {id_: part.name for id_, part in demo.parts.items()}
    writer = Writer("rigs/heron-south", Addresses(), part_names=names)
    written = writer.render(CHAPTER.template, chapter=CHAPTER, study=found)
    linked = set(re.findall(rf'href="\.\./{RULES_ADDRESS}\.html#([^"]+)"', written))
    assert "icao-power-bank-two" in linked
    assert linked <= set(words_of(page))
