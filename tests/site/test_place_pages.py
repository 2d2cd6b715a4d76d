"""Pages of the places: every place has one, with its nights by month and its twilights by the clock."""

import re
from pathlib import Path
from typing import Any

import pytest
from lxml import etree, html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Place
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.site.record import PageRecord
from rigleaf.site.skies.places import coordinates, place_pages
from rigleaf.site.typeset.addresses import Addresses, place_address
from tests.site.yaml_guide import read_guide

PLACES: list[dict[str, Any]] = [
    {
        "id": "field", "name": "Field", "latitude": "50 deg", "longitude": "8 deg", "elevation": "300 m",
        "timezone": "Europe/Berlin", "sky_brightness": "21.2 mag/arcsec2",
        "horizon": [{"azimuth": "180 deg", "altitude": "12 deg"}, {"azimuth": "90 deg", "altitude": "5 deg"}],
        "night_temperature": {"January": "-3 degC"}, "notes": "A meadow. Park on the gravel.",
    },
    {"id": "arctic", "name": "Arctic", "latitude": "70 deg", "longitude": "20 deg", "timezone": "Europe/Oslo"},
    {"id": "index", "name": "Nowhere"},
]  # fmt: skip


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, PageRecord]:
    guide = read_guide(tmp_path_factory.mktemp("guide"), places=PLACES, place="field", year=2027)
    return {page.address: page for page in place_pages(guide, Addresses())}


def table(page: PageRecord, caption: str) -> list[list[str]]:
    """The rows of the table whose caption begins so, head and foot too, as plain words."""
    for found in html.fromstring(page.html).iter("table"):
        if found.findtext("caption", "").startswith(caption):
            return [[" ".join(cell.text_content().split()) for cell in row] for row in found.iter("tr")]
    raise AssertionError(caption)


def test_every_place_has_a_page_and_stands_in_the_table(pages: dict[str, PageRecord]) -> None:
    assert list(pages) == ["places/index", "places/field", "places/arctic", "places/index_"]
    rows = table(pages["places/index"], "All places")
    assert [row[0] for row in rows[1:]] == ["Field50° N, 8° E", "Arctic70° N, 20° E", "Nowhere"]
    assert rows[1][-1] == "1"
    assert rows[3][1:] == ["unsaid", "unsaid", "unsaid", "unsaid", "0"]
    assert {page.section for page in pages.values()} == {"", "places/index"}


def test_the_months_add_up_to_the_year(pages: dict[str, PageRecord]) -> None:
    head, *months, year = table(pages["places/field"], "Dark hours")
    assert head == ["Month", "Dark", "Dark, no Moon", "Coldest of the night"]
    assert len(months) == 12
    assert months[0][3].startswith("−3 °C")
    assert months[1][3] == "unsaid"
    for column in (1, 2):
        total = float(re.sub(r"[^\d.]", "", year[column]))
        assert sum(float(month[column].removesuffix(" h")) for month in months) == pytest.approx(total, abs=0.7)


def test_twilights_stand_in_the_order_of_the_night(pages: dict[str, PageRecord]) -> None:
    rows = table(pages["places/field"], "The night that begins")[1:]
    assert [row[0] for row in rows[:2]] == ["15 Jan", "15 Feb"]
    # Minutes since noon grow from sunset to sunrise.
    for row in rows:
        minutes = [(int(cell[:2]) * 60 + int(cell[3:]) + 720) % 1440 for cell in row[1:9] if cell != "–"]
        assert minutes == sorted(minutes)
    june = rows[5]
    assert june[4:6] == ["–", "–"]
    assert june[1].startswith("21:3")  # summer time


def test_a_place_of_the_midnight_sun_shows_dashes(pages: dict[str, PageRecord]) -> None:
    rows = table(pages["places/arctic"], "The night that begins")
    assert rows[6][1:] == ["–"] * 8 + ["24 h"]
    assert rows[12][1] == "–"
    assert rows[12][9] == "0 h"
    assert "it does not grow dark from" in pages["places/arctic"].html


def test_a_place_without_coordinates_says_so_and_nothing_else(pages: dict[str, PageRecord]) -> None:
    page = pages["places/index_"]
    assert "latitude or longitude is unsaid" in page.html
    assert "<svg" not in page.html
    assert [heading.anchor for heading in page.contents] == ["rigs"]


def test_contents_lead_to_headings_and_links_to_pages(pages: dict[str, PageRecord]) -> None:
    for page in pages.values():
        found = html.fromstring(f"<div>{page.html}</div>")
        ids = found.xpath("//@id")
        assert len(ids) == len(set(ids))
        assert {heading.anchor for heading in page.contents} <= set(ids)
    links = html.fromstring(pages["places/field"].html).xpath("//a/@href")
    assert {"../rigs/rig.html", "../safety/index.html"} <= set(links)
    assert any(re.fullmatch(r"\.\./method/under-the-sky\.html#dark-hours", link) for link in links)


def test_the_skyline_is_listed_from_north_through_east(pages: dict[str, PageRecord]) -> None:
    assert table(pages["places/field"], "Altitude of the skyline")[1:] == [["90°", "5°"], ["180°", "12°"]]


def test_pages_say_where_they_come_from_and_what_to_look_for(pages: dict[str, PageRecord]) -> None:
    page = pages["places/field"]
    assert page.source == "places.yml:1"
    assert page.description == "A meadow."
    for word in ("Europe/Berlin", "50° N", "Park on the gravel", "Rig"):
        assert word in page.search.text


def test_the_plate_is_an_image_with_words(pages: dict[str, PageRecord]) -> None:
    (svg,) = re.findall(r"<svg.*?</svg>", pages["places/field"].html, re.DOTALL)
    found = etree.fromstring(svg)
    assert found.get("role") == "img"
    assert "Field" in (found.findtext("{*}desc") or found.findtext("desc") or "")


@pytest.mark.parametrize(
    ("latitude", "longitude", "words"),
    [
        ("50.121 deg", "7.2 deg", "50.121° N, 7.2° E"),
        ("-23.42 deg", "-70 deg", "23.42° S, 70° W"),
        ("0 deg", "359 deg", "0° N, 1° W"),
        (None, "10 deg", ""),
    ],
)
def test_coordinates_in_words(latitude: str | None, longitude: str, words: str) -> None:
    given = {"latitude": latitude} if latitude else {}
    place = Place.model_validate({"id": "some", "name": "Some", "longitude": longitude, **given})
    assert coordinates(place).replace("\u00a0", " ") == words


def test_what_people_write_stays_text(tmp_path: Path) -> None:
    hostile = "<script>alert(1)</script> & {{ 7*7 }}"
    guide = read_guide(tmp_path, places=[{**PLACES[0], "name": hostile, "notes": hostile}], place="field", year=2027)
    for page in place_pages(guide, Addresses()):
        assert "<script" not in page.html
        assert "49" not in re.findall(r"alert\(1\).{0,60}", page.html)[0]


def test_a_guide_without_places_has_the_table_only(tmp_path: Path) -> None:
    (page,) = place_pages(read_guide(tmp_path), Addresses())
    assert page.address == "places/index"
    assert "names no place yet" in page.html


def test_two_makings_are_the_same_to_the_letter(project: Path) -> None:
    first, second = ([page.html for page in place_pages(demo(project), Addresses(True))] for _ in range(2))
    assert first == second
    assert len(first) > 5


def demo(project: Path) -> Catalogue:
    return read_catalogue(project)


def test_no_place_takes_the_address_of_the_table() -> None:
    assert place_address("index") != "places/index"
    assert place_address("field") == "places/field"
