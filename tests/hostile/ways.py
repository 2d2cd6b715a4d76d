"""One reader of what others wrote, and what it needs to be tried."""

import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random

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
