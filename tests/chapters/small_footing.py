"""A small guide that has everything the chapter on footing asks for, and ways to spoil it."""

from copy import deepcopy
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Place
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study
from rigleaf.chapters.footing.above import Above, above
from rigleaf.chapters.footing.stance import Stance, stance, tripod_of
from rigleaf.chapters.footing.study import study
from tests.chapters.small_guide import Data, catalogue

SHELF: dict[str, Data] = {
    "tube": {
        "kind": "optic", "name": "Tube", "mass": "4 kg", "tube_length": "400 mm", "dew_shield": "100 mm",
        "tube_diameter": "100 mm",
    },
    "camera": {"kind": "camera", "name": "Camera", "mass": "1 kg", "packed": "100 x 80 x 80 mm"},
    "rings": {"kind": "fixing", "name": "Rings", "mass": "0.5 kg", "axis_height": "60 mm", "dovetail": "44 mm"},
    "head": {
        "kind": "mount", "name": "Head", "drive": "worm", "mass": "5 kg", "hinge_height": "100 mm",
        "polar_length": "120 mm", "saddle_distance": "140 mm", "bar_start": "100 mm", "packed": "250 x 200 x 150 mm",
        "base": "3/8-16 UNC female", "counterweight_bar": "20 mm",
    },
    "bar": {"kind": "counterweight-bar", "name": "Bar", "mass": "0.6 kg", "usable_length": "250 mm"},
    "weight": {"kind": "counterweight", "name": "Weight", "mass": "4 kg"},
    "legs": {
        "kind": "tripod", "name": "Legs", "mass": "3 kg", "foot_radius": "500 mm", "height": "900 mm",
        "leg_width": "30 mm", "hook": True, "top": "3/8-16 UNC male", "capacity": "40 kg",
    },
    "battery": {"kind": "battery", "name": "Battery", "mass": "3 kg"},
}  # fmt: skip

SPARE: dict[str, Data] = {
    "canister": {"kind": "sundry", "name": "Canister", "mass": "0.2 kg", "ballast": "10 kg", "owned": 3},
    "broad": {
        "kind": "tripod", "name": "Broad legs", "mass": "8 kg", "foot_radius": "800 mm", "height": "800 mm",
        "leg_width": "30 mm", "hook": True, "top": "3/8-16 UNC male", "capacity": "60 kg", "owned": 1,
    },
}  # fmt: skip

FIELD: Data = {"id": "field", "name": "Field", "latitude": "50 deg", "longitude": "7 deg", "elevation": "500 m"}

TRAIN, RIDERS, COUNTER = ["tube", "camera"], ["rings"], ["bar", "weight"]


def shelf(*spares: str, **changes: Data) -> dict[str, Data]:
    """Return SHELF with spare parts and changed properties; None leaves one out."""
    found = deepcopy(SHELF) | {id_: deepcopy(SPARE[id_]) for id_ in spares}
    for id_, change in changes.items():
        part = {**found.get(id_, {}), **change}
        found[id_] = {key: value for key, value in part.items() if value is not None}
    return found


def made(
    parts: dict[str, Data] | None = None, place: Data | None = None, choices: Data | None = None, **rig: Any
) -> Catalogue:
    """Return the catalogue of a shelf, a place and a rig with counterweight."""
    whole: Data = {
        "train": TRAIN, "riders": RIDERS, "mount": "head", "counterweights": COUNTER, "tripod": "legs", "power": [],
        "place": "field", **rig,
    }  # fmt: skip
    found = catalogue(SHELF if parts is None else parts, rig=whole, choices=choices)
    stated = {key: value for key, value in (FIELD | (place or {})).items() if value is not None}
    where = Place.model_validate(stated)
    return Catalogue(found.root, found.guide, found.parts, found.rigs, {"field": where})


def assembly(*args: Any, **more: Any) -> Assembly:
    """Return the rig of such a catalogue."""
    found = made(*args, **more)
    return Assembly(found, found.rigs["rig"])


def footing(*args: Any, **more: Any) -> Study:
    """Return what the chapter says about the rig."""
    return study(assembly(*args, **more))


def standing(*args: Any, **more: Any) -> tuple[Above, Stance]:
    """Return what stands on the tripod and how; both must be known."""
    rig = assembly(*args, **more)
    load, _ = above(rig)
    tripod = tripod_of(rig)
    assert load is not None
    assert tripod is not None
    found = stance(load, tripod)
    assert found is not None
    return load, found
