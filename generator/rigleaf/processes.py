"""How many processes share a piece of work, how those that help are started, and how they end."""

import gc
import os
import pickle
import shutil
import sys
import threading
import warnings
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import get_context, parent_process
from multiprocessing.process import BaseProcess
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

Given = TypeVar("Given")

NO_HELP = (OSError, BrokenProcessPool, pickle.PicklingError)
"""What comes of it where no further processes can be had, or were ended."""


def processors() -> int:
    """Return on how many processors this process may run."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def may_be_copied() -> bool:
    """Say whether this process may be copied: not while it has threads, whose locks would stay locked in the copy."""
    return sys.platform == "linux" and threading.active_count() == 1


@contextmanager
def copies(count: int) -> Iterator[ProcessPoolExecutor]:
    """Yield helpers that are copies of this process and know all that it knows; only where it may be copied."""
    gc.collect()
    gc.freeze()  # or looking through all that the copies have in common would make it no longer common
    try:
        with warnings.catch_warnings():
            # Libraries for numbers have threads of their own, which know what a copy is.
            warnings.simplefilter("ignore", DeprecationWarning)
            with ProcessPoolExecutor(count, get_context("fork"), leave_with_parent) as pool:
                yield pool
    finally:
        gc.unfreeze()


@contextmanager
def newcomers(count: int, begin: Callable[[Given], None], given: Given) -> Iterator[ProcessPoolExecutor]:
    """Yield helpers that are started anew, each of which begins with what it is given.

    That goes by way of a file: whoever writes more to a starting process than its pipe takes waits for ever if it is
    killed at that moment.
    """
    with TemporaryDirectory(prefix="rigleaf-") as folder:
        path = Path(folder, "given")
        path.write_bytes(pickle.dumps(given))
        with ProcessPoolExecutor(count, get_context("spawn"), _begin, (begin, path)) as pool:
            yield pool


def _begin(begin: Callable[[Given], None], path: Path) -> None:
    leave_with_parent(path.parent)
    begin(pickle.loads(path.read_bytes()))  # noqa: S301 - from the process that started this one
    gc.freeze()  # it stays for the life of this process: there is no use in looking through it again and again


def leave_with_parent(behind: Path | None = None) -> None:
    """Let this process end with the one that started it: one that is killed cannot tell its helpers to go.

    Nor can it remove the folder that it leaves ``behind``, with all that a guide says in private.
    """
    if (parent := parent_process()) is not None:
        threading.Thread(target=_leave_with, args=(parent, behind), daemon=True).start()


def _leave_with(parent: BaseProcess, behind: Path | None) -> None:
    parent.join()
    if behind is not None:
        shutil.rmtree(behind, ignore_errors=True)
    os._exit(1)
