"""Photos: clean, upright, small, the same every time; a broken one is a fault with a place."""

import os
from pathlib import Path

import pytest
from lxml import html
from PIL import Image, ImageCms

from rigleaf.catalogue.faults import CatalogueError
from rigleaf.cli import main
from rigleaf.site.export import export
from rigleaf.site.shelf.photos import LONGEST_SIDE, Darkroom, PhotoError, check_photos, clean, photos
from tests.chapters.small_guide import Data
from tests.site.pictures import TRACE, picture
from tests.site.yaml_guide import read_guide, write_guide

ENDINGS = (".jpg", ".JPEG", ".png", ".webp")


def shelf(*names: str) -> dict[str, Data]:
    return {f"tube-{n}": {"kind": "optic", "name": f"Tube {n}", "photo": name} for n, name in enumerate(names)}


@pytest.mark.parametrize("ending", ENDINGS)
def test_nothing_of_a_picture_is_kept_but_its_pixels(ending: str, tmp_path: Path) -> None:
    target = tmp_path / f"clean{ending.lower()}"
    clean(picture(tmp_path / f"taken{ending}"), target)
    assert TRACE.encode() not in target.read_bytes()
    with Image.open(target) as image:
        assert dict(image.getexif()) == {}
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression",
                                   "loop", "background", "timestamp", "duration"}  # fmt: skip
        assert image.size == (60, 40)


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_picture_that_was_written_lying_stands(ending: str, tmp_path: Path) -> None:
    target = tmp_path / f"clean{ending.lower()}"
    clean(picture(tmp_path / f"taken{ending}", lying=True), target)
    with Image.open(target) as image:
        assert image.size == (40, 60)
        upright = image.convert("RGB")
    above, below = upright.getpixel((20, 10)), upright.getpixel((20, 50))
    assert isinstance(above, tuple)
    assert isinstance(below, tuple)
    assert above[0] > above[2]  # what was left is above now: a quarter turn clockwise
    assert below[2] > below[0]


@pytest.mark.parametrize(("width", "height", "size"), [(3200, 1000, (1600, 500)), (500, 4000, (200, 1600))])
def test_a_large_picture_is_shrunk(width: int, height: int, size: tuple[int, int], tmp_path: Path) -> None:
    clean(picture(tmp_path / "taken.jpg", width, height), tmp_path / "clean.jpg")
    with Image.open(tmp_path / "clean.jpg") as image:
        assert image.size == size
        assert max(size) == LONGEST_SIDE


@pytest.mark.parametrize("mode", ["1", "L", "P", "RGBA", "CMYK"])
def test_every_sort_of_pixel_can_be_shown(mode: str, tmp_path: Path) -> None:
    ending = ".jpg" if mode == "CMYK" else ".png"
    clean(picture(tmp_path / f"taken{ending}", mode=mode), tmp_path / f"clean{ending}")
    with Image.open(tmp_path / f"clean{ending}") as image:
        assert image.mode in {"L", "RGB", "RGBA"}


def test_sixteen_bits_keep_their_shades(tmp_path: Path) -> None:
    Image.new("I;16", (4, 4), 128 * 256).save(tmp_path / "taken.png")
    clean(tmp_path / "taken.png", tmp_path / "clean.png")
    with Image.open(tmp_path / "clean.png") as image:
        assert (image.mode, image.getpixel((0, 0))) == ("L", 128)


def test_colours_survive_the_loss_of_their_profile(tmp_path: Path) -> None:
    """A picture in another colour space is turned to sRGB, in which browsers show what says nothing."""
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    image = Image.new("RGB", (4, 4), (10, 200, 90))
    image.save(tmp_path / "taken.png", icc_profile=lab)
    clean(tmp_path / "taken.png", tmp_path / "clean.png")
    image.save(tmp_path / "odd.png", icc_profile=b"no profile at all")
    clean(tmp_path / "odd.png", tmp_path / "odd-clean.png")
    for name in ("clean.png", "odd-clean.png"):
        with Image.open(tmp_path / name) as found:
            assert "icc_profile" not in found.info
            pixel = found.getpixel((0, 0))
            assert isinstance(pixel, tuple)
            assert max(abs(one - other) for one, other in zip(pixel, (10, 200, 90), strict=True)) <= 1


def test_the_same_picture_gives_the_same_bytes(tmp_path: Path) -> None:
    for ending in ENDINGS:
        taken = picture(tmp_path / f"taken{ending}", 300, 200)
        for name in ("one", "two"):
            clean(taken, tmp_path / f"{name}{ending.lower()}")
        os.utime(taken, (0, 0))
        clean(taken, tmp_path / f"three{ending.lower()}")
        assert len({(tmp_path / f"{name}{ending.lower()}").read_bytes() for name in ("one", "two", "three")}) == 1


def no_picture(path: Path) -> None:
    path.write_text("not a picture")


def cut_off(path: Path) -> None:
    picture(path, 400, 300)
    path.write_bytes(path.read_bytes()[:-400])


def too_large(path: Path) -> None:
    Image.new("1", (20_000, 10_000)).save(path, "PNG")


BROKEN = [
    (no_picture, "is no JPEG, PNG or WebP picture; save it as one"),
    (cut_off, "is broken or cut off; copy it anew"),
    (too_large, "has too many pixels; shrink it"),
]


@pytest.mark.parametrize(("spoil", "words"), BROKEN)
def test_a_broken_picture_is_a_fault_that_names_file_and_part(spoil: object, words: str, tmp_path: Path) -> None:
    assert callable(spoil)
    root = tmp_path / "guide"
    root.mkdir()
    spoil(root / "a.jpg")
    catalogue = read_guide(root, shelf=shelf("a.jpg"), rigs=[])
    for look in (check_photos, Darkroom().develop):
        with pytest.raises(CatalogueError) as caught:
            look(catalogue)
        assert str(caught.value) == f"parts/shelf.yml:1:1: the photo 'a.jpg' of 'tube-0' {words}"


def test_all_broken_pictures_are_told_and_an_export_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    root = tmp_path / "guide"
    root.mkdir()
    for name in ("a.jpg", "b.png"):
        no_picture(root / name)
    write_guide(root, shelf=shelf("a.jpg", "b.png"), rigs=[])
    for words in (["check", str(root)], ["export", str(tmp_path / "pages"), "--dir", str(root)]):
        assert main(words) == 1
        said = capsys.readouterr().err
        assert "the photo 'a.jpg'" in said
        assert "the photo 'b.png'" in said
    assert not (tmp_path / "pages").exists()


def test_two_spellings_of_one_path_make_one_picture(tmp_path: Path) -> None:
    root = tmp_path / "guide"
    picture(root / "up" / "tube.png")
    spellings = ("up/tube.png", "./up/tube.png", "up/../up//tube.png", f"../{root.name}/up/tube.png", "link.png")
    (root / "link.png").symlink_to("up/tube.png")
    catalogue = read_guide(root, shelf=shelf(*spellings), rigs=[])
    assert [photo.path for photo in photos(catalogue)] == ["assets/photos/up/tube.png"]
    export(catalogue, tmp_path / "pages")
    assert len(list((tmp_path / "pages").rglob("*.png"))) == 1
    for number in range(len(spellings)):
        page = html.parse(str(tmp_path / "pages" / "parts" / f"tube-{number}.html"))
        assert page.xpath("//main//img/@src") == ["../assets/photos/up/tube.png"]


def test_a_darkroom_works_once_a_picture_and_leaves_nothing_behind(tmp_path: Path) -> None:
    taken = picture(tmp_path / "taken.png")
    darkroom = Darkroom()
    first = darkroom.copy(taken)
    made = first.stat().st_mtime_ns
    assert darkroom.copy(taken) == first
    assert first.stat().st_mtime_ns == made
    picture(taken, 80, 80)
    second = darkroom.copy(taken)
    assert second != first
    with Image.open(second) as image:
        assert image.size == (80, 80)
    folder = first.parent
    del darkroom
    assert not folder.exists()


def test_what_a_darkroom_makes_within_a_folder_goes_with_that(tmp_path: Path) -> None:
    """It may be made by a copy of the process, whose end takes nothing from others."""
    darkroom = Darkroom(tmp_path / "work")
    (tmp_path / "work").mkdir()
    made = darkroom.copy(picture(tmp_path / "taken.png"))
    del darkroom
    assert made.is_relative_to(tmp_path / "work")
    assert made.exists()


def test_a_darkroom_says_what_is_wrong(tmp_path: Path) -> None:
    no_picture(tmp_path / "a.png")
    with pytest.raises(PhotoError, match="is no JPEG, PNG or WebP picture"):
        Darkroom().copy(tmp_path / "a.png")
