"""Tables of a rig's page: one that becomes a list on a telephone says beside each value what it is."""

from pathlib import Path

import pytest
from lxml import html

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_bag.chapter import CHAPTER
from rigleaf.chapters.in_the_bag.study import study
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer


@pytest.fixture(scope="module")
def bags(project: Path) -> html.HtmlElement:
    demo = read_catalogue(project)
    found = study(Assembly(demo, demo.rigs["heron-south"]))
    writer = Writer("rigs/heron-south", Addresses(), part_names={id_: part.name for id_, part in demo.parts.items()})
    text = writer.render(CHAPTER.template, chapter=CHAPTER, study=found, number_of=lambda _: 1)
    return next(
        one for one in html.fromstring(f"<main>{text}</main>").iter("table") if "rl-stack" in one.get("class", "")
    )


def test_each_value_of_the_table_of_bags_stands_beside_its_head(bags: html.HtmlElement) -> None:
    heads = [one.text_content() for one in bags.iter("th") if one.get("role") == "columnheader"]
    rows = [row for row in bags.iter("tr") if row.find("td") is not None]
    assert heads[-2:] == ["Room used", "Mass as packed"]
    assert rows
    for row in rows:
        assert [one.get("data-head") for one in row.iter("td")] == heads[1:]


def test_a_table_that_loses_its_shape_keeps_its_roles(bags: html.HtmlElement) -> None:
    assert bags.get("role") == "table"
    assert all(row.get("role") == "row" for row in bags.iter("tr"))
    assert all(one.get("role") == "cell" for one in bags.iter("td"))
    assert all(one.get("role") == "rowheader" for one in bags.iter("th") if one.get("scope") == "row")
