"""Who takes what of which one person may take only so many."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.journeys import sharing
from rigleaf.journeys.study import study_trip
from tests.journeys.small_trip import BAGS_FOR_TWO, BANK, LEG, TWO, Data, batteries, catalogue, extras, study, where

UNFED: Data = {"power": []}


def test_three_power_banks_are_one_too_many_for_one_person() -> None:
    found = study({"extras": extras(bank_90=2)})
    (left,) = found.left
    assert (left.part, left.count, left.why) == ("bank-90", 1, "number")
    assert left.sentence == (
        "Bank 90 is too many: 2 × Bank 90 use up what one person may take. One person may take two power "
        "banks of up to 160 Wh each, in the cabin. They are not charged on board. Whoever takes it for a "
        "spare battery lets it go along: ask the carrier which it is."
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
    found = study({"extras": extras(bank_90=2, bank_150=2)}, UNFED)
    assert [(left.part, left.count, left.rule and left.rule.id) for left in found.left] == [
        ("bank-90", 2, "icao-power-bank-two"),
    ]  # fmt: skip
    assert found.left[0].sentence.startswith("2 × Bank 90 are too many: 2 × Bank 150 use up what one person may take.")


def test_the_rule_of_numbers_is_named_for_those_that_must_be_asked_about_too() -> None:
    found = study({"extras": extras(bank_150=3)}, rig=UNFED)
    (left,) = found.left
    assert (left.part, left.count, left.rule and left.rule.id) == ("bank-150", 1, "icao-power-bank-two")
    two = study({"extras": extras(bank_150=4, bank_90=1), "travellers": TWO, "bags": BAGS_FOR_TWO}, rig=UNFED)
    assert two.left[0].sentence.startswith("Bank 90 is too many: 4 × Bank 150 use up what two people may take. One ")


def test_more_energy_goes_before_what_needs_no_asking() -> None:
    found = study({"extras": extras(bank_90=2, bank_150=1)}, UNFED)
    assert [(left.part, left.count) for left in found.left] == [("bank-90", 1)]


def test_what_the_journey_names_a_bag_for_goes_before_more_energy() -> None:
    bags = [{"bag": "trolley", "traveller": "one", "holds": ["bank-90"]}, {"bag": "case", "traveller": "one"}]
    found = study({"extras": extras(bank_90=2, bank_150=1), "bags": bags}, UNFED)
    assert [(left.part, left.count) for left in found.left] == [("bank-150", 1)]


def test_no_rig_is_left_unfed_for_more_energy() -> None:
    rig: Data = {"power": [{"part": "bank-90", "count": 2}], "feeds": [{"source": "bank-90", "to": ["head"]}]}
    found = study({"extras": extras(bank_150=2)}, rig)
    assert {left.part: left.count for left in found.left} == {"bank-90": 1, "bank-150": 1}


def pinned(*ids: str) -> list[Data]:
    return [{**BAGS_FOR_TWO[0], "holds": list(ids)}, *BAGS_FOR_TWO[1:]]


def test_what_fits_only_out_of_the_bag_that_the_journey_names_is_found() -> None:
    trip = {"travellers": TWO, "extras": extras(bank_150=2, bank_90=1), "bags": pinned("bank-150", "bank-90")}
    found = study(trip)
    assert (found.left, found.headline.word) == ((), "ask first")
    held = {who: [one for one in found.batteries if one.traveller == who] for who in ("one", "two")}
    assert {who: sum(one.count for one in mine) for who, mine in held.items()} == {"one": 2, "two": 2}
    assert any("as one person may not take all in the bag that the journey names" in text for text in found.suggestions)


def test_one_that_is_pinned_leaves_the_others_to_the_other_person() -> None:
    found = study({"travellers": TWO, "extras": extras(bank_150=1, bank_90=2), "bags": pinned("bank-150")})
    assert found.left == ()
    assert [(one.traveller, one.bag) for one in batteries(found, "bank-150")] == [("one", "trolley")]


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 4), st.integers(0, 4), st.sets(st.sampled_from(["bank-90", "bank-150"])))
def test_as_many_go_as_two_people_may_take(small: int, large: int, named: set[str]) -> None:
    trip = {"travellers": TWO, "bags": pinned(*sorted(named))}
    counts = {id_: count for id_, count in (("bank_90", small), ("bank_150", large)) if count}
    found = study({**trip, "extras": extras(**counts)}, UNFED)
    assert sum(one.count for one in found.left) == max(0, small + large - 4)
    if not named:
        assert sum(one.count for one in found.left if one.part == "bank-150") == 0


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


def test_piles_are_dealt_piece_by_piece_with_the_same_outcome(monkeypatch: pytest.MonkeyPatch) -> None:
    trip = {"travellers": TWO, "extras": extras(bank_150=2, bank_90=3), "bags": pinned("bank-150")}
    searched = study(trip, UNFED)
    monkeypatch.setattr(sharing, "MOST_WAYS", 0)
    dealt = study(trip, UNFED)
    assert [(one.part, one.count) for one in dealt.left] == [(one.part, one.count) for one in searched.left]
    assert dealt.headline.word == searched.headline.word


def test_a_pack_with_usb_outlets_is_a_power_bank_without_doubt() -> None:
    usb = {"outlets": [{"kind": "USB-C", "voltage": "5 V", "efficiency": "90 %"}]}
    found = study({"extras": extras(bank_90=2)}, bank_90=usb)
    assert "spare battery" not in found.left[0].sentence


def test_where_the_class_is_in_doubt_and_the_answers_differ_both_are_shown() -> None:
    legs = [{**LEG, "carrier": "bankless"}]
    found = catalogue({"legs": legs})
    bankless = Carrier.model_validate({
        "id": "bankless", "name": "Bankless", "state": "DE",
        "rules": [{"id": "large", "says": "Power banks need our approval.", "of": ["power bank"],
                   "where": ["cabin", "person"], "word": "ask first"}],
    })  # fmt: skip
    with_it = replace(found, carriers={**found.carriers, "bankless": bankless})
    (bank,) = batteries(study_trip(with_it, with_it.trips["trip"]), "bank-90")
    assert bank.word == "ask first"
    assert "Whoever takes it for a spare battery says may fly: Bank 90 may fly" in bank.sentence
    (plain_bank,) = batteries(study(), "bank-90")
    assert "Whoever" not in plain_bank.sentence
