"""Scripts and styles leave a page for files, and nothing else about the page changes."""

import re

import pytest
from lxml import html

from rigleaf.engine.inline import FOLDER, Moved


def moved(body: str, head: str = "", prefix: str = "../", folder: str = "rigs") -> tuple[str, Moved]:
    made = Moved()
    return made.out_of(f"<html><head>{head}</head><body>{body}</body></html>", prefix, folder), made


def held(made: Moved) -> list[str]:
    return [content.decode("utf-8") for content in made.files.values()]


def test_scripts_stay_where_they_were_and_in_order() -> None:
    page, made = moved("<p>1</p><script>a = 1 < 2</script><script src=x.js></script><script async>b()</script>")
    tree = html.fromstring(page)
    first, second, third = (script.get("src") or "" for script in tree.iter("script"))
    assert [made.files[src.removeprefix("../")] for src in (first, third)] == [b"a = 1 < 2", b"b()"]
    assert second == "x.js"
    assert "async" not in page  # it counts for files only, and would change the order
    assert all(not (script.text or "") for script in tree.iter("script"))


@pytest.mark.parametrize(
    "kept",
    [
        '<script type="application/json">{"a": "<p>"}</script>',
        '<script type="application/ld+json">{}</script>',
        "<script type=text/x-template><p style='x'></script>",
        "<!-- <script>a()</script><p style='color:red'> -->",
        "<textarea><script>a()</script></textarea>",
        '<p title="<script>a()</script>">x</p>',
        "<p title='<b style=\"color:red\">'>x</p>",
        "<p>style=red onclick=x</p>",
        '<pre>&lt;p style="x"&gt;</pre>',
    ],
)
def test_what_is_no_script_and_no_style_is_left_alone(kept: str) -> None:
    page, made = moved(kept)
    assert kept in page
    assert made.files == {}
    assert made.left == set()


def test_equal_ones_are_one_file_whatever_the_page() -> None:
    made = Moved()
    for prefix in ("", "../", "../../"):
        made.out_of("<head><style>p{}</style></head><body><script>a()</script>", prefix, "x")
    assert sorted(held(made)) == ["a()", "p{}"]


def test_a_style_attribute_becomes_a_class_that_outranks_every_sheet() -> None:
    page, made = moved(
        '<td class="a b" style="text-align: right;">1</td><td style="text-align: right">2</td><br style="x:1"/>'
    )
    first, second = html.fromstring(page).iter("td")
    assert first.get("class") == f"a b {second.get('class')}"
    assert "style=" not in page
    (sheet,) = held(made)
    assert f".{second.get('class')}:not(#rl-0):not(#rl-0):not(#rl-0){{text-align: right}}" in sheet
    assert page.index(FOLDER) < page.index("</head>")


@pytest.mark.parametrize("style", ["a:1}body{color:red", "a:1</style><script>x()", "a:\\7d b"])
def test_a_style_that_would_break_out_of_its_rule_is_left_out_and_told(style: str) -> None:
    page, made = moved(f"<p style='{style}'>x</p>")
    assert made.files == {}
    assert made.left == {"style"}
    assert "style=" not in page


def test_sheets_in_the_body_go_to_the_head_and_keep_their_media() -> None:
    page, made = moved(
        "<svg><style media=print>p{}</style></svg>", head="<style>q{}</style><link rel=stylesheet href=a.css>"
    )
    links = [link.get("href") or "" for link in html.fromstring(page).iter("link")]
    assert [made.files.get(link.removeprefix("../"), link) for link in links] == [b"q{}", "a.css", b"p{}"]
    assert re.search(r'media="print"></head>', page)


def test_addresses_in_a_style_lead_to_where_they_did() -> None:
    style = "a{b:url(x.png);c:url('../y.png');d:url(#z);e:url(data:,);f:url(/g)}"
    _, made = moved(f"<style>{style}</style>")
    assert held(made) == ["a{b:url(../../../rigs/x.png);c:url('../../../y.png');d:url(#z);e:url(data:,);f:url(/g)}"]


def test_what_runs_from_an_attribute_is_told() -> None:
    page, made = moved("<p onclick='a()'>x</p>")
    assert "onclick" in page
    assert made.left == {"onclick"}


def test_a_finished_article_is_not_looked_through() -> None:
    article = "<p style='color:red'>x</p>"
    page = Moved().out_of(f"<head></head><body style='a:b'>{article}</body>", "", "", article)
    assert article in page
    assert page.count("style=") == 1
