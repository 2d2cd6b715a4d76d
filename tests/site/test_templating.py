"""Sentences in which the names of parts become links: each once, the longest first, never inside each other."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import html

from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer

NAMES = {
    "short": "Spacer",
    "long": "Spacer 10 mm",
    "longest": "M48 Spacer 10 mm",
    "parts": "parts",
    "href": "href",
    "a": "a",
    "twin": "Spacer",
    "sharp": "Tube <b> & \"Co\"",
    "amp": "amp",
    "dot": "f/6.",
}  # fmt: skip


def linked(text: str, *parts: str) -> str:
    return str(Writer("rigs/rig", Addresses(), part_names=NAMES).linked(text, parts))


def links(markup: str) -> list[tuple[str, str]]:
    """Where each link leads and what it says."""
    return [(a.get("href", ""), a.text_content()) for a in html.fromstring(f"<p>{markup}</p>").iter("a")]


@pytest.mark.parametrize(
    ("text", "parts", "wanted"),
    [
        ("Take the Spacer.", ("short",), [("short", "Spacer")]),
        ("Take the Spacer 10 mm.", ("short", "long"), [("long", "Spacer 10 mm")]),
        ("Spacer 10 mm, then Spacer.", ("short", "long"), [("long", "Spacer 10 mm"), ("short", "Spacer")]),
        ("An M48 Spacer 10 mm or a Spacer 10 mm", ("short", "long", "longest"),
         [("longest", "M48 Spacer 10 mm"), ("long", "Spacer 10 mm")]),
        ("Spacer and Spacer", ("short",), [("short", "Spacer")]),
        ("Spacer and Spacer", ("short", "twin"), [("short", "Spacer"), ("twin", "Spacer")]),
        ("The Spacer has parts.", ("short", "parts"), [("short", "Spacer"), ("parts", "parts")]),
        ("A Spacer, an href, a name", ("a", "href", "short"), [("short", "Spacer"), ("href", "href"), ("a", "a")]),
        ("Spacers and counterparts", ("short", "parts"), []),
        ("the Tube <b> & \"Co\" & amp", ("sharp", "amp"), [("sharp", "Tube <b> & \"Co\""), ("amp", "amp")]),
        ("At f/6. and on", ("dot",), [("dot", "f/6.")]),
        ("Nothing <i>here</i>", (), []),
    ],
)  # fmt: skip
def test_names_become_links(text: str, parts: tuple[str, ...], wanted: list[tuple[str, str]]) -> None:
    found = linked(text, *parts)
    assert links(found) == [(f"../parts/{id_}.html", name) for id_, name in wanted]
    assert html.fromstring(f"<p>{found}</p>").text_content() == text
    assert not re.search(r"<a[^>]*<", found)


@given(st.lists(st.sampled_from([*NAMES.values(), ", ", " ", "x", "<", "&"]), max_size=12), st.permutations([*NAMES]))
def test_whatever_is_linked_the_words_stay_and_no_link_holds_another(pieces: list[str], order: list[str]) -> None:
    text = "".join(pieces)
    markup = f"<p>{linked(text, *order)}</p>"
    tree = html.fromstring(markup)
    assert tree.text_content() == html.fromstring("<p>x</p>").text_content().replace("x", text)
    assert tree.xpath("//a//a") == []
    assert {element.tag for element in tree.iter()} <= {"p", "a"}
    leads = [a.get("href") for a in tree.iter("a")]
    assert len(leads) == len(set(leads))
