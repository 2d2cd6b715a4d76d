"""An address that leads nowhere, deep below the guide, on a host that shows 404.html for it."""

import functools
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

from tests.browser.conftest import NewVisit
from tests.browser.guide_server import Quiet, listening

pytestmark = pytest.mark.browser

BEGINS = "/rigs/"
"""Where the demo's site_url says that it begins."""


class _Host(Quiet):
    """Serves a folder below BEGINS, and its 404.html for all that is not there."""

    def translate_path(self, path: str) -> str:
        """Return the file that stands for an address."""
        found = Path(self.directory) / unquote(urlsplit(path).path).removeprefix(BEGINS)
        return str(found / "index.html" if found.is_dir() else found)

    def do_GET(self) -> None:  # noqa: N802 - so called by the library
        """Answer as such hosts do."""
        if Path(self.translate_path(self.path)).is_file():
            super().do_GET()
            return
        self.send_response(404)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.end_headers()
        self.wfile.write((Path(self.directory) / "404.html").read_bytes())


@pytest.fixture(scope="module")
def host(demo_site: Path) -> Iterator[str]:
    """The address of the demo guide on a host of this kind."""
    handler = functools.partial(_Host, directory=str(demo_site))
    with listening(handler) as root:
        yield root + BEGINS.removeprefix("/")


@pytest.mark.parametrize("gone", ["gone", "rigs/gone.html", "rigs/gone/and/deeper/"])
def test_a_page_of_the_guides_own_shows_ways_on(visit: NewVisit, host: str, gone: str) -> None:
    trip = visit(width=360)
    page = trip.page
    page.goto(host + gone, wait_until="networkidle")
    assert page.locator("h1").inner_text() == "This page is not here"
    assert page.locator("link[href*='assets/rigleaf/tokens.css']").evaluate("one => !!one.sheet"), (
        "it has the guide's own look"
    )
    assert [one for one in trip.complaints if "404" not in one] == []
    page.get_by_label("Search the guide").fill("eclipse")
    page.get_by_role("button", name="Search", exact=True).last.click()
    page.locator(".md-search-result__item").first.wait_for()
    assert page.locator("input.md-search__input").input_value() == "eclipse"
    page.goto(host + gone, wait_until="networkidle")
    page.locator("main").get_by_role("link", name="Find a rig").click()
    assert page.locator("h1").inner_text() == "Find a rig"
