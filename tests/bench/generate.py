"""Writes a made-up guide of so many rigs to a folder: the same seed gives the same files, to the byte.

What it is made of stands in made_up.yml. Every number is random: it is there to be built, not to be read.
"""

import datetime as dt
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from random import Random
from typing import Any

import yaml

Data = dict[str, Any]

PARTS_IN_A_FILE = 150
"""Keeps each file far below the reader's limits, and about as long as people keep theirs."""

PLACES, TARGETS = 6, 40
MOST_LOANS = 240
"""The book does not grow for ever: who keeps one for so many rigs begins a new one each year."""
FIRST_LOAN, LOAN_DAYS = dt.date(2025, 1, 7), 3
UNKNOWN = 1 / 40
"""How often a property is left out: on every real shelf there are some that nobody has looked up."""

_RANGE = re.compile(r"(-?\d+(?:\.\d+)?)\.\.(-?\d+(?:\.\d+)?)")
_WORDS: dict[str, bool] = {"true": True, "false": False}


@lru_cache(maxsize=1)
def _patterns() -> Data:
    patterns: Data = yaml.safe_load(Path(__file__).with_name("made_up.yml").read_text(encoding="utf-8"))
    return patterns


def write_guide(folder: Path, rigs: int, seed: int = 0) -> None:
    """Write ``rigs`` rigs and a shelf to match as YAML into ``folder``, which is made."""
    for name, data in made_up(rigs, seed):
        _write(folder / name, data)


def made_up(rigs: int, seed: int = 0) -> Iterator[tuple[str, Any]]:
    """Yield the name of each file of a guide, and what it says: the shelf first, the rigs last."""
    random = Random(seed)  # noqa: S311 - nothing here is secret
    shelf = {kind: _parts(random, kind, rigs) for kind in _patterns()["parts"]}
    for kind, parts in shelf.items():
        for start in range(0, len(parts), PARTS_IN_A_FILE):
            yield f"parts/{kind}-{start // PARTS_IN_A_FILE + 1}.yml", parts[start : start + PARTS_IN_A_FILE]
    ids = {kind: [part["id"] for part in parts] for kind, parts in shelf.items()}
    yield "guide.yml", _guide(rigs)
    yield "places.yml", [_place(random, number) for number in range(PLACES)]
    yield "targets.yml", [_target(random, number) for number in range(TARGETS)]
    yield "desk/book.yml", _book(random, rigs, ids["battery"])
    for number in range(1, rigs + 1):
        yield f"rig-{number:04d}.yml", _rig(random, ids, number)


def _write(path: Path, data: Any) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    text = yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=110)
    path.write_text(text, encoding="utf-8", newline="\n")


def fill(random: Random, pattern: Any) -> Any:
    """Return a pattern of made_up.yml with everything chosen that it leaves open."""
    if isinstance(pattern, dict):
        return {key: fill(random, value) for key, value in pattern.items()}
    if isinstance(pattern, list):
        return [fill(random, value) for value in pattern]
    if not isinstance(pattern, str):
        return pattern
    text = _RANGE.sub(lambda found: _between(random, found[1], found[2]), random.choice(pattern.split(" | ")))
    return int(text) if text.isdecimal() else _WORDS.get(text, text)


def _between(random: Random, low: str, high: str) -> str:
    decimals = len(low.partition(".")[2])
    return f"{random.uniform(float(low), float(high)):.{decimals}f}"


def _bird(random: Random) -> str:
    return random.choice(_patterns()["birds"])  # type: ignore[no-any-return]


def _notes(random: Random, most: int) -> str:
    return "\n\n".join(random.sample(_patterns()["notes"], random.randint(1, most)))


def _guide(rigs: int) -> Data:
    summary = f"A made-up loan shelf of {rigs} rigs, to measure how long a guide of this size takes to build."
    return {"name": "Measured Shelf", "summary": summary, "place": "place-0", "contact": "nobody at all"}


def _place(random: Random, number: int) -> Data:
    given = fill(random, _patterns()["place"])
    if number % 3 == 0:
        del given["seeing"]  # left to what the guide assumes
    return {"id": f"place-{number}", "name": f"{_bird(random)} Moor {number}", **given}


def _book(random: Random, rigs: int, batteries: list[str]) -> Data:
    """Return a book in which every fifth rig has been lent, one after the other, so that nothing is lent twice."""
    loans: list[Data] = []
    day = FIRST_LOAN
    for number in range(1, min(rigs, 5 * MOST_LOANS) + 1, 5):
        back = day + dt.timedelta(LOAN_DAYS - 1)
        loan = {"rig": f"rig-{number:04d}", "out": day, "due": back, "back": back, "condition_in": _notes(random, 1)}
        loans.append({**loan, "private": {"borrower": f"member {random.randint(1, 999):04d}"}})
        day += dt.timedelta(LOAN_DAYS)
    del loans[-1]["back"], loans[-1]["condition_in"]  # this one is still out
    reserved = {"rig": "rig-0001", "from": day + dt.timedelta(9), "until": day + dt.timedelta(12)}
    service = [
        {"part": id_, "what": "capacity measured", "done": FIRST_LOAN, "every": "1 year"} for id_ in batteries[:20]
    ]
    return {"loans": loans, "reservations": [reserved], "service": service}


def _target(random: Random, number: int) -> Data:
    given = fill(random, _patterns()["target"])
    if number % 4:
        # A place among the stars, a size and a magnitude: what most targets of a guide have.
        given = {"sort": given["sort"], "object": f"M {1 + number * 2}"}
    return {"id": f"target-{number}", "name": f"Target {number}", **given, "notes": _notes(random, 1)}


def _parts(random: Random, kind: str, rigs: int) -> list[Data]:
    pattern = _patterns()["parts"][kind]
    count = max(2, min(round(pattern["per_rig"] * rigs), pattern.get("most", rigs)))
    return [_part(random, kind, number) for number in range(1, count + 1)]


def _part(random: Random, kind: str, number: int) -> Data:
    pattern = _patterns()["parts"][kind]
    bird, called = _bird(random), pattern["called"]
    serial, worth = random.randint(10**6, 10**7), random.randint(20, 4000)
    sides = sorted((random.randint(40, 520) for _ in range(3)), reverse=True)
    known = {
        **fill(random, pattern["states"]),
        "mass": _mass(random, float(fill(random, pattern["mass"]))),
        "packed": " x ".join(map(str, sides)) + " mm",
        "owned": random.randint(1, 4),
        "asset": f"T-{kind[:2].upper()}-{number:03d}",
        "notes": _notes(random, 3),
        "private": {"serial": f"SN-{serial}", "value": f"{worth} EUR"},
    }
    return {
        "id": f"{kind}-{number:04d}",
        "kind": kind,
        "name": f"{bird} {random.randint(10, 999)} {called}",
        "summary": f"The {called} of the {bird.lower()} set.",
        **{key: value for key, value in known.items() if random.random() >= UNKNOWN},
    }


def _mass(random: Random, stated: float) -> str | Data:
    """Return a mass as stated, or weighed as well, with or without a tolerance."""
    if random.random() < 0.4:
        return f"{stated:.3f} kg"
    weighed = f"{stated * random.uniform(0.97, 1.06):.4f} kg" + random.choice(("", " +- 0.001 kg"))
    return {"stated": f"{stated:.3f} kg", "measured": weighed, "on": f"2026-{random.randint(1, 9):02d}-14"}


def _rig(random: Random, ids: dict[str, list[str]], number: int) -> Data:
    patterns = _patterns()
    purpose = random.sample(patterns["purposes"], random.randint(1, 3))
    travels = random.sample(patterns["travels"], random.randint(1, 2))
    experience = fill(random, patterns["experience"])
    rig: Data = {
        "id": f"rig-{number:04d}",
        "name": f"{_bird(random)} {number}, for {purpose[0]}",
        "summary": f"Made for {' and '.join(purpose)}. It goes by {travels[0]} and asks for {experience}.",
        "purpose": purpose,
        "travels": travels,
        "experience": experience,
        "train": _train(random, ids),
        "mount": random.choice(ids["mount"]),
        "tripod": random.choice(ids["tripod"]),
        **{key: _uses(random, ids, kinds) for key, kinds in patterns["lists"].items()},
        "targets": [f"target-{one}" for one in random.sample(range(TARGETS), random.randint(1, 6))],
        "notes": _notes(random, 4),
    }
    if random.random() < 0.4:
        error = f"{random.uniform(0.4, 2):.1f} arcsec"
        scope, camera = random.choice(ids["guide-scope"]), random.choice(ids["guide-camera"])
        rig["guiding"] = {"scope": scope, "camera": camera, "tracking_error": error}
    if random.random() < 0.5:
        rig["place"] = f"place-{random.randrange(PLACES)}"
    return rig


def _train(random: Random, ids: dict[str, list[str]]) -> list[str]:
    pieces = [piece["kinds"] for piece in _patterns()["train"] if random.random() < piece["often"]]
    return [random.choice(ids[fill(random, kinds)]) for kinds in ("optic", *pieces, "camera")]


def _uses(random: Random, ids: dict[str, list[str]], kinds: dict[str, str]) -> list[str | Data]:
    """Return uses as people write them: mostly a bare id, a mapping where there are several of it."""
    uses: list[str | Data] = []
    for kind, count in kinds.items():
        for id_ in random.sample(ids[kind], min(fill(random, count), len(ids[kind]))):
            several = random.random() < 0.15
            uses.append({"part": id_, "count": 2, "note": _notes(random, 1)} if several else id_)
    return uses
