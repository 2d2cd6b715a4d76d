"""Breaks builds in many ways and looks whether readers, or the next build, lose anything by it.

    make faults
    make faults ARGS='--kills 200 --seed 7'

A small guide is changed and built again and again, each time in a process of its own that is killed, starved of disk,
crossed by another build or shut out of a folder. After each the site must be the old or the new one to the byte, its
links whole, the next build as if nothing had happened (with what the broken one left in the cache), and
nothing left over.
"""

import argparse
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(PROJECT))
os.environ.update(SOURCE_DATE_EPOCH="1795521600", OPENBLAS_NUM_THREADS="1", NO_MKDOCS_2_WARNING="1")

from tests.bench.ground import EXPORT, MKDOCS, Contents, Ground, Lost, told  # noqa: E402
from tests.engine.building import built, contents  # noqa: E402
from tests.engine.dying import MOMENTS, ONLY_BY_RENAMES  # noqa: E402


def killed(ground: Ground, dice: random.Random, seconds: float) -> str:
    """Kill a build at any moment of its life."""
    child = ground.run(*MKDOCS)
    child.wait(dice.uniform(0, seconds))
    child.kill()
    seen = ground.seen()
    ground.goes_on()
    return seen


def killed_at(ground: Ground, moment: str, way: str) -> str:
    """Kill a build at one moment of publishing."""
    code = ground.run("tests.engine.dying", moment, way, *MKDOCS[1:]).wait()
    if code != -signal.SIGKILL:
        raise Lost(f"the build was to die and ends with {code}")
    if moment in ONLY_BY_RENAMES:
        if (ground.folder / "site").exists():
            raise Lost("the one moment without a site was not met")
        seen = "none until the next build"
    else:
        seen = ground.seen()
    ground.goes_on()
    return seen


def starved(ground: Ground, room: int) -> str:
    """Build on a disk that has only so much room left."""
    filler = ground.folder.parent / "filler"
    free = shutil.disk_usage(ground.folder).free
    filler.write_bytes(bytes(max(0, free - room)))
    child = ground.run(*MKDOCS)
    code = child.wait()
    filler.unlink()
    seen = ground.seen()
    told(child, code, seen)
    ground.nothing_left()
    ground.goes_on()
    return seen


def crossed(ground: Ground, dice: random.Random, count: int) -> str:
    """Build several times at once, and kill none."""
    children = []
    for _ in range(count):
        children.append(ground.run(*MKDOCS))
        time.sleep(dice.uniform(0, 0.5))
    codes = [child.wait() for child in children]
    if any(codes):
        raise Lost(f"builds at once end with {codes}")
    seen = ground.seen()
    ground.nothing_left()
    return seen


def crossed_and_killed(ground: Ground, dice: random.Random, seconds: float) -> str:
    """Kill one of two builds at once; the other must not mind."""
    one, other = ground.run(*MKDOCS), ground.run(*MKDOCS)
    time.sleep(dice.uniform(0, seconds))
    one.kill()
    if code := other.wait():
        raise Lost(f"the other build ends with {code}")
    seen = ground.seen()
    ground.nothing_left()
    return seen


def shut_out(ground: Ground, folder: Path, rights: int) -> str:
    """Build where a folder cannot be read or written to."""
    nobody = 65534 if os.geteuid() == 0 else None
    if nobody:
        subprocess.run(["chown", "-R", f"{nobody}:{nobody}", ground.folder.parent], check=True)
    before = folder.stat().st_mode
    folder.chmod(rights)
    try:
        child = ground.run(*MKDOCS, user=nobody)
        code = child.wait()
    finally:
        folder.chmod(before)
    seen = ground.seen()
    told(child, code, seen)
    ground.goes_on()
    return seen


def export_killed(ground: Ground, dice: random.Random, seconds: float, whole: Contents) -> str:
    """Kill an export at any moment of its life."""
    target = ground.folder.parent / "out" / "site"
    child = ground.run(*EXPORT)
    child.wait(dice.uniform(0, seconds))
    child.kill()
    found = contents(target) if target.exists() else {}
    if found not in ({}, whole):
        raise Lost(f"half an export: {len(found)} of {len(whole)} files")
    if found:
        shutil.rmtree(target)
    if ground.run(*EXPORT).wait():
        raise Lost("the next export fails")
    left = [path.name for path in target.parent.iterdir()]
    if contents(target) != whole or left != ["site"]:
        raise Lost(f"the next export is another, or something is left: {left}")
    shutil.rmtree(target)
    return "new" if found else "old"


class Campaign:
    """Runs trials and keeps count."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self.rows: list[tuple[str, Counter[str]]] = []
        self.lost: list[str] = []

    def of(self, words: str, trials: Iterable[Callable[[], str]]) -> None:
        """Run trials of one sort, each on a guide that has changed since the last build."""
        count: Counter[str] = Counter()
        self.rows.append((words, count))
        for trial in trials:
            self.ground.change()
            try:
                count[trial()] += 1
            except Lost as error:
                count["lost"] += 1
                self.lost.append(f"{words}: {error}")
                print(self.lost[-1], flush=True)
                self.ground.goes_on()
        print(self.row(words, count), flush=True)

    def row(self, words: str, count: Counter[str]) -> str:
        """One line of the table."""
        none = sum(times for seen, times in count.items() if seen.startswith("none"))
        return f"| {words} | {count.total()} | {count['old']} | {count['new']} | {none} | {count['lost']} |"

    def table(self) -> str:
        """All that was tried and lost."""
        head = "| what was done | times | old site | new site | none until the next build | lost |\n"
        return head + "| --- | --: | --: | --: | --: | --: |\n" + "\n".join(self.row(*row) for row in self.rows)


@contextmanager
def small_disk(folder: Path, size: int) -> Iterator[Path | None]:
    """A disk of so many bytes at ``folder``, or None where none may be mounted."""
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)]
    try:
        done = subprocess.run(command, capture_output=True, check=False).returncode == 0
    except FileNotFoundError:
        done = False
    try:
        yield folder if done else None
    finally:
        if done:
            subprocess.run(["umount", str(folder)], check=False)


def seconds_of(ground: Ground, *command: str) -> float:
    """Return how long a command takes."""
    start = time.monotonic()
    if code := ground.run(*command).wait():
        raise SystemExit(f"{' '.join(command)} ends with {code}")
    return time.monotonic() - start


def main() -> int:
    """Run the campaign; return 1 when something was lost."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kills", type=int, default=50, help="builds killed at random moments")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    dice = random.Random(options.seed)  # noqa: S311 - chance, no secret
    with tempfile.TemporaryDirectory(prefix="rigleaf-faults-") as made:
        Path(made).chmod(0o755)
        (Path(made) / "warm").mkdir()
        base = Path(made)
        built(base / "warm")  # so that forks find everything imported
        ground = Ground(base / "kills")
        run = Campaign(ground)
        seconds = max(seconds_of(ground, *MKDOCS) for _ in range(3))
        kills = options.kills
        run.of("killed (-9) at a random moment", [partial(killed, ground, dice, seconds)] * kills)
        for way, words in (("exchange", "at once"), ("rename", "by two renames")):
            moments = [moment for moment in MOMENTS if way == "rename" or moment not in ONLY_BY_RENAMES]
            trials = [partial(killed_at, ground, moment, way) for moment in moments]
            run.of(f"killed at each step of publishing, {words}", trials)
        for count in (2, 4):
            run.of(f"{count} builds at once", [partial(crossed, ground, dice, count)] * 5)
        run.of("one of two builds at once killed", [partial(crossed_and_killed, ground, dice, seconds)] * 10)
        target = base / "kills" / "out" / "site"
        seconds = seconds_of(ground, *EXPORT)
        whole = [contents(target)]
        shutil.rmtree(target)
        ground.write()

        def export() -> str:
            ground.change()  # back to the state that was exported: only the moment changes
            return export_killed(ground, dice, seconds, whole[0])

        run.of("an export killed at a random moment", [export] * 10)
        starve(run, base)
        shut(run, base)
    print("\n" + run.table())
    print(*run.lost, sep="\n")
    return bool(run.lost)


def starve(run: Campaign, base: Path) -> None:
    """Let builds run out of disk, from no room at all to nearly enough."""
    with small_disk(base / "disk", 120_000_000) as disk:
        if disk is None:
            print("no small disk may be mounted here; run as root to try full disks")
            return
        ground = run.ground = Ground(disk)
        need = sum(map(len, ground.whole[0].values()))
        shares = [0, 0.01, 0.05, *(step / 10 for step in range(1, 13))]
        trials = [partial(starved, ground, int(need * share)) for share in shares]
        run.of("no room left on the disk, from none to nearly enough", trials)


def shut(run: Campaign, base: Path) -> None:
    """Let builds meet folders that they may not read or write."""
    ground = run.ground = Ground(base / "shut")
    places = {"rigs": 0o000, "rigs/parts": 0o000, "docs": 0o000, ".": 0o555, "site": 0o000, "site/rigs": 0o555}
    trials = [partial(shut_out, ground, ground.folder / name, rights) for name, rights in places.items()]
    run.of("a folder that may not be read or written", trials)


if __name__ == "__main__":
    sys.exit(main())
