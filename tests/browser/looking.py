"""What the browser tests look at: one page of each kind, and the three palettes."""

from playwright.sync_api import Page

KINDS: dict[str, str] = {
    "home": "index.html",
    "rigs": "rigs/index.html",
    "a rig": "rigs/curlew-twin.html",
    "a rig with gaps": "rigs/workshop-misfits.html",
    "a part": "parts/curlew-80.html",
    "shelf": "shelf/index.html",
    "a kind": "shelf/optic.html",
    "methods": "method/index.html",
    "a method": "method/scale-and-field.html",
    "safety": "safety/index.html",
    "about": "about/index.html",
    "YAML fields": "reference/index.html",
    "handbook": "getting-started.html",
}

ARTICLE = "article.md-content__inner"

PALETTES = ("paper", "dusk", "night")


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
    box.press_sequentially(words)
    meta.get_by_text("matching document").or_(meta.get_by_text("1 matching")).first.wait_for()
    page.wait_for_timeout(200)  # the list is filled after its count
    found: list[str] = page.eval_on_selector_all(
        ".md-search-result__item > .md-search-result__link", "links => links.map(link => new URL(link.href).pathname)"
    )
    return ["/".join(path.split("/")[-2:]) for path in found]


def choose(page: Page, palette: str) -> None:
    """Choose a palette as a reader does; later pages of the same visit keep it."""
    page.locator(f'input[data-md-color-scheme="{palette}"]').check(force=True)
    page.wait_for_function("name => document.body.getAttribute('data-md-color-scheme') === name", arg=palette)
