"""An off-axis pick-off: focus of its guide camera, its shadow, and its place in the image circle."""

import re
from typing import Any

import pytest

from rigleaf.chapters.figures import Study
from tests.chapters.small_guide import Data, finding, number
from tests.chapters.small_train import M54, TRAIN, judged, shelf, verdicts

PICK_OFF: Data = {
    "kind": "off-axis-pick-off", "name": "Pick-off", **M54, "optical_length": "18 mm", "clear_aperture": "50 mm",
    "prism": "8 mm", "prism_offset": "17 mm", "guide_length": "25 mm",
}  # fmt: skip
EYE: Data = {"kind": "guide-camera", "name": "Eye", "flange_to_sensor": "17.5 mm"}
BEHIND = ["tube", "reducer", "drawer", "glass", "ring", "prism", "camera"]
"""From the prism's middle to the main sensor: 9 + 17.5 = 26.5 mm."""


def picked(train: list[str] | None = None, *, eye: Data | None = EYE, more: Any = None, **prism: Any) -> Study:
    parts = shelf(prism={**PICK_OFF, **prism}, **({"eye": eye} if eye else {}), **(more or {}))
    return judged(parts, train or BEHIND, guiding={"camera": "eye"} if eye else None)


def reaching(length: float, **more: Any) -> Study:
    return picked(guide_length=f"{length - 17.5!r} mm", **more)


# --- Focus --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reach", "verdict"),
    [(26.5, "sound"), (24.0, "sound"), (20.5, "sound"), (20.4, "tight"), (26.6, "fails"), (36.5, "fails")],
)
def test_the_guide_sensor_must_stand_as_far_from_the_prism_as_the_main_one(reach: float, verdict: str) -> None:
    found = reaching(reach)
    assert number(found, "prism-to-sensor") == pytest.approx(26.5)
    assert finding(found, "pick-off-focus").verdict == verdict
    assert bool(finding(found, "pick-off-focus").remedy) == (verdict != "sound")


def length_in(text: str) -> str:
    match = re.search(r"([\d.]+)\u00a0mm", text)
    assert match
    return f"{match[1]} mm"


def test_a_ring_before_the_guide_camera_brings_it_into_focus() -> None:
    cure = finding(reaching(18.0), "pick-off-focus").remedy
    ring = float(length_in(cure).split()[0])
    assert finding(reaching(18.0 + ring), "pick-off-focus").verdict == "sound"


def test_more_length_before_the_main_camera_brings_the_guide_camera_into_focus() -> None:
    cure = finding(reaching(30.0), "pick-off-focus").remedy
    gap = {"kind": "spacer", "name": "Gap", **M54, "optical_length": length_in(cure)}
    found = reaching(30.0, more={"gap": gap}, train=[*BEHIND[:-1], "gap", "camera"])
    assert finding(found, "pick-off-focus").verdict == "sound"


def test_filters_and_shims_behind_the_prism_count() -> None:
    shim: Data = {"kind": "shim", "name": "Shim", "thickness": "0.4 mm", "fits_thread": "54 mm"}
    train = ["tube", "reducer", "prism", "shim", "drawer", "glass", "camera"]
    assert number(picked(train, more={"shim": shim}), "prism-to-sensor") == pytest.approx(9 + 0.4 + 20 - 1 + 17.5)


# --- Shadow and circle --------------------------------------------------------------------------------------

HALF_HEIGHT = 4176 * 3.76e-3 / 2
EDGE = HALF_HEIGHT + 26.5 / 4.8 / 2 + 4  # the offset at which the prism's inner edge touches the light


@pytest.mark.parametrize(
    ("offset", "verdict"), [(EDGE + 0.01, "sound"), (EDGE - 0.01, "tight"), (EDGE - 2.03, "tight")]
)
def test_the_prism_must_stay_out_of_the_light_of_the_long_edge(offset: float, verdict: str) -> None:
    found = finding(picked(prism_offset=f"{offset!r} mm"), "pick-off-shadow")
    assert found.verdict == verdict
    if verdict == "tight":
        pulled = offset + float(length_in(found.remedy).split()[0])
        assert finding(picked(prism_offset=f"{pulled!r} mm"), "pick-off-shadow").verdict == "sound"


@pytest.mark.parametrize(("offset", "verdict"), [("22 mm", "sound"), ("22.1 mm", "tight")])
def test_the_prism_should_look_at_the_image_circle(offset: str, verdict: str) -> None:
    assert finding(picked(prism_offset=offset), "pick-off-circle").verdict == verdict


def test_moved_inwards_by_what_is_said_the_prism_sees_stars_and_shades_nothing() -> None:
    wide = {"reducer": {"image_circle": "38 mm"}}
    found = finding(picked(prism_offset="21 mm", more=wide), "pick-off-circle")
    match = re.search(r"inwards by ([\d.]+) to ([\d.]+)\u00a0mm: at 19\u00a0mm it stands inside", found.remedy)
    assert match, found.remedy
    for by in map(float, match.groups()):
        moved = picked(prism_offset=f"{21 - by!r} mm", more=wide)
        assert finding(moved, "pick-off-circle").verdict == "sound"
        assert finding(moved, "pick-off-shadow").verdict == "sound"
    assert EDGE <= 21 - float(match[2]) < EDGE + 0.11
    assert f"at {21 - float(match[2]):.1f}\u00a0mm it begins to shade" in found.remedy


def test_a_circle_so_small_that_the_prism_would_shade_first_is_said() -> None:
    found = finding(picked(prism_offset="17 mm", more={"reducer": {"image_circle": "24 mm"}}), "pick-off-circle")
    assert found.remedy.startswith("Moving it inwards does not mend it: at 12\u00a0mm")
    unsaid = picked(prism_offset="17 mm", prism=None, more={"reducer": {"image_circle": "24 mm"}})
    assert finding(unsaid, "pick-off-circle").remedy.endswith("as far as its shadow allows.")


# --- What is unsaid -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("prism", "more", "named", "part"),
    [
        ({"optical_length": None}, {}, "the length of Pick-off", "prism"),
        ({}, {"camera": {"flange_to_sensor": None}}, "the length of Camera", "camera"),
    ],
)
def test_an_unsaid_length_behind_the_prism_is_named(prism: Any, more: Any, named: str, part: str) -> None:
    found = finding(picked(more=more, **prism), "pick-off")
    assert found.verdict == "unsaid"
    assert named in found.sentence
    assert found.parts == (part,)


@pytest.mark.parametrize(
    ("more", "train", "named"),
    [
        ({"glass": {"glass_thickness": None}}, ["tube", "prism", "drawer", "glass", "camera"], "the glass of Glass"),
        ({"shim": {"kind": "shim", "name": "Shim"}}, [*BEHIND[:-1], "shim", "camera"], "the thickness of Shim"),
        ({}, BEHIND[:-1], "a camera at the end of the train"),
    ],
)
def test_what_lies_between_prism_and_sensor_must_be_known(more: Any, train: list[str], named: str) -> None:
    found = finding(picked(train, more=more), "pick-off")
    assert found.verdict == "unsaid"
    assert f"{named} is not given" in found.sentence


@pytest.mark.parametrize(
    ("eye", "prism", "named", "parts"),
    [
        (None, {}, "a guide camera under 'guiding' is not given", ()),
        ({**EYE, "flange_to_sensor": None}, {}, "the flange distance of Eye is not given", ("eye",)),
        (EYE, {"guide_length": None}, "the guide length of Pick-off is not given", ("prism",)),
        ({**EYE, "flange_to_sensor": None}, {"guide_length": None},
         "the flange distance of Eye and the guide length of Pick-off are not given", ("eye", "prism")),
    ],
)  # fmt: skip
def test_focus_of_the_guide_camera_is_unsaid_by_name(eye: Data | None, prism: Any, named: str, parts: Any) -> None:
    found = finding(picked(eye=eye, **prism), "pick-off-focus")
    assert found.verdict == "unsaid"
    assert named in found.sentence
    assert found.parts == parts
    assert "26.5\u00a0mm" in found.remedy


@pytest.mark.parametrize(
    ("prism", "more", "named"),
    [
        ({"prism": None}, {}, "its width is"), ({"prism_offset": None}, {}, "its offset is"),
        ({}, {"camera": {"sensor": None}}, None),
        ({"prism": None, "prism_offset": None}, {}, "its width and its offset are"),
    ],
)  # fmt: skip
def test_the_shadow_is_unsaid_by_name(prism: Any, more: Any, named: str | None) -> None:
    found = finding(picked(more=more, **prism), "pick-off-shadow")
    assert found.verdict == "unsaid"
    assert (named or "the sensor's size is") in found.sentence


def test_a_train_without_a_pick_off_is_not_judged_by_one() -> None:
    assert not [id_ for id_ in verdicts(judged(train=TRAIN)) if id_.startswith("pick-off")]
