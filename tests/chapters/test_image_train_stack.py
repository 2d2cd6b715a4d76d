"""Back focus: verdicts at their boundaries, what is unsaid, and the factor at another distance."""

from typing import Any

import pytest

from rigleaf.chapters.figures import Study
from tests.chapters.small_guide import Data, finding, number
from tests.chapters.small_train import TRAIN, judged, shelf

JUST = 0.02  # mm; less is the same length


def with_ring(length: float, **more: Any) -> Study:
    return judged(shelf(ring={"optical_length": f"{length!r} mm"}, **more))


# --- Verdicts -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("off", "verdict", "side"),
    [
        (0.0, "sound", ""), (0.5 - JUST, "sound", ""), (0.5, "sound", ""), (-0.5, "sound", ""),
        (0.5 + JUST, "fails", "too long"), (-0.5 - JUST, "fails", "too short"),
        (12.3, "fails", "12.3\u00a0mm too long"),
    ],
)  # fmt: skip
def test_the_stack_may_miss_by_the_tolerance_and_no_more(off: float, verdict: str, side: str) -> None:
    found = with_ring(18.5 + off)
    assert number(found, "miss") == pytest.approx(off, abs=1e-9)
    assert finding(found, "back-focus").verdict == verdict
    assert side in finding(found, "back-focus").sentence
    assert bool(finding(found, "back-focus").remedy) == (verdict == "fails")
    assert ("factor-here" in found.index) == (off != 0)


@pytest.mark.parametrize(("error", "verdict"), [(0.3 - JUST, "sound"), (0.3 + JUST, "tight")])
def test_lengths_that_are_not_well_known_make_it_tight(error: float, verdict: str) -> None:
    found = judged(shelf(ring={"optical_length": f"18.7 mm +- {error!r} mm"}))
    assert finding(found, "back-focus").verdict == verdict
    assert ("may be outside" in finding(found, "back-focus").sentence) == (verdict == "tight")


def test_uncertainties_add_as_the_root_of_their_squares() -> None:
    found = judged(shelf(ring={"optical_length": "18.5 mm +- 0.3 mm"}, drawer={"optical_length": "20 mm +- 0.4 mm"}))
    assert number(found, "stack-error") == pytest.approx(0.5)
    assert finding(found, "back-focus").verdict == "sound"
    assert judged().index["stack-error"].value is None
    assert judged().index["stack-error"].note == "no piece states a tolerance"


def test_pieces_without_a_tolerance_are_counted_where_others_have_one() -> None:
    note = {"optical_length": "18.5 mm +- 0.3 mm"}
    assert judged(shelf(ring=note)).index["stack-error"].note == "at least; 2 pieces state none"
    both = shelf(ring=note, drawer={"optical_length": "20 mm +- 0.1 mm"})
    assert judged(both).index["stack-error"].note == "at least; 1 piece states none"
    all_ = {**both, "camera": {**both["camera"], "flange_to_sensor": "17.5 mm +- 0.1 mm"}}
    assert judged(all_).index["stack-error"].note == ""


@pytest.mark.parametrize(("off", "label"), [(-0.18, "Too short by"), (0.18, "Too long by"), (0.0, "Off by")])
def test_the_miss_is_shown_without_a_sign_and_named_by_its_side(off: float, label: str) -> None:
    figure = with_ring(18.5 + off).index["off-by"]
    assert figure.label == label
    assert figure.value == pytest.approx(abs(off), abs=1e-9)
    assert not with_ring(18.5 + off).index["miss"].shown


def test_without_a_stated_tolerance_the_guides_choice_counts() -> None:
    loose: Data = {"back_focus": {"distance": "55 mm"}}
    assert finding(with_ring(19.4, reducer=loose), "back-focus").verdict == "sound"
    assert finding(with_ring(19.6, reducer=loose), "back-focus").verdict == "fails"
    choices: Data = {"back_focus_tolerance": "2 mm"}
    wide = judged(shelf(reducer=loose, ring={"optical_length": "20 mm"}), choices=choices)
    assert finding(wide, "back-focus").verdict == "sound"


def test_a_narrow_tolerance_is_seen_in_the_numbers() -> None:
    found = with_ring(18.53, reducer={"back_focus": {"distance": "55 mm +- 0.02 mm"}})
    sentence = finding(found, "back-focus").sentence
    assert (
        "wants 55\u00a0mm ± 0.02\u00a0mm and gets 55.03\u00a0mm with the glass counted: 0.03\u00a0mm too long"
        in sentence
    )


def test_glass_moves_the_focus_by_its_thickness_and_index() -> None:
    assert number(judged(), "glass") == pytest.approx(1.0)
    assert number(judged(shelf(glass={"glass_index": None})), "glass") == pytest.approx(3 * (1 - 1 / 1.5168))
    bare = judged(train=[id_ for id_ in TRAIN if id_ != "glass"])
    assert number(bare, "glass") == 0
    assert "glass" not in finding(bare, "back-focus").sentence


def test_shims_and_counts_add_to_the_length() -> None:
    shim: Data = {"kind": "shim", "name": "Shim", "thickness": "0.2 mm", "fits_thread": "54 mm", "owned": 4}
    parts = shelf(shim=shim, ring={"optical_length": "6 mm"})
    found = judged(parts, [*TRAIN[:4], {"part": "ring", "count": 3}, {"part": "shim", "count": 2}, "camera"])  # type: ignore[list-item]
    assert number(found, "miss") == pytest.approx(3 * 6 + 2 * 0.2 - 18.5)


def test_the_optics_own_back_focus_counts_where_there_is_no_corrector() -> None:
    parts = shelf(tube={"back_focus": {"distance": "55 mm +- 1 mm"}})
    found = judged(parts, ["tube", "drawer", "glass", "ring", "camera"])
    assert finding(found, "back-focus").verdict == "sound"
    assert finding(found, "back-focus").sentence.startswith("Tube wants")
    assert "factor-here" not in found.index


def test_a_reducer_too_far_from_the_sensor_reduces_more() -> None:
    assert number(with_ring(18.5 + 5.5), "factor-here") == pytest.approx(1 - 0.2 * 1.1)
    assert number(with_ring(18.5 - 5.5), "factor-here") == pytest.approx(1 - 0.2 * 0.9)
    assert "factor-here" not in with_ring(30, reducer={"factor": "1"}).index


# --- What is unsaid -----------------------------------------------------------------------------------------

SHIM: Data = {"kind": "shim", "name": "Shim", "fits_thread": "54 mm"}


@pytest.mark.parametrize(
    ("changes", "train", "named", "part"),
    [
        ({"reducer": {"back_focus": None}}, TRAIN, "the back focus of Reducer is", "reducer"),
        ({"reducer": {"back_focus": {}}}, TRAIN, "the back focus of Reducer is", "reducer"),
        ({"drawer": {"optical_length": None}}, TRAIN, "the length of Drawer is", "drawer"),
        ({"camera": {"flange_to_sensor": None}}, TRAIN, "the length of Camera is", "camera"),
        ({"glass": {"glass_thickness": None}}, TRAIN, "the glass of Glass is", "glass"),
        ({"shim": SHIM}, [*TRAIN[:-1], "shim", "camera"], "the thickness of Shim is", "shim"),
        ({}, TRAIN[:-1], "a camera at the end of the train is", "reducer"),
        ({"ring": {"rear": None}}, TRAIN[:-1], "a camera at the end of the train is", "reducer"),
        ({}, ["tube", "drawer", "camera"], "Tube states no back focus", "tube"),
    ],
)  # fmt: skip
def test_what_is_missing_is_named_with_its_part(changes: Any, train: list[str], named: str, part: str) -> None:
    found = finding(judged(shelf(**changes), train), "back-focus")
    assert found.verdict == "unsaid"
    assert named in found.sentence
    assert found.parts == (part,)
    assert found.remedy


def test_several_gaps_are_all_named() -> None:
    found = finding(judged(shelf(drawer={"optical_length": None}, ring={"optical_length": None})), "back-focus")
    assert "the length of Drawer and the length of Ring are not given" in found.sentence
    assert found.parts == ("drawer", "ring")


def test_without_an_optic_nothing_asks_for_a_length() -> None:
    found = finding(judged(train=["drawer", "camera"]), "back-focus")
    assert found.verdict == "unsaid"
    assert "neither an optic nor a corrector" in found.sentence
