"""What the browser tests look at: one page of each kind, and the three palettes."""

from typing import Any

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

NAMES = ("chromium", "chromium-browser", "chrome", "google-chrome")
"""Browsers on the search path that will do, in this order."""

KINDS: dict[str, str] = {
    "home": "index.html",
    "rigs": "rigs/index.html",
    "rigs that suit": "rigs/index.html?fly=1&target=m31",
    "a rig": "rigs/curlew-twin.html",
    "a rig with gaps": "rigs/workshop-misfits.html",
    "a field card": "rigs/curlew-twin/card.html",
    "a hand-over sheet": "rigs/curlew-twin/hand-over.html",
    "labels for parts": "rigs/curlew-twin/labels.html",
    "labels for lids": "rigs/plover-newtonian/lids.html",
    "rigs side by side": "compare/index.html?rigs=heron-cabin,curlew-twin,balcony-grebe&target=m31",
    "a part": "parts/curlew-80.html",
    "shelf": "shelf/index.html",
    "a kind": "shelf/optic.html",
    "labels for the shelf": "shelf/labels.html",
    "labels of a kind": "shelf/fixing/labels.html",
    "journeys": "trips/index.html",
    "a journey": "trips/winter-in-the-south.html",
    "a journey that does not go": "trips/godwit-to-the-fell.html",
    "a sheet for the desk": "trips/eclipse-for-two/check-in.html",
    "labels": "trips/eclipse-for-two/labels.html",
    "places": "places/index.html",
    "a place": "places/kaldtindskar.html",
    "targets": "targets/index.html",
    "a target": "targets/m31.html",
    "the desk": "desk/index.html",
    "what is claimed": "claimed/index.html",
    "flight rules": "flight/index.html",
    "methods": "method/index.html",
    "a method": "method/scale-and-field.html",
    "terms": "terms/index.html",
    "safety": "safety/index.html",
    "about": "about/index.html",
    "without signal": "away/index.html",
    "YAML fields": "reference/index.html",
    "handbook": "getting-started.html",
    "handbook with tables": "writing-yaml.html",
}
"""One page of each kind. A test asks of every page of the demo that its kind is among them."""


def kind_of(path: str) -> str:
    """What a page's path says of its kind: pages of a kind differ by a name below a folder, and texts by theirs."""
    folder, _, rest = path.partition("?")[0].partition("/")
    if not rest:
        return folder if folder == "index.html" else "*.html"
    name, _, below = rest.partition("/")
    return f"{folder}/{name if name == 'index.html' or (name == 'labels.html' and folder == 'shelf') else '*'}/{below}"


ARTICLE = "article.md-content__inner"

PALETTES = ("paper", "dusk", "night")

ALL: dict[str, Any] = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
    "resultTypes": ["violations"],
    "preload": False,
}
"""Rules of WCAG 2.2, level A and AA, as the program names them."""

OF_COLOUR: dict[str, Any] = {**ALL, "runOnly": ["color-contrast", "link-in-text-block"]}
"""The rules among them whose outcome a palette can change."""


FOUND = """options => axe.run(document, options).then(said => said.violations.map(
    one => [one.id, one.impact, one.nodes.length, one.nodes.slice(0, 3).map(node => node.target)]))"""


def axe_problems(page: Page, rules: dict[str, Any]) -> list[str]:
    """What a page breaks of some rules, in words."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    found = page.evaluate(FOUND, rules)
    return [f"{id_} ({impact}), {count} times, such as {such}" for id_, impact, count, such in found]


LIST_IS_FILLED = """() => {
    const said = document.querySelector('.md-search-result__meta').textContent.trim();
    const count = said.startsWith('No ') ? 0 : parseInt(said, 10);
    const shown = document.querySelectorAll('.md-search-result__item').length;
    return count <= 10 ? shown === count : shown >= 10;
}"""
"""The count is announced before the list is filled; of a long list the theme shows ten, and more as one scrolls."""


def open_search(page: Page) -> None:
    """Begin to search, as one does on a wide or on a narrow screen."""
    box = page.locator("input.md-search__input")
    (box if box.is_visible() else page.locator("label.md-header__button[for=__search]")).click()
    page.wait_for_function("!!document.querySelector('.md-search-result__meta')")


def results(page: Page, words: str) -> list[str]:
    """Type into the open search box and return where the hits lead, best first."""
    meta = page.locator(".md-search-result__meta")
    box = page.locator("input.md-search__input")
    box.fill("")
    box.press("Backspace")  # the theme listens to keys
    meta.get_by_text("Type to start searching").wait_for()
    box.fill(words[:-1])
    box.press_sequentially(words[-1])  # one key, one question: no list of an earlier one comes in between
    meta.get_by_text("matching document").first.wait_for()
    page.wait_for_function(LIST_IS_FILLED)
    found: list[str] = page.eval_on_selector_all(
        ".md-search-result__item > .md-search-result__link", "links => links.map(link => new URL(link.href).pathname)"
    )
    return ["/".join(path.split("/")[-2:]) for path in found]


def choose(page: Page, palette: str) -> None:
    """Choose a palette as a reader does; later pages of the same visit keep it."""
    # By script, since the header may still move, and a click would miss.
    page.locator(f'input[data-md-color-scheme="{palette}"]').evaluate("one => one.click()")
    page.wait_for_function("name => document.body.getAttribute('data-md-color-scheme') === name", arg=palette)
    settle(page)


def settle(page: Page) -> None:
    """Wait until nothing that ends by itself moves, fades or changes colour any more.

    Looked at again and again: the browser may forget an animation whose end it has promised to tell.
    """
    page.evaluate("() => new Promise(requestAnimationFrame)")
    page.wait_for_function(
        """() => !document.getAnimations()
            .some(one => one.playState === "running" && one.effect.getComputedTiming().endTime < Infinity)"""
    )
