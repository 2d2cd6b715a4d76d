"""The guide by keys alone: everything is reached, one always sees where one is, and nothing holds one fast."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import NewVisit
from tests.browser.looking import ARTICLE, KINDS

pytestmark = pytest.mark.browser

HERE = """() => {
    const e = document.activeElement, s = getComputedStyle(e), b = e.getBoundingClientRect();
    /* Within a date the browser itself marks the day, the month, the year and the button.
       A control that is drawn over by its label shows there where one is. */
    const near = [e, e.nextElementSibling, e.closest('label'), e.parentElement];
    const drawn = near.filter(Boolean).map(one => getComputedStyle(one));
    drawn.push(getComputedStyle(e, '::after'));
    const search = e.matches('.md-search__input');
    const stays = window.last_one === e;
    window.last_one = e;
    return {
        stays, out: e === document.body,
        words: (e.textContent || e.ariaLabel || e.name || '').trim().slice(0, 60),
        shown: search || e.type === 'date'
            || drawn.some(one => one.outlineStyle !== 'none' || one.boxShadow !== 'none'),
        seen: e === document.body || search || (b.bottom > 0 && b.top < innerHeight && b.right > 0),
    };
}"""


def tab_to(page: Page, selector: str, most: int = 300) -> None:
    """Press the tab key until what a selector names has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("s => document.activeElement.matches(s)", selector):
            return
    pytest.fail(f"{selector} was not reached")


@pytest.mark.parametrize("kind", ["home", "rigs", "a rig", "rigs side by side", "the desk", "a hand-over sheet"])
def test_one_goes_through_a_page_sees_where_one_is_and_comes_out_again(visit: NewVisit, kind: str) -> None:
    page = visit().open(KINDS[kind])
    seen, unseen, stays = [], [], 0
    for _ in range(900):
        page.keyboard.press("Tab")
        here = page.evaluate(HERE)
        if here["out"]:
            break
        stays = stays + 1 if here["stays"] else 0
        assert stays < 4, f"{here['words']} holds the focus"  # a date is three fields and a button
        seen.append(here["words"])
        if not (here["shown"] and here["seen"]):
            unseen.append(here["words"])
    else:
        pytest.fail("the page has no end")
    assert unseen == []
    if kind == "a rig":
        assert seen[0] == "Skip to content"
        assert {"Image train", "Scale and field"} <= set(seen)


def test_from_home_to_a_rig_that_suits_and_into_its_answers(visit: NewVisit) -> None:
    trip = visit()
    page = trip.open()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent.trim()") == "Skip to content"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("!!document.activeElement.closest('article')")

    page.reload()
    tab_to(page, "a[href$='rigs/index.html']")
    page.keyboard.press("Enter")
    page.wait_for_url("**/rigs/index.html")
    told = page.locator(".rl-told output")
    expect(told).not_to_be_empty()
    before = told.inner_text()
    tab_to(page, ".rl-find input[type=checkbox]")
    page.keyboard.press("Space")
    expect(told).not_to_have_text(before)
    tab_to(page, ".rl-found tbody:first-of-type a[href$='.html']")
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: "/rigs/" in url and "index" not in url)

    tab_to(page, "article a.rl-how")
    asked = page.evaluate("document.activeElement.href")
    page.keyboard.press("Enter")
    expect(page.locator(".rl-asked")).to_be_visible()
    assert page.evaluate("!!document.activeElement.closest('.rl-asked')")
    page.keyboard.press("Escape")
    expect(page.locator(".rl-asked")).not_to_be_visible()
    assert page.evaluate("document.activeElement.href") == asked

    tab_to(page, "article .rl-chapter summary")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.parentNode.open")
    page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
    page.locator(f"{ARTICLE} h1").click()
    tab_to(page, "a[href$='hand-over.html']")
    page.keyboard.press("Enter")
    page.wait_for_url("**/hand-over.html")
    assert trip.complaints == []


def test_rigs_are_set_side_by_side_by_keys(visit: NewVisit) -> None:
    page = visit().open("compare/index.html")
    for count, letters in enumerate(("Curlew 80 twin", "Heron"), 1):
        tab_to(page, "select[name=rig]")
        page.keyboard.type(letters)
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        expect(page.locator(".rl-chosen > li")).to_have_count(count)
    expect(page.locator(".rl-beside-what")).to_be_visible()
