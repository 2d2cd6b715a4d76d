"""What the browser tests look at: one page of each kind, and the three palettes."""

from playwright.sync_api import Page

KINDS: dict[str, str] = {
    "home": "index.html",
    "rigs": "rigs/index.html",
    "a rig": "rigs/curlew-duo.html",
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


def choose(page: Page, palette: str) -> None:
    """Choose a palette as a reader does; later pages of the same visit keep it."""
    page.locator(f'input[data-md-color-scheme="{palette}"]').check(force=True)
    page.wait_for_function("name => document.body.getAttribute('data-md-color-scheme') === name", arg=palette)
