"""Load against capacity, with and without a counterweight; worm mounts; the tripod; and other mounts as remedies."""

from dataclasses import replace

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Choices
from rigleaf.catalogue.models.mounting import Mount
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study
from rigleaf.chapters.on_the_mount.study import study
from rigleaf.chapters.study import study_guide
from tests.chapters.small_guide import Data, finding, ids, number
from tests.chapters.small_mount import WEIGHTED, WORM, guide, on_mount, shelf


def test_a_light_load_without_a_counterweight_is_sound() -> None:
    found = on_mount()
    load = finding(found, "load")
    assert load.verdict == "sound"
    assert "6.00\u00a0kg ride on Head, which carries 10.0\u00a0kg without a counterweight" in load.sentence
    assert number(found, "used") == pytest.approx(0.6)
    assert ids(found.findings) == ["load", "balance", "fit", "tripod"]
    assert found.worst == "sound"


def test_with_weights_on_the_bar_the_other_capacity_applies() -> None:
    found = on_mount(**WEIGHTED)
    assert number(found, "capacity") == 15
    assert number(found, "used") == pytest.approx(6 / 15)
    assert "15.0\u00a0kg with a counterweight" in finding(found, "load").sentence


@pytest.mark.parametrize(
    ("tube", "verdict"), [(6.9, "sound"), (7.0, "sound"), (7.1, "tight"), (9.0, "tight"), (9.01, "fails")]
)
def test_the_guides_margin_is_left_unused(tube: float, verdict: str) -> None:
    """A kilogram of rings and the tube on a capacity of 10 kg, of which 20 % stay unused."""
    assert finding(on_mount(shelf(tube={"mass": f"{tube} kg"})), "load").verdict == verdict


def test_an_uncertain_mass_must_leave_the_margin_too() -> None:
    found = on_mount(shelf(tube={"mass": "6.9 kg +- 0.2 kg"}))
    assert finding(found, "load").verdict == "tight"
    assert found.index["used"].uncertainty == pytest.approx(0.02)


def test_what_must_come_off_is_told_apart_from_doubt() -> None:
    """Of 10 kg, 8 kg are room: 7.9 kg and 8.9 kg, each with 0.2 kg of doubt, and no other mount on the shelf."""
    remedies = [
        finding(
            on_mount(shelf(tube={"mass": f"{mass} kg +- 0.2 kg"}, worm={"owned": 0}, bar={"owned": 0})), "load"
        ).remedy
        for mass in (6.9, 7.9)
    ]
    assert "0.10\u00a0kg must come off to be sure" in remedies[0]
    assert "0.90\u00a0kg must come off, and 0.20\u00a0kg more to be sure" in remedies[1]


def test_a_load_with_gaps_cannot_hold_and_can_fail() -> None:
    gap: Data = {"kind": "sundry", "mass": None}
    some = on_mount(shelf(box=gap), riders=["rings", "box"])
    assert finding(some, "load").verdict == "unsaid"
    assert "At least 6.00\u00a0kg" in finding(some, "load").sentence
    assert "1 piece has no mass" in finding(some, "load").sentence
    much = on_mount(shelf(box=gap, tube={"mass": "12 kg"}), riders=["rings", "box"])
    assert finding(much, "load").verdict == "fails"
    assert "3.00\u00a0kg too much" in finding(much, "load").sentence


def test_nothing_weighed_is_unsaid_and_no_zero() -> None:
    found = on_mount(shelf(tube={"mass": None}, rings={"mass": None}))
    assert finding(found, "load").verdict == "unsaid"
    assert "used" not in found.index
    assert found.drawings == ()


def test_no_mount_no_tripod_no_capacity() -> None:
    assert finding(on_mount(mount=None), "load").verdict == "unsaid"
    assert finding(on_mount(tripod=None), "base").verdict == "unsaid"
    bare = on_mount(shelf(head={"capacity": None, "capacity_with_counterweight": None}))
    assert finding(bare, "load").verdict == "unsaid"
    assert finding(bare, "load").remedy.startswith("Look for the load")
    assert finding(on_mount(shelf(legs={"capacity": None})), "tripod").verdict == "unsaid"


def test_only_a_capacity_with_a_counterweight_says_nothing_about_a_load_without() -> None:
    found = finding(on_mount(shelf(head={"capacity": None})), "load")
    assert found.verdict == "unsaid"
    assert "15.0\u00a0kg with one, nothing without one, so count on none" in found.sentence
    assert found.parts == ("weight", "bar")
    assert "Hang “Weight” on “Bar”" in found.remedy
    assert finding(on_mount(shelf(head={"capacity": None}, tube={"mass": "15 kg"})), "load").verdict == "fails"


def test_only_a_capacity_without_one_stands_in_for_the_one_with() -> None:
    found = on_mount(shelf(head={"capacity_with_counterweight": None}), **WEIGHTED)
    assert number(found, "capacity") == 10
    assert "with one it carries no less" in found.index["capacity"].note


def test_too_much_without_a_weight_is_mended_by_one() -> None:
    found = finding(on_mount(shelf(tube={"mass": "10 kg"})), "load")
    assert found.verdict == "fails"
    assert found.remedy == "With 2 times “Weight” on “Bar” it carries 15.0\u00a0kg."


def test_too_much_even_with_one_is_mended_by_another_mount() -> None:
    big: Data = {"kind": "mount", "name": "Big", "mass": "6 kg", "drive": "strain-wave", "capacity": "30 kg",
                 "saddles": ["44 mm"], "saddle_distance": "100 mm", "base": "3/8-16 UNC female"}  # fmt: skip
    heavy: Data = {"tube": {"mass": "14 kg"}}
    found = finding(on_mount(shelf(**heavy, big=big)), "load")
    assert found.verdict == "fails"
    assert found.remedy == "The club's “Big” carries 30.0\u00a0kg without a counterweight."
    assert found.parts == ("big",)
    for spoiled in ({"owned": 0}, {"saddles": ["75 mm"]}, {"rated_torque": "5 N m"}, {"drive": "alt-azimuth"}):
        other = finding(on_mount(shelf(**heavy, big=big | spoiled)), "load")
        assert other.parts == (), spoiled
        assert other.remedy == "No mount on the shelf carries it with that margin: 7.00\u00a0kg must come off."


def test_a_weight_that_cannot_hang_does_not_count() -> None:
    found = on_mount(shelf(weight={"bore": "25 mm"}), **WEIGHTED)
    load = finding(found, "load")
    assert number(found, "capacity") == 10
    assert "The counterweight does not count, since Weight has a bore of 25\u00a0mm" in load.sentence


# --- Worm mounts -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("capacity", "verdict"), [(14, "sound"), (10.5, "sound"), (9.9, "tight"), (8, "tight")])
def test_light_and_full_worm_mounts_are_marginal(capacity: float, verdict: str) -> None:
    """Six kilograms: within 60 % of the larger ones; below 10 kg a worm mount is light whatever it carries."""
    found = on_mount(shelf(worm={"capacity_with_counterweight": f"{capacity} kg"}), **WORM, **WEIGHTED)
    assert finding(found, "long-exposures").verdict == verdict


def test_another_mount_comes_with_a_tripod_that_takes_its_base() -> None:
    full = on_mount(shelf(worm={"capacity_with_counterweight": "6.5 kg"}), **WORM, **WEIGHTED)
    one = finding(full, "load")
    assert one.verdict == "tight"
    assert one.remedy == "The club's “Head” carries 10.0\u00a0kg without a counterweight, on “Legs”."
    assert one.parts == ("head", "legs")


def test_a_full_worm_mount_names_a_steadier_one() -> None:
    full = on_mount(shelf(worm={"capacity_with_counterweight": "9.9 kg"}), **WORM, **WEIGHTED)
    assert finding(full, "long-exposures").parts == ("head", "legs")
    over = on_mount(shelf(worm={"capacity_with_counterweight": "5 kg"}), **WORM, **WEIGHTED)
    assert "long-exposures" not in ids(over.findings)


def test_bright_targets_and_other_drives_are_not_asked_for_long_exposures() -> None:
    assert "long-exposures" not in ids(on_mount(**WORM, **WEIGHTED, purpose=["Moon", "planets"]).findings)
    assert "long-exposures" not in ids(on_mount(**WEIGHTED).findings)


# --- Tripod ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("capacity", "verdict"), [("12 kg", "sound"), ("11 kg", "tight"), ("9 kg", "tight"), ("8.9 kg", "fails")]
)
def test_the_tripod_bears_load_head_and_weights(capacity: str, verdict: str) -> None:
    """Load 6 kg and head 3 kg."""
    found = on_mount(shelf(legs={"capacity": capacity}))
    assert finding(found, "tripod").verdict == verdict


def test_weights_and_bar_stand_on_the_tripod_too() -> None:
    assert number(on_mount(**WEIGHTED), "tripod-used") == pytest.approx((6 + 3 + 4.5) / 40)


def test_another_tripod_must_take_the_base_and_bear_the_load() -> None:
    weak = shelf(legs={"capacity": "5 kg"})
    assert finding(on_mount(weak), "tripod").parts == ()
    stout: Data = {"kind": "tripod", "mass": "5 kg", "capacity": "30 kg", "top": "3/8-16 UNC male"}
    light: Data = stout | {"mass": "2 kg", "capacity": "10 kg"}
    found = finding(on_mount(weak | shelf(stout=stout, light=light, legs={"capacity": "5 kg"})), "tripod")
    assert found.parts == ("stout",)
    assert found.remedy == "The club's “Stout” takes the base of Head and bears 30.0\u00a0kg."


def test_a_margin_of_all_that_a_capacity_says_leaves_nothing_to_name() -> None:
    found = guide(shelf(head={"capacity": "5 kg"}, legs={"capacity": "5 kg"}))
    unused = found.guide.model_copy(update={"choices": Choices.model_validate({"load_margin": "100 %"})})
    here = replace(found, guide=unused)
    judged = study(Assembly(here, here.rigs["rig"]))
    for about in ("load", "tripod"):
        assert (finding(judged, about).verdict, finding(judged, about).parts) == ("fails", ())


def test_no_narrow_tripod_stands_in_for_a_wide_one() -> None:
    narrow: Data = {"kind": "tripod", "mass": "2 kg", "capacity": "30 kg", "top": "3/8-16 UNC male"}
    legs: Data = {"capacity": "5 kg", "foot_radius": "600 mm"}
    for radius, parts in (("530 mm", ()), ("545 mm", ("narrow",)), (None, ("narrow",))):
        one = finding(on_mount(shelf(legs=legs, narrow=narrow | {"foot_radius": radius})), "tripod")
        assert one.parts == parts
        assert one.remedy


# --- The demo ----------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def demo_studies(demo: Catalogue) -> dict[str, Study]:
    return {id_: study(Assembly(demo, rig)) for id_, rig in demo.rigs.items()}


def test_the_misfits_fail_plainly_and_every_failure_has_a_remedy(demo_studies: dict[str, Study]) -> None:
    found = demo_studies["workshop-misfits"]
    for id_ in ("load", "dovetail", "base", "tripod"):
        one = finding(found, id_)
        assert one.verdict == "fails", id_
        assert one.parts, id_
    assert "3.40\u00a0kg too much" in finding(found, "load").sentence
    assert "so that no balance is judged" in finding(found, "load").sentence
    assert "75\u00a0mm" in finding(found, "dovetail").sentence
    assert "1/4-20 UNC male meets 3/8-16 UNC female" in finding(found, "base").sentence


def test_the_demos_mounts_are_what_the_trade_knows(demo: Catalogue) -> None:
    """Common practice, no source: a strain-wave head of about 3 kg carries about 13 kg alone, its larger sibling 20."""
    small, large = demo.parts["strain-wave-small"], demo.parts["strain-wave-large"]
    assert isinstance(small, Mount)
    assert isinstance(large, Mount)
    assert small.mass
    assert small.capacity
    assert large.capacity
    assert small.mass.value == pytest.approx(3, rel=0.1)
    assert small.capacity.value == pytest.approx(13, rel=0.1)
    assert large.capacity.value >= 20


def test_the_light_worm_mount_of_the_demo_is_marginal(demo_studies: dict[str, Study]) -> None:
    assert finding(demo_studies["curlew-guide-scope"], "long-exposures").verdict == "tight"


def test_a_failure_always_says_what_would_mend_it(demo_studies: dict[str, Study]) -> None:
    found = [one for one_study in demo_studies.values() for one in one_study.findings]
    assert [one.sentence for one in found if one.verdict in ("fails", "tight", "unsaid") and not one.remedy] == []


def test_every_figure_has_its_method(demo: Catalogue) -> None:
    assert len(study_guide(demo)) == len(demo.rigs)
