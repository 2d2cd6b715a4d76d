"""Hands and back: lifts and bags against their limits, walks, and what is said where something is missing."""

from typing import Any

import pytest
from hypothesis import given

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study
from rigleaf.chapters.hands_and_back import physics
from rigleaf.chapters.hands_and_back.loads import carried
from rigleaf.chapters.hands_and_back.physics import Hold
from rigleaf.chapters.hands_and_back.study import study
from tests.chapters import elementwise
from tests.chapters.elementwise import between
from tests.chapters.small_guide import Data, catalogue, finding, ids, number, parts, with_place

SIZES: dict[str, Data] = {
    "tube": {"packed": "400 x 130 x 120 mm"},
    "head": {"packed": "300 x 220 x 170 mm", "hinge_height": "85 mm", "polar_length": "105 mm",
             "saddle_distance": "120 mm"},
    "weight": {"packed": "130 x 130 x 70 mm"},
    "legs": {"packed": "860 x 190 x 190 mm", "height": "900 mm"},
    "battery": {"packed": "240 x 190 x 170 mm"},
    "crate": {"kind": "bag", "name": "Crate", "mass": "2 kg", "outer": "600 x 400 x 320 mm", "load_limit": "25 kg",
              "grip": "good"},
    "sack": {"kind": "bag", "name": "Sack", "mass": "1 kg", "outer": "820 x 220 x 220 mm", "load_limit": "10 kg"},
}  # fmt: skip
REST = ["tube", "reducer", "camera", "motor", "head", "weight", "battery"]


def shelf(**changes: Data | None) -> dict[str, Data]:
    joined = {id_: {**SIZES.get(id_, {}), **(changes.get(id_) or {})} for id_ in {**SIZES, **changes}}
    return parts(**joined)


def made(stated: dict[str, Data] | None = None, walk: str | None = "25 m", **rig: Any) -> Catalogue:
    """A rig in a crate and a sack, which goes by car."""
    bags = [{"part": "crate", "holds": REST}, {"part": "sack", "holds": ["legs"]}]
    whole: Data = {"place": "field", "travels": ["car"], "bags": bags, **rig}
    place: Data = {"latitude": "50 deg", **({"walk": walk} if walk else {})}
    return with_place(catalogue(stated or shelf(), rig=whole), **place)


def hands(stated: dict[str, Data] | None = None, **rig: Any) -> Study:
    found = made(stated, **rig)
    return study(Assembly(found, found.rigs["rig"]))


# --- Lifts --------------------------------------------------------------------------------------------------------


def test_a_crate_is_lifted_with_what_it_holds() -> None:
    found = hands()
    packed = finding(found, "lifts-packed")
    # Crate 2, tube 2.9, reducer 0.3, camera 0.7, motor 0.2, head 4, weights 4 and battery 1.5 kg.
    assert number(found, "bag-crate") == pytest.approx(15.6)
    assert packed.verdict == "tight"
    assert "the Crate into the car and out (15.6\u00a0kg against 9.53\u00a0kg)" in packed.sentence


def test_the_limit_of_a_crate_is_that_of_the_equation() -> None:
    low = 320 * 2 / 3
    found = physics.multipliers(Hold(250 + 200, low), 650, "good", low)
    assert number(hands(), "lift-limit") == pytest.approx(physics.recommended_limit(found))


def test_the_remedy_takes_out_what_makes_a_bag_bearable() -> None:
    packed = finding(hands(), "lifts-packed")
    assert packed.parts == ("weight", "head")
    assert packed.remedy == "Take out the Weight and the Head first: the Crate then weighs 7.60\u00a0kg."


def test_what_no_taking_out_mends_asks_for_two_people() -> None:
    found = hands(shelf(head={"mass": "20 kg"}))
    packed = finding(found, "lifts-packed")
    assert packed.verdict == "fails"
    assert "Two people take the Crate: half is 15.8\u00a0kg, still more than recommended." in packed.remedy
    above = finding(found, "lifts-tripod")
    assert above.verdict == "fails"
    assert above.sentence.startswith("Too heavy for one person by the lifting equation: the Head onto the tripod (20.0")
    assert "Two people take the Head onto the tripod: half is 10.0\u00a0kg" in above.remedy


def test_light_things_are_no_lifts() -> None:
    found = hands(bags=[], travels=["stays put"], mount=None, counterweights=[], tripod=None)
    assert ids(found.findings) == ["lifts-packed"]
    assert "that is moved weighs 3 kg or more" in found.findings[0].sentence


def test_the_saddle_stands_as_high_as_the_mount_says() -> None:
    limits = []
    for height in ("900 mm", "1200 mm"):
        table = hands(shelf(tube={"mass": "12 kg"}, legs={"height": height})).tables[0]
        (figure,) = (row[2].figure for row in table.rows if "saddle" in row[0].text)
        assert figure is not None
        assert isinstance(figure.value, float)
        limits.append(figure.value)
    assert limits[0] > limits[1]


def test_a_poor_grip_lowers_the_limit() -> None:
    good, poor = (number(hands(shelf(crate={"grip": grip})), "lift-limit") for grip in ("good", "poor"))
    assert poor == pytest.approx(good * 0.9)


def test_without_a_car_things_are_lifted_onto_a_table() -> None:
    assert "onto a table or a rack" in finding(hands(travels=["train"]), "lifts-packed").sentence


# --- What bags hold -------------------------------------------------------------------------------------------------


def test_pieces_that_several_bags_name_are_shared() -> None:
    bags = [{"part": "crate", "holds": ["weight"]}, {"part": "crate", "holds": ["weight", "head"]}]
    found = made(bags=bags)
    loads = carried(Assembly(found, found.rigs["rig"]))
    assert [load.mass.total for load in loads.bags] == [4.0, 8.0]
    assert [load.name for load in loads.bags] == ["Crate (Weight)", "Crate (Head)"]


def test_what_no_bag_holds_is_carried_loose_or_in_pockets() -> None:
    bags = [{"part": "crate", "holds": ["head", "weight"]}]
    found = made(bags=bags)
    loads = carried(Assembly(found, found.rigs["rig"]))
    assert {load.id for load in loads.loose or ()} == {"tube", "camera", "legs", "battery"}
    assert {item.part.id for item in loads.pockets} == {"reducer", "motor"}


def test_bags_that_do_not_say_what_they_hold_are_unsaid_and_nothing_is_made_up() -> None:
    found = hands(bags=["crate", "sack"])
    assert finding(found, "bags").verdict == "unsaid"
    assert "empty, all bags weigh 3.00\u00a0kg" in finding(found, "bags").sentence
    assert finding(found, "lifts-untold").verdict == "unsaid"
    assert "bag-crate" not in found.index
    assert found.index["walks"].note.startswith("at least")


@pytest.mark.parametrize(("limit", "verdict"), [("10 kg", "fails"), ("15 kg", "tight"), ("25 kg", "sound")])
def test_bags_are_held_against_their_load_limit(limit: str, verdict: str) -> None:
    one = finding(hands(shelf(crate={"load_limit": limit})), "bags")
    assert one.verdict == verdict
    assert bool(one.remedy) == (verdict != "sound")


def test_bags_without_a_load_limit_are_unsaid() -> None:
    one = finding(hands(shelf(crate={"load_limit": None}, sack={"load_limit": None})), "bags")
    assert one.verdict == "unsaid"


# --- Walks ------------------------------------------------------------------------------------------------------------


LIGHT = shelf(head={"mass": "1 kg"}, weight={"mass": "0.2 kg"}, battery={"mass": "0.5 kg"})
"""Parts of which the crate weighs 8.0 kg, so that one person may lift it."""


def test_walks_count_pieces_and_kilograms() -> None:
    found = hands(LIGHT)
    assert number(found, "walks") == 1  # 8.0 kg and 4 kg, one in each hand
    assert number(found, "way") == pytest.approx(25)
    assert finding(found, "walks").verdict == "sound"
    assert number(hands(), "walks") == 2  # 15.6 kg go alone


@pytest.mark.parametrize(("kilograms", "verdict"), [(1.0, "sound"), (4.0, "tight"), (15.0, "fails")])
def test_what_is_too_heavy_for_one_goes_alone_and_is_no_sound_walk(kilograms: float, verdict: str) -> None:
    # The crate weighs 8.0 kg to 22.0 kg; its limit is 9.53 kg, and half of 22.0 kg is more than that.
    found = hands({**LIGHT, "head": {**LIGHT["head"], "mass": f"{kilograms} kg"}})
    one = finding(found, "walks")
    assert one.verdict == verdict
    assert ("so that it goes by itself" in one.sentence) == (verdict != "sound")
    assert ("Even half of the Crate is more than that." in one.sentence) == (verdict == "fails")
    assert ("between two people" in one.remedy) == (verdict != "sound")
    if verdict != "sound":
        alone = [row[1].text for row in found.tables[-1].rows]
        assert "Crate" in alone


def test_a_long_way_is_tight() -> None:
    one = finding(hands(LIGHT, walk="1100 m"), "walks")
    assert one.verdict == "tight"
    assert one.remedy.startswith("Take a second person or a cart")


def test_a_bag_of_bearable_pieces_is_emptied_before_anybody_is_asked_to_help() -> None:
    heavy = {**LIGHT, **{id_: {**LIGHT[id_], "mass": "6 kg"} for id_ in ("tube", "head", "battery")}}
    one = finding(hands(heavy), "lifts-packed")
    assert one.remedy.startswith("Empty the Crate first and carry what it holds piece by piece, or two people take it")


def test_a_pillar_that_stays_put_and_a_tripod_beside_untold_bags_are_lifted_too() -> None:
    still = hands(shelf(legs={"mass": "7.9 kg"}), travels=["stays put"], bags=[])
    one = finding(still, "lifts-packed")
    assert "to where it stands: 7.90\u00a0kg" in one.sentence
    # Lying on its long side, 190 mm thick, carried with hands at 750 mm.
    low = 190 * 2 / 3
    ends = [physics.multipliers(Hold(reach, at), 750 - low, "fair", low) for reach, at in ((345, low), (295, 750))]
    assert number(still, "lift-limit") == pytest.approx(min(map(physics.recommended_limit, ends)))
    untold = hands(bags=["crate"])
    assert any("to where it stands" in row[0].text for row in untold.tables[0].rows)


@pytest.mark.parametrize(("kilograms", "verdict"), [(1, "tight"), (30, "fails")])
def test_on_foot_all_of_it_is_carried_at_once(kilograms: float, verdict: str) -> None:
    one = finding(hands(shelf(legs={"mass": f"{kilograms} kg"}), travels=["on foot"]), "on-foot")
    assert one.verdict == verdict


# --- What is missing --------------------------------------------------------------------------------------------------


def test_what_is_missing_is_named_with_a_way_to_measure_it() -> None:
    one = finding(hands(shelf(legs={"height": None})), "lifts-untold")
    assert "the tripod's height" in one.sentence
    assert "state 'height'" in one.remedy
    assert "its mass" in finding(hands(shelf(head={"mass": None})), "lifts-untold").sentence


def test_a_bag_with_a_part_of_unknown_mass_is_a_lower_bound_that_says_so() -> None:
    found = hands(shelf(camera={"mass": None}))
    assert found.index["bag-crate"].note == "at least; 1 without a mass"
    assert "at least" in finding(found, "lifts-packed").sentence


def test_a_light_bag_with_a_part_of_unknown_mass_is_not_sound_either() -> None:
    bags = [{"part": "crate", "holds": ["camera"]}, {"part": "sack", "holds": ["legs"]}]
    found = hands(shelf(camera={"mass": None}), bags=bags)
    for id_ in ("lifts-packed", "bags"):
        one = finding(found, id_)
        assert one.verdict == "unsaid"
        assert one.parts == ("camera",)
        assert "Nobody has said what the Camera weighs." in one.sentence


def test_a_rig_of_no_parts_is_unsaid() -> None:
    found = hands(train=[], riders=[], mount=None, counterweights=[], tripod=None, power=[], bags=[])
    assert found.worst == "unsaid"
    assert found.drawings == ()


def test_the_plate_tells_every_lift_it_draws() -> None:
    (plate,) = hands().drawings
    assert "the Crate into the car and out 15.6\u00a0kg against 9.53\u00a0kg" in plate.description


# --- Physics ----------------------------------------------------------------------------------------------------------

CALLS: list[elementwise.Call] = [
    (physics.horizontal_multiplier, (400.0,)),
    (physics.vertical_multiplier, (300.0,)),
    (physics.distance_multiplier, (600.0,)),
    (physics.asymmetry_multiplier, (30.0,)),
    (physics.frequency_multiplier, (2.4, 1.0, 300.0)),
]


@elementwise.each(CALLS)
def test_physics_takes_floats_and_arrays(function: Any, arguments: tuple[float, ...]) -> None:
    elementwise.check(function, arguments, 1)


@given(between(200, 700), between(0, 1800), between(0, 1800), between(0, 140))
def test_no_lift_is_recommended_beyond_the_load_constant(reach: float, height: float, way: float, turn: float) -> None:
    found = physics.multipliers(Hold(reach, height), way, "fair", height, turn)
    assert all(0 <= one <= 1.0 + 1e-12 for one in found)
    assert 0 <= physics.recommended_limit(found) <= 23.0 + 1e-9
