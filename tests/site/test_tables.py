"""Tables: one that becomes a list on a telephone says beside each value what it is."""

from pathlib import Path

import pytest
from lxml import html

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_bag.chapter import CHAPTER
from rigleaf.chapters.in_the_bag.study import study
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer


def stacked(text: str) -> list[html.HtmlElement]:
    """The tables of a page that become lists."""
    return [one for one in html.fromstring(f"<main>{text}</main>").iter("table") if "rl-stack" in one.get("class", "")]


def check_heads_and_roles(table: html.HtmlElement) -> int:
    """Check that each value stands beside its head, and that a table without its shape keeps its roles.

    Return how many values there are.
    """
    heads = [one.text_content() for one in table.iter("th") if one.get("role") == "columnheader"]
    rows = [row for row in table.iter("tr") if row.find("td") is not None]
    for row in rows:
        assert [one.get("data-head") for one in row.iter("td")] == heads[1:]
    assert table.get("role") == "table"
    assert all(row.get("role") == "row" for row in table.iter("tr"))
    assert all(one.get("role") == "cell" for one in table.iter("td"))
    assert all(one.get("role") == "rowheader" for one in table.iter("th") if one.get("scope") == "row")
    return len(rows) * len(heads[1:])


def test_each_value_of_the_table_of_bags_stands_beside_its_head(project: Path) -> None:
    demo = read_catalogue(project)
    found = study(Assembly(demo, demo.rigs["heron-south"]))
    writer = Writer("rigs/heron-south", Addresses(), part_names={id_: part.name for id_, part in demo.parts.items()})
    (bags,) = stacked(writer.render(CHAPTER.template, chapter=CHAPTER, study=found, number_of=lambda _: 1))
    assert check_heads_and_roles(bags)


@pytest.mark.parametrize("page", ["targets/index.html", "targets/ic-1396.html", "trips/index.html"])
def test_each_value_stands_beside_its_head(page: str, demo_site: Path) -> None:
    tables = stacked((demo_site / page).read_text("utf-8"))
    assert tables
    assert all(check_heads_and_roles(table) for table in tables)
