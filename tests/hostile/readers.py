"""Everything that reads what others wrote, as functions of bytes: what `make guided` steers inputs into.

Each has inputs to begin with and a way to change them that gets past its first lines. What a reader raises on purpose
is swallowed here, after a look at how it is told; any other exception is a finding.
"""

import hashlib
import io
import json
import shutil
import tempfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, redirect_stdout, suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

import numpy as np
from PIL import Image

from rigleaf.catalogue.document import read_document
from rigleaf.catalogue.faults import CatalogueError
from rigleaf.catalogue.kept import KeptFiles
from rigleaf.catalogue.models.connections import read_connection
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.desk.bundle import write_bundle
from rigleaf.desk.errors import DeskError
from rigleaf.desk.handing import take_in
from rigleaf.desk.importing import import_list
from rigleaf.engine.inline import Moved, is_of_moved
from rigleaf.engine.ledger import FORM, Ledger, Written
from rigleaf.quantities import DIMENSIONS, QuantityError, Reading, parse_text
from rigleaf.site.book import make_book
from rigleaf.site.leaves.form import DamagedError, Reader, encode
from rigleaf.site.leaves.leaf import Maker, around
from rigleaf.site.link_facts import Facts, facts_of
from rigleaf.site.lent.availability import lending_of
from rigleaf.site.shelf.photos import PhotoError, clean
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.sky import store as sky_store
from tests.chapters.small_guide import PARTS, RIG
from tests.conftest import PROJECT
from tests.faults.cases import BASE, all_cases
from tests.hostile.containers import Files, apart, together
from tests.hostile.mutations import gnaw
from tests.hostile.promises import shown_well, told_well
from tests.hostile.schemas import read_guide, slice_of
from tests.hostile.taken_in import whole_or_untouched
from tests.hostile.trees import change_guide, change_json, change_yaml, dumped
from tests.site.yaml_guide import write_guide

DEMO = PROJECT / "rigs"
FEW = ("milky-way-walk", "balcony-grebe", "heron-eclipse", "workshop-misfits")
"""Rigs of the demo that differ most."""

Change = Callable[[bytes, bytes, Random], bytes]


@dataclass(frozen=True)
class Way:
    """One reader.

    Attributes:
        read: reads bytes; an exception that leaves it is a finding.
        seeds: what it begins with.
        change: makes another input of one, with a second one to take from; None where plain changes of letters do.
        seconds: what one input may take, of the processor.
        most: bytes of the longest input.
    """

    read: Callable[[bytes], None]
    seeds: Callable[[], Iterable[bytes]]
    change: Change | None = None
    seconds: float = 5.0
    most: int = 1 << 16


@contextmanager
def folder() -> Iterator[Path]:
    """A folder for one input, in memory where the system has such a place."""
    fast = Path("/dev/shm")
    with tempfile.TemporaryDirectory(prefix="rigleaf-guided-", dir=fast if fast.is_dir() else None) as name:
        yield Path(name)


@cache
def _pictures() -> Path:
    """A guide's folder that holds nothing but the photos of the demo."""
    root = Path(tempfile.mkdtemp(prefix="rigleaf-guided-"))
    shutil.copytree(DEMO / "photos", root / "photos")
    return root


# Quantities and connections: the first byte says of what kind.


def read_quantity(data: bytes) -> None:
    """Read a quantity of each dimension in turn, or a connection; what comes out is finite and within bounds."""
    kinds = sorted(DIMENSIONS)
    text = data[1:].decode("utf-8", "replace")
    kind = data[0] % (len(kinds) + 1) if data else 0
    try:
        found = parse_text(text, kinds[kind]) if kind < len(kinds) else read_connection(text)
    except ValueError as error:
        assert isinstance(error, QuantityError) or kind == len(kinds), repr(error)
        assert str(error).isprintable(), repr(str(error))
        assert len(str(error)) < 600, str(error)
        return
    if isinstance(found, Reading):
        known = DIMENSIONS[found.dimension]
        lowest = -known.highest if known.lowest is None else known.lowest
        assert lowest <= found.value <= known.highest, repr(found)
        assert found.uncertainty is None or 0 <= found.uncertainty <= known.highest, repr(found)


def _quantities() -> Iterator[bytes]:
    for number, kind in enumerate(sorted(DIMENSIONS)):
        example = DIMENSIONS[kind].example
        yield bytes([number]) + example.encode()
        yield bytes([number]) + f"{example} +- 5 %".encode()
        yield bytes([number]) + f"{example} ± 1e-1 {DIMENSIONS[kind].unit}".encode()
    for one in ("M48 x 0.75 female", "2 in barrel male", "bayonet B54 female", "3/8-16 UNC male", "44 mm dovetail"):
        yield bytes([len(DIMENSIONS)]) + one.encode()


# One YAML file, and a whole guide.


def read_yaml(data: bytes) -> None:
    """Read one file: whatever is wrong with it is told."""
    document = read_document("one.yml", data)
    if document.faults:
        told_well(sorted({*document.faults}), {"one.yml": data})
    assert document.whole or document.faults
    for mark in document.values.values():
        assert min(mark) >= 1


def _files() -> Iterator[bytes]:
    yield from (path.read_bytes() for path in sorted(DEMO.rglob("*.yml")) if path.stat().st_size < 4000)
    for case in all_cases().values():
        yield from (_bytes_of(given) for given in case.files.values() if len(_bytes_of(given)) < 4000)


def _bytes_of(given: object) -> bytes:
    if isinstance(given, dict):
        return bytes.fromhex(given.get("bytes", ""))
    return str(given).encode()


KEPT = KeptFiles()


def read_guide_anew(data: bytes) -> None:
    """Read a guide twice, with nothing kept and with what earlier ones have left: both say the same."""
    files = apart(data)
    ends = []
    for kept in (None, KEPT):
        try:
            ends.append((read_catalogue(_pictures(), files, kept), ()))
        except CatalogueError as error:
            told_well(error.faults, files)
            ends.append((None, error.faults))
    assert ends[0] == ends[1], "what was kept changes what is read"


@cache
def _small_guides() -> tuple[Files, ...]:
    demo = read_guide(DEMO)
    found = [{name: dumped(data) for name, data in slice_of(demo, (rig,)).items()} for rig in FEW]
    trip = "eclipse-for-two"
    with_trip = slice_of(demo, tuple(demo[f"trips/{trip}.yml"]["rigs"]), (trip,))
    found.append({name: dumped(data) for name, data in with_trip.items()})
    with folder() as root:
        found.append(_contents(write_guide(root)))
    return tuple(found)


def _contents(root: Path) -> Files:
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in sorted(root.rglob("*.yml"))}


def _guides() -> Iterator[bytes]:
    yield from map(together, _small_guides())
    base = _contents(BASE)
    for case in all_cases().values():
        files = dict(base) if case.base else {}
        for name, words in case.change.items():
            for old, new in words.items():
                files[name] = files[name].replace(old.encode(), new.encode())
        files |= {name: _bytes_of(given) for name, given in case.files.items()}
        if len(found := together(files)) < 1 << 15:
            yield found


# What is made of a guide that holds.


def make_pages(data: bytes) -> None:
    """Make the book of a guide, and hand its first rig on to a guide that has nothing yet."""
    files = apart(data)
    with folder() as root:
        shutil.copytree(_pictures() / "photos", root / "photos")
        for name, content in files.items():
            (root / name).parent.mkdir(exist_ok=True)
            (root / name).write_bytes(content)
        try:
            catalogue = read_catalogue(root)
        except CatalogueError as error:
            told_well(error.faults, files)
            return
        shown_well(make_book(catalogue, Addresses(False)), data.decode("utf-8", "replace"))
        if catalogue.rigs:
            (root / "rig.bundle").write_text(write_bundle(catalogue, next(iter(catalogue.rigs))), encoding="utf-8")
            (root / "other").mkdir()
            take_in(root / "other", root / "rig.bundle", yes=True)


# What people send: a bundle, a list, a picture.


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
            assert str(error)


def _bundles() -> Iterator[bytes]:
    catalogue = read_catalogue(DEMO)
    yield from (write_bundle(catalogue, rig).encode() for rig in FEW)
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
            assert str(error)


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
    plain = b"name,kind,mass (g),aperture [mm],focal length,owned\nBlue tube,optic,1200,60,360 mm,1\nLead,cable,30,,,4\n"
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
            assert str(error)
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


# What a build has left beside the guide. The digest before it is reckoned anew, so that the reading gets behind it.


@cache
def _leaf() -> tuple[Reader, bytes]:
    with folder() as root:
        catalogue = read_catalogue(write_guide(root))
        given = around(catalogue, Addresses(False), lending_of(catalogue), field_copy=True)
        return Reader(catalogue), encode(Maker(given).make("rig"), "key")[32:]


def _under_digest(body: bytes) -> bytes:
    return hashlib.sha256(body).digest() + body


def read_leaf(data: bytes) -> None:
    """Read a leaf whose digest holds, whatever it says."""
    with suppress(DamagedError):
        _leaf()[0].decode(_under_digest(data), "key")


def change_leaf(data: bytes, _other: bytes, random: Random) -> bytes:
    """Change the head of a leaf, and keep its texts behind it."""
    end = 8 + int.from_bytes(data[:8], "big")
    try:
        plain = zlib.decompressobj().decompress(data[8:end], 1 << 20)
        head = zlib.compress(change_json(json.loads(plain), json.loads(plain), random), 1)
    except (zlib.error, ValueError, RecursionError):
        return gnaw(data, random)
    return b"".join((len(head).to_bytes(8, "big"), head, data[end:]))


def read_ledger(data: bytes) -> None:
    """Read a ledger whose digest holds, whatever it says: no file would be written elsewhere than where such files stand."""
    ledger = Ledger.decoded(_under_digest(data))
    used = {name for page in ledger.pages.values() for name in page.moved}
    assert used <= {*ledger.moved}
    assert all(map(is_of_moved, ledger.moved))


def change_ledger(data: bytes, _other: bytes, random: Random) -> bytes:
    """Change the head of a ledger."""
    end = 8 + int.from_bytes(data[:8], "big")
    try:
        head = change_json(json.loads(data[8:end]), {"form": FORM}, random)
    except (ValueError, RecursionError):
        return gnaw(data, random)
    return b"".join((len(head).to_bytes(8, "big"), head, data[end:]))


def _ledgers() -> Iterator[bytes]:
    script = "assets/rigleaf/inline/0123456789ab.js"
    pages = {f"{name}.html": Written("key", (1, 2, 3), (script,) * number, b"facts") for number, name in enumerate("ab")}
    yield Ledger(pages, {script: b"let a"}).encoded()[32:]
    yield Ledger().encoded()[32:]


def read_arrays(data: bytes) -> None:
    """Read a file of reckoned arrays, with a digest that holds or with that of its own."""
    for raw in (data, _under_digest(data)):
        with folder() as root:
            (root / "a").write_bytes(raw)
            found = sky_store.read(root / "a", {"a": (2, 3), "b": (4,)})
        assert found is None or {name: one.shape for name, one in found.items()} == {"a": (2, 3), "b": (4,)}


def _arrays() -> Iterator[bytes]:
    with folder() as root:
        sky_store.write(root / "a", {"a": np.ones((2, 3)), "b": np.arange(4.0)})
        whole = (root / "a").read_bytes()
    yield from (whole, whole[32:])


# Pages that people write by hand, and files beside them.


def read_markup(data: bytes) -> None:
    """Look for the links of a page, a drawing or a sheet, and take scripts and styles out of it."""
    ending = (".html", ".svg", ".css")[data[0] % 3 if data else 0]
    facts = facts_of(f"a/b{ending}", data[1:])
    assert facts is not None
    assert Facts.unpacked(facts.packed()) == facts
    moved = Moved()
    moved.out_of(data[1:].decode("utf-8", "replace"), "../", "a")
    assert all(isinstance(content, bytes) for content in moved.files.values())


def _markup() -> Iterator[bytes]:
    page = (
        "<!doctype html><html><head><title>A</title><style>a{background:url(b.png)}</style></head><body onload=a()>"
        "<h1 id=a style='color:red'>A</h1><a href='../c.html#d' name=e>f</a><img srcset='a.png 1x, b.png 2x'>"
        "<script>let a</script><svg><use xlink:href='#a'/></svg><meta http-equiv=refresh content='0;url=a.html'></body>"
    )
    drawing = "<?xml-stylesheet href='a.css'?><svg xmlns='http://www.w3.org/2000/svg'><a href='b'/><g fill='url(#a)'/></svg>"
    sheet = "@import 'a.css';a{background:url( \"b.png\" )}/* c */@font-face{src:url(c.woff2)}"
    yield from (bytes([number]) + text.encode() for number, text in enumerate((page, drawing, sheet)))


def _small_pages() -> Iterator[bytes]:
    """Guides of one rig each, with parts as they are and with some of them left out."""
    yield from map(together, _small_guides())
    for part in PARTS:
        rig = {key: value for key, value in RIG.items() if part not in str(value)}
        with folder() as root:
            yield together(_contents(write_guide(root, rigs=[{**rig, "train": RIG["train"]}])))


WAYS: dict[str, Way] = {
    "quantity": Way(read_quantity, _quantities, seconds=2, most=200),
    "yaml": Way(read_yaml, _files, seconds=2, most=1 << 13),
    "guide": Way(read_guide_anew, _guides, change_guide),
    "pages": Way(make_pages, _small_pages, change_guide, seconds=20),
    "bundle": Way(read_bundle, _bundles, change_yaml),
    "list": Way(read_list, _lists, change_list),
    "picture": Way(read_picture, _some_pictures, seconds=5, most=1 << 13),
    "leaf": Way(read_leaf, lambda: [_leaf()[1]], change_leaf, most=1 << 19),
    "ledger": Way(read_ledger, _ledgers, change_ledger, seconds=2),
    "arrays": Way(read_arrays, _arrays, seconds=2, most=1 << 12),
    "markup": Way(read_markup, _markup, seconds=2, most=1 << 12),
}
"""Every reader by the name that `make guided ARGS='--only NAME'` takes."""
