"""A small rig with bags: every part and bag has its size, its mass and its limit."""

from copy import deepcopy

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study
from rigleaf.chapters.in_the_bag.packed import Packed, packed
from rigleaf.chapters.in_the_bag.study import study
from tests.chapters.small_guide import Data, catalogue

PARTS: dict[str, Data] = {
    "tube": {"kind": "optic", "name": "Tube", "packed": "400 x 130 x 120 mm", "mass": "3 kg"},
    "camera": {"kind": "camera", "name": "Camera", "packed": "120 x 90 x 90 mm", "mass": "0.6 kg"},
    "head": {"kind": "mount", "name": "Head", "packed": "230 x 180 x 135 mm", "mass": "4 kg"},
    "weight": {"kind": "counterweight", "name": "Weight", "packed": "110 x 110 x 60 mm", "mass": "2 kg"},
    "legs": {"kind": "tripod", "name": "Legs", "packed": "600 x 130 x 130 mm", "mass": "2 kg"},
    "battery": {"kind": "battery", "name": "Battery", "packed": "185 x 80 x 165 mm", "mass": "3 kg",
                "chemistry": "sealed lead-acid"},
    "lead": {"kind": "cable", "name": "Lead", "packed": "100 x 80 x 30 mm", "mass": "0.1 kg"},
    "case": {"kind": "bag", "name": "Case", "inner": "700 x 400 x 250 mm", "outer": "750 x 450 x 300 mm",
             "load_limit": "25 kg", "mass": "5 kg", "goes_in": "hold", "owned": 1},
    "sack": {"kind": "bag", "name": "Sack", "inner": "500 x 300 x 180 mm", "outer": "550 x 350 x 220 mm",
             "load_limit": "10 kg", "mass": "1 kg", "goes_in": "cabin", "owned": 1},
}  # fmt: skip
RIG: Data = {
    "train": ["tube", "camera"], "riders": [], "mount": "head", "counterweights": ["weight"], "tripod": "legs",
    "power": ["battery", {"part": "lead", "count": 2}], "bags": ["case", "sack"],
}  # fmt: skip


def bags_of(rig: Data | None = None, choices: Data | None = None, **changes: Data | None) -> Assembly:
    """Return the small rig with changed, added or (None) missing properties of its parts."""
    shelf = deepcopy(PARTS)
    for id_, change in changes.items():
        part = shelf.setdefault(id_, {})
        for key, value in (change or {}).items():
            if value is None:
                part.pop(key, None)
            else:
                part[key] = value
    found = catalogue(shelf, {**RIG, **(rig or {})}, choices)
    return Assembly(found, found.rigs["rig"])


def bags(rig: Data | None = None, choices: Data | None = None, **changes: Data | None) -> Study:
    """Return what the chapter says about it."""
    return study(bags_of(rig, choices, **changes))


def inside(found: Packed) -> dict[str, list[str]]:
    """Return the ids of the parts in each bag."""
    return {bag.bag.key: sorted(found.kit.parts[n].id for n in bag.contents) for bag in found.bags}


def packing(rig: Data | None = None, choices: Data | None = None, **changes: Data | None) -> Packed:
    """Return it packed."""
    return packed(bags_of(rig, choices, **changes))
