"""Python starts as on another machine: folders list their entries in another order, and it is another day.

Put this folder on PYTHONPATH. ANOTHER_DAY says by how many days the clock is off.
"""

import datetime
import os
import random
import time
from typing import Any

OFF_S = 86_400.0 * float(os.environ.get("ANOTHER_DAY", "0"))
_order = random.Random(OFF_S)  # noqa: S311 - an order, no secret
_listdir, _scandir, _time = os.listdir, os.scandir, time.time


def _shuffled(entries: Any) -> list[Any]:
    found = sorted(entries, key=str)
    _order.shuffle(found)
    return found


class _Scan:
    """What os.scandir returns, in another order."""

    def __init__(self, *arguments: Any) -> None:
        with _scandir(*arguments) as found:
            self._entries = iter(_shuffled(found))

    def __iter__(self) -> "_Scan":
        return self

    def __next__(self) -> Any:
        return next(self._entries)

    def __enter__(self) -> "_Scan":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Have nothing more to give."""
        self._entries = iter(())


class _Date(datetime.date):
    @classmethod
    def today(cls) -> "_Date":
        return cls.fromtimestamp(time.time())


class _DateTime(datetime.datetime):
    @classmethod
    def now(cls, tz: datetime.tzinfo | None = None) -> "_DateTime":
        return cls.fromtimestamp(time.time(), tz)

    @classmethod
    def today(cls) -> "_DateTime":
        return cls.now()


os.listdir = lambda *arguments: _shuffled(_listdir(*arguments))
os.scandir = _Scan  # type: ignore[assignment]
time.time = lambda: _time() + OFF_S
if OFF_S:
    datetime.date = _Date  # type: ignore[misc]
    datetime.datetime = _DateTime  # type: ignore[misc]
