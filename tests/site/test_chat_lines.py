"""A few lines for a chat: short, plain, and no more than the study says."""

import re
from collections import Counter
from pathlib import Path

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.formatting import show
from rigleaf.chapters.study import RigStudy, study_rig
from rigleaf.site.book import make_book
from rigleaf.site.sent.chat_lines import AIRPORT, LONGEST, WIDEST, chat_lines
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.prose import first_sentence
from tests.chapters.small_guide import RIG
from tests.site.test_escaping import HOSTILE
from tests.site.yaml_guide import read_guide

SITE = "https://club.example/guide/"


@pytest.fixture(scope="module")
def studies(demo_studies: tuple[RigStudy, ...]) -> tuple[RigStudy, ...]:
    return demo_studies


def lines_of(catalogue: Catalogue, study: RigStudy, site: str = SITE) -> str:
    return chat_lines(catalogue, study, Addresses(False, site), first_sentence(study.rig.summary or ""))


def joined(text: str) -> str:
    """The text without its line breaks."""
    return " ".join(text.split())


def test_they_are_short_and_plain(demo: Catalogue, studies: tuple[RigStudy, ...]) -> None:
    for study in studies:
        text = lines_of(demo, study)
        assert len(text) <= LONGEST, study.rig.id
        assert max(map(len, text.splitlines())) <= WIDEST, study.rig.id
        assert text.endswith("\n")
        assert "\n\n" not in text
        assert not re.search(r"[\t\r\u00a0\u2009\u202f\u200b“”‘’′″−–—×·…]|  ", text), study.rig.id


def test_the_first_line_is_the_name_and_the_last_the_address(demo: Catalogue, studies: tuple[RigStudy, ...]) -> None:
    for study in studies:
        first, *_, last = lines_of(demo, study).splitlines()
        assert first == f"{study.rig.name} (Tannwehr Astronomy Club)"
        assert last == f"{SITE}rigs/{study.rig.id}.html"
        assert "http" not in lines_of(demo, study, site="")


def test_figures_are_those_of_the_page_in_the_guides_units(demo: Catalogue, studies: tuple[RigStudy, ...]) -> None:
    for study in studies:
        text = joined(lines_of(demo, study)).casefold()
        for _, figure in study.on_card:
            if isinstance(figure.value, float) and figure.dimension in ("mass", "energy", "optical_length"):
                value = re.sub(r"(?<=\d)\u202f(?=\d)", "", show(figure.value, figure.dimension).first)
                assert f"{figure.label.casefold()} {value.replace(chr(160), ' ').casefold()}" in text, study.rig.id


def test_an_imperial_guide_says_pounds(tmp_path: Path) -> None:
    guide = read_guide(tmp_path, units="imperial")
    text = lines_of(guide, study_rig(guide, guide.rigs["rig"]))
    assert re.search(r"\d lb\b", text)
    assert not re.search(r"\d kg\b", text)


def test_judgements_are_counted_as_they_are(demo: Catalogue, studies: tuple[RigStudy, ...]) -> None:
    for study in studies:
        counts = Counter(finding.verdict for _, finding in study.findings)
        (said,) = re.findall(r"^Judged: (.*)\.$", lines_of(demo, study), re.MULTILINE)
        assert {word: int(count) for count, word in (one.split() for one in said.split(", "))} == dict(counts)


@pytest.mark.parametrize(("verdict", "words"), [("fails", "Does not hold"), ("tight", "Only just holds")])
def test_each_chapter_with_something_that_does_not_hold_is_named_and_no_other(
    demo: Catalogue, studies: tuple[RigStudy, ...], verdict: str, words: str
) -> None:
    named_in_full = 0
    for study in studies:
        found = re.search(rf"{words}: (.*?)\. (?:Only|Flying)", joined(lines_of(demo, study)))
        broken = {
            chapter.title: [one.title for one in judged.findings if one.verdict == verdict]
            for chapter, judged in study.studies
            if chapter.id != AIRPORT
        }
        wanted = {title for title, findings in broken.items() if findings}
        assert bool(found) == bool(wanted), study.rig.id
        if not found:
            continue
        said = found[1]
        assert {title for title in broken if re.search(rf"(?:^|; |, ){re.escape(title)}(?=:|, | \(|$)", said)} == wanted
        if ": " in said:
            named_in_full += 1
            assert [one for title in wanted for one in broken[title] if one not in said] == [], study.rig.id
        else:
            counts = {
                title: int(count or 1) for title, count in re.findall(r"([A-Z][^,(]*?)(?: \((\d+)\))?(?:, |$)", said)
            }
            assert counts == {title: len(broken[title]) for title in wanted}
    assert named_in_full > 5


def test_flying_is_never_called_allowed_where_it_was_not_asked(demo: Catalogue, studies: tuple[RigStudy, ...]) -> None:
    for study in studies:
        (said,) = re.findall(r"Flying: (.*?) Ask: ", joined(lines_of(demo, study)))
        flies = {"hand luggage", "hold luggage"} & set(study.rig.travels)
        assert ("May fly" in said or "see the page" in said) == bool(flies), study.rig.id
        assert "no permission" in said
        (airport,) = (judged for chapter, judged in study.studies if chapter.id == AIRPORT)
        home = [one.title for one in airport.findings if one.verdict == "fails"]
        if home and "see the page" not in said:
            assert all(title.partition(": ")[2].replace("×", "x") in said for title in home), study.rig.id


def test_hostile_and_endless_words_stay_within_bounds(tmp_path: Path) -> None:
    long = "word " * 200
    rig = {**RIG, "name": f"{HOSTILE}\u00a0\u202f “{'name ' * 12}”", "summary": long, "purpose": ["galaxies"]}
    guide = read_guide(tmp_path, rigs=[rig], contact=HOSTILE)
    text = lines_of(guide, study_rig(guide, guide.rigs["rig"]))
    assert len(text) <= LONGEST
    assert max(map(len, text.splitlines())) <= WIDEST
    assert "<script>" in text  # plain text: whoever shows it escapes it
    (page,) = (page for page in make_book(guide, Addresses(False)).pages if page.address == "rigs/rig")
    assert "<script>alert" not in page.html


def test_a_rig_that_says_little_has_few_lines(tmp_path: Path) -> None:
    guide = read_guide(tmp_path, rigs=[{"id": "rig", "name": "Rig", "train": ["tube"]}])
    text = lines_of(guide, study_rig(guide, guide.rigs["rig"]), site="")
    assert text.startswith("Rig (Small guide)\n")
    assert "Flying: not known." in text
