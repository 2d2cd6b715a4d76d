"""Verdicts of scale and field: each at its boundary, with the shelf's remedy, and unsaid for want of an input."""

from itertools import pairwise
from typing import Any

import pytest

from rigleaf.chapters.figures import Finding, Study
from rigleaf.chapters.formatting import show
from rigleaf.chapters.scale_and_field import focus_physics, physics
from rigleaf.chapters.scale_and_field.inputs import HOW_TO_MEASURE
from tests.chapters.small_guide import Data, catalogue, finding, ids, number, parts, scale, with_place

JUST_LESS, JUST_MORE = 1 - 1e-6, 1 + 1e-6
NBSP = "\u00a0"


# --- Seeing, place and what is assumed ------------------------------------------------------------------------


def test_seeing_comes_from_the_place_then_from_the_guide_and_the_figure_says_so() -> None:
    at_home = with_place(catalogue(place="field", rig={"place": "field"}), seeing="1.5 arcsec")
    elsewhere = with_place(catalogue(rig={"place": "field"}))
    placed, guided = scale(at_home), scale(elsewhere)
    assert number(placed, "zenith-seeing") == 1.5
    assert placed.index["zenith-seeing"].note == "as given for Field"
    assert number(guided, "zenith-seeing") == 3.0
    assert guided.index["zenith-seeing"].basis == "stated"


def test_what_nobody_chose_is_marked_as_assumed() -> None:
    choices: Data = dict.fromkeys(("seeing", "tracking_error", "target_altitude"))
    found = scale(catalogue(choices=choices))
    assert found.index["zenith-seeing"].basis == "assumed"
    assert found.index["tracking-error"].basis == "assumed"
    assert found.index["airmass"].note == "judged with the target at 50° (assumed)"
    assert scale(catalogue()).index["airmass"].note == "judged with the target at 90° (chosen in guide.yml)"


def test_the_rigs_own_tracking_error_counts_before_the_guides() -> None:
    found = scale(catalogue(rig={"guiding": {"tracking_error": "0.7 arcsec"}}, choices={"tracking_error": "2 arcsec"}))
    assert number(found, "tracking-error") == 0.7
    assert found.index["tracking-error"].note == "as given for this rig"


# --- Focus ----------------------------------------------------------------------------------------------------


def with_step(step_um: float, shelf: dict[str, Data] | None = None) -> Study:
    return scale(catalogue(parts(motor={"step": f"{step_um!r} um"}) | (shelf or {})))


def coarsest_step(steps: float) -> float:
    """The motor's step, in um, of which just so many fit into the small guide's depth of focus."""
    depth = number(scale(catalogue()), "depth")
    return 2 * depth / steps / 0.8**2


@pytest.mark.parametrize(
    ("steps", "times", "verdict"),
    [(5, JUST_LESS, "sound"), (5, JUST_MORE, "tight"), (2, JUST_LESS, "tight"), (2, JUST_MORE, "fails")],
)
def test_the_motor_is_judged_by_its_steps_inside_the_depth_of_focus(steps: float, times: float, verdict: str) -> None:
    found = with_step(coarsest_step(steps) * times)
    assert finding(found, "motor").verdict == verdict
    assert number(found, "motor-steps") == pytest.approx(steps / times)
    assert bool(finding(found, "motor").remedy) == (verdict != "sound")


def test_the_finer_motor_is_the_shelfs_coarsest_that_is_fine_enough_and_mends_it() -> None:
    enough = coarsest_step(5)
    shelf: dict[str, Data] = {
        id_: {"kind": "focuser-motor", "name": f"Motor {id_}", "step": f"{enough * times!r} um"}
        for id_, times in (("finest", 0.1), ("fine", 0.9), ("coarse", 1.1))
    } | {"silent": {"kind": "focuser-motor", "name": "Silent"}}
    found = finding(with_step(enough * 3, shelf), "motor")
    assert found.parts == ("fine",)
    assert "Fit the club's Motor fine" in found.remedy
    assert finding(with_step(enough * 0.9), "motor").verdict == "sound"


def test_without_a_finer_motor_the_page_says_how_fine_it_must_be() -> None:
    enough = coarsest_step(5)
    found = finding(with_step(enough * 3), "motor")
    assert found.parts == ()
    assert f"{enough:.3g}\u00a0µm a step or less" in found.remedy
    assert "no motor on the shelf" in found.remedy


def test_a_rig_without_a_motor_is_not_judged_by_one() -> None:
    assert "motor" not in ids(scale(catalogue(rig={"riders": []})).findings)


def temperature(night_k: float, *, motor: bool, **tube: Any) -> Study:
    rig: Data = {} if motor else {"riders": []}
    return scale(catalogue(parts(tube=tube), rig=rig, choices={"night_cooling": f"{night_k!r} K"}))


def test_the_cold_moves_the_focus_as_far_as_typical_and_worst_expansion_say() -> None:
    found = temperature(8, motor=False)
    depth = number(found, "depth")
    aluminium = focus_physics.EXPANSION["aluminium"]
    degrees = depth / (aluminium.typical * 0.4 * 0.8**2)
    worst = depth / (aluminium.worst * 0.4 * 0.8**2)
    assert number(found, "refocus-after") == pytest.approx(degrees)
    verdicts = [
        finding(temperature(night, motor=False), "temperature")
        for night in (worst * JUST_LESS, worst * JUST_MORE, degrees * 1.5, degrees * 2.5, degrees * 3.5)
    ]
    assert [one.verdict for one in verdicts] == ["sound", "tight", "tight", "tight", "tight"]
    words = (
        "keeps its focus within",
        "sources for its material differ",
        "new focus once.",
        "new focus twice.",
        "new focus 3 times.",
    )
    for one, said in zip(verdicts, words, strict=True):
        assert said in one.sentence
    assert "Refocus by hand" in verdicts[2].remedy


def test_a_motor_makes_up_for_the_cold() -> None:
    found = finding(temperature(30, motor=True), "temperature")
    assert found.verdict == "sound"
    assert "The motor can do that." in found.sentence


@pytest.mark.parametrize(("times", "verdict"), [(JUST_LESS, "sound"), (JUST_MORE, "tight")])
def test_a_motor_too_coarse_to_find_the_focus_does_not_make_up_for_the_cold(times: float, verdict: str) -> None:
    found = with_step(coarsest_step(2) * times)
    assert finding(found, "temperature").verdict == verdict


def test_without_a_motor_the_clubs_coarsest_that_is_fine_enough_is_named_or_the_step_it_must_have() -> None:
    enough = coarsest_step(5)
    shelf = {
        id_: {"kind": "focuser-motor", "name": f"Motor {id_}", "step": f"{enough * times!r} um"}
        for id_, times in (("finest", 0.1), ("fine", 0.9), ("coarse", 1.1))
    }
    rig: Data = {"riders": []}
    named = finding(scale(catalogue(parts(motor={"step": "99 um"}) | shelf, rig=rig)), "temperature")
    assert named.parts == ("fine",)
    assert named.remedy.endswith("or fit the club's Motor fine.")
    none = finding(scale(catalogue(parts(motor={"step": "99 um"}), rig=rig)), "temperature")
    assert none.parts == ()
    assert none.remedy.endswith(f"or fit a motor with {enough:.3g}\u00a0µm a step or less.")


def test_one_change_of_temperature_is_said_once_as_a_range_where_the_sources_differ_in_print() -> None:
    found = finding(temperature(8, motor=False), "temperature")
    study = temperature(8, motor=False)
    typical = number(study, "refocus-after")
    worst = typical * focus_physics.EXPANSION["aluminium"].typical / focus_physics.EXPANSION["aluminium"].worst
    least, most = (show(one, "temperature_step").first for one in (worst, typical))
    assert least != most
    assert f"A change of {least.partition(NBSP)[0]} to {most} uses up" in found.sentence
    assert " K" not in found.remedy.replace("\u00a0", " ")
    # No source makes more of Invar than the typical one: both print the same.
    assert focus_physics.EXPANSION["invar"].typical == focus_physics.EXPANSION["invar"].worst
    same = temperature(8, motor=False, tube_material="invar", tube_length="4000 mm")
    once = f"A change of {show(number(same, 'refocus-after'), 'temperature_step').first} uses up"
    assert once in finding(same, "temperature").sentence


@pytest.mark.parametrize("purpose", ["Sun", "eclipses", "Moon", "planets"])
def test_short_exposures_bear_the_change_of_an_hour_and_do_not_speak_of_the_night(purpose: str) -> None:
    rig: Data = {"riders": [], "purpose": [purpose]}

    def one(night_k: float) -> Finding:
        return finding(scale(catalogue(rig=rig, choices={"night_cooling": f"{night_k!r} K"})), "temperature")

    degrees = number(scale(catalogue(rig=rig)), "refocus-after")
    worst = degrees * focus_physics.EXPANSION["aluminium"].typical / focus_physics.EXPANSION["aluminium"].worst
    calm, turning = one(8 * worst * JUST_LESS), one(8 * degrees * 1.5)
    assert (calm.verdict, turning.verdict) == ("sound", "tight")
    for found in (calm, turning):
        assert "over an hour in which the air changes by" in found.sentence
        assert "night" not in found.sentence + found.remedy


@pytest.mark.parametrize("material", ["aluminium", "plastic", None])
@pytest.mark.parametrize("motor", [True, False])
def test_a_lens_is_unsaid_and_never_asks_for_a_motor(material: str | None, motor: bool) -> None:
    found = finding(temperature(8, motor=motor, form="lens", tube_material=material), "temperature")
    assert found.verdict == "unsaid"
    assert "does not follow its barrel" in found.sentence
    assert found.remedy == "Focus on a star again when the air has changed."


def test_two_mirrors_move_the_focus_by_their_spacing_and_lever() -> None:
    tube: Data = {
        "form": "ritchey-chretien", "focal_length": "1350 mm", "aperture": "150 mm", "tube_material": "steel",
        "primary_focal_ratio": "3", "mirror_spacing": "300 mm",
    }  # fmt: skip
    found = temperature(8, motor=False, **tube)
    lever = (9 / 3) ** 2 + 1
    assert number(found, "focus-shift") == pytest.approx(12.0 * 0.3 * lever * 0.8**2)


def test_a_tube_of_plastic_is_unsaid_and_not_passed_over() -> None:
    found = finding(temperature(8, motor=False, tube_material="plastic"), "temperature")
    assert found.verdict == "unsaid"
    assert "plastic" in found.sentence
    assert found.remedy


# --- What is unsaid -------------------------------------------------------------------------------------------

RC: Data = {"form": "ritchey-chretien", "primary_focal_ratio": "3", "mirror_spacing": "300 mm"}

GAPS: dict[str, tuple[dict[str, Data], Data, str, tuple[str, ...]]] = {
    "no optic": ({}, {"train": ["reducer", "camera"]}, "inputs", ("an optic in the train",)),
    "no camera": ({}, {"train": ["tube", "reducer"]}, "inputs", ("a camera in the train",)),
    "no focal length": ({"tube": {"focal_length": None}}, {}, "inputs", ("the focal length",)),
    "no aperture": ({"tube": {"aperture": None}}, {}, "inputs", ("the aperture",)),
    "no factor": ({"reducer": {"factor": None}}, {}, "inputs", ("the corrector's factor",)),
    "no sensor": ({"camera": {"sensor": None}}, {}, "inputs", ("the sensor's pixels", "the pixel size")),
    "no pixels": ({"camera": {"sensor": {"pixel": "3.76 um"}}}, {}, "inputs", ("the sensor's pixels",)),
    "no pixel size": ({"camera": {"sensor": {"pixels": "6248 x 4176"}}}, {}, "inputs", ("the pixel size",)),
    "empty train": ({}, {"train": []}, "inputs", ("an optic in the train", "a camera in the train")),
    "no mosaic": ({"camera": {"sensor": {"pixels": "6248 x 4176", "pixel": "3.76 um"}}}, {}, "mosaic",
                  ("whether it sees colour",)),
    "no guide pixels": ({"camera": {"guide_sensor": {"pixel": "2.9 um", "offset": ["0 mm", "-17.5 mm"]}}}, {},
                        "guide-sensor",
                        ("the guide sensor's pixels",)),
    "no guide offset": ({"camera": {"guide_sensor": {"pixels": "1920 x 1080", "pixel": "2.9 um"}}}, {}, "guide-sensor",
                        ("the guide sensor's place",)),
    "no step": ({"motor": {"step": None}}, {}, "motor", ("the motor's step",)),
    "no material": ({"tube": {"tube_material": None}}, {}, "temperature", ("the tube's material",)),
    "no length": ({"tube": {"tube_length": None}}, {}, "temperature", ("the tube's length",)),
    "no form": ({"tube": {"form": None}}, {}, "temperature", ("the form of the optic",)),
    "no primary": ({"tube": {**RC, "primary_focal_ratio": None}}, {}, "temperature",
                   ("the primary mirror's focal ratio",)),
    "no spacing": ({"tube": {**RC, "mirror_spacing": None}}, {}, "temperature", ("the spacing of the mirrors",)),
}  # fmt: skip


@pytest.mark.parametrize("gap", GAPS)
def test_a_missing_input_is_unsaid_by_name_and_how_to_measure_it_stands_beside(gap: str) -> None:
    changes, rig, id_, names = GAPS[gap]
    study = scale(catalogue(parts(**changes), rig=rig))
    found = finding(study, id_)
    assert found.verdict == "unsaid"
    for name in names:
        assert name in found.sentence
        assert HOW_TO_MEASURE[name] in found.remedy
    others = set(HOW_TO_MEASURE) - set(names)
    assert [name for name in others if f"told: {name}" in found.sentence or f"and {name}" in found.sentence] == []


def test_every_way_to_measure_is_offered_for_some_gap() -> None:
    named = {name for _, _, _, names in GAPS.values() for name in names}
    assert set(HOW_TO_MEASURE) - named == {"the guide sensor's pixel size"}


@pytest.mark.parametrize("gap", [gap for gap, (_, _, id_, _) in GAPS.items() if id_ == "inputs"])
def test_without_its_inputs_nothing_is_judged_and_no_plate_drawn(gap: str) -> None:
    changes, rig, _, _ = GAPS[gap]
    study = scale(catalogue(parts(**changes), rig=rig))
    assert ids(study.findings) == ["inputs"]
    assert study.drawings == ()
    assert study.worst == "unsaid"


def test_a_whole_guide_leaves_nothing_unsaid() -> None:
    assert "unsaid" not in {one.verdict for one in scale(catalogue()).findings}


# --- Figures --------------------------------------------------------------------------------------------------


def test_factors_multiply_along_the_train_and_stand_in_the_note() -> None:
    shelf = parts() | {"extender": {"kind": "corrector", "name": "Extender", "factor": "2"}}
    found = scale(catalogue(shelf, rig={"train": ["tube", "reducer", "extender", "camera"]}))
    assert number(found, "focal-length") == pytest.approx(480 * 1.6)
    assert found.index["focal-length"].note == "480 mm × 0.8 × 2"
    assert found.index["focal-length"].basis == "computed"


def test_an_input_keeps_its_basis_and_uncertainty() -> None:
    measured: Data = {"focal_length": {"stated": "480 mm", "measured": "476 mm +- 2 mm", "on": "2026-03-01"}}
    found = scale(catalogue(parts(tube=measured), rig={"train": ["tube", "camera"]}))
    assert found.index["focal-length"].basis == "measured"
    assert number(found, "focal-length") == 476.0


def test_the_guide_sensors_field_depends_on_its_place() -> None:
    beside = scale(catalogue())
    unplaced = scale(catalogue(parts(camera={"guide_sensor": {"pixels": "1920 x 1080", "pixel": "2.9 um"}})))
    assert number(beside, "guide-offset") == pytest.approx(physics.field_of_view(2 * 17.5, 384.0) / 2)
    assert "guide-offset" not in unplaced.index
    assert number(unplaced, "guide-field-height") > number(beside, "guide-field-height")


def test_a_longer_focal_length_magnifies_narrows_and_deepens() -> None:
    studies = [scale(catalogue(parts(tube={"focal_length": f"{mm} mm"}))) for mm in (200, 480, 1000, 2000)]
    for shorter, longer in pairwise(studies):
        assert number(longer, "image-scale") < number(shorter, "image-scale")
        assert number(longer, "field-diagonal") < number(shorter, "field-diagonal")
        assert number(longer, "depth") > number(shorter, "depth")
        assert number(longer, "star") == pytest.approx(number(shorter, "star"))
