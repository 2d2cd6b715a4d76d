"""Balance: torque that a drive holds alone, weights on their bar, and weights from the shelf that would hold it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.on_the_mount import physics
from rigleaf.chapters.on_the_mount.balance_study import hold
from rigleaf.chapters.on_the_mount.bodies import mount_of, turned
from rigleaf.chapters.on_the_mount.counterweights import balance_from_shelf, ends_of
from tests.chapters.elementwise import Call, between, check, each, public_functions
from tests.chapters.small_guide import Data, finding, ids, number
from tests.chapters.small_mount import WEIGHTED, WORM, guide, on_mount, shelf

CALLS: list[Call] = [
    (physics.part_used, (6.0, 10.0)),
    (physics.moment, (6.0, 160.0)),
    (physics.balancing_distance, (960.0, 4.0)),
    (physics.balancing_uncertainty, (6.0, 0.1, 160.0, 5.0, 4.0)),
    (physics.nearest_place, (400.0, 130.0, 270.0)),
    (physics.polar_torque, (-960.0, 50.0)),
]


@each(CALLS)
def test_floats_give_floats_and_arrays_give_arrays(function: object, arguments: tuple[float, ...]) -> None:
    check(function, arguments)  # type: ignore[arg-type]


def test_every_public_function_is_called_above() -> None:
    assert {function.__name__ for function, _ in CALLS} == public_functions(physics)


@given(between(0.1, 50), between(10, 600), between(-89, 89))
def test_torque_is_the_same_on_both_sides_and_greatest_on_the_equator(mass: float, at: float, latitude: float) -> None:
    torque = physics.polar_torque(physics.moment(mass, at), latitude)
    assert torque == pytest.approx(physics.polar_torque(-physics.moment(mass, at), -latitude))
    assert torque <= physics.polar_torque(physics.moment(mass, at), 0.0)


# --- Without a counterweight -------------------------------------------------------------------------------------


def test_the_drive_holds_a_load_alone_within_its_rating() -> None:
    found = on_mount()
    assert number(found, "reach") == 160
    assert number(found, "torque-alone") == pytest.approx(6 * 0.160 * 9.80665)
    one = finding(found, "balance")
    assert one.verdict == "sound"
    assert "9.4\u00a0N\u00a0m about the polar axis at worst: 47\u202f% of the 20.0\u00a0N\u00a0m" in one.sentence


@pytest.mark.parametrize(("rated", "verdict"), [("12 N m", "sound"), ("11 N m", "tight"), ("9 N m", "fails")])
def test_the_margin_holds_for_torque_too(rated: str, verdict: str) -> None:
    one = finding(on_mount(shelf(head={"rated_torque": rated})), "balance")
    assert one.verdict == verdict
    if verdict != "sound":
        assert one.remedy == (
            "Hang “Weight” on “Bar”: in balance 215\u00a0mm from the polar axis, 115\u00a0mm along the bar."
        )
        assert one.parts == ("weight", "bar")


def test_farther_from_the_equator_gravity_turns_less() -> None:
    found = on_mount(place={"latitude": "60 deg", "longitude": "0 deg"})
    assert number(found, "torque-alone") == pytest.approx(6 * 0.160 * 9.80665 / 2)
    unknown = on_mount(place={})
    assert number(unknown, "torque-alone") == pytest.approx(6 * 0.160 * 9.80665)
    assert "for want of a latitude" in unknown.index["torque-alone"].note


def test_a_worm_drive_must_balance_whatever_it_is_rated_for() -> None:
    for rated in (None, "100 N m"):
        one = finding(on_mount(shelf(worm={"rated_torque": rated}, tube={"mass": "7 kg"}), **WORM), "balance")
        assert one.verdict == "fails"
        assert one.parts == ("weight", "bar")
        assert "2 times" in one.remedy


def test_a_strain_wave_drive_without_a_rating_is_unsaid() -> None:
    one = finding(on_mount(shelf(head={"rated_torque": None})), "balance")
    assert one.verdict == "unsaid"
    assert "no torque is rated" in one.sentence


def test_gaps_in_the_load_can_fail_but_not_hold() -> None:
    gap: Data = {"kind": "sundry", "mass": None}
    assert finding(on_mount(shelf(box=gap), riders=["rings", "box"]), "balance").verdict == "unsaid"
    weak = shelf(box=gap, head={"rated_torque": "5 N m"})
    assert finding(on_mount(weak, riders=["rings", "box"]), "balance").verdict == "fails"


# --- With one ----------------------------------------------------------------------------------------------------


def test_weights_balance_where_moments_are_equal() -> None:
    found = on_mount(**WEIGHTED)
    held = (6 * 160 - 0.5 * 200) / 4
    assert number(found, "balance-at") == pytest.approx(held)
    assert number(found, "balance-along") == pytest.approx(held - 100)
    assert number(found, "torque-left") == pytest.approx(0, abs=1e-9)
    assert finding(found, "balance").verdict == "sound"
    assert "215\u00a0mm from the polar axis, 115\u00a0mm along the usable part of the bar" in (
        finding(found, "balance").sentence
    )


@pytest.mark.parametrize(
    ("tube", "verdict"),
    [(2.8, "fails"), (3.0, "tight"), (3.2, "tight"), (4.0, "sound"), (5.8, "tight"), (6.0, "tight"), (6.3, "fails")],
)
def test_a_worm_mount_wants_bar_left_on_both_sides(tube: float, verdict: str) -> None:
    """A load of m kg balances at 50 m - 25 mm, and the middle of the weight can stand from 130 to 270 mm."""
    found = on_mount(shelf(tube={"mass": f"{tube} kg"}, rings={"mass": "0 kg"}), **WORM, **WEIGHTED)
    assert number(found, "balance-at") == pytest.approx(50 * tube - 25)
    assert finding(found, "balance").verdict == verdict


def test_too_light_a_weight_is_mended_by_a_second_of_the_same() -> None:
    found = on_mount(shelf(tube={"mass": "8 kg"}), **WORM, **WEIGHTED)
    one = finding(found, "balance")
    assert one.verdict == "fails"
    assert "too light: they would balance 425\u00a0mm from the polar axis" in one.sentence
    assert one.remedy.startswith("Take 2 times “Weight” on “Bar”: in balance 212\u00a0mm")


def test_nothing_on_the_shelf_says_what_would_balance() -> None:
    found = on_mount(shelf(tube={"mass": "8 kg"}, weight={"owned": 1}), **WORM, **WEIGHTED)
    one = finding(found, "balance")
    assert one.verdict == "fails"
    assert one.remedy == (
        "No weights on the shelf balance it: 8.50\u00a0kg in all would, in the middle of the club's “Bar”."
    )


def test_a_rated_drive_holds_what_weights_leave() -> None:
    found = on_mount(shelf(weight={"mass": "1 kg"}), **WEIGHTED)
    left = 6 * 160 - 0.5 * 200 - 1 * 270
    assert number(found, "torque-left") == pytest.approx(left * 1e-3 * 9.80665)
    assert finding(found, "balance").verdict == "sound"
    weak = on_mount(shelf(weight={"mass": "1 kg"}, head={"rated_torque": "3 N m"}), **WEIGHTED)
    assert finding(weak, "balance").verdict == "fails"
    assert "more than it holds" in finding(weak, "balance").sentence


def test_too_heavy_a_weight_is_told_so() -> None:
    shelf_ = shelf(tube={"mass": "1 kg"}, weight={"owned": 1})
    one = finding(on_mount(shelf_, **WORM, **WEIGHTED), "balance")
    assert one.verdict == "fails"
    assert "too heavy" in one.sentence


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"worm": {"bar_start": None}}, "where the bar of Worm begins"),
        ({"bar": {"usable_length": None}}, "the usable length of the bar"),
        ({"bar": {"mass": None}}, "the mass of Bar"),
        ({"weight": {"mass": None}}, "the mass of Weight"),
    ],
)
def test_what_is_missing_is_named(changes: dict[str, Data], words: str) -> None:
    one = finding(on_mount(shelf(**changes), **WORM, **WEIGHTED), "balance")
    assert one.verdict == "unsaid"
    assert words in one.sentence
    assert "ruler" in one.remedy


def test_a_saddle_or_tube_that_nobody_measured_is_named() -> None:
    one = finding(on_mount(shelf(head={"saddle_distance": None})), "balance")
    assert one.verdict == "unsaid"
    assert "saddle of Head" in one.sentence
    two = finding(on_mount(shelf(rings={"axis_height": None}, tube={"tube_diameter": None})), "balance")
    assert "height of Tube above its plate" in two.sentence


def test_what_is_assumed_is_said_and_makes_it_uncertain() -> None:
    found = on_mount(shelf(rings={"axis_height": None}), **WEIGHTED)
    assert number(found, "reach") == 90 + 50 + 15
    assert "half the tube's diameter" in found.index["reach"].note
    assert found.index["balance-at"].uncertainty == pytest.approx(6 * 10 / 4)


# --- What has no polar axis, or only one axis ----------------------------------------------------------------------


def test_an_alt_azimuth_arm_has_nothing_to_balance_on() -> None:
    arm: Data = {"drive": "alt-azimuth", "rated_torque": None, "capacity_with_counterweight": None}
    found = on_mount(shelf(head=arm))
    assert "balance" not in ids(found.findings)
    assert "torque-alone" not in found.index
    assert found.drawings == ()
    assert "no polar axis" in finding(found, "load").sentence
    weighted = on_mount(shelf(head=arm), **WEIGHTED)
    assert finding(weighted, "counterweight").verdict == "fails"
    assert "takes none" in finding(weighted, "counterweight").sentence


def test_a_tracker_balances_only_with_a_bracket() -> None:
    tracker: Data = {"drive": "star-tracker", "rated_torque": None, "saddle_distance": "10 mm"}
    bare = on_mount(shelf(head=tracker))
    assert "balance" not in ids(bare.findings)
    assert "close to the middle of its disc" in finding(bare, "load").sentence
    heavy = finding(on_mount(shelf(head=tracker, tube={"mass": "10 kg"})), "load")
    assert heavy.verdict == "fails"
    assert "weight" not in heavy.parts  # there is nothing to hang its bar on
    bracket: Data = {"kind": "fixing", "mass": "0.5 kg", "dovetail": "44 mm", "saddle": "44 mm", "axis_height": "40 mm"}
    arm = on_mount(shelf(head=tracker, bracket=bracket), riders=["bracket", "rings"])
    assert number(arm, "reach") == 10 + 40 + 70
    assert finding(arm, "balance").verdict == "unsaid"
    both = on_mount(shelf(head=tracker, bracket=bracket), riders=["bracket", "rings"], **WEIGHTED)
    assert finding(both, "balance").verdict == "sound"


# --- Weights from the shelf ----------------------------------------------------------------------------------------


@given(between(2, 14), st.integers(0, 3), between(0.5, 6))
def test_what_a_remedy_hangs_is_owned_fits_and_balances(tube: float, owned: int, mass: float) -> None:
    found = guide(shelf(tube={"mass": f"{tube} kg"}, weight={"owned": owned, "mass": f"{mass} kg"}), **WORM)
    assembly = Assembly(found, found.rigs["rig"])
    mount, side = mount_of(assembly), turned(assembly)
    assert mount is not None
    assert side.reach.value is not None
    load = physics.moment(side.load.total, side.reach.value)
    one = balance_from_shelf(assembly, mount, load)
    if one is None:
        return
    assert len(one.weights) <= owned
    ends = ends_of(100, 200, 60 * len(one.weights))
    assert ends.least <= one.distance <= ends.most
    weights = sum(weight.mass.value for weight in one.weights if weight.mass)
    assert load == pytest.approx(physics.moment(0.5, 200) + physics.moment(weights, one.distance))


def test_a_remedy_that_is_taken_balances() -> None:
    heavy = shelf(tube={"mass": "7 kg"})
    promised = finding(on_mount(heavy, **WORM), "balance")
    taken = on_mount(heavy, **WORM, counterweights=["bar", {"part": "weight", "count": 2}])
    assert promised.parts == ("weight", "bar")
    assert finding(taken, "balance").verdict == "sound"


def test_more_weights_than_bar_are_not_hung() -> None:
    wide: Data = {"packed": "150 x 150 x 120 mm"}
    assert finding(on_mount(shelf(weight=wide, tube={"mass": "7 kg"}), **WORM), "balance").parts == ("bar",)


def test_weights_take_their_thickness_of_the_bar() -> None:
    found = guide(**WORM, counterweights=["bar", {"part": "weight", "count": 2}])
    side = turned(Assembly(found, found.rigs["rig"]))
    held = hold(side)
    assert side.stack == 120
    assert held is not None
    assert (held.ends.least, held.ends.most) == (160, 240)


def test_a_bar_that_outweighs_the_load_is_told_so() -> None:
    feather = shelf(tube={"mass": "0.2 kg"}, rings={"mass": "0.1 kg"})
    one = finding(on_mount(feather, **WORM, **WEIGHTED), "balance")
    assert one.verdict == "fails"
    assert one.remedy == "Hang no weight: the bar alone outweighs the load."
    assert on_mount(feather, **WORM, **WEIGHTED).drawings


# --- Plate -----------------------------------------------------------------------------------------------------------


def test_the_plate_letters_masses_and_distances() -> None:
    (plate,) = on_mount(**WEIGHTED).drawings
    assert "a = 160\u00a0mm" in plate.svg
    assert "b = 215\u00a0mm" in plate.svg
    assert "6.00\u00a0kg" in plate.svg
    assert "4.00\u00a0kg" in plate.svg
    assert len(plate.svg.encode()) < 6000
    (alone,) = on_mount().drawings
    assert "b = " not in alone.svg
    assert "9.4\u00a0N\u00a0m at worst" in alone.caption


def test_a_balance_beyond_the_bar_is_marked_there() -> None:
    (near,) = on_mount(shelf(weight={"mass": "3 kg"}), **WEIGHTED).drawings
    assert "does not reach so far" in near.caption
    assert "b = 287" in near.svg
    (far,) = on_mount(shelf(weight={"mass": "1 kg"}), **WEIGHTED).drawings
    assert "b = " not in far.svg
