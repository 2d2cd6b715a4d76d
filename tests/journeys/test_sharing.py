"""Who takes what of which one person may take only so many."""

import pytest

from tests.journeys.small_trip import BAGS_FOR_TWO, BANK, LEG, TWO, batteries, extras, study, where


def test_three_power_banks_are_one_too_many_for_one_person() -> None:
    found = study({"extras": extras(bank_90=2)})
    (left,) = found.left
    assert (left.part, left.count, left.why) == ("bank-90", 1, "number")
    assert left.sentence == (
        "Bank 90 is too many: of 3 planned, 2 go along. One person may take two power banks of up to 160 Wh each, in "
        "the cabin. They are not charged on board."
    )
    assert found.headline.word == "stays home"


def test_two_people_share_them() -> None:
    found = study({"extras": extras(bank_90=2), "travellers": TWO, "bags": BAGS_FOR_TWO})
    assert (found.headline.word, found.left) == ("may fly", ())
    taken = {one.traveller: one.count for one in batteries(found, "bank-90")}
    assert sorted(taken.values()) == [1, 2]


def test_what_no_number_limits_is_not_shared_out() -> None:
    found = study({"extras": extras(cell=4), "travellers": TWO, "bags": BAGS_FOR_TWO})
    assert sum(where(found, "cell").values()) == 4
    assert found.headline.word == "may fly"


def test_the_smallest_battery_is_left_of_too_many() -> None:
    small = {**BANK, "name": "Small", "marked_energy": "40 Wh"}
    found = study({"extras": extras(bank_90=1, small=1)}, small=small)
    assert [(left.part, left.count) for left in found.left] == [("small", 1)]


def test_the_rule_of_numbers_is_the_one_that_is_named() -> None:
    found = study({"extras": extras(bank_90=1, bank_150=2)})
    assert [(left.part, left.count, left.rule and left.rule.id) for left in found.left] == [
        ("bank-150", 2, "icao-power-bank-two"),
    ]  # fmt: skip


def test_what_needs_no_asking_goes_before_what_does() -> None:
    found = study({"extras": extras(bank_90=1, bank_150=1)})
    assert [(left.part, left.count) for left in found.left] == [("bank-150", 1)]


@pytest.mark.parametrize(("count", "left"), [(20, 0), (21, 0)])
def test_above_twenty_spares_one_must_ask(count: int, left: int) -> None:
    found = study({"extras": extras(cell=count)})
    assert sum(one.count for one in found.left) == left
    assert found.headline.word == ("may fly" if count == 20 else "ask first")
    two = study({"extras": extras(cell=count), "travellers": TWO, "bags": BAGS_FOR_TWO})
    assert two.headline.word == "may fly"


def test_a_stricter_carrier_on_one_leg_counts_for_all() -> None:
    legs = [LEG, {**LEG, "date": "2026-10-09", "carrier": "strict"}]
    found = study({"legs": legs, "extras": extras(bank_90=1)})
    assert [(left.part, left.count, left.rule and left.rule.id) for left in found.left] == [
        ("bank-90", 1, "strict--one"),
    ]  # fmt: skip
