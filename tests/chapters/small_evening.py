"""A small guide that can be set up in a field on a night, and ways to spoil it."""

from collections.abc import Sequence
from copy import deepcopy
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Place, Target
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study, Table
from rigleaf.chapters.night_out.chosen import chosen_night
from rigleaf.chapters.setting_up.schedule import Schedule, schedule
from rigleaf.chapters.setting_up.study import study
from tests.chapters.small_guide import Data, catalogue

SHELF: dict[str, Data] = {
    "tube": {"kind": "optic", "name": "Tube", "form": "newtonian", "aperture": "150 mm", "focal_length": "750 mm",
             "tube_length": "700 mm", "tube_material": "carbon fibre", "cool_down": "40 min", "needs_collimation": True,
             "mass": "5 kg"},
    "camera": {"kind": "camera", "name": "Camera", "mass": "1 kg", "cooling_depth": "30 K",
               "sensor": {"pixels": "6248 x 4176", "pixel": "3.76 um"},
               "guide_sensor": {"pixels": "1920 x 1080", "pixel": "2.9 um"}, "power": {"working": "15 W"}},
    "motor": {"kind": "focuser-motor", "name": "Motor", "step": "3 um", "mass": "0.2 kg", "power": {"working": "1 W"}},
    "head": {"kind": "mount", "name": "Head", "drive": "worm", "mass": "10 kg", "power": {"working": "8 W"}},
    "weight": {"kind": "counterweight", "name": "Weight", "mass": "5 kg"},
    "legs": {"kind": "tripod", "name": "Legs", "mass": "5 kg"},
    "battery": {"kind": "battery", "name": "Battery", "chemistry": "lifepo4", "marked_energy": "2000 Wh",
                "nominal_voltage": "12.8 V", "mass": "10 kg", "outlets": [{"kind": "12 V", "efficiency": "100 %"}]},
    "lead": {"kind": "cable", "name": "Lead", "carries": "power", "mass": "0.1 kg"},
    "filter": {"kind": "front-filter", "name": "Front filter", "mass": "0.2 kg"},
    "lens": {"kind": "optic", "name": "Lens", "form": "lens", "aperture": "20 mm", "focal_length": "50 mm",
             "mass": "0.5 kg"},
    "box": {"kind": "bag", "name": "Box", "mass": "3 kg"},
}  # fmt: skip
RIG: Data = {
    "train": ["tube", "camera"], "riders": ["motor"], "mount": "head", "tripod": "legs", "power": ["battery", "lead"],
    "counterweights": [{"part": "weight", "count": 2}], "bags": [{"part": "box", "count": 4}], "travels": ["car"],
    "purpose": ["galaxies"], "place": "field", "targets": [], "night": {"date": "2027-03-10"},
}  # fmt: skip
FIELD: Data = {"id": "field", "name": "Field", "latitude": "50 deg", "longitude": "7 deg", "timezone": "Europe/Berlin",
               "night_temperature": ["0 degC"] * 12, "night_humidity": ["40 %"] * 12, "walk": "60 m"}  # fmt: skip
HIGH: Data = {"id": "high", "name": "High", "sort": "galaxy", "ra": "180 deg", "dec": "40 deg"}


def made(
    shelf: dict[str, Data] | None = None,
    where: Data | None = None,
    aims: Sequence[Data] = (),
    guide_steps: Data | None = None,
    **rig: Any,
) -> Assembly:
    """Return the assembly of a rig: RIG with changes, at FIELD with changes, aimed at some targets.

    None leaves a property out.
    """
    parts = deepcopy(SHELF)
    for id_, change in (shelf or {}).items():
        parts[id_] = {key: value for key, value in {**parts.get(id_, {}), **change}.items() if value is not None}
    field = {key: value for key, value in {**FIELD, **(where or {})}.items() if value is not None}
    whole = {key: value for key, value in {**RIG, "targets": [one["id"] for one in aims], **rig}.items() if value}
    bare: Data = {"riders": [], "counterweights": [], "power": [], "train": [], "mount": None, "tripod": None}
    found = catalogue(parts, rig={**bare, **whole}, steps=guide_steps or {})
    guide = Catalogue(
        found.root, found.guide, found.parts, found.rigs, {"field": Place.model_validate(field)},
        {one["id"]: Target.model_validate(one) for one in aims},
    )  # fmt: skip
    return Assembly(guide, guide.rigs["rig"])


def evening(assembly: Assembly) -> Schedule:
    """Return the times of a rig's night, which must be known."""
    night = chosen_night(assembly)
    assert night is not None
    return schedule(assembly, night)


def said(assembly: Assembly) -> Study:
    """Return what the chapter says about a rig."""
    return study(assembly)


def table(found: Study, id_: str) -> Table:
    """Return the table of that id, which must be there once."""
    (one,) = (table for table in found.tables if table.id == id_)
    return one


def lines(found: Study, id_: str) -> list[str]:
    """Return the names of a checklist's lines."""
    return [row[0].text for row in table(found, id_).rows]
