"""What a process and all that it has started take of the machine's memory at one time, as Linux counts it."""

import re
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from threading import Event, Thread

EACH_S = 1.0
"""So long after one look follows the next."""

_SHARE = re.compile(r"^Pss:\s+(\d+) kB", re.MULTILINE)


class Watch:
    """Looks at a process again and again while it is in use as a context; ``most`` is the most that it saw, bytes.

    A page of memory that several processes share counts for each of them by its part. It stays 0 on other systems.
    """

    def __init__(self, process: int) -> None:
        self.most = 0
        self._process, self._done = process, Event()
        self._thread = Thread(target=self._look)

    def __enter__(self) -> "Watch":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._done.set()
        self._thread.join()

    def _look(self) -> None:
        self.most = taken_together(self._process)
        while not self._done.wait(EACH_S):
            self.most = max(self.most, taken_together(self._process))


def taken_together(process: int) -> int:
    """Return the bytes that a process and its descendants take now; 0 where the system does not tell."""
    taken = 0
    for one in _tree(process):
        with suppress(OSError, AttributeError):  # it has ended
            taken += int(_SHARE.search(Path(f"/proc/{one}/smaps_rollup").read_text())[1]) * 1024  # type: ignore[index]
    return taken


def _tree(process: int) -> Iterator[int]:
    yield process
    with suppress(OSError):
        for task in Path(f"/proc/{process}/task").iterdir():
            with suppress(OSError):
                for child in (task / "children").read_text().split():
                    yield from _tree(int(child))
