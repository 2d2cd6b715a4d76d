"""What a page weighs, compressed as hosts send it, and that nothing moves under the reader's eyes while it loads."""

import gzip
import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from rigleaf.site.delivery.static_files import static_content, static_files
from tests.browser.conftest import NewVisit
from tests.browser.looking import KINDS

pytestmark = pytest.mark.browser

OURS = "assets/rigleaf/"
NOT_OURS = "iframe-worker.js"
"""Another's work, of 0.7 kB, which the theme needs where a page is opened from a folder."""

ASKED_FOR = "split-search.js"
"""Loaded only by guides with ``search: split``, in the place of the theme's own way to search."""

RIG_PAGE = 60_000
SCRIPTS_OF_A_PAGE = 13_500
SCRIPTS_OF_A_RIG = 7_000
ALL_SCRIPTS = 24_300
"""Bytes at most. No page loads all scripts: the three largest are those of the worker, of finding and of comparing.
What gives a page its palette before it is painted is among them: a strict policy lets no page hold it itself."""
SHEETS_OF_A_PAGE = 25_000


def weight(content: bytes) -> int:
    """Bytes of a file as most hosts send it."""
    return len(gzip.compress(content, 9, mtime=0))


def test_every_rigs_page_is_light(demo_site: Path) -> None:
    pages = {
        path.name: weight(path.read_bytes()) for path in demo_site.glob("rigs/*.html") if path.name != "index.html"
    }
    assert len(pages) >= 20
    assert {name: size for name, size in pages.items() if size >= RIG_PAGE} == {}


def test_all_scripts_together_are_light(demo_site: Path) -> None:
    sizes = {path.name: weight(path.read_bytes()) for path in (demo_site / OURS).glob("*.js")}
    assert {path.name for path in map(Path, static_files()) if path.suffix == ".js"} == set(sizes)
    assert (demo_site / OURS / "find.js").read_bytes() == static_content(f"{OURS}find.js")
    sizes.pop(NOT_OURS)
    assert sizes.pop(ASKED_FOR) < 2_200
    sizes["the worker"] = weight((demo_site / "field-copy.js").read_bytes())
    assert sum(sizes.values()) < ALL_SCRIPTS, sizes


def test_no_page_loads_more_scripts_and_sheets_of_ours_than_it_should(demo_site: Path) -> None:
    sizes = {path.name: weight(path.read_bytes()) for path in (demo_site / OURS).iterdir() if path.is_file()}
    sizes.pop(NOT_OURS)
    heavy: list[str] = []
    for page in demo_site.rglob("*.html"):
        asked = set(re.findall(rf"""(?:src|href)=["']?[^"'\s>]*{OURS}([\w-]+\.(?:js|css))""", page.read_text("utf-8")))
        scripts = sum(sizes.get(name, 0) for name in asked if name.endswith(".js"))
        sheets = sum(sizes[name] for name in asked if name.endswith(".css"))
        rig = page.parent.name == "rigs" and page.name != "index.html"
        if scripts >= (SCRIPTS_OF_A_RIG if rig else SCRIPTS_OF_A_PAGE) or sheets >= SHEETS_OF_A_PAGE:
            heavy.append(f"{page.relative_to(demo_site)}: {scripts} bytes of script, {sheets} of style")
    assert heavy == []


SHIFTS = """() => new Promise(done => {
    const found = [];
    new PerformanceObserver(list => list.getEntries().forEach(one => found.push(
        [one.value, ...one.sources.map(source => source.node?.className || source.node?.nodeName || '')]
    ))).observe({ type: 'layout-shift', buffered: true });
    setTimeout(() => done(found), 300);
})"""


MOVED = 0.001
"""Of the view, by the browser's own reckoning, a very first visit's typefaces included. Readers are said not to notice
less than 0.1 (web.dev, cumulative layout shift; from memory); here nothing moves, and this is for a rounding."""


@pytest.mark.parametrize("late", [False, True])
def test_all_faces_of_a_page_are_shown_or_none(visit: NewVisit, late: bool) -> None:
    """One that is late would be a misprint among the others, and the reader does not wait for it for long."""
    trip = visit()
    if late:
        trip.page.route("**/literata-semibold.woff2", lambda _: None)
    page = trip.page
    page.goto(trip.home + KINDS["a rig"], wait_until="commit")
    page.wait_for_function("['here', 'later'].includes(document.documentElement.dataset.rlFaces)")
    face = page.evaluate("getComputedStyle(document.body).getPropertyValue('--rl-face')")
    # A machine that is busy may miss the moment; then the stand-in is shown, as it is to a reader.
    assert ("Stand-in" in face) == (page.evaluate("document.documentElement.dataset.rlFaces") == "later")
    assert "Stand-in" in face or not late
    expect(page.locator("article h1")).to_be_visible()


@pytest.mark.parametrize("width", [360, 1440])
def test_nothing_moves_while_a_page_loads_for_the_first_time(visit: NewVisit, width: int) -> None:
    moved = {
        kind: visit(width=width).open(KINDS[kind]).evaluate(SHIFTS)
        for kind in ("home", "a rig", "rigs", "the desk", "a target")
    }
    assert {kind: found for kind, found in moved.items() if sum(one[0] for one in found) > MOVED} == {}
