"""A reader's browser that keeps the guide, the worker that does it, and ways to wait for either."""

import time
from collections.abc import Callable

from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Visit
from tests.browser.guide_server import Host

PAGES = ("index.html", "rigs/index.html", "rigs/rig.html", "rigs/second.html", "parts/tube.html", "safety/index.html")
STORED = """async () => {
    const name = (await caches.keys()).find(one => one.startsWith('field copy of'));
    if (!name) return [];
    const cache = await caches.open(name);
    const all = await Promise.all((await cache.keys()).map(async key => [key.url, await cache.match(key)]));
    // What the worker lets go while this looks is not kept.
    return Promise.all(all.filter(([, kept]) => kept).map(async ([url, kept]) => [url, await kept.text()]));
}"""

STATE = (
    "caches.match(new URL('field-copy-state', navigator.serviceWorker.controller.scriptURL)).then(one => one.json())"
)
IDLE = """() => navigator.serviceWorker.ready.then(found => new Promise(heard => {
    const worker = navigator.serviceWorker;
    worker.addEventListener("message", event => heard(!event.data.fieldCopy.busy), { once: true });
    worker.startMessages();
    found.active.postMessage({ do: "tell" });
}))"""
"""Whether the worker has nothing to do, by its own word."""

HEARD = """() => new Promise((heard, late) => {
    setTimeout(late, 30000, new Error("the worker says nothing"));
    navigator.serviceWorker.addEventListener("message", event => heard(event.data.fieldCopy));
    navigator.serviceWorker.startMessages();
    navigator.serviceWorker.controller.postMessage({do: "here", anew: true});
})"""


class Trip:
    """A reader's browser, and the host that it visits."""

    def __init__(self, browser: Browser, host: Host) -> None:
        self.context = browser.new_context()
        self.host = host
        self.visits: list[Visit] = []

    def tab(self) -> Visit:
        """Open another tab."""
        self.visits.append(Visit(self.context.new_page(), self.host.home))
        return self.visits[-1]

    def told(self, words: str) -> Page:
        """Open the page about the copy in a tab and wait until it says some words."""
        page = self.tab().page
        page.goto(self.host.home + "away/index.html")
        says(page, words)
        return page

    def asked(self, page: Page, path: str) -> None:
        """Wait until the host was asked for a path."""
        until(page, lambda: path in self.host.asked)

    def stored(self, page: Page) -> dict[str, str]:
        """Return all files that are kept, by address without digest, as a page of the site sees them."""
        found: list[tuple[str, str]] = page.evaluate(STORED)
        return {
            url.removeprefix(self.host.home).partition("?")[0]: text for url, text in found if "/field-copy" not in url
        }

    def shown(self, page: Page) -> set[str]:
        """Go through pages; return the versions of which they are."""
        found = set()
        for path in PAGES:
            page.goto(self.host.home + path)
            found.add(page.title().rpartition("Guide ")[2])
        return found

    @property
    def complaints(self) -> list[str]:
        """What any page complained about."""
        return [complaint for visit in self.visits for complaint in visit.complaints]


def says(page: Page, words: str) -> None:
    """Wait until the page about the copy says some words in view."""
    expect(page.locator("[data-rl-away]").get_by_text(words).first).to_be_visible(timeout=30_000)


def until(page: Page, holds: Callable[[], bool]) -> None:
    """Wait until something holds that a page or the worker brings about in its own time."""
    end = time.monotonic() + 30
    while not holds():
        assert time.monotonic() < end, "it never came to hold"
        page.wait_for_timeout(50)


def look_again(page: Page) -> None:
    """Have the worker ask for the version now, as a page does when the network is back."""
    page.evaluate("dispatchEvent(new Event('online'))")
