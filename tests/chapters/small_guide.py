"""Small guides made in memory: parts as YAML would state them, without files."""

from collections.abc import Iterable, Mapping
from copy import deepcopy
from pathlib import Path
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Guide, Place
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.rig import Rig
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding, Study
from rigleaf.chapters.scale_and_field.study import study as study_scale
from rigleaf.chapters.what_it_weighs.study import study as study_mass

Data = dict[str, Any]

PARTS: dict[str, Data] = {
    "tube": {
        "kind": "optic", "name": "Tube", "form": "refractor", "aperture": "80 mm",
        "focal_length": "480 mm", "image_circle": "44 mm",
        "tube_length": "400 mm", "tube_material": "aluminium", "mass": {"stated": "2.6 kg",
        "measured": "2.9 kg", "on": "2026-03-01"},
    },
    "reducer": {"kind": "corrector", "name": "Reducer", "factor": "0.8", "image_circle": "40 mm",
    "mass": "0.3 kg"},
    "camera": {
        "kind": "camera", "name": "Camera", "mass": "700 g",
        "sensor": {"pixels": "6248 x 4176", "pixel": "3.76 um", "mosaic": "mono"},
        "guide_sensor": {"pixels": "1920 x 1080", "pixel": "2.9 um", "offset": ["0 mm", "-17.5 mm"]},
    },
    "motor": {"kind": "focuser-motor", "name": "Motor", "step": "4 um", "mass": "200 g"},
    "head": {"kind": "mount", "name": "Head", "mass": "4 kg +- 0.1 kg"},
    "weight": {"kind": "counterweight", "name": "Weight", "mass": "2 kg +- 0.05 kg"},
    "legs": {"kind": "tripod", "name": "Legs", "mass": "3 kg"},
    "battery": {"kind": "battery", "name": "Battery", "mass": "1.5 kg"},
}  # fmt: skip
"""A shelf on which nothing that the chapters ask for is unsaid."""

RIG: Data = {
    "id": "rig", "name": "Rig", "train": ["tube", "reducer", "camera"], "riders": ["motor"], "mount": "head",
    "counterweights": [{"part": "weight", "count": 2}], "tripod": "legs", "power": ["battery"],
}  # fmt: skip

CHOICES: Data = {
    "seeing": "3 arcsec", "target_altitude": "90 deg", "tracking_error": "0 arcsec",
    "wavelength": "500 nm", "lost_contrast": "10 %",
    "focus_steps": "5", "night_cooling": "8 K",
}  # fmt: skip


def parts(**changes: Data | None) -> dict[str, Data]:
    """Return PARTS with changed, added or (None) missing properties: ``parts(tube={"aperture": None})``."""
    found = deepcopy(PARTS)
    for id_, change in changes.items():
        part = found.setdefault(id_, {})
        for key, value in (change or {}).items():
            if value is None:
                part.pop(key, None)
            else:
                part[key] = value
    return found


def catalogue(
    shelf: Mapping[str, Data] | None = None,
    rig: Data | None = None,
    choices: Data | None = None,
    **guide: Any,
) -> Catalogue:
    """Return the catalogue of a shelf and one rig."""
    stated = PARTS if shelf is None else shelf
    made: dict[str, Part] = {
        id_: KINDS[data["kind"]].model.model_validate({"id": id_, **data}) for id_, data in stated.items()
    }
    one = Rig.model_validate({**RIG, **(rig or {})})
    whole = Guide.model_validate({"name": "Guide", "choices": {**CHOICES, **(choices or {})}, **guide})
    return Catalogue(Path(), whole, made, {one.id: one}, places={})


def with_place(found: Catalogue, **place: Any) -> Catalogue:
    """Return the catalogue with one place, called "field"."""
    return Catalogue(
        found.root,
        found.guide,
        found.parts,
        found.rigs,
        {"field": Place.model_validate({"id": "field", "name": "Field", **place})},
    )


def scale(found: Catalogue) -> Study:
    """Return what the chapter on scale and field says about the one rig."""
    return study_scale(Assembly(found, found.rigs["rig"]))


def mass(found: Catalogue) -> Study:
    """Return what the chapter on masses says about the one rig."""
    return study_mass(Assembly(found, found.rigs["rig"]))


def finding(study: Study, id_: str) -> Finding:
    """Return the finding of that id, which must be there once."""
    (found,) = (one for one in study.findings if one.id == id_)
    return found


def number(study: Study, id_: str) -> float:
    """Return a figure's number, which must be known."""
    value = study.value(id_)
    assert value is not None, id_
    return value


def ids(findings: Iterable[Finding]) -> list[str]:
    """Return the ids of findings."""
    return [one.id for one in findings]
