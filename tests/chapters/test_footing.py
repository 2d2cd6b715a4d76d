"""How a rig stands: verdicts, remedies, and what is said where something is missing."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.chapters.figures import Study
from rigleaf.chapters.footing import ballast, physics, wind
from tests.chapters.small_footing import SHELF, assembly, footing, shelf, standing
from tests.chapters.small_guide import Data, finding, ids, number

BARE: Data = {"counterweights": []}
STORM: Data = {"wind": "16 m/s"}


def texts(study: Study) -> dict[str, str]:
    """The figures that are words."""
    return {figure.id: figure.value for figure in study.figures if isinstance(figure.value, str)}


# --- In still air -----------------------------------------------------------------------------------------


def test_a_balanced_load_on_broad_legs_is_sound() -> None:
    found = footing()
    assert ids(found.findings) == ["still-air", "wind", "weights-alone"]
    assert found.worst == "sound"
    assert number(found, "stands") == pytest.approx(4 + 1 + 0.5 + 5 + 0.6 + 4 + 3)
    # Balanced, so that nothing moves east or west; the head's mass and the crossing lie north of the middle.
    north = (10.1 * 120 + 5 * 60) * float(np.cos(np.radians(50))) / 18.1
    assert number(found, "off-centre") == pytest.approx(north, rel=1e-3)
    assert texts(found)["best-leg"] == "north"
    assert number(found, "margin") == pytest.approx(250 - north / 2, rel=1e-3)
    assert number(found, "margin-worst") == pytest.approx(250 - north, rel=0.02)
    assert "One leg to the north is best" in finding(found, "still-air").sentence


def test_a_load_without_a_counterweight_hangs_off_centre_and_leaves_less_margin() -> None:
    balanced, bare = footing(), footing(**BARE)
    assert number(bare, "off-centre") > number(balanced, "off-centre") + 20
    assert number(bare, "margin") < number(balanced, "margin")
    assert "weights-alone" not in ids(bare.findings)
    assert "margin-weights" not in bare.index


def test_in_the_south_everything_turns_over() -> None:
    north, south = footing(**BARE), footing(**BARE, place={"latitude": "-50 deg"})
    assert number(south, "margin") == pytest.approx(number(north, "margin"))
    assert {texts(north)["best-leg"], texts(south)["best-leg"]} == {"north", "south"}
    turned = texts(north)["margin-towards"].replace("S", "N")
    assert texts(south)["margin-towards"] == turned != texts(north)["margin-towards"]


def test_legs_put_wrong_fail_and_the_remedy_turns_them() -> None:
    narrow = shelf(legs={"foot_radius": "150 mm"})
    found = footing(narrow, **BARE, choices={"lean": "0.5 deg"})
    still = finding(found, "still-air")
    assert still.verdict == "fails"
    assert number(found, "margin-worst") < 0 < number(found, "margin")
    assert "beyond the line between two feet" in still.sentence
    assert still.remedy.startswith(f"Put one leg to the {texts(found)['best-leg']}. It then bears a lean of")


def test_legs_put_wrong_that_bear_less_than_the_lean_asked_for_are_tight() -> None:
    found = footing(shelf(legs={"foot_radius": "350 mm"}), **BARE)
    still = finding(found, "still-air")
    assert number(found, "lean") < 6
    assert still.verdict == "tight"
    assert "this guide asks for 6°" in still.sentence


def test_where_no_leg_helps_ballast_and_a_counterweight_are_named() -> None:
    found = footing(shelf("canister", legs={"foot_radius": "150 mm"}), **BARE)
    still = finding(found, "still-air")
    assert still.verdict == "fails"
    assert "Canister" in still.remedy
    assert still.remedy.endswith("A counterweight brings the centre back over the middle.")
    tiny = footing(shelf(legs={"foot_radius": "60 mm"}), **BARE)
    assert "ballast that people carry is too little" in finding(tiny, "still-air").remedy
    assert number(tiny, "foot-least") < 0
    assert tiny.index["foot-least"].note == "the foot would lift"
    assert "tips without any wind" in finding(tiny, "wind").sentence


def test_weights_without_their_tube_can_pull_a_narrow_tripod_over() -> None:
    heavy = shelf(weight={"mass": "15 kg"}, head={"polar_length": "200 mm"}, legs={"foot_radius": "280 mm"})
    alone = finding(footing(heavy), "weights-alone")
    assert alone.verdict == "fails"
    assert "falls by itself" in alone.sentence
    assert "inner end of their bar" in alone.remedy
    tight = finding(footing(shelf(legs={"foot_radius": "350 mm"})), "weights-alone")
    assert tight.verdict == "tight"


def test_the_feet_bear_the_whole_mass_at_every_hour() -> None:
    _, stands = standing(**BARE)
    assert stands.shares(stands.best_leg).sum(axis=0) == pytest.approx(stands.mass)


def test_an_upright_mount_needs_no_latitude_and_stands_alike_on_every_side() -> None:
    turning = shelf(head={"drive": "alt-azimuth", "polar_length": None})
    found = footing(turning, **BARE, place={"latitude": None})
    assert texts(found)["best-leg"] == "any"
    assert texts(found)["margin-towards"] == "every side"
    assert texts(found)["tipping-from"] == "any side"
    # 5.5 of 13.5 kg at 200 mm from the upright axis.
    assert number(found, "off-centre") == pytest.approx(5.5 * 200 / 13.5)
    assert number(found, "margin") == pytest.approx(250 - 5.5 * 200 / 13.5, rel=0.01)


def test_a_tracker_without_a_second_axis_may_carry_its_load_on_any_side() -> None:
    tracker = shelf(head={"drive": "star-tracker"})
    _, all_round = standing(tracker, **BARE)
    _, usual = standing(**BARE)
    assert all_round.up.min() < usual.up.min()
    assert "any side of the tracker" in footing(tracker, **BARE).index["off-centre"].note
    bracket = shelf(head={"drive": "star-tracker"}, rings={"saddle": "44 mm"})
    assert "any side of the tracker" not in footing(bracket, **BARE).index["off-centre"].note


def test_weights_of_which_no_place_is_known_count_as_balanced_and_it_is_said() -> None:
    found = footing(shelf(head={"bar_start": None}))
    assert "count" in found.index["off-centre"].note or "balance the load" in found.index["off-centre"].note
    assert number(found, "off-centre") == pytest.approx(number(footing(), "off-centre"), rel=0.02)
    only_bar = footing(counterweights=["bar"])
    assert number(only_bar, "off-centre") > number(footing(), "off-centre")


@settings(max_examples=25, deadline=None)
@given(st.integers(60, 400), st.integers(5, 60), st.sampled_from(["50 deg", "10 deg", "-35 deg"]))
def test_the_margin_falls_as_the_load_moves_out(distance: int, more: int, latitude: str) -> None:
    def least(mm: int) -> float:
        parts = shelf(head={"saddle_distance": f"{mm} mm", "polar_length": "0 mm"})
        return number(footing(parts, **BARE, place={"latitude": latitude}), "margin-worst")

    assert least(distance + more) < least(distance)


@settings(max_examples=25, deadline=None)
@given(st.floats(-80, 80), st.integers(60, 400))
def test_the_night_is_the_same_in_east_and_west(latitude: float, distance: int) -> None:
    _, stands = standing(shelf(head={"saddle_distance": f"{distance} mm"}), **BARE,
                         place={"latitude": f"{latitude!r} deg"})  # fmt: skip
    assert stands.east == pytest.approx(-stands.east[::-1], abs=1e-9)
    assert stands.north == pytest.approx(stands.north[::-1], abs=1e-9)


# --- In wind ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("asked", "verdict"), [("8 m/s", "sound"), ("12.2 m/s", "tight"), ("16 m/s", "fails")])
def test_the_wind_of_the_place_decides(asked: str, verdict: str) -> None:
    found = footing(**BARE, place={"wind": asked})
    assert finding(found, "wind").verdict == verdict
    assert found.index["design-wind"].basis == "stated"
    ratio = (number(found, "tipping-gust") / number(found, "design-gust")) ** 2
    assert verdict == ("sound" if ratio >= 1.5 else "tight" if ratio >= 1 else "fails")


def test_without_a_wind_of_the_place_the_guides_counts() -> None:
    found = footing(choices={"design_wind": "5 m/s", "gust_factor": "2"})
    assert number(found, "design-wind") == 5
    assert number(found, "design-gust") == 10
    assert number(found, "tipping-wind") == pytest.approx(number(found, "tipping-gust") / 2)
    assert footing().index["design-wind"].basis == "assumed"


def test_cold_air_pushes_harder_and_thin_air_less() -> None:
    def density(**place: Any) -> float:
        return number(footing(place=place), "density")

    assert density(night_temperature={"January": "-15 degC", "July": "12 degC"}) > density()
    assert density(elevation="2500 m") < density() < density(elevation=None)


def test_legs_of_unsaid_width_count_as_the_guide_assumes() -> None:
    found = footing(shelf(legs={"leg_width": None}), choices={"leg_width": "60 mm"})
    assert "legs taken as 60\u00a0mm thick" in found.index["drag-area"].note
    assert number(found, "tipping-gust") < number(footing(), "tipping-gust")


def test_what_has_no_size_beside_the_tube_is_named() -> None:
    found = footing(shelf(camera={"packed": None}))
    assert "without Camera, of unsaid size" in found.index["drag-area"].note


@settings(max_examples=25, deadline=None)
@given(st.floats(4, 25), st.sampled_from([[], ["bar", "weight"]]))
def test_the_ballast_named_holds_the_wind_and_half_a_step_less_does_not(speed: float, counter: list[str]) -> None:
    more: dict[str, Any] = {"counterweights": counter, "place": {"wind": f"{speed!r} m/s"}}
    kg = number(footing(**more), "ballast")
    rig = assembly(**more)
    load, stands = standing(**more)
    sails, _ = wind.sail(rig, load.mount)
    assert sails is not None
    blowing = wind.wind_of(rig)
    moments = wind.drag_moment(stands, sails, 30.0)
    pushed = 1.5 * physics.wind_moment(moments, blowing.density, blowing.gust)

    def holds(mass: float) -> bool:
        held = physics.holding_moment(np.full_like(pushed, stands.mass), stands.at(stands.best_leg))
        return bool((held + physics.holding_moment(mass, stands.radius / 2) >= pushed - 1e-9).all())

    assert holds(kg)
    assert kg == 0 or not holds(kg - ballast.STEP)


def test_the_rigs_own_things_are_hung_before_the_clubs() -> None:
    parts = shelf("canister", canister={"owned": 3})
    own = finding(footing(parts, **BARE, place=STORM, carried=["canister"]), "wind")
    assert "the rig's own Canister (10.0\u00a0kg) and the club's Canister (10.0\u00a0kg)" in own.remedy
    assert own.parts == ("canister",)
    assert own.verdict == "tight"
    assert "With the ballast that the rig carries it holds" in own.sentence
    club = finding(footing(parts, **BARE, place=STORM), "wind")
    assert club.verdict == "fails"
    assert "the club's 2 × Canister" in club.remedy
    battery = finding(footing(**BARE, place={"wind": "11.2 m/s"}, power=["battery"]), "wind")
    assert "the rig's own Battery (3.00\u00a0kg) in a bag" in battery.remedy
    nothing = finding(footing(**BARE, place=STORM), "wind")
    assert nothing.remedy.startswith("Hang ")
    assert nothing.parts == ()


def test_several_things_are_put_together_where_one_is_too_light() -> None:
    parts = shelf("canister", canister={"ballast": "4 kg", "owned": 1}, battery={"mass": "3.5 kg"})
    found = footing(parts, **BARE, place={"wind": "13 m/s"}, power=["battery"])
    assert 4 < number(found, "ballast") <= 7.5
    assert finding(found, "wind").parts == ("battery", "canister")


@pytest.mark.parametrize(
    ("legs", "why"), [({"hook": False}, "no hook"), ({"capacity": "12 kg"}, "would pass its capacity")]
)
def test_without_a_hook_or_room_the_ballast_goes_over_the_feet(legs: Data, why: str) -> None:
    found = finding(footing(shelf("canister", legs=legs), **BARE, place={"wind": "14 m/s"}), "wind")
    assert why in found.remedy
    assert "over each leg close to its foot" in found.remedy
    assert "3 × Canister" in found.remedy


def test_a_hook_that_nobody_has_looked_for_is_not_promised() -> None:
    found = finding(footing(shelf(legs={"hook": None}), **BARE, place={"wind": "14 m/s"}), "wind")
    assert "if something there can bear it" in found.remedy


def test_too_much_ballast_is_not_asked_of_people_and_another_tripod_is_named() -> None:
    found = finding(footing(shelf("broad"), **BARE, place={"wind": "22 m/s"}), "wind")
    assert "more than people hang under a tripod" in found.remedy
    assert "The club's Broad legs holds it" in found.remedy
    assert found.parts == ("broad",)
    assert "take the tube down when gusts reach" in found.remedy
    for gone in ({"owned": 0}, {"top": "1/4-20 UNC male"}, {"capacity": "10 kg"}):
        other = finding(footing(shelf("broad", broad=gone), **BARE, place={"wind": "22 m/s"}), "wind")
        assert other.parts == ()
        assert "guy lines" in other.remedy


# --- What is missing --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("part", "key", "words"),
    [
        ("legs", "foot_radius", "the foot radius of Legs"),
        ("legs", "height", "the height of Legs"),
        ("legs", "mass", "the mass of Legs"),
        ("head", "hinge_height", "the height of the latitude's hinge of Head"),
        ("head", "polar_length", "the polar length of Head"),
        ("head", "saddle_distance", "the saddle's distance on Head"),
        ("head", "mass", "the mass of Head"),
        ("camera", "mass", "the mass of Camera"),
        ("weight", "mass", "the mass of Weight"),
    ],
)
def test_whatever_the_sum_needs_is_named_with_how_to_measure_it(part: str, key: str, words: str) -> None:
    found = footing(shelf(**{part: {key: None}}))
    (only,) = found.findings
    assert only.verdict == "unsaid"
    assert words in only.sentence
    assert "tape" in only.remedy or "scale" in only.remedy
    assert only.parts == (part,)
    assert found.figures == ()
    assert found.drawings == ()


@pytest.mark.parametrize("key", ["tube_length", "tube_diameter", "dew_shield"])
def test_without_the_tubes_size_still_air_is_judged_and_wind_is_not(key: str) -> None:
    found = footing(shelf(tube={key: None}))
    assert finding(found, "still-air").verdict == "sound"
    assert finding(found, "wind").verdict == "unsaid"
    assert "Tube" in finding(found, "wind").sentence
    assert "ballast" not in found.index


def test_without_rings_the_tubes_diameter_says_how_far_out_it_is() -> None:
    found = footing(shelf(rings={"axis_height": None}))
    assert "half the tube's diameter" in found.index["off-centre"].note
    missing = finding(footing(shelf(rings={"axis_height": None}, tube={"tube_diameter": None})), "still-air")
    assert "the tube's diameter" in missing.sentence


@pytest.mark.parametrize(
    ("rig", "words"),
    [
        ({"tripod": None}, "the tripod is not given"),
        ({"mount": None}, "the mount is not given"),
        ({"place": {"latitude": None}}, "the latitude of the place is not given"),
    ],
)
def test_without_tripod_mount_or_place_nothing_can_be_told(rig: Data, words: str) -> None:
    (only,) = footing(**rig).findings
    assert words in only.sentence
    assert only.remedy


def test_many_gaps_are_counted_after_the_fourth() -> None:
    bare = {id_: {key: data[key] for key in ("kind", "name")} for id_, data in SHELF.items()}
    (only,) = footing(bare).findings
    assert " more are not given." in only.sentence
    assert len(only.parts) == 4


# --- The plan ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("radius", ["60 mm", "500 mm"])
def test_the_plan_shows_feet_way_and_margin_in_words_too(radius: str) -> None:
    found = footing(shelf(legs={"foot_radius": radius}), **BARE)
    (plan,) = found.drawings
    assert "least margin" in plan.description
    assert plan.svg.count("<circle") == 3
    assert len(plan.svg) < 6000
    for letter in "NESW":
        assert f">{letter}</text>" in plan.svg


# --- Any gaps ---------------------------------------------------------------------------------------------

FIELDS = sorted((id_, key) for id_, data in SHELF.items() for key in data if key not in ("kind", "name"))


@settings(max_examples=60, deadline=None)
@given(st.sets(st.sampled_from(FIELDS), max_size=6), st.sampled_from([[], ["bar", "weight"]]))
def test_leaving_anything_out_breaks_nothing_and_counts_no_mass_as_zero(
    gone: set[tuple[str, str]], counter: list[str]
) -> None:
    parts = {id_: {key: value for key, value in data.items() if (id_, key) not in gone} for id_, data in SHELF.items()}
    whole, found = footing(counterweights=counter), footing(parts, counterweights=counter)
    used = {"tube", "camera", "rings", "head", "legs", *counter}
    lacks_mass = any(key == "mass" and id_ in used for id_, key in gone)
    assert not lacks_mass or [one.verdict for one in found.findings] == ["unsaid"]
    if found.figures:
        assert number(found, "stands") == pytest.approx(number(whole, "stands"))
        assert found.drawings
    for one in found.findings:
        assert one.verdict == "sound" or one.remedy
