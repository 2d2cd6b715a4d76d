"""A rig on paper: what is long stays off it unless the reader opens it, whatever the theme unfolds before printing."""

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import NewVisit
from tests.browser.looking import KINDS

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

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


def test_a_rig_takes_a_bounded_number_of_sheets(visit: NewVisit) -> None:
    page = visit().open(KINDS["a rig"])
    printed = page.pdf(format="A4")
    assert 5 <= printed.count(b"/Type /Page\n") <= 25


def test_a_fold_is_printed_without_a_script_only_where_it_is_open(visit: NewVisit) -> None:
    page = visit(java_script_enabled=False).open(KINDS["a rig"])
    page.locator(f"{LONG} > summary").nth(1).click()
    page.emulate_media(media="print")
    assert [fold.is_visible() for fold in page.locator(LONG).all()].count(True) == 1
