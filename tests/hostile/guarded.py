"""Work in a process of its own, which may take so long and so much memory and no more."""

import contextlib
import os
import resource
import signal
import sys
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

Ending = Literal["done", "fault", "crash", "hang"]
Faults = type[BaseException] | tuple[type[BaseException], ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a piece of work ended: what it said, how long it took (s) and how much memory it had at most (MB)."""

    ending: Ending
    said: str
    seconds: float
    megabytes: float


def guarded(work: Callable[[], str], *, faults: Faults, seconds: int = 20, megabytes: int = 1500) -> Outcome:
    """Do ``work`` in a copy of this process; ``faults`` is what it may raise. For systems that can fork."""
    receive, send = os.pipe()
    started = time.monotonic()
    child = os.fork()
    if not child:
        os.close(receive)
        _do(work, faults, seconds, megabytes, send)
    os.close(send)
    with os.fdopen(receive, "rb") as pipe:
        said = pipe.read().decode("utf-8", "replace")
    _, status, used = os.wait4(child, 0)
    took = time.monotonic() - started
    if os.WIFSIGNALED(status):
        hung = os.WTERMSIG(status) in (signal.SIGALRM, signal.SIGXCPU)
        return Outcome(
            "hang" if hung else "crash", said or f"signal {os.WTERMSIG(status)}", took, used.ru_maxrss / 1024
        )
    endings: tuple[Ending, ...] = ("done", "fault", "crash")
    return Outcome(endings[os.waitstatus_to_exitcode(status)], said, took, used.ru_maxrss / 1024)


def _do(work: Callable[[], str], faults: Faults, seconds: int, megabytes: int, send: int) -> None:
    """Do the work and leave the process; nothing of what stands above it is run again."""
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    signal.alarm(4 * seconds)  # what waits takes no time of the processor
    resource.setrlimit(resource.RLIMIT_DATA, (megabytes << 20, megabytes << 20))
    ending, said = 2, ""
    try:
        with Path(os.devnull).open("w") as nowhere, contextlib.redirect_stdout(nowhere):
            said = work()
        ending = 0
    except faults as error:
        ending, said = 1, str(error)
    except BaseException:  # noqa: BLE001 - it is what we look for
        said = "".join(traceback.format_exc()[-3000:])
    finally:
        with contextlib.suppress(OSError):
            os.write(send, said[:60000].encode("utf-8", "replace"))
        sys.stdout.flush()
        os._exit(ending)
