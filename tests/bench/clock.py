"""A MkDocs hook that notes how long each step of a build takes, and writes it down for bench_build.py.

Our steps are timed by a stopwatch around the one function that does each. Both guides are built with it.
"""

import functools
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


def on_startup(command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
    """Note how long it took until MkDocs was ready to begin; put a stopwatch around each of our steps.

    This hook takes part in nothing else: our plugin keeps no page where somebody might change it.
    """
    del command, dirty
    Path(os.environ[WRITTEN_TO]).write_text("", encoding="utf-8")
    _note("start", time.time() - float(os.environ[BEGAN]))
    if os.environ.get(OURS):
        for step, module, function in TIMED:
            home = resolve_name(module)
            setattr(home, function, _timed(step, getattr(home, function)))


def noted(path: Path) -> dict[str, float]:
    """Return the seconds of each step that a build has noted."""
    seconds: defaultdict[str, float] = defaultdict(float)
    for line in path.read_text(encoding="utf-8").splitlines():
        step, took = line.split()
        seconds[step] += float(took)
    if "rigs" in seconds:
        seconds["pages"] -= seconds["rigs"]
    return dict(seconds)


def _note(step: str, seconds: float) -> None:
    """Write it down at once: a copy of the process may be at work, which nobody asks when it has ended."""
    with Path(os.environ[WRITTEN_TO]).open("a", encoding="utf-8") as file:
        file.write(f"{step} {seconds}\n")


def _timed(step: str, function: Callable[..., Any]) -> Callable[..., Any]:
    @functools.wraps(function)
    def timed(*arguments: Any, **named: Any) -> Any:
        began = time.perf_counter()
        try:
            return function(*arguments, **named)
        finally:
            _note(step, time.perf_counter() - began)

    return timed
