"""Bytes that wait in a file without a name, which goes with the process however that ends."""

import os
import sys
import weakref
from collections.abc import Iterator, MutableMapping
from pathlib import Path
from tempfile import TemporaryFile

_SIZE_BITS = 32


class Spool:
    """Bytes one behind the other. Copies of the process may read what was there when they were made."""

    def __init__(self, folder: Path | None = None) -> None:
        """Begin with none.

        Args:
            folder: on whose disk they wait; that of temporary files where nobody says, and on Windows, where no folder
                can be removed while one of its files is open.
        """
        # Unbuffered, so that what was added can be read at once, and by copies of the process.
        folder = None if sys.platform == "win32" else folder
        self._file = TemporaryFile(dir=folder, buffering=0)  # noqa: SIM115 - it stays open as long as this is used
        self._end = 0
        weakref.finalize(self, self._file.close)

    def add(self, data: bytes) -> int:
        """Add bytes; return where they begin.

        Raises:
            OSError: when the disk is full.
        """
        start = self._end
        self._file.seek(start)
        left = memoryview(data)
        while left:
            left = left[self._file.write(left) :]
        self._end += len(data)
        return start

    def read(self, start: int, size: int) -> bytes:
        """Return bytes that were added."""
        if hasattr(os, "pread"):  # leaves the place in the file alone, which copies of the process share
            return os.pread(self._file.fileno(), size, start)
        self._file.seek(start)
        return self._file.read(size)


class Spooled(MutableMapping[str, bytes]):
    """Bytes by their names, on a spool."""

    def __init__(self, spool: Spool) -> None:
        self._spool = spool
        self._places: dict[str, int] = {}

    def __getitem__(self, name: str) -> bytes:
        place = self._places[name]
        return self._spool.read(place >> _SIZE_BITS, place & ((1 << _SIZE_BITS) - 1))

    def __setitem__(self, name: str, data: bytes) -> None:
        self._places[name] = self._spool.add(data) << _SIZE_BITS | len(data)

    def __delitem__(self, name: str) -> None:
        del self._places[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)
