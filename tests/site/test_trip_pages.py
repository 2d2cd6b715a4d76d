"""Pages of journeys, from studies made by hand: nothing lost, nothing rounded, nothing private, every link true."""

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from lxml import html
from lxml.html import HtmlElement

from rigleaf.catalogue.models.flight_fields import FLIGHT_WORDS
from rigleaf.chapters.figures import WORST_FIRST
from rigleaf.journeys.result import Headline, TripStudy
from rigleaf.site.book import make_book
from rigleaf.site.record import PageRecord
from rigleaf.site.skies.places import place_pages
from rigleaf.site.trips.pages import trip_pages
from rigleaf.site.trips.words import cautions_of, days, energy
from rigleaf.site.typeset.addresses import RULES_ADDRESS, Addresses, trip_address
from rigleaf.site.typeset.templating import environment
from tests.site.made_trip import ASSET, SECRETS, bag, bare_trip, battery, leg, made_entry, made_guide, made_trip, night
from tests.site.yaml_guide import read_guide

NBSP = "\u00a0"


def pages_of(*studies: TripStudy, **guide: Any) -> dict[str, PageRecord]:
    """The pages of some journeys by their addresses."""
    found = made_guide(**guide)
    found = replace(found, trips={study.id: made_entry(study.id) for study in studies})
    return {page.address: page for page in trip_pages(found, studies, Addresses())}


def tree(page: PageRecord) -> HtmlElement:
    return html.fromstring(f"<main>{page.html}</main>")


def text(element: HtmlElement) -> str:
    return " ".join(element.text_content().replace(NBSP, " ").split())


def rows(page: PageRecord, caption: str) -> list[list[str]]:
    """The body of the table whose caption begins so."""
    for table in tree(page).iter("table"):
        if table.findtext("caption", "").startswith(caption):
            return [[text(cell) for cell in row] for row in table.xpath("tbody/tr")]
    raise AssertionError(caption)


def section(page: PageRecord, anchor: str) -> str:
    """The words between a heading and the next of its level."""
    (heading,) = tree(page).xpath(f"//*[@id='{anchor}']")
    found = []
    for element in heading.itersiblings():
        if element.tag == "h2":
            break
        found.append(text(element))
    return " ".join(filter(None, found))


@pytest.fixture(scope="module")
def page() -> PageRecord:
    return pages_of(made_trip())["trips/north"]


def test_a_journey_has_a_page_a_sheet_and_labels_and_stands_in_the_table() -> None:
    found = pages_of(made_trip())
    assert list(found) == ["trips/index", "trips/north", "trips/north/check-in", "trips/north/labels"]
    assert [page.section for page in found.values()] == ["", "trips/index", "trips/index", "trips/index"]
    assert rows(found["trips/index"], "All journeys") == [["North", "ask first", "4 to 10 March 2027", "Field", "Rig"]]


def test_a_journey_by_train_has_no_sheet_for_a_desk_and_one_without_batteries_no_labels() -> None:
    by_train = made_trip(legs=(leg(1, 4, by="train"),))
    assert list(pages_of(by_train)) == ["trips/index", "trips/north", "trips/north/labels"]
    assert list(pages_of(bare_trip())) == ["trips/index", "trips/north"]
    assert "To print" not in pages_of(bare_trip())["trips/north"].html


def test_the_table_goes_by_the_first_day() -> None:
    late = made_trip(id="a-late", name="Late", legs=(leg(1, 20),))
    early = made_trip(id="z-early", name="Early", legs=(leg(1, 2),))
    never = bare_trip(id="b", name="Never")
    names = [row[0] for row in rows(pages_of(never, late, early)["trips/index"], "All journeys")]
    assert names == ["Early", "Late", "Never"]


def test_the_answer_stands_before_everything_else(page: PageRecord) -> None:
    title, answer, *_ = tree(page).xpath("h1|section")
    assert title.tag == "h1"
    assert text(answer) == "ask first Ask about the bank. Advice of 1 March 2027. The rules"
    assert answer.xpath(".//*[@data-flight='ask first']/svg")
    assert "".join(tree(page).itertext()).index("ask first") < page.html.index("<h2")


def test_a_journey_that_does_not_fly_is_answered_by_a_verdict() -> None:
    page = pages_of(bare_trip(headline=Headline("fails", flies=False, sentence="Too heavy.", advice="")))["trips/north"]
    (answer,) = tree(page).xpath("//section[@class='rl-answer']")
    assert answer.xpath(".//*[@data-verdict='fails']/svg")
    assert not answer.xpath(".//*[@data-flight]")
    assert "never a permission" in text(answer)


def test_every_word_has_a_shape_of_its_own() -> None:
    marks: Any = environment().get_template("marks.html").module
    shapes = [re.findall(r'd="[^"]+"', marks.mark(word)) for word in WORST_FIRST]
    shapes += [re.findall(r'd="[^"]+"', marks.mark(word)) for word in FLIGHT_WORDS]
    assert all(shapes)
    assert len({tuple(shape) for shape in shapes}) == 8
    for word in (*FLIGHT_WORDS, *WORST_FIRST):
        assert text(html.fromstring(str(marks.answer(word)))) == word


def test_every_battery_is_listed_with_its_rule_and_to_the_last_digit(page: PageRecord) -> None:
    found = rows(page, "Every battery")
    assert [row[0].split(" Bank may")[0] for row in found] == ["2 × Bank", "Battery", "Crate", "Bank"]
    assert "Cover its contacts." in found[0][0]
    assert [row[1] for row in found] == ["153.6 Wh", "unsaid", "20 Wh", "153.6 Wh"]
    assert found[0][2:] == ["power bank LiFePO4", "Cabin bag in the cabin, the first", "ask first", "ICAO"]
    assert found[1][2] == "loose unsaid"
    assert found[1][-1] == "Stork Air"
    assert found[2][3] == "Crate in the hold, the second"
    assert found[3][3:5] == ["left at home", "stays home"]
    links = tree(page).xpath("//table//a/@href")
    assert f"../{RULES_ADDRESS}.html#icao-power-bank-large" in links
    assert f"../{RULES_ADDRESS}.html#stork--two" in links
    assert "../parts/bank.html" in links


@pytest.mark.parametrize(
    ("wh", "words", "shown"),
    [
        (100.4, "", "100.4 Wh"), (99.96, "", "99.96 Wh"), (160.0, "", "160 Wh"), (0.6, "", "0.6 Wh"),
        (None, "the energy is between 36 and 38.5 Wh, as the voltage is unsaid",
         "between 36 and 38.5 Wh, as the voltage is unsaid"),
        (None, "the energy is unsaid, and 36 Wh or more", "unsaid, and 36 Wh or more"),
    ],
)  # fmt: skip
def test_no_energy_is_rounded_over_a_limit(wh: float | None, words: str, shown: str) -> None:
    assert energy(battery(energy=wh, energy_words=words)).replace(NBSP, " ") == shown


def test_what_cannot_go_and_the_ways_out_name_parts_and_rules(page: PageRecord) -> None:
    assert section(page, "what-stays") == "Bank is one too many. ICAO"
    assert section(page, "ways-out").endswith("may fly Leave Bank at home.")
    assert tree(page).xpath("//*[@id='ways-out']/following-sibling::ol[1]//a/@href") == ["../parts/bank.html"]


def test_a_letter_can_be_copied_whole_and_keeps_its_empty_lines(page: PageRecord) -> None:
    (letter,) = tree(page).xpath("//pre")
    assert letter.text_content() == made_trip().asks[0].letter
    assert "\n" not in page.html[page.html.index("<pre") : page.html.index("</pre>")]
    (tools,) = tree(page).xpath("//p[@class='rl-letter-tools']")
    assert "hidden" in tools.attrib  # until the script has something for it to do
    assert "data-rl-letter" in page.html
    assert "data-rl-letter" not in pages_of(bare_trip())["trips/north"].html
    assert "By its form." in section(page, "ask-first")


def test_bags_are_packed_in_order_and_say_what_is_unsaid(page: PageRecord) -> None:
    cabin, crate = tree(page).xpath("//details[starts-with(@id, 'bag-')]")
    assert [text(item) for item in cabin.xpath(".//li")] == ["Camera", "2 × Bank", "Motor"]
    assert "7.25 kg" in text(cabin)
    assert "62 %" in text(cabin)
    assert "550 × 400 × 200 mm" in text(cabin)
    assert text(crate).count("unsaid") == 5  # limit, size, room, its load, and that no place was searched
    assert "at least 9.00 kg" in text(crate)
    assert "so no place was searched" in text(crate)
    assert "../rigs/rig.html#in-the-bag" in tree(page).xpath("//a/@href")


def test_where_everything_is(page: PageRecord) -> None:
    items = [[text(cell) for cell in row] for row in tree(page).xpath("//*[@id='items']//tbody/tr")]
    assert items == [
        ["Bank", "3", "2 in Cabin bag; 1 left at home", "Rig"],
        ["Motor", "1", "on the person, the first", "extra"],
    ]


def test_long_things_are_folded_and_short_ones_are_not(page: PageRecord) -> None:
    folded = {text(fold.find("summary")) for fold in tree(page).xpath("//details[contains(@class, 'rl-long')]")}
    assert folded == {
        "Everything that was meant to go along, and where it is 2", "One leg changed, all else as it is 2",
        "Which targets stand high enough 2", "Power night by night 2",
    }  # fmt: skip
    many = pages_of(made_trip(nights=tuple(night(day) for day in range(5, 12))))["trips/north"]
    assert "Night by night 7" in [text(fold.find("summary")) for fold in tree(many).xpath("//details")]


def test_the_nights_say_what_is_up_and_what_power_is_left(page: PageRecord) -> None:
    nights = rows(page, "By the clocks")
    assert nights[0] == [
        "5 March 2027", "7.5 h 20:20 to 04:00", "31 % lit 5 h dark without it", "fails 20.0 Wh missing",
    ]  # fmt: skip
    assert nights[1][3] == "sound 15.0 Wh left"
    heads = tree(page).xpath("//table[contains(caption, 'stands high')]//th[@class='rl-num']/text()")
    assert heads == ["Spiral", "Cluster"]  # nobody waits for half a minute
    assert rows(page, "Dark hours in which")[0] == ["5 March 2027", "4 h 1.5 h", "2 h"]
    assert rows(page, "What is drawn")[0][-2:] == ["−20.0 Wh", "fails"]


def test_mains_changes_and_the_rest(page: PageRecord) -> None:
    assert section(page, "mains").startswith("230 V; plug types C, F; on 06:00 to 22:00. tight")
    changes = section(page, "changes")
    assert "stays home Leg 1 with Owl Lines. Bank: stays home." in changes
    assert "ask first Leg 3 from 27 March 2027 on. One. Two." in changes
    assert section(page, "found-there") == "A sledge."
    assert section(page, "suggestions") == "Think of gloves."
    assert section(page, "notes") == "Take <warm> things."


@pytest.mark.parametrize("study", [made_trip(), bare_trip()], ids=["full", "bare"])
def test_contents_lead_to_headings_and_ids_are_unique(study: TripStudy) -> None:
    for page in pages_of(study).values():
        ids = tree(page).xpath("//@id")
        assert len(ids) == len(set(ids)), page.address
        headings = {heading.anchor: heading.title for heading in page.contents}
        assert set(headings) <= set(ids)
        if page.address == "trips/north":
            assert set(tree(page).xpath("//h2/@id")) == set(headings)


def test_every_page_says_that_it_permits_nothing() -> None:
    for page in pages_of(made_trip(headline=replace(made_trip().headline, advice=""))).values():
        assert "never a permission" in page.html, page.address
    for address in ("trips/north", "trips/north/check-in"):
        assert "Advice of 1 March 2027." in pages_of(made_trip())[address].html


def test_lithium_is_cautioned_about_wherever_batteries_are() -> None:
    for address, page in pages_of(made_trip()).items():
        if address != "trips/index":
            assert "do not charge them unwatched" in page.html, address


@pytest.mark.parametrize(
    ("chemistry", "wanted"),
    [
        ("lithium-ion", {"lithium"}), ("lifepo4", {"lithium"}), ("lithium-metal", {"lithium"}), ("unsaid", {"lithium"}),
        ("sealed lead-acid", {"lead-acid"}), ("nimh", set()), ("alkaline", set()),
    ],
)  # fmt: skip
def test_cautions_go_by_chemistry(chemistry: str, wanted: set[str]) -> None:
    assert {caution.id for caution in cautions_of([battery(chemistry=chemistry)])} == wanted
    assert cautions_of([]) == ()


@pytest.mark.parametrize(
    ("dates", "words"),
    [
        ((), ""),
        ((dt.date(2027, 3, 4),), "4 March 2027"),
        ((dt.date(2027, 3, 10), dt.date(2027, 3, 4)), "4 to 10 March 2027"),
        ((dt.date(2027, 7, 31), dt.date(2027, 8, 3)), "31 July to 3 August 2027"),
        ((dt.date(2027, 12, 27), dt.date(2028, 1, 3)), "27 December 2027 to 3 January 2028"),
    ],
)
def test_days_in_words(dates: tuple[dt.date, ...], words: str) -> None:
    legs = tuple(replace(leg(number, 1), date=date) for number, date in enumerate(dates, 1))
    assert days(bare_trip(legs=legs)) == words


def test_what_people_write_stays_text() -> None:
    hostile = "<script>alert(1)</script> & {{ 7*7 }}"
    things: dict[str, Any] = {"batteries": (battery(name=hostile),), "bags": (bag(name=hostile),)}
    study = made_trip(name=hostile, notes=hostile, suggestions=(hostile,), **things)
    for page in pages_of(study, name=hostile).values():
        assert "<script>" not in page.html
        assert "49" not in re.findall(r"alert\(1\).{0,60}", page.html)[0]


def test_no_page_tells_what_is_private() -> None:
    for page in pages_of(made_trip()).values():
        everything = "\n".join((page.html, page.title, page.description, page.search.text, *page.search.tags))
        assert [value for value in SECRETS.values() if value in everything] == [], page.address
    assert ASSET in pages_of(made_trip())["trips/north/labels"].html


def test_a_journey_is_found_by_town_carrier_state_month_and_rig(page: PageRecord) -> None:
    for word in ("Town", "Harbour", "Stork Air", "Norway", "March 2027", "Field", "Rig", "Bank", "packing list"):
        assert word in page.search.text
    assert page.description == "To the north."


def test_pages_of_places_and_rigs_lead_to_journeys(demo_site: Path) -> None:
    guide = replace(made_guide(), sources={})
    (place,) = [page for page in place_pages(guide, Addresses()) if page.address == "places/field"]
    assert "../trips/north.html" in tree(place).xpath("//a/@href")
    assert "journeys" in {heading.anchor for heading in place.contents}
    rig = (demo_site / "rigs" / "heron-cabin.html").read_text("utf-8")
    assert "../trips/february-by-cabin.html" in rig


def test_a_guide_without_journeys_has_no_section_for_them(tmp_path: Path) -> None:
    book = make_book(read_guide(tmp_path), Addresses())
    assert "Journeys" not in [section.title for section in book.sections]
    assert not [page for page in book.pages if page.address.startswith("trips/")]


def test_no_journey_takes_the_address_of_the_table() -> None:
    assert trip_address("index") != "trips/index"
    assert set(pages_of(made_trip(id="index"))) >= {"trips/index", "trips/index_", "trips/index_/labels"}


def addresses(page: PageRecord) -> Iterator[str]:
    yield from (str(link) for link in tree(page).xpath("//a/@href"))


def test_links_between_the_pages_of_a_journey_are_true_as_folders_too() -> None:
    guide = made_guide()
    for folders, sheet, back in ((False, "north/labels.html", "../north.html"), (True, "labels/", "../")):
        found = {page.address: page for page in trip_pages(guide, [made_trip()], Addresses(folders))}
        assert sheet in addresses(found["trips/north"])
        assert back in addresses(found["trips/north/labels"])


def test_two_makings_are_the_same_to_the_letter() -> None:
    first, second = ({a: page.html for a, page in pages_of(made_trip()).items()} for _ in range(2))
    assert first == second


def test_the_answer_of_a_leg_is_for_what_is_packed_where_something_stays() -> None:
    staying = section(pages_of(made_trip())["trips/north"], "legs")
    assert made_trip().left
    assert "Answer for what is packed" in staying
    whole = section(pages_of(made_trip(left=()))["trips/north"], "legs")
    assert "Answer for what is packed" not in whole
