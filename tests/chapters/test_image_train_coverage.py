"""Image circle, tilt, collimation, and what a filter costs a guide sensor behind it."""

from math import atan, pi
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
        ("newtonian", True, "tight"), ("newtonian", False, "sound"), ("newtonian", None, "unsaid"),
        ("refractor", True, "tight"), ("refractor", False, None), ("refractor", None, None), ("lens", None, None),
        (None, True, "tight"), (None, None, "unsaid"),
    ],
)  # fmt: skip
def test_who_must_collimate(form: str | None, needs: bool | None, verdict: str | None) -> None:
    found = judged(shelf(tube={"form": form, "needs_collimation": needs}))
    assert verdicts(found).get("collimation") == verdict
    if verdict == "unsaid":
        assert finding(found, "collimation").parts == ("tube",)


# --- Guiding through filters --------------------------------------------------------------------------------


def banded(width: float, camera: Data = DUO, **more: Any) -> Any:
    band: Data = {"centre": "550 nm", "width": f"{width!r} nm", "transmission": "80 %"}
    return judged(shelf(camera=camera, glass={"bands": [band]}), **more)


@pytest.mark.parametrize(("width", "costly"), [(124.0, True), (126.0, False)])
def test_a_filter_that_costs_three_times_the_exposure_is_worth_planning_for(width: float, costly: bool) -> None:
    found = banded(width)
    assert number(found, "guide-factor-glass") == pytest.approx(300 / (0.8 * width))
    assert ("guide-filter" in verdicts(found)) == costly


def test_without_a_guide_sensor_no_filter_costs_guiding() -> None:
    found = banded(6.0, camera={})
    assert "guide-factor-glass" not in found.index
    assert "guide-filter" not in verdicts(found)


def test_filters_carried_along_are_told_apart_and_the_costliest_comes_first() -> None:
    other: Data = {**SHELF["glass"], "name": "Other", "bands": [{"centre": "656 nm", "width": "3 nm"}]}
    parts = shelf(camera=DUO, glass={"bands": [{"centre": "550 nm", "width": "30 nm"}]}, other=other)
    found = finding(judged(parts, carried=["other"]), "guide-filter")
    words = found.sentence.replace("\u00a0", " ")
    assert words.endswith("it must expose 100 times behind Other (carried along); 10 times behind Glass.")
    assert set(found.parts) == {"glass", "other"}


def test_a_filter_that_passes_nothing_visible_is_told_without_a_number() -> None:
    found = judged(shelf(camera=DUO, glass={"bands": [{"centre": "850 nm", "width": "100 nm"}]}))
    assert found.index["guide-factor-glass"].value is None
    assert "∞" not in finding(found, "guide-filter").sentence
    assert "no visible light passes" in finding(found, "guide-filter").sentence


def test_bands_that_nobody_states_are_unsaid_before_a_guide_sensor_only() -> None:
    found = finding(judged(shelf(camera=DUO, glass={"bands": None})), "guide-filter-glass")
    assert (found.verdict, found.parts) == ("unsaid", ("glass",))
    assert "guide-filter-glass" not in verdicts(judged(shelf(glass={"bands": None})))
