"""Readers of what people send: a bundle, a list, a picture."""

import io
from collections.abc import Callable, Iterator
from contextlib import redirect_stdout, suppress
from random import Random
from typing import Any

from PIL import Image

from rigleaf.catalogue.document import read_document
from rigleaf.catalogue.faults import CatalogueError
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.desk.bundle import write_bundle
from rigleaf.desk.errors import DeskError
from rigleaf.desk.handing import take_in
from rigleaf.desk.importing import import_list
from rigleaf.desk.splice import SpliceError, add_fields, append_entries
from rigleaf.site.shelf.photos import PhotoError, clean
from tests.conftest import PROJECT
from tests.hostile.containers import apart, together
from tests.hostile.mutations import gnaw
from tests.hostile.promises import said_well, told_well
from tests.hostile.taken_in import whole_or_untouched
from tests.hostile.trees import change_yaml
from tests.hostile.ways import Way, folder
from tests.site.yaml_guide import write_guide

RIGS = ("milky-way-walk", "balcony-grebe", "workshop-misfits")


def read_bundle(data: bytes) -> None:
    """Take a bundle into an empty guide, or into one that has some of the same ids."""
    with folder() as root:
        (root / "rig.bundle").write_bytes(data)
        guide = root / "guide"
        guide.mkdir()
        if len(data) % 2:
            write_guide(guide)
        try:
            with redirect_stdout(io.StringIO()):
                whole_or_untouched(
                    guide,
                    lambda: take_in(guide, root / "rig.bundle", match=not len(data) % 3, rename=True, yes=True),
                )
        except CatalogueError as error:
            told_well(error.faults, {str(root / "rig.bundle"): data})
        except DeskError as error:
            for line in str(error).splitlines():
                said_well(line)


def _bundles() -> Iterator[bytes]:
    catalogue = read_catalogue(PROJECT / "rigs")
    yield from (write_bundle(catalogue, rig).encode() for rig in RIGS)
    with folder() as root:
        yield write_bundle(read_catalogue(write_guide(root)), "rig").encode()


def read_list(data: bytes) -> None:
    """Import a list, with a mapping if the input has one."""
    files = apart(data)
    with folder() as root:
        guide = root / "guide"
        guide.mkdir()
        if len(data) % 2:
            write_guide(guide)
        (root / "list.csv").write_bytes(files.get("list.csv", data))
        mapping = root / "mapping.yml" if "mapping.yml" in files else None
        if mapping:
            mapping.write_bytes(files["mapping.yml"])
        try:
            whole_or_untouched(guide, lambda: import_list(root / "list.csv", guide, mapping))
        except CatalogueError as error:
            told_well(error.faults, {str(mapping): files["mapping.yml"]} if mapping else {})
        except DeskError as error:
            for line in str(error).splitlines():
                said_well(line)


def change_list(data: bytes, other: bytes, random: Random) -> bytes:
    """Change a list or its mapping."""
    files, more = apart(data), apart(other)
    if "list.csv" not in files:
        return gnaw(data, random)
    rows = files["list.csv"].split(b"\n")
    match random.randrange(4):
        case 0 if "mapping.yml" in files:
            files["mapping.yml"] = change_yaml(files["mapping.yml"], more.get("mapping.yml", b""), random)
        case 1:
            far = more.get("list.csv", b"").split(b"\n")
            rows[random.randrange(len(rows))] = random.choice(far)
        case 2:
            at = random.randrange(len(rows))
            cells, far_cells = rows[at].split(b","), random.choice(rows).split(b",")
            cells[random.randrange(len(cells))] = random.choice(far_cells)
            rows[at] = b",".join(cells)
        case _:
            rows = gnaw(b"\n".join(rows), random).split(b"\n")
    return together(files | {"list.csv": b"\n".join(rows)})


def _lists() -> Iterator[bytes]:
    plain = (
        b"name,kind,mass (g),aperture [mm],focal length,owned\nBlue tube,optic,1200,60,360 mm,1\nLead,cable,30,,,4\n"
    )
    german = 'Name;Art;Gewicht\nRohr;Teleskop;"1,2"\nKabel;Kabel;"0,03"\n'.encode("cp1252")
    mapping = (
        b"decimal: comma\ncolumns:\n  Art: {field: kind, words: {Teleskop: optic, Kabel: cable}}\n"
        b"  Gewicht: {field: mass, unit: kg}\n"
    )
    yield together({"list.csv": plain})
    yield together({"list.csv": plain, "mapping.yml": b"kind: sundry\ncolumns:\n  owned: leave out\n"})
    yield together({"list.csv": german, "mapping.yml": mapping})
    yield b"sep=;\nname;mass\nA;3 kg\n"
    yield "\ufeffname\tmass\nA\t3 kg\n".encode("utf-16")


def read_picture(data: bytes) -> None:
    """Clean a picture and open what comes of it."""
    with folder() as root:
        (root / "photo.jpg").write_bytes(data)
        target = root / f"clean{('.jpg', '.png', '.webp')[len(data) % 3]}"
        try:
            clean(root / "photo.jpg", target)
        except PhotoError as error:
            said_well(str(error))
            return
        with Image.open(target) as image:
            image.load()


_UPSIDE_DOWN = b"Exif\0\0MM\0*\0\0\0\x08\0\1\x01\x12\0\3\0\0\0\1\0\6\0\0\0\0\0\0"
"""What a camera writes into a picture that was taken with the camera turned."""


def _some_pictures() -> Iterator[bytes]:
    for form in ("JPEG", "PNG", "WEBP"):
        for mode in ("RGB", "L", "RGBA", "CMYK", "P", "1", "I;16", "LA"):
            saved = io.BytesIO()
            try:
                Image.new(mode, (9, 7)).save(saved, form, exif=_UPSIDE_DOWN)
            except (OSError, ValueError, KeyError):
                continue
            yield saved.getvalue()


MORE = {"mass": "3 kg", "power": {"idle": "2 W"}, "name": "a: b # c"}


def _names(data: list[Any]) -> list[Any]:
    return [one.get("id") if isinstance(one, dict) else one for one in data]


def splice(data: bytes) -> None:
    """Put an entry behind those of a list, and fields into its first and last, whatever its layout: all stays there."""
    document = read_document("one.yml", data)
    old = document.data
    if document.faults or not isinstance(old, list) or not old:
        return
    ways: tuple[Callable[[], bytes], ...] = (
        lambda: append_entries(data, [{"id": "new", **MORE}]),
        lambda: add_fields(data, {0: MORE}),
        lambda: add_fields(data, {len(old) - 1: {"mass": "3 kg"}}),
    )
    for put_in in ways:
        with suppress(SpliceError):
            found = read_document("one.yml", put_in())
            assert not found.faults
            assert _names(found.data)[: len(old)] == _names(old)


def _layouts() -> Iterator[bytes]:
    yield b"- id: a\n  kind: cable\n- id: b\n  power: {idle: 1 W} # note\n\n# end\n"
    yield b"- {id: a}\r\n- {id: b,\r\n   power: {}}\r\n"
    yield b"  - id: &x a\n    power:\n      idle: 1 W\n  - id: *x\n    name: |\n      text\n\n"
    yield b"[{id: a}, {id: b}]"
    yield b"---\n- id: a\n  'name': >-\n   b\n..."
    yield b"-\n  id: a\n-   id: b\n    mass: {stated: 1 kg,\n      measured: 2 kg}\n"
    yield from (path.read_bytes() for path in sorted((PROJECT / "rigs").rglob("*.yml")) if path.stat().st_size < 4000)


SENT: dict[str, Way] = {
    "splice": Way(splice, _layouts, lambda data, _, random: gnaw(data, random), most=1 << 12),
    "bundle": Way(read_bundle, _bundles, change_yaml),
    "list": Way(read_list, _lists, change_list),
    "picture": Way(read_picture, _some_pictures, seconds=5, most=1 << 13),
}
