"""How long a guide takes to build, beside a bare MkDocs build of as many Markdown pages with the same text.

Run it with ``make bench`` or ``python tests/bench/bench_build.py --rigs 100 300 1000``. README.md says what
is compared with what. Nothing here passes or fails by time: it only reports.
"""

import argparse
import hashlib
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from importlib.metadata import version
from math import nan
from multiprocessing import get_context
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # when this file is run as a script

from tests.bench import clock
from tests.bench.together import Watch

OURS, BARE = "ours", "bare"
"""Folders of the two guides."""

STEPS = ("start", "read", "rigs", "pages", "frames", "links")
"""Steps of our build that the hook times; what is left of the whole is MkDocs at work, and files are written."""


@dataclass(frozen=True)
class Build:
    """One build: seconds by the clock and of the processor, memory in bytes, seconds by step.

    ``memory`` is that of the largest process, ``together`` that of all at one time.
    """

    seconds: float
    processor: float
    memory: int
    together: int
    steps: dict[str, float]

    @property
    def rest(self) -> float:
        """Seconds that are in none of the timed steps: MkDocs frames, indexes and writes the pages."""
        return self.seconds - sum(self.steps.values())


@dataclass(frozen=True)
class Result:
    """The quickest build of one guide, with the most memory of all its builds, and what it wrote.

    ``digest`` is of all files of the site, by which two sites are the same.
    """

    build: Build
    memory: int
    together: int
    pages: int
    site: int
    index: int
    digest: str


@dataclass(frozen=True)
class Compared:
    """One size: our build with nothing kept, the same again with nothing changed, and the bare one.

    ``leaves`` is a build that has what is kept of the rigs but not the last site, as on a host that begins with a fresh
    checkout and a cache.
    """

    rigs: int
    cold: Result
    warm: Result
    leaves: Result
    bare: Result


def main(arguments: Sequence[str] | None = None) -> int:
    """Build guides of each size in turn and print what it took."""
    options = _parser().parse_args(arguments)
    print(_surroundings())
    found: list[Compared] = []
    for rigs in options.rigs:
        folder = Path(tempfile.mkdtemp(prefix=f"rigleaf-bench-{rigs}-"))
        try:
            print(f"\n{rigs} rigs, seed {options.seed}, quickest of {options.repeat}\n", flush=True)
            found.append(compare(folder, rigs, options.seed, options.repeat))
            print(report(found[-1]), flush=True)
        finally:
            if options.keep:
                print(f"kept in {folder}")
            else:
                shutil.rmtree(folder)
    print(f"\n{summary(found)}")
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


def compare(folder: Path, rigs: int, seed: int, repeat: int) -> Compared:
    """Prepare both guides in ``folder`` and build them in turn.

    Raises:
        RuntimeError: when a build fails, the two sites differ in the number of pages, or a warm build in any byte.
    """
    # In a process of its own: a child's largest memory is never less than what its parent had when it began.
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        pool.submit(_prepare, folder, rigs, seed).result()
    results: dict[str, list[Result]] = {"cold": [], "warm": [], "leaves": [], BARE: []}
    for _ in range(repeat):
        shutil.rmtree(folder / OURS / ".cache", ignore_errors=True)
        for name, done in results.items():
            guide = folder / (BARE if name == BARE else OURS)
            if name != "warm":
                shutil.rmtree(guide / "site", ignore_errors=True)
            done.append(_result(guide, _build(guide)))
    cold, warm, leaves, bare = (_quickest(done) for done in results.values())
    if cold.pages != bare.pages:
        raise RuntimeError(f"the sites have {cold.pages} and {bare.pages} pages")
    if {warm.digest, leaves.digest} != {cold.digest}:
        raise RuntimeError("a build with something kept wrote another site than the cold one")
    return Compared(rigs, cold, warm, leaves, bare)


def _quickest(done: Sequence[Result]) -> Result:
    quickest = min(done, key=lambda one: one.build.seconds)
    memory, together = (max(taken) for taken in zip(*((one.memory, one.together) for one in done), strict=True))
    return replace(quickest, memory=memory, together=together)


def _prepare(folder: Path, rigs: int, seed: int) -> None:
    from tests.bench.prepare import prepare  # late, so that this process stays small

    prepare(folder / OURS, folder / BARE, rigs, seed)


def _build(guide: Path) -> Build:
    steps, log = guide / "steps.json", guide / "log.txt"
    with log.open("wb") as output:
        began = time.perf_counter()
        child = subprocess.Popen(
            [sys.executable, "-m", "mkdocs", "build", "--quiet"],
            cwd=guide, stdout=output, stderr=output, env=_environment(steps),
        )  # fmt: skip
        with Watch(child.pid) as watch:
            _, status, used = os.wait4(child.pid, 0)
        seconds = time.perf_counter() - began
        child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise RuntimeError(f"the build in {guide} failed:\n{log.read_text(encoding='utf-8')}")
    unit = 1 if sys.platform == "darwin" else 1024
    found = clock.noted(steps)
    return Build(seconds, used.ru_utime + used.ru_stime, used.ru_maxrss * unit, watch.most, found)


def _environment(steps: Path) -> dict[str, str]:
    return {
        "SOURCE_DATE_EPOCH": "1780000000",  # so that both builds of ours may be held against each other
        **os.environ,
        "NO_MKDOCS_2_WARNING": "1",
        "DISABLE_MKDOCS_2_WARNING": "true",
        clock.WRITTEN_TO: str(steps),
        clock.BEGAN: str(time.time()),
        clock.OURS: "1" if steps.parent.name == OURS else "",
    }


def _result(guide: Path, build: Build) -> Result:
    files = sorted(path for path in (guide / "site").rglob("*") if path.is_file())
    digest = hashlib.sha256()
    for path in files:
        digest.update(f"{path.relative_to(guide)}\0{hashlib.sha256(path.read_bytes()).hexdigest()}\0".encode())
    return Result(
        build=build,
        memory=build.memory,
        together=build.together,
        pages=sum(path.suffix == ".html" and "assets" not in path.parts for path in files),
        site=sum(path.stat().st_size for path in files),
        index=(guide / "site" / "search" / "search_index.json").stat().st_size,
        digest=digest.hexdigest(),
    )


def report(found: Compared) -> str:
    """Return both tables: ours against the bare build, and where our time goes."""
    wanted: tuple[tuple[str, Callable[[Result], float], int], ...] = (
        ("pages", lambda result: result.pages, 0),
        ("seconds", lambda result: result.build.seconds, 2),
        ("seconds of processor", lambda result: result.build.processor, 2),
        ("milliseconds a page", lambda result: 1e3 * result.build.seconds / result.pages, 2),
        ("largest process, MB", lambda result: result.memory / 1e6, 0),
        ("all together, MB", lambda result: result.together / 1e6, 0),
        ("site, MB", lambda result: result.site / 1e6, 2),
        ("search index, MB", lambda result: result.index / 1e6, 2),
    )
    bare = found.bare
    ours = {"cold": found.cold, "warm": found.warm, "leaves": found.leaves}
    lines = [
        f"{'':24}"
        + "".join(f"{name:>10}" for name in (*ours, BARE))
        + "".join(f"{name + ' / bare':>15}" for name in ours)
    ]
    for label, value, digits in wanted:
        numbers = "".join(f"{value(one):10.{digits}f}" for one in (*ours.values(), bare))
        ratios = "".join(f"{value(one) / (value(bare) or nan):15.2f}" for one in ours.values())
        lines.append(f"{label:24}{numbers}{ratios}")
    for name, build in ((name, one.build) for name, one in ours.items()):
        split = {**{step: build.steps.get(step, 0.0) for step in STEPS}, "rest": build.rest}
        lines += ["", f"{f'where our {name} time goes':24}" + "".join(f"{step:>9}" for step in split)]
        lines.append(f"{'seconds':24}" + "".join(f"{seconds:9.2f}" for seconds in split.values()))
        parts = (seconds / build.seconds for seconds in split.values())
        lines.append(f"{'part of the whole':24}" + "".join(f"{part:9.0%}" for part in parts))
    return "\n".join(lines)


def summary(found: Sequence[Compared]) -> str:
    """Return one table of all sizes: the ratios, and what a rig costs, which should not grow with their number."""
    heads = (
        "rigs", "pages", "cold / bare", "warm / bare", "leaves / bare", "cold, ms a rig", "warm, ms a rig",
        "largest process, MB", "together, MB", "bare, MB",
    )  # fmt: skip
    lines = ["  ".join(heads)]
    for one in found:
        cold, warm, leaves, bare = (result.build.seconds for result in (one.cold, one.warm, one.leaves, one.bare))
        ours = (one.cold, one.warm, one.leaves)
        memory, together = max(result.memory for result in ours), max(result.together for result in ours)
        cells = (
            f"{one.rigs}", f"{one.cold.pages}", f"{cold / bare:.2f}", f"{warm / bare:.2f}", f"{leaves / bare:.2f}",
            f"{1e3 * cold / one.rigs:.0f}", f"{1e3 * warm / one.rigs:.0f}", f"{memory / 1e6:.0f}",
            f"{together / 1e6:.0f}", f"{one.bare.memory / 1e6:.0f}",
        )  # fmt: skip
        lines.append("  ".join(cell.rjust(len(head)) for cell, head in zip(cells, heads, strict=True)))
    return "\n".join(lines)


if __name__ == "__main__":
    sys.exit(main())
