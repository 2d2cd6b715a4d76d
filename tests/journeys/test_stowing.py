"""Which piece goes where: rules before pins, pins before likings, and what is left says why."""

import pytest

from tests.journeys.small_trip import BAG, BAGS_FOR_TWO, LEG, TWO, batteries, extras, study, where

CABIN_ONLY = [{"bag": "trolley", "traveller": "one"}]


def test_batteries_and_glass_in_the_cabin_tools_in_the_hold() -> None:
    found = study()
    assert where(found, "bank-90") == where(found, "tube") == {"trolley": 1}
    assert where(found, "keys") == where(found, "head") == {"case": 1}
    assert (found.headline.word, found.left) == ("may fly", ())


def test_a_long_tool_without_a_bag_for_the_hold_is_left() -> None:
    found = study({"bags": CABIN_ONLY})
    (left,) = found.left
    assert (left.part, left.why) == ("keys", "no bag")
    assert left.sentence == (
        "Keys may fly in the hold only, and no bag of this journey goes there. "
        "A hand tool with a blade or shaft longer than 6 cm goes into the hold."
    )
    assert found.headline.word == "stays home"
    assert found.headline.sentence == (
        "Not as it is planned: Keys cannot go along. Without it everything may fly."
    )  # fmt: skip


def test_a_pin_against_a_rule_gives_way() -> None:
    bags = [{"bag": "trolley", "traveller": "one"}, {"bag": "case", "traveller": "one", "holds": ["bank-90"]}]
    found = study({"bags": bags})
    assert where(found, "bank-90") == {"trolley": 1}
    assert "Bank 90 may not fly in the bag that the journey names, so it goes in Trolley." in found.suggestions


def test_a_pin_is_kept() -> None:
    bags = [{"bag": "trolley", "traveller": "one"}, {"bag": "case", "traveller": "one", "holds": ["tube"]}]
    found = study({"bags": bags})
    assert where(found, "tube") == {"case": 1}


def test_a_pin_to_a_bag_at_its_limit_gives_way() -> None:
    bags = [{"bag": "trolley", "traveller": "one", "holds": ["tube", "head"]}, {"bag": "case", "traveller": "one"}]
    found = study({"bags": bags}, head={"mass": "8 kg"})
    assert where(found, "head") | where(found, "tube") == {"trolley": 1, "case": 1}
    assert found.left == ()
    assert any("as the bag that the journey names is full or at its limit" in one for one in found.suggestions)


def test_a_cabin_bag_keeps_within_the_mass_of_the_carrier() -> None:
    found = study({"extras": extras(bank_90=1)}, tube={"mass": "8.2 kg"}, bank_90={"mass": "1 kg"})
    trolley = next(bag for bag in found.bags if bag.key == "trolley")
    assert trolley.mass <= 10.0
    assert where(found, "tube") == {"case": 1}  # both batteries must be in the cabin, and the glass gives way
    assert found.headline.word == "may fly"


def test_what_would_make_the_bag_too_heavy_says_so() -> None:
    found = study({"bags": CABIN_ONLY, "without": ["keys"]}, head={"mass": "8 kg"})
    assert [(left.part, left.why) for left in found.left] == [("tube", "too heavy")]


def test_what_has_no_room_says_so() -> None:
    found = study({}, tube={"packed": "900 x 300 x 300 mm"})
    assert [(left.part, left.why) for left in found.left] == [("tube", "no room")]


def test_what_rules_bar_everywhere_is_left_with_its_rule() -> None:
    found = study(rig={"power": ["bank-500"]})
    (left,) = found.left
    assert (left.part, left.why, left.rule and left.rule.id) == ("bank-500", "rule", "icao-over-160")
    (battery,) = batteries(found, "bank-500")
    assert (battery.word, battery.bag_name) == ("stays home", "left")


def test_worn_things_are_on_the_person() -> None:
    found = study({"worn": ["keys"]})
    assert where(found, "keys") == {"person": 1}
    assert found.travellers[0].worn == (("Keys", 1),)
    # Worn or not, it passes the same checkpoint.
    assert found.headline.word == "stays home"


def test_what_stays_at_home_is_nowhere() -> None:
    found = study({"without": ["keys", "bank-90"]})
    assert {item.part for item in found.items} == {"tube", "head"}
    assert "Bank 90 and Keys stay at home, as the journey says: see whether you find or need it there." in (
        found.suggestions
    )


def test_an_installed_battery_goes_with_its_device() -> None:
    inside = {
        "kind": "battery",
        "name": "Inside",
        "chemistry": "lithium-ion",
        "marked_energy": "50 Wh",
        "installed": True,
    }
    computer = {"kind": "computer", "name": "Computer", "mass": "1 kg", "packed": "200 x 200 x 30 mm"}
    rig = {
        "power": ["bank-90", "inside"], "carried": ["computer"], "feeds": [{"source": "inside", "to": ["computer"]}],
    }  # fmt: skip
    found = study({"bags": [*CABIN_ONLY, {"bag": "case", "traveller": "one", "holds": ["computer"]}]}, rig,
                  inside=inside, computer=computer)  # fmt: skip
    assert where(found, "computer") == where(found, "inside") == {"case": 1}
    large = study({}, rig, inside={**inside, "marked_energy": "200 Wh"}, computer=computer)
    assert {left.part for left in large.left} == {"inside", "computer"}


def test_nothing_goes_by_itself_into_what_is_sent_ahead() -> None:
    bags = [*CABIN_ONLY, {"bag": "case", "traveller": "one", "goes": "sent ahead", "holds": ["keys", "head"]}]
    found = study({"bags": bags})
    assert where(found, "keys") == where(found, "head") == {"case": 1}
    assert where(found, "tube") == {"trolley": 1}
    assert found.headline.word == "may fly"


def test_batteries_sent_ahead_are_somebody_elses_rules() -> None:
    bags = [*CABIN_ONLY, {"bag": "case", "traveller": "one", "goes": "sent ahead", "holds": ["keys", "bank-90"]}]
    found = study({"bags": bags})
    assert [one.verdict for one in found.ground if one.id == "sent"] == ["unsaid"]


def test_a_battery_without_bag_goes_into_a_pocket() -> None:
    found = study({"bags": [{"bag": "case", "traveller": "one"}]}, rig={"power": ["cell"]})
    assert where(found, "cell") == {"person": 1}
    assert batteries(found, "cell")[0].spot == "on the person"


def test_a_part_without_size_counts_in_a_bag() -> None:
    found = study(tube={"packed": None})
    assert where(found, "tube") == {"trolley": 1}


def test_without_flights_rules_of_flight_are_silent() -> None:
    found = study({"legs": [{**LEG, "by": "train"}]}, rig={"power": ["bank-500"]})
    assert found.headline.flies is False
    assert found.left == ()
    assert found.batteries[0].word is None
    assert (found.asks, found.changes, found.ways_out) == ((), (), ())


def test_by_car_nothing_needs_a_bag() -> None:
    found = study({"legs": [{**LEG, "by": "car"}], "bags": []})
    assert found.headline.word == "sound"
    assert {place.spot for item in found.items for place in item.places} == {"car"}


def test_bags_of_the_rig_serve_where_the_journey_names_none() -> None:
    rig = {"bags": [{"part": "trolley", "holds": ["tube", "bank-90"]}, {"part": "case", "holds": ["keys", "head"]}]}
    found = study({"bags": []}, rig)
    assert [(bag.key, bag.spot, bag.traveller) for bag in found.bags] == [
        ("trolley", "cabin", "one"), ("case", "hold", "one"),
    ]  # fmt: skip


@pytest.mark.parametrize("goes_in", [None, "car"])
def test_where_a_bag_goes_that_does_not_say_it(goes_in: str | None) -> None:
    small = {**BAG, "name": "Small", "inner": "300 x 200 x 150 mm", "outer": "350 x 250 x 200 mm", "goes_in": goes_in}
    found = study({"bags": [{"bag": "small", "traveller": "one"}]}, small=small)
    assert found.bags[0].spot == ("hold" if goes_in else "cabin")


def test_two_bags_alike_have_numbers() -> None:
    bags = [{"bag": "trolley", "traveller": who} for who in ("one", "two")]
    found = study({"travellers": TWO, "bags": [*bags, BAGS_FOR_TWO[2]]})
    assert [(bag.key, bag.name) for bag in found.bags][:2] == [
        ("trolley", "Trolley, no. 1"), ("trolley-2", "Trolley, no. 2"),
    ]  # fmt: skip
