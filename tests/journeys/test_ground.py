"""Legs that do not fly: loads of bags, of backs, and what the club owns."""

import pytest

from rigleaf.chapters.figures import Finding
from rigleaf.journeys.result import TripStudy
from tests.journeys.small_trip import BAGS_FOR_TWO, LEG, TRIP, TWO, Data, extras, plain, study


def by(*means: str) -> Data:
    return {"legs": [{**LEG, "by": one, "carrier": None} for one in means], "bags": TRIP["bags"]}


def finding(found: TripStudy, id_: str) -> Finding:
    (one,) = (one for one in found.ground if one.id == id_)
    return one


@pytest.mark.parametrize(("mass", "verdict"), [("2 kg", "sound"), ("9 kg", "tight"), ("15 kg", "fails")])
def test_a_walk_is_judged_by_the_heaviest_back(mass: str, verdict: str) -> None:
    found = study(by("foot"), tube={"mass": mass})
    assert finding(found, "on-foot").verdict == verdict
    assert found.headline.word == verdict
    assert found.headline.flies is False


def test_the_heavier_of_two_is_named() -> None:
    found = study({**by("foot"), "travellers": TWO, "bags": BAGS_FOR_TWO}, case={"mass": "12 kg"})
    assert finding(found, "on-foot").sentence.startswith("The first carries ")


def test_after_a_drive_all_is_carried() -> None:
    found = study(by("car", "foot"), tube={"mass": "15 kg"})
    assert finding(found, "on-foot").verdict == "fails"


def test_by_train_the_bags_are_counted() -> None:
    found = study(by("train", "bus"))
    assert plain(finding(found, "by-hand").sentence) == (
        "One person travels by train and by bus with 2 bags and 7.80 kg in all."
    )  # fmt: skip


def test_a_bag_beyond_its_limit_leaves_things() -> None:
    bags = [{"bag": "case", "traveller": "one"}]
    found = study({**by("car"), "bags": bags}, case={"load_limit": "4 kg"})
    assert {left.part for left in found.left}
    assert found.headline.word == "fails"
    assert all(bag.mass <= 5.0 for bag in found.bags)


def test_a_bag_whose_limit_is_unsaid_is_not_sound() -> None:
    found = study(by("car"), case={"load_limit": None})
    assert finding(found, "bag-loads").verdict == "unsaid"
    assert "Case" in finding(found, "bag-loads").sentence


def test_a_mass_that_is_unsaid_is_no_zero() -> None:
    found = study(by("foot"), tube={"mass": None})
    assert finding(found, "on-foot").verdict == "unsaid"
    assert "at least" in finding(found, "on-foot").sentence


def test_more_than_the_club_owns() -> None:
    found = study({**by("car"), "extras": extras(tube=1)})
    assert finding(found, "owned").sentence == "This journey asks for more than the club owns: 2 × Tube (1 owned)."


def test_a_bag_in_the_car_flies_nowhere() -> None:
    bags = [*TRIP["bags"], {"bag": "pack", "traveller": "one", "goes": "car", "holds": ["head"]}]
    found = study({"bags": bags})
    assert finding(found, "car-only").verdict == "tight"
