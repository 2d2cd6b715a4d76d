"""How many processes share a piece of work, how those that help are started, and how they end."""

import gc
import os
import pickle
import shutil
import sys
import threading
import traceback
import warnings
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from multiprocessing import get_context, parent_process
from multiprocessing.process import BaseProcess
from pathlib import Path
from tempfile import TemporaryDirectory, TemporaryFile
from typing import Any, BinaryIO, TypeVar, cast

Given = TypeVar("Given")
Made = TypeVar("Made")

_WAITS = "rigleaf waits for its parent"
"""Name of the thread by which a process ends with the one that started it."""

_NONE: Any = object()

NO_HELP = (OSError, BrokenProcessPool, pickle.PicklingError)
"""What comes of it where no further processes can be had, or were ended."""


def processors() -> int:
    """Return on how many processors this process may run."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def may_be_copied() -> bool:
    """Say whether this process may be copied: not while it has threads, whose locks would stay locked in the copy.

    The one that waits for the end of the process that started this one holds none.
    """
    others = [one for one in threading.enumerate() if one is not threading.current_thread() and one.name != _WAITS]
    return sys.platform == "linux" and not others


@contextmanager
def copies(count: int) -> Iterator[ProcessPoolExecutor]:
    """Yield helpers that are copies of this process and know all that it knows; only where it may be copied."""
    with _in_common(), ProcessPoolExecutor(count, get_context("fork"), leave_with_parent) as pool:
        yield pool


def shared(
    pool: Executor, helpers: int, work: Callable[[Given], Made], parts: Iterable[Given]
) -> Iterator[Made]:  # fmt: skip
    """Yield what comes of each part of some work, as it is done: by helpers and by this process.

    One that has as much in memory as they have must not only wait for them.

    Args:
        pool: of the helpers.
        helpers: how many there are.
        work: does a part; helpers must find it where they find all that they know.
        parts: what is to be worked on.
    """
    left, asked = iter(parts), deque[Future[Made]]()
    while True:
        while len(asked) < 2 * helpers and (part := next(left, _NONE)) is not _NONE:
            asked.append(pool.submit(work, part))
        if not asked:
            return
        if not asked[0].done() and (own := next(left, _NONE)) is not _NONE:
            yield work(own)
        else:
            yield asked.popleft().result()


def apart(make: Callable[[], Made], folder: Path | None = None) -> Made:
    """Return what a copy of this process makes: whatever room that takes is free again when the copy has ended.

    Where none can be had, or it was ended, this process makes it. What is made, and what is raised in its place, goes
    by way of a file, pickled.

    Args:
        make: makes it.
        folder: on whose disk that file is; that of temporary files where nobody says.
    """
    told: tuple[bool, Any] = (False, None)
    if may_be_copied():
        with suppress(OSError), TemporaryFile(dir=folder) as file:  # no room for one more process, or file
            told = _told_by_copy(file, make)
    there, value = told
    if isinstance(value, Exception):
        raise value
    return cast(Made, value) if there else make()


def _told_by_copy(file: BinaryIO, make: Callable[[], object]) -> tuple[bool, Any]:
    """Return whether a copy has told, and what."""
    helper = get_context("fork").Process(target=_make_into, args=(file, make))
    with _in_common():
        try:
            helper.start()
            helper.join()
        finally:
            if helper.pid is not None:
                helper.terminate()  # the work may be broken off by hand
                helper.join()
    # What the copy cannot tell, such as an error that cannot be pickled, this process finds out by itself.
    if helper.exitcode == 0:
        with suppress(Exception):
            file.seek(0)
            return cast(tuple[bool, Any], pickle.load(file))  # noqa: S301 - from the copy
    return False, None


def _make_into(file: BinaryIO, make: Callable[[], object]) -> None:
    leave_with_parent()
    made: object
    try:
        try:
            made = make()
        except Exception as error:  # noqa: BLE001 - it is raised where the copy was asked for
            error.add_note("".join(traceback.format_exception(error)))
            made = error
        pickle.dump((True, made), file)
        file.flush()
    except BaseException:  # noqa: BLE001 - that work is broken off, or cannot be told, is not for the copy to say
        os._exit(1)


@contextmanager
def _in_common() -> Iterator[None]:
    """Let what processes have in common stay so: looking through all of it for what to let go would end that."""
    gc.collect()
    gc.freeze()
    try:
        with warnings.catch_warnings():
            # Libraries for numbers have threads of their own, which know what a copy is.
            warnings.simplefilter("ignore", DeprecationWarning)
            yield
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
        threading.Thread(name=_WAITS, target=_leave_with, args=(parent, behind), daemon=True).start()


def _leave_with(parent: BaseProcess, behind: Path | None) -> None:
    parent.join()
    if behind is not None:
        shutil.rmtree(behind, ignore_errors=True)
    os._exit(1)
