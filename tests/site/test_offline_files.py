"""The list of what a browser keeps: complete, true to the byte, and new when the guide is new, not before."""

import hashlib
import json
import re
import sys
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urljoin, urlsplit

import pytest
from lxml import html

from rigleaf.site.book import make_book
from rigleaf.site.export import export
from rigleaf.site.offline_files import OURS, WHOLE_BELOW, list_files, withdraw_field_copy, write_copy_of
from rigleaf.site.reference.away import goes_along
from rigleaf.site.typeset.addresses import AWAY_ADDRESS, Addresses
from rigleaf.site.typeset.doors import COPIES
from tests.site.yaml_guide import read_guide

KEPT_IN_ANY_CASE = {".html", ".css", ".js", ".woff2"}


def read(site: Path) -> dict[str, Any]:
    listing: dict[str, Any] = json.loads((site / "field-copy.json").read_text("utf-8"))
    return listing


def named(listing: dict[str, Any], numbers: list[int]) -> set[str]:
    paths = list(listing["files"])
    return {paths[number] for number in numbers}


@pytest.fixture(scope="module")
def demo(demo_site: Path) -> dict[str, Any]:
    return read(demo_site)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    export(read_guide(tmp_path / "guide"), tmp_path / "site")
    return tmp_path / "site"


def test_every_digest_and_size_is_that_of_the_file(demo: dict[str, Any], demo_site: Path) -> None:
    for path, (digest, size, *_) in demo["files"].items():
        data = (demo_site / path).read_bytes()
        assert (digest, size) == (hashlib.sha256(data).hexdigest()[:32], len(data)), path
    assert demo["bytes"] == sum(size for _, size, *_ in demo["files"].values())
    assert (demo_site / "field-copy.txt").read_text() == demo["version"] + "\n"


def test_all_that_a_page_names_is_listed(demo: dict[str, Any], demo_site: Path) -> None:
    """The demo's pages read by another parser, and its styles, name no file of the site that is not listed."""
    there = {path.relative_to(demo_site).as_posix() for path in demo_site.rglob("*") if path.is_file()}
    listed = set(demo["files"])
    for page in (path for path in listed if path.endswith(".html")):
        tree = html.fromstring((demo_site / page).read_bytes())
        for link in tree.xpath("//@href | //@src"):
            parts = urlsplit(urljoin(f"https://site/{page}", link))
            path = unquote(parts.path[1:])
            path = path if path and not path.endswith("/") else f"{path}index.html"
            within = parts.netloc == "site" and parts.scheme == "https" and not path.startswith(f"{COPIES}/")
            assert not within or path in listed or path not in there, (page, link)
    for sheet in (path for path in listed if path.endswith(".css")):
        for link in re.findall(r"url\([\"']?([^\"')#?]+)", (demo_site / sheet).read_text("utf-8")):
            if not link.startswith("data:"):
                assert urlsplit(urljoin(f"https://site/{sheet}", link)).path[1:] in listed


def test_pages_styles_and_scripts_are_listed_and_what_no_reader_opens_is_not(
    demo: dict[str, Any], demo_site: Path
) -> None:
    listed = set(demo["files"])
    there = {path.relative_to(demo_site).as_posix() for path in demo_site.rglob("*") if path.is_file()}
    assert "search/search_index.json" in listed
    assert any(path.endswith(".jpg") for path in listed)
    left = {path for path in there - listed if Path(path).suffix in KEPT_IN_ANY_CASE}
    copies = {path for path in left if path.startswith(f"{COPIES}/")}
    assert len(copies) > 10, "pages to send are there, and are not kept: they would be a quarter of all"
    left -= copies
    assert {path for path in left if not path.startswith("assets/javascripts/lunr/")} == {"404.html", "field-copy.js"}
    assert not any(path.endswith((".map", ".gz", ".xml")) or path in OURS for path in listed)


def test_the_demo_is_small_enough_to_be_kept_whole(demo: dict[str, Any]) -> None:
    assert demo["whole"] is True
    assert 5_000_000 < demo["bytes"] < WHOLE_BELOW


def test_pages_are_listed_with_their_headings(demo: dict[str, Any], demo_site: Path) -> None:
    page = html.parse(str(demo_site / "rigs" / "curlew-twin.html"))
    heading = page.xpath("//article//h1/text()")[0].strip()
    assert demo["files"]["rigs/curlew-twin.html"][2] == heading
    assert demo["files"]["publishing.html"][2] == "Publishing and handing on"


def test_the_frame_holds_what_every_page_needs_and_the_sections(demo: dict[str, Any]) -> None:
    frame = named(demo, demo["frame"])
    assert {"index.html", "rigs/index.html", "away/index.html", "safety/index.html"} <= frame
    assert {"assets/rigleaf/tokens.css", "assets/rigleaf/field-copy.js", "search/search_index.json"} <= frame
    assert not any(re.match(r"(rigs|parts|targets)/(?!index)", path) for path in frame)


def test_a_rig_takes_along_its_sheets_parts_methods_targets_place_and_journeys(demo: dict[str, Any]) -> None:
    along = named(demo, demo["sets"]["rigs/heron-cabin.html"])
    assert {
        "rigs/heron-cabin.html", "rigs/heron-cabin/card.html", "rigs/heron-cabin/hand-over.html",
        "parts/heron-65.html", "method/image-train.html", "targets/m33.html",
        "places/kranichbrache.html", "trips/february-by-cabin.html", "trips/february-by-cabin/check-in.html",
        "assets/bundles/heron-cabin.bundle.yml",
    } <= along  # fmt: skip
    assert {path for path in along if path.startswith("rigs/") and "heron-cabin" not in path} == set()
    assert set(demo["sets"]) == {path for path in demo["files"] if re.fullmatch(r"rigs/(?!index\.)[^/]+\.html", path)}


def test_files_of_one_rig_go_along_with_no_other(demo: dict[str, Any]) -> None:
    everybodys = named(demo, demo["frame"])
    for page, numbers in demo["sets"].items():
        rig = Path(page).stem
        files = {path for path in named(demo, numbers) if not path.endswith((".html", ".jpg"))}
        assert {
            f"assets/beside/{rig}.js", f"assets/bundles/{rig}.bundle.yml", f"assets/calendars/{rig}.ics"
        } <= files, page  # fmt: skip
        assert {path for path in files if Path(path).name.split(".")[0].rpartition("--")[2] != rig} == set(), page
        assert not files & everybodys
    assert any("mosaics" in path for path in named(demo, demo["sets"]["rigs/bittern-heavy.html"]))


def test_the_work_grows_no_faster_than_the_guide(tmp_path: Path) -> None:
    """Calls are counted and not seconds, which another program's work would spoil."""
    few, twice = (work_on(tmp_path / str(count), count) for count in (40, 80))
    assert twice < 2.15 * few


def work_on(site: Path, count: int) -> int:
    """Return how many calls it takes to list a site of so many rigs, all put together for one target."""
    rigs = [f"rig-{number}" for number in range(count)]
    panels = {rig: f"assets/mosaics/m31--{rig}.csv" for rig in rigs}
    texts = {f"rigs/{rig}.html": "<main><a href='../targets/m31.html'></a></main>" for rig in rigs}
    texts |= {f"rigs/{rig}/card.html": f"<main><a href='../{rig}.html'></a></main>" for rig in rigs}
    links = "".join(f"<a href='../{path}'></a>" for path in panels.values())
    texts["targets/m31.html"] = f"<main>{links}</main>"
    texts |= dict.fromkeys(panels.values(), "panel")
    for name, text in texts.items():
        (site / name).parent.mkdir(parents=True, exist_ok=True)
        (site / name).write_text(text)
    calls = 0

    def seen(_frame: object, event: str, _what: object) -> None:
        nonlocal calls
        calls += event in ("call", "c_call")

    along = {f"rigs/{rig}.html": ["targets/m31.html"] for rig in rigs}
    own = {f"rigs/{rig}.html": [panels[rig]] for rig in rigs}
    before = sys.getprofile()
    sys.setprofile(seen)
    try:
        listing = list_files(site, [], along, own)
    finally:
        sys.setprofile(before)
    assert named(listing, listing["sets"]["rigs/rig-7.html"]) == {
        "rigs/rig-7.html", "rigs/rig-7/card.html", "targets/m31.html", panels["rig-7"],
    }  # fmt: skip
    return calls


def test_two_builds_of_the_same_have_the_same_version_and_list(site: Path, tmp_path: Path) -> None:
    export(read_guide(tmp_path / "guide"), tmp_path / "again")
    assert all((site / name).read_bytes() == (tmp_path / "again" / name).read_bytes() for name in OURS)


@pytest.mark.parametrize("change", ["another byte", "another name", "a new page", "a page less"])
def test_the_version_changes_with_the_content(change: str, site: Path) -> None:
    before = list_files(site, [], {})["version"]
    page = site / "about" / "index.html"
    match change:
        case "another byte":
            page.write_bytes(page.read_bytes().replace(b"About", b"about", 1))
        case "another name":
            page.rename(page.with_name("other.html"))
        case "a new page":
            page.with_name("new.html").write_text("<h1>New</h1>")
        case _:
            page.unlink()
    assert list_files(site, [], {})["version"] != before


def test_the_version_stays_with_what_no_page_needs(site: Path) -> None:
    before = list_files(site, ["index.html"], {})
    for name in ("sitemap.xml", "sitemap.xml.gz", "robots.txt", "assets/x.js.map", "assets/unnamed.pdf"):
        (site / name).write_bytes(b"new")
    assert list_files(site, ["index.html"], {}) == before


def test_a_large_guide_is_not_kept_whole_unless_its_makers_say_so(site: Path) -> None:
    photo = site / "assets" / "large.jpg"
    photo.write_bytes(bytes(WHOLE_BELOW))
    (site / "extra.html").write_text('<h1>Extra</h1><img src="assets/large.jpg" alt="">')
    assert list_files(site, [], {})["whole"] is False
    assert list_files(site, [], {}, whole=True)["whole"] is True
    photo.write_bytes(b"small")
    assert list_files(site, [], {})["whole"] is True
    assert list_files(site, [], {}, whole=False)["whole"] is False


def test_names_with_spaces_and_signs_and_choices_of_pictures_are_found(tmp_path: Path) -> None:
    (tmp_path / "a b").mkdir()
    for name in ("a b/ü #1.png", "one.png", "two.png", "unnamed.png"):
        (tmp_path / name).write_bytes(name.encode())
    (tmp_path / "page.html").write_text(
        "<h1>A &amp; <em>B</em></h1><img src='a%20b/%C3%BC%20%231.png'>"
        "<img src=one.png srcset='one.png 1x, two.png 2x'>"
        "<a href='https://elsewhere.example/unnamed.png'></a><a href='../unnamed.png'></a>",
        encoding="utf-8",
    )
    files = list_files(tmp_path, [], {})["files"]
    assert set(files) == {"a b/ü #1.png", "one.png", "two.png", "page.html"}
    assert files["page.html"][2] == "A & B"


def test_addresses_as_folders_are_followed_too(tmp_path: Path) -> None:
    for name, text in {
        "index.html": "<main><a href='rigs/'></a></main>",
        "rigs/one/index.html": "<main><a href='../../parts/tube/'></a><a href='../two/'></a><a href='../'></a></main>",
        "rigs/one/sheet/index.html": "",
        "rigs/two/index.html": "",
        "rigs/index.html": "",
        "parts/tube/index.html": "<main><img src='../../photo.jpg'></main>",
        "photo.jpg": "x",
    }.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text)
    along: dict[str, list[str]] = {"rigs/one/index.html": [], "rigs/two/index.html": []}
    listing = list_files(tmp_path, ["index.html", "rigs/index.html"], along)
    assert named(listing, listing["sets"]["rigs/one/index.html"]) == {
        "rigs/one/index.html", "rigs/one/sheet/index.html", "parts/tube/index.html", "photo.jpg",
    }  # fmt: skip


def test_the_worker_travels_without_its_comments(site: Path, package: Path) -> None:
    ours = (package / "site" / "worker" / "field-copy.js").read_text("utf-8")
    text = (site / "field-copy.js").read_text("utf-8")
    assert "/*" in ours
    assert "/*" not in text
    assert "addEventListener" in text


def test_a_copy_that_is_withdrawn_leaves_only_the_worker_that_ends_it(site: Path) -> None:
    withdraw_field_copy(site)
    assert {path.name for path in site.iterdir() if path.is_file()} & OURS == {"field-copy.js"}
    assert "unregister" in (site / "field-copy.js").read_text("utf-8")


def test_a_book_says_what_goes_along(tmp_path: Path) -> None:
    catalogue = read_guide(tmp_path / "guide")
    book = make_book(catalogue, Addresses())
    assert book.along == goes_along(catalogue)
    assert AWAY_ADDRESS in {page.address for page in book.pages}
    export(catalogue, tmp_path / "site")
    version = read(tmp_path / "site")["version"]
    assert write_copy_of(book, Addresses(), tmp_path / "site") == version
