"""Without signal: what a browser keeps of the guide is whole, of one version, and nothing else than the guide."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import NewVisit, Visit
from tests.browser.field_trip import HEARD, IDLE, PAGES, STATE, Trip, look_again, says, until
from tests.browser.guide_server import LOGIN, serving
from tests.browser.looking import choose, open_search, results
from tests.chapters.small_guide import Data
from tests.engine.building import FEW_RIG, built

pytestmark = pytest.mark.browser

SECOND: Data = {**FEW_RIG, "id": "second", "name": "Second rig", "train": ["camera"]}
RENAMED: Data = {**FEW_RIG, "name": "Renamed"}
WHOLE = ": the whole guide. It works without signal."
A_WHILE = 1500
"""Milliseconds in which nothing may happen: a page turns to the worker a second after it is loaded."""

NewTrip = Callable[..., Trip]


@pytest.fixture
def away(browser: Browser, tmp_path: Path) -> Iterator[NewTrip]:
    """A function that begins a trip to version "one" of a small guide; it takes settings of mkdocs.yml."""
    with ExitStack() as stack:

        def begin(**settings: Any) -> Trip:
            trip = Trip(browser, stack.enter_context(serving(build(tmp_path, "one", **settings))))
            stack.callback(trip.context.close)
            return trip

        yield begin


def build(folder: Path, version: str, rig: Data = FEW_RIG, **settings: Any) -> Path:
    """Build a version of the small guide; the title of each of its pages says which it is."""
    plugins = ["search", "offline", "rigleaf"]
    defaults: dict[str, Any] = {"site_name": f"Guide {version}", "plugins": plugins, "guide": {"rigs": [rig, SECOND]}}
    return built(folder / version, **(defaults | settings))


def version_of(site: Path) -> str:
    """Return the version as readers see it."""
    return (site / "field-copy.txt").read_text()[:8]


def test_after_one_visit_the_whole_demo_works_without_signal(visit: NewVisit) -> None:
    trip = visit(service_workers="allow")
    page = trip.open("index.html")
    choose(page, "night")
    page = trip.open("away/index.html")
    says(page, WHOLE)
    page.context.set_offline(True)
    page.add_init_script(
        """const seen = window.frames_seen = [];
           (function look() {
             if (document.documentElement) { seen.push(getComputedStyle(document.documentElement).backgroundColor); }
             requestAnimationFrame(look);
           })()"""
    )
    for path, words in {
        "rigs/curlew-twin.html?travel=plane#at-a-glance": "Curlew 80 twin",
        "method/image-train.html": "Image train",
        "rigs/index.html": "Find a rig",
        "rigs/": "Find a rig",
        "parts/curlew-80": "Curlew 80",
        "trips/february-by-cabin/check-in.html": "desk",
        "": "Tannwehr",
    }.items():
        page.goto(trip.home + path)
        expect(page.locator("article h1").first).to_contain_text(words)
        page.wait_for_function("document.fonts.check('16px \"Rigleaf Text Now\"')")
        assert page.locator("html").get_attribute("data-rl-scheme") == "night"
        page.wait_for_function("frames_seen.length > 8")
        assert set(page.evaluate("frames_seen.slice(2)")) == {"rgb(0, 0, 0)"}, "never white"
    page.goto(trip.home + "parts/curlew-80.html")
    pictures = "[...document.querySelectorAll('article img')].map(one => one.naturalWidth)"
    assert page.evaluate(pictures)
    assert all(page.evaluate(pictures))
    open_search(page)
    assert results(page, "galaxies")[0].startswith("rigs/")
    assert trip.complaints == []
    assert trip.requests_elsewhere == []


@pytest.mark.parametrize("folders", [False, True])
def test_both_forms_of_addresses_work(away: NewTrip, folders: bool) -> None:
    # The theme's plugin for folders would switch to files by itself.
    trip = away(use_directory_urls=folders, plugins=["search", "rigleaf"])
    page = trip.told(WHOLE)
    trip.context.set_offline(True)
    for path in ("rigs/rig/", "rigs/rig", "rigs/rig/index.html") if folders else ("rigs/rig.html", "rigs/rig"):
        page.goto(trip.host.home + path + "?travel=plane#at-a-glance")
        expect(page.locator("article h1")).to_contain_text("Rig")
        page.locator("article .rl-made-of a").first.click()
        expect(page.locator("article h1")).not_to_contain_text("Rig")
        assert "/parts/" in page.url
    assert trip.complaints == []


def test_an_unknown_page_gives_one_of_ours_with_what_there_is(away: NewTrip) -> None:
    trip = away()
    page = trip.told(WHOLE)
    trip.context.set_offline(True)
    page.goto(trip.host.home + "rigs/nowhere.html?x=<b>1</b>")
    missing = page.locator("[data-rl-missing]")
    expect(missing).to_contain_text("This page is not stored: rigs/nowhere.html")
    assert missing.locator("a").get_attribute("href") == trip.host.home + "rigs/nowhere.html"
    page.locator("[data-rl-away] summary").click()
    expect(page.locator("[data-rl-part=pages]")).to_contain_text("Second rig")
    for bad in ("https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", "../../x"):
        page.goto(f"{trip.host.home}away/index.html?missing={bad}")
        says(page, WHOLE)
        assert missing.is_hidden() or (missing.locator("a").get_attribute("href") or "").startswith(trip.host.home)
    assert trip.complaints == []


def test_a_newer_guide_is_swapped_whole_and_said_to_pages_that_are_open(away: NewTrip, tmp_path: Path) -> None:
    trip = away()
    page = trip.told(WHOLE)
    old = trip.tab().open("rigs/rig.html")
    trip.host.site = build(tmp_path, "two", RENAMED)
    # The network is lost while the newer guide is fetched: parts never come.
    trip.host.broken = lambda path: path.startswith("parts/")
    look_again(page)
    says(page, "The network was lost")
    new = trip.tab().open("rigs/rig.html")
    assert new.title() == "Renamed - Guide two", "with a network the newest is shown"
    trip.context.set_offline(True)
    assert trip.shown(page) == {"one"}, "what is not complete is not shown"
    trip.host.broken = lambda _: False
    trip.context.set_offline(False)
    page = trip.told(version_of(trip.host.site))
    expect(old.locator(".rl-newer")).to_contain_text("A newer guide is here")
    trip.context.set_offline(True)
    assert trip.shown(page) == {"two"}
    old.get_by_role("button", name="Load it").click()
    expect(old.locator("article h1")).to_have_text("Renamed")
    expect(old.locator(".rl-newer")).to_have_count(0)


def test_what_did_not_change_is_not_fetched_again_and_what_is_old_is_let_go(away: NewTrip, tmp_path: Path) -> None:
    trip = away()
    page = trip.told(WHOLE)
    before = trip.stored(page)
    assert "<h1>Rig</h1>" in before["rigs/rig.html"]
    trip.host.site = build(tmp_path, "two", RENAMED, site_name="Guide one")
    trip.host.asked.clear()
    look_again(page)
    says(page, version_of(trip.host.site))
    changed = {path for path, text in trip.stored(page).items() if before.get(path) != text}
    assert {"rigs/rig.html", "rigs/index.html"} <= changed
    assert len(changed) < len(before) / 3
    asked = set(trip.host.asked) - {"field-copy.json", "field-copy.txt", "field-copy.js"}
    assert asked == changed
    page.close()
    page = trip.tab().open("away/index.html")

    def let_go() -> bool:
        look_again(page)  # a tab that is closed may be counted as open for a while yet
        return not [text for text in trip.stored(page).values() if "<h1>Rig</h1>" in text]

    until(page, let_go)


def test_a_login_page_in_place_of_everything_is_never_stored_and_hides_nothing(away: NewTrip, tmp_path: Path) -> None:
    trip = away()
    trip.host.portal = lambda path: not path.endswith("field-copy.js") and path not in ("", "index.html")
    page = trip.tab().open("index.html")
    trip.asked(page, "field-copy.txt")
    page.wait_for_function(IDLE)
    assert trip.stored(page) == {}, "before anything was stored"
    trip.host.portal = lambda _: False
    look_again(page)
    page = trip.told(WHOLE)
    trip.host.portal = lambda _: True
    look_again(page)
    assert trip.shown(page) == {"one"}, "the kept pages are shown, not the login page"
    page.goto(trip.host.home + "unknown.html")
    assert "Log in" in page.content(), "for what is not kept the reader may log in"
    # A newer guide is out, and the login page comes up while it is fetched.
    trip.host.site = build(tmp_path, "two", RENAMED)
    trip.host.portal = lambda path: path.startswith("parts/")
    page.goto(trip.host.home + "away/index.html")
    trip.host.asked.clear()
    look_again(page)
    trip.asked(page, "parts/tube.html")
    says(page, "Some files came from the host otherwise than the guide was built")
    kept = trip.stored(page)
    assert len(kept) > 50
    assert all(LOGIN.decode() not in text for text in kept.values())


def test_without_room_browsing_goes_on_and_the_page_says_so(away: NewTrip) -> None:
    trip = away()
    visit = trip.tab()
    devtools = trip.context.new_cdp_session(visit.page)
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": trip.host.home.rstrip("/"), "quotaSize": 700_000})
    page = visit.open("away/index.html")
    says(page, "There was no room on this device")
    for path in PAGES:
        visit.open(path)
        expect(page.locator("article h1").first).to_be_visible()
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": trip.host.home.rstrip("/")})
    visit.open("away/index.html")
    page.get_by_role("button", name="Look for a newer guide now").click()
    says(page, WHOLE)
    assert trip.complaints == []


def test_of_a_large_guide_what_was_read_and_the_chosen_rigs_are_kept(away: NewTrip) -> None:
    trip = away(plugins=["search", "offline", {"rigleaf": {"field_copy": "rigs"}}])
    read = trip.tab().open("parts/camera.html")
    page = trip.told("They work without signal")
    until(page, lambda: {"parts/camera.html", "rigs/index.html", "index.html"} <= set(trip.stored(page)))
    assert "rigs/rig.html" not in trip.stored(page)
    row = page.locator("#rig_second")
    row.get_by_role("button").click()
    expect(row.locator("output")).to_have_text("stored, with all that goes along", timeout=30_000)
    assert "rigs/second.html" in trip.stored(page)
    assert not [path for path in trip.stored(page) if path.startswith("assets/copies/")]
    trip.context.set_offline(True)
    read.goto(trip.host.home + "rigs/second.html")
    expect(read.locator("article h1")).to_have_text("Second rig")
    read.locator(".rl-doors a", has_text="Keep it for the field").click()
    expect(read.locator("#rig_second")).to_have_class("rl-away-wanted")
    read.goto(trip.host.home + "rigs/rig.html")
    expect(read.locator("[data-rl-missing]")).to_contain_text("rigs/rig.html")
    trip.context.set_offline(False)
    row.get_by_role("button", name="Second rig").click()
    expect(row.locator("output")).not_to_have_text("stored, with all that goes along")
    assert trip.complaints == []


def test_addresses_that_mean_nothing_neither_stop_the_worker_nor_stay_in_its_mind(away: NewTrip) -> None:
    trip = away(plugins=["search", "offline", {"rigleaf": {"field_copy": "rigs"}}])
    page = trip.told("They work without signal")
    for path in ("nowhere.html", "%E0%A4%A", "rigs/rig.html"):
        page.goto(trip.host.home + path)
        said = page.evaluate(HEARD)
        assert said["version"], path
    until(page, lambda: set(page.evaluate(STATE)["read"]) - {"away/index.html"} == {"rigs/rig.html"})


def test_a_page_to_send_is_never_answered_for_by_the_worker(away: NewTrip) -> None:
    trip = away()
    page = trip.told(WHOLE)
    get = "fetch('../assets/copies/rig.html', {cache: 'no-store'}).then(one => one.text(), () => 'no network')"
    assert "A copy of one page of our guide" in page.evaluate(get)
    trip.context.set_offline(True)
    assert page.evaluate(get) == "no network"


def test_what_is_kept_can_be_removed_and_stays_away_until_asked_for(away: NewTrip) -> None:
    trip = away()
    page = trip.told(WHOLE)
    page.get_by_role("button", name="Remove it all").click()
    expect(page.locator("[data-rl-part=what]")).to_contain_text("Nothing of this guide is stored")
    page = trip.tab().open("rigs/rig.html")
    page.wait_for_timeout(A_WHILE)
    assert page.evaluate("caches.keys()") == []
    assert page.evaluate("navigator.serviceWorker.getRegistrations().then(all => all.length)") == 0
    page.goto(trip.host.home + "away/index.html")
    page.get_by_role("button", name="Keep the whole guide").click()
    says(page, WHOLE)
    assert trip.complaints == []


def test_where_the_browser_saves_data_nothing_is_stored_until_asked_for(away: NewTrip) -> None:
    trip = away()
    trip.context.add_init_script("Object.defineProperty(navigator, 'connection', {value: {saveData: true}})")
    page = trip.told("your browser asks to save data")
    page.wait_for_timeout(A_WHILE)
    assert trip.stored(page) == {}
    page.get_by_role("button", name="Keep the whole guide").click()
    says(page, WHOLE)


def test_a_guide_that_withdraws_its_copy_takes_it_out_of_browsers(away: NewTrip, tmp_path: Path) -> None:
    trip = away()
    page = trip.told(WHOLE)
    plugins = ["search", "offline", {"rigleaf": {"field_copy": "off"}}]
    trip.host.site = build(tmp_path, "two", RENAMED, plugins=plugins)
    look_again(page)
    page.goto(trip.host.home + "rigs/rig.html")
    expect(page).to_have_title("Renamed - Guide two")
    page.wait_for_function("caches.keys().then(all => all.length === 0)")
    page.wait_for_function("navigator.serviceWorker.getRegistrations().then(all => all.length === 0)")


def test_from_a_folder_nothing_is_needed_and_nothing_fails(browser: Browser, demo_site: Path, exported: Path) -> None:
    context = browser.new_context()
    try:
        for site in (demo_site, exported):
            visit = Visit(context.new_page(), site.as_uri() + "/")
            page = visit.open("rigs/curlew-twin.html")
            page.locator(".rl-doors a", has_text="Keep it for the field").click()
            expect(page.locator("[data-rl-away-plain]")).to_be_visible()
            expect(page.locator("[data-rl-away]")).to_be_hidden()
            page.wait_for_timeout(A_WHILE)
            assert visit.complaints == []
    finally:
        context.close()


def test_without_script_the_page_says_how_things_are(browser: Browser, address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    try:
        page = context.new_page()
        page.goto(address + "away/index.html")
        expect(page.locator("[data-rl-away-plain]")).to_be_visible()
        expect(page.locator("[data-rl-away]")).to_be_hidden()
        expect(page.locator("[data-rl-missing]")).to_be_hidden()
    finally:
        context.close()
