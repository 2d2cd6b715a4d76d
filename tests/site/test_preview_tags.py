"""Tags for previews of links: what they say, whole addresses or none, and nothing said twice."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import html

from rigleaf.site.previews.tags import LONGEST, Tag, as_html, page_tags, sentence, with_tags
from rigleaf.site.record import PageRecord, Picture, SearchEntry
from rigleaf.site.typeset.addresses import Addresses

HOSTILE = "<script>alert(1)</script></title></head>\"' &amp; \n x"
AT = Addresses(folders=True, site="https://rigs.example/guide/")


def page(address: str = "rigs/heron", **more: object) -> PageRecord:
    said = {"title": "Heron 65", "article": "", "description": "For travel.", "search": SearchEntry(""), **more}
    return PageRecord(address, **said)  # type: ignore[arg-type]


def said(tags: tuple[Tag, ...]) -> dict[str, str]:
    """The tags as a parser of HTML reads them."""
    head = html.document_fromstring(f"<html><head>{as_html(tags)}</head><body></body></html>")
    found = head.xpath("//meta")
    assert len(found) == len(tags)
    return {(meta.get("property") or meta.get("name")): meta.get("content") for meta in found}


def test_a_rig_with_its_picture() -> None:
    picture = Picture("assets/previews/heron.png", "Card of the Heron 65.")
    assert said(page_tags(page(picture=picture), AT, "Club", None)) == {
        "og:type": "article",
        "og:site_name": "Club",
        "og:title": "Heron 65",
        "og:description": "For travel.",
        "og:locale": "en_GB",
        "og:url": "https://rigs.example/guide/rigs/heron/",
        "og:image": "https://rigs.example/guide/assets/previews/heron.png",
        "og:image:type": "image/png",
        "og:image:width": "1200",
        "og:image:height": "630",
        "og:image:alt": "Card of the Heron 65.",
        "twitter:card": "summary_large_image",
    }


def test_other_pages_show_the_picture_of_the_guide() -> None:
    found = said(page_tags(page("places/field"), AT, "Club", Picture("assets/previews/the-guide_.png", "Club.")))
    assert found["og:image"].endswith("/the-guide_.png")


def test_the_home_page_is_the_site_itself() -> None:
    found = said(page_tags(page("index", title="Guide"), AT, "Club", None))
    assert (found["og:type"], found["og:title"], found["og:url"]) == ("website", "Club", "https://rigs.example/guide/")


def test_without_an_address_nothing_points_anywhere() -> None:
    found = said(page_tags(page(picture=Picture("a.png", "A.")), Addresses(), "Club", None))
    assert not [name for name in found if "image" in name or "url" in name]
    assert "://" not in " ".join(found.values())
    assert found["twitter:card"] == "summary"


def test_hostile_words_arrive_as_words() -> None:
    tags = page_tags(page(title=HOSTILE, description=HOSTILE, picture=Picture("a b.png", HOSTILE)), AT, HOSTILE, None)
    found = said(tags)
    plain = " ".join(HOSTILE.split())
    assert found["og:title"] == found["og:site_name"] == found["og:image:alt"] == plain
    assert found["og:image"] == "https://rigs.example/guide/a%20b.png"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("For travel", "For travel."),
        ("Is it light?", "Is it light?"),
        ("Two\n lines.  And more", "Two lines. And more."),
        ("", ""),
        ("A first sentence. " + "B" * 200, "A first sentence."),
        ("At f/3.8 it is fast. Six inches of mirror at 2.5 kg. " + "So " + "very " * 50 + "long.",
         "At f/3.8 it is fast. Six inches of mirror at 2.5 kg."),
        ("word, " * 60, "word, " * 32 + "word…"),
        ("軽い。", "軽い。"),
    ],
)  # fmt: skip
def test_descriptions_are_whole_sentences(text: str, expected: str) -> None:
    assert sentence(text) == expected


@given(st.text(max_size=500))
def test_descriptions_end_and_are_short(text: str) -> None:
    found = sentence(text)
    assert len(found) <= LONGEST
    assert not found or found[-1] in ".!?…。！？"


TAGS = (Tag("property", "og:title", "Ours"), Tag("property", "og:image", "o"), Tag("property", "og:image:width", "1"))


def test_tags_of_others_win() -> None:
    document = "<html><head><meta content='theirs' property='og:image'></head><body></body></html>"
    head = html.document_fromstring(with_tags(document, TAGS)).xpath("//meta")
    assert [(meta.get("property"), meta.get("content")) for meta in head] == [
        ("og:image", "theirs"),
        ("og:title", "Ours"),
    ]


def test_what_an_article_says_of_tags_does_not_count() -> None:
    document = "<html><head></head><body><meta property='og:title' content='quoted'></body></html>"
    assert with_tags(document, TAGS).count("og:title") == 2


def test_a_page_without_a_head_stays_as_it_is() -> None:
    assert with_tags("<p>Bare</p>", TAGS) == "<p>Bare</p>"
