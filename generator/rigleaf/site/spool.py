"""Bytes that wait in a file without a name, which goes with the process however that ends."""

import os
import pickle
import sys
import weakref
from collections.abc import Callable, Iterable, Iterator, MutableMapping, Sequence
from itertools import count, islice
from pathlib import Path
from tempfile import TemporaryFile
from typing import TypeVar, cast, overload

Value = TypeVar("Value")

_SIZE_BITS = 32
_AT_ONCE = 256


class Spool:
    """Bytes one behind the other. Copies of the process may read what was there when they were made."""

    def __init__(self, folder: Path | None = None) -> None:
        """Begin with none.

        Args:
            folder: on whose disk they wait; that of temporary files where nobody says, and on Windows, where no folder
                can be removed while one of its files is open.
        """
        # Unbuffered, so that what was added can be read at once, and by copies of the process.
        self.folder = None if sys.platform == "win32" else folder
        self._file = TemporaryFile(dir=self.folder, buffering=0)  # noqa: SIM115 - it stays open as long as this is used
        weakref.finalize(self, self._file.close)
        self._number = next(_numbers)
        _open[self._number] = self

    def __reduce__(self) -> tuple[Callable[[int], "Spool"], tuple[int]]:
        """Stand for itself in what copies of the process send to each other."""
        return _known, (self._number,)

    def add(self, data: bytes) -> int:
        """Add bytes; return where they begin. Of several processes only one may do so at a time.

        Raises:
            OSError: when the disk is full.
        """
        start = self._file.seek(0, os.SEEK_END)
        left = memoryview(data)
        while left:
            left = left[self._file.write(left) :]
        return start

    def read(self, start: int, size: int) -> bytes:
        """Return bytes that were added."""
        if hasattr(os, "pread"):  # leaves the place in the file alone, which copies of the process share
            return os.pread(self._file.fileno(), size, start)
        self._file.seek(start)
        return self._file.read(size)


_numbers = count()
_open: weakref.WeakValueDictionary[int, Spool] = weakref.WeakValueDictionary()


def _known(number: int) -> Spool:
    return _open[number]


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


class Laid(Sequence[Value]):
    """Values one after the other on a spool. They are read a few at a time, and anew whenever they are asked for.

    Two of them are not equal because their values are.
    """

    __slots__ = ("_length", "_places", "_spool")

    def __init__(self, values: Iterable[Value], spool: Spool) -> None:
        """Lay values down.

        Args:
            values: what can be pickled; what several that stand close together share they share again.
            spool: takes them.
        """
        self._spool, self._length = spool, 0
        places: list[tuple[int, int]] = []
        left = iter(values)
        while some := list(islice(left, _AT_ONCE)):
            data = pickle.dumps(some, pickle.HIGHEST_PROTOCOL)
            places.append((spool.add(data), len(data)))
            self._length += len(some)
        self._places = tuple(places)

    def __len__(self) -> int:
        return self._length

    @overload
    def __getitem__(self, number: int) -> Value: ...

    @overload
    def __getitem__(self, number: slice) -> Sequence[Value]: ...

    def __getitem__(self, number: int | slice) -> Value | Sequence[Value]:
        if isinstance(number, slice):
            return list(self)[number]
        place, within = divmod(range(self._length)[number], _AT_ONCE)
        return self._some(place)[within]

    def __iter__(self) -> Iterator[Value]:
        for place in range(len(self._places)):
            yield from self._some(place)

    def _some(self, place: int) -> list[Value]:
        data = self._spool.read(*self._places[place])
        return cast(list[Value], pickle.loads(data))  # noqa: S301 - from this process or one that it has started
