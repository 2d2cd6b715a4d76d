"""What can be had, told by the reader's own clock: each card says what Python says of that day at the club's place."""

import datetime as dt
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Browser, Page

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.days import day_in_words
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.lending.availability import phases_of
from rigleaf.site.export import export
from rigleaf.site.lent.availability import brief
from tests.browser.conftest import NewVisit
from tests.browser.looking import KINDS
from tests.chapters.small_guide import RIG, parts
from tests.conftest import Once
from tests.lending.oracle import phase_on
from tests.site.yaml_guide import write_guide

pytestmark = pytest.mark.browser

CLUB = "Europe/Berlin"
ON = dt.date(2026, 11, 24)
KNOWN = dt.date(2027, 10, 31)
RIGS = [{**RIG, "id": id_, "name": id_.capitalize()} for id_ in ("heron", "curlew", "plover")]
BOOK: dict[str, Any] = {
    "loans": [{"rig": "heron", "out": dt.date(2026, 11, 20), "due": dt.date(2026, 12, 5)}],
    "reservations": [
        {"rig": "curlew", "from": dt.date(2027, 3, 28), "until": dt.date(2027, 3, 29)},
        {"parts": [{"part": "camera", "count": 2}], "from": dt.date(2026, 12, 31), "until": dt.date(2027, 1, 2)},
        {"rig": "plover", "from": dt.date(2027, 10, 25), "until": dt.date(2027, 10, 31)},
    ],
}

# The moment by the clock of UTC, and where the reader is. Midnight at the club is 23:00 in winter, 22:00 in summer.
MOMENTS = {
    "on the day of the build": ("2026-11-24T12:00", CLUB),
    "before the club's midnight, a reader ahead": ("2026-12-05T22:59", "Pacific/Auckland"),
    "after the club's midnight, a reader behind": ("2026-12-05T23:01", "America/Los_Angeles"),
    "on the last night of the year": ("2026-12-31T22:59", "Pacific/Kiritimati"),
    "in the new year": ("2026-12-31T23:00", "Pacific/Pago_Pago"),
    "before the day on which clocks go forward": ("2027-03-27T22:59", CLUB),
    "as that day begins": ("2027-03-27T23:00", "Asia/Kolkata"),
    "before that day ends, an hour early": ("2027-03-28T21:59", CLUB),
    "as that day ends": ("2027-03-28T22:00", "America/St_Johns"),
    "before the last day known ends, as clocks go back": ("2027-10-31T22:59", CLUB),
    "past what the book knows": ("2027-10-31T23:00", CLUB),
    "on a leap day long past it": ("2028-02-29T10:00", "Asia/Tokyo"),
}


@pytest.fixture(scope="module")
def pages(once: Once) -> Path:
    """A small guide with a book, as `rigleaf export` writes it on a day."""

    def fill(folder: Path) -> None:
        noon = dt.datetime.combine(ON, dt.time(12), dt.UTC)
        with pytest.MonkeyPatch.context() as patch:
            patch.setenv("SOURCE_DATE_EPOCH", str(int(noon.timestamp())))
            export(read_catalogue(guide(folder / "guide")), folder / "pages")

    return once("a guide with a book of loans", fill)


def guide(folder: Path) -> Path:
    shelf = parts(**{id_: {"owned": 3} for id_ in parts()})
    shelf["weight"]["owned"] = 6
    shelf["camera"]["owned"] = 2
    place = {"id": "home", "name": "Home", "timezone": CLUB}
    return write_guide(folder, shelf=shelf, rigs=RIGS, places=[place], place="home", desk=BOOK)


@pytest.fixture(scope="module")
def catalogue(pages: Path) -> Catalogue:
    return read_catalogue(pages / "guide")


@pytest.fixture
def reader(browser: Browser, pages: Path) -> Iterator["Reader"]:
    found = Reader(browser, pages / "pages")
    yield found
    found.close()


class Reader:
    """Somebody who opens pages from a folder, somewhere, at some time."""

    def __init__(self, browser: Browser, folder: Path) -> None:
        self.browser, self.folder = browser, folder
        self.contexts: list[Any] = []

    def open(self, path: str, moment: str = "", zone: str = CLUB, *, script: bool = True) -> Page:
        context = self.browser.new_context(timezone_id=zone, java_script_enabled=script)
        self.contexts.append(context)
        page: Page = context.new_page()
        if moment:
            page.clock.set_fixed_time(dt.datetime.fromisoformat(moment).replace(tzinfo=dt.UTC))
        page.goto((self.folder / path).as_uri())
        return page

    def close(self) -> None:
        for context in self.contexts:
            context.close()


def said(page: Page, rig: str) -> tuple[str, str]:
    """Word and whole sentence on the card of a rig, whose mark must be that of the word."""
    card = page.locator(".rl-card", has=page.get_by_role("link", name=rig.capitalize(), exact=True))
    return of(card.locator(".rl-have"))


def of(have: Any) -> tuple[str, str]:
    word = have.locator(".rl-verdict").inner_text()
    mark = have.locator("use").get_attribute("href")
    assert mark == f"#rl-state-{word.replace(' ', '-')}"
    assert have.page.locator(f"symbol{mark}").count() == 1
    return word, " ".join(have.inner_text().split())


def expected(catalogue: Catalogue, rig: str, on: dt.date) -> tuple[str, tuple[str, ...]]:
    if on > KNOWN:
        beyond = f"the book of {day_in_words(ON)} says nothing of days after {day_in_words(KNOWN)}"
        return "unsaid", (f"unsaid: {beyond}",)
    phase = phase_on(phases_of(catalogue, rig, ON, ON), on)
    assert phase is not None
    return phase.state, (brief(phase, ON), f"{phase.state}: {brief(phase, ON)}")


@pytest.mark.parametrize("when", MOMENTS)
def test_each_card_says_what_holds_on_the_day_at_the_club(reader: Reader, catalogue: Catalogue, when: str) -> None:
    moment, zone = MOMENTS[when]
    on = dt.datetime.fromisoformat(moment).replace(tzinfo=dt.UTC).astimezone(ZoneInfo(CLUB)).date()
    page = reader.open("index.html", moment, zone)
    words = set()
    for rig in catalogue.rigs:
        word, sentence = said(page, rig)
        state, sentences = expected(catalogue, rig, on)
        assert word == state, rig
        assert sentence in sentences, rig
        words.add(word)
    assert page.locator(".rl-as-of").inner_text() == f"today, by the book of {day_in_words(ON)}"
    assert page.locator(f'[data-rl-phases][data-rl-day="{on}"]').count() == len(catalogue.rigs)


def test_the_moments_meet_every_kind_of_day(catalogue: Catalogue) -> None:
    """A check of the check: the states of the days above are not all one."""
    days = {
        dt.datetime.fromisoformat(moment).replace(tzinfo=dt.UTC).astimezone(ZoneInfo(CLUB)).date()
        for moment, _ in MOMENTS.values()
    }
    states = {expected(catalogue, rig, on)[0] for on in days for rig in catalogue.rigs}
    assert states == {"here", "due back", "short", "spoken for", "out", "unsaid"}


@pytest.mark.parametrize("path", ["rigs/index.html", "rigs/heron.html", "desk/index.html"])
def test_the_table_a_rig_and_the_desk_say_the_same(reader: Reader, catalogue: Catalogue, path: str) -> None:
    page = reader.open(path, "2026-12-06T11:00")
    found = [of(have) for have in page.locator(".rl-have").all()]
    rigs = ["heron"] if path == "rigs/heron.html" else [*catalogue.rigs]
    for (word, sentence), rig in zip(found, rigs, strict=True):
        state, sentences = expected(catalogue, rig, dt.date(2026, 12, 6))
        assert word == state
        assert sentence in sentences
    assert any("due back on 5 December 2026" in sentence for _, sentence in found)


@pytest.mark.parametrize("script", [False, True])
def test_without_a_script_or_a_right_clock_the_day_of_the_build_stands(
    reader: Reader, catalogue: Catalogue, script: bool
) -> None:
    page = reader.open("index.html", "2026-11-23T12:00" if script else "", script=script)
    for rig in catalogue.rigs:
        word, sentence = said(page, rig)
        state, sentences = expected(catalogue, rig, ON)
        assert (word, sentence in sentences) == (state, True)
    assert page.locator(".rl-as-of").inner_text() == "as of 24 November 2026"
    assert page.locator("[data-rl-day]").count() == 0


def test_a_browser_that_does_not_know_the_time_zone_keeps_the_day_of_the_build(browser: Browser, pages: Path) -> None:
    context = browser.new_context()
    page = context.new_page()
    text = (pages / "pages" / "index.html").read_text("utf-8").replace(CLUB, "Europe/Nowhere")
    page.route("**/index.html", lambda route: route.fulfill(body=text, content_type="text/html"))
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto((pages / "pages" / "index.html").as_uri())
    assert page.locator(".rl-as-of").inner_text() == "as of 24 November 2026"
    assert complaints == []
    context.close()


def test_a_page_that_lies_open_past_midnight_follows(reader: Reader) -> None:
    page = reader.open("index.html", "2026-12-05T22:59")
    assert said(page, "heron")[0] == "out"
    page.clock.set_fixed_time(dt.datetime(2026, 12, 5, 23, 1, tzinfo=dt.UTC))
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert said(page, "heron")[0] == "due back"


@pytest.mark.parametrize(
    ("moment", "days"), [("2026-11-24T12:00", 23), ("2027-03-28T12:00", 147), ("2027-10-31T22:00", 364)]
)
def test_today_moves_along_the_year(reader: Reader, moment: str, days: int) -> None:
    page = reader.open("desk/index.html", moment)
    lines = page.locator("[data-rl-days]").all()
    assert len(lines) == len(RIGS)
    for line in lines:
        place = re.fullmatch(r"translate\(([\d.]+)[ ,]0\)", line.get_attribute("transform") or "")
        assert place is not None
        assert float(place[1]) == pytest.approx(480 * (days + 0.5) / 365, abs=0.5)
        assert line.is_visible()


def test_past_the_year_that_is_drawn_there_is_no_line_of_today(reader: Reader) -> None:
    page = reader.open("desk/index.html", "2027-11-01T12:00")
    assert {line.get_attribute("visibility") for line in page.locator("[data-rl-days]").all()} == {"hidden"}


def test_the_script_picks_and_works_nothing_out(reader: Reader) -> None:
    """What a card says on any day stands in the page as it was built."""
    page = reader.open("index.html", "2027-03-28T12:00")
    for have in page.locator(".rl-have").all():
        told = json.loads(have.get_attribute("data-rl-phases") or "")
        assert of(have)[1] in {" ".join(f"{word}{rest}".split()) for _, _, word, rest in told}


@pytest.mark.parametrize("width", [360, 768, 1440])
def test_the_desk_fits_the_screen_and_strips_keep_their_letters(visit: NewVisit, width: int) -> None:
    page = visit(width=width).open(KINDS["the desk"])
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    # The months are drawn once and take the size of letters from the strip that shows them.
    sizes = page.evaluate(
        "[...document.querySelectorAll('.rl-strip > svg')].map(e => parseFloat(getComputedStyle(e)"
        ".getPropertyValue('--plate-label')) * e.getBoundingClientRect().width / 480)"
    )
    assert min(sizes) > 10.5
    name, strip = (page.locator(f".rl-year {part}").nth(0).bounding_box() for part in ("h3", ".plate-svg"))
    assert name is not None
    assert strip is not None
    assert (name["y"] + name["height"] <= strip["y"]) is (width < 700)


def test_the_desk_is_printed_on_few_sides(visit: NewVisit) -> None:
    page = visit().open(KINDS["the desk"])
    assert 1 <= page.pdf(format="A4").count(b"/Type /Page\n") <= 3
