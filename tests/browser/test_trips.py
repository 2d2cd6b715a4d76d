"""Journeys in a browser and on paper: letters, lists on a telephone, a sheet for the desk, labels to the millimetre."""

from pathlib import Path

import pytest
from playwright.sync_api import Page

from rigleaf.site.sheets.label_sheets import LabelSheet, label_sheets
from rigleaf.site.trips.check_in import MOST_ROWS
from tests.browser.conftest import NewVisit
from tests.browser.looking import KINDS
from tests.browser.printed import PAPER, WITHIN_MM, blue_boxes, pdf, size_of

pytestmark = pytest.mark.browser

JOURNEY, LABELS = KINDS["a journey"], KINDS["labels"]
BLUE = "ul.rl-label-sheet > li.rl-label.rl-label { background: #0000ff; print-color-adjust: exact; }"


def journeys(demo_site: Path) -> list[str]:
    found = sorted(path.stem for path in (demo_site / "trips").glob("*.html") if path.stem != "index")
    assert len(found) >= 4
    return found


def put_on(page: Page, sheet: LabelSheet) -> None:
    """Lay more labels than one sheet holds on a sheet of other measures, as a guide would that chooses it."""
    style = f"--columns:{sheet.columns};--width:{sheet.width}mm;--height:{sheet.height}mm;--left:{sheet.left}mm;"
    style += f"--top:{sheet.top}mm;--column-gap:{sheet.column_gap}mm;--row-gap:{sheet.row_gap}mm"
    page.evaluate(
        """([style, paper, each]) => {
            const box = document.querySelector('.rl-labels'), first = box.querySelector('ul');
            const label = first.querySelector('li.rl-label');
            box.setAttribute('style', style);
            box.dataset.paper = paper;
            box.querySelectorAll('ul').forEach(ul => ul.remove());
            for (const count of [each, 1]) {
                const ul = first.cloneNode(false);
                for (let i = 0; i < count; i += 1) { ul.append(label.cloneNode(true)); }
                box.append(ul);
            }
        }""",
        [style, sheet.paper, sheet.each],
    )


@pytest.mark.parametrize("made", ["built", "exported"])
@pytest.mark.parametrize("name", label_sheets())
def test_labels_come_out_of_the_printer_where_the_sheet_has_them(
    visit: NewVisit, exported: Path, name: str, made: str
) -> None:
    sheet = label_sheets()[name]
    trip = visit()
    if made == "exported":
        trip.home = exported.as_uri() + "/"
    page = trip.open(LABELS)
    page.add_style_tag(content=BLUE)
    put_on(page, sheet)
    printed = pdf(page, prefer_css_page_size=True)
    assert len(printed.pages) == 2
    for number, expected in enumerate((sheet.each, 1)):
        paper = printed.pages[number]
        assert size_of(paper) == pytest.approx(PAPER[sheet.paper], abs=0.3)
        boxes = sorted(blue_boxes(paper), key=lambda box: (round(box[1]), box[0]))
        assert len(boxes) == expected
        for place, box in enumerate(boxes):
            row, column = divmod(place, sheet.columns)
            left = sheet.left + column * (sheet.width + sheet.column_gap)
            top = sheet.top + row * (sheet.height + sheet.row_gap)
            assert box == pytest.approx((left, top, sheet.width, sheet.height), abs=WITHIN_MM), place


def test_the_demo_prints_its_own_labels_on_the_sheet_that_it_names(visit: NewVisit) -> None:
    page = visit().open(LABELS)
    count = page.locator(".rl-label").count()
    assert count >= 4
    page.add_style_tag(content=BLUE)
    (paper,) = pdf(page, prefer_css_page_size=True).pages
    boxes = list(blue_boxes(paper))
    assert len(boxes) == count
    assert min(boxes, key=lambda box: box[0] + box[1])[:2] == pytest.approx((7.25, 12.9), abs=WITHIN_MM)
    assert "Wh" in paper.extract_text()
    assert "Print at" not in paper.extract_text()


def test_no_label_is_too_small_for_its_words(visit: NewVisit, demo_site: Path) -> None:
    trip = visit()
    for id_ in journeys(demo_site):
        if not (demo_site / "trips" / id_ / "labels.html").exists():
            continue
        page = trip.open(f"trips/{id_}/labels.html")
        page.emulate_media(media="print")
        for sheet in (one for one in label_sheets().values() if not one.lids):
            page.evaluate(
                "([width, height]) => { const s = document.querySelector('.rl-labels').style;"
                " s.setProperty('--width', width + 'mm'); s.setProperty('--height', height + 'mm'); }",
                [sheet.width, sheet.height],
            )
            cut = page.evaluate(
                """() => [...document.querySelectorAll('.rl-label')]
                    .filter(e => e.scrollHeight > e.clientHeight + 1 || e.scrollWidth > e.clientWidth + 1)
                    .map(e => e.textContent.trim())"""
            )
            assert cut == [], (id_, sheet.name)


def test_labels_already_gone_are_left_out_and_the_rest_goes_on_to_the_next_sheet(visit: NewVisit) -> None:
    page = visit().open(LABELS)
    words = page.locator(".rl-label").all_inner_texts()
    page.locator(".rl-label-tools input").fill("23")
    assert page.locator(".rl-label-sheet").count() == 2
    assert page.locator(".rl-label-sheet").first.locator(".rl-label-gone").count() == 23
    assert page.locator(".rl-label-sheet").first.locator(".rl-label").count() == 1
    assert page.locator(".rl-label").all_inner_texts() == words
    for nonsense in ("", "-4", "0"):
        page.locator(".rl-label-tools input").fill(nonsense)
        assert page.locator(".rl-label-gone").count() == 0
    assert page.locator(".rl-label").all_inner_texts() == words


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheet_for_the_desk_is_one_side_of_paper(visit: NewVisit, demo_site: Path, paper: str) -> None:
    trip = visit()
    for id_ in journeys(demo_site):
        page = trip.open(f"trips/{id_}/check-in.html")
        sides = pdf(page, format=paper).pages
        assert len(sides) == page.locator(".rl-desk").count(), id_
        words = " ".join(sides[0].extract_text().split())
        for wanted in ("Name", "Booking", "Flight", "advice"):
            assert wanted in words, id_


def test_what_was_left_folded_for_its_length_stays_off_paper(visit: NewVisit) -> None:
    page = visit().open(JOURNEY)
    words = "Everything that was meant to go along"

    def printed() -> str:
        return " ".join(" ".join(side.extract_text() for side in pdf(page, format="A4").pages).split())

    first = printed()
    assert words not in first
    assert "Good day," in first, "a letter is folded too, but it is what one prints"
    assert page.locator("details.rl-long[open]").count() == 0
    page.locator("details.rl-long", has_text=words).locator("summary").click()
    assert words in printed()
    page.locator("details.rl-long", has_text=words).locator("summary").click()
    assert words not in printed()


def test_a_letter_is_copied_with_a_button(visit: NewVisit) -> None:
    trip = visit(permissions=["clipboard-read", "clipboard-write"])
    page = trip.open(JOURNEY)
    page.locator("details:has(.rl-letter) > summary").first.click()
    page.locator(".rl-letter-tools button").first.click()
    page.locator(".rl-letter-tools output").first.get_by_text("Copied.").wait_for()
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied.replace("\r", "") == page.locator(".rl-letter").first.text_content()
    assert "\n\n" in copied.replace("\r", "")
    assert trip.complaints == []


def test_a_letter_can_be_copied_where_the_clipboard_is_closed_and_without_a_script(visit: NewVisit) -> None:
    page = visit().open(JOURNEY)
    page.evaluate("() => { navigator.clipboard.writeText = () => Promise.reject(new Error('closed')); }")
    page.evaluate("() => { document.execCommand = () => false; }")
    page.locator("details:has(.rl-letter) > summary").first.click()
    page.locator(".rl-letter-tools button").first.click()
    page.locator(".rl-letter-tools output").first.get_by_text("Selected").wait_for()
    assert "Good day," in page.evaluate("getSelection().toString()")
    plain = visit(java_script_enabled=False).open(JOURNEY)
    plain.locator("details:has(.rl-letter) > summary").first.click()
    assert plain.locator(".rl-letter").first.is_visible()
    assert not plain.locator(".rl-letter-tools").first.is_visible()


def test_a_table_of_a_journey_is_a_list_on_a_telephone_and_still_a_table_to_a_screen_reader(visit: NewVisit) -> None:
    page = visit(width=360).open(JOURNEY)
    table = page.locator("table.rl-carried").first
    width = table.evaluate("t => [t.scrollWidth, t.closest('.rl-scroll').clientWidth]")
    assert width[0] <= width[1]
    assert table.get_by_role("row").count() >= 2
    assert table.get_by_role("columnheader", name="Energy of one").count() == 1
    assert table.get_by_role("rowheader").count() >= 1
    wide = visit(width=1440).open(JOURNEY).locator("table.rl-carried").first
    assert wide.locator("thead th").first.is_visible()


def test_ticks_of_a_packing_list_stay(visit: NewVisit) -> None:
    page = visit().open(JOURNEY)
    page.locator(".rl-packing details > summary").first.click()
    page.locator(".rl-packing .rl-tick-list label").first.click()
    page.reload()
    assert page.locator(".rl-packing input:checked").count() == 1


@pytest.mark.parametrize("grown", ["[aria-label^=Batteries] tbody tr", ".rl-desk-rules li"])
def test_as_much_as_one_sheet_for_all_may_hold_fits_on_one_side(visit: NewVisit, grown: str) -> None:
    page = visit().open(KINDS["a sheet for the desk"])
    page.evaluate(
        """([grown, most]) => {
            const people = document.querySelectorAll('.rl-desk h3').length;
            const rows = document.querySelectorAll('.rl-desk tbody tr, .rl-desk-rules li').length + 2 * people;
            const last = [...document.querySelectorAll('.rl-desk ' + grown)].pop();
            for (let i = rows; i < most; i += 1) { last.after(last.cloneNode(true)); }
        }""",
        [grown, MOST_ROWS],
    )
    for paper in ("A4", "Letter"):
        assert len(pdf(page, format=paper).pages) == 1, paper
