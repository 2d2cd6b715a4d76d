"""A small guide that has everything the chapter on power asks for, and ways to spoil it."""

from copy import deepcopy
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Place
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study
from rigleaf.chapters.power_for_the_night.budget import Budget, night_budget
from rigleaf.chapters.power_for_the_night.study import study
from tests.chapters.small_guide import Data, catalogue

SHELF: dict[str, Data] = {
    "tube": {"kind": "optic", "name": "Tube", "form": "refractor", "aperture": "80 mm", "focal_length": "480 mm"},
    "camera": {
        "kind": "camera", "name": "Camera", "cooling_depth": "35 K",
        "power": {"idle": "4 W", "working": "15 W", "peak": "36 W", "voltage": "12 V", "lowest_voltage": "11 V"},
    },
    "head": {
        "kind": "mount", "name": "Head", "drive": "worm",
        "power": {"idle": "4 W", "working": "6 W", "peak": "30 W", "voltage": "12 V", "lowest_voltage": "11 V"},
    },
    "hub": {
        "kind": "hub", "name": "Hub", "current_limit": "10 A",
        "outlets": [{"kind": "barrel", "count": 4, "voltage": "12 V", "current_limit": "5 A"}],
        "power": {"working": "2 W", "voltage": "12 V", "lowest_voltage": "11 V"},
    },
    "battery": {
        "kind": "battery", "name": "Battery", "chemistry": "lifepo4", "nominal_voltage": "12.8 V", "charge": "40 Ah",
        "outlets": [{"kind": "barrel", "count": 2, "voltage": "12.8 V", "current_limit": "10 A",
                     "efficiency": "100 %"}],
        "current_limit": "20 A", "installed": False, "mass": "5 kg", "owned": 1,
    },
    "trunk": {"kind": "cable", "name": "Trunk", "carries": "power", "gauge": 16, "length": "2 m", "ends": "barrels"},
    "branch": {"kind": "cable", "name": "Branch", "carries": "power", "gauge": 18, "length": "0.5 m",
               "ends": "barrels"},
}  # fmt: skip
"""A shelf and a rig of which nothing that matters here is unsaid, but for the mass of what stays at its place."""

FEEDS: list[Data] = [
    {"source": "battery", "lead": "trunk", "to": ["hub"]},
    {"source": "hub", "lead": "branch", "to": ["camera", "head"]},
]
POWER: list[Any] = ["battery", "trunk", {"part": "branch", "count": 2}, "hub"]

FIELD: Data = {
    "id": "field", "name": "Field", "latitude": "50 deg", "longitude": "7 deg", "timezone": "Europe/Berlin",
    "night_temperature": ["1 degC"] * 12, "night_humidity": ["60 %"] * 12,
}  # fmt: skip


def shelf(**changes: Data | None) -> dict[str, Data]:
    """Return SHELF with changed or added parts; None leaves a property out."""
    found = deepcopy(SHELF)
    for id_, change in changes.items():
        part = {**found.get(id_, {}), **(change or {})}
        found[id_] = {key: value for key, value in part.items() if value is not None}
    return found


def made(parts: dict[str, Data] | None = None, choices: Data | None = None, **rig: Any) -> Catalogue:
    """Return the catalogue of a shelf, one place and a rig."""
    place = {key: value for key, value in {**FIELD, **(rig.pop("at", None) or {})}.items() if value is not None}
    whole: Data = {
        "train": ["tube", "camera"], "riders": [], "mount": "head", "counterweights": [], "tripod": None,
        "power": POWER, "feeds": FEEDS, "place": "field", "purpose": ["nebulae"], **rig,
    }  # fmt: skip
    wanted = {"battery_warmth": "0 K", "night_cooling": "8 K", **(choices or {})}
    found = catalogue(SHELF if parts is None else parts, rig=whole, choices=wanted, year=2027)
    places = {"field": Place.model_validate(place)}
    used = {part.id: ("rig",) for part in found.parts.values()}
    return Catalogue(found.root, found.guide, found.parts, found.rigs, places, used_by=used)


def assembled(parts: dict[str, Data] | None = None, **more: Any) -> tuple[Assembly, Budget]:
    """Return the rig and the budget of its night, which must be known."""
    found = made(parts, **more)
    assembly = Assembly(found, found.rigs["rig"])
    budget = night_budget(assembly)
    assert budget is not None
    return assembly, budget


def power(parts: dict[str, Data] | None = None, **more: Any) -> Study:
    """Return what the chapter says about the rig."""
    found = made(parts, **more)
    return study(Assembly(found, found.rigs["rig"]))
