"""Verdicts of scale and field: each at its boundary, with the shelf's remedy, and unsaid for want of an input."""

import re
from itertools import pairwise
from typing import Any

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.figures import Study
from rigleaf.chapters.scale_and_field import focus_physics, physics
from rigleaf.chapters.scale_and_field.inputs import HOW_TO_MEASURE
from tests.chapters.small_guide import Data, catalogue, finding, ids, number, parts, scale, with_place

JUST_LESS, JUST_MORE = 1 - 1e-6, 1 + 1e-6


def sensor(pixel_um: float, mosaic: str | None = "mono", **more: Any) -> Data:
    """A change that gives the camera other pixels on a sensor of the same size."""
    across = round(6248 * 3.76 / pixel_um)
    made: Data = {"pixels": f"{across} x {round(across / 1.5)}", "pixel": f"{pixel_um!r} um"}
    return {"sensor": made | ({"mosaic": mosaic} if mosaic else {}), **more}


def with_pixels(
    pixel_um: float,
    *,
    purpose: str = "nebulae",
    mosaic: str | None = "mono",
    shelf: dict[str, Data] | None = None,
) -> Catalogue:
    return catalogue(parts(camera=sensor(pixel_um, mosaic)) | (shelf or {}), rig={"purpose": [purpose]})


# --- Sampling -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("mosaic", ["mono", "colour"])
def test_sampling_is_sound_up_to_the_contrast_that_may_be_left(mosaic: str) -> None:
    shelf = parts(camera=sensor(5.0, mosaic))
    left = number(scale(catalogue(shelf)), "contrast-left")
    assert 0.05 < left < 0.8
    sound = scale(catalogue(shelf, choices={"lost_contrast": left * JUST_MORE}))
    tight = scale(catalogue(shelf, choices={"lost_contrast": left * JUST_LESS}))
    assert finding(sound, "sampling").verdict == "sound"
    assert finding(tight, "sampling").verdict == "tight"
    assert not finding(sound, "sampling").remedy
    assert finding(tight, "sampling").remedy


def test_a_colour_mosaic_samples_less_finely_than_mono_pixels_of_the_same_size() -> None:
    mono, colour = (scale(with_pixels(5.0, mosaic=mosaic)) for mosaic in ("mono", "colour"))
    assert number(colour, "contrast-left") > number(mono, "contrast-left")
    assert number(colour, "contrast-left-red-blue") > number(colour, "contrast-left")
    assert "contrast-left-red-blue" not in mono.index
    assert "green photosites" in finding(colour, "sampling").sentence


def one_pixel_wide() -> float:
    """The pixel, in um, on which the star of the small guide is just one pixel wide."""
    found = scale(catalogue())
    return 3.76 * number(found, "star-pixels")


@pytest.mark.parametrize(
    ("purpose", "times", "verdict"),
    [
        ("galaxies", JUST_LESS, "tight"),
        ("galaxies", JUST_MORE, "fails"),
        ("planets", JUST_MORE, "fails"),
        ("nebulae", JUST_MORE, "tight"),
        ("wide field", JUST_MORE, "tight"),
    ],
)
def test_pixels_wider_than_the_star_fail_where_fine_detail_is_the_purpose(
    purpose: str, times: float, verdict: str
) -> None:
    found = scale(with_pixels(one_pixel_wide() * times, purpose=purpose))
    assert finding(found, "sampling").verdict == verdict
    assert ("price of a wide field" in finding(found, "sampling").sentence) == (purpose == "wide field")


def test_pixels_far_finer_than_the_star_may_be_binned_and_then_are_still_fine_enough() -> None:
    study = scale(with_pixels(0.8))
    found = finding(study, "sampling")
    assert found.verdict == "sound"
    match = re.search(r"Bin (\d+) × \1 when", found.remedy)
    assert match
    times = int(match[1])
    assert times >= 2
    binned = scale(with_pixels(0.8 * times, purpose="galaxies"))
    assert finding(binned, "sampling").verdict == "sound"
    assert "Bin" not in finding(binned, "sampling").remedy
    assert f"{100 / times**2:.2g}\u202f%" in found.sentence


def test_an_extender_that_costs_light_may_be_left_out() -> None:
    extended = catalogue(parts(reducer={"factor": "3"}, camera=sensor(1.5)))
    assert "or leave the extender out" in finding(scale(extended), "sampling").remedy
    assert "extender" not in finding(scale(with_pixels(0.8)), "sampling").remedy


def other_camera(pixel_um: float, id_: str) -> dict[str, Data]:
    return {id_: {"kind": "camera", "name": f"Camera {id_}", **sensor(pixel_um)}}


def test_the_finer_camera_is_the_shelfs_nearest_to_what_is_wanted_and_gives_what_is_said_of_it() -> None:
    alone = scale(with_pixels(9.0))
    assert finding(alone, "sampling").parts == ()
    assert "club's" not in finding(alone, "sampling").remedy
    goal = 9.0 * number(alone, "scale-wanted") / number(alone, "image-scale")
    shelf = other_camera(goal * 0.5, "fine") | other_camera(goal * 1.1, "near") | other_camera(8.5, "hardly")
    found = finding(scale(with_pixels(9.0, shelf=shelf)), "sampling")
    assert found.parts == ("near",)
    assert "take the club's Camera near" in found.remedy
    fitted = scale(with_pixels(goal * 1.1))
    assert f"{number(fitted, 'image-scale'):.3g}″/px" in found.remedy


def test_a_camera_that_is_hardly_finer_or_says_nothing_of_its_pixels_is_no_remedy() -> None:
    silent: dict[str, Data] = {
        "silent": {"kind": "camera", "name": "Silent"},
        "half": {"kind": "camera", "name": "Half", "sensor": {}},
    }
    found = finding(scale(with_pixels(9.0, shelf=other_camera(7.3, "hardly") | silent)), "sampling")
    assert found.verdict == "tight"
    assert found.parts == ()


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
    assert "assumed" in found.index["airmass"].note


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
    "no mosaic": ({"camera": sensor(3.76, None)}, {}, "mosaic", ("whether it sees colour",)),
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
