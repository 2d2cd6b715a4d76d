"""Search finds a rig by what a person would type: on a server and from a folder without one."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import NewVisit, Visit
from tests.browser.looking import ARTICLE, open_search, results

pytestmark = pytest.mark.browser


QUERIES = {
    "travel": {"rigs/heron-cabin.html"},
    "hand luggage": {"rigs/heron-cabin.html"},
    "galaxies": {"rigs/dunlin-galaxies.html", "rigs/curlew-twin.html"},
    "480 mm": {"rigs/curlew-guide-scope.html", "rigs/curlew-off-axis.html"},
    "Curlew 80": {"parts/curlew-80.html", "rigs/curlew-twin.html"},
    "eclipse": {"rigs/heron-eclipse.html"},
    "strain-wave": {"parts/strain-wave-small.html"},
}


def check(trip: Visit) -> None:
    page = trip.open("index.html")
    open_search(page)
    for words, wanted in QUERIES.items():
        found = results(page, words)
        assert wanted <= set(found), f"{words!r} finds {found}"
    rigs = results(page, "galaxies")
    assert rigs[0].startswith("rigs/"), "a rig comes first"
    assert results(page, "zzzxqy") == []
    assert trip.complaints == []


def test_on_a_server(visit: NewVisit) -> None:
    trip = visit()
    check(trip)
    assert trip.requests_elsewhere == []


def test_from_a_folder_without_a_server(browser: Browser, demo_site: Path) -> None:
    context = browser.new_context()
    try:
        trip = Visit(context.new_page(), demo_site.as_uri() + "/")
        check(trip)
        assert trip.requests_elsewhere == []
        page = trip.open("rigs/curlew-twin.html")
        open_search(page)
        assert "rigs/curlew-off-axis.html" in results(page, "480 mm")[:4]
        page.locator(".md-search-result__link").first.click()
        page.wait_for_load_state()
        assert page.url.startswith("file://")
        assert page.locator("article h1").is_visible()
    finally:
        context.close()


def test_a_hit_leads_to_its_page_and_shows_its_words_as_text(visit: NewVisit) -> None:
    page = visit().open("about/index.html")
    open_search(page)
    results(page, "eclipse")
    hit = page.locator(".md-search-result__item .md-search-result__link", has_text="Heron 65 for the eclipse").first
    assert "<" not in hit.inner_text()
    hit.click()
    page.wait_for_url("**/rigs/heron-eclipse.html**")
    assert page.locator(f"{ARTICLE} h1").inner_text().startswith("Heron 65 for the eclipse")
