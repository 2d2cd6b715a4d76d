"""Every figure answers in one tap where it comes from, on the page; without a script the answer is a link."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import NewVisit

pytestmark = pytest.mark.browser

RIG = "rigs/curlew-twin.html"


def ask(page: Page, label: str) -> None:
    page.get_by_role("link", name=f"How {label} is found").first.click()


@pytest.mark.parametrize("width", [360, 1440])
def test_a_figure_answers_on_the_page_and_gives_the_focus_back(visit: NewVisit, width: int) -> None:
    trip = visit(width=width, height=740)
    page = trip.open(RIG)
    ask(page, "Image scale")
    box = page.get_by_role("dialog", name="How Image scale is found")
    expect(box).to_be_visible()
    expect(box).to_contain_text("How much sky falls on one pixel")
    assert box.locator("math").count() > 1
    place = box.bounding_box()
    assert place is not None
    assert place["x"] >= 0
    assert place["x"] + place["width"] <= width
    assert page.url.endswith(RIG)
    page.keyboard.press("Escape")
    expect(box).to_be_hidden()
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "How Image scale is found"
    assert trip.complaints == []


def test_it_answers_from_a_folder_too(browser: Browser, demo_site: Path) -> None:
    page = browser.new_page()
    page.goto((demo_site / RIG).as_uri())
    ask(page, "Field of view")
    expect(page.get_by_role("dialog", name="How Field of view is found")).to_be_visible()
    page.close()


def test_without_a_script_and_without_the_file_it_is_a_link(visit: NewVisit) -> None:
    page = visit(java_script_enabled=False).open(RIG)
    ask(page, "Image scale")
    assert page.url.endswith("method/scale-and-field.html#image-scale")
    page = visit().open(RIG)
    page.route("**/assets/how/**", lambda route: route.abort())
    ask(page, "Image scale")
    page.wait_for_url("**/method/scale-and-field.html#image-scale")


def test_what_failed_is_asked_for_anew_by_a_page_that_is_still_there(visit: NewVisit) -> None:
    """A page that comes back out of the browser's memory is as it was left; here it is never left."""
    page = visit().open(RIG)
    page.route("**/assets/how/**", lambda route: route.abort())
    page.route("**/method/**", lambda route: route.fulfill(status=204))
    with page.expect_request("**/method/**"):
        ask(page, "Image scale")
    page.unroute("**/assets/how/**")
    ask(page, "Image scale")
    expect(page.get_by_role("dialog", name="How Image scale is found")).to_be_visible()


def test_links_that_open_a_box_say_so_and_only_with_a_script(visit: NewVisit) -> None:
    links = "article a.rl-how, article a.rl-term"
    page = visit().open(RIG)
    said = page.locator(links).evaluate_all("all => all.map(one => one.getAttribute('aria-haspopup'))")
    assert len(said) > 30
    assert set(said) == {"dialog"}
    page = visit(java_script_enabled=False).open(RIG)
    assert page.locator("article a[aria-haspopup]").count() == 0
