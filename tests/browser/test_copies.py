"""A rig's page as somebody gets it by mail: on a telephone, from a folder, without a network and without a script."""

import io
import re
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from pypdf import PdfReader

from rigleaf.site.typeset.doors import COPIES
from tests.browser.conftest import NewVisit, Visit
from tests.browser.looking import ALL, OF_COLOUR, axe_problems
from tests.browser.test_night import green_and_blue

pytestmark = pytest.mark.browser

RIGS = ("heron-cabin", "workshop-misfits")

Receive = Callable[..., Visit]


@pytest.fixture
def receive(browser: Browser, exported: Path) -> Iterator[Receive]:
    """A function that opens a copy with the network off: ``receive("heron-cabin", width=360, **context_options)``."""
    with ExitStack() as stack:

        def begin(rig: str, width: int = 360, **options: object) -> Visit:
            context = browser.new_context(viewport={"width": width, "height": 740}, offline=True, **options)  # type: ignore[arg-type]
            stack.callback(context.close)
            context.set_offline(True)
            visit = Visit(context.new_page(), (exported / COPIES).as_uri() + "/")
            visit.open(f"{rig}.html")
            return visit

        yield begin


@pytest.mark.parametrize("script", [True, False])
@pytest.mark.parametrize("rig", RIGS)
def test_it_opens_without_a_network_asks_for_nothing_and_complains_of_nothing(
    receive: Receive, rig: str, script: bool
) -> None:
    visit = receive(rig, java_script_enabled=script)
    page = visit.page
    for fold in page.locator("summary").all():
        fold.click()
    assert page.locator("h1").is_visible()
    assert page.locator("figure.rl-plate svg").count() >= 3
    assert [url for url in visit.requests if not url.startswith("data:")] == [f"{visit.home}{rig}.html"]
    assert visit.complaints == []


def test_its_own_face_is_there(receive: Receive) -> None:
    page = receive("heron-cabin").page
    loaded = page.evaluate(
        "document.fonts.ready.then(all => [...all].filter(f => f.status === 'loaded').map(f => f.family + f.weight))"
    )
    assert any("Rigleaf Text" in face for face in loaded)


@pytest.mark.parametrize("width", [360, 1440])
def test_it_fits_the_screen(receive: Receive, width: int) -> None:
    for rig in RIGS:
        page = receive(rig, width).page
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, rig


def test_a_method_is_read_where_it_is_asked_for_and_the_way_back_is_there(receive: Receive) -> None:
    page = receive("heron-cabin", java_script_enabled=False).page
    page.locator("main .rl-how:visible").first.click()
    heading = page.locator("h4:target")
    assert heading.bounding_box()["y"] > 40, "the bar does not hide it"  # type: ignore[index]
    assert heading.bounding_box()["y"] < 400  # type: ignore[index]
    page.locator("nav a").click()
    assert page.locator("#contents").bounding_box()["y"] < 400  # type: ignore[index]


def test_one_system_of_units_can_be_chosen_without_a_script(receive: Receive) -> None:
    page = receive("heron-cabin", java_script_enabled=False).page
    second = page.locator("main .rl-q2").first
    assert second.is_visible()
    page.locator("input[name=rl-units][value=first]").check(force=True)
    assert not second.is_visible()


def test_night_makes_every_pixel_red_without_a_script(receive: Receive) -> None:
    visit = receive("heron-cabin", java_script_enabled=False)
    page = visit.page
    assert max(green_and_blue(page, full=False)) > 100, "by day there are other colours: the measurement works"
    page.locator("#rl-night").check()
    assert green_and_blue(page, full=False) == (0, 0)
    for anchor in ("at-a-glance", "image-train", "in-the-frame", "setting-up", "cautions", "methods"):
        page.goto(f"{page.url.partition('#')[0]}#{anchor}")
        assert page.locator("#rl-night").is_checked()
        assert green_and_blue(page, full=False) == (0, 0), anchor


def test_night_holds_for_the_whole_page_and_all_that_opens(receive: Receive) -> None:
    page = receive("balcony-grebe", 1000, device_scale_factor=0.5).page  # half as fine: a quarter of the dots
    page.locator("#rl-night").check()
    for summary in page.locator("summary").all():
        summary.click()
    assert green_and_blue(page) == (0, 0)
    assert axe_problems(page, OF_COLOUR) == []


def background(page: Page) -> str:
    return str(page.evaluate("getComputedStyle(document.body).backgroundColor"))


@pytest.mark.parametrize("preference", ["light", "dark"])
def test_it_follows_the_systems_preference_and_breaks_no_rule(receive: Receive, preference: str) -> None:
    page = receive("heron-cabin", color_scheme=preference).page
    assert background(page) == ("rgb(250, 246, 236)" if preference == "light" else "rgb(27, 30, 36)")
    assert axe_problems(page, ALL) == []


def test_it_is_printed_black_on_white_even_from_the_night_without_what_is_only_tapped(receive: Receive) -> None:
    page = receive("heron-cabin", color_scheme="dark").page
    page.locator("#rl-night").check()
    page.emulate_media(media="print")
    assert background(page) == "rgb(255, 255, 255)"
    assert not page.locator("nav").is_visible()
    assert not page.locator("#methods").is_visible()
    printed = PdfReader(io.BytesIO(page.pdf(format="A4")))
    assert 5 <= len(printed.pages) <= 25
    assert "A copy of one page" in printed.pages[0].extract_text()


def test_the_lines_for_a_chat_are_copied_by_a_button_or_by_hand(visit: NewVisit) -> None:
    trip = visit(width=360)
    page = trip.open("rigs/heron-cabin.html")
    fold = page.locator("details:has(> [data-rl-letter])")
    fold.locator("summary").click()
    assert axe_problems(page, ALL) == []
    fold.get_by_role("button").click()
    fold.get_by_text(re.compile("Copied|Selected")).wait_for()
    assert fold.locator("pre").inner_text().endswith(("/rigs/heron-cabin.html", "/rigs/heron-cabin.html\n"))
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    assert trip.complaints == []
    page = visit(java_script_enabled=False).open("rigs/heron-cabin.html")
    fold = page.locator("details:has(> [data-rl-letter])")
    fold.locator("summary").click()
    assert fold.locator("pre").is_visible()
    assert not fold.get_by_role("button").is_visible()
