"""Writes a made-up guide of so many rigs to a folder: the same seed gives the same files, to the byte.

Every number in it is random: it is there to be built, not to be read.
"""

from pathlib import Path
from random import Random
from typing import Any

import yaml

from tests.bench.shelf import BIRDS, NOTES, Data, Shelf, make_shelf

PARTS_IN_A_FILE = 150
"""Keeps each file far below the reader's limits, and about as long as people keep theirs."""

PLACES, TARGETS = 6, 40
PURPOSES = ("wide field", "nebulae", "galaxies", "star clusters", "comets", "Milky Way", "Moon", "Sun", "planets")
TRAVELS = ("hand luggage", "hold luggage", "on foot", "bicycle", "train", "car", "stays put")
EXPERIENCES = ("first night", "some nights", "many nights")
SORTS = ("nebula", "galaxy", "star cluster", "comet", "Milky Way", "Moon", "Sun", "planet")

# Between optic and camera, from sky to sensor: kinds of which one piece is taken, and how often.
TRAIN: tuple[tuple[tuple[str, ...], float], ...] = (
    (("corrector",), 0.8), (("rotator",), 0.3), (("adapter",), 0.6), (("filter-drawer", "filter-wheel"), 0.7),
    (("filter",), 0.7), (("off-axis-pick-off",), 0.2), (("spacer",), 0.6), (("tilt-plate", "shim"), 0.2),
)  # fmt: skip

# Lists of a rig: kinds, with the least and the most of each.
LISTS: dict[str, tuple[tuple[str, int, int], ...]] = {
    "riders": (("fixing", 1, 2), ("focuser-motor", 0, 1), ("dew-heater", 0, 2), ("computer", 0, 1), ("hub", 0, 1)),
    "counterweights": (("counterweight-bar", 0, 1), ("counterweight", 0, 2)),
    "power": (("battery", 1, 2), ("cable", 2, 5), ("charger", 0, 1), ("mains-supply", 0, 1), ("car-lead", 0, 1)),
    "bags": (("bag", 1, 2),),
    "carried": (("tool", 1, 2), ("spare", 0, 2), ("liquid", 0, 1), ("sundry", 0, 2), ("hand-controller", 0, 1)),
}


def write_guide(folder: Path, rigs: int, seed: int = 0) -> None:
    """Write ``rigs`` rigs and a shelf to match as YAML into ``folder``, which is made."""
    random = Random(seed)  # noqa: S311 - nothing here is secret
    shelf = make_shelf(random, rigs)
    (folder / "parts").mkdir(parents=True)
    for kind in dict.fromkeys(part["kind"] for part in shelf.parts):
        parts = [part for part in shelf.parts if part["kind"] == kind]
        for start in range(0, len(parts), PARTS_IN_A_FILE):
            number = start // PARTS_IN_A_FILE + 1
            _write(folder / "parts" / f"{kind}-{number}.yml", parts[start : start + PARTS_IN_A_FILE])
    _write(folder / "guide.yml", _guide(rigs))
    _write(folder / "places.yml", [_place(random, number) for number in range(PLACES)])
    _write(folder / "targets.yml", [_target(random, number) for number in range(TARGETS)])
    for number in range(1, rigs + 1):
        _write(folder / f"rig-{number:04d}.yml", _rig(random, shelf, number))


def _write(path: Path, data: Any) -> None:
    text = yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=110)
    path.write_text(text, encoding="utf-8", newline="\n")


def _guide(rigs: int) -> Data:
    summary = f"A made-up loan shelf of {rigs} rigs, to measure how long a guide of this size takes to build."
    return {"name": "Measured Shelf", "summary": summary, "place": "place-0", "contact": "nobody at all"}


def _place(random: Random, number: int) -> Data:
    place: Data = {
        "id": f"place-{number}",
        "name": f"{random.choice(BIRDS)} Moor {number}",
        "latitude": f"{random.uniform(-40, 60):.2f} deg",
        "longitude": f"{random.uniform(-180, 180):.2f} deg",
        "elevation": f"{random.randint(0, 2400)} m",
        "sky_brightness": f"{random.uniform(18, 22):.1f} mag/arcsec2",
    }
    if number % 3:  # the others leave it to the guide
        place["seeing"] = f"{random.uniform(1.2, 4):.1f} arcsec"
    return place


def _target(random: Random, number: int) -> Data:
    return {
        "id": f"target-{number}",
        "name": f"Target {number}",
        "sort": random.choice(SORTS),
        "notes": random.choice(NOTES),
    }


def _rig(random: Random, shelf: Shelf, number: int) -> Data:
    bird = random.choice(BIRDS)
    purpose = random.sample(PURPOSES, random.randint(1, 3))
    travels = random.sample(TRAVELS, random.randint(1, 2))
    experience = random.choice(EXPERIENCES)
    rig: Data = {
        "id": f"rig-{number:04d}",
        "name": f"{bird} {number}, for {purpose[0]}",
        "summary": f"Put together for {' and '.join(purpose)}. It goes by {travels[0]} and asks for {experience}.",
        "purpose": purpose,
        "travels": travels,
        "experience": experience,
        "train": _train(random, shelf),
        "mount": random.choice(shelf.of("mount")),
        "tripod": random.choice(shelf.of("tripod")),
        **{key: _uses(random, shelf, kinds) for key, kinds in LISTS.items()},
        "targets": [f"target-{one}" for one in sorted(random.sample(range(TARGETS), random.randint(1, 6)))],
        "notes": "\n\n".join(random.sample(NOTES, random.randint(1, 4))),
    }
    if random.random() < 0.4:
        rig["guiding"] = {
            "scope": random.choice(shelf.of("guide-scope")),
            "camera": random.choice(shelf.of("guide-camera")),
            "tracking_error": f"{random.uniform(0.4, 2):.1f} arcsec",
        }
    if random.random() < 0.5:
        rig["place"] = f"place-{random.randrange(PLACES)}"
    return {key: value for key, value in rig.items() if value != []}


def _train(random: Random, shelf: Shelf) -> list[str]:
    between = [random.choice(shelf.of(random.choice(kinds))) for kinds, often in TRAIN if random.random() < often]
    return [random.choice(shelf.of("optic")), *between, random.choice(shelf.of("camera"))]


def _uses(random: Random, shelf: Shelf, kinds: tuple[tuple[str, int, int], ...]) -> list[str | Data]:
    """Return uses as people write them: mostly a bare id, a mapping where there are several or a word is due."""
    uses: list[str | Data] = []
    for kind, least, most in kinds:
        for id_ in random.sample(shelf.of(kind), min(random.randint(least, most), len(shelf.of(kind)))):
            if random.random() < 0.15:
                uses.append({"part": id_, "count": random.randint(1, 3), "note": random.choice(NOTES)})
            else:
                uses.append(id_)
    return uses
