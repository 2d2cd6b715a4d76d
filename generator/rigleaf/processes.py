"""How many processes share a piece of work, and how those that help end."""

import os
import threading
from multiprocessing import parent_process
from multiprocessing.process import BaseProcess


def processors() -> int:
    """Return on how many processors this process may run."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def leave_with_parent() -> None:
    """Let this process end with the one that started it: one that is killed cannot tell its helpers to go."""
    if (parent := parent_process()) is not None:
        threading.Thread(target=_leave_with, args=(parent,), daemon=True).start()


def _leave_with(parent: BaseProcess) -> None:
    parent.join()
    os._exit(1)
