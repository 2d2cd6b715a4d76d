"""Search finds a rig by what a person would type: on a server and from a folder without one, whole and in pieces."""

import json
import os
import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from rigleaf.engine.split_search import is_installed, write_split
from tests.browser.conftest import NewVisit, Visit
from tests.browser.guide_server import serving
from tests.browser.looking import ALL, ARTICLE, axe_problems, choose, open_search, results
from tests.conftest import Once, skip_or_fail
from tests.engine.building import built
from tests.site.header_file import headers_for

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


TAG = re.compile(r"<script [^>]*split-search\.js[^>]*></script>")


@pytest.fixture(scope="session")
def small_split(once: Once) -> Path:
    """A small guide whose search is in pieces, as it is built."""
    if not is_installed():
        skip_or_fail("pagefind is not installed: pip install 'rigleaf[search]'")
    plugins = ["search", "offline", {"rigleaf": {"search": "split", "field_copy": "off"}}]

    def fill(folder: Path) -> None:
        built(folder, plugins=plugins)

    return once("search in pieces", fill) / "site"


@pytest.fixture(scope="session")
def demo_split(small_split: Path, demo_site: Path, once: Once) -> Path:
    """The demo with its records in pieces, and with the tag and the headers that a build gives to such a guide."""

    def fill(folder: Path) -> None:
        shutil.copytree(demo_site, folder, copy_function=os.link, dirs_exist_ok=True)
        docs = json.loads((folder / "search" / "search_index.json").read_text("utf-8"))["docs"]
        write_split(folder, docs, "en")
        tag = TAG.search((small_split / "index.html").read_text("utf-8"))
        assert tag
        # Without a field copy, which would fetch the demo's own list, the whole index included.
        home = re.sub(r"<script [^>]*field-copy\.js[^>]*></script>", "", (demo_site / "index.html").read_text("utf-8"))
        theirs = '<script src="assets/javascripts/bundle'
        assert theirs in home
        for name, content in (
            ("index.html", home.replace(theirs, tag[0] + theirs, 1)),
            ("_headers", (small_split / "_headers").read_text("utf-8")),
        ):
            (folder / name).unlink()  # or what it is linked to would change
            (folder / name).write_text(content, encoding="utf-8")

    return once("demo in pieces", fill)


def titles(page: Page) -> dict[str, str]:
    """What the list calls each page that it shows."""
    found: dict[str, str] = page.eval_on_selector_all(
        ".md-search-result__item",
        "all => Object.fromEntries(all.map(one => [new URL(one.querySelector('a').href).pathname.split('/').slice(-2)"
        ".join('/'), one.querySelector('h1').innerText]))",
    )
    return found


def test_in_pieces_the_same_is_found(browser: Browser, demo_split: Path, demo_site: Path) -> None:
    """Under the policy that such a guide ships; before anybody asks, nothing of the index is fetched."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    with serving(demo_split) as host, serving(demo_site) as whole:
        host.headers = lambda path: headers_for(demo_split, path)
        trip, theirs = Visit(context.new_page(), host.home), Visit(context.new_page(), whole.home)
        check(trip)
        assert not [path for path in host.asked if "search_index" in path]
        assert len([path for path in host.asked if "/index/" in path]) < 15
        host.asked.clear()
        page = trip.open("index.html")
        # The browser may have kept the script from the page before.
        assert {path for path in host.asked if "search" in path} <= {"assets/rigleaf/split-search.js"}

        other = theirs.open("index.html")
        open_search(other)
        open_search(page)
        for words in QUERIES:
            ours, wanted = results(page, words), results(other, words)
            assert ours[0] in wanted[:10], f"{words!r}: the best of {ours} is not among {wanted}"
            assert wanted[0] in ours, f"{words!r}: the best of {wanted} is not among {ours}"
            named, called = titles(page), titles(other)
            assert {at: name for at, name in named.items() if at in called and called[at] != name} == {}
        assert trip.requests_elsewhere == []
    context.close()


def test_in_pieces_the_box_is_that_of_the_guide(browser: Browser, demo_split: Path) -> None:
    """By keys alone, narrow and at night; and it says so where no piece can be had."""
    context = browser.new_context(viewport={"width": 360, "height": 740})
    with serving(demo_split) as host:
        page = Visit(context.new_page(), host.home).open("index.html")
        choose(page, "night")
        page.keyboard.press("/")
        box = page.locator("input.md-search__input")
        expect(box).to_be_focused()
        assert len(results(page, "galaxies")) == 10
        expect(page.get_by_role("status").filter(has_text="matching documents")).to_be_visible()
        assert axe_problems(page, ALL) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        shades = page.eval_on_selector_all(
            ".md-search__inner *", "all => [...new Set(all.flatMap(one => Object.values(((s) => [s.color,"
            " s.backgroundColor, s.borderBottomColor])(getComputedStyle(one)))))]",
        )  # fmt: skip
        assert all(re.match(r"rgba?\(\d+, 0, 0\b", shade) for shade in shades), shades
        page.keyboard.press("ArrowUp")  # from the box to the last, which brings the next
        page.locator(".md-search-result__item").nth(19).wait_for()
        page.keyboard.press("Escape")
        expect(page.locator("#__search")).not_to_be_checked()
        page.keyboard.press("/")
        page.keyboard.press("ArrowDown")
        page.keyboard.press("Enter")
        page.wait_for_url("**/rigs/dunlin-galaxies.html")

        page.goto(host.home)
        host.broken = lambda path: path.startswith("search/")
        page.keyboard.press("/")
        page.keyboard.type("galaxies")
        expect(page.get_by_role("status").filter(has_text="Search could not be loaded")).to_be_visible()
    context.close()


def test_in_pieces_a_folder_is_searched_as_before(browser: Browser, demo_split: Path) -> None:
    context = browser.new_context()
    check(Visit(context.new_page(), demo_split.as_uri() + "/"))
    context.close()
