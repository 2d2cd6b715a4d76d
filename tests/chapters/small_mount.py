"""A small guide about mounts: two heads, weights and bars, and a tripod, all with round numbers."""

from copy import deepcopy

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study
from rigleaf.chapters.on_the_mount.study import study
from tests.chapters.small_guide import Data, catalogue, with_place

SHELF: dict[str, Data] = {
    "tube": {"kind": "optic", "name": "Tube", "mass": "5 kg", "tube_diameter": "100 mm"},
    "rings": {
        "kind": "fixing", "name": "Rings", "mass": "1 kg", "dovetail": "44 mm", "axis_height": "70 mm",
        "holds_diameter": "90 mm",
    },
    "head": {
        "kind": "mount", "name": "Head", "mass": "3 kg", "drive": "strain-wave", "capacity": "10 kg",
        "capacity_with_counterweight": "15 kg", "rated_torque": "20 N m", "saddles": ["44 mm", "75 mm"],
        "base": "3/8-16 UNC female", "counterweight_bar": "20 mm", "bar_start": "100 mm", "saddle_distance": "90 mm",
    },
    "worm": {
        "kind": "mount", "name": "Worm", "mass": "11 kg", "drive": "worm", "capacity_with_counterweight": "14 kg",
        "saddles": ["44 mm"], "base": "M10 x 1.5 female", "counterweight_bar": "20 mm", "bar_start": "100 mm",
        "saddle_distance": "130 mm",
    },
    "bar": {
        "kind": "counterweight-bar", "name": "Bar", "mass": "0.5 kg", "diameter": "20 mm", "usable_length": "200 mm",
    },
    "weight": {
        "kind": "counterweight", "name": "Weight", "mass": "4 kg", "bore": "20 mm", "packed": "100 x 100 x 60 mm",
        "owned": 2,
    },
    "legs": {
        "kind": "tripod", "name": "Legs", "mass": "4 kg", "form": "field tripod", "capacity": "40 kg",
        "top": "3/8-16 UNC male",
    },
    "posts": {
        "kind": "tripod", "name": "Posts", "mass": "6 kg", "form": "field tripod", "capacity": "50 kg",
        "top": "M10 x 1.5 male",
    },
}  # fmt: skip
"""6 kg of load, 160 mm from the polar axis of the head and 200 mm from that of the worm mount."""

RIG: Data = {
    "train": ["tube"], "riders": ["rings"], "mount": "head", "tripod": "legs",
    "counterweights": [], "power": [], "purpose": ["nebulae"],
}  # fmt: skip
WEIGHTED: Data = {"counterweights": ["bar", "weight"]}
WORM: Data = {"mount": "worm", "tripod": "posts"}
EQUATOR: Data = {"latitude": "0 deg", "longitude": "0 deg"}


def shelf(**changes: Data | None) -> dict[str, Data]:
    """Return SHELF with changed, added or (None as a value) missing properties; None for a part takes it away."""
    found = deepcopy(SHELF)
    for id_, change in changes.items():
        if change is None:
            del found[id_]
            continue
        part = found.setdefault(id_, {"name": id_.capitalize()})
        part.update(change)
        found[id_] = {key: value for key, value in part.items() if value is not None}
    return found


def guide(parts: dict[str, Data] | None = None, place: Data | None = None, **rig: object) -> Catalogue:
    """Return a guide of the shelf with one rig; it stands on the equator where nothing else is said."""
    found = catalogue(shelf() if parts is None else parts, rig={**RIG, **rig, "place": "field"})
    return with_place(found, **(EQUATOR if place is None else place))


def on_mount(parts: dict[str, Data] | None = None, place: Data | None = None, **rig: object) -> Study:
    """Return what the chapter on the mount says about the one rig."""
    found = guide(parts, place, **rig)
    return study(Assembly(found, found.rigs["rig"]))
