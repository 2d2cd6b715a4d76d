"""The link checker finds each sort of trouble, and nothing else."""

from pathlib import Path

import pytest

from rigleaf.site.links import LinkProblem, check_site

SOUND = """<!doctype html><html><head><link rel="stylesheet" href="../style.css">
<link rel="canonical" href="https://club.example/rigs/one.html"><script src="../a%20script.js"></script></head>
<body id="top"><a href="#top">up</a> <a href="">here</a> <a href="two.html">two</a> <a href="two.html#there">there</a>
<a href="two.html#%C3%BCber">over</a> <a href="../">home</a> <a href="..">home</a>
<a href="../index.html?q=1#named">named</a> <a href="./two.html">two</a>
<a href="https://other.example/page#x">out</a> <a href="http://other.example">out</a>
<a href="mailto:club@club.example">write</a> <a href="#__tabbed_1">tab</a>
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
    ],
)
def test_every_way_to_ask_another_host_is_found(site: Path, html: str) -> None:
    before = set(check_site(site))
    assert {found.problem for found in set(with_body(site, html)) - before} == {HOST}


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
