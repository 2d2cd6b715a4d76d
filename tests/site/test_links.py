"""The link checker finds each sort of trouble, and nothing else."""

from pathlib import Path

import pytest

from rigleaf.site.links import LinkChecker, LinkProblem, check_site, files_in

SOUND = """<!doctype html><html><head><link rel="stylesheet" href="../style.css">
<link rel="canonical" href="https://club.example/rigs/one.html"><script src="../a%20script.js"></script></head>
<body id="top"><a href="#top">up</a> <a href="">here</a> <a href="two.html">two</a> <a href="two.html#there">there</a>
<a href="two.html#%C3%BCber">over</a> <a href="../">home</a> <a href="..">home</a>
<a href="../index.html?q=1#named">named</a> <a href="./two.html">two</a>
<a href="https://other.example/page#x">out</a> <a href="http://other.example">out</a>
<a href="mailto:club@club.example">write</a> <a href="#__code_1">code</a>
<img src="../photo.png" alt=""> <img src="data:image/png;base64,AA==" alt=""></body></html>"""
TWO = '<!doctype html><html><body><p id="there">x</p><p id="über">x</p><a href="one.html">one</a></body></html>'
HOME = '<!doctype html><html><body><a name="named">x</a><a href="rigs/one.html">one</a></body></html>'
FILES = {
    "index.html": HOME,
    "rigs/one.html": SOUND,
    "rigs/two.html": TWO,
    "style.css": "",
    "a script.js": "",
    "photo.png": "",
}


@pytest.fixture
def site(tmp_path: Path) -> Path:
    for name, text in FILES.items():
        path = tmp_path / "site" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return tmp_path / "site"


def with_body(site: Path, html: str, page: str = "rigs/two.html") -> list[LinkProblem]:
    text = (site / page).read_text("utf-8")
    (site / page).write_text(text.replace("</body>", f"{html}</body>"), encoding="utf-8")
    return check_site(site)


def test_a_sound_site_has_no_problem(site: Path) -> None:
    assert check_site(site) == []


ANCHOR, NOWHERE, OUT = "names an anchor that is not there", "leads nowhere", "leads out of the site"
HOST, SCHEME = "asks another host", "has a scheme that is not http(s) or mailto"
ROOT = "counts from the server's root, which breaks under a sub-path"


@pytest.mark.parametrize(
    ("html", "link", "problem"),
    [
        ('<a href="three.html">x</a>', "three.html", NOWHERE),
        ('<a href="../rigs/">x</a>', "../rigs/", NOWHERE),
        ('<a href="TWO.html">x</a>', "TWO.html", NOWHERE),
        ('<img src="gone.png" alt="">', "gone.png", NOWHERE),
        ('<script src="gone.js"></script>', "gone.js", NOWHERE),
        ('<link rel="stylesheet" href="gone.css">', "gone.css", NOWHERE),
        ('<a href="#nobody">x</a>', "#nobody", ANCHOR),
        ('<a href="#__nobody">x</a>', "#__nobody", ANCHOR),
        ('<a href="#__tabbed_1_1">x</a>', "#__tabbed_1_1", ANCHOR),
        ('<a href="#__code_x">x</a>', "#__code_x", ANCHOR),
        ('<form action="gone.html"></form>', "gone.html", NOWHERE),
        ('<form><button formaction="gone.html">x</button></form>', "gone.html", NOWHERE),
        ('<meta http-equiv="Refresh" content="0; URL=\'gone.html\'">', "gone.html", NOWHERE),
        ('<meta http-equiv="refresh" content="5;gone.html">', "gone.html", NOWHERE),
        ('<svg><path fill="url(#nobody)"></path></svg>', "#nobody", ANCHOR),
        ('<a href="one.html#nobody">x</a>', "one.html#nobody", ANCHOR),
        ('<a href="../../outside.html">x</a>', "../../outside.html", OUT),
        ('<a href="/rigs/one.html">x</a>', "/rigs/one.html", ROOT),
        ('<a href="javascript:alert(1)">x</a>', "javascript:alert(1)", SCHEME),
        ('<a href="JavaScript:alert(1)">x</a>', "JavaScript:alert(1)", SCHEME),
        ('<a href="file:///etc/hosts">x</a>', "file:///etc/hosts", SCHEME),
        ('<a href="data:text/html,x">x</a>', "data:text/html,x", SCHEME),
        ('<a href="//other.example/x">x</a>', "//other.example/x", SCHEME),
        ('<img src="https://other.example/x.png" alt="">', "https://other.example/x.png", HOST),
        ('<script src="https://other.example/x.js"></script>', "https://other.example/x.js", HOST),
        ('<link rel="stylesheet" href="https://other.example/x.css">', "https://other.example/x.css", HOST),
        ('<iframe src="http://other.example/"></iframe>', "http://other.example/", HOST),
        ('<a href="https://[broken">x</a>', "https://[broken", "is not an address"),
        ('<p id="there">again</p>', "#there", "has an id that the page gives twice"),
    ],
)
def test_each_sort_of_trouble_is_found_and_nothing_else(site: Path, html: str, link: str, problem: str) -> None:
    before = set(check_site(site))
    assert set(with_body(site, html)) - before == {LinkProblem("rigs/two.html", link, problem)}


@pytest.mark.parametrize(
    "html",
    [
        '<img srcset="https://other.example/x.png 2x" src="../photo.png" alt="">',
        '<video src="https://other.example/x.mp4"></video>',
        '<object data="https://other.example/x"></object>',
        '<style>@import "https://other.example/x.css";</style>',
        '<p style="background: url(https://other.example/x.png)">x</p>',
        '<svg><use href="https://other.example/x.svg#a"></use></svg>',
        '<svg><image href="https://other.example/x.png"></image></svg>',
        '<svg><filter><feImage href="https://other.example/x.png"></feImage></filter></svg>',
        '<svg><path fill="url(https://other.example/x.svg#a)"></path></svg>',
        '<meta http-equiv="refresh" content="0; url=https://other.example/">',
        "<style>p { background: URL( 'https://other.example/a b.png' ) }</style>",
    ],
)
def test_every_way_to_ask_another_host_is_found(site: Path, html: str) -> None:
    before = set(check_site(site))
    assert {found.problem for found in set(with_body(site, html)) - before} == {HOST}


STYLE = """/* url(https://other.example/no.png) */
@import "more.css"; @import url("gone.css");
@font-face { src: url(fonts/there.woff2) format("woff2"), url('fonts/gone.woff2'); }
p { background: url(data:image/png;base64,AA==); filter: url(#in-the-page); mask: url(../drawing.svg#shape) }
q { background: url("data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg'><path fill='url(#x)'/></svg>") }
b { background: url(//other.example/x.png); mask: url(../drawing.svg?#nobody) }
"""


def test_style_sheets_are_looked_into(site: Path) -> None:
    for name, text in {
        "styles/main.css": STYLE,
        "styles/more.css": "@import url(https://other.example/more.css);",
        "styles/fonts/there.woff2": "",
        "drawing.svg": '<svg xmlns="http://www.w3.org/2000/svg"><path id="shape"/></svg>',
    }.items():
        (site / name).parent.mkdir(parents=True, exist_ok=True)
        (site / name).write_text(text)
    assert check_site(site) == [
        LinkProblem("styles/main.css", "//other.example/x.png", SCHEME),
        LinkProblem("styles/main.css", "fonts/gone.woff2", NOWHERE),
        LinkProblem("styles/main.css", "gone.css", NOWHERE),
        LinkProblem("styles/more.css", "https://other.example/more.css", HOST),
    ]


DRAWING = """<?xml version="1.0"?><?xml-stylesheet href="https://other.example/a.css"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">
<style>p { fill: url(https://other.example/b.svg#x) }</style>
<filter id="f"><feImage xlink:href="https://other.example/c.png"/></filter>
<image href="https://other.example/d.png"/><use xlink:href="#f"/><use href="#nobody"/>
<a xlink:href="gone.html"><path style="mask: url(#f)" fill="url(https://other.example/e.svg#x)"/></a>
<a href="https://other.example/page"><path id="f"/></a></svg>"""


def test_drawings_are_looked_into(site: Path) -> None:
    (site / "drawing.svg").write_text(DRAWING)
    (site / "broken.svg").write_text("<svg><path")
    assert check_site(site) == [
        LinkProblem("drawing.svg", "#f", "has an id that the page gives twice"),
        LinkProblem("drawing.svg", "#nobody", ANCHOR),
        LinkProblem("drawing.svg", "gone.html", NOWHERE),
        *(LinkProblem("drawing.svg", f"https://other.example/{name}", HOST)
          for name in ("a.css", "b.svg#x", "c.png", "d.png", "e.svg#x")),
    ]  # fmt: skip


def test_the_page_for_a_missing_address_may_count_from_the_root(site: Path) -> None:
    (site / "404.html").write_text('<html><body><a href="/index.html">home</a><a href="gone.html">x</a></body></html>')
    assert [str(problem) for problem in check_site(site) if problem.page == "404.html"] == [
        f"404.html: the link 'gone.html' {NOWHERE}"
    ]


def test_problems_are_listed_in_order_and_once(site: Path) -> None:
    twice = '<a href="b.html">x</a><a href="b.html">x</a><a href="a.html">x</a>'
    found = [problem for problem in with_body(site, twice) if problem.page == "rigs/two.html"]
    assert [problem.link for problem in found] == ["a.html", "b.html"]


def test_a_page_that_is_empty_is_no_reason_to_stumble(site: Path) -> None:
    (site / "empty.html").write_text("")
    (site / "words.html").write_text("<!-- nothing -->")
    check_site(site)


def test_a_site_that_is_checked_again_has_the_problems_that_a_first_look_finds(tmp_path: Path) -> None:
    checker = LinkChecker()
    steps: list[dict[str, str | None]] = [
        {"a.html": '<a href="b.html#one">b</a>', "b.html": '<p id="one">', "c/index.html": '<a href="../b.html">'},
        {},
        {"b.html": '<p id="other">'},
        {"c/index.html": '<a href="../a.html#none">'},
        {"b.html": None},
        {"b.html": '<p id="one">'},
        {"a.html": '<p id="none">'},
    ]
    counts = []
    for step in steps:
        for name, text in step.items():
            (tmp_path / name).parent.mkdir(exist_ok=True)
            if text is None:
                (tmp_path / name).unlink()
            else:
                (tmp_path / name).write_text(text, encoding="utf-8")
        found = checker.check(tmp_path, files_in(tmp_path))
        assert found == check_site(tmp_path)
        counts.append(len(found))
    assert counts == [0, 0, 1, 2, 2, 1, 0]
