"""Leaves on disk, one file each. Nothing depends on it: without it every leaf is made anew.

They stand in ``.cache/rigleaf`` beside the guide, never in the site. Whoever can write there can write the guide's
settings too, so a leaf is trusted as far as they are; all the same it is read as plain data, under a digest.
"""

import os
import tempfile
import time
from collections.abc import Collection, Iterable
from contextlib import suppress
from pathlib import Path

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.under_the_sky.place_sky import store_of

SWITCH = "RIGLEAF_CACHE"
"""Set to "off" in the environment, no leaf is read from disk or written to it."""

MOST_BYTES = 1_000_000_000
"""What leaves may take on disk; those of the guide as it stands are kept whatever they take."""

_ENDING = ".leaf"
_RECENT_NS = 3_600_000_000_000


class Store:
    """A folder of leaves by their keys. Several processes may use it at once."""

    def __init__(self, folder: Path, most: int = MOST_BYTES) -> None:
        self.folder, self._most = folder, most

    def read(self, key: str) -> bytes | None:
        """Return what was written under a key, or None. It stays for an hour at least from now on."""
        path = self.path(key)
        try:
            data = path.read_bytes()
        except OSError:
            return None
        with suppress(OSError):
            os.utime(path)
        return data

    def write(self, key: str, data: bytes | Iterable[bytes]) -> bool:
        """Write a leaf at once or not at all; return whether it is kept: the folder may be one to read only."""
        path, draft = self.path(key), None
        try:
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            handle, draft = tempfile.mkstemp(dir=path.parent, prefix=".draft-")
            with os.fdopen(handle, "wb") as file:
                file.writelines((data,) if isinstance(data, bytes) else data)
            Path(draft).replace(path)
        except OSError:
            if draft is not None:
                with suppress(OSError):
                    Path(draft).unlink(missing_ok=True)
            return False
        return True

    def has(self, key: str) -> bool:
        """Say whether something is written under a key; asked for every rig after every edit."""
        return os.path.exists(f"{self.folder}/{key[:2]}/{key}{_ENDING}")  # noqa: PTH110 - a path takes longer to make

    def tidy(self, used: Collection[str]) -> None:
        """Remove the oldest leaves that are not in use until the rest take no more than they may.

        What was used in the last hour stays: another build may be about to read on in it.
        """
        names = {f"{key}{_ENDING}" for key in used}
        found = []
        with suppress(OSError):
            for path in self.folder.glob(f"*/*{_ENDING}"):
                state = path.stat()
                found.append((path.name in names, state.st_mtime_ns, state.st_size, path))
        total = sum(size for _, _, size, _ in found)
        for kept, used_at, size, path in sorted(found):
            if kept or total <= self._most or time.time_ns() - used_at < _RECENT_NS:
                break
            with suppress(OSError):
                path.unlink()
                total -= size

    def path(self, key: str) -> Path:
        """Return the file that holds what is written under a key."""
        return self.folder / key[:2] / f"{key}{_ENDING}"


def leaf_store(catalogue: Catalogue) -> Store | None:
    """Return where the leaves of a guide are kept; None where they are not."""
    return _store(catalogue, "leaves", MOST_BYTES)


def page_store(catalogue: Catalogue) -> Store | None:
    """Return where it is kept what the pages of a guide's sites were made of; None where it is not."""
    return _store(catalogue, "pages", MOST_BYTES // 4)


def _store(catalogue: Catalogue, name: str, most: int) -> Store | None:
    beside = store_of(catalogue)
    if beside is None or os.environ.get(SWITCH, "").lower() == "off":
        return None
    return Store(beside / name, most)
