"""Pages of targets: complete, linked, ranked as their rigs' pages judge, and with files that say where to point."""

import csv
import io
from collections.abc import Mapping
from itertools import pairwise
from pathlib import Path

import pytest
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.in_the_frame.fleet import framings_of, ranking_as_shown
from rigleaf.chapters.in_the_frame.framing import wishes_of
from rigleaf.chapters.study import RigStudy, study_guide
from rigleaf.site.record import PageRecord
from rigleaf.site.skies.mosaics import content, mosaic_files
from rigleaf.site.skies.targets import target_address, target_pages
from rigleaf.site.typeset.addresses import Addresses, rig_address
from rigleaf.site.typeset.target_words import MONTHS, months_in, reason, size_class, verdict_of
from rigleaf.sky.constellations import constellations
from rigleaf.sky.objects import all_objects
from tests.site.yaml_guide import read_guide

SEASONS = {"m31": "August to February", "m8": "June, July"}


@pytest.fixture(scope="module")
def pages(demo: Catalogue, demo_studies: tuple[RigStudy, ...]) -> Mapping[str, PageRecord]:
    return {page.address: page for page in target_pages(demo, demo_studies, framings_of(demo), Addresses(), SEASONS)}


@pytest.fixture(scope="module")
def trees(pages: Mapping[str, PageRecord]) -> dict[str, html.HtmlElement]:
    return {address: html.fromstring(f"<main>{page.html}</main>") for address, page in pages.items()}


def test_every_target_has_its_page_and_a_row_in_the_index(
    demo: Catalogue, pages: Mapping[str, PageRecord], trees: dict[str, html.HtmlElement]
) -> None:
    assert list(pages) == ["targets/index", *(target_address(id_) for id_ in demo.targets)]
    rows = trees["targets/index"].xpath("//table[@id='targets']/tbody/tr")
    assert [row.xpath("string(th/a)") for row in rows] == [target.name for target in demo.targets.values()]
    assert [row.xpath("th/a/@href")[0] for row in rows] == [f"{id_}.html" for id_ in demo.targets]


def test_links_lead_to_rigs_methods_files_and_cautions(
    demo: Catalogue, pages: Mapping[str, PageRecord], trees: dict[str, html.HtmlElement]
) -> None:
    known = {f"../{rig_address(id_)}.html" for id_ in demo.rigs} | {f"{id_}.html" for id_ in demo.targets}
    known |= {"../method/in-the-frame.html", "../safety/index.html"}
    known |= {f"../rigs/index.html?target={id_}" for id_ in demo.targets}
    known |= {f"../{path}" for path, _ in mosaic_files(demo)}
    for address, tree in trees.items():
        links = [link.partition("#")[0] for link in tree.xpath("//a/@href")]
        assert set(links) <= known, address
        assert tree.xpath("//script") == []
        ids = tree.xpath("//@id")
        assert len(ids) == len(set(ids)), address
        assert {heading.anchor for heading in pages[address].contents} <= set(ids)


def test_a_page_says_what_is_known_and_how_the_surface_brightness_is_found(
    trees: dict[str, html.HtmlElement], pages: Mapping[str, PageRecord]
) -> None:
    text = trees["targets/m31"].text_content()
    for words in ("M 31", "Andromeda", "00h 42m 44s", "+41° 16′ 09″", "178′ × 70′", "35°", "3.4", "22.", "OpenNGC"):
        assert words.replace(" ", "\u00a0") in text or words in text, words
    assert "August to February" in text
    assert "Surface" not in trees["targets/m13"].text_content()
    assert "filter" in trees["targets/sun"].xpath("string(//aside)")
    assert "Andromeda" in pages["targets/m31"].search.text


def test_the_best_rigs_come_first_and_agree_with_the_verdicts(
    demo: Catalogue, trees: dict[str, html.HtmlElement]
) -> None:
    wishes = wishes_of(demo.guide)
    for id_, target in demo.targets.items():
        ranked = ranking_as_shown(demo, resolve(target))
        assert all(one.score >= after.score for one, after in pairwise(ranked))
        rows = trees[target_address(id_)].xpath("//table[caption]/tbody/tr")
        assert [row.xpath("string(th/a)") for row in rows] == [one.rig.name for one in ranked]
        for row, one in zip(rows, ranked, strict=True):
            assert verdict_of(one.framed, wishes) in row.xpath("string(td[1])")
            assert bool(row.xpath("th/span")) == (id_ in one.rig.targets)


def test_verdicts_are_those_of_the_rigs_own_pages(demo: Catalogue) -> None:
    from rigleaf.chapters.assembly import Assembly
    from rigleaf.chapters.in_the_frame.study import study

    wishes = wishes_of(demo.guide)
    for rig in demo.rigs.values():
        judged = {finding.id: finding.verdict for finding in study(Assembly(demo, rig)).findings}
        for id_ in rig.targets:
            (one,) = (one for one in ranking_as_shown(demo, resolve(demo.targets[id_])) if one.rig.id == rig.id)
            assert verdict_of(one.framed, wishes) == judged[id_]
            assert reason(one.framed, wishes, lambda value, _: f"{value:.2f}")


def test_files_of_panels_say_where_to_point(demo: Catalogue) -> None:
    files = dict(mosaic_files(demo))
    assert files
    for path, data in files.items():
        assert path.startswith("assets/mosaics/")
        rows = list(csv.DictReader(io.StringIO(data.decode("ascii"))))
        assert 1 < len(rows) <= 36
        for number, row in enumerate(rows, 1):
            assert int(row["panel"]) == number
            hours, minutes, seconds = map(float, row["ra_hms"].split(":"))
            assert 15 * (hours + minutes / 60 + seconds / 3600) == pytest.approx(float(row["ra_deg"]), abs=3e-4)
            degrees, arcminutes, arcseconds = (abs(float(part)) for part in row["dec_dms"].split(":"))
            found = degrees + arcminutes / 60 + arcseconds / 3600
            assert found == pytest.approx(abs(float(row["dec_deg"])), abs=2e-4)
            assert 0 <= float(row["position_angle_deg"]) <= 360
    assert content(()) == b"panel,row,column,ra_deg,dec_deg,ra_hms,dec_dms,position_angle_deg\r\n"


def test_the_index_can_be_filtered_by_size_rig_and_season(trees: dict[str, html.HtmlElement]) -> None:
    tree = trees["targets/index"]
    form = tree.xpath("//form[@data-rl-rows]")[0]
    assert form.get("hidden") is not None
    keys = set(form.xpath(".//@data-rl-key"))
    assert keys == {"name", "size", "rigs", "season"}
    (row,) = tree.xpath("//tr[starts-with(@data-name, 'Andromeda Galaxy (M31)')]")
    assert row.get("data-season").split() == [*MONTHS[7:], "January", "February"]
    assert row.get("data-size") == "large"
    assert " bicycle-tracker " in row.get("data-rigs")


@pytest.mark.parametrize(
    ("season", "months"),
    [
        ("June, July", "June July"),
        ("November to January", "November December January"),
        ("", ""),
        ("May", "May"),
        ("the whole year", " ".join(MONTHS)),
    ],
)
def test_seasons_name_months(season: str, months: str) -> None:
    assert months_in(season) == months


def test_what_is_not_known_is_said_and_hostile_names_stay_text(tmp_path: Path) -> None:
    name = "<script>alert(1)</script> {{ 7*7 }}"
    guide = read_guide(tmp_path, targets=[{"id": "index", "name": name, "notes": name}])
    index, page = target_pages(guide, study_guide(guide), framings_of(guide), Addresses())
    assert page.address == "targets/index_"
    assert "<script>alert" not in index.html + page.html
    assert "&lt;script&gt;" in page.html
    assert "Its size is not given" in page.html
    assert size_class(resolve(guide.targets["index"])) == ""


def test_a_guide_without_targets_or_rigs_has_an_empty_index(tmp_path: Path) -> None:
    guide = read_guide(tmp_path, rigs=[])
    (index,) = target_pages(guide, (), framings_of(guide), Addresses())
    assert index.address == "targets/index"
    assert dict(mosaic_files(guide)) == {}


def test_constellations_agree_with_the_catalogue_of_objects() -> None:
    # The catalogue says so of every object; seven of 13 400 lie at or beyond a boundary.
    from astropy.coordinates import SkyCoord, get_constellation

    found = all_objects()[::40]
    full = constellations(tuple((one.ra, one.dec) for one in found))
    places = SkyCoord([one.ra for one in found], [one.dec for one in found], unit="deg")
    short = get_constellation(places, short_name=True)
    assert sum(one.constellation.lower() == str(name).lower() for one, name in zip(found, short, strict=True)) >= (
        len(found) - 2
    )
    assert full == tuple(map(str, get_constellation(places)))
    assert constellations(()) == ()
