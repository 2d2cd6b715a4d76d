"""Whatever people write into the YAML arrives on pages as text: never as markup, never as a template."""

import re
from pathlib import Path
from typing import Any

import pytest
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.site.book import Book, make_book
from rigleaf.site.export import export
from rigleaf.site.typeset.addresses import Addresses
from tests.chapters.small_guide import PARTS, RIG
from tests.site.yaml_guide import read_guide

HOSTILE = "<script>alert(1)</script></title><b onmouseover=\"x\">&amp; 'q' {{ 7*7 }} {% raw %} ${1} %s"


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    """A guide in which every free text is hostile."""
    part: dict[str, Any] = {"name": HOSTILE, "summary": HOSTILE, "notes": HOSTILE, "asset": HOSTILE}
    shelf = {id_: {**data, **part, "name": f"{HOSTILE} {id_}"} for id_, data in PARTS.items()}
    shelf["weight"].pop("mass")
    shelf["tube"]["back_focus"] = {"counts_from": HOSTILE}
    shelf["cable"] = {"kind": "cable", **part, "ends": HOSTILE}
    shelf["solar"] = {"kind": "front-filter", **part, "certified_for": HOSTILE}
    shelf["hub"] = {"kind": "hub", **part, "outlets": [{"kind": HOSTILE, "count": 2}]}
    rig = {
        **RIG, "name": HOSTILE, "summary": HOSTILE, "notes": HOSTILE, "place": "field", "targets": ["target"],
        "power": [{"part": "battery", "note": HOSTILE}], "carried": ["cable", "solar", "hub"],
    }  # fmt: skip
    return read_guide(
        tmp_path_factory.mktemp("hostile"),
        shelf=shelf,
        rigs=[rig],
        places=[{"id": "field", "name": HOSTILE, "notes": HOSTILE}],
        targets=[{"id": "target", "name": HOSTILE, "notes": HOSTILE}],
        name=HOSTILE,
        summary=HOSTILE,
        contact=HOSTILE,
    )


@pytest.fixture(scope="module")
def book(hostile: Catalogue) -> Book:
    return make_book(hostile, Addresses(False))


def test_no_page_has_markup_that_the_yaml_wrote(book: Book) -> None:
    for page in book.pages:
        tree = html.fromstring(f"<main>{page.html}</main>")
        own = "starts-with(@src, '../assets/rigleaf/') or starts-with(@src, '../../assets/rigleaf/')"
        assert tree.xpath(f"//script[not({own})] | //@onmouseover") == [], page.address
        assert "{{ 49" not in page.html
        assert " 49 " not in re.sub(r'viewBox="[\d ]+"', "", page.html), page.address  # some drawing may be 49 across


@pytest.mark.parametrize(
    ("address", "path", "times"),
    [
        ("index", "//h1", 1),
        ("index", "//*[@class='rl-lead']", 1),
        ("index", "//article//h3", 1),
        ("rigs/rig", "//h1", 1),
        ("rigs/rig", "//*[@class='rl-lead']", 1),
        ("rigs/rig", "//*[@class='rl-aside']", 1),
        ("rigs/index", "//tbody/tr/th/a", 1),
        ("parts/tube", "//h1", 1),
        ("parts/tube", "//*[@class='rl-lead']", 1),
        ("shelf/cable", "//tbody/tr/th/a", 1),
        ("parts/cable", "//td[@class='rl-num']", 1),
        ("parts/solar", "//td[@class='rl-num']", 1),
        ("about/index", "//p[starts-with(., 'Contact')]", 1),
    ],
)
def test_the_text_is_shown_as_it_was_written(book: Book, address: str, path: str, times: int) -> None:
    (page,) = (page for page in book.pages if page.address == address)
    shown = [
        " ".join(element.text_content().split()) for element in html.fromstring(f"<main>{page.html}</main>").xpath(path)
    ]
    assert sum(HOSTILE in text for text in shown) >= times, shown


def test_plates_titles_and_search_keep_the_text(book: Book) -> None:
    (rig,) = (page for page in book.pages if page.address == "rigs/rig")
    assert rig.title == HOSTILE
    assert HOSTILE in rig.search.text  # plain text: whoever writes it into a page escapes it
    assert not re.search(r"<svg(?:(?!</svg>).)*<script", rig.html, re.DOTALL)


@pytest.mark.parametrize("form", ["html", "markdown"])
def test_exports_are_escaped_too(hostile: Catalogue, form: Any, tmp_path: Path) -> None:
    export(hostile, tmp_path / "pages", form)
    for path in (tmp_path / "pages").rglob("*"):
        if path.suffix not in {".html", ".md"}:
            continue
        copy = "copies" in path.parts
        assert path.suffix == (".md" if form == "markdown" and not copy else ".html")
        text = path.read_text("utf-8")
        body = text.partition("\n---\n")[2] if form == "markdown" and not copy else text
        assert "<script>alert" not in body, path.name
        assert "<b onmouseover" not in body, path.name
        if form == "html":
            head = html.fromstring(text.encode()).find("head")
            assert head is not None, path.name
            assert [title.text_content().endswith(HOSTILE) for title in head.iter("title")] == [True], path.name
            assert len(head.xpath("meta[@name='description']/@content")) == 1, path.name
