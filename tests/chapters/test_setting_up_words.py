"""What the checklists say of hands, feet, screws and clutches: true of the rig that they are for, and safe."""

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.footing.above import above
from rigleaf.chapters.footing.stance import stance, tripod_of
from rigleaf.chapters.footing.words import compass
from rigleaf.chapters.hands_and_back.study import study as study_lifts
from rigleaf.chapters.on_the_mount.study import study as study_mount
from rigleaf.chapters.setting_up.steps import steps
from rigleaf.chapters.setting_up.study import study
from rigleaf.chapters.setting_up.taking_down import teardown
from rigleaf.site.typeset.cautions import cautions
from tests.chapters.small_evening import lines, made, said, table
from tests.chapters.small_guide import Data, finding, number

STRAIN: dict[str, Data] = {"head": {"drive": "strain-wave"}}
BAR: dict[str, Data] = {
    "head": {"drive": "strain-wave", "saddle_distance": "100 mm", "bar_start": "100 mm", "hinge_height": "70 mm",
             "polar_length": "80 mm"},
    "tube": {"tube_diameter": "170 mm"},
    "weight": {"mass": "5 kg", "packed": "100 x 100 x 40 mm"},
    "bar": {"kind": "counterweight-bar", "name": "Bar", "usable_length": "300 mm", "mass": "0.5 kg"},
}  # fmt: skip
HUNG: Data = {"counterweights": ["bar", "weight"]}


def doings(assembly: Assembly, down: bool = False) -> dict[str, str]:
    up = steps(assembly)
    return {step.id: step.doing for step in (teardown(assembly, up) if down else up)}


# --- Legs --------------------------------------------------------------------------------------------------------


def test_a_leg_points_where_the_chapter_on_footing_finds_the_widest_margin(demo: Catalogue) -> None:
    turned = 0
    for rig in demo.rigs.values():
        assembly = Assembly(demo, rig)
        load, _ = above(assembly)
        tripod = tripod_of(assembly)
        stands = stance(load, tripod) if load is not None and tripod is not None else None
        if stands is None or stands.indifferent:
            continue
        turned += compass(stands.best_leg) != "north"
        assert f", one to the {compass(stands.best_leg)};" in doings(assembly)["legs"], rig.id
    assert turned >= 1


def test_where_footing_cannot_tell_a_leg_points_below_the_pole_and_none_does_without_a_polar_axis() -> None:
    assert "one to the north" in doings(made())["legs"]
    assert "one to the south" in doings(made(where={"latitude": "-30 deg"}))["legs"]
    assert "one to the" not in doings(made({"head": {"drive": "alt-azimuth"}}))["legs"]


@pytest.mark.parametrize(
    ("form", "travels", "says", "never"),
    [
        ("field tripod", ["car"], "trodden in", "floor"),
        ("field tripod", ["stays put"], "flat on the floor", "trodden"),
        ("pier", ["stays put"], "feet flat on firm ground", "trodden"),
        ("table", ["car"], "does not rock", "trodden"),
    ],
)
def test_feet_are_trodden_in_only_where_there_are_legs_and_ground(
    form: str, travels: list[str], says: str, never: str
) -> None:
    assembly = made({"legs": {"form": form}}, travels=travels)
    assert says in doings(assembly)["legs"]
    assert never not in doings(assembly)["legs"]
    assert ("legs in" in doings(assembly, down=True)["legs"]) == (form == "field tripod")


def test_a_pillar_that_stays_put_has_its_tube_tied_until_it_is_indoors() -> None:
    tied = made({"legs": {"form": "pier"}}, travels=["stays put"])
    assert "tether" in doings(tied)
    assert "line" in doings(tied, down=True)["tube"]
    for other in (made({"legs": {"form": "pier"}}), made(travels=["stays put"])):
        assert "tether" not in doings(other)
        assert "line" not in doings(other, down=True)["tube"]


# --- Clutches ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("drive", ["strain-wave", "alt-azimuth", None])
def test_what_may_have_no_clutch_is_never_pushed_and_its_cables_are_tried_under_power(drive: str | None) -> None:
    assembly = made({"head": {"drive": drive}})
    found = doings(assembly)
    assert list(found).index("cable_check") == list(found).index("power") + 1
    assert "under power" in found["cable_check"]
    assert "hand on the switch" in found["cable_check"]
    assert not any("by hand through" in doing or "turn the mount" in doing for doing in found.values())


@pytest.mark.parametrize("drive", ["worm", "star-tracker"])
def test_what_has_a_clutch_is_turned_by_hand_before_it_is_switched_on(drive: str) -> None:
    found = doings(made({"head": {"drive": drive}}))
    assert "cable_check" not in found
    assert "turn the mount" in found["cables"]
    assert "one hand always on the bar" in found["balance"]


def test_the_cap_is_on_while_a_rig_for_the_sun_slews_over_the_sky() -> None:
    sun = made(STRAIN, train=["filter", "tube", "camera"], purpose=["Sun"])
    assert doings(sun)["cable_check"].startswith("Cap on")


def test_without_a_clutch_weights_are_set_by_tape_where_the_chapter_on_the_mount_says() -> None:
    assembly = made(BAR, **HUNG)
    at = study_mount(assembly).index["balance-at"].value
    assert isinstance(at, float)
    assert "tape" in doings(assembly)["balance"]
    assert assembly.say(at, "length") in doings(assembly)["balance"]
    assert "hand on the bar" not in doings(assembly)["balance"]
    assert "unsaid" in doings(made(STRAIN))["balance"]


# --- The safety screw --------------------------------------------------------------------------------------------


def in_order(text: str, *words: str) -> bool:
    at = [text.casefold().index(word) for word in words]
    return at == sorted(at)


def test_the_screw_goes_in_after_the_weights_and_comes_out_with_a_hand_on_them(demo: Catalogue) -> None:
    assert in_order(doings(made())["weights"], "the bar", "weights", "safety screw")
    for weights in ([{"part": "weight", "count": 1}], [{"part": "weight", "count": 2}]):
        off = doings(made(counterweights=weights), down=True)
        assert in_order(off["weights"], "hold", "safety screw", "slide")
        assert list(off).index("tube") < list(off).index("weights")
    caution = next(one for one in cautions() if one.id == "weights")
    assert in_order(caution.text, "set the bar", "then the weights", "safety screw", "then the tube",
                    "hold each weight", "screw comes out", "weight slides off")  # fmt: skip
    assert "stays on" not in caution.short
    note = demo.parts["weight-5-25"].notes or ""
    assert in_order(note, "as soon as the weights are on", "comes out only when a hand holds")
    story = demo.rigs["bittern-heavy"].notes or ""
    assert in_order(story, "bar, weights, safety screw", "tube comes off first",
                    "screw comes out")  # fmt: skip


# --- Two people --------------------------------------------------------------------------------------------------


def test_what_is_too_heavy_for_one_is_lifted_by_two_in_every_step(demo: Catalogue) -> None:
    seen = 0
    for rig in demo.rigs.values():
        assembly = Assembly(demo, rig)
        lifts = next((one for one in study_lifts(assembly).tables if one.id == "lifts"), None)
        both = {
            row[3].figure.id.removeprefix("index-"): row[5].text == "two people"
            for row in (lifts.rows if lifts is not None else ()) if row[3].figure is not None
        }  # fmt: skip
        for down in (False, True):
            found = doings(assembly, down)
            for step in {"head", "tube"} & set(found):
                seen += both.get(step, False)
                assert ("wo people" in found[step]) == both.get(step, False), (rig.id, step)
            if "unload" in found:
                assert ("wo people" in found["unload"]) == any(
                    two for id_, two in both.items() if id_.startswith("load-")
                ), rig.id
        time = finding(study(assembly), "time").sentence
        steps_for_two = any("wo people" in doing for doing in doings(assembly).values())
        assert ("second person" in time) == steps_for_two, rig.id
    assert seen >= 4


def test_the_sentence_names_what_the_second_person_lifts() -> None:
    big: dict[str, Data] = {
        "head": {"mass": "25 kg", "packed": "400 x 300 x 300 mm"},
        "legs": {"height": "900 mm"},
    }
    heavy = said(made(big))
    assert "a second person, to lift the mount head" in finding(heavy, "time").sentence
    assert "a second one for the heavy lifts" in heavy.index["setting-up"].note
    assert "second" not in finding(said(made()), "time").sentence


# --- Sensors, rotators, first nights -----------------------------------------------------------------------------


@pytest.mark.parametrize("depth", ["0 K", None])
def test_a_camera_that_does_not_cool_is_not_warmed_up(depth: str | None) -> None:
    assembly = made({"camera": {"cooling_depth": depth}})
    assert "cooling" not in doings(assembly)["power"]
    assert "warmed" not in doings(assembly, down=True)["park"]
    assert "cooling begun" in doings(made())["power"]
    assert "warmed" in doings(made(), down=True)["park"]


def test_guiding_is_calibrated_again_after_a_rotator_has_turned() -> None:
    shelf: dict[str, Data] = {"turner": {"kind": "rotator", "name": "Rotator"}}
    assert "lasts for the night" in doings(made())["guiding"]
    assert "again whenever it has turned" in doings(made(shelf, train=["tube", "turner", "camera"]))["guiding"]


def test_a_first_night_takes_twice_as_long_and_brings_the_arrival_forward() -> None:
    done = {"walk": None}
    plain, first = said(made(where=done)), said(made(where=done, experience="first night"))
    assert number(first, "setting-up") == pytest.approx(2 * number(plain, "setting-up"))
    assert number(first, "cool-down") == number(plain, "cool-down")
    assert "first night" in first.index["setting-up"].note
    assert "on a first night" in finding(first, "time").sentence
    assert str(first.index["arrive"].value) < str(plain.index["arrive"].value)
    assert number(first, "taking-down") > 1.7 * number(plain, "taking-down")
    assert {row[3].figure.note for row in table(first, "up").rows if row[3].figure} == {
        "usual, × 2", "usual, × 2, 3 times", "as given for Tube"
    }  # fmt: skip
    assert lines(first, "up") == lines(plain, "up")
