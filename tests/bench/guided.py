"""Steers inputs into every reader of what others wrote, by which lines of the program they reach.

    make guided
    make guided ARGS='--seconds 1800 --only guide pages'
    make guided ARGS='--again .cache/guided/found/guide-1a2b3c4d'

`tests/hostile/readers.py` has the readers. For each a process of its own runs for its share of the time: an input that
reaches something new is kept and changed further, under `.cache/guided`, from where the next run goes on. What nobody
foresaw (an exception, a broken promise, too long a time) is written to `.cache/guided/found`, once for each place in
the program, and told at the end. It needs a package for Linux that nothing else here does: the extra `guided`.
"""

import argparse
import contextlib
import hashlib
import os
import re
import subprocess
import sys
import time
import traceback
import warnings
from collections.abc import Callable, Iterable
from pathlib import Path
from random import Random
from typing import Any

PROJECT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(PROJECT))
os.environ.setdefault("SOURCE_DATE_EPOCH", "1795521600")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
KEPT = PROJECT / ".cache" / "guided"
MEGABYTES = 2000
"""What a process may take; the program itself, all its data and the kept inputs are some 400 of them."""

SHARES = {
    "quantity": 1, "yaml": 2, "guide": 5, "pages": 6, "bundle": 2, "list": 2, "splice": 1, "picture": 1, "leaf": 1,
    "ledger": 1, "arrays": 1, "markup": 1,
}  # fmt: skip
"""The readers, and which part of the time each gets: what is larger and slower gets more."""


class Finder:
    """Tries inputs on one reader, and writes down those that it did not stand."""

    def __init__(self, name: str, found: Path) -> None:
        from tests.hostile.readers import WAYS

        self.name, self.way, self.found = name, WAYS[name], found
        self.keys: set[str] = set()
        self.seeds = [seed for seed in self.way.seeds() if len(seed) <= self.way.most]
        self.last = b""

    def __call__(self, data: bytes) -> None:
        """Try one input."""
        began = time.process_time()
        try:
            with warnings.catch_warnings(), Path(os.devnull).open("w") as nowhere, contextlib.redirect_stdout(nowhere):
                warnings.simplefilter("error")  # as in the tests
                self.way.read(data)
        except Exception as error:  # noqa: BLE001 - it is what we look for
            self._note(data, _key(error), traceback.format_exc())
        took = time.process_time() - began
        if took > self.way.seconds:
            self._note(data, "slow", f"{took:.1f} s, more than {self.way.seconds:.0f}")

    def _note(self, data: bytes, key: str, said: str) -> None:
        if key in self.keys:
            return
        self.keys.add(key)
        path = self.found / f"{self.name}-{hashlib.sha256(key.encode()).hexdigest()[:8]}"
        if not path.exists() or path.stat().st_size > len(data):
            path.write_bytes(data)
            path.with_suffix(".txt").write_text(f"{key}\n\n{said}", "utf-8", "backslashreplace")
        print(f"{path.name}  {key}", flush=True)

    def changed(self, data: bytes, most: int, seed: int, plain: Callable[[bytes, int], bytes]) -> bytes:
        """Return another input: by the reader's own way mostly, else by ``plain`` changes of bytes."""
        random = Random(seed)  # noqa: S311 - the same seed does the same
        self.last, other = data, random.choice((self.last, random.choice(self.seeds)))
        if self.way.change is None or random.random() < 0.1:
            return plain(data, most)
        with contextlib.suppress(RecursionError, UnicodeError):
            made = self.way.change(data, other, random)
            if len(made) <= most:
                return made
        return plain(data, most)


def _key(error: BaseException) -> str:
    """Return what tells one finding from another: the kind, and the last lines of ours that it went through."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "/rigleaf/" in frame.filename] or frames
    words = re.sub(r"\W*\d+\W*|'[^']*'", " ", str(error))[:40] if isinstance(error, AssertionError) else ""
    where = " < ".join(f"{Path(frame.filename).name}:{frame.lineno}" for frame in reversed(ours[-2:]))
    return f"{type(error).__name__} {words} {where}"


def words() -> Iterable[str]:
    """Return what fields, kinds, choices and units are called, as the models have it."""
    from rigleaf.catalogue.schema import schemas
    from rigleaf.quantities import DIMENSIONS, SPELLINGS

    found = {*SPELLINGS, *(known.example for known in DIMENSIONS.values())}
    waiting: list[Any] = list(schemas().values())
    while waiting:
        one = waiting.pop()
        if isinstance(one, dict):
            found.update(f"{key}: " for key in one.get("properties", {}))
            found.update(str(word) for word in (*one.get("enum", ()), *one.get("examples", ()), one.get("const", "")))
            waiting.extend(one.values())
        elif isinstance(one, list):
            waiting.extend(one)
    return sorted(word for word in found if word)


def steer(name: str, seconds: float, kept: Path) -> None:
    """Run one reader in this process, which ends with it."""
    import atheris

    with atheris.instrument_imports(include=["rigleaf"]):
        found = kept / "found"
        found.mkdir(parents=True, exist_ok=True)
        finder = Finder(name, found)
        for seed in finder.seeds:  # what is imported late is met here
            finder(seed)
    corpus = kept / name
    corpus.mkdir(parents=True, exist_ok=True)
    for seed in finder.seeds:
        (corpus / hashlib.sha256(seed).hexdigest()[:16]).write_bytes(seed)
    dictionary = kept / "words"
    lines = ("".join(f"\\x{byte:02x}" for byte in word.encode()[:60]) for word in words())
    dictionary.write_text("".join(f'"{line}"\n' for line in lines), "utf-8")
    arguments = [
        sys.argv[0], str(corpus), f"-max_total_time={seconds:.0f}", f"-max_len={finder.way.most}", "-len_control=0",
        f"-timeout={4 * finder.way.seconds:.0f}", f"-rss_limit_mb={MEGABYTES}", f"-artifact_prefix={found}/{name}-",
        f"-dict={dictionary}", "-print_final_stats=1", "-reload=0", "-report_slow_units=3600", "-verbosity=1",
    ]  # fmt: skip
    atheris.Setup(
        arguments, finder, custom_mutator=lambda data, most, seed: finder.changed(data, most, seed, atheris.Mutate)
    )
    atheris.Fuzz()


def again(path: Path) -> int:
    """Try one input in full view."""
    from tests.hostile.readers import WAYS

    WAYS[path.name.partition("-")[0]].read(path.read_bytes())
    print("nothing is wrong with it")
    return 0


def told(said: str) -> tuple[str, str, str]:
    """Return how many inputs there were, and how many edges and features they reached, from what the steering says."""
    runs = re.findall(r"number_of_executed_units:\s*(\d+)", said) or re.findall(r"^#(\d+)", said, re.MULTILINE)
    reached = re.findall(r"cov: (\d+) ft: (\d+)", said)
    return (runs[-1] if runs else "?", *(reached[-1] if reached else ("?", "?")))


def main() -> int:
    # The readers themselves are imported where they are steered only: imports must be seen to be followed.
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--seconds", type=float, default=300, help="for all readers together (default: 300)")
    parser.add_argument(
        "--only", nargs="+", choices=SHARES, default=list(SHARES), metavar="READER", help=", ".join(SHARES)
    )
    parser.add_argument("--kept", type=Path, default=KEPT, metavar="DIR", help="where inputs are kept")
    parser.add_argument("--again", type=Path, metavar="FILE", help="try one input and show what comes of it")
    parser.add_argument("--steer", choices=SHARES, help=argparse.SUPPRESS)
    options = parser.parse_args()
    kept = options.kept.resolve()
    if options.again:
        return again(options.again)
    if options.steer:
        steer(options.steer, options.seconds, kept)
    parts = sum(SHARES[name] for name in options.only)
    lost = 0
    for name in options.only:
        share = options.seconds * SHARES[name] / parts
        command = [sys.executable, __file__, "--steer", name, "--seconds", str(share), "--kept", str(kept)]
        began = time.monotonic()
        done = subprocess.run(command, capture_output=True, text=True, errors="replace", check=False)
        findings = [line for line in done.stdout.splitlines() if line.startswith(f"{name}-")]
        if done.returncode:
            findings.append(f"ended with {done.returncode}: " + " | ".join(done.stderr.splitlines()[-3:])[-300:])
        runs, edges, features = told(done.stderr)
        print(
            f"{name:9}{runs:>9} inputs in {time.monotonic() - began:.0f} s, {edges} edges, {features} features, "
            f"{len(findings)} findings",
            flush=True,
        )
        for finding in findings:
            print(f"  {finding}", flush=True)
        lost += len(findings)
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
