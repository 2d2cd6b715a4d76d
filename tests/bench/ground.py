"""The ground on which builds are broken: a small project in two states, and builds of it in processes of their own."""

import multiprocessing
import os
import runpy
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from rigleaf.site.links import check_site
from tests.engine.building import FEW as FEW_SHELF
from tests.engine.building import FEW_RIG, contents, project
from tests.site.pictures import picture

NAMES = ("Avocet", "Bunting")
"""What the rig of the guide is called by turns."""

MKDOCS = ("mkdocs", "build", "--strict", "-q")
EXPORT = ("rigleaf.cli", "export", "../out/site", "--dir", "rigs")
Contents = dict[str, bytes]
_FORK = multiprocessing.get_context("fork")


class Lost(Exception):  # noqa: N818 - it is no error of this program
    """What must not happen; the message says what."""


class Run:
    """A command in a process of its own: a fork of this one, which has imported all that a build needs."""

    def __init__(self, *given: Any) -> None:
        self.said: Path = given[3]
        self._process = _FORK.Process(target=_live, args=given)
        self._process.start()

    def wait(self, seconds: float | None = None) -> int | None:
        """Return how it ended, None where it has not within so many seconds."""
        self._process.join(seconds)
        return self._process.exitcode

    def kill(self) -> None:
        """Kill it (-9) if it still lives."""
        self._process.kill()
        self._process.join()


def _live(folder: Path, command: Sequence[str], environment: dict[str, str], said: Path, user: int | None) -> None:
    os.chdir(folder)
    os.environ.update(environment)
    tempfile.tempdir = None
    out = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(out, 1)
    os.dup2(out, 2)
    if user is not None:
        os.setgroups([])
        os.setgid(user)
        os.setuid(user)
    sys.argv = list(command)
    runpy.run_module(command[0], run_name="__main__", alter_sys=True)


class Ground:
    """A project, its two states, and what a whole site of each looks like."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.scratch = folder / "club", folder / "scratch"
        self.scratch.mkdir(parents=True)
        self.turn = 0
        self.write()
        self.here = {*self.names(), "site", ".cache"}
        self.whole: list[Contents] = []
        for _ in NAMES:  # each from nothing, and without a cache
            self.write()
            done = self.run(*MKDOCS, RIGLEAF_CACHE="off").wait()
            if done:
                raise SystemExit(f"the guide of this campaign cannot be built at all ({done})")
            self.whole.append(contents(self.folder / "site"))
            self.turn = 1 - self.turn
        if self.whole[0] == self.whole[1]:
            raise SystemExit("the two states of the guide make the same site; nothing could be seen")
        self.turn = 1  # what the site shows now; the guide is changed before each trial

    def write(self) -> None:
        """Write the guide in the state whose turn it is."""
        shelf = {**FEW_SHELF, "tube": {**FEW_SHELF["tube"], "photo": "tube.jpg"}}
        guide = {"rigs": [{**FEW_RIG, "name": NAMES[self.turn]}], "shelf": shelf}
        self.folder.mkdir(exist_ok=True)
        project(self.folder, guide=guide, docs={"docs/note.md": "# Note\n"}, site_url="https://club.example/")
        picture(self.folder / "rigs" / "tube.jpg")

    def change(self) -> None:
        """Let it be the other state's turn."""
        self.turn = 1 - self.turn
        self.write()

    def run(self, *command: str, user: int | None = None, **environment: str) -> Run:
        """Start a command in the project."""
        own = {"TMPDIR": str(self.scratch), "HOME": str(self.scratch), **environment}
        return Run(self.folder, command, own, self.folder.parent / "said.txt", user)

    def names(self) -> set[str]:
        """What lies in the project."""
        return {path.name for path in self.folder.iterdir()}

    def seen(self) -> str:
        """Return whether readers see the old or the new site.

        Raises:
            Lost: when it is neither.
        """
        found = contents(self.folder / "site")
        if found == self.whole[self.turn]:
            return "new"
        if found == self.whole[1 - self.turn]:
            return "old"
        nearest = min(self.whole, key=lambda whole: len(set(whole.items()) ^ set(found.items())))
        raise Lost(f"the site is neither: {sorted(name for name, _ in set(nearest.items()) ^ set(found.items()))[:5]}")

    def goes_on(self) -> None:
        """Build once more, with nothing in the way.

        Raises:
            Lost: when that fails, or its site is not the right one, or something is left over.
        """
        code = self.run(*MKDOCS).wait()
        if code:
            raise Lost(f"the next build ends with {code}")
        if self.seen() != "new":
            raise Lost("the next build leaves the old site")
        if problems := check_site(self.folder / "site"):
            raise Lost(f"the site has broken links: {problems[0]}")
        self.nothing_left()

    def nothing_left(self) -> None:
        """Look for files that nobody needs.

        Raises:
            Lost: when there are any.
        """
        left = [*(self.names() - self.here), *(path.name for path in self.scratch.iterdir())]
        left += [path.name for path in self.folder.glob(".cache/**/.draft-*")]
        if left:
            raise Lost(f"left over: {left}")


def told(child: Run, code: int | None, seen: str) -> None:
    """See that a build that could not be finished said so, in a sentence.

    Raises:
        Lost: when it did not.
    """
    said = child.said.read_text("utf-8", errors="replace")
    if code == 0 and seen == "old":
        raise Lost("a build that was not finished says that all is well")
    if "Traceback" in said:
        raise Lost(f"a traceback: {said.splitlines()[-1]}")
