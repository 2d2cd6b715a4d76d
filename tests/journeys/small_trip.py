"""Small journeys made in memory: a shelf, one rig, carriers and a journey as YAML would state them."""

from copy import deepcopy
from pathlib import Path
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.catalogue.models.guide import Guide, Place
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.models.trip import Trip
from rigleaf.journeys.result import BatteryStudy, TripStudy
from rigleaf.journeys.study import study_trip

Data = dict[str, Any]

BAG = {"kind": "bag", "load_limit": "20 kg", "mass": "1 kg", "owned": 3}
BANK = {
    "kind": "battery", "chemistry": "lithium-ion", "nominal_voltage": "12 V", "mass": "0.6 kg",
    "packed": "150 x 90 x 60 mm", "owned": 4, "installed": False,
    "outlets": [{"kind": "12 V barrel", "voltage": "12 V", "efficiency": "100 %"}],
}  # fmt: skip

PARTS: dict[str, Data] = {
    "tube": {"kind": "optic", "name": "Tube", "mass": "2 kg", "packed": "300 x 100 x 100 mm", "owned": 1},
    "head": {
        "kind": "mount", "name": "Head", "mass": "3 kg", "packed": "200 x 150 x 120 mm", "owned": 1,
        "power": {"working": "8 W", "voltage": "12 V"},
    },
    "keys": {
        "kind": "tool", "name": "Keys", "form": "hand tool", "length": "110 mm", "blade": "100 mm", "mass": "0.2 kg",
        "packed": "120 x 50 x 30 mm", "owned": 1,
    },
    "bank-90": {**BANK, "name": "Bank 90", "marked_energy": "90 Wh"},
    "bank-150": {**BANK, "name": "Bank 150", "marked_energy": "150 Wh"},
    "bank-500": {**BANK, "name": "Bank 500", "marked_energy": "500 Wh", "mass": "5 kg", "packed": "240 x 190 x 170 mm"},
    "cell": {
        "kind": "battery", "name": "Cell", "chemistry": "lithium-ion", "marked_energy": "10 Wh", "installed": False,
        "mass": "0.05 kg", "packed": "70 x 20 x 20 mm", "owned": 30,
    },
    "trolley": {
        **BAG, "name": "Trolley", "inner": "500 x 340 x 200 mm", "outer": "540 x 380 x 220 mm", "goes_in": "cabin",
    },
    "pack": {**BAG, "name": "Pack", "inner": "480 x 300 x 180 mm", "outer": "520 x 340 x 210 mm", "goes_in": "cabin"},
    "case": {**BAG, "name": "Case", "inner": "700 x 400 x 250 mm", "outer": "740 x 450 x 300 mm", "goes_in": "hold"},
}  # fmt: skip

RIG: Data = {"id": "rig", "name": "Rig", "train": ["tube"], "mount": "head", "power": ["bank-90"], "carried": ["keys"]}

CARRIERS: dict[str, Data] = {
    "plain": {"name": "Plain Air", "state": "DE", "cabin": {"mass": "10 kg", "size": "550 x 400 x 230 mm"}},
    "strict": {
        "name": "Strict Air", "state": "DE", "cabin": {"mass": "10 kg", "size": "550 x 400 x 230 mm"},
        "ask": "By letter.",
        "rules": [
            {"id": "one", "says": "One power bank for each person.", "of": ["power bank"], "where": ["cabin", "person"],
             "word": "may fly", "most": 1},
        ],
    },
}  # fmt: skip

LEG: Data = {"date": "2026-10-01", "leaves": "Here", "arrives": "There", "states": ["DE", "NA"], "carrier": "plain"}

TRIP: Data = {
    "id": "trip", "name": "Trip", "rigs": ["rig"], "travellers": [{"id": "one", "called": "the first"}],
    "bags": [{"bag": "trolley", "traveller": "one"}, {"bag": "case", "traveller": "one"}], "legs": [LEG],
}  # fmt: skip

TWO = [{"id": "one", "called": "the first"}, {"id": "two", "called": "the second"}]
BAGS_FOR_TWO = [
    {"bag": "trolley", "traveller": "one"}, {"bag": "pack", "traveller": "two"}, {"bag": "case", "traveller": "one"},
]  # fmt: skip


def catalogue(
    trip: Data | None = None, rig: Data | None = None, places: Data | None = None, **shelf: Data
) -> Catalogue:
    """Return the catalogue of one journey; ``shelf`` changes or adds parts."""
    stated = deepcopy(PARTS)
    for id_, change in shelf.items():
        key = id_.replace("_", "-")
        stated[key] = {**stated.get(key, {}), **change}
    parts: dict[str, Part] = {
        id_: KINDS[data["kind"]].model.model_validate({"id": id_, **data}) for id_, data in stated.items()
    }
    one = Rig.model_validate({**RIG, **(rig or {})})
    made = Trip.model_validate({**TRIP, **(trip or {})})
    return Catalogue(
        Path(),
        Guide.model_validate({"name": "Guide"}),
        parts,
        {one.id: one},
        {id_: Place.model_validate({"id": id_, **data}) for id_, data in (places or {}).items()},
        trips={made.id: made},
        carriers={id_: Carrier.model_validate({"id": id_, **data}) for id_, data in CARRIERS.items()},
    )


def study(trip: Data | None = None, rig: Data | None = None, places: Data | None = None, **shelf: Data) -> TripStudy:
    """Return the study of the one journey."""
    found = catalogue(trip, rig, places, **shelf)
    return study_trip(found, found.trips["trip"])


def extras(**counts: int) -> list[Data]:
    """Return extras of a journey: ``extras(bank_90=2)``."""
    return [{"part": id_.replace("_", "-"), "count": count} for id_, count in counts.items()]


def where(found: TripStudy, part: str) -> dict[str, int]:
    """Return in which bags the pieces of a part are, by key; "person" and "left" where they are in none."""
    (item,) = (item for item in found.items if item.part == part)
    return {place.bag or ("person" if place.spot else "left"): place.count for place in item.places}


def batteries(found: TripStudy, part: str) -> list[BatteryStudy]:
    """Return the entries of one battery."""
    return [one for one in found.batteries if one.part == part]


def plain(sentence: str) -> str:
    """Return a sentence with plain spaces before units."""
    return sentence.replace("\u00a0", " ")
