"""How long a guide takes to build, beside a bare MkDocs build of as many Markdown pages with the same text.

Run it with ``make bench`` or ``python tests/bench/bench_build.py --rigs 100 300 1000``. README.md says what
is compared with what. Nothing here passes or fails by time: it only reports.
"""

import argparse
import json
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from importlib.metadata import version
from multiprocessing import get_context
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # when this file is run as a script

from tests.bench import clock

OURS, BARE = "ours", "bare"
"""Folders of the two guides."""

STEPS = ("start", "read", "study", "pages", "links")
"""Steps of our build that the hook times; what is left of the whole is MkDocs at work."""


@dataclass(frozen=True)
class Build:
    """One build: seconds by the clock and of the processor, the largest memory in bytes, seconds by step."""

    seconds: float
    processor: float
    memory: int
    steps: dict[str, float]

    @property
    def rest(self) -> float:
        """Seconds that are in none of the timed steps: MkDocs frames, indexes and writes the pages."""
        return self.seconds - sum(self.steps.values())


@dataclass(frozen=True)
class Result:
    """The quickest build of one guide, with the largest memory of all its builds, and what it wrote."""

    build: Build
    memory: int
    pages: int
    site: int
    index: int


def main(arguments: Sequence[str] | None = None) -> int:
    """Build guides of each size in turn and print what it took."""
    options = _parser().parse_args(arguments)
    print(_surroundings())
    for rigs in options.rigs:
        folder = Path(tempfile.mkdtemp(prefix=f"rigleaf-bench-{rigs}-"))
        try:
            print(f"\n{rigs} rigs, seed {options.seed}, quickest of {options.repeat}\n", flush=True)
            print(report(*compare(folder, rigs, options.seed, options.repeat)), flush=True)
        finally:
            if options.keep:
                print(f"kept in {folder}")
            else:
                shutil.rmtree(folder)
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description="Time our build against a bare one of the same text.")
    add = parser.add_argument
    add("--rigs", type=_positive, nargs="+", default=[100, 300], metavar="N", help="sizes (100 300)")
    add("--repeat", type=_positive, default=3, metavar="K", help="builds of each, the quickest counts (3)")
    add("--seed", type=int, default=0, metavar="S", help="another seed makes another guide (0)")
    add("--keep", action="store_true", help="leave guides and sites where they are, and say where")
    return parser


def _positive(text: str) -> int:
    number = int(text)
    if number < 1:
        raise ValueError
    return number


def _surroundings() -> str:
    names = ("rigleaf", "mkdocs", "mkdocs-material", "markdown")
    packages = ", ".join(f"{name} {version(name)}" for name in names)
    machine = f"{os.cpu_count()} processors, {platform.machine()}"
    return f"Python {platform.python_version()}, {packages}; {machine}"


def compare(folder: Path, rigs: int, seed: int, repeat: int) -> tuple[Result, Result]:
    """Prepare both guides in ``folder`` and build them in turn; return our result and the bare one.

    Raises:
        RuntimeError: when a build fails, or the two sites differ in the number of pages.
    """
    # In a process of its own: a child's largest memory is never less than what its parent had when it began.
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        pool.submit(_prepare, folder, rigs, seed).result()
    builds: dict[str, list[Build]] = {OURS: [], BARE: []}
    for _ in range(repeat):
        for name, done in builds.items():
            done.append(_build(folder / name))
    ours, bare = (_result(folder / name, done) for name, done in builds.items())
    if ours.pages != bare.pages:
        raise RuntimeError(f"the sites have {ours.pages} and {bare.pages} pages")
    return ours, bare


def _prepare(folder: Path, rigs: int, seed: int) -> None:
    from tests.bench.prepare import prepare  # late, so that this process stays small

    prepare(folder / OURS, folder / BARE, rigs, seed)


def _build(guide: Path) -> Build:
    steps, log = guide / "steps.json", guide / "log.txt"
    shutil.rmtree(guide / "site", ignore_errors=True)
    with log.open("wb") as output:
        began = time.perf_counter()
        child = subprocess.Popen(
            [sys.executable, "-m", "mkdocs", "build", "--quiet"],
            cwd=guide, stdout=output, stderr=output, env=_environment(steps),
        )  # fmt: skip
        _, status, used = os.wait4(child.pid, 0)
        seconds = time.perf_counter() - began
        child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise RuntimeError(f"the build in {guide} failed:\n{log.read_text(encoding='utf-8')}")
    unit = 1 if sys.platform == "darwin" else 1024
    found = json.loads(steps.read_text(encoding="utf-8"))
    return Build(seconds, used.ru_utime + used.ru_stime, used.ru_maxrss * unit, found)


def _environment(steps: Path) -> dict[str, str]:
    return {
        **os.environ,
        "NO_MKDOCS_2_WARNING": "1",
        "DISABLE_MKDOCS_2_WARNING": "true",
        clock.WRITTEN_TO: str(steps),
        clock.BEGAN: str(time.time()),
    }


def _result(guide: Path, builds: list[Build]) -> Result:
    files = [path for path in (guide / "site").rglob("*") if path.is_file()]
    return Result(
        build=min(builds, key=lambda build: build.seconds),
        memory=max(build.memory for build in builds),
        pages=sum(path.suffix == ".html" and "assets" not in path.parts for path in files),
        site=sum(path.stat().st_size for path in files),
        index=(guide / "site" / "search" / "search_index.json").stat().st_size,
    )


def report(ours: Result, bare: Result) -> str:
    """Return both tables: ours against the bare build, and where our time goes."""
    wanted: tuple[tuple[str, Callable[[Result], float], int], ...] = (
        ("pages", lambda result: result.pages, 0),
        ("seconds", lambda result: result.build.seconds, 2),
        ("seconds of processor", lambda result: result.build.processor, 2),
        ("milliseconds a page", lambda result: 1e3 * result.build.seconds / result.pages, 2),
        ("peak memory, MB", lambda result: result.memory / 1e6, 0),
        ("site, MB", lambda result: result.site / 1e6, 2),
        ("search index, MB", lambda result: result.index / 1e6, 2),
    )
    lines = [f"{'':24}{'ours':>10}{'bare':>10}{'ours / bare':>14}"]
    for label, value, digits in wanted:
        mine, other = value(ours), value(bare)
        lines.append(f"{label:24}{mine:10.{digits}f}{other:10.{digits}f}{mine / other:14.2f}")
    build = ours.build
    split = {**{step: build.steps.get(step, 0.0) for step in STEPS}, "MkDocs": build.rest}
    lines += ["", f"{'where our time goes':24}" + "".join(f"{step:>9}" for step in split)]
    lines.append(f"{'seconds':24}" + "".join(f"{seconds:9.2f}" for seconds in split.values()))
    parts = (seconds / build.seconds for seconds in split.values())
    lines.append(f"{'part of the whole':24}" + "".join(f"{part:9.0%}" for part in parts))
    return "\n".join(lines)


if __name__ == "__main__":
    sys.exit(main())
