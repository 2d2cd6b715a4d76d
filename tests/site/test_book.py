"""The finished pages of the demo guide: complete, joined without a loose end, and fit to be read by machines."""

import re
from collections import Counter
from itertools import pairwise
from pathlib import Path
from urllib.parse import urldefrag, urljoin

import html5lib
import pytest
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.study import RigStudy
from rigleaf.site.book import SECTIONS, Book, make_book
from rigleaf.site.delivery.inventory import INVENTORY
from rigleaf.site.record import PageRecord
from rigleaf.site.typeset.addresses import Addresses, kind_address, part_address, rig_address
from tests.site.yaml_guide import read_guide

SITE = "https://club.example/guide/"
STYLES = {"files": Addresses(False), "folders": Addresses(True)}


@pytest.fixture(scope="module", params=STYLES)
def style(request: pytest.FixtureRequest) -> Addresses:
    return STYLES[request.param]


@pytest.fixture(scope="module")
def book(demo: Catalogue, demo_book: Book, style: Addresses) -> Book:
    return make_book(demo, style) if style.folders else demo_book


@pytest.fixture(scope="module")
def trees(book: Book) -> dict[str, html.HtmlElement]:
    return {page.address: html.fromstring(f"<main>{page.html}</main>") for page in book.pages}


def by_address(book: Book) -> dict[str, PageRecord]:
    return {page.address: page for page in book.pages}


def test_addresses_are_unique(book: Book, style: Addresses) -> None:
    assert [path for path, times in Counter(style.path(page.address) for page in book.pages).items() if times > 1] == []


def test_every_rig_part_kind_and_section_has_its_page(demo: Catalogue, book: Book) -> None:
    wanted = {rig_address(id_) for id_ in demo.rigs} | {part_address(id_) for id_ in demo.parts}
    wanted |= {kind_address(part.kind) for part in demo.parts.values()} | {section.address for section in SECTIONS}
    assert wanted <= set(by_address(book))
    assert len(demo.rigs) >= 14
    assert len(demo.parts) >= 80


def test_every_link_and_anchor_leads_to_a_page_that_has_it(
    book: Book, trees: dict[str, html.HtmlElement], style: Addresses
) -> None:
    urls = {urljoin(SITE, style.path(page.address)): page.address for page in book.pages}
    files = {urljoin(SITE, path) for path in book.files}
    ids = {address: set(tree.xpath("//@id")) for address, tree in trees.items()}
    wrong, seen = [], 0
    for page in book.pages:
        here = urljoin(SITE, style.path(page.address))
        for href in trees[page.address].xpath("//a/@href"):
            url, anchor = urldefrag(urljoin(here, href))
            url = url.partition("?")[0]  # what a page may be asked
            seen += 1
            outside = not url.startswith(SITE)  # who made what travels along
            if outside or (not anchor and (url in files or url == urljoin(SITE, INVENTORY))):
                continue
            if url not in urls or (anchor and anchor not in ids[urls[url]]):
                wrong.append(f"{page.address}: {href}")
    assert wrong == []
    assert seen > 10 * len(book.pages)


def test_every_page_can_be_reached_from_the_sections(
    book: Book, trees: dict[str, html.HtmlElement], style: Addresses
) -> None:
    urls = {urljoin(SITE, style.path(page.address)): page.address for page in book.pages}
    reached = {section.address for section in SECTIONS}
    waiting = list(reached)
    while waiting:
        address = waiting.pop()
        here = urljoin(SITE, style.path(address))
        links = {urldefrag(urljoin(here, href))[0] for href in trees[address].xpath("//a/@href")}
        found = {urls[link] for link in links if link in urls} - reached
        reached |= found
        waiting += found
    assert {page.address for page in book.pages} - reached == set()


def test_no_id_is_given_twice_on_a_page(trees: dict[str, html.HtmlElement]) -> None:
    twice = {
        address: [name for name, times in Counter(map(str, tree.xpath("//@id"))).items() if times > 1]
        for address, tree in trees.items()
    }
    assert {address: ids for address, ids in twice.items() if ids} == {}


def test_what_labels_and_describes_points_to_something(trees: dict[str, html.HtmlElement]) -> None:
    for address, tree in trees.items():
        ids = set(tree.xpath("//@id"))
        for names in tree.xpath("//@aria-labelledby | //@aria-describedby | //@for"):
            assert set(names.split()) <= ids, (address, names)


def test_the_list_of_contents_names_headings_of_the_page_in_their_order(
    book: Book, trees: dict[str, html.HtmlElement]
) -> None:
    for page in book.pages:
        headings = {id_: n for n, id_ in enumerate(trees[page.address].xpath("//*[self::h2 or self::h3]/@id"))}
        listed = [heading.anchor for heading in page.contents]
        assert [anchor for anchor in listed if anchor not in headings] == [], page.address
        assert [headings[anchor] for anchor in listed] == sorted(headings[anchor] for anchor in listed), page.address
        for heading in page.contents:
            (element,) = trees[page.address].xpath("//*[@id=$id]", id=heading.anchor)
            assert element.text_content().strip() == heading.title


def test_every_page_has_one_title_and_its_headings_go_down_step_by_step(trees: dict[str, html.HtmlElement]) -> None:
    for address, tree in trees.items():
        levels = [int(str(element.tag)[1]) for element in tree.iter("h1", "h2", "h3", "h4", "h5", "h6")]
        assert levels[0] == 1, address
        assert levels.count(1) == 1, address
        assert [pair for pair in pairwise(levels) if pair[1] > pair[0] + 1] == [], address


def test_pages_are_html_without_an_error(demo: Catalogue) -> None:
    parser = html5lib.HTMLParser(strict=True)
    for page in make_book(demo, Addresses(False)).pages:
        parser.parse(f"<!doctype html><html><head><title>x</title></head><body><main>{page.html}</main></body></html>")


def test_pages_hold_no_script_no_style_and_no_event_of_their_own(trees: dict[str, html.HtmlElement]) -> None:
    for address, tree in trees.items():
        assert tree.xpath("//style | //iframe | //object | //@onclick | //@onload") == [], address
        for script in tree.xpath("//script"):  # what a page asks for comes from the guide's own files, and once
            assert not script.text, address
            assert re.fullmatch(r"(\.\./)*assets/rigleaf/[a-z]+\.js", script.get("src", "")), address
        asked = tree.xpath("//script/@src")
        assert len(asked) == len(set(asked)) <= 3, address


def test_every_page_belongs_to_a_section(book: Book) -> None:
    sections = {section.address for section in SECTIONS}
    for page in book.pages:
        assert (page.section in sections) != (page.address in sections), page.address


def test_titles_descriptions_and_search_say_something(book: Book) -> None:
    for page in book.pages:
        assert page.title.strip()
        assert page.description.strip().endswith((".", "!", "?")), page.address
        assert "\n" not in page.description
        assert len(page.search.text) > 10, page.address
        assert "None" not in page.html + page.search.text, page.address


def test_descriptions_of_rigs_and_parts_are_their_own(book: Book) -> None:
    told = Counter(page.description for page in book.pages if page.section in {"rigs/index", "shelf/index"})
    assert [text for text, times in told.items() if times > 3] == []


def test_the_source_of_a_page_is_where_its_entry_begins(demo: Catalogue, book: Book) -> None:
    for address, id_ in {**{part_address(i): i for i in demo.parts}, **{rig_address(i): i for i in demo.rigs}}.items():
        file, _, line = by_address(book)[address].source.rpartition(":")
        text = (demo.root / file).read_text("utf-8").splitlines()
        assert re.search(rf"\bid: {id_}$", "\n".join(text[int(line) - 1 : int(line) + 4]), re.MULTILINE), address


def words_of(page: PageRecord) -> str:
    return " ".join((page.title, page.search.text, *page.search.tags))


def test_search_knows_a_rig_by_what_a_person_would_type(demo: Catalogue, book: Book) -> None:
    rig, page = demo.rigs["curlew-twin"], by_address(book)["rigs/curlew-twin"]
    for word in ("wide field", "nebulae", "galaxies", "train", "on foot", "384 mm", "f/4.8", rig.name):
        assert word in words_of(page), word
    for item in demo.items(rig):
        assert item.part.name in words_of(page)


def test_search_records_are_short(book: Book) -> None:
    assert max(len(words_of(page)) for page in book.pages if page.section != "method/index") < 4000
    assert sum(len(words_of(page)) for page in book.pages) < 1000 * len(book.pages)


def test_a_rig_page_numbers_its_plates_through_and_shows_its_findings(
    demo_studies: tuple[RigStudy, ...], book: Book
) -> None:
    for study in demo_studies:
        page = by_address(book)[rig_address(study.rig.id)]
        plates = [int(number) for number in re.findall(r"<b>Plate (\d+)\.</b>", page.html)]
        assert plates == list(range(1, len(plates) + 1))
        assert page.html.count('class="rl-finding"') == len(study.findings)


def test_a_rig_page_lists_every_part_as_often_as_it_is_there(
    demo: Catalogue, trees: dict[str, html.HtmlElement]
) -> None:
    for rig in demo.rigs.values():
        listed = trees[rig_address(rig.id)].xpath("//dl[@class='rl-made-of']//li")
        assert len(listed) == len(demo.items(rig))
        for element, item in zip(listed, demo.items(rig), strict=True):
            text = " ".join(element.text_content().split())
            assert text.startswith(f"{item.count} × {item.part.name}" if item.count > 1 else item.part.name)
            assert (item.note or "") in text


def test_a_part_page_says_which_rigs_use_it(demo: Catalogue, trees: dict[str, html.HtmlElement]) -> None:
    for id_ in demo.parts:
        section = trees[part_address(id_)].xpath("//h2[@id='used-in']/following-sibling::*[1]")[0].text_content()
        for rig in demo.rigs.values():
            uses = any(item.part.id == id_ for item in demo.items(rig))
            assert (rig.name in section) == uses, (id_, rig.id)


def test_imperial_guides_write_pounds_first(tmp_path: Path) -> None:
    metric, imperial = (
        {page.address: page for page in make_book(read_guide(tmp_path / units, units=units), Addresses(False)).pages}
        for units in ("metric", "imperial")
    )
    assert re.search(r'rl-q1">3\xa0kg</span> <span class="rl-q2">6\.61\xa0lb<', metric["parts/legs"].html)
    assert re.search(r'rl-q1">6\.61\xa0lb</span> <span class="rl-q2">3\xa0kg<', imperial["parts/legs"].html)


def test_the_smallest_guide_makes_a_book(tmp_path: Path) -> None:
    one = {"id": "one", "name": "One"}
    book = make_book(read_guide(tmp_path, shelf={}, rigs=[one]), Addresses(False))
    assert {"index", "rigs/one", "shelf/index"} <= set(by_address(book))
    page = by_address(book)["rigs/one"].html
    assert page.count('data-verdict="unsaid"') >= 2


def test_a_rig_called_index_and_a_part_called_index_are_no_trouble(tmp_path: Path) -> None:
    shelf = {"index": {"kind": "mount", "name": "The part"}}
    guide = read_guide(tmp_path, shelf=shelf, rigs=[{"id": "index", "name": "The rig", "mount": "index"}])
    for style in STYLES.values():
        paths = [style.path(page.address) for page in make_book(guide, style).pages]
        assert len(paths) == len(set(paths))


def test_the_home_page_links_every_journey(demo: Catalogue, book: Book) -> None:
    home = next(page for page in book.pages if page.address == "index")
    assert demo.trips
    for trip in demo.trips.values():
        assert re.search(rf'href="[^"]*trips/{trip.id}[^"]*">{re.escape(trip.name)}<', home.html)
