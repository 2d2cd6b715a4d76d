"""What would make a journey go: computed, and true when it is tried."""

from rigleaf.journeys.result import TripStudy, WayOut
from tests.journeys.small_trip import BAG, BAGS_FOR_TWO, LEG, TWO, Data, extras, study

PLACE: Data = {
    "field": {"name": "Field, dark", "latitude": "50 deg", "longitude": "7 deg", "timezone": "Europe/Berlin"}
}
NIGHTS: Data = {"first": "2026-10-02", "count": 2, "recharging": True}
FED: Data = {"power": ["bank-500"], "feeds": [{"source": "bank-500", "to": ["head"]}]}


def ways(found: TripStudy) -> dict[str, WayOut]:
    return {way.kind: way for way in found.ways_out}


def test_nothing_to_mend() -> None:
    assert study().ways_out == ()


def test_batteries_of_the_shelf_stand_in_for_a_large_one() -> None:
    found = study({"place": "field", "nights": NIGHTS}, FED, PLACE)
    first, second, last = found.ways_out
    assert (first.kind, first.word, first.parts) == ("swap", "may fly", ("bank-90", "bank-500"))
    assert first.energy is not None
    assert first.sentence.startswith("Take 2 × Bank 90 in place of Bank 500: then everything may fly, and the hardest ")
    assert (second.kind, second.word, second.parts) == ("swap", "ask first", ("bank-150", "bank-500"))
    assert (last.kind, last.word) == ("leave", "may fly")
    assert last.sentence == (
        "Leave Bank 500 at home: then everything may fly, but Rig has no power unless you hire a battery there."
    )
    # Tried, it is as promised.
    swapped = study({"extras": extras(bank_90=2), "without": ["bank-500"]}, FED)
    assert swapped.headline.word == first.word


def test_a_swap_that_falls_short_says_by_how_much() -> None:
    head = {"power": {"working": "40 W", "voltage": "12 V"}}
    found = study({"place": "field", "nights": NIGHTS}, FED, PLACE, head=head)
    swap = next(way for way in found.ways_out if way.kind == "swap" and way.word == "may fly")
    assert swap.energy is not None
    assert swap.energy < 0
    assert "but the hardest night falls short by" in swap.sentence


def test_more_people_may_take_more_batteries() -> None:
    one = study({}, FED)
    two = study({"travellers": TWO, "bags": BAGS_FOR_TWO}, FED)
    assert ways(one)["swap"].sentence.startswith("Take 2 ×")
    swap = next(way for way in two.ways_out if way.word == "may fly")
    assert swap.sentence.startswith("Take 4 × Bank 90 in place of Bank 500")


def test_what_must_be_asked_about_has_a_way_without_asking() -> None:
    rig: Data = {"power": ["bank-150"], "feeds": [{"source": "bank-150", "to": ["head"]}]}
    found = study({}, rig)
    assert found.headline.word == "ask first"
    assert [(way.kind, way.word) for way in found.ways_out] == [("swap", "may fly")]


def test_two_sorts_of_batteries_are_proposed_where_together_they_hold_more() -> None:
    found = study({"place": "field", "nights": NIGHTS}, FED, PLACE, bank_150={"owned": 1})
    mixed = next(way for way in found.ways_out if way.parts == ("bank-90", "bank-150", "bank-500"))
    assert mixed.sentence.startswith("Take Bank 90 and Bank 150 in place of Bank 500: then everything may fly once ")
    alone = next(way for way in found.ways_out if way.parts == ("bank-90", "bank-500"))
    assert mixed.energy is not None
    assert alone.energy is not None
    assert mixed.energy > alone.energy
    # Tried, it is as promised.
    swapped = study({"extras": extras(bank_90=1, bank_150=1), "without": ["bank-500"]}, FED)
    assert (swapped.left, swapped.headline.word) == ((), "ask first")


def test_batteries_that_the_club_does_not_own_are_not_proposed() -> None:
    found = study({}, FED, bank_90={"owned": 0}, bank_150={"owned": 0})
    assert [way.kind for way in found.ways_out] == ["leave"]


def test_a_long_tool_gets_a_bag_for_the_hold() -> None:
    found = study({"bags": [{"bag": "trolley", "traveller": "one"}]})
    assert ways(found)["other bag"].sentence == "Take Case too for the hold: then everything may fly."
    assert ways(found)["send ahead"].sentence == "Send Keys ahead: then everything may fly."
    assert ways(found)["leave"].sentence == "Leave Keys at home: then everything may fly."


def test_a_bag_too_many_goes_in_the_hold_or_with_another_person() -> None:
    legs = [{**LEG, "carrier": "single"}]
    bags = [{"bag": id_, "traveller": "one"} for id_ in ("trolley", "pack", "case")]
    found = study_with_single({"legs": legs, "bags": bags, "travellers": TWO})
    assert found.headline.word == "stays home"
    kinds = {way.kind for way in found.ways_out}
    assert {"other spot", "other person"} <= kinds
    assert all(way.word == "may fly" for way in found.ways_out)


def study_with_single(trip: Data) -> TripStudy:
    """Return the study of a journey with a carrier that takes one cabin bag for each person."""
    from rigleaf.catalogue.models.carriers import Carrier
    from rigleaf.journeys.study import study_trip
    from tests.journeys.small_trip import catalogue

    found = catalogue(trip)
    single = Carrier.model_validate({"id": "single", "name": "Single", "state": "DE", "cabin": {"pieces": 1}})
    object.__setattr__(found, "carriers", {**found.carriers, "single": single})
    return study_trip(found, found.trips["trip"])


def test_a_bag_too_large_is_replaced_by_one_that_passes() -> None:
    large = {**BAG, "name": "Large", "inner": "600 x 400 x 250 mm", "outer": "620 x 420 x 260 mm", "goes_in": "cabin"}
    bags = [{"bag": "large", "traveller": "one"}, {"bag": "case", "traveller": "one"}]
    found = study({"bags": bags}, large=large)
    other = ways(found)["other bag"]
    assert (other.word, other.sentence) == (
        "may fly", "Take Pack in place of Large: then everything may fly.",
    )  # fmt: skip


def test_batteries_of_the_cabin_come_with_a_bag_for_it() -> None:
    found = study({"bags": [{"bag": "case", "traveller": "one"}]}, FED)
    swap = found.ways_out[0]
    assert swap.sentence.startswith("Take 2 × Bank 90 in place of Bank 500, with Pack for the cabin: then everything ")
    assert swap.parts == ("bank-90", "bank-500", "pack")


def test_a_battery_without_a_bag_gets_one_for_the_cabin() -> None:
    found = study({"bags": [{"bag": "case", "traveller": "one"}]})
    assert [left.why for left in found.left] == ["no bag"]
    assert ways(found)["other bag"].sentence == "Take Pack too for the cabin: then everything may fly."


def test_what_else_must_be_asked_about_does_not_speak_against_a_swap() -> None:
    heavy = {"head": {"mass": "25 kg"}, "case": {"load_limit": "40 kg"}}
    found = study({}, FED, **heavy)
    assert [(way.kind, way.word, way.parts[0]) for way in found.ways_out] == [
        ("swap", "ask first", "bank-90"), ("swap", "ask first", "bank-150"), ("leave", "ask first", "bank-500"),
    ]  # fmt: skip


def test_of_too_many_batteries_others_that_count_with_them_may_stay_instead() -> None:
    found = study({"extras": extras(bank_90=2, bank_150=2)}, {"power": []})
    assert [left.part for left in found.left] == ["bank-90"]
    assert [way.sentence for way in found.ways_out if way.kind == "leave"] == [
        "Leave 2 × Bank 150 at home in place of 2 × Bank 90: then everything may fly.",
        "Leave 2 × Bank 90 at home: then everything may fly once you have asked.",
    ]


def test_the_best_way_comes_first_and_leaving_last() -> None:
    found = study({"place": "field", "nights": NIGHTS}, FED, PLACE)
    assert found.ways_out[-1].kind == "leave"
