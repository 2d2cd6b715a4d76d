"""Changes to a guide's files: checked as a whole before anything is written, then written all or not at all."""

import contextlib
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from rigleaf.catalogue import files
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Guide
from rigleaf.catalogue.reading import read_catalogue

Drafts = Mapping[str, bytes]
"""New contents by the file's name, relative to the guide's folder with forward slashes."""


def read_or_begin(folder: Path) -> Catalogue:
    """Read the guide in ``folder``; one that holds no YAML yet is a guide without entries.

    Raises:
        FileNotFoundError: when there is no such folder.
        CatalogueError: with every fault of the guide.
    """
    root = files.find_root(folder)
    if root.is_dir() and not any(files.yaml_files(root, [])):
        return Catalogue(root, Guide(name="Field guide"), {}, {})
    return read_catalogue(root)


def write_drafts(root: Path, drafts: Drafts) -> Catalogue:
    """Write the drafts into the guide, if the guide that they make has no faults; return that guide.

    Every draft is written beside its place first, so that a full disk or a write-protected folder is met before any
    file has changed; then each takes its place in one step. Should one of these steps fail, those before it are undone.

    Raises:
        CatalogueError: when the guide would have faults; nothing is written then.
        OSError: when the system refuses; the guide is as it was.
    """
    catalogue = read_catalogue(root, drafts)
    before = {name: path.read_bytes() if (path := root / name).exists() else None for name in drafts}
    waiting: dict[str, Path] = {}
    try:
        for name, content in drafts.items():
            waiting[name] = _beside(root / name, content)
        done: list[str] = []
        try:
            for name, draft in waiting.items():
                draft.replace(root / name)
                done.append(name)
        except OSError:
            for name in done:
                _restore(root / name, before[name])
            raise
    finally:
        for draft in waiting.values():
            with contextlib.suppress(OSError):
                draft.unlink(missing_ok=True)
    return catalogue


def _beside(path: Path, content: bytes) -> Path:
    """Write what is to stand at ``path`` under a name that no guide reads; return where."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=".", suffix=".draft", dir=path.parent)
    draft = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        # A temporary file is private; what it becomes is as readable as what stands there, or as any new file.
        draft.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask())
    except OSError:
        draft.unlink(missing_ok=True)
        raise
    return draft


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _restore(path: Path, content: bytes | None) -> None:
    if content is None:
        path.unlink(missing_ok=True)
    else:
        path.write_bytes(content)


def free_name(root: Path, wanted: str, taken: Drafts) -> str:
    """Return ``wanted``, such as "parts/lent.yml", or the first of "parts/lent-2.yml" and so on that is free."""
    stem, _, ending = wanted.rpartition(".")
    number = 1
    while wanted in taken or (root / wanted).exists():
        number += 1
        wanted = f"{stem}-{number}.{ending}"
    return wanted


def modeline(root: Path, name: str, schema: str) -> str:
    """Return the line by which editors find the schema of a new file, or nothing where the guide has none."""
    if not (root / files.SCHEMA / schema).is_file():
        return ""
    return f"# yaml-language-server: $schema={'../' * name.count('/')}{files.SCHEMA}/{schema}\n#\n"
