"""Runs MkDocs so that it dies at a chosen moment of publishing, as by the power or by `kill -9`.

    python -m tests.engine.dying MOMENT WAY build [OPTION ...]

WAY is "exchange" where two folders change places at once, or "rename" as on systems that cannot do that.
"""

import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from rigleaf.site.delivery import publishing
from rigleaf.site.delivery.publishing import Draft


def die(*_: Any, **__: Any) -> None:
    """End this process without any of its own clearing up."""
    if hasattr(signal, "SIGKILL"):
        os.kill(os.getpid(), signal.SIGKILL)
    os._exit(137)


def before(owner: Any, name: str) -> None:
    setattr(owner, name, die)


def after(owner: Any, name: str) -> None:
    done: Callable[..., Any] = getattr(owner, name)

    def deadly(*arguments: Any, **named: Any) -> None:
        done(*arguments, **named)
        die()

    setattr(owner, name, deadly)


def between_the_renames() -> None:
    rename = Path.rename
    site: list[Path] = []

    def deadly(self: Path, target: Path) -> Path:
        if site:
            die()
        site.append(self)
        return rename(self, target)

    swap = Draft._swap

    def watched(self: Draft) -> None:
        Path.rename = deadly  # type: ignore[method-assign,assignment]
        swap(self)

    Draft._swap = watched  # type: ignore[method-assign]


def half_way_through_clearing_up() -> None:
    remove, close = os.unlink, Draft.close
    removed: list[Any] = []

    def deadly(*arguments: Any, **named: Any) -> None:
        removed.append(arguments)
        if len(removed) > 5:
            die()
        remove(*arguments, **named)

    def watched(self: Draft) -> None:
        os.unlink = deadly
        close(self)

    Draft.close = watched  # type: ignore[method-assign]


MOMENTS: dict[str, Callable[[], None]] = {
    "the lock is taken": lambda: after(Draft, "_take_lock"),
    "the draft is made": lambda: after(Draft, "open"),
    "the draft is written": lambda: before(Draft, "_carry_hidden"),
    "hidden files are carried over": lambda: before(publishing, "_settle"),
    "the draft is on the disk": lambda: before(Draft, "_swap"),
    "one of two renames is done": between_the_renames,
    "the folders have changed places": lambda: after(Draft, "_swap"),
    "the old site is half removed": half_way_through_clearing_up,
}
ONLY_BY_RENAMES = frozenset({"one of two renames is done"})


def main() -> None:
    from mkdocs.__main__ import cli

    moment, way, *arguments = sys.argv[1:]
    if way == "rename":
        publishing._exchange = lambda *_: False
    MOMENTS[moment]()
    cli(arguments, prog_name="mkdocs")


if __name__ == "__main__":
    main()
