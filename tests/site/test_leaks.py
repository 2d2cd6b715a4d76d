"""Nothing of the people and machines that make a site is in it: in pictures, lists, packed files and scripts."""

import getpass
import gzip
import json
import os
import platform
import re
import struct
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import mkdocs
import pytest
from PIL import Image

import rigleaf
from rigleaf.site.shelf.photos import Darkroom

# From memory of the PNG specification (W3C), section 11: what pixels need, and nothing that tells of their making.
PIXELS = {b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND", b"sRGB", b"gAMA", b"cHRM", b"pHYs", b"iCCP"}
# From memory of ITU-T T.81, table B.1: application data, but JFIF and colours, and comments.
TOLD = {0xFE, *range(0xE1, 0xF0)} - {0xE2, 0xEE}


def beside_pixels(content: bytes) -> list[str]:
    """Return what a PNG or JPEG holds besides its pixels; the library that wrote it is not asked."""
    if content.startswith(b"\x89PNG"):
        return sorted(kind.decode("ascii") for kind in chunks(content) if kind not in PIXELS)
    assert content.startswith(b"\xff\xd8"), "neither PNG nor JPEG"
    return [f"{mark:#x}" for mark in segments(content) if mark in TOLD]


def chunks(content: bytes) -> Iterator[bytes]:
    at = 8
    while at < len(content):
        length, kind = struct.unpack(">I4s", content[at : at + 8])
        yield kind
        at += length + 12


def segments(content: bytes) -> Iterator[int]:
    at = 2
    while content[at + 1] != 0xDA:  # from there on come pixels
        yield content[at + 1]
        at += 2 + int.from_bytes(content[at + 2 : at + 4], "big")


def unpacked(site: Path) -> Iterator[tuple[str, bytes]]:
    for path in site.rglob("*"):
        if path.is_file():
            content = path.read_bytes()
            yield path.relative_to(site).as_posix(), gzip.decompress(content) if path.suffix == ".gz" else content


def test_a_picture_that_tells_is_noticed_and_its_copy_tells_nothing(tmp_path: Path) -> None:
    data: Any = Image.Exif()
    data[0x010F], data[0x9286] = "a camera", "a comment"
    data[0x8825] = {1: "N", 2: (50.0, 1.0, 2.0)}
    for name, told in (("a.jpg", ["0xe1"]), ("b.png", ["eXIf"])):
        picture = tmp_path / name
        Image.new("RGB", (40, 30), "red").save(picture, exif=data)
        assert beside_pixels(picture.read_bytes()) == told
        darkroom = Darkroom()
        copy = darkroom.copy(picture).read_bytes()
        assert beside_pixels(copy) == []
        assert b"a camera" not in copy


def test_no_picture_of_the_site_tells_more_than_its_pixels(demo_site: Path) -> None:
    pictures = [(name, content) for name, content in unpacked(demo_site) if name.endswith((".png", ".jpg", ".jpeg"))]
    assert len(pictures) > 15
    assert {name: found for name, content in pictures if (found := beside_pixels(content))} == {}


def test_no_file_tells_where_or_by_whom_it_was_made(demo_site: Path, project: Path) -> None:
    places = {
        project,
        Path.home(),
        demo_site,
        Path(sys.prefix),
        Path(rigleaf.__file__).parent,
        Path(mkdocs.__file__).parent,
    }
    places |= {Path(tempfile.gettempdir()) / "rigleaf", Path.cwd()}
    needles = {os.fsencode(place) for place in places if len(place.parts) > 2}
    # A short name is a word like others; the login of a build machine is often "root".
    needles |= {name.encode() for name in (getpass.getuser(), platform.node()) if len(name) > 6}
    for name, content in unpacked(demo_site):
        assert [needle for needle in needles if needle in content] == [], name


def test_no_file_tells_when_it_was_made(demo_site: Path) -> None:
    clock = re.compile(rb"\b20\d\d-\d\d-\d\dT\d\d:\d\d(:\d\d)?(\.\d+)?(Z|[+-]\d\d:?\d\d)")
    told = {
        name
        for name, content in unpacked(demo_site)
        if name.endswith((".xml", ".gz", ".json")) and clock.search(content)
    }
    assert told == set()


def test_no_map_leads_from_scripts_to_sources(demo_site: Path) -> None:
    assert [name for name, _ in unpacked(demo_site) if name.endswith(".map")] == []


@pytest.mark.parametrize("name", ["search/search_index.json", "field-copy.json", "assets/inventory.json"])
def test_lists_name_no_file_that_is_not_there(demo_site: Path, name: str) -> None:
    listed = json.loads((demo_site / name).read_text("utf-8"))
    if "docs" in listed:
        paths = {doc["location"].partition("#")[0] or "index.html" for doc in listed["docs"]}
    elif "components" in listed:
        paths = {file["name"] for one in listed["components"] for file in one.get("components", ())}
    else:
        paths = set(listed["files"])
    assert [path for path in sorted(paths) if not (demo_site / path).is_file()] == []
