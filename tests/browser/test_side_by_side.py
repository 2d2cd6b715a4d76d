"""Rigs side by side in a browser: found in two clicks, honest about what differs, to scale, linkable, harmless."""

import itertools
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.formatting import show
from rigleaf.chapters.in_the_frame import physics
from rigleaf.chapters.in_the_frame.fleet import views_of
from rigleaf.site.export import export
from rigleaf.site.rigs.side_by_side import band
from tests.browser.conftest import NewVisit
from tests.chapters.small_guide import RIG
from tests.site.test_escaping import HOSTILE
from tests.site.yaml_guide import read_guide

pytestmark = pytest.mark.browser

PAGE = "compare/index.html"
TWO = f"{PAGE}?rigs=heron-cabin,curlew-twin"
FOUR = f"{TWO},balcony-grebe,bittern-heavy&target=m31"
TABLES = ".rl-beside-table"
TOLD = ".rl-beside-told"


def told(page: Page, words: str) -> None:
    page.locator(TOLD).get_by_text(words).wait_for()


def chosen(page: Page) -> list[str]:
    return page.locator(".rl-chosen > li > a").all_inner_texts()


def marks(page: Page, label: str) -> str:
    row = page.locator(f"{TABLES} tr", has=page.locator(f"th:text-matches('^{label}( |$)')")).first
    return " ".join(row.locator("b.rl-differs").all_inner_texts())


def test_two_clicks_lead_from_a_rig_to_a_comparison(visit: NewVisit) -> None:
    trip = visit()
    page = trip.open("rigs/curlew-twin.html")
    page.get_by_role("link", name="Set it beside another rig").click()
    told(page, "Choose at least one more")
    page.locator(".rl-beside-near button").first.click()
    told(page, "2 rigs stand side by side.")
    assert page.locator(TABLES).count() == 4
    assert len(chosen(page)) == 2
    assert trip.complaints == []
    assert trip.requests_elsewhere == []
    scripts = [url for url in trip.requests if "/assets/beside/" in url]
    assert len(scripts) == 2, "only the files of the chosen rigs are asked for"


def test_what_differs_is_marked_by_word_and_weight_and_the_rest_folds_away(visit: NewVisit) -> None:
    page = visit().open(TWO)
    told(page, "2 rigs")
    assert marks(page, "Focal length") == "≠ differs"
    assert marks(page, "Mass in all") == "≠ differs lightest"
    assert marks(page, "Asks for") == ""
    weight = "e => getComputedStyle(e).fontWeight"
    assert page.locator("tr[data-differs] > th").first.evaluate(weight) == "600"
    fold = page.locator(".rl-beside-same button").first
    assert "same" in fold.inner_text()
    hidden = page.locator("tbody[hidden] tr").first
    assert not hidden.is_visible()
    fold.press("Enter")
    assert fold.get_attribute("aria-expanded") == "true"
    for body in page.locator(f"{TABLES} tbody[hidden]").all():
        assert body.locator("b.rl-differs").count() == 0
    page.goto(page.url.replace("curlew-twin", "heron-cabin"))
    assert len(chosen(page)) == 1, "a rig is not set beside itself"


def test_a_rig_and_its_twin_differ_in_little(visit: NewVisit) -> None:
    page = visit().open(f"{PAGE}?rigs=curlew-twin,curlew-twin-weight")
    told(page, "2 rigs")
    assert marks(page, "Image scale") == ""
    assert marks(page, "Mass in all") == "≠ differs lightest"


def test_the_judgement_is_the_same_both_ways_and_of_each_with_itself(visit: NewVisit) -> None:
    page = visit().open(PAGE)

    def row(value: float, error: float | None) -> list[object]:
        shown = show(value, "mass")
        return ["Mass", shown.first, value, band(value, shown, error), shown.second, "", "", True]

    number = st.builds(row, st.floats(0.01, 100), st.none() | st.floats(0.001, 1))
    bound = st.builds(lambda one: [*one[:6], "at least", True], number)
    some = st.lists(number | bound | st.just(["Mass"]) | st.just(["Mass", "any"]), min_size=2, max_size=40)

    @settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(some)
    def judged(rows: list[list[object]]) -> None:
        table = page.evaluate(
            """rows => rows.map(a => rows.map(
                b => [rigleafDiffers.alike(a, b), rigleafDiffers.lightest([a, b])]))""",
            rows,
        )
        for one, other in itertools.product(range(len(rows)), repeat=2):
            alike, least = table[one][other]
            assert alike == table[other][one][0]
            assert alike or one != other
            if rows[one][1:2] == rows[other][1:2] and rows[one][6:7] == rows[other][6:7]:
                assert alike, "what reads the same does not differ"
            assert least == -1 or not alike
            assert least == -1 or table[other][one][1] == 1 - least

    judged()


def test_frames_are_drawn_to_one_scale_and_their_verdict_is_that_of_the_geometry(
    visit: NewVisit, project: Path
) -> None:
    catalogue = read_catalogue(project)
    views = {rig.id: view for rig, view in views_of(catalogue)}
    page = visit().open(FOUR)
    told(page, "4 rigs")
    boxes = page.eval_on_selector_all(
        ".rl-plate rect[data-rig]",
        "all => all.map(e => [e.dataset.rig, e.getBoundingClientRect().width, e.getBoundingClientRect().height])",
    )
    assert len(boxes) == 4
    scales = [width / views[rig].width for rig, width, _ in boxes] + [
        high / views[rig].height for rig, _, high in boxes
    ]
    assert max(scales) / min(scales) < 1.01
    ellipse = page.locator(".rl-plate ellipse").bounding_box()
    m31 = physics.outline_on_plane(177.83, 69.66, 35.0)
    assert ellipse is not None
    assert ellipse["width"] / scales[0] == pytest.approx(2 * m31.major, rel=0.01)
    patterns = page.eval_on_selector_all("rect[data-rig]", "all => all.map(e => e.getAttribute('stroke-dasharray'))")
    assert len(set(patterns)) == 4, "each by its own dashes"
    # By trying every angle, which is how the rig's own page finds it.
    outlines = [
        physics.outline_on_plane(major, minor, 0.0) for major, minor in ((178, 70), (90, 90), (200, 20), (130, 30))
    ]
    for view, outline in itertools.product(views.values(), outlines):
        best = physics.room(outline, view.width, view.height, [angle / 20 for angle in range(3600)]).max()
        said = page.evaluate(
            "([frame, a, b]) => rigleafDiffers.holds(frame, a, b)",
            [[view.width, view.height], outline.major, outline.minor],
        )
        assert said == bool(best >= 0) or abs(best) < 1e-4 * view.width


def test_a_link_brings_back_what_was_chosen(visit: NewVisit) -> None:
    trip = visit()
    page = trip.open(PAGE)
    page.locator("select[name=rig]").select_option("heron-cabin")
    page.locator("select[name=rig]").press("Tab")
    page.keyboard.press("Enter")
    told(page, "is set here")
    page.locator("select[name=rig]").select_option("wagtail-moon")
    page.get_by_role("button", name="Set it here").click()
    told(page, "2 rigs")
    page.locator("select[name=target]").select_option("m42")
    page.get_by_role("button", name="later").first.focus()
    page.keyboard.press("Enter")
    told(page, "is now number 2")
    assert page.evaluate("document.activeElement.textContent") == "earlier", "the keyboard stays with the rig"
    assert page.url.endswith("?rigs=wagtail-moon,heron-cabin&target=m42")
    before, text = chosen(page), page.locator("figcaption").last.inner_text()
    page.reload()
    told(page, "2 rigs")
    assert chosen(page) == before
    assert page.locator("figcaption").last.inner_text() == text
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.get_by_role("button", name="Copy a link").click()
    told(page, "copied")
    assert page.evaluate("navigator.clipboard.readText()") == page.url
    page.get_by_role("button", name="Take", exact=False).first.press("Enter")
    told(page, "is taken away")
    assert page.url.endswith("?rigs=heron-cabin&target=m42")
    assert trip.complaints == []


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("?rigs=nobody,curlew-twin", "There is no rig “nobody” here."),
        ("?rigs=<img src=x onerror=alert(1)>", "There is no rig “<img src=x onerror=alert(1)>” here."),
        (
            "?rigs=../../evil,__proto__,constructor",
            "There is no rig “../../evil” here. There is no rig “__proto__” here.",
        ),
        ("?rigs=a,b,c,d,e,f", "3 more are not here either."),
        ("?rigs=curlew-twin,heron-cabin&target=%F0%9F%92%A9", "There is no target “💩” here."),
        ("?rigs=curlew-twin,heron-cabin,heron-south,wagtail-moon,milky-way-walk", "There is room for 4 rigs"),
        ("?rigs=%E0%A4%A", ""),
        ("", ""),
    ],
)
def test_an_address_that_names_what_is_not_here_is_answered_in_words(visit: NewVisit, query: str, words: str) -> None:
    trip = visit()
    page = trip.open(PAGE + query)
    page.locator("[data-rl-beside]:visible").wait_for()
    expect(page.locator(TOLD)).to_contain_text(words)
    assert page.locator("article img").count() == 0
    assert [one for one in trip.complaints if "400" not in one] == []
    assert all(url.endswith(".js") for url in trip.requests if "beside/" in url)


def test_names_that_are_scripts_do_not_run(visit: NewVisit, tmp_path: Path) -> None:
    names = [HOSTILE, "</script><script>window.ran = 1</script><img src=x onerror='window.ran = 2'>"]
    rigs = [{**RIG, "id": f"rig-{n}", "name": name, "targets": ["it"]} for n, name in enumerate(names)]
    target = {"id": "it", "name": names[1], "sort": "nebula", "major_axis": "1 deg", "minor_axis": "0.5 deg"}
    export(read_guide(tmp_path / "guide", rigs=rigs, targets=[target]), tmp_path / "site")
    trip = visit()
    trip.home = (tmp_path / "site").as_uri() + "/"
    page = trip.open(f"{PAGE}?rigs=rig-0,rig-1")
    told(page, "2 rigs")
    assert chosen(page) == [" ".join(name.split()) for name in names]
    assert page.evaluate("window.ran") is None
    assert page.locator("main img").count() == 0
    assert trip.complaints == []


def test_it_works_from_a_folder_and_without_a_network(visit: NewVisit, exported: Path) -> None:
    trip = visit(width=360)
    trip.home = exported.as_uri() + "/"
    page = trip.open(TWO)
    page.context.set_offline(True)
    told(page, "2 rigs")
    page.locator("select[name=rig]").select_option("plover-newtonian")
    page.get_by_role("button", name="Set it here").click()
    told(page, "3 rigs")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert trip.complaints == []


@pytest.mark.parametrize("query", [TWO, FOUR])
def test_nothing_is_cut_off_on_a_telephone_or_on_paper(visit: NewVisit, query: str, tmp_path: Path) -> None:
    page = visit(width=360).open(query)
    told(page, "side by side")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    columns = page.locator(f"{TABLES} tbody tr:visible").nth(2).evaluate("e => getComputedStyle(e).gridTemplateColumns")
    assert len(columns.split()) == (2 if query == TWO else 1)
    cut = """() => [...document.querySelectorAll('.rl-beside-table td, .rl-beside-table th')]
        .filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.textContent)"""
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 665, "height": 900})  # what A4 leaves between the margins
    assert page.evaluate(cut) == []
    page.pdf(path=tmp_path / "it.pdf", format="A4")
    text = "".join(sheet.extract_text() for sheet in PdfReader(tmp_path / "it.pdf").pages)
    assert "Chapter by chapter" in text
    assert "take away" not in text


def test_without_a_script_it_says_where_the_same_stands(visit: NewVisit) -> None:
    page = visit(java_script_enabled=False).open(TWO)
    assert page.get_by_role("link", name="the table of all rigs").is_visible()
    assert not page.locator("[data-rl-beside]").is_visible()


def test_a_strict_policy_for_scripts_stops_nothing(visit: NewVisit) -> None:
    trip = visit()
    policy = "script-src 'self'; style-src 'self' 'unsafe-inline'; connect-src 'none'; object-src 'none'"
    page = trip.page
    page.add_init_script("addEventListener('securitypolicyviolation', e => (window.broken ??= []).push(e.sourceFile))")

    def with_policy(route: object) -> None:
        answer = route.fetch()  # type: ignore[attr-defined]
        route.fulfill(response=answer, headers={**answer.headers, "content-security-policy": policy})  # type: ignore[attr-defined]

    page.route("**/compare/index.html*", with_policy)
    trip.open(TWO)
    told(page, "2 rigs")
    broken = page.evaluate("window.broken || []")
    assert [one for one in broken if "beside" in one] == []


def test_the_readers_units_hold_here_too(visit: NewVisit) -> None:
    page = visit().open(TWO)
    told(page, "2 rigs")
    cell = page.locator(f"{TABLES} tr", has=page.locator("th:text-matches('^Mass in all')")).locator("td").first
    assert "kg" in cell.inner_text()
    page.locator("input[name=rl-units][value=second]").check(force=True)
    assert "kg" not in cell.inner_text()
    assert "lb" in cell.inner_text()


def test_what_can_be_had_is_that_of_the_day_at_the_club(visit: NewVisit) -> None:
    trip = visit(timezone_id="Pacific/Kiritimati")
    trip.page.clock.set_fixed_time("2040-06-01T12:00:00Z")
    page = trip.open(f"{PAGE}?rigs=heron-cabin,plover-newtonian")
    row = page.get_by_role("row", name="To be had today")
    assert "says nothing of days after" in row.inner_text()
    assert "overdue" not in row.inner_text()
