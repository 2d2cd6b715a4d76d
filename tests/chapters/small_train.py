"""A small guide whose image train is sound in everything, and ways to spoil it."""

from copy import deepcopy
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding, Study
from rigleaf.chapters.image_train.study import study
from tests.chapters.small_guide import Data, catalogue

M54: Data = {"front": "M54 x 0.75 female", "rear": "M54 x 0.75 male"}

SHELF: dict[str, Data] = {
    "tube": {
        "kind": "optic", "name": "Tube", "form": "refractor", "aperture": "80 mm", "focal_length": "480 mm",
        "image_circle": "44 mm", "rear": "M54 x 0.75 male", "rear_clear_aperture": "52 mm", "needs_collimation": False,
    },
    "reducer": {
        "kind": "corrector", "name": "Reducer", "factor": "0.8", "image_circle": "44 mm", **M54,
        "optical_length": "20 mm", "clear_aperture": "50 mm", "back_focus": {"distance": "55 mm +- 0.5 mm"},
    },
    "drawer": {"kind": "filter-drawer", "name": "Drawer", **M54, "optical_length": "20 mm", "clear_aperture": "50 mm",
               "filter_size": "2 in cell"},
    "glass": {"kind": "filter", "name": "Glass", "mount_size": "2 in cell", "clear_aperture": "48 mm",
              "glass_thickness": "3 mm", "glass_index": "1.5",
              "bands": [{"centre": "550 nm", "width": "300 nm", "transmission": "95 %"}]},
    "ring": {"kind": "spacer", "name": "Ring", **M54, "optical_length": "18.5 mm", "clear_aperture": "50 mm"},
    "camera": {
        "kind": "camera", "name": "Camera", "front": "M54 x 0.75 female", "flange_to_sensor": "17.5 mm",
        "clear_aperture": "50 mm", "sensor": {"pixels": "6248 x 4176", "pixel": "3.76 um", "mosaic": "mono"},
    },
}  # fmt: skip
"""The reducer wants 55 mm; 20 + 18.5 + 17.5 mm, less 1 mm for 3 mm of glass with the index 1.5, is just that."""

TRAIN = ["tube", "reducer", "drawer", "glass", "ring", "camera"]

DUO: Data = {"guide_sensor": {"pixels": "1920 x 1080", "pixel": "2.9 um", "offset": ["0 mm", "-16 mm"]}}
"""What makes the camera one with a second sensor beside the first."""


def shelf(**changes: Data | None) -> dict[str, Data]:
    """Return SHELF with changed or added parts; a value of None leaves a property out, and so does None for a part."""
    found = deepcopy(SHELF)
    for name, change in changes.items():
        id_ = name.replace("_", "-")
        part = {**found.get(id_, {}), **(change or {})}
        found[id_] = {key: value for key, value in part.items() if value is not None}
        if change is None:
            del found[id_]
    return found


def made(parts: dict[str, Data] | None = None, train: list[str] | None = None, **rig: Any) -> Catalogue:
    """Return the catalogue of a shelf and a rig with this train, and nothing else."""
    bare: Data = {"mount": None, "tripod": None, "riders": [], "counterweights": [], "power": []}
    choices = rig.pop("choices", None)
    whole = {**bare, "train": train or TRAIN, **rig}
    return catalogue(SHELF if parts is None else parts, rig=whole, choices=choices)


def judged(parts: dict[str, Data] | None = None, train: list[str] | None = None, **rig: Any) -> Study:
    """Return what the chapter on the image train says."""
    found = made(parts, train, **rig)
    return study(Assembly(found, found.rigs["rig"]))


def spacer(length: float, **more: Any) -> Data:
    """A spacer of this length in mm, M54 at both ends unless said otherwise."""
    return {"kind": "spacer", "name": f"Spacer {length:g}", **M54, "optical_length": f"{length!r} mm", **more}


def verdicts(found: Study) -> dict[str, str]:
    """Return the verdict of each finding by its id."""
    return {one.id: one.verdict for one in found.findings}


def unsound(found: Study) -> list[Finding]:
    """Return the findings that are not sound."""
    return [one for one in found.findings if one.verdict != "sound"]
