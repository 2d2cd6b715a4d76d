"""A small guide that has everything the chapter on guiding and exposure asks for, and ways to spoil it."""

from copy import deepcopy
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Place, Target
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study
from rigleaf.chapters.guiding_and_exposure.study import study
from tests.chapters.small_guide import Data, catalogue

SHELF: dict[str, Data] = {
    "tube": {
        "kind": "optic", "name": "Tube", "form": "refractor", "aperture": "80 mm", "focal_length": "480 mm",
        "transmission": "90 %",
    },
    "glass": {"kind": "filter", "name": "Glass",
              "bands": [{"centre": "550 nm", "width": "300 nm", "transmission": "95 %"}]},
    "narrow": {"kind": "filter", "name": "Narrow",
               "bands": [{"centre": "500.7 nm", "width": "7 nm", "transmission": "90 %"},
                         {"centre": "656.3 nm", "width": "7 nm", "transmission": "90 %"}]},
    "camera": {
        "kind": "camera", "name": "Camera", "storage": "1000 GB",
        "sensor": {"pixels": "6248 x 4176", "pixel": "3.76 um", "mosaic": "colour", "read_noise": "1.5 e-",
                   "full_well": "40000 e-", "dark_current": "0.002 e-/s", "quantum_efficiency": "80 %"},
        "guide_sensor": {"pixels": "1920 x 1080", "pixel": "2.9 um", "offset": ["0 mm", "-17.5 mm"],
                         "read_noise": "1.1 e-", "quantum_efficiency": "80 %"},
    },
    "mount": {"kind": "mount", "name": "Mount", "drive": "worm", "periodic_error": "10 arcsec", "period": "480 s"},
}  # fmt: skip

SPARE: dict[str, Data] = {
    "scope": {"kind": "guide-scope", "name": "Guide scope", "aperture": "50 mm", "focal_length": "200 mm"},
    "eye": {"kind": "guide-camera", "name": "Guide eye",
            "sensor": {"pixels": "1936 x 1096", "pixel": "2.9 um", "mosaic": "mono", "read_noise": "1.2 e-",
                       "quantum_efficiency": "80 %"}},
}  # fmt: skip

STRAIN_WAVE: Data = {"drive": "strain-wave", "periodic_error": "34 arcsec", "period": "430 s"}

GALAXY: Data = {"id": "galaxy", "name": "Galaxy", "sort": "galaxy", "ra": "180 deg", "dec": "40 deg",
                "major_axis": "60 arcmin", "minor_axis": "60 arcmin", "magnitude": "4.5"}  # fmt: skip
NEBULA: Data = {**GALAXY, "id": "nebula", "name": "Nebula", "sort": "nebula", "ra": "90 deg", "dec": "5 deg"}

FIELD: Data = {"id": "field", "name": "Field", "latitude": "50 deg", "longitude": "7 deg",
               "sky_brightness": "21 mag/arcsec2", "seeing": "2.5 arcsec"}  # fmt: skip

TRAIN = ["tube", "glass", "camera"]


def shelf(*spares: str, **changes: Data | None) -> dict[str, Data]:
    """Return SHELF with spare parts, changed or added parts; None leaves a property out."""
    found = deepcopy(SHELF) | {id_: deepcopy(SPARE[id_]) for id_ in spares}
    for id_, change in changes.items():
        part = {**found.get(id_, {}), **(change or {})}
        found[id_] = {key: value for key, value in part.items() if value is not None}
    return found


def sensor(**changes: Any) -> Data:
    """A change of the camera: its main sensor with changed properties; None leaves one out."""
    made = {**SHELF["camera"]["sensor"], **changes}
    return {"sensor": {key: value for key, value in made.items() if value is not None}}


def made(
    parts: dict[str, Data] | None = None,
    targets: list[Data] | None = None,
    places: list[Data] | None = None,
    choices: Data | None = None,
    **rig: Any,
) -> Catalogue:
    """Return the catalogue of a shelf, targets, places and a rig."""
    bare: Data = {"mount": "mount", "tripod": None, "riders": [], "counterweights": [], "power": [], "train": TRAIN}
    aims = [GALAXY] if targets is None else targets
    whole: Data = {**bare, "targets": [one["id"] for one in aims], "place": "field", **rig}
    wanted: Data = {"seeing": None, "tracking_error": "0.7 arcsec", "target_altitude": "50 deg", "wavelength": None}
    found = catalogue(SHELF if parts is None else parts, rig=whole, choices=wanted | (choices or {}))
    known = [Place.model_validate(one) for one in ([FIELD] if places is None else places)]
    return Catalogue(
        found.root, found.guide, found.parts, found.rigs, {one.id: one for one in known},
        {one["id"]: Target.model_validate(one) for one in aims},
    )  # fmt: skip


def night(parts: dict[str, Data] | None = None, **more: Any) -> Study:
    """Return what the chapter says about the rig."""
    found = made(parts, **more)
    return study(Assembly(found, found.rigs["rig"]))
