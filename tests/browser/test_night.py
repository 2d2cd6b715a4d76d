"""Night: every pixel is red on black, so that eyes which are used to the dark stay so."""

import io
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page

from tests.browser.conftest import NewVisit
from tests.browser.looking import ALL, KINDS, OF_COLOUR, axe_problems, choose, open_search, results, settle

pytestmark = pytest.mark.browser


TALLEST = 8000
"""What a browser paints in one piece; beyond its limit it makes grey of everything."""


def green_and_blue(page: Page, *, full: bool = True) -> tuple[int, int]:
    """The brightest green and blue of the page as it is painted, all of it or what is in view."""
    if not full:
        return _brightest(page.screenshot(animations="disabled"))
    width, height = page.evaluate("[innerWidth, document.documentElement.scrollHeight]")
    found = [
        _brightest(
            page.screenshot(
                full_page=True,
                animations="disabled",
                clip={"x": 0, "y": top, "width": width, "height": min(TALLEST, height - top)},
            )
        )
        for top in range(0, height, TALLEST)
    ]
    return max(green for green, _ in found), max(blue for _, blue in found)


def _brightest(png: bytes) -> tuple[int, int]:
    _, green, blue = Image.open(io.BytesIO(png)).convert("RGB").split()
    return int(green.getextrema()[1]), int(blue.getextrema()[1])  # type: ignore[arg-type]


def test_an_exported_page_can_be_red_too_and_stays_so(visit: NewVisit, exported: Path) -> None:
    trip = visit(width=1000, height=800)
    trip.home = exported.as_uri() + "/"
    page = trip.open("parts/curlew-80.html")
    assert max(green_and_blue(page)) > 100
    assert page.locator("input[name=rl-scheme]:checked").get_attribute("value") == "paper"
    page.locator("input[name=rl-scheme][value=night]").check(force=True)
    page.mouse.move(0, 0)
    photo = Image.open(io.BytesIO(page.locator("main img").screenshot())).convert("RGB").split()[0].getextrema()
    assert photo[1] < 128, "a photo on a white ground dazzles nobody"  # type: ignore[operator]
    assert green_and_blue(page) == (0, 0)
    assert axe_problems(page, OF_COLOUR) == []
    page = trip.open(KINDS["a rig"])
    assert page.locator("html").get_attribute("data-rl-scheme") == "night"
    assert page.locator("input[name=rl-scheme]:checked").get_attribute("value") == "night"
    assert green_and_blue(page) == (0, 0)
    assert trip.complaints == []


@pytest.mark.parametrize(("preference", "palette"), [("light", "paper"), ("dark", "dusk")])
def test_an_exported_page_breaks_no_rule_and_follows_the_systems_preference(
    visit: NewVisit, exported: Path, preference: str, palette: str
) -> None:
    trip = visit(color_scheme=preference)
    trip.home = exported.as_uri() + "/"
    page = trip.open(KINDS["a rig"])
    assert page.locator("html").get_attribute("data-rl-scheme") == palette
    assert axe_problems(page, ALL) == []


def test_what_opens_and_what_is_pointed_at_is_red_too(visit: NewVisit) -> None:
    trip = visit(width=1000, height=800)
    page = trip.open(KINDS["a rig"])
    choose(page, "night")
    for summary in page.locator("article summary").all():
        summary.click()
    assert green_and_blue(page) == (0, 0)
    page.locator("article a").first.hover()
    settle(page)
    assert green_and_blue(page, full=False) == (0, 0)
    page.keyboard.press("Tab")
    assert green_and_blue(page, full=False) == (0, 0)
    open_search(page)
    assert results(page, "galaxies")
    settle(page)
    assert green_and_blue(page, full=False) == (0, 0)


def test_the_drawer_of_a_telephone_is_red_too(visit: NewVisit) -> None:
    trip = visit(width=360, height=740)
    page = trip.open(KINDS["a rig"])
    choose(page, "night")
    page.locator("label.md-header__button[for=__drawer]").click()
    settle(page)
    assert green_and_blue(page, full=False) == (0, 0)


def test_a_page_opened_at_night_is_black_from_its_first_frame(visit: NewVisit) -> None:
    trip = visit()
    page = trip.open()
    choose(page, "night")
    # What is about to be painted is looked at before each frame.
    page.add_init_script(
        """const frames = window.frames_seen = [];
           (function look() {
             for (const element of [document.documentElement, document.body]) {
               if (element) { frames.push(getComputedStyle(element).backgroundColor); }
             }
             requestAnimationFrame(look);
           })()"""
    )
    page = trip.open(KINDS["a rig"])
    page.wait_for_function("window.frames_seen.length > 8")
    seen: list[str] = page.evaluate("window.frames_seen.slice(2)")
    assert len(seen) > 2
    assert set(seen) <= {"rgb(0, 0, 0)", "rgba(0, 0, 0, 0)"}


@pytest.mark.parametrize(("preference", "palette"), [("light", "paper"), ("dark", "dusk")])
def test_the_first_visit_follows_the_systems_preference(visit: NewVisit, preference: str, palette: str) -> None:
    page = visit(color_scheme=preference).open()
    assert page.locator("body").get_attribute("data-md-color-scheme") == palette
