"""The files of a guide: which there are, which are read, and that none lies outside the folder."""

import os
from collections.abc import Iterator
from pathlib import Path

from rigleaf.catalogue.document import MOST_BYTES
from rigleaf.catalogue.faults import Fault
from rigleaf.nearest import nearest
from rigleaf.quantities import short

GUIDE, PLACES, TARGETS, PARTS = "guide.yml", "places.yml", "targets.yml", "parts"
SCHEMA = "schema"
PHOTO_ENDINGS = (".jpg", ".jpeg", ".png", ".webp")
YAML_ENDINGS = (".yml", ".yaml")

_MOST_PHOTOS = 5000


def find_root(folder: Path) -> Path:
    """Return the folder that holds the YAML: ``folder`` itself, or its ``rigs`` folder if it has one.

    Raises:
        FileNotFoundError: when there is no such folder.
    """
    if not folder.is_dir():
        raise FileNotFoundError(f"there is no folder '{folder}'")
    inner = folder / "rigs"
    holds_yaml = (folder / PARTS).is_dir() or (folder / GUIDE).is_file()
    return inner if inner.is_dir() and not holds_yaml else folder


def yaml_files(root: Path, faults: list[Fault]) -> Iterator[tuple[str, Path]]:
    """Yield name and path of every YAML file that a guide reads, in a stable order.

    Names are relative to ``root`` with forward slashes. Files that a guide does not read, or that lie
    outside the folder behind a link, become faults: silence would hide a typing error. Names that begin
    with a dot are passed over, as editors put their own files there.
    """
    for path in _listed(root):
        if path.name == SCHEMA:
            continue
        if not path.is_dir():
            yield from _checked(path, root, faults)
        elif path.name == PARTS:
            for inner in _below(path):
                yield from _checked(inner, root, faults)
        elif any(inner.suffix.lower() in YAML_ENDINGS for inner in _below(path)):
            near = nearest(path.name, [PARTS])
            cure = f"did you mean '{near}/'?" if near else f"parts belong in '{PARTS}/', rigs beside it"
            faults.append(Fault(f"{path.name}/", 1, 1, "folder", f"this folder is not read; {cure}"))


def _listed(folder: Path) -> list[Path]:
    return sorted(
        (path for path in folder.iterdir() if not path.name.startswith(".")), key=lambda path: path.name
    )


def _below(folder: Path) -> Iterator[Path]:
    """Yield everything in a folder and its folders, but do not walk through links to other folders."""
    for path in _listed(folder):
        if path.is_dir() and not path.is_symlink():
            yield from _below(path)
        else:
            yield path


def _checked(path: Path, root: Path, faults: list[Fault]) -> Iterator[tuple[str, Path]]:
    name = path.relative_to(root).as_posix()
    if not _lies_in(path, root):
        # Other files beside the guide do not matter, but a link to a folder could hide any number of parts.
        if path.suffix.lower() in YAML_ENDINGS or path.is_dir():
            faults.append(
                Fault(
                    name, 1, 1, "outside", "this link leads out of the guide's folder; copy what it leads to"
                )
            )
    elif path.is_dir():
        faults.append(Fault(name, 1, 1, "folder", "links to folders are not followed; move the folder here"))
    elif path.suffix == ".yml":
        yield name, path
    elif path.suffix.lower() in YAML_ENDINGS:
        cure = f"rename this file to '{path.with_suffix('.yml').name}'"
        faults.append(Fault(name, 1, 1, "ending", f"{cure}; only .yml is read"))


def _lies_in(path: Path, root: Path) -> bool:
    try:
        return path.resolve().is_relative_to(root.resolve())
    except (OSError, RuntimeError, ValueError):  # links in a circle; a name that no system takes
        return True  # what cannot be followed cannot be read either, and is reported when that is tried


def read_bytes(path: Path) -> bytes:
    """Return what stands in the file, or the first bytes of it when it is too large to be read at all.

    Raises:
        OSError: when the file cannot be read.
    """
    if not path.is_file():  # a pipe would wait for ever
        raise FileNotFoundError("there is no such file")
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)


def photo_problem(root: Path, photo: str) -> str | None:
    """Return what is wrong with a part's photo path, or None."""
    path = root / photo
    shown = short(photo)
    if not _lies_in(path, root):
        return f"the photo '{shown}' lies outside the guide's folder"
    if path.suffix.lower() not in PHOTO_ENDINGS:
        return f"the photo '{shown}' is not one of {', '.join(PHOTO_ENDINGS)}"
    try:
        if path.is_file():
            return None
    except OSError:  # a name longer than the system takes
        pass
    near = nearest(photo, _photos(root))
    return f"the photo '{shown}' does not exist" + (f"; did you mean '{near}'?" if near else "")


def _photos(root: Path) -> Iterator[str]:
    """Yield the photos in the guide's folder, as a part would name them."""
    found = 0
    for folder, folders, names in os.walk(root):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(names):
            if Path(name).suffix.lower() in PHOTO_ENDINGS and found < _MOST_PHOTOS:
                found += 1
                yield (Path(folder) / name).relative_to(root).as_posix()
