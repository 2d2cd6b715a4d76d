"""Image circle, corrector and optic, tilt, collimation, and what a filter costs a guide sensor behind it."""

from math import atan, log10, pi
from typing import Any

import pytest

from rigleaf.chapters.scale_and_field.focus_physics import depth_of_focus
from tests.chapters.small_guide import Data, finding, number
from tests.chapters.small_train import DUO, SHELF, TRAIN, judged, shelf, verdicts

WIDTH, HEIGHT = 6248 * 3.76e-3, 4176 * 3.76e-3
DIAGONAL = (WIDTH**2 + HEIGHT**2) ** 0.5


def circled(circle: float, **more: Any) -> Any:
    return judged(shelf(reducer={"image_circle": f"{circle!r} mm"}, **more))


@pytest.mark.parametrize(
    ("circle", "verdict"),
    [(DIAGONAL + 0.01, "sound"), (DIAGONAL - 0.01, "tight"), (24.0, "tight"), (22.0, "fails")],
)
def test_the_circle_covers_the_frame_or_leaves_its_corners_out(circle: float, verdict: str) -> None:
    found = circled(circle)
    assert finding(found, "circle").verdict == verdict
    assert number(found, "circle-margin") == pytest.approx((circle - DIAGONAL) / 2)
    if verdict != "sound":
        share = number(found, "circle-share")
        assert verdict == ("tight" if share >= 0.9 else "fails")
        assert finding(found, "circle").remedy


def test_the_share_of_the_frame_is_that_of_a_disc_where_the_circle_is_small() -> None:
    assert number(circled(10.0), "circle-share") == pytest.approx(pi * 25 / (WIDTH * HEIGHT))


def test_the_last_correctors_circle_counts_and_without_one_the_optics() -> None:
    bare = shelf(tube={"image_circle": "10 mm", "back_focus": {"distance": "55 mm"}})
    assert "circle of Tube, 10\u00a0mm" in finding(judged(bare, ["tube", *TRAIN[2:]]), "circle").sentence
    assert finding(judged(bare), "circle").verdict == "sound"


@pytest.mark.parametrize(("train", "owner"), [(TRAIN, "reducer"), (["tube", *TRAIN[2:]], "tube")])
def test_a_circle_that_nobody_states_is_unsaid(train: list[str], owner: str) -> None:
    found = finding(judged(shelf(**{owner: {"image_circle": None}}), train), "circle")
    assert (found.verdict, found.parts) == ("unsaid", (owner,))
    assert SHELF[owner]["name"] in found.sentence


FAR = ((1920 * 2.9e-3 / 2) ** 2 + (16 + 1080 * 2.9e-3 / 2) ** 2) ** 0.5


@pytest.mark.parametrize(("circle", "verdict"), [(2 * FAR + 0.01, "sound"), (2 * FAR - 0.5, "tight")])
def test_the_guide_sensors_farthest_corner_is_compared_too(circle: float, verdict: str) -> None:
    found = circled(circle, camera=DUO)
    assert finding(found, "circle").verdict == "sound"
    assert finding(found, "circle-guide").verdict == verdict
    assert ("outside the image circle" in finding(found, "circle-guide").sentence) == (verdict == "tight")


# --- Tilt and collimation -----------------------------------------------------------------------------------


def test_tilt_is_the_depth_of_focus_over_half_the_diagonal() -> None:
    found = judged()
    depth = depth_of_focus(4.8, 3.76, 500)
    assert number(found, "tilt-rise") == pytest.approx(2 * depth)
    assert number(found, "tilt") == pytest.approx(atan(depth / 1000 / (DIAGONAL / 2)) * 180 * 60 / pi)


def test_a_fast_optic_bears_less_tilt() -> None:
    assert number(judged(shelf(tube={"aperture": "120 mm"})), "tilt") < number(judged(), "tilt")
    assert "tilt" not in judged(shelf(tube={"aperture": None})).index


@pytest.mark.parametrize(
    ("form", "needs", "verdict"),
    [
        ("newtonian", True, "sound"), ("newtonian", False, "sound"), ("newtonian", None, "unsaid"),
        ("refractor", True, "sound"), ("refractor", False, None), ("refractor", None, None), ("lens", None, None),
        (None, True, "sound"), (None, None, "unsaid"),
    ],
)  # fmt: skip
def test_who_must_collimate(form: str | None, needs: bool | None, verdict: str | None) -> None:
    found = judged(shelf(tube={"form": form, "needs_collimation": needs}))
    assert verdicts(found).get("collimation") == verdict
    if verdict == "unsaid":
        assert finding(found, "collimation").parts == ("tube",)


@pytest.mark.parametrize(
    ("form", "needs", "words"),
    [
        ("newtonian", True, "allow a quarter of an hour and carry the tools for it"),
        ("ritchey-chretien", True, "on a defocused star at set-up; adjust only if it is off"),
        ("cassegrain", True, "on a defocused star at set-up; adjust only if it is off"),
        ("newtonian", False, "keeps its collimation"),
    ],
)
def test_collimation_is_an_instruction_and_no_reproach(form: str, needs: bool, words: str) -> None:
    found = finding(judged(shelf(tube={"form": form, "needs_collimation": needs})), "collimation")
    assert (found.verdict, found.remedy) == ("sound", "")
    assert words in found.sentence
    assert "Tube" in found.sentence


# --- Corrector and optic ------------------------------------------------------------------------------------

OTHER: Data = {**SHELF["tube"], "name": "Other tube"}


def test_a_corrector_that_is_made_for_other_optics_is_told() -> None:
    parts = shelf(reducer={"made_for": ["other", "third"]}, other=OTHER, third={**OTHER, "name": "Third"})
    found = finding(judged(parts), "match")
    assert found.verdict == "tight"
    assert found.sentence.startswith("Reducer is made for Other tube and Third, not for Tube:")
    assert found.remedy.startswith("Nothing on the shelf is made for Tube;")
    assert found.parts == ()


@pytest.mark.parametrize("made_for", [None, ["tube"], ["other", "tube"]])
def test_a_corrector_that_suits_the_optic_is_not_mentioned(made_for: list[str] | None) -> None:
    assert "match" not in verdicts(judged(shelf(reducer={"made_for": made_for}, other=OTHER)))


def test_the_shelfs_corrector_with_the_nearest_factor_takes_its_place() -> None:
    mine: Data = {**SHELF["reducer"], "made_for": ["tube"]}
    parts = shelf(
        reducer={"made_for": ["other"]}, other=OTHER, flat={**mine, "name": "Flat", "factor": "1"},
        right={**mine, "name": "Right", "factor": "0.79"}, gone={**mine, "name": "Gone", "owned": 0},
    )  # fmt: skip
    found = finding(judged(parts), "match")
    assert found.remedy == "Take the club's Right, which is made for it."
    assert found.parts == ("right",)
    assert "match" not in verdicts(judged(parts, ["tube", *found.parts, *TRAIN[2:]]))


# --- Guiding through filters --------------------------------------------------------------------------------


def banded(width: float, camera: Data = DUO, parts: dict[str, Data] | None = None, **more: Any) -> Any:
    band: Data = {"centre": "550 nm", "width": f"{width!r} nm", "transmission": "80 %"}
    return judged(shelf(camera=camera, glass={"bands": [band]}, **(parts or {})), **more)


@pytest.mark.parametrize(("width", "costly"), [(74.0, True), (75.0, False), (76.0, False)])
def test_a_filter_that_costs_more_than_five_times_the_exposure_is_worth_planning_for(
    width: float, costly: bool
) -> None:
    found = banded(width)
    assert number(found, "guide-factor-glass") == pytest.approx(300 / (0.8 * width))
    assert ("guide-filter" in verdicts(found)) == costly
    fainter = f"{2.5 * log10(300 / (0.8 * width)):.1f} magnitudes fainter"
    assert fainter in found.index["guide-factor-glass"].note
    if costly:
        assert fainter in finding(found, "guide-filter").sentence


def test_only_the_costly_filters_are_named() -> None:
    mild: Data = {**SHELF["glass"], "name": "Mild", "bands": [{"centre": "550 nm", "width": "100 nm"}]}
    found = banded(6.0, carried=["mild"], parts={"mild": mild})
    assert number(found, "guide-factor-mild") == pytest.approx(3.0)
    assert "Mild" not in finding(found, "guide-filter").sentence


@pytest.mark.parametrize(("drive", "longer"), [("strain-wave", False), ("worm", True), (None, True)])
def test_longer_exposures_are_no_cure_on_a_strain_wave_drive(drive: str | None, longer: bool) -> None:
    head: Data = {"kind": "mount", "name": "Head", **({"drive": drive} if drive else {})}
    remedy = finding(banded(6.0, mount="head", parts={"head": head}), "guide-filter").remedy
    assert remedy.startswith("Guide with longer exposures" if longer else "Longer guide exposures let this mount's")
    assert "before the filter" in remedy


def test_without_a_guide_sensor_no_filter_costs_guiding() -> None:
    found = banded(6.0, camera={})
    assert "guide-factor-glass" not in found.index
    assert "guide-filter" not in verdicts(found)


def test_filters_carried_along_are_told_apart_and_the_costliest_comes_first() -> None:
    other: Data = {**SHELF["glass"], "name": "Other", "bands": [{"centre": "656 nm", "width": "3 nm"}]}
    parts = shelf(camera=DUO, glass={"bands": [{"centre": "550 nm", "width": "30 nm"}]}, other=other)
    found = finding(judged(parts, carried=["other"]), "guide-filter")
    words = found.sentence.replace("\u00a0", " ")
    assert words.endswith(
        "it must expose 100 times as long behind Other (carried along; stars are 5.0 magnitudes fainter); 10 times as "
        "long behind Glass (stars are 2.5 magnitudes fainter)."
    )
    assert set(found.parts) == {"glass", "other"}


@pytest.mark.parametrize(
    ("size", "rig", "where"),
    [
        ("2 in cell", {"riders": ["other"]}, "in the wheel"), ("2 in cell", {"carried": ["other"]}, "carried along"),
        ("36 mm disc", {"riders": ["other"]}, "carried along"),
    ],
)  # fmt: skip
def test_filters_that_ride_along_and_fit_the_wheel_are_in_it(size: str, rig: Any, where: str) -> None:
    other: Data = {**SHELF["glass"], "name": "Other", "mount_size": size,
                   "bands": [{"centre": "656 nm", "width": "3 nm"}]}  # fmt: skip
    parts = shelf(camera=DUO, other=other, drawer={"kind": "filter-wheel", "name": "Wheel", "positions": 2})
    assert f"behind Other ({where};" in finding(judged(parts, **rig), "guide-filter").sentence
    drawer = shelf(camera=DUO, other=other)
    assert "behind Other (carried along;" in finding(judged(drawer, **rig), "guide-filter").sentence


def test_a_filter_that_passes_nothing_visible_is_told_without_a_number() -> None:
    found = judged(shelf(camera=DUO, glass={"bands": [{"centre": "850 nm", "width": "100 nm"}]}))
    assert found.index["guide-factor-glass"].value is None
    assert "∞" not in finding(found, "guide-filter").sentence
    assert "no visible light passes" in finding(found, "guide-filter").sentence


def test_bands_that_nobody_states_are_unsaid_before_a_guide_sensor_only() -> None:
    found = finding(judged(shelf(camera=DUO, glass={"bands": None})), "guide-filter-glass")
    assert (found.verdict, found.parts) == ("unsaid", ("glass",))
    assert "guide-filter-glass" not in verdicts(judged(shelf(glass={"bands": None})))
