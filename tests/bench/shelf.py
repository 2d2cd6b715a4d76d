"""An invented shelf of any size: parts of every kind with varied numbers and the usual gaps."""

from collections.abc import Callable
from dataclasses import dataclass
from random import Random
from typing import Any, NamedTuple

Data = dict[str, Any]

BIRDS = (
    "Avocet", "Bunting", "Crane", "Dipper", "Egret", "Fulmar", "Grebe", "Hobby", "Ibis", "Jay", "Kite", "Linnet", "Merlin",
    "Nuthatch", "Ouzel", "Plover", "Quail", "Rail", "Snipe", "Tern", "Vireo", "Wren", "Yaffle",
)  # fmt: skip
NOTES = (
    "Lock it before you take the cap off.", "The screw on the left is worn, so tighten it by hand only.",
    "Check the seal for grit before the parts go together.", "It came back damp once: let it dry with the lid open.",
    "A previous borrower marked the right place with white paint.", "The label gives the order in which cables go on.",
    "It fits only one way round; do not force it.", "Spare screws are in the lid pocket.",
    "Below freezing the grease is stiff, so allow ten minutes more.", "Write every scratch into the book, old ones too.",
)  # fmt: skip
THREADS = ("M42 x 0.75", "M48 x 0.75", "M54 x 0.75", "M63 x 1")


class Sort(NamedTuple):
    """One kind of part: how many for each rig, what people call it, least and greatest mass in kg, its own fields."""

    per_rig: float
    called: str
    mass: tuple[float, float]
    fields: Callable[[Random], Data]


@dataclass(frozen=True)
class Shelf:
    """Parts in the order made; ``of`` gives the ids of a kind."""

    parts: tuple[Data, ...]

    def of(self, kind: str) -> list[str]:
        """Return the ids of every part of a kind."""
        return [part["id"] for part in self.parts if part["kind"] == kind]


def make_shelf(random: Random, rigs: int) -> Shelf:
    """Make up the parts from which so many rigs can be put together: at least two of every kind."""
    return Shelf(
        tuple(
            _part(random, kind, sort, number)
            for kind, sort in SORTS.items()
            for number in range(1, max(2, round(sort.per_rig * rigs)) + 1)
        )
    )


def _part(random: Random, kind: str, sort: Sort, number: int) -> Data:
    bird = random.choice(BIRDS)
    part: Data = {
        "id": f"{kind}-{number:04d}",
        "kind": kind,
        "name": f"{bird} {random.randint(10, 999)} {sort.called}",
        "summary": f"A {sort.called} that {_often(random)} goes out with the {bird.lower()} set.",
        **_with_gaps(random, sort.fields(random)),
    }
    general: Data = {
        "mass": _mass(random, *sort.mass),
        "packed": _size(random, 40, 520),
        "owned": random.randint(1, 4),
        "asset": f"T-{number:04d}-{random.randint(100, 999)}",
        "notes": " ".join(random.sample(NOTES, random.randint(1, 3))),
    }
    part |= _with_gaps(random, general)
    if random.random() < 0.3:
        part["private"] = {"serial": f"SN-{random.randint(10**6, 10**7)}", "value": f"{random.randint(20, 4000)} EUR"}
    return part


def _often(random: Random) -> str:
    return random.choice(("usually", "now and then", "always", "in winter", "on long trips"))


def _with_gaps(random: Random, fields: Data) -> Data:
    """Leave out one field in thirty: every real shelf has some that nobody has looked up."""
    return {key: value for key, value in fields.items() if random.random() > 1 / 30}


def _mass(random: Random, least: float, most: float) -> str | Data:
    """Return a mass as stated, or weighed as well, with or without a tolerance."""
    stated = random.uniform(least, most)
    if random.random() < 0.4:
        return f"{stated:.3f} kg"
    weighed = f"{stated * random.uniform(0.97, 1.06):.4f} kg" + random.choice(("", " +- 0.001 kg"))
    return {"stated": f"{stated:.3f} kg", "measured": weighed, "on": f"2026-{random.randint(1, 9):02d}-14"}


def _size(random: Random, least: int, most: int) -> str:
    sides = sorted((random.randint(least, most) for _ in range(3)), reverse=True)
    return " x ".join(map(str, sides)) + " mm"


def _of(random: Random, low: float, high: float, unit: str, digits: int = 1) -> str:
    return f"{random.uniform(low, high):.{digits}f} {unit}".rstrip()


def _joints(random: Random) -> Data:
    return {"front": f"{random.choice(THREADS)} female", "rear": f"{random.choice(THREADS)} male"}


def _piece(random: Random, low: float, high: float) -> Data:
    """Return what every piece of a train states."""
    length = f"{_of(random, low, high, 'mm')} +- 0.05 mm"
    return {"optical_length": length, **_joints(random), "clear_aperture": _of(random, 40, 60, "mm")}


def _power(random: Random, most: float) -> Data:
    working = random.uniform(0.2, most)
    return {"idle": f"{working / 4:.2f} W", "working": f"{working:.2f} W", "peak": f"{working * 2.2:.2f} W"}


def _back_focus(random: Random) -> Data:
    return {"distance": f"{_of(random, 50, 90, 'mm')} +- 0.5 mm", "counts_from": "shoulder of the rear thread"}


def _optic(random: Random) -> Data:
    form = random.choice(("refractor", "refractor", "refractor", "newtonian", "ritchey-chretien", "lens"))
    aperture, ratio = random.uniform(45, 160), random.uniform(2.8, 9.0)
    length = aperture * ratio
    fields: Data = {
        "form": form,
        "aperture": f"{aperture:.0f} mm",
        "focal_length": f"{length:.0f} mm",
        "central_obstruction": "0 mm" if form in ("refractor", "lens") else f"{aperture * 0.35:.0f} mm",
        "transmission": _of(random, 80, 96, "%", 0),
        "image_circle": _of(random, 16, 46, "mm", 0),
        "back_focus": _back_focus(random),
        "rear": f"{random.choice(THREADS)} male",
        "rear_clear_aperture": _of(random, 40, 60, "mm"),
        "tube_length": f"{length * 0.8:.0f} mm",
        "tube_diameter": f"{aperture * 1.3:.0f} mm",
        "tube_material": random.choice(("aluminium", "carbon fibre", "steel")),
        "needs_collimation": form not in ("refractor", "lens"),
        "cool_down": f"{random.randint(10, 60)} min",
        "dovetail": random.choice(("44 mm", "75 mm")),
    }
    if form == "ritchey-chretien":
        fields |= {"primary_focal_ratio": f"{ratio / 2.6:.1f}", "mirror_spacing": f"{length * 0.23:.0f} mm"}
    return fields


def _corrector(random: Random) -> Data:
    factor = random.choice((0.73, 0.8, 0.95, 1.0, 1.0, 2.0))
    circle = _of(random, 28, 46, "mm", 0)
    return {"factor": factor, "back_focus": _back_focus(random), **_piece(random, 30, 90), "image_circle": circle}


def _sensor(random: Random, widest: int) -> Data:
    across = random.randint(widest // 4, widest)
    return {
        "pixels": f"{across} x {across * 2 // 3}",
        "pixel": _of(random, 2.0, 6.0, "um", 2),
        "mosaic": random.choice(("mono", "colour")),
        "bits": random.choice((12, 14, 16)),
        "read_noise": _of(random, 0.8, 4.0, "e-"),
        "full_well": _of(random, 9000, 60000, "e-", 0),
        "quantum_efficiency": _of(random, 55, 92, "%", 0),
    }


def _camera(random: Random) -> Data:
    fields: Data = {
        "sensor": _sensor(random, 9600),
        "flange_to_sensor": "17.5 mm +- 0.1 mm",
        "front": f"{random.choice(THREADS)} female",
        "clear_aperture": _of(random, 40, 56, "mm"),
        "cooling_depth": _of(random, 25, 40, "K", 0),
        "power": _power(random, 16),
    }
    if random.random() < 0.4:
        fields["guide_sensor"] = _sensor(random, 2000) | {"offset": ["0 mm", _of(random, -19, -14, "mm")]}
    return fields


def _mount(random: Random) -> Data:
    return {
        "drive": random.choice(("strain-wave", "worm", "star-tracker", "alt-azimuth")),
        "capacity": _of(random, 3, 14, "kg"),
        "capacity_with_counterweight": _of(random, 14, 25, "kg"),
        "rated_torque": _of(random, 8, 40, "N m"),
        "periodic_error": _of(random, 5, 40, "arcsec", 0),
        "period": _of(random, 200, 600, "s", 0),
        "saddles": ["44 mm", "75 mm"],
        "base": "3/8-16 UNC female",
        "power": _power(random, 20),
    }


def _battery(random: Random) -> Data:
    outlets = [{"kind": "12 V barrel 5.5 x 2.1 mm", "count": random.randint(1, 4), "voltage": "12 V", "current_limit": "5 A"}]
    charge = random.uniform(5, 60)
    return {
        "chemistry": random.choice(("lithium-ion", "lifepo4", "sealed lead-acid")),
        "nominal_voltage": "12.8 V",
        "charge": f"{charge:.0f} Ah",
        "marked_energy": f"{charge * 12.8:.0f} Wh",
        "outlets": outlets,
        "current_limit": "10 A",
        "installed": False,
    }


def _bag(random: Random) -> Data:
    length, width, height = (random.randint(150, 600) for _ in range(3))
    return {
        "inner": f"{length - 30} x {width - 30} x {height - 30} mm",
        "outer": f"{length} x {width} x {height} mm",
        "load_limit": _of(random, 6, 30, "kg", 0),
        "goes_in": random.choice(("cabin", "hold", "car")),
    }


def _nothing(_: Random) -> Data:
    return {}


SORTS: dict[str, Sort] = {
    "optic": Sort(0.25, "telescope", (1.2, 9), _optic),
    "front-filter": Sort(0.025, "sun filter", (0.1, 0.4), lambda r: {"clear_aperture": _of(r, 60, 160, "mm", 0), "optical_density": 5}),
    "corrector": Sort(0.175, "corrector", (0.2, 0.9), _corrector),
    "focuser-motor": Sort(0.1, "focus motor", (0.2, 0.5), lambda r: {"step": _of(r, 0.5, 9, "um", 2), "backlash": _of(r, 0, 80, "um", 0)}),
    "rotator": Sort(0.05, "rotator", (0.3, 0.7), lambda r: _piece(r, 8, 20) | {"motorised": r.random() < 0.7, "step": "0.02 deg"}),
    "filter-drawer": Sort(0.075, "filter drawer", (0.15, 0.4), lambda r: _piece(r, 15, 25) | {"filter_size": "2 in cell"}),
    "filter-wheel": Sort(0.075, "filter wheel", (0.4, 1.2), lambda r: _piece(r, 18, 24) | {"positions": r.randint(5, 8)}),
    "off-axis-pick-off": Sort(0.05, "off-axis pick-off", (0.2, 0.4), lambda r: _piece(r, 14, 22) | {"prism": "8 mm"}),
    "adapter": Sort(0.175, "adapter ring", (0.02, 0.15), lambda r: _piece(r, 1, 12)),
    "spacer": Sort(0.175, "spacer", (0.02, 0.2), lambda r: _piece(r, 2, 30)),
    "shim": Sort(0.025, "shim", (0.002, 0.01), lambda r: {"thickness": _of(r, 0.1, 1, "mm"), "fits_thread": "48 mm"}),
    "tilt-plate": Sort(0.025, "tilt plate", (0.1, 0.2), lambda r: _piece(r, 5, 8)),
    "filter": Sort(0.25, "filter", (0.02, 0.08), lambda r: {
        "bands": [{"centre": _of(r, 450, 700, "nm", 0), "width": _of(r, 3, 60, "nm", 0), "transmission": "92 %"}
                  for _ in range(r.randint(1, 3))],
        "glass_thickness": _of(r, 1, 3, "mm"), "mount_size": "2 in cell",
    }),
    "camera": Sort(0.175, "camera", (0.3, 1.2), _camera),
    "guide-camera": Sort(0.075, "guide camera", (0.06, 0.2), lambda r: {"sensor": _sensor(r, 2000), "flange_to_sensor": "12.5 mm"}),
    "guide-scope": Sort(0.05, "guide scope", (0.2, 0.8), lambda r: {"aperture": _of(r, 25, 60, "mm", 0), "focal_length": _of(r, 90, 260, "mm", 0)}),
    "mount": Sort(0.15, "mount", (1.1, 12), _mount),
    "counterweight": Sort(0.075, "counterweight", (0.9, 5), lambda r: {"bore": "20 mm"}),
    "counterweight-bar": Sort(0.05, "bar", (0.3, 1), lambda r: {"diameter": "20 mm", "usable_length": _of(r, 120, 300, "mm", 0)}),
    "tripod": Sort(0.125, "tripod", (1.4, 9), lambda r: {
        "form": r.choice(("field tripod", "photo tripod", "pier")), "foot_radius": _of(r, 300, 700, "mm", 0),
        "height": _of(r, 500, 1300, "mm", 0), "capacity": _of(r, 10, 60, "kg", 0), "top": "3/8-16 UNC male",
    }),
    "fixing": Sort(0.15, "plate", (0.1, 0.8), lambda r: {"dovetail": "44 mm", "length": _of(r, 100, 320, "mm", 0)}),
    "dew-heater": Sort(0.075, "dew heater", (0.05, 0.3), lambda r: {"fits_outer_diameter": _of(r, 60, 180, "mm", 0), "power": _power(r, 12)}),
    "computer": Sort(0.075, "computer", (0.3, 1.6), lambda r: {"form": "mini-computer", "input_voltage": "12 V", "power": _power(r, 15)}),
    "hub": Sort(0.05, "hub", (0.1, 0.4), lambda r: {"current_limit": "10 A", "power": _power(r, 1)}),
    "hand-controller": Sort(0.025, "hand controller", (0.2, 0.4), _nothing),
    "battery": Sort(0.125, "battery", (0.5, 9), _battery),
    "charger": Sort(0.05, "charger", (0.2, 0.9), lambda r: {"for_chemistry": "lifepo4", "current": _of(r, 2, 10, "A")}),
    "mains-supply": Sort(0.05, "mains supply", (0.3, 1.2), lambda r: {"output_voltage": "13.8 V", "current_limit": "5 A", "efficiency": "88 %"}),
    "car-lead": Sort(0.025, "car lead", (0.1, 0.4), lambda r: {"fuse": "10 A", "gauge": 14, "length": _of(r, 2, 5, "m")}),
    "cable": Sort(0.3, "cable", (0.03, 0.3), lambda r: {"carries": r.choice(("power", "data", "both")), "gauge": 18, "length": _of(r, 0.3, 5, "m")}),
    "bag": Sort(0.15, "case", (0.6, 5), _bag),
    "tool": Sort(0.05, "tool", (0.03, 0.5), lambda r: {"length": _of(r, 60, 250, "mm", 0)}),
    "spare": Sort(0.05, "spare", (0.02, 0.3), lambda r: {"for_kind": "mount"}),
    "liquid": Sort(0.025, "bottle", (0.05, 0.6), lambda r: {"volume": _of(r, 20, 500, "ml", 0), "flammable": r.random() < 0.5}),
    "sundry": Sort(0.05, "sundry", (0.02, 1.2), _nothing),
}  # fmt: skip
"""Every kind of part, in the order of the guide's shelf."""
