"""Texts that lie packed, in memory or in a file, until they are asked for: all of a large guide are too many."""

import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from hashlib import blake2b
from pathlib import Path

from rigleaf.site.spool import Spool

_FAST = 1


@dataclass(frozen=True, slots=True)
class Packed:
    """Bytes that are packed. Two are equal where they hold the same.

    Attributes:
        digest: of what is packed.
        where: the packed bytes, or the file or spool that has them.
        start: where in the file they begin.
        size: how many they are there.
    """

    digest: str
    where: bytes | Path | Spool = field(compare=False)
    start: int = field(default=0, compare=False)
    size: int = field(default=0, compare=False)

    @classmethod
    def of(cls, content: bytes, spool: Spool | None = None) -> "Packed":
        """Pack bytes, and put them on a spool where there is one."""
        packed = zlib.compress(content, _FAST)
        if spool is None:
            return cls(digest_of(content), packed)
        return cls(digest_of(content), spool, spool.add(packed), len(packed))

    @property
    def packed(self) -> bytes:
        """The packed bytes.

        Raises:
            OSError: when their file has gone.
        """
        if isinstance(self.where, bytes):
            return self.where
        if isinstance(self.where, Spool):
            return self.where.read(self.start, self.size)
        with self.where.open("rb") as file:
            file.seek(self.start)
            return file.read(self.size)

    @property
    def content(self) -> bytes:
        """What was packed.

        Raises:
            OSError: when the file that has it has gone.
        """
        return zlib.decompress(self.packed)


class Contents(Mapping[str, bytes]):
    """What stands in files, by their paths; what is packed is unpacked when it is asked for."""

    def __init__(self, contents: Iterable[tuple[str, bytes | Packed]] = ()) -> None:
        self._contents = dict(contents)

    def __getitem__(self, path: str) -> bytes:
        content = self._contents[path]
        return content.content if isinstance(content, Packed) else content

    def __iter__(self) -> Iterator[str]:
        return iter(self._contents)

    def __len__(self) -> int:
        return len(self._contents)

    def as_they_lie(self) -> Mapping[str, bytes | Packed]:
        """Return the same with packed ones as they are."""
        return self._contents


def digest_of(content: bytes) -> str:
    """Return a digest of bytes."""
    return blake2b(content, digest_size=20).hexdigest()
