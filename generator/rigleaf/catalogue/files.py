"""The files of a guide: which there are, which are read, and that none lies outside the folder."""

import os
import sys
from collections.abc import Iterator
from pathlib import Path

from rigleaf.catalogue.document import MOST_BYTES
from rigleaf.catalogue.faults import Fault
from rigleaf.nearest import nearest
from rigleaf.quantities import short

GUIDE, PLACES, TARGETS = "guide.yml", "places.yml", "targets.yml"
CARRIERS, RULES = "carriers.yml", "rules.yml"
PARTS, TRIPS, DESK = "parts", "trips", "desk"
OF_THE_GUIDE = (GUIDE, PLACES, TARGETS, CARRIERS, RULES)
"""Files beside which every other one is a rig's."""
FOLDERS = (PARTS, TRIPS, DESK)
"""Folders whose files are read."""
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
    for path in _listed(root, root, faults):
        if path.name == SCHEMA or (path.is_dir() and path.is_symlink() and path.name not in FOLDERS):
            continue
        if not path.is_dir() or not _lies_in(path, root):
            yield from _checked(path, root, faults)
        elif path.name in FOLDERS:
            for inner in _below(path, root, faults):
                yield from _checked(inner, root, faults)
        elif any(inner.suffix.lower() in YAML_ENDINGS for inner in _below(path, root, faults)):
            near = nearest(path.name, FOLDERS)
            cure = f"did you mean '{near}/'?" if near else f"parts belong in '{PARTS}/', rigs beside it"
            faults.append(Fault(_name(path, root), 1, 1, "folder", f"this folder is not read; {cure}"))


def _listed(folder: Path, root: Path, faults: list[Fault]) -> list[Path]:
    try:
        return sorted(path for path in folder.iterdir() if not path.name.startswith("."))
    except OSError as error:
        message = f"this folder cannot be read: {reason(error)}"
        faults.append(Fault(_name(folder, root), 1, 1, "unreadable", message))
        return []


def _below(folder: Path, root: Path, faults: list[Fault]) -> Iterator[Path]:
    """Yield everything in a folder and its folders, but do not walk through links to other folders."""
    for path in _listed(folder, root, faults):
        if path.is_dir() and not path.is_symlink():
            yield from _below(path, root, faults)
        else:
            yield path


def _checked(path: Path, root: Path, faults: list[Fault]) -> Iterator[tuple[str, Path]]:
    name = _name(path, root)
    # What is no link lies where its folder does, which is known; Windows has links of a kind that do not say so.
    if (path.is_symlink() or sys.platform == "win32") and not _lies_in(path, root):
        # Other files beside the guide do not matter, but a link to a folder could hide any number of parts.
        if path.suffix.lower() in YAML_ENDINGS or path.is_dir():
            message = "this link leads out of the guide's folder; copy what it leads to"
            faults.append(Fault(name, 1, 1, "outside", message))
    elif path.is_dir():
        faults.append(Fault(name, 1, 1, "folder", "links to folders are not followed; move the folder here"))
    elif path.suffix == ".yml":
        yield name, path
    elif path.suffix.lower() in YAML_ENDINGS:
        cure = f"rename this file to '{short(path.with_suffix('.yml').name)}'"
        faults.append(Fault(name, 1, 1, "ending", f"{cure}; only .yml is read"))


def _name(path: Path, root: Path) -> str:
    """Return the name of a file or, with a slash at its end, of a folder, as faults show it."""
    # Names may hold what no terminal should get, or bytes that are no text at all.
    return short(path.relative_to(root).as_posix(), most=1000) + ("/" if path.is_dir() else "")


def reason(error: OSError) -> str:
    """Return why the system does not give a file, in small letters for the middle of a sentence."""
    return (error.strerror or str(error)).lower()


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
    if not _lies_in(path, root):
        return f"the photo '{short(photo)}' lies outside the guide's folder"
    try:
        if path.suffix.lower() not in PHOTO_ENDINGS:
            wrong = f"is not one of {', '.join(PHOTO_ENDINGS)}"
        elif path.is_file():
            return None
        else:
            wrong = "does not exist"
    except OSError as error:  # such as a name longer than the system takes
        wrong = f"cannot be read: {reason(error)}"
    near = nearest(photo, _photos(root))
    return f"the photo '{short(photo)}' {wrong}" + (f"; did you mean '{near}'?" if near else "")


def _photos(root: Path) -> Iterator[str]:
    """Yield the photos in the guide's folder, as a part would name them."""
    found = 0
    for folder, folders, names in os.walk(root):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(names):
            if Path(name).suffix.lower() in PHOTO_ENDINGS and found < _MOST_PHOTOS:
                found += 1
                yield (Path(folder) / name).relative_to(root).as_posix()
