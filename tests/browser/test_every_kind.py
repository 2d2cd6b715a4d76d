"""One page of each kind, opened once: it fits, asks nobody else, breaks no rule in any palette and is red at night."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import Visit, visiting
from tests.browser.looking import ALL, KINDS, OF_COLOUR, axe_problems, choose
from tests.browser.test_night import green_and_blue

pytestmark = pytest.mark.browser

WIDTHS = (1440, 1000, 640, 360)


@pytest.fixture(scope="module")
def reader(browser: Browser, address: str) -> Iterator[Visit]:
    """Somebody who has chosen night and goes through the guide, on a screen with one dot for two by two pixels.

    A coloured pixel still colours its dot, and a quarter of the dots are painted and read.
    """
    with visiting(browser, address, device_scale_factor=0.5) as trip:
        page = trip.open("about/index.html")
        assert max(green_and_blue(page)) > 100, "by day there are other colours: the measurement works"
        choose(page, "night")
        yield trip


@pytest.fixture
def at_night(reader: Visit) -> Iterator[Visit]:
    """The reader, who leaves a page by night and on a wide screen, whatever a test finds."""
    del reader.complaints[:], reader.requests[:]
    yield reader
    reader.page.set_viewport_size({"width": WIDTHS[0], "height": 900})
    choose(reader.page, "night")


@pytest.mark.parametrize("kind", KINDS)
def test_it_is_red_at_night_breaks_no_rule_fits_and_asks_nobody_else(at_night: Visit, kind: str) -> None:
    page = at_night.open(KINDS[kind])
    assert page.locator("body").get_attribute("data-md-color-scheme") == "night", "what was chosen stays"
    page.mouse.move(0, 0)
    assert green_and_blue(page) == (0, 0)
    assert axe_problems(page, OF_COLOUR) == []
    choose(page, "dusk")
    assert axe_problems(page, OF_COLOUR) == []
    choose(page, "paper")
    assert axe_problems(page, ALL) == []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        page.wait_for_function("width => innerWidth === width", arg=width)
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, width
    assert at_night.complaints == []
    assert at_night.requests_elsewhere == []
    assert len(at_night.requests) > 5
