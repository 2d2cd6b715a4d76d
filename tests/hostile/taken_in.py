"""Harm done to what comes from elsewhere: a bundle, a list with its mapping, a picture. The same seed does the same."""

import csv
import io
from collections.abc import Callable
from pathlib import Path
from random import Random

from PIL import Image

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.desk.bundle import write_bundle
from rigleaf.desk.handing import take_in
from rigleaf.desk.importing import import_list
from rigleaf.site.shelf.photos import clean
from tests.hostile.mutations import NUMBERS, gnaw, number

CELLS = (
    *NUMBERS, "", " ", "=1+1", "1,5", "1.234,5", "1\u202f234", "3 kg", "3 kp", "300 x 200 x 100 mm", "x" * 5000, "\x00",
    "\u202e", "<script>alert(1)</script>", "'; --", "../../etc/passwd", "optic", "camera", "nothing", "yes",
    "\n\n- id: x",
)  # fmt: skip
HEADERS = (
    "kind", "mass", "mass (g)", "aperture [mm]", "focal length", "id", "owned", "serial", "notes", "sensor.pixel",
    "photo", "__class__", "", "mass", "size", "name",
)  # fmt: skip
MARK = b"<script>alert(1)</script>"
"""Hung onto pictures: no cleaned one may hold it."""


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file of a folder."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def whole_or_untouched(guide: Path, act: Callable[[], object]) -> str:
    """Do something that writes into a guide: afterwards it reads without faults, or nothing of it has changed."""
    before = contents(guide)
    try:
        act()
    except BaseException:
        if contents(guide) != before:
            raise AssertionError("refused, yet something was written") from None
        raise
    assert before.items() <= contents(guide).items(), "something that stood there is gone"
    return f"{len(read_catalogue(guide).parts)} parts"


def harm_bundle(demo: Path, random: Random, folder: Path) -> list[str]:
    """Gnaw at the bundle of a rig, or change one number in it."""
    rig = random.choice(("milky-way-walk", "heron-cabin", "workshop-misfits"))
    text = write_bundle(read_catalogue(demo), rig).encode()
    (folder / "rig.bundle.yml").write_bytes(random.choice((gnaw, number))(text, random))
    return [rig]


def take_bundle(folder: Path) -> str:
    """Take a bundle into an empty guide."""
    guide = folder / "guide"
    guide.mkdir(exist_ok=True)
    return whole_or_untouched(guide, lambda: take_in(guide, folder / "rig.bundle.yml", rename=True, yes=True))


def harm_list(_demo: Path, random: Random, folder: Path) -> list[str]:
    """Make up a list and what its columns mean, and gnaw at one of them or at neither."""
    headers = ["name", *(random.choice(HEADERS) for _ in range(random.randint(0, 7)))]
    made = io.StringIO()
    rows = csv.writer(made, delimiter=random.choice(",;\t|"))
    rows.writerow(headers)
    rows.writerows(
        [f"Part {number}", *(random.choice(CELLS) for _ in headers[1:])] for number in range(random.randint(1, 12))
    )
    raw = made.getvalue().encode("utf-8", "replace")
    fields = ("kind", "mass", "leave out", "sensor.pixel", "{field: mass, unit: g}", "x", "[", "{words: 3}")
    named = dict.fromkeys(header for header in headers[1:] if header)
    meant = "".join(f"  {header}: {random.choice(fields[: 5 if random.random() < 0.8 else 8])}\n" for header in named)
    mapping = f"kind: {random.choice(('sundry', 'camera', 'optic'))}\n{'columns:' * bool(named)}\n{meant}".encode()
    victim = random.choice(("list", "mapping", "neither", "neither"))
    (folder / "list.csv").write_bytes(gnaw(raw, random) if victim == "list" else raw)
    (folder / "mapping.yml").write_bytes(gnaw(mapping, random) if victim == "mapping" else mapping)
    return [repr(raw)[:300], repr(mapping)[:300], victim]


def take_list(folder: Path) -> str:
    """Take a list into an empty guide, by its headers and by the mapping."""
    guide = folder / "guide"
    guide.mkdir(exist_ok=True)
    return whole_or_untouched(guide, lambda: import_list(folder / "list.csv", guide, folder / "mapping.yml"))


def harm_picture(_demo: Path, random: Random, folder: Path) -> list[str]:
    """Save a picture in one of the forms, gnaw at it, and hang something onto it."""
    form = random.choice(("JPEG", "PNG", "WEBP"))
    size = (random.choice((1, 2, 300, 1601)), random.choice((1, 7, 200)))
    mode = random.choice(("RGB", "L"))
    saved = io.BytesIO()
    Image.frombytes(mode, size, random.randbytes(size[0] * size[1] * len(mode))).save(
        saved, form, comment=MARK, exif=b"Exif\0\0" + MARK
    )
    raw = saved.getvalue()
    if random.random() < 0.8:
        raw = gnaw(raw, random)
    ending = random.choice((".jpg", ".png", ".webp"))
    (folder / f"photo{ending}").write_bytes(raw + random.choice((b"", MARK, MARK * 1000)))
    return [f"{form} {size} {mode} as {ending}"]


def take_picture(folder: Path) -> str:
    """Clean a picture: what comes of it can be opened and holds nothing that was hung onto it."""
    (source,) = folder.glob("photo.*")
    target = folder / f"clean{source.suffix}"
    clean(source, target)
    assert MARK not in target.read_bytes(), "something of the file came along"
    with Image.open(target) as image:
        image.load()
        return f"{image.size}"


TAKEN: dict[str, tuple[Callable[[Path, Random, Path], list[str]], Callable[[Path], str]]] = {
    "bundle": (harm_bundle, take_bundle),
    "list": (harm_list, take_list),
    "picture": (harm_picture, take_picture),
}
"""How each is harmed, and how it is taken in."""
