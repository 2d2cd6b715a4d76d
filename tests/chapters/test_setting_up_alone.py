"""What must hold if a rig is left alone: leads that hang, batteries that are changed, and how often to look in."""

from typing import Any

import pytest

from rigleaf.chapters.setting_up.leads import hanging
from tests.chapters.small_evening import lines, made, said, table
from tests.chapters.small_guide import Data, finding

SHELF: dict[str, Data] = {
    "laptop": {"kind": "computer", "name": "Laptop", "form": "laptop", "power": {"working": "20 W"}},
    "usb": {"kind": "cable", "name": "Data lead", "carries": "data"},
    "both": {"kind": "cable", "name": "Lead for both", "carries": "both"},
    "plug": {"kind": "mains-supply", "name": "Supply", "output_voltage": "12 V"},
    "extension": {"kind": "cable", "name": "Extension", "carries": "power"},
    "inside": {"kind": "battery", "name": "Inside battery", "chemistry": "lithium-ion", "marked_energy": "30 Wh",
               "nominal_voltage": "7.2 V", "installed": True},
    "another": {"kind": "battery", "name": "Another battery", "chemistry": "lithium-ion", "marked_energy": "30 Wh",
                "nominal_voltage": "7.2 V"},
    "camera": {"power": {"working": "4 W", "voltage": "7.2 V"}, "cooling_depth": "0 K"},
}  # fmt: skip
TO_HEAD: Data = {"source": "battery", "lead": "lead", "to": ["head"]}
TO_CAMERA: Data = {"source": "battery", "lead": "lead", "to": ["camera"]}
TO_LAPTOP: Data = {"source": "battery", "lead": "lead", "to": ["laptop"]}
BY_LAPTOP: Data = {"source": "laptop", "lead": "both", "to": ["camera"]}


def states(**rig: Any) -> dict[str, tuple[str, str]]:
    return {row[0].text: (row[1].text, row[2].text) for row in table(said(made(SHELF, **rig)), "alone").rows}


@pytest.mark.parametrize(
    ("feeds", "power", "carried", "count"),
    [
        ([TO_HEAD], ["battery", "lead"], [], 1),
        ([TO_HEAD, TO_CAMERA], ["battery", {"part": "lead", "count": 2}], [], 2),
        ([{**TO_HEAD, "to": ["head", "camera"]}], ["battery", {"part": "lead", "count": 2}], [], 2),
        # Spares, and what feeds what lies on the ground, hang nowhere.
        ([TO_HEAD], ["battery", {"part": "lead", "count": 5}], [], 1),
        ([TO_HEAD, TO_LAPTOP], ["battery", {"part": "lead", "count": 2}], ["laptop"], 1),
        ([{**TO_HEAD, "source": "plug"}], ["plug", "extension", "lead"], [], 1),
        # Data to a computer on the ground, apart from power or with it.
        ([TO_HEAD], ["battery", "lead", "usb"], ["laptop"], 2),
        ([TO_HEAD], ["battery", "lead", "usb"], [], 1),
        ([TO_HEAD, BY_LAPTOP], ["battery", "lead", {"part": "both", "count": 2}], ["laptop"], 2),
        # What is built in, or changed for it, has no lead.
        ([TO_HEAD, {"source": "inside", "to": ["camera"]}], ["battery", "lead", "inside"], [], 1),
        ([TO_HEAD, {"source": "another", "to": ["camera"]}], ["battery", "lead", "another"], [], 1),
    ],
)
def test_leads_that_hang_are_those_that_cross_from_the_ground_to_the_mount(
    feeds: list[Data], power: list[Any], carried: list[str], count: int
) -> None:
    rig: Data = {"feeds": feeds, "power": power, "carried": carried}
    assert hanging(made(SHELF, **rig)) == count
    state, why = states(**rig)["Cables"]
    assert state == ("holds" if count == 1 else "look in")
    assert why.startswith("One lead hangs" if count == 1 else f"{count} leads hang")


def test_without_feeds_only_the_number_of_leads_is_known() -> None:
    assert hanging(made(SHELF)) is None
    assert states()["Cables"][0] == "holds"
    state, why = states(power=["battery", {"part": "lead", "count": 3}])["Cables"]
    assert state == "unsaid"
    assert why.startswith("3 leads lie on the ground, and nobody has said")


CHANGED: Data = {
    "riders": [], "power": ["inside", {"part": "another", "count": 3}, "battery", "lead"],
    "feeds": [TO_HEAD, {"source": "inside", "to": ["camera"]}, {"source": "another", "to": ["camera"]}],
}  # fmt: skip


def test_a_built_in_battery_that_empties_is_changed_by_somebody_who_is_there() -> None:
    found = said(made(SHELF, **CHANGED))
    (row,) = [row for row in table(found, "alone").rows if row[0].text == "Battery change"]
    assert row[1].text == "look in"
    # 30 Wh, of which 90 % are used, less a little in the cold, give 4 W for six or seven hours of the nine.
    assert row[2].text.count(":") == 1
    assert "Inside battery may be empty at 0" in row[2].text
    assert "must be changed at 0" in finding(found, "unattended").sentence
    stronger = {**SHELF, "inside": {**SHELF["inside"], "marked_energy": "90 Wh"}}
    assert "Battery change" not in [row[0].text for row in table(said(made(stronger, **CHANGED)), "alone").rows]


def test_what_is_plugged_in_beside_a_built_in_battery_is_no_change() -> None:
    bank = {**SHELF, "another": {**SHELF["another"], "outlets": [{"kind": "USB-C"}]}}
    assert "Battery change" not in [row[0].text for row in table(said(made(bank, **CHANGED)), "alone").rows]


def test_the_shortest_look_that_anything_asks_for_is_the_one_that_is_said() -> None:
    def every(**rig: Any) -> str:
        sentence = finding(said(made(**rig)), "unattended").sentence
        return sentence.partition("at least every ")[2].partition(":")[0]

    assert every(shelf={"head": {"drive": "alt-azimuth"}}) == "30\u00a0min"
    # 3 arcmin of polar error move the frame by 47 arcsec an hour; a tenth of its short side is 21.6 arcsec.
    drifting: dict[str, Data] = {"camera": {"guide_sensor": None}, "tube": {"focal_length": "15000 mm"}}
    assert every(shelf=drifting) == "25\u00a0min"
    assert every(shelf={"tube": {"tube_material": "aluminium"}}, riders=[]) == "hour"


def test_a_cars_battery_is_seen_to_only_where_a_car_feeds() -> None:
    shelf: dict[str, Data] = {"plug-lead": {"kind": "car-lead", "name": "Car lead"}}
    power = ["battery", "lead", "plug-lead"]
    by_car = lines(said(made(shelf, power=power)), "before")
    assert {"The car's own battery", "The car's socket"} <= set(by_car)
    by_battery = said(made(shelf, power=power, feeds=[{**TO_HEAD, "lead": "plug-lead"}]))
    assert not {"The car's own battery", "The car's socket"} & set(lines(by_battery, "before"))


def test_joints_are_named_by_what_they_are() -> None:
    def joined(rear: str | None, front: str | None) -> str:
        found = said(made({"lens": {"rear": rear}, "camera": {"front": front}}, train=["lens", "camera"], riders=[]))
        return next(row[1].text for row in table(found, "before").rows if row[0].text.startswith("Image train"))

    assert "thread" not in joined("bayonet P18 male", "bayonet P18 female")
    assert "clicks" in joined("bayonet P18 male", "bayonet P18 female")
    assert "every thread caught;" in joined("M42 x 0.75 male", "M42 x 0.75 female")
    assert "every joint seated" in joined(None, None)
