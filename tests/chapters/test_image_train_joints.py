"""Joints, filters and wheels: what does not go together is found, and the remedy, carried out, mends it."""

from typing import Any

import pytest

from tests.chapters.small_guide import Data, finding, ids
from tests.chapters.small_train import SHELF, TRAIN, judged, shelf, spacer, unsound, verdicts

COUPLING: Data = {"kind": "adapter", "name": "Coupling", "front": "M54 x 0.75 female", "rear": "M54 x 0.75 female",
                  "optical_length": "3 mm"}  # fmt: skip
TWO_MALES: Data = {"front": "M54 x 0.75 male"}


def test_the_small_train_is_sound_in_everything() -> None:
    found = judged()
    assert unsound(found) == []
    assert set(verdicts(found)) == {"joints", "back-focus", "light", "circle"}
    assert finding(found, "joints").sentence == "All 4 joints mate, from Tube to Camera."


def test_one_joint_is_told_in_the_singular() -> None:
    found = judged(shelf(tube={"back_focus": {"distance": "17.5 mm"}}), ["tube", "camera"])
    assert finding(found, "joints").sentence == "The one joint mates: Tube to Camera."


@pytest.mark.parametrize("train", [["tube"], ["camera"], ["glass"]])
def test_without_two_pieces_there_is_no_train(train: list[str]) -> None:
    found = judged(train=train)
    assert verdicts(found) == {"train": "unsaid"}
    assert found.drawings == ()


# --- Joints -------------------------------------------------------------------------------------------------


def test_two_males_want_the_clubs_coupling_and_with_it_they_mate() -> None:
    parts = shelf(drawer=TWO_MALES, coupling=COUPLING)
    found = finding(judged(parts), "joint-2")
    assert found.verdict == "fails"
    assert "two male threads" in found.sentence
    assert found.remedy == "Put the club's Coupling between them, which adds 3\u00a0mm to the train."
    assert found.parts == ("coupling",)
    mended = judged(parts, ["tube", "reducer", *found.parts, *TRAIN[2:]])
    assert finding(mended, "joints").verdict == "sound"


def test_a_chain_of_two_is_named_in_the_order_in_which_it_is_screwed_on() -> None:
    parts = shelf(
        drawer={"front": "M42 x 0.75 female"},
        wide={"kind": "adapter", "name": "Wide", "front": "M54 x 0.75 female", "rear": "M48 x 0.75 male",
              "optical_length": "2 mm"},
        slim={"kind": "adapter", "name": "Slim", "front": "M48 x 0.75 female", "rear": "M42 x 0.75 male",
              "optical_length": "1.5 mm"},
    )  # fmt: skip
    found = finding(judged(parts), "joint-2")
    assert found.remedy == "Put the club's Wide and then Slim between them, which adds 3.5\u00a0mm to the train."
    assert found.parts == ("wide", "slim")
    assert finding(judged(parts, ["tube", "reducer", *found.parts, *TRAIN[2:]]), "joints").verdict == "sound"


def test_what_mends_joint_and_back_focus_at_once_is_told_once() -> None:
    parts = shelf(drawer=TWO_MALES, ring={"optical_length": "30 mm"}, coupling=COUPLING, rest=spacer(15.5))
    found = judged(parts)
    joint, length = finding(found, "joint-2"), finding(found, "back-focus")
    assert (joint.verdict, length.verdict) == ("fails", "fails")
    assert joint.remedy == "See back focus: the same rings mend both."
    assert joint.parts == ()
    assert length.remedy.startswith("One change mends joint 2 and the back focus: in place of")
    assert set(length.parts) == {"coupling", "rest"}
    mended = judged(parts, ["tube", "reducer", "coupling", "drawer", "glass", "rest", "camera"])
    assert {finding(mended, id_).verdict for id_ in ("joints", "back-focus")} == {"sound"}


def test_joints_before_the_surface_that_counts_keep_their_own_remedy() -> None:
    parts = shelf(reducer={"front": "M54 x 0.75 male"}, drawer=TWO_MALES, ring={"optical_length": "30 mm"},
                  coupling={**COUPLING, "owned": 2}, rest=spacer(15.5))  # fmt: skip
    found = judged(parts)
    assert finding(found, "joint-1").parts == ("coupling",)
    assert "mends joint 2 and the back focus" in finding(found, "back-focus").remedy
    one = judged({**parts, "coupling": COUPLING})
    assert finding(one, "joint-1").parts == ()  # the only one is promised to the back focus


def test_where_nothing_fits_at_all_a_joint_keeps_its_own_remedy() -> None:
    parts = shelf(drawer={**TWO_MALES, "optical_length": "90 mm"}, coupling=COUPLING)
    found = judged(parts)
    assert finding(found, "back-focus").verdict == "fails"
    assert finding(found, "joint-2").parts == ("coupling",)


@pytest.mark.parametrize("change", [{"owned": 0}, {"optical_length": None}, {"rear": None}])
def test_a_ring_that_is_not_there_or_not_known_is_no_remedy(change: Data) -> None:
    found = finding(judged(shelf(drawer=TWO_MALES, coupling={**COUPLING, **change})), "joint-2")
    assert found.parts == ()
    assert found.remedy == (
        "Nothing on the shelf joins M54 x 0.75 male to M54 x 0.75 male; an adapter between the two is to be bought."
    )


def test_a_ring_mends_no_more_joints_than_the_club_has_of_it() -> None:
    both = shelf(drawer={"front": "M54 x 0.75 male"}, ring={"front": "M54 x 0.75 male"}, coupling=COUPLING)
    first, second = (finding(judged(both), id_) for id_ in ("joint-2", "joint-3"))
    assert first.parts == ("coupling",)
    assert second.parts == ()
    two = {**both, "coupling": {**COUPLING, "owned": 2}}
    assert finding(judged(two), "joint-3").parts == ("coupling",)
    in_the_train = judged(both, ["tube", "reducer", "coupling", *TRAIN[2:]])
    assert finding(in_the_train, "joint-4").parts == ()


def test_nothing_is_put_onto_a_side_that_does_not_come_apart() -> None:
    found = finding(judged(shelf(reducer={"rear": "fixed"})), "joint-2")
    assert found.verdict == "fails"
    assert "take another piece" in found.remedy


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"drawer": {"front": None}}, ("drawer",)),
        ({"reducer": {"rear": None}}, ("reducer",)),
        ({"reducer": {"rear": None}, "drawer": {"front": None}}, ("reducer", "drawer")),
    ],
)
def test_a_side_that_nobody_states_is_unsaid_with_the_part_named(changes: Any, named: tuple[str, ...]) -> None:
    found = finding(judged(shelf(**changes)), "joint-2")
    assert found.verdict == "unsaid"
    assert found.parts == named
    for id_ in named:
        assert SHELF[id_]["name"] in found.remedy
    assert "joints" not in ids(judged(shelf(**changes)).findings)


# --- Filters ------------------------------------------------------------------------------------------------


def test_a_filter_that_does_not_fit_is_changed_for_the_shelfs_most_like_it() -> None:
    band: Data = {"centre": "656 nm", "width": "7 nm"}
    parts = shelf(
        glass={"mount_size": "36 mm disc", "bands": [band]},
        near={**SHELF["glass"], "name": "Near", "bands": [{"centre": "656 nm", "width": "6 nm"}]},
        far={**SHELF["glass"], "name": "Far", "bands": [{"centre": "500 nm", "width": "6 nm"}]},
        gone={**SHELF["glass"], "name": "Gone", "bands": [band], "owned": 0},
    )
    found = finding(judged(parts), "filter-size")
    assert found.verdict == "fails"
    assert found.sentence == "Glass (36 mm disc) does not fit Drawer, which takes 2 in cell."
    assert found.parts == ("near",)
    assert "filter-size" not in verdicts(judged(parts, [*TRAIN[:3], "near", *TRAIN[4:]]))


def test_where_the_shelf_has_no_such_filter_one_is_to_be_bought() -> None:
    found = finding(judged(shelf(glass={"mount_size": "36 mm disc"})), "filter-size")
    assert found.remedy == "No filter on the shelf is a 2 in cell; one is to be bought."


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"glass": {"mount_size": None}}, ("glass",)),
        ({"drawer": {"filter_size": None}}, ("drawer",)),
        ({"glass": {"mount_size": None}, "drawer": {"filter_size": None}}, ("glass", "drawer")),
    ],
)
def test_a_size_that_nobody_states_is_unsaid(changes: Any, named: tuple[str, ...]) -> None:
    found = finding(judged(shelf(**changes)), "filter-size")
    assert (found.verdict, found.parts) == ("unsaid", named)


def test_sizes_are_compared_by_their_words_not_by_their_spaces() -> None:
    assert unsound(judged(shelf(glass={"mount_size": "2 In  cell"}))) == []


def test_a_filter_behind_a_ring_is_held_by_nobody_knows_what() -> None:
    found = finding(judged(train=["tube", "reducer", "drawer", "ring", "glass", "camera"]), "filter-held")
    assert found.verdict == "unsaid"
    assert "Ring" in found.sentence


def test_a_filter_before_everything_is_held_by_nothing() -> None:
    assert finding(judged(train=["glass", *TRAIN]), "filter-held").verdict == "fails"


def test_one_filter_is_in_the_light_at_a_time() -> None:
    train = [*TRAIN[:4], "glass", *TRAIN[4:]]
    assert finding(judged(train=train), "filter-count").verdict == "fails"


def test_findings_on_several_filters_have_ids_of_their_own() -> None:
    found = ids(judged(train=["glass", "glass", *TRAIN]).findings)
    assert len(found) == len(set(found))
    assert {"filter-held", "filter-held-2"} <= set(found)


# --- Wheels -------------------------------------------------------------------------------------------------


def wheel(positions: int | None, carried: list[Any], size: str | None = "2 in cell") -> Any:
    parts = shelf(
        drawer={"kind": "filter-wheel", "name": "Wheel", "positions": positions, "filter_size": size},
        other={**SHELF["glass"], "name": "Other"},
        small={**SHELF["glass"], "name": "Small", "mount_size": "36 mm disc"},
    )
    return finding(judged(parts, carried=carried), "wheel")


@pytest.mark.parametrize(
    ("positions", "carried", "verdict", "words"),
    [
        (3, [{"part": "other", "count": 2}], "sound", "3 places for the 3 filters of its size that are carried"),
        (2, [{"part": "other", "count": 2}], "tight", "2 places and the rig carries 3 filters of its size"),
        (1, [], "sound", "1 place for the 1 filter of its size that is carried"),
        (1, ["small"], "sound", "1 place for the 1 filter of its size that is carried"),
        (None, ["other"], "unsaid", "its number of places is not given"),
    ],
)
def test_places_of_a_wheel_against_the_filters_of_its_size(
    positions: int | None, carried: list[Any], verdict: str, words: str
) -> None:
    found = wheel(positions, carried)
    assert found.verdict == verdict
    assert words in found.sentence


def test_a_wheel_of_unsaid_size_is_not_passed_over() -> None:
    found = wheel(5, ["other"], None)
    assert found.verdict == "unsaid"
    assert found.parts == ("drawer",)
    assert "its filter size is not given" in found.sentence


def test_a_spacer_joins_as_an_adapter_does() -> None:
    step = spacer(4.0, front="M54 x 0.75 female", rear="M48 x 0.75 male")
    parts = shelf(drawer={"front": "M48 x 0.75 female"}, step=step)
    assert finding(judged(parts), "joint-2").parts == ("step",)
