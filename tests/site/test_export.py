"""The export: the same pages without MkDocs, whole and joined, in a folder of their own."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
import yaml
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.site.book import Book, make_book
from rigleaf.site.export import Form, export
from rigleaf.site.links import check_site
from rigleaf.site.record import PageRecord
from rigleaf.site.typeset.addresses import Addresses
from tests.site.pictures import TRACE, picture
from tests.site.yaml_guide import read_guide

ExportedAs = Callable[[Form], Path]


@pytest.fixture(scope="module")
def pages(demo_book: Book) -> Sequence[PageRecord]:
    return demo_book.pages


def names(folder: Path, ending: str) -> set[str]:
    """The pages in a folder; files that they offer stand among the assets, and what hosts show for a page is none."""
    found = {path.relative_to(folder).with_suffix("").as_posix() for path in folder.rglob(f"*{ending}")}
    return {name for name in found if not name.startswith("assets/")} - {"404"}


def test_the_export_has_the_pages_that_mkdocs_builds(exported_as: ExportedAs, demo_site: Path, project: Path) -> None:
    by_hand = {
        path.relative_to(project / "docs").with_suffix("").as_posix() for path in (project / "docs").rglob("*.md")
    }
    built = names(demo_site, ".html")
    for form, ending in (("html", ".html"), ("markdown", ".md")):
        assert names(exported_as(form), ending) == built - by_hand  # type: ignore[arg-type]
    assert len(built - by_hand) > 200


def test_the_articles_are_those_of_the_built_site(exported_as: ExportedAs, demo_site: Path) -> None:
    folder = exported_as("html")
    for name in ("rigs/curlew-twin", "parts/curlew-80", "shelf/optic", "method/scale-and-field", "index"):
        ours, theirs = (html.parse(str(root / f"{name}.html")).getroot() for root in (folder, demo_site))
        for lines in (*ours.xpath("//pre"), *theirs.xpath("//pre")):  # for a chat: only the site knows its address
            lines.drop_tree()
        article = [
            " ".join(root.xpath(path)[0].text_content().split())
            for root, path in ((ours, "//main"), (theirs, "//article"))
        ]
        assert article[0] in article[1], name


def test_every_link_of_the_export_leads_somewhere_and_nothing_is_asked_of_another_host(exported_as: ExportedAs) -> None:
    assert check_site(exported_as("html")) == []


def test_each_page_names_its_section_as_the_one_that_is_shown(exported_as: ExportedAs) -> None:
    folder = exported_as("html")
    current = html.parse(str(folder / "rigs" / "index.html")).xpath("//nav//a[@aria-current='page']")
    assert [link.text for link in current] == ["Find a rig"]


def test_front_matter_is_sound_yaml_with_title_and_description(demo: Catalogue, exported_as: ExportedAs) -> None:
    folder = exported_as("markdown")
    for page in make_book(demo, Addresses(folders=False), field_copy=False).pages:
        head, _, body = (folder / f"{page.address}.md").read_text("utf-8").removeprefix("---\n").partition("\n---\n")
        assert yaml.safe_load(head) == {"title": page.title, "description": page.description}
        assert (
            html.fromstring(f"<main>{body}</main>").text_content().split()
            == html.fromstring(f"<main>{page.html}</main>").text_content().split()
        )


def test_markdown_finds_no_end_of_the_html_in_the_middle_of_a_page(exported_as: ExportedAs) -> None:
    folder = exported_as("markdown")
    for path in folder.rglob("*.md"):
        body = path.read_text("utf-8").partition("\n---\n")[2].strip("\n")
        assert "\n\n" not in body, path.name
        assert body.startswith("<"), path.name


@pytest.mark.parametrize("form", ["html", "markdown"])
def test_two_exports_are_the_same_to_the_byte(form: Any, tmp_path: Path) -> None:
    guide = read_guide(tmp_path / "guide")
    for name in ("one", "two"):
        export(guide, tmp_path / name, form)
    one, two = (
        {p.relative_to(tmp_path / n): p.read_bytes() for p in (tmp_path / n).rglob("*") if p.is_file()}
        for n in ("one", "two")
    )
    assert one == two


def test_a_folder_that_holds_something_is_refused_and_left_alone(tmp_path: Path) -> None:
    guide = read_guide(tmp_path / "guide")
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("dear")
    (tmp_path / "file").write_text("x")
    for target in ("mine", "file"):
        with pytest.raises(FileExistsError, match=r"is not an empty folder; name another, or empty it"):
            export(guide, tmp_path / target)
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["letter.txt"]


def test_an_empty_folder_will_do_and_one_that_is_not_there_is_made(tmp_path: Path) -> None:
    guide = read_guide(tmp_path / "guide")
    (tmp_path / "empty").mkdir()
    assert export(guide, tmp_path / "empty") == export(guide, tmp_path / "deep" / "down")


@pytest.mark.parametrize("photo", ["tube.png", "a folder/tube #1 (50% off) & more?.png", "über.png", "up/../tube.png"])
def test_photos_travel_along_whatever_they_are_called(photo: str, tmp_path: Path) -> None:
    root = tmp_path / "guide"
    (root / "up").mkdir(parents=True)
    (root / photo).parent.mkdir(parents=True, exist_ok=True)
    picture(root / photo)
    shelf = {"tube": {"kind": "optic", "name": "Tube", "photo": photo}}
    export(read_guide(root, shelf=shelf, rigs=[]), tmp_path / "pages")
    assert check_site(tmp_path / "pages") == []
    (image,) = html.parse(str(tmp_path / "pages" / "parts" / "tube.html")).xpath("//main//img")
    assert image.get("alt") == "Tube"
    (shown,) = (tmp_path / "pages").rglob("*.png")
    assert TRACE.encode() not in shown.read_bytes()


def test_no_photo_leads_out_of_the_folder(tmp_path: Path) -> None:
    root = tmp_path / "guide"
    root.mkdir()
    picture(root / "tube.png")
    winding = "/".join([".."] * 2) + f"/{tmp_path.name}/guide/tube.png"
    assert (root / winding).exists()
    shelf = {"tube": {"kind": "optic", "name": "Tube", "photo": winding}}
    export(read_guide(root, shelf=shelf, rigs=[]), tmp_path / "pages")
    written = set(tmp_path.rglob("*.png"))
    assert len(written) == 2
    assert all(path.is_relative_to(tmp_path / "pages" / "assets" / "photos") for path in written - {root / "tube.png"})


def test_an_export_that_breaks_off_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(path: Path, _: bytes) -> None:
        raise OSError(28, "No space left on device", str(path))

    catalogue = read_guide(tmp_path / "guide")
    (tmp_path / "out").mkdir()
    monkeypatch.setattr("rigleaf.site.export.write", full)
    with pytest.raises(OSError, match="No space left"):
        export(catalogue, tmp_path / "out" / "new")
    assert list((tmp_path / "out").iterdir()) == []
