"""The demo guide in German: its pages fit a telephone, scripts speak German, and what stays English says so."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.looking import ALL, axe_problems

RIG = "rigs/heron-cabin.html"
PAGES = (
    "index.html", "rigs/index.html", RIG, "rigs/bittern-heavy/hand-over.html",
    "rigs/bittern-heavy/card.html", "desk/index.html", "targets/index.html",
    "places/kranichbrache.html", "trips/eclipse-for-two.html", "shelf/index.html", "about/index.html",
    "away/index.html", "safety/index.html", "claimed/index.html",
)  # fmt: skip
HEADINGS = (
    "Find a rig", "At a glance", "What it is made of", "In figures", "Findings", "Mass in all", "Focal length",
    "sound", "tight", "fails", "unsaid", "measured", "computed", "Spoken for", "Overdue", "Journeys", "Batteries",
)  # fmt: skip


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A telephone's page that opens files of the German guide."""
    context = browser.new_context(viewport={"width": 360, "height": 780})
    page = context.new_page()
    page.set_default_timeout(20_000)
    yield page
    context.close()


def test_no_page_is_wider_than_a_telephone_and_none_shows_english_headings(phone: Page, german_site: Path) -> None:
    wide, english = [], []
    for path in PAGES:
        phone.goto((german_site / path).as_uri())
        assert phone.evaluate("document.documentElement.lang") == "de"
        if phone.evaluate("document.documentElement.scrollWidth > innerWidth"):
            wide.append(path)
        # What a reader meets as a heading, a label or a word with a mark, save what says that it is English.
        shown = phone.evaluate("""() => [...document.querySelectorAll(
            "h1, h2, h3, th, dt, legend, button, summary, caption, .rl-verdict, .rl-basis")]
            .filter(one => !one.closest("[lang=en]")).map(one => one.textContent.trim())""")
        english += [f"{path}: {text}" for text in shown if text in HEADINGS]
    assert wide == []
    assert english == []


def test_scripts_speak_german(phone: Page, german_site: Path) -> None:
    phone.goto((german_site / "rigs/index.html").as_uri())
    told = phone.locator("[data-rl-find] output")
    assert told.text_content() == "19 Ausrüstungen."
    phone.get_by_label("Handgepäck").check()
    assert "von 19 Ausrüstungen pass" in (told.text_content() or "")
    caption = phone.locator("#rigs caption").text_content() or ""
    assert caption.startswith("Ausrüstungen, gefragt nach")
    label = phone.evaluate(
        "getComputedStyle(document.querySelector('#rigs tbody tr:not([hidden]) td'), '::before').content"
    )
    assert label == '"Reist"'
    phone.goto((german_site / "compare/index.html").as_uri() + "?rigs=heron-cabin,godwit-car")
    phone.get_by_text("2 Ausrüstungen stehen nebeneinander.").wait_for()
    assert phone.locator(".rl-beside-table").first.get_by_text("Brennweite").count() == 1
    phone.goto((german_site / "rigs/bittern-heavy/hand-over.html").as_uri())
    phone.locator("[data-rl-line] input").first.check()
    assert (phone.locator(".rl-still").text_content() or "").startswith("Ausgegeben: 1 von")


def test_findings_speak_german(phone: Page, german_site: Path) -> None:
    phone.goto((german_site / RIG).as_uri())
    assert phone.locator(".rl-chapter .rl-finding p").count() > 20
    assert phone.locator(".rl-chapter .rl-finding [lang=en]").count() == 0


def test_a_german_page_can_be_read_by_all(phone: Page, german_site: Path) -> None:
    phone.goto((german_site / RIG).as_uri())
    assert axe_problems(phone, ALL) == []
