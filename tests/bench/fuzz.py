"""Harms the demo guide in many ways and looks whether anything but a fault or a whole book comes of it.

    make fuzz
    make fuzz ARGS='--seconds 300 --seed 7'

Each case is read and, if it has no faults, studied and made into a book, in a process of its own with a limit on time
and memory. What is lost (an exception, a hang) is printed with the seed that does it again: `--only fields:12345`.
"""

import argparse
import os
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from random import Random

PROJECT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(PROJECT))
os.environ.setdefault("SOURCE_DATE_EPOCH", "1795521600")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from rigleaf.catalogue.faults import CatalogueError  # noqa: E402
from rigleaf.catalogue.reading import read_catalogue  # noqa: E402
from rigleaf.desk.errors import DeskError  # noqa: E402
from rigleaf.site.book import make_book  # noqa: E402
from rigleaf.site.shelf.photos import PhotoError  # noqa: E402
from rigleaf.site.typeset.addresses import Addresses  # noqa: E402
from tests.hostile.guarded import Outcome, guarded  # noqa: E402
from tests.hostile.mutations import disturb, gnaw  # noqa: E402
from tests.hostile.schemas import Guide, read_guide, slice_of, write_guide  # noqa: E402
from tests.hostile.taken_in import TAKEN  # noqa: E402

DEMO = PROJECT / "rigs"
FAULTS = (CatalogueError, DeskError, PhotoError)
Harm = Callable[[Guide, Random, Path], list[str]]


def book_of(folder: Path) -> str:
    """Read a guide and make its book; return how many pages that are."""
    book = make_book(read_catalogue(folder), Addresses(False))
    return f"{len(book.pages)} pages"


def some_of(guide: Guide, random: Random) -> Guide:
    """Return a small part of a guide: one rig with what it needs, and at times a journey with its rigs."""
    rigs = [name.removesuffix(".yml") for name in guide if "/" not in name and "train" in guide[name]]
    if random.random() < 0.8:
        return slice_of(guide, (random.choice(rigs),))
    trip = random.choice([Path(name).stem for name in guide if name.startswith("trips/")])
    return slice_of(guide, tuple(guide[f"trips/{trip}.yml"]["rigs"]), (trip,))


def harm_fields(guide: Guide, random: Random, folder: Path) -> list[str]:
    """Change what one to five fields of a small guide say, or state some that were not there."""
    small = some_of(guide, random)
    done = disturb(small, random, random.randint(1, 5))
    write_guide(small, folder)
    return done


def harm_bytes(guide: Guide, random: Random, folder: Path) -> list[str]:
    """Gnaw at the bytes of one file of a small guide."""
    small = some_of(guide, random)
    write_guide(small, folder)
    victim = random.choice(sorted(small))
    own = (DEMO / victim).read_bytes()  # with its comments and its ways of writing
    (folder / victim).write_bytes(gnaw(own if "/" not in victim else (folder / victim).read_bytes(), random))
    return [victim]


def parts_of(folder: Path) -> str:
    """Read a guide; return how many parts it has."""
    return f"{len(read_catalogue(folder).parts)} parts"


def _of_demo(harm: Callable[[Path, Random, Path], list[str]]) -> Harm:
    return lambda _, random, folder: harm(DEMO, random, folder)


WAYS: dict[str, tuple[Harm, Callable[[Path], str]]] = {
    "fields": (harm_fields, book_of),
    "bytes": (harm_bytes, parts_of),
    **{name: (_of_demo(harm), take) for name, (harm, take) in TAKEN.items()},
}
"""How harm is done, and what is done with what came of it."""


def tried(way: str, seed: int, guide: Guide) -> tuple[Outcome, list[str]]:
    """Return how one case ended, and what was done to the guide."""
    with tempfile.TemporaryDirectory(prefix="rigleaf-fuzz-") as name:
        folder = Path(name)
        shutil.copytree(DEMO / "photos", folder / "photos")
        harm, work = WAYS[way]
        done = harm(guide, Random(f"{way}:{seed}"), folder)  # noqa: S311 - the same seed does the same
        return guarded(lambda: work(folder), faults=FAULTS), done


def tried_once(guide: Guide) -> None:
    """Make the book of a sound guide."""
    with tempfile.TemporaryDirectory(prefix="rigleaf-fuzz-") as name:
        shutil.copytree(DEMO / "photos", Path(name) / "photos")
        book_of(write_guide(some_of(guide, Random(0)), Path(name)))  # noqa: S311


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--seconds", type=float, default=120, help="for how long (default: 120)")
    parser.add_argument("--seed", type=int, default=0, help="where to begin (default: 0)")
    parser.add_argument("--only", metavar="WAY[:SEED]", default="", help="one way, or one case that is told in full")
    options = parser.parse_args()
    guide = read_guide(DEMO)
    tried_once(guide)  # what is imported and cached here is there in every copy of this process
    way, _, seed = options.only.partition(":")
    if seed:
        outcome, done = tried(way, int(seed), guide)
        print(*done, f"{outcome.ending} in {outcome.seconds:.1f} s, {outcome.megabytes:.0f} MB", outcome.said, sep="\n")
        return outcome.ending in ("crash", "hang")
    lost = 0
    for name in [way] if way else WAYS:
        end = time.monotonic() + options.seconds / (1 if way else len(WAYS))
        counts: Counter[str] = Counter()
        longest = most = 0.0
        at = options.seed
        said: Counter[str] = Counter()
        while time.monotonic() < end:
            outcome, done = tried(name, at, guide)
            counts[outcome.ending] += 1
            longest, most = max(longest, outcome.seconds), max(most, outcome.megabytes)
            if outcome.ending in ("crash", "hang"):
                last = outcome.said.strip().splitlines()[-1:] or ["?"]
                place = [line.strip() for line in outcome.said.splitlines() if "rigleaf/" in line][-1:]
                key = f"{outcome.ending}: {last[0][:100]} {' '.join(place)[-100:]}"
                said[key] += 1
                if said[key] <= 2:
                    print(f"--only {name}:{at}  {key}\n    " + "\n    ".join(done), flush=True)
            at += 1
        lost += counts["crash"] + counts["hang"]
        print(
            f"{name:8}{sum(counts.values()):7} cases: {counts['done']} whole, {counts['fault']} faults, "
            f"{counts['crash']} crashes, {counts['hang']} hangs; longest {longest:.1f} s, most {most:.0f} MB"
        )
        for key, count in said.most_common():
            print(f"  {count:5} {key}")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
