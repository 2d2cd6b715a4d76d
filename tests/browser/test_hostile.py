"""A guide in which every text is an attack, in a browser: nothing of it runs, and nothing is asked of other hosts."""

import functools
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Dialog

from tests.browser.conftest import Visit
from tests.browser.guide_server import Quiet, listening
from tests.browser.looking import open_search
from tests.conftest import Once, build_guide
from tests.hostile.attacked_guide import RIGS, TRIP, write_attacked

pytestmark = pytest.mark.browser

PAGES = (
    "index.html",
    "rigs/index.html",
    f"rigs/{RIGS[0]}.html",
    "rigs/workshop-misfits.html",
    f"rigs/{RIGS[0]}/hand-over.html",
    f"rigs/{RIGS[0]}/card.html",
    f"rigs/{RIGS[0]}/labels.html",
    f"rigs/{RIGS[0]}/lids.html",
    "shelf/index.html",
    "shelf/optic.html",
    "shelf/labels.html",
    "parts/curlew-80.html",
    "targets/index.html",
    "targets/m31.html",
    "places/index.html",
    "trips/index.html",
    f"trips/{TRIP}.html",
    f"trips/{TRIP}/check-in.html",
    "desk/index.html",
    "claimed/index.html",
    "terms/index.html",
    "about/index.html",
    "flight/index.html",
    "away/index.html",
    "method/index.html",
    "reference/index.html",
    f"assets/copies/{RIGS[0]}.html",
    f"compare/index.html?rigs={','.join(RIGS[:3])}&target=m31",
    "compare/index.html?rigs=__proto__,constructor,<img src=x onerror=hit=1>&target=toString",
    'rigs/index.html?for=%22%3E%3Cimg%20src=x%20onerror=hit=1%3E&by=__proto__#"><img src=x onerror=hit=1>',
)

ASTRAY = """() => ({
  ran: window.hit || 0,
  handlers: [...document.querySelectorAll('*')]
    .filter(one => [...one.attributes].some(a => /^on/i.test(a.name))).length,
  links: document.querySelectorAll('[href^="javascript:" i], [src^="javascript:" i], base, iframe[srcdoc]').length,
})"""
NOTHING = {"ran": 0, "handlers": 0, "links": 0}


@pytest.fixture(scope="module")
def home(once: Once, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    def fill(folder: Path) -> None:
        source = tmp_path_factory.mktemp("attacked")
        write_attacked(source)
        build_guide("mkdocs", source, folder)
        shutil.rmtree(source)

    with listening(functools.partial(Quiet, directory=str(once("attacked site", fill)))) as root:
        yield root


@pytest.fixture
def visit(browser: Browser, home: str) -> Iterator[Visit]:
    context = browser.new_context()
    page = context.new_page()
    one = Visit(page, home)

    def note(dialog: Dialog) -> None:
        one.complaints.append(f"dialog: {dialog.message}")
        dialog.dismiss()

    page.on("dialog", note)
    yield one
    context.close()


@pytest.mark.skipif(sys.platform == "win32", reason="names of the test's pages hold signs of the shell")
def test_nothing_runs_on_any_sort_of_page(visit: Visit) -> None:
    seen = {}
    for path in PAGES:
        page = visit.open(path)
        seen[path] = page.evaluate(ASTRAY)
    assert {path: found for path, found in seen.items() if found != NOTHING} == {}
    assert visit.complaints == []
    assert visit.requests_elsewhere == []


def test_nothing_runs_among_what_search_finds(visit: Visit) -> None:
    page = visit.open("index.html")
    open_search(page)
    for words in ("onerror", "script", "<img src=x onerror=hit=1>"):
        page.locator("input.md-search__input").fill(words)
        page.locator("input.md-search__input").press("Space")
        page.locator(".md-search-result__meta").get_by_text("matching document").first.wait_for()
        page.locator(".md-search-result__item").first.wait_for()
        assert page.locator(".md-search-result :is(script, img, iframe, base)").count() == 0
    assert page.evaluate(ASTRAY) == NOTHING
    assert visit.complaints == []
    assert visit.requests_elsewhere == []


def test_scripts_of_data_say_the_very_words(visit: Visit) -> None:
    """The names that the page of rigs side by side has are those of the rigs' pages, letter by letter."""
    page = visit.open(f"compare/index.html?rigs={','.join(RIGS[:3])}")
    side_by_side = page.locator("article").inner_text()
    for rig in RIGS[:3]:
        name = visit.open(f"rigs/{rig}.html").locator("article h1").inner_text().strip().rstrip("¶").strip()
        assert name in side_by_side, rig
