"""Copies of rigs' pages to send: whole, small, joined in themselves, and asking nothing of anybody."""

import re
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import html5lib
import pytest
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.methods import methods
from rigleaf.site.book import Book, make_book
from rigleaf.site.delivery.policy import source_of
from rigleaf.site.lent.availability import as_sent
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.sent.copies import POLICY, page_alone
from rigleaf.site.sent.fewer_signs import fewer_signs
from rigleaf.site.sent.styles import copy_styles
from rigleaf.site.typeset.addresses import Addresses, rig_address
from rigleaf.site.typeset.doors import COPIES, MOST_COPIES, copy_path, offers_copies
from tests.chapters.small_guide import RIG
from tests.site.test_escaping import HOSTILE
from tests.site.yaml_guide import read_guide

SITE = "https://club.example/guide/"
LARGEST = 600_000
"""Bytes; a mail with a photo has more."""

Copies = dict[str, bytes]


@pytest.fixture(scope="module")
def book(demo: Catalogue) -> Book:
    return make_book(demo, Addresses(folders=False, site=SITE))


@pytest.fixture(scope="module", params=["", SITE], ids=["no address", "an address"])
def site(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def copies(demo: Catalogue, book: Book, site: str) -> Copies:
    if site:
        return {path: content for path, content in book.files.items() if path.startswith(f"{COPIES}/")}
    sent, rigs = as_sent(demo), {rig_address(id_): id_ for id_ in demo.rigs}
    return {
        copy_path(rigs[page.address]): page_alone(
            demo, page, Addresses(folders=False), sent.rigs[rigs[page.address]] if sent else None
        )
        for page in book.pages
        if page.address in rigs
    }


@pytest.fixture(scope="module")
def trees(copies: Copies) -> dict[str, Any]:
    return {path: html.document_fromstring(content.decode("utf-8")) for path, content in copies.items()}


def words(text: str) -> list[str]:
    return text.split()


def test_every_rig_has_one_and_none_is_too_large_for_a_mail(demo: Catalogue, copies: Copies) -> None:
    assert set(copies) == {f"{COPIES}/{rig}.html" for rig in demo.rigs}
    assert {path: len(content) for path, content in copies.items() if len(content) >= LARGEST} == {}


def test_each_is_valid_html_to_a_strict_parser(copies: Copies, site: str) -> None:
    some = (
        f"{COPIES}/{rig}.html" for rig in ("heron-eclipse", "workshop-misfits")
    )  # the parser takes a second for each
    for content in copies.values() if site else map(copies.__getitem__, some):
        html5lib.HTMLParser(strict=True).parse(content.decode("utf-8"))


def test_nothing_runs_and_nothing_is_fetched(trees: dict[str, Any]) -> None:
    for path, tree in trees.items():
        assert tree.xpath("//meta[@http-equiv='Content-Security-Policy']/@content") == [
            POLICY.format(styles=" ".join(source_of(style.text) for style in tree.iter("style")))
        ], path
        fetching = "//script | //link | //img | //iframe | //object | //embed | //video | //audio | //form | //base"
        assert tree.xpath(fetching) == [], path
        assert [name for name in tree.xpath("//@*") if getattr(name, "attrname", "").startswith("on")] == [], path
        styles = " ".join([*tree.xpath("//style/text()"), *tree.xpath("//@style")])
        assert set(re.findall(r"url\(\"?(data:|#|[^)\"]*)", styles)) <= {"data:", "#"}, path
        assert "@import" not in styles
        assert [use for use in tree.xpath("//use/@href | //@src | //@srcset") if not use.startswith("#")] == [], path


def test_every_link_leads_into_the_file_or_to_the_public_guide(trees: dict[str, Any], site: str, book: Book) -> None:
    there = {Addresses(folders=False).path(page.address) for page in book.pages} | set(book.files)
    for path, tree in trees.items():
        ids = tree.xpath("//@id")
        assert len(ids) == len(set(ids)), path
        out = [href for href in tree.xpath("//a/@href") if not href.startswith("#")]
        assert [href for href in tree.xpath("//a/@href") if href.startswith("#") and href[1:] not in ids] == [], path
        assert {urlsplit(href.removeprefix(SITE)).path for href in out} <= there, path
        assert bool(out) == bool(site), path
        for reference in tree.xpath("//@aria-labelledby | //@for"):
            assert set(reference.split()) <= set(ids), path


def test_the_words_are_those_of_the_page(book: Book, trees: dict[str, Any]) -> None:
    for page in book.pages:
        copy = trees.get(f"{COPIES}/{page.address.removeprefix('rigs/')}.html")
        if copy is None or not page.address.startswith("rigs/"):
            continue
        original = html.fromstring(f"<main>{page.html}</main>")
        for left_out in original.xpath("//*[@data-rl-noprint] | //*[@hidden and not(self::fieldset)] | //script"):
            left_out.drop_tree()
        (main,) = copy.xpath("//main")
        assert words(main.text_content()) == words(original.text_content()), page.address
        assert len(main.xpath(".//figure//svg")) == len(original.xpath(".//figure//svg"))


def test_what_is_tapped_for_the_method_stands_in_the_file_with_formula_and_source(trees: dict[str, Any]) -> None:
    by_id = methods()
    for path, tree in trees.items():
        tapped = {href.removeprefix("#method-") for href in tree.xpath("//main//a[@class='rl-how']/@href")}
        assert len(tapped) > 30, path
        for id_ in tapped:
            (name,) = tree.xpath("//h4[@id=$id]", id=f"method-{id_}")
            assert name.text == by_id[id_].name
            following = name.xpath("string(following-sibling::p[starts-with(., 'Source: ')][1])")
            assert all(source.title in following for source in by_id[id_].sources)
        # Those that nobody can tap do not come along.
        assert {one.removeprefix("method-") for one in tree.xpath("//h4/@id")} == tapped


def test_cautions_come_along_in_full(trees: dict[str, Any]) -> None:
    page = trees[f"{COPIES}/heron-eclipse.html"]
    for href in page.xpath("//main//aside[@class='rl-caution']//a/@href"):
        (title,) = page.xpath("//h3[@id=$id]", id=href[1:])
        assert len(title.getnext().text_content()) > 200


def test_the_head_says_whose_copy_it_is_of_which_day_and_where_the_page_stands(
    trees: dict[str, Any], site: str
) -> None:
    (head,) = trees[f"{COPIES}/curlew-twin.html"].xpath("//header/p")
    said = head.text_content()
    assert said.startswith("Tannwehr Astronomy Club.")
    assert (f"{SITE}rigs/curlew-twin.html" in said) == bool(site)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    return read_guide(tmp_path_factory.mktemp("small"), name="Smáll")


def alone(catalogue: Catalogue, text: str, site: str = "", *, folders: bool = False) -> Any:
    page = PageRecord("rigs/rig", "Rig", text, "About it.", SearchEntry(""))
    return html.document_fromstring(page_alone(catalogue, page, Addresses(folders, site)).decode("utf-8"))


@pytest.mark.parametrize(("epoch", "said"), [("1767225600", "as of 1 January 2026"), ("", "our guide.")])
def test_the_day_is_that_of_the_data_and_never_todays(
    small: Catalogue, epoch: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)
    assert said in alone(small, "<p>x</p>").xpath("string(//header/p)")


@pytest.mark.parametrize(
    ("href", "folders", "site", "leads"),
    [
        ("../parts/tube.html#notes", False, SITE, f"{SITE}parts/tube.html#notes"),
        ("../../parts/tube/", True, SITE, f"{SITE}parts/tube/"),
        ("../../", True, SITE, SITE),
        ("../parts/tube.html", False, "", None),
        ("rig.html#notes", False, "", "#notes"),
        ("rig.html", False, SITE, "#top"),
        ("#notes", False, "", "#notes"),
        ("../method/what-it-weighs.html#mass-total", False, SITE, "#method-mass-total"),
        ("../../method/what-it-weighs/#mass-total", True, SITE, "#method-mass-total"),
        ("https://elsewhere.example/x", False, "", "https://elsewhere.example/x"),
        ("javascript:alert(1)", False, SITE, None),
        ("//[broken", False, SITE, None),
    ],
)
def test_where_a_link_leads(small: Catalogue, href: str, folders: bool, site: str, leads: str | None) -> None:
    assert "mass-total" in methods()
    tree = alone(small, f'<p>before <a href="{href}">it</a> after</p>', site, folders=folders)
    (paragraph,) = tree.xpath("//main/p")
    assert paragraph.text_content() == "before it after"
    assert [link.get("href") for link in paragraph.iter("a")] == ([leads] if leads else [])


def test_what_needs_a_script_is_left_out_and_the_choice_of_units_is_not(small: Catalogue) -> None:
    text = (
        '<script>x</script><p data-rl-noprint>door</p><button hidden>b</button><p>a<img src="x.jpg" alt="tube">c</p>'
        '<fieldset class="rl-choice rl-units" hidden><legend>Units</legend></fieldset>'
    )
    (main,) = alone(small, text).xpath("//main")
    assert "".join(words(main.text_content())) == "atubecUnits"
    assert main.xpath("//*[@hidden]") == []


def test_hostile_words_stay_words(tmp_path: Path) -> None:
    guide = read_guide(tmp_path, rigs=[{**RIG, "name": HOSTILE, "summary": HOSTILE}], name=HOSTILE, contact=HOSTILE)
    content = make_book(guide, Addresses(False, SITE)).files[f"{COPIES}/rig.html"].decode("utf-8")
    html5lib.HTMLParser(strict=True).parse(content)
    tree = html.document_fromstring(content)
    assert tree.xpath("//script | //@onmouseover") == []
    assert tree.xpath("string(//title)") == f"{HOSTILE} - {HOSTILE}"
    assert HOSTILE in tree.xpath("string(//h1)")
    assert HOSTILE in tree.xpath("string(//header/p)")


def test_faces_come_along_only_for_letters_that_are_there() -> None:
    plain, with_more = copy_styles("Heron α")[0], copy_styles("Heron Ő")[0]
    assert plain.count("data:font/woff2") == 3
    assert with_more.count("data:font/woff2") == 6
    assert 'content:"· "' in plain.replace("content: ", "content:")
    assert "/*" not in plain


def test_the_night_palette_follows_the_switch_of_the_page() -> None:
    styles, _ = copy_styles("")
    assert 'data-rl-scheme="night"' not in styles
    assert styles.count(":root:has(#rl-night:checked)") >= 3


def test_fewer_signs_mean_the_same(book: Book) -> None:
    (page,) = (page for page in book.pages if page.address == "rigs/workshop-misfits")
    tree = html.fragment_fromstring(page.html, create_parent="main")
    for left_out in tree.xpath("//script | //pre"):
        left_out.drop_tree()
    text = html.tostring(tree, encoding="unicode")
    assert len(fewer_signs(text)) < 0.95 * len(text)
    assert flat(fewer_signs(text)) == flat(text)


@pytest.mark.parametrize(
    "text",
    [
        '<p title="a > b" class="x y">a</p>',
        '<p title=\'"\' class="x">a = "b"</p>',
        '<p title="" data-x="a`b" id="é">a</p>',
        "<table><tr><td>1</td><td>2</td></tr></table>",
        '<input checked type="checkbox">',
    ],
)
def test_quotes_stay_where_they_are_needed(text: str) -> None:
    assert flat(fewer_signs(text)) == flat(text)


def flat(text: str) -> list[Any]:
    """What a browser makes of HTML, without the spaces between elements."""
    tree = html5lib.parseFragment(text, namespaceHTMLElements=False)
    return [
        (element.tag, sorted(element.attrib.items()), (element.text or "").split(), (element.tail or "").split())
        for element in tree.iter()
    ]


def test_a_guide_may_leave_copies_out_and_a_large_one_does(tmp_path: Path, demo: Catalogue) -> None:
    without = read_guide(tmp_path / "without", copies=False)
    book = make_book(without, Addresses(False))
    assert [path for path in book.files if path.startswith(COPIES)] == []
    (page,) = (page for page in book.pages if page.address == "rigs/rig")
    assert "Send it" not in page.html
    many = [{**RIG, "id": f"rig-{number}"} for number in range(MOST_COPIES + 1)]
    assert offers_copies(demo)
    assert not offers_copies(read_guide(tmp_path / "many", rigs=many))
    assert offers_copies(read_guide(tmp_path / "asked", rigs=many, copies=True))


def test_the_page_leads_to_its_copy_and_a_browser_keeps_it_under_the_rigs_name(book: Book) -> None:
    (page,) = (page for page in book.pages if page.address == "rigs/curlew-twin")
    (door,) = html.fromstring(f"<main>{page.html}</main>").xpath("//ul[@class='rl-doors']//a[contains(., 'Send it')]")
    assert door.get("href") == f"../{COPIES}/curlew-twin.html"
    assert door.get("download") == "curlew-twin.html"
