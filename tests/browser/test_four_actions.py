"""What a newcomer wants of the guide, from its home page, in at most four actions, found by visible words alone.

An action is a click or a choice in a control; to scroll or to read is none.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Download, Locator, Page

from tests.browser.conftest import NewVisit, Visit
from tests.browser.printed import painted, pdf

pytestmark = pytest.mark.browser

MOST = 4
WIDTHS = pytest.mark.parametrize("width", [360, 1440])
RIG = "Heron 65 for the eclipse"


@dataclass
class Newcomer:
    """Somebody on the home page who clicks only what can be seen, by its words, and whose actions are counted."""

    visit: Visit
    actions: int = 0
    page: Page = field(init=False)

    def __post_init__(self) -> None:
        """Begin on the home page."""
        self.page = self.visit.open()

    def _act(self, what: Locator) -> Locator:
        self.actions += 1
        assert self.actions <= MOST
        assert what.is_visible(), "what is clicked can be seen"
        return what

    def click(self, words: str) -> None:
        """Press the link or button with these words; a second one of the same words would be a riddle."""
        link = self.page.locator("main").get_by_role("link", name=words)
        self._act(link.or_(self.page.locator("main").get_by_role("button", name=words, exact=True))).click()
        self.page.wait_for_load_state("networkidle")

    def choose(self, question: str, answer: str) -> None:
        """Choose an answer by its words in the control that asks a question."""
        self._act(self.page.get_by_label(question)).select_option(label=answer)

    def save(self, words: str) -> Download:
        """Press a link whose file the browser keeps."""
        with self.page.expect_download() as kept:
            self._act(self.page.get_by_role("link", name=words)).click()
        return kept.value


Begin = Callable[[int], Newcomer]


@pytest.fixture
def begin(visit: NewVisit) -> Begin:
    """A function that sets a newcomer before the home page."""
    return lambda width: Newcomer(visit(width=width, accept_downloads=True))


@WIDTHS
def test_a_rig_for_galaxies_that_flies(begin: Begin, width: int) -> None:
    newcomer = begin(width)
    newcomer.choose("What do you want to shoot?", "galaxies")
    newcomer.choose("How must it travel?", "by air")
    newcomer.click("Find a rig")
    page = newcomer.page
    assert page.locator("#rigs caption").inner_text() == "Rigs, asked for travels: by air; shoots: galaxies"
    assert page.locator("output").first.inner_text() == "1 of 19 rigs fits."
    found = page.get_by_role("link", name="Heron 65 twin for the southern trip")
    assert found.bounding_box()["y"] < 900, "the answer is in view and has not to be looked for"  # type: ignore[index]
    newcomer.click("Heron 65 twin for the southern trip")
    assert page.locator("h1").inner_text() == "Heron 65 twin for the southern trip"
    assert newcomer.visit.complaints == []


@WIDTHS
def test_whether_its_battery_may_fly_and_why(begin: Begin, width: int) -> None:
    newcomer = begin(width)
    newcomer.click(RIG)
    asked = newcomer.page.get_by_text("And its batteries?").locator("xpath=following-sibling::dd")
    assert " ".join(asked.inner_text().split()) == "may fly: all of them, of up to 96.5 Wh each, and why"
    newcomer.click("all of them, of up to 96.5 Wh each, and why")
    table = newcomer.page.get_by_role("table", name="May its batteries fly, and why")
    top = table.bounding_box()["y"]  # type: ignore[index]
    assert 0 <= top < 300, "one has come to it"
    row = " ".join(table.get_by_role("row").filter(has_text="USB power bank 96.5 Wh").first.inner_text().split())
    assert "USB power bank 96.5 Wh may fly in the cabin or on the person." in row
    assert "One person may take two power banks of up to 160 Wh each, in the cabin." in row
    assert "ICAO Technical Instructions (Doc 9284), 2025-2026 with Addendum No. 1, Part 8, Table 8-1" in row
    assert "in force since 27 March 2026" in row
    assert table.get_by_role("link", name="in force since 27 March 2026").first.is_visible(), "it leads to the rule"


@WIDTHS
def test_its_checklist_is_printed(begin: Begin, width: int) -> None:
    newcomer = begin(width)
    newcomer.page.add_init_script("window.print = () => { window.printed = (window.printed || 0) + 1; }")
    newcomer.click(RIG)
    newcomer.click("Checklist to print")
    newcomer.click("Print the checklist")
    page = newcomer.page
    assert page.evaluate("window.printed") == 1
    lines = page.locator("[data-rl-line]").count()
    assert lines > 25
    page.emulate_media(media="print")
    assert page.get_by_role("button", name="Print the checklist").is_hidden()
    assert page.locator("[data-rl-line] input[type=checkbox]").count() == 2 * lines
    page.emulate_media(media=None)
    sides = pdf(page).pages
    assert len(sides) == 2
    boxes = [
        one for side in sides for one in painted(side) if one.stroke and all(3 < length < 5 for length in one.box[2:])
    ]
    assert len(boxes) == 2 * lines, "squares of some 4 mm to tick by hand, going out and coming in"
    assert urlsplit(page.url).path.endswith("/hand-over.html")


@WIDTHS
def test_it_is_sent_to_a_friend(begin: Begin, width: int) -> None:
    newcomer = begin(width)
    newcomer.click(RIG)
    kept = newcomer.save("Send it to a friend")
    assert kept.suggested_filename == "heron-eclipse.html"
    text = Path(kept.path()).read_text("utf-8")
    assert f"<h1>{RIG}</h1>" in text
    assert "<script" not in text, "it is whole by itself"
