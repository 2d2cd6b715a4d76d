"""What comes from elsewhere is taken in whole or refused whole. The long form is `make fuzz`."""

import struct
import zlib
from pathlib import Path
from random import Random

import pytest
from PIL import Image

from rigleaf.catalogue.faults import CatalogueError
from rigleaf.desk.errors import DeskError
from rigleaf.site.shelf.photos import PhotoError, clean
from tests.conftest import PROJECT
from tests.hostile.taken_in import MARK, TAKEN

CASES = {"bundle": 5, "list": 25, "picture": 60}


@pytest.mark.parametrize("way", TAKEN)
def test_it_is_taken_in_whole_or_refused_whole(way: str, tmp_path: Path) -> None:
    harm, take = TAKEN[way]
    ended = {True: 0, False: 0}
    for seed in range(CASES[way]):
        folder = tmp_path / str(seed)
        folder.mkdir()
        harm(PROJECT / "rigs", Random(seed), folder)  # noqa: S311 - the same seed does the same
        try:
            take(folder)
        except (CatalogueError, DeskError, PhotoError):
            ended[False] += 1
        else:
            ended[True] += 1
    assert min(ended.values()) > 0, "both ends are met"


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(*chunks: bytes, width: int = 1, height: int = 1) -> bytes:
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    pixels = chunk(b"IDAT", zlib.compress(b"\0\0"))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(chunks) + pixels + chunk(b"IEND", b"")


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
PICTURES = {
    "a drawing with a script, called a picture": (SVG, "is no JPEG, PNG or WebP picture; save it as one"),
    "a page, called a picture": (b"<!doctype html>" + MARK, "is no JPEG, PNG or WebP picture; save it as one"),
    "four thousand million pixels in a hundred bytes": (
        png(width=65_000, height=65_000),
        "has too many pixels; shrink it",
    ),
    "a thousand times as much text as the file is long": (
        png(chunk(b"zTXt", b"Comment\0\0" + zlib.compress(bytes(20_000_000), 9))),
        "is broken or cut off; copy it anew",
    ),
    "the beginning of one": (png(width=9, height=9)[:-20], "is broken or cut off; copy it anew"),
}


@pytest.mark.parametrize("case", PICTURES)
def test_pictures_made_to_do_harm_are_refused_in_a_sentence(case: str, tmp_path: Path) -> None:
    raw, words = PICTURES[case]
    (tmp_path / "photo.png").write_bytes(raw)
    with pytest.raises(PhotoError) as caught:
        clean(tmp_path / "photo.png", tmp_path / "clean.png")
    assert str(caught.value) == words
    assert not (tmp_path / "clean.png").exists()


def test_of_a_picture_that_is_a_page_as_well_only_the_picture_is_kept(tmp_path: Path) -> None:
    note = chunk(b"tEXt", b"Comment\0" + MARK)
    (tmp_path / "photo.png").write_bytes(png(note) + MARK + b"PK\x03\x04")
    clean(tmp_path / "photo.png", tmp_path / "clean.png")
    with Image.open(tmp_path / "clean.png") as image:
        assert image.size == (1, 1)
    kept = (tmp_path / "clean.png").read_bytes()
    assert MARK not in kept
    assert kept.endswith(chunk(b"IEND", b""))
