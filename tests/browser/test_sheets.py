"""Hand-over sheets and labels with codes: on paper to the millimetre, on the screen, and read by another program."""

import io
from collections import Counter
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Locator, Page

from rigleaf.site.sheets.codes import LEAST_MODULE
from rigleaf.site.sheets.label_sheets import label_sheets
from tests.browser.conftest import NewVisit, Visit
from tests.browser.looking import KINDS, PALETTES, choose
from tests.browser.printed import PAPER, WITHIN_MM, as_picture, blue_boxes, painted, pdf, size_of

pytestmark = pytest.mark.browser

SHEET, LABELS, LIDS = KINDS["a hand-over sheet"], KINDS["labels for parts"], KINDS["labels for lids"]
SITE = "https://tannwehr.example/rigs/"
BLUE = "ul.rl-label-sheet > li.rl-label.rl-label { background: #0000ff; print-color-adjust: exact; }"
STILL = ".rl-still"


def quickly(trip: Visit, path: str) -> Page:
    """Open one of many pages without waiting for a quiet network: they fetch nothing behind one's back."""
    trip.page.goto(trip.home + path)
    return trip.page


def rigs(demo_site: Path) -> list[str]:
    found = sorted(path.parent.name for path in (demo_site / "rigs").glob("*/hand-over.html"))
    assert len(found) >= 20
    return found


def read(picture: Image.Image) -> Counter[str]:
    return Counter(one.text for one in zxingcpp.read_barcodes(picture))


def wanted(page: Page) -> Counter[str]:
    """What the codes of a page should lead to: the addresses that stand under them, as people read them."""
    return Counter("https://" + words for words in page.locator(".rl-label-address").all_inner_texts())


def box(page: Page, way: str, name: str) -> Locator:
    return page.get_by_role("checkbox", name=f"{way}: {name}", exact=True)


@pytest.mark.parametrize("path", [LABELS, LIDS, KINDS["labels of a kind"]])
def test_every_printed_code_leads_where_its_label_says(visit: NewVisit, path: str) -> None:
    page = visit().open(path)
    found = Counter[str]()
    for side in pdf(page, prefer_css_page_size=True).pages:
        found += read(as_picture(side, painted(side)))
    assert found == wanted(page)
    assert all(address.startswith(SITE) for address in found)
    assert sum(found.values()) == page.locator(".rl-label").count() >= 5


def test_the_codes_of_several_rigs_are_printed_large_enough_and_can_be_read(visit: NewVisit, demo_site: Path) -> None:
    trip = visit()
    for id_ in rigs(demo_site)[::6]:
        page = quickly(trip, f"rigs/{id_}/labels.html")
        found = Counter[str]()
        for side in pdf(page, prefer_css_page_size=True).pages:
            shapes = [*painted(side)]
            found += read(as_picture(side, shapes))
            strokes = [one.box for one in shapes if one.stroke and one.colour == (0, 0, 0)]
            assert min(height for _, _, _, height in strokes) >= LEAST_MODULE - 0.001, id_
        assert found == wanted(page), id_


@pytest.mark.parametrize("path", [LABELS, LIDS])
def test_labels_stand_where_the_sheet_has_them(visit: NewVisit, path: str) -> None:
    page = visit().open(path)
    (sheet,) = [one for one in label_sheets().values() if one.name == ("A4 2 x 4" if path == LIDS else "A4 3 x 8")]
    count = page.locator(".rl-label").count()
    page.add_style_tag(content=BLUE)
    sides = pdf(page, prefer_css_page_size=True).pages
    assert len(sides) == -(-count // sheet.each)
    boxes = []
    for side in sides:
        assert size_of(side) == pytest.approx(PAPER[sheet.paper], abs=0.3)
        boxes += sorted(blue_boxes(side), key=lambda box: (round(box[1]), box[0]))
    assert len(boxes) == count
    for number, found in enumerate(boxes):
        row, column = divmod(number % sheet.each, sheet.columns)
        left = sheet.left + column * (sheet.width + sheet.column_gap)
        top = sheet.top + row * (sheet.height + sheet.row_gap)
        assert found == pytest.approx((left, top, sheet.width, sheet.height), abs=WITHIN_MM), number


@pytest.mark.parametrize("scheme", PALETTES)
def test_a_code_is_read_from_the_screen_in_every_palette(visit: NewVisit, scheme: str) -> None:
    trip = visit(device_scale_factor=2)
    page = trip.open(LIDS)
    choose(page, scheme)
    page.mouse.move(0, 0)
    picture = Image.open(io.BytesIO(page.locator(".rl-labels").screenshot())).convert("RGB")
    assert read(picture.convert("L").point(lambda value: min(255, 4 * value))) == wanted(page)
    if scheme == "night":
        assert [band.getextrema()[1] for band in picture.split()[1:]] == [0, 0]
    assert trip.complaints == []


@pytest.mark.parametrize(("kind", "lids"), [("labels", False), ("lids", True)])
def test_no_label_is_too_small_for_its_words(visit: NewVisit, demo_site: Path, kind: str, lids: bool) -> None:
    trip = visit()
    for id_ in rigs(demo_site):
        page = quickly(trip, f"rigs/{id_}/{kind}.html")
        page.emulate_media(media="print")
        for sheet in (one for one in label_sheets().values() if one.lids == lids):
            page.evaluate(
                "([width, height]) => { const s = document.querySelector('.rl-labels').style;"
                " s.setProperty('--width', width + 'mm'); s.setProperty('--height', height + 'mm'); }",
                [sheet.width, sheet.height],
            )
            cut = page.evaluate(
                """() => [...document.querySelectorAll('.rl-label')].filter(e => {
                    const inside = e.querySelector('div');
                    const name = inside.querySelector('b'), half = parseFloat(getComputedStyle(name).fontSize) / 2;
                    return inside.offsetHeight > e.clientHeight - 8 || e.scrollWidth > e.clientWidth + 1
                        || name.scrollHeight > name.clientHeight + half;  // a further line is clamped away
                }).map(e => e.textContent.trim())"""
            )
            assert cut == [], (id_, sheet.name)


def test_labels_already_gone_are_left_out_here_too(visit: NewVisit) -> None:
    page = visit().open(LIDS)
    count = page.locator(".rl-label").count()
    page.locator(".rl-label-tools input").fill("6")
    assert page.locator(".rl-label-sheet").first.locator(".rl-label").count() == 2
    assert page.locator(".rl-label").count() == count
    assert page.locator(".rl-label-sheet").count() == 2


def test_the_sheet_of_every_demo_rig_is_two_sides_of_paper_at_most(visit: NewVisit, demo_site: Path) -> None:
    trip = visit()
    for id_ in rigs(demo_site):
        page = quickly(trip, f"rigs/{id_}/hand-over.html")
        rows_behind = page.locator("tr[data-rl-line]").last.get_attribute("data-rl-line") or ""
        for paper in ("A4", "Letter"):
            sides = pdf(page, format=paper).pages
            assert len(sides) <= 2, (id_, paper)
            words = [" ".join(side.extract_text().split()) for side in sides]
            for blank in ("Borrower", "Due back on", "for the club", "Missing or broken"):
                assert blank in " ".join(words), (id_, paper)
            if len(words) == 2 and rows_behind.rpartition("× ")[2] in words[1].partition("Setting up, in short")[0]:
                assert "Condition" in words[1], "the head of the table is repeated"


def test_a_rig_of_forty_parts_is_two_sides_and_no_line_is_torn(visit: NewVisit) -> None:
    page = visit().open(KINDS["labels for lids"].replace("lids", "hand-over"))
    page.evaluate(
        """() => {
            const rows = [...document.querySelectorAll('tr[data-rl-line]')];
            const one = rows[rows.length - 4];
            for (let i = rows.length; i < 40; i += 1) { one.after(one.cloneNode(true)); }
        }"""
    )
    for paper in ("A4", "Letter"):
        assert len(pdf(page, format=paper).pages) == 2, paper
    page.emulate_media(media="print")
    torn = page.evaluate(
        """() => [...document.querySelectorAll('tr[data-rl-line]')]
            .filter(row => getComputedStyle(row).breakInside !== 'avoid').length"""
    )
    assert torn == 0
    assert page.locator(".rl-kit thead").evaluate("head => getComputedStyle(head).display") == "table-header-group"


def test_ticks_stay_and_what_is_not_back_is_missing(visit: NewVisit) -> None:
    trip = visit(width=360)
    page = trip.open(SHEET)
    still = page.locator(STILL)
    assert still.get_attribute("role") == "status"
    assert still.inner_text() == ""
    for name in ("Curlew 80 triplet refractor", "4 × Lead 12 V, barrel to barrel, 0.5 m", "Head torch, red"):
        box(page, "out", name).check()
    lines = page.locator("tr[data-rl-line]").count()
    assert still.inner_text() == f"Out: 3 of {lines} lines."
    page.reload()
    assert page.locator("input:checked[data-rl-tick]").count() == 3
    box(page, "in", "Head torch, red").check()
    missing = "Still missing: Curlew 80 triplet refractor; 4 × Lead 12 V, barrel to barrel, 0.5 m."
    assert still.inner_text() == missing
    assert page.locator("tr[data-rl-missing]").count() == 2
    page.reload()
    assert still.inner_text() == missing
    box(page, "in", "Curlew 80 triplet refractor").check()
    box(page, "in", "4 × Lead 12 V, barrel to barrel, 0.5 m").check()
    assert still.inner_text() == "All that went out is back: 3 lines."
    box(page, "in", "Hiking rucksack 45 l").check()
    assert still.inner_text().endswith("Back, but not ticked as gone out: Hiking rucksack 45 l.")
    page.get_by_role("button", name="Clear all ticks").click()
    assert still.inner_text() == ""
    assert trip.complaints == []
    assert trip.requests_elsewhere == []


def test_where_nobody_ticked_what_went_out_all_of_it_did(visit: NewVisit) -> None:
    page = visit().open(SHEET)
    box(page, "in", "Head torch, red").check()
    lines = page.locator("tr[data-rl-line]").count()
    assert page.locator(STILL).inner_text() == f"Still missing: {lines - 1} of {lines} lines; each of them says so."
    assert page.locator("tr[data-rl-missing]").count() == lines - 1


def test_each_sheet_has_ticks_of_its_own_and_the_rigs_checklist_has_others(visit: NewVisit) -> None:
    trip = visit()
    box(trip.open(SHEET), "out", "Head torch, red").check()
    assert trip.open("rigs/curlew-twin-weight/hand-over.html").locator("input:checked[data-rl-tick]").count() == 0
    assert trip.open(KINDS["a rig"]).locator("article .rl-tick-list input:checked").count() == 0


def test_the_sheet_works_without_a_script_and_prints_empty_boxes(visit: NewVisit) -> None:
    page = visit(java_script_enabled=False).open(SHEET)
    box(page, "out", "Head torch, red").check()
    assert not page.locator(".rl-tick-tools").is_visible()
    assert not page.locator(".rl-form").first.is_visible()
    page.emulate_media(media="print")
    assert page.locator(".rl-form").first.is_visible()
    assert page.locator("input:checked[data-rl-tick]").evaluate("b => getComputedStyle(b).backgroundImage") == "none"


def test_boxes_can_be_hit_with_a_finger_on_a_telephone(visit: NewVisit) -> None:
    page = visit(width=360).open(SHEET)
    small = page.evaluate(
        """() => [...document.querySelectorAll('.rl-kit-tick label')]
            .map(label => label.getBoundingClientRect())
            .filter(box => box.height < 44 || box.width < 44 || box.right > 360).length"""
    )
    assert small == 0
