"""Labels for parts, cases and the shelf: one for each piece, with a code that leads to the right page."""

from collections import Counter

import pytest
from lxml import html
from lxml.html import HtmlElement

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.rig import Rig
from rigleaf.chapters.assembly import Assembly
from rigleaf.site.record import PageRecord
from rigleaf.site.sheets.kit_list import Line
from rigleaf.site.sheets.label_sheets import label_sheets
from rigleaf.site.sheets.part_labels import (
    MOST_SHEETS,
    inside_of,
    pieces_on_the_shelf,
    rig_label_pages,
    shelf_label_pages,
)
from rigleaf.site.typeset.addresses import Addresses, kind_labels_address, lids_address, rig_labels_address
from tests.chapters.small_guide import RIG, catalogue, parts
from tests.site.codes import drawn, read

SITE = "https://club.example/guide/"
KNOWN = Addresses(site=SITE)


def labels(page: PageRecord) -> list[HtmlElement]:
    return list(html.fromstring(page.html).find_class("rl-label"))


def name(label: HtmlElement) -> str:
    return str(label.xpath("string(.//b)"))


def held(label: HtmlElement) -> str:
    (svg,) = label.iter("svg")
    (path,) = svg.xpath("./path/@d")
    (view,) = svg.xpath("./@viewbox | ./@viewBox")
    (text,) = read(drawn(str(path), int(str(view).split()[2])))
    return text


def pages_of(guide: Catalogue, addresses: Addresses = KNOWN, rig: str = "rig") -> dict[str, PageRecord]:
    return {page.address: page for page in rig_label_pages(guide, Assembly(guide, guide.rigs[rig]), addresses)}


def small() -> Catalogue:
    return catalogue(parts(weight={"asset": "CLUB-9"}))


def test_every_piece_of_every_demo_rig_has_one_label(demo: Catalogue) -> None:
    for rig in demo.rigs.values():
        found = pages_of(demo, rig=rig.id)
        bags = [
            label.xpath("string(.//*[@class='rl-label-case'])").split(",")[0]
            for label in labels(found[lids_address(rig.id)])
        ]
        wanted = Counter[str]()
        cases = Counter[str]()
        for item in demo.items(rig):
            (cases if item.role == "bag" else wanted)[item.part.name] += item.count
        assert Counter(map(name, labels(found[rig_labels_address(rig.id)]))) == wanted, rig.id
        assert len(bags) == max(1, sum(cases.values())), rig.id


def test_codes_lead_to_the_pages_of_parts_and_rig() -> None:
    found = pages_of(small())
    by_name = {name(label): held(label) for label in labels(found["rigs/rig/labels"])}
    assert by_name["Weight"] == f"{SITE}parts/weight.html"
    assert by_name["Tube"] == f"{SITE}parts/tube.html"
    (lid,) = labels(found["rigs/rig/lids"])
    assert held(lid) == f"{SITE}rigs/rig.html"
    assert "club.example/guide/rigs/rig.html" in lid.text_content()


def test_codes_lead_to_folders_where_the_site_has_folders() -> None:
    found = pages_of(small(), Addresses(folders=True, site=SITE))
    assert held(labels(found["rigs/rig/labels"])[0]) == f"{SITE}parts/tube/"


def test_without_an_address_codes_say_whose_it_is_and_which() -> None:
    found = pages_of(small(), Addresses())
    by_name = {name(label): held(label) for label in labels(found["rigs/rig/labels"])}
    assert by_name["Weight"] == "Guide, CLUB-9, weight"
    assert by_name["Tube"] == "Guide, tube"
    assert "site_url" in found["rigs/rig/labels"].html
    assert "site_url" not in pages_of(small())["rigs/rig/labels"].html


def test_pieces_alike_are_counted() -> None:
    pair = [
        label.text_content().split()
        for label in labels(pages_of(small())["rigs/rig/labels"])
        if name(label) == "Weight"
    ]
    assert [" ".join(words[1:5]) for words in pair] == ["CLUB-9 1 of 2", "CLUB-9 2 of 2"]


def test_a_lid_says_what_is_inside_and_whom_to_tell() -> None:
    bags = {"crate": {"kind": "bag", "name": "Crate", "asset": "CLUB-1"}, "sack": {"kind": "bag", "name": "Sack"}}
    rig = {**RIG, "bags": [{"part": "crate", "holds": ["head", "weight"]}, "sack"]}
    guide = catalogue({**parts(), **bags}, contact="kit@club.example")
    guide = Catalogue(guide.root, guide.guide, guide.parts, {"rig": Rig.model_validate(rig)})
    first, second = (" ".join(label.text_content().split()) for label in labels(pages_of(guide)["rigs/rig/lids"]))
    assert first.startswith(
        "Rig Crate, case 1 of 2 CLUB-1 3 pieces: Head and 2 × Weight Guide. Found it? Tell kit@club.example."
    )
    assert second.startswith("Rig Sack, case 2 of 2 Guide.")


def test_a_rig_that_is_called_index_has_labels_of_its_own() -> None:
    guide = small()
    guide = Catalogue(guide.root, guide.guide, guide.parts, {"index": Rig.model_validate({**RIG, "id": "index"})})
    assert set(pages_of(guide, rig="index")) == {"rigs/index_/labels", "rigs/index_/lids"}


def test_the_shelf_has_a_label_for_each_piece_that_is_owned_or_tagged(demo: Catalogue) -> None:
    found = {page.address: page for page in shelf_label_pages(demo, KNOWN)}
    wanted = Counter[str]()
    for part in demo.parts.values():
        wanted[part.name] += pieces_on_the_shelf(part)
    shown = Counter(name(label) for page in found.values() for label in labels(page))
    assert shown == +wanted
    row = html.fromstring(found["shelf/labels"].html).xpath("//tbody/tr[.//a='Batteries']/td")
    assert int(row[0].text_content()) == len(labels(found["shelf/battery/labels"]))


@pytest.mark.parametrize(("stated", "pieces"), [({"owned": 3}, 3), ({"asset": "A"}, 1), ({"owned": 0}, 0), ({}, 0)])
def test_what_the_club_does_not_own_gets_no_label(stated: dict[str, object], pieces: int) -> None:
    assert pieces_on_the_shelf(catalogue(parts(tube=stated)).parts["tube"]) == pieces


def test_a_large_kind_runs_over_several_pages_and_loses_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rigleaf.site.sheets.part_labels.MOST_PIECES", 1000)
    most = MOST_SHEETS * label_sheets()["A4 3 x 8"].each
    found = {page.address: page for page in shelf_label_pages(catalogue(parts(weight={"owned": 2 * most + 1})), KNOWN)}
    addresses = [kind_labels_address("counterweight", page) for page in (1, 2, 3)]
    assert [len(labels(found[address])) for address in addresses] == [most, most, 1]
    assert html.fromstring(found[addresses[1]].html).xpath("//p/a/@href")[1:] == ["labels.html", "labels-3.html"]


def test_a_shelf_of_which_nothing_is_known_has_no_labels() -> None:
    assert list(shelf_label_pages(catalogue(parts()), KNOWN)) == []


def test_a_lid_counts_pieces_and_not_sorts() -> None:
    def line(name: str, count: int = 1) -> Line:
        return Line(name, name, Part(id="some", kind="tool", name=name), count)

    assert inside_of([line("Tube")]) == "1 piece: Tube"
    assert inside_of([line("Tube"), line("Crate", 2)]) == "3 pieces: Tube and 2 × Crate"
    many = [line(name, count) for name, count in (("A", 1), ("B", 3), ("C", 1), ("D", 1), ("E", 4), ("F", 1))]
    assert inside_of(many) == "11 pieces: A, 3 × B, C, D and 5 more"
