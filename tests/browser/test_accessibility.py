"""No page breaks a rule of WCAG 2.2, level A or AA, that a program can check, in any palette."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.conftest import NewVisit
from tests.browser.looking import ALL, KINDS, OF_COLOUR, PALETTES, axe_problems, choose

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]


@pytest.mark.parametrize("palette", PALETTES)
def test_no_page_breaks_a_rule(visit: NewVisit, palette: str) -> None:
    trip = visit()
    rules = ALL if palette == PALETTES[0] else OF_COLOUR
    broken: list[str] = []
    for number, (kind, path) in enumerate(KINDS.items()):
        page = trip.page
        page.goto(trip.home + path)
        if not number:
            choose(page, palette)
        assert page.locator("body").get_attribute("data-md-color-scheme") == palette, kind
        broken += [f"{kind}: {problem}" for problem in axe_problems(page, rules)]
    assert broken == []


def test_the_program_finds_what_is_broken(visit: NewVisit) -> None:
    """A check of the check: a picture without words and grey on grey are found."""
    page = visit().open()
    page.evaluate(
        "document.querySelector('article').innerHTML ="
        ' \'<img src="x.png"><p style="color:#999;background:#aaa">grey</p>\''
    )
    found = {violation["id"] for violation in Axe().run(page, options=ALL).response["violations"]}
    assert {"image-alt", "color-contrast"} <= found


def test_a_rig_page_can_be_walked_through_with_the_keyboard(visit: NewVisit) -> None:
    page = visit().open(KINDS["a rig"])
    names = []
    for _ in range(60):
        page.keyboard.press("Tab")
        names.append(
            page.evaluate("(document.activeElement.textContent || document.activeElement.ariaLabel || '').trim()")
        )
        outline = page.evaluate(
            "(() => { const e = document.activeElement, s = getComputedStyle(e), b = e.getBoundingClientRect();"
            " return [s.outlineStyle, s.boxShadow, b.width, e.matches(':focus-visible')] })()"
        )
        # The search box opens when it is reached, which shows where one is.
        shown = outline[0] != "none" or outline[1] != "none" or outline[2] < 2
        assert shown or page.locator("input.md-search__input:focus").count(), names[-1]
    assert names[0] == "Skip to content"
    assert {"Image train", "Scale and field"} <= set(names)
