"""Reading the guide: it fits the screen, asks nothing of other hosts, complains of nothing and needs no script."""

from pathlib import Path

import pytest

from tests.browser.conftest import NewVisit
from tests.browser.looking import ARTICLE, KINDS, kind_of

pytestmark = pytest.mark.browser


def test_every_page_of_the_demo_is_of_a_kind_that_is_looked_at(demo_site: Path) -> None:
    """Save the page for addresses that lead nowhere, whose links begin at the host's root, and copies to send."""
    pages = {path.relative_to(demo_site).as_posix() for path in demo_site.rglob("*.html")}
    left = {page for page in pages if page != "404.html" and not page.startswith("assets/")}
    looked_at = {kind_of(path) for path in KINDS.values()}
    assert {page for page in left if kind_of(page) not in looked_at} == set()


def test_nothing_that_is_not_in_a_scrolling_table_is_cut_off_on_a_telephone(visit: NewVisit) -> None:
    trip = visit(width=360)
    for kind in ("home", "a rig", "a part", "a method", "about"):
        page = trip.open(KINDS[kind])
        cut = page.evaluate(
            """() => [...document.querySelectorAll('article :is(h1, h2, p, li, dt, dd, figure)')]
                .filter(e => !e.closest('.rl-scroll, details:not([open]), pre'))
                .filter(e => {
                    const b = e.getBoundingClientRect();
                    return b.width && (b.right > innerWidth + 1 || b.left < -1);
                })
                .map(e => e.textContent.trim().slice(0, 60))"""
        )
        assert cut == [], kind


@pytest.mark.parametrize("kind", ["home", "a rig", "a part", "a method"])
def test_the_content_is_there_without_a_script(visit: NewVisit, kind: str) -> None:
    page = visit(java_script_enabled=False).open(KINDS[kind])
    assert page.locator(f"{ARTICLE} h1").is_visible()
    text = page.locator(ARTICLE).inner_text()
    if kind == "home":
        assert page.locator(".rl-card").count() >= 14
        page.locator(".rl-card a").first.click()
        assert page.locator(f"{ARTICLE} h1").is_visible()
    if kind == "a rig":
        assert "At a glance" in text
        assert page.locator("figure.rl-plate svg").first.is_visible()
        assert page.locator("figure.rl-plate svg").count() >= 3
        fold = page.locator("details.rl-long:has(table)").first
        assert not fold.locator("table").is_visible()
        fold.locator("summary").click()
        assert fold.locator("table").is_visible()
    if kind == "a part":
        assert "480\u00a0mm" in text
    if kind == "a method":
        assert page.locator("math").first.is_visible()


def test_plates_stay_legible_on_a_telephone(visit: NewVisit) -> None:
    page = visit(width=360).open(KINDS["a rig"])
    sizes = page.evaluate(
        """() => [...document.querySelectorAll('figure.rl-plate svg text')].filter(t => t.textContent.trim())
            .map(t => {
                const m = t.getScreenCTM();
                return [parseFloat(getComputedStyle(t).fontSize) * Math.hypot(m.a, m.b), t.textContent];
            })"""
    )
    assert len(sizes) > 10
    assert [words for size, words in sizes if size < 9.5] == []


def test_links_lead_where_they_say_by_clicking_from_home_to_a_part_and_back(visit: NewVisit) -> None:
    trip = visit()
    page = trip.open()
    page.get_by_role("link", name="Curlew 80 twin, without counterweight").first.click()
    assert page.url == trip.home + "rigs/curlew-twin.html"
    page.locator(".rl-made-of").get_by_role("link").first.click()
    assert page.url.startswith(trip.home + "parts/")
    page.locator("#used-in + ul").get_by_role("link", name="Curlew 80 twin, without counterweight").click()
    assert page.url == trip.home + "rigs/curlew-twin.html"
    page.locator(".rl-how").first.click()
    page.get_by_role("link", name="What it is held against").click()
    page.wait_for_url("**/method/*.html#*")
    assert page.evaluate("document.getElementById(location.hash.slice(1)).tagName") == "H2"
    assert trip.complaints == []


def test_choosing_one_unit_system_hides_the_other_and_is_kept(visit: NewVisit) -> None:
    page = visit().open(KINDS["a rig"])
    second = page.locator("article .rl-q2").first
    assert second.is_visible()
    page.locator("article .rl-units input[value=first]").check(force=True)
    assert not second.is_visible()
    page.reload()
    assert not page.locator("article .rl-q2").first.is_visible()
