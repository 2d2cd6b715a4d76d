"""A rig on paper: what is long stays off it unless the reader opens it, whatever the theme unfolds before printing."""

from pathlib import Path

import pytest
from playwright.sync_api import Page
from pypdf import PageObject

from tests.browser.conftest import NewVisit
from tests.browser.looking import KINDS
from tests.browser.printed import pdf

pytestmark = pytest.mark.browser

LONG = "details.rl-long"


def shown_on_paper(page: Page, selector: str) -> int:
    """How many of some elements would be printed, with everything that scripts do before printing done."""
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    shown: int = page.evaluate(
        "s => [...document.querySelectorAll(s)].filter(e => getComputedStyle(e).display !== 'none').length", selector
    )
    page.emulate_media(media="screen")
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    return shown


def test_long_tables_are_printed_only_where_they_were_opened(visit: NewVisit) -> None:
    page = visit().open(KINDS["a rig"])
    assert page.locator(LONG).count() > 10
    assert shown_on_paper(page, LONG) == 0
    fold = page.locator(f"{LONG} > summary").first
    fold.click()
    assert shown_on_paper(page, LONG) == 1
    fold.click()
    assert shown_on_paper(page, LONG) == 0


def test_a_rig_takes_few_sheets_and_leads_back_to_its_page(visit: NewVisit) -> None:
    page = visit().open(KINDS["a rig"])
    sheets = {paper: len(pdf(page, format=paper).pages) for paper in ("A4", "Letter")}
    assert sheets["A4"] <= 12
    assert sheets["Letter"] <= 14
    assert not page.locator(".rl-way-back").is_visible()
    page.emulate_media(media="print")
    assert page.locator(".rl-way-back svg").is_visible()
    assert page.locator(".rl-way-back").inner_text().strip().endswith("rigs/curlew-twin.html")
    assert page.locator(".rl-keyfigures dt").first.inner_text() == "Focal length"


@pytest.mark.parametrize("kind", ["a rig", "the desk", "rigs", "rigs side by side"])
def test_no_sheet_ends_with_a_heading_and_navigation_stays_off_it(visit: NewVisit, kind: str) -> None:
    page = visit().open(KINDS[kind])
    headings: list[str] = page.locator("article").evaluate(
        """all => {
            const said = new Set([...all.querySelectorAll('td, li, p, dd')].map(e => e.textContent.trim()));
            return [...all.querySelectorAll('h1, h2, h3, h4, summary, caption')]
                .map(e => e.textContent.trim()).filter(words => !said.has(words));
        }"""
    )
    known = {_letters(heading) for heading in headings} - {""}
    sheets = pdf(page, format="A4").pages
    assert [words for words in map(_lowest_line, sheets[:-1]) if _letters(words) in known] == []
    page.emulate_media(media="print")
    for furniture in (".md-header", ".md-tabs", ".md-sidebar", ".md-footer", ".rl-doors", "[data-rl-noprint]"):
        assert not any(one.is_visible() for one in page.locator(furniture).all()), furniture


def test_every_rigs_card_is_one_side(visit: NewVisit, demo_site: Path) -> None:
    trip = visit()
    cards = sorted(path.relative_to(demo_site).as_posix() for path in demo_site.glob("rigs/*/card.html"))
    assert len(cards) > 15
    for card in cards:
        page = trip.page
        page.goto(trip.home + card)
        assert {paper: len(pdf(page, format=paper).pages) for paper in ("A4", "Letter")} == {"A4": 1, "Letter": 1}, card


def _letters(words: str) -> str:
    return "".join(filter(str.isalnum, words))


def _lowest_line(sheet: PageObject) -> str:
    """The lowest line of words on a printed page, save the number of the page in its margin."""
    lines: dict[int, str] = {}

    def see(words: str, seen: list[float], placed: list[float], *_: object) -> None:
        high = seen[3] * placed[5] + seen[5]
        if words.strip():
            lines[round(high)] = lines.get(round(high), "") + words

    sheet.extract_text(visitor_text=see)
    del lines[min(lines, key=abs)]
    return lines[min(lines, key=abs)]


def test_a_fold_is_printed_without_a_script_only_where_it_is_open(visit: NewVisit) -> None:
    page = visit(java_script_enabled=False).open(KINDS["a rig"])
    page.locator(f"{LONG} > summary").nth(1).click()
    page.emulate_media(media="print")
    assert [fold.is_visible() for fold in page.locator(LONG).all()].count(True) == 1
