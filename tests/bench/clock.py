"""A MkDocs hook that notes how long each step of a build takes, and writes it down for bench_build.py.

Our steps are timed by a stopwatch around the one function that does each. Both guides are built with it.
"""

import functools
import json
import os
import time
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from pkgutil import resolve_name
from typing import Any, Literal

BEGAN, WRITTEN_TO, OURS = "RIGLEAF_BENCH_BEGAN", "RIGLEAF_BENCH_STEPS", "RIGLEAF_BENCH_OURS"
"""Environment: when the process was started (seconds since the epoch), where to write, and whether it builds ours."""

TIMED: tuple[tuple[str, str, str], ...] = (
    ("read", "rigleaf.engine.plugin", "read_catalogue"),
    ("rigs", "rigleaf.site.book", "leaves_of"),
    ("pages", "rigleaf.engine.plugin", "make_book"),
    ("frames", "rigleaf.engine.finished:Finished", "write"),
    ("links", "rigleaf.site.links:LinkChecker", "check"),
)
"""Step, module or class, and function as that knows it; what is finished of each rig by itself is part of the pages."""

_seconds: defaultdict[str, float] = defaultdict(float)


def on_startup(command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
    """Note how long it took until MkDocs was ready to begin; put a stopwatch around each of our steps.

    This hook takes part in nothing else: our plugin keeps no page where somebody might change it.
    """
    del command, dirty
    _seconds["start"] = time.time() - float(os.environ[BEGAN])
    if os.environ.get(OURS):
        for step, module, function in TIMED:
            home = resolve_name(module)
            setattr(home, function, _timed(step, getattr(home, function)))


def on_shutdown() -> None:
    """Write what was noted."""
    if "rigs" in _seconds:
        _seconds["pages"] -= _seconds["rigs"]
    Path(os.environ[WRITTEN_TO]).write_text(json.dumps(_seconds), encoding="utf-8")


def _timed(step: str, function: Callable[..., Any]) -> Callable[..., Any]:
    @functools.wraps(function)
    def timed(*arguments: Any, **named: Any) -> Any:
        began = time.perf_counter()
        try:
            return function(*arguments, **named)
        finally:
            _seconds[step] += time.perf_counter() - began

    return timed
