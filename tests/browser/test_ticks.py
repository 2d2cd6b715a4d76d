"""Checklists in a browser: ticks stay, each page has its own, nothing is sent, and paper shows empty boxes."""

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import NewVisit

pytestmark = pytest.mark.browser

RIG, OTHER = "rigs/curlew-twin.html", "rigs/bittern-heavy.html"
BOXES = "article .rl-tick-list input[type=checkbox]"
TELEPHONE = 360
FINGER_PX = 44


def ticked(page: Page) -> int:
    return page.locator(f"{BOXES}:checked").count()


def tick(page: Page, words: str) -> None:
    page.locator("article .rl-tick-list label").filter(has_text=words).first.click()


def test_ticks_stay_when_the_page_is_loaded_again_and_without_a_network(visit: NewVisit) -> None:
    trip = visit(width=TELEPHONE)
    page = trip.open(RIG)
    tick(page, "Tripod")
    tick(page, "Polar alignment")
    assert ticked(page) == 2
    page.reload()
    assert ticked(page) == 2
    assert "2 of" in page.locator(".rl-tick-tools output").inner_text()
    trip.requests.clear()
    page.context.set_offline(True)
    tick(page, "Mount head")
    tick(page, "Tripod")
    assert ticked(page) == 2
    assert trip.requests == []
    page.context.set_offline(False)
    page.reload()
    assert ticked(page) == 2
    assert trip.complaints == []
    assert trip.requests_elsewhere == []


def test_each_rig_has_ticks_of_its_own_and_one_button_clears_them(visit: NewVisit) -> None:
    trip = visit()
    page = trip.open(RIG)
    tick(page, "Tripod")
    trip.open(OTHER)
    assert ticked(page) == 0
    assert page.locator(".rl-tick-tools button").is_disabled()
    trip.open(RIG)
    assert ticked(page) == 1
    page.locator(".rl-tick-tools button").click()
    assert ticked(page) == 0
    page.reload()
    assert ticked(page) == 0
    assert page.evaluate("Object.keys(localStorage).filter(key => key.includes('rl-ticks'))") == []


def test_a_page_that_is_open_twice_shows_the_same_ticks(visit: NewVisit) -> None:
    trip = visit()
    first = trip.open(RIG)
    second = first.context.new_page()
    second.goto(trip.home + RIG)
    tick(first, "Tripod")
    second.wait_for_function(f"document.querySelectorAll('{BOXES}:checked').length === 1")
    tick(second, "Mount head")
    first.wait_for_function(f"document.querySelectorAll('{BOXES}:checked').length === 2")


def test_what_is_kept_by_somebody_else_under_that_name_breaks_nothing(visit: NewVisit) -> None:
    trip = visit()
    page = trip.open(RIG)
    tick(page, "Tripod")
    for rubbish in ("no json", "[]", "null", '{"ticks": 3}'):
        page.evaluate(
            "text => Object.keys(localStorage).filter(key => key.includes('rl-ticks'))"
            ".forEach(key => localStorage.setItem(key, text))",
            rubbish,
        )
        page.reload()
        assert ticked(page) == 0
    tick(page, "Tripod")
    assert ticked(page) == 1
    assert trip.complaints == []


def test_every_line_can_be_hit_with_a_finger_and_by_keyboard(visit: NewVisit) -> None:
    page = visit(width=TELEPHONE).open(RIG)
    page.evaluate("document.querySelectorAll('.rl-ticks details').forEach(fold => { fold.open = true; })")
    small = page.evaluate(
        """least => [...document.querySelectorAll('.rl-tick-list label, .rl-tick-tools button')]
            .filter(e => { const b = e.getBoundingClientRect(); return b.height < least || b.width < least; })
            .map(e => e.textContent.trim())""",
        FINGER_PX,
    )
    assert small == []
    page.locator(BOXES).first.focus()
    page.keyboard.press("Space")
    assert ticked(page) == 1


def test_without_a_script_it_is_a_list_with_boxes(visit: NewVisit) -> None:
    page = visit(java_script_enabled=False).open(RIG)
    assert page.locator("article .rl-tick-list:visible").count() >= 1
    tick(page, "Tripod")
    assert ticked(page) == 1
    assert not page.locator(".rl-tick-tools").is_visible()


def test_paper_shows_empty_boxes_in_two_columns(visit: NewVisit) -> None:
    page = visit().open(RIG)
    tick(page, "Tripod")
    page.emulate_media(media="print")
    style = page.locator(f"{BOXES}:checked").first.evaluate(
        "box => { const s = getComputedStyle(box); return [s.backgroundImage, s.borderTopStyle]; }"
    )
    assert style == ["none", "solid"]
    assert page.locator(".rl-ticks").evaluate("lists => getComputedStyle(lists).columnCount") == "2"
    assert not page.locator(".rl-tick-tools").is_visible()
