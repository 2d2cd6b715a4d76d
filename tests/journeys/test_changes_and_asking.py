"""What another carrier or date would change, and whom to ask about what."""

import datetime as dt

from rigleaf.journeys.result import Change, TripStudy
from tests.journeys.small_trip import BAGS_FOR_TWO, LEG, TWO, Data, extras, study

ASKED: Data = {"power": [{"part": "bank-150", "count": 2}]}


def change(found: TripStudy, kind: str, leg: int = 1) -> list[Change]:
    return [one for one in found.changes if (one.kind, one.leg) == (kind, leg)]


def test_another_carrier_that_changes_nothing_is_not_told() -> None:
    assert change(study(), "carrier") == []


def test_another_carrier_that_is_stricter_is_told_with_its_rule() -> None:
    (found,) = change(study({"extras": extras(bank_90=1)}), "carrier")
    assert (found.title, found.carrier, found.word) == ("with Strict Air", "strict", "stays home")
    (sentence,) = found.sentences
    assert sentence == (
        "Of 2 × Bank 90, 1 may fly in the cabin or on the person, not more. One power bank for each person. "
        "As planned the answer is: may fly."
    )


def test_before_the_addendum_of_march_2026_more_power_banks_could_fly() -> None:
    found = study({"extras": extras(bank_90=1), "legs": [{**LEG, "states": ["DE"]}]}, rig=ASKED)
    (left,) = found.left
    assert left.part == "bank-90"
    early = study({"extras": extras(bank_90=3), "legs": [{**LEG, "date": "2026-03-20"}]})
    assert early.headline.word == "may fly"
    (later,) = change(early, "date")
    assert (later.title, later.since, later.until) == ("from 27 March 2026 on", dt.date(2026, 3, 27), None)
    assert later.word == "stays home"
    assert later.sentences[0].endswith("As planned the answer is: may fly.")


def test_dates_that_change_nothing_are_told_in_one_sentence() -> None:
    found = study()
    assert change(found, "date") == []
    assert found.same_on_other_days.startswith("No other day within a year changes an answer, by the rules known on ")
    early = study({"extras": extras(bank_90=3), "legs": [{**LEG, "date": "2026-03-20"}]})
    assert (len(change(early, "date")), early.same_on_other_days) == (1, "")


def test_a_date_on_which_more_would_go_is_told() -> None:
    found = study({"extras": extras(bank_90=2)})
    assert [(left.part, left.count) for left in found.left] == [("bank-90", 1)]
    (earlier,) = change(found, "date")
    assert (earlier.title, earlier.word) == ("until 26 March 2026", "may fly")
    assert earlier.sentences == ("Bank 90 could go along then.",)
    # Tried, it is as promised.
    assert study({"extras": extras(bank_90=2), "legs": [{**LEG, "date": "2026-03-26"}]}).headline.word == "may fly"


def test_each_leg_is_changed_by_itself() -> None:
    legs = [LEG, {**LEG, "date": "2026-10-09"}]
    found = study({"extras": extras(bank_90=1), "legs": legs})
    assert [one.leg for one in found.changes] == [1, 2]


def test_a_letter_names_each_battery_and_leaves_blanks_for_people() -> None:
    legs = [{**LEG, "carrier": "strict"}, {**LEG, "date": "2026-10-09", "carrier": "plain", "leaves": "There"}]
    found = study({"legs": legs}, rig={"power": ["bank-150"]})
    first, second = found.asks
    assert (first.carrier_name, first.legs, first.how) == ("Strict Air", (1,), "By letter.")
    assert (second.carrier_name, second.legs, second.how) == ("Plain Air", (2,), "")
    assert "  - 1 battery of 150 Wh, lithium-ion, loose, with outlets (a power bank)\n" in first.letter
    assert "  - 1 October 2026, from Here to There, flight number ________\n" in first.letter
    assert "9 October" not in first.letter
    assert "Passenger: ________________________" in first.letter
    assert max(map(len, first.letter.splitlines())) <= 120


def test_two_batteries_stand_in_one_line() -> None:
    found = study(rig=ASKED)
    assert "  - 2 batteries of 150 Wh each, lithium-ion, loose, with outlets (a power bank)\n" in found.asks[0].letter


def test_the_letter_says_which_passenger_has_which() -> None:
    found = study({"travellers": TWO, "bags": BAGS_FOR_TWO, "extras": extras(bank_150=1)}, rig=ASKED)
    letter = found.asks[0].letter
    assert "(a power bank), with passenger 1\n" in letter
    assert "(a power bank), with passenger 2\n" in letter
    assert "Passenger 1: ____" in letter
    assert found.headline.sentence == "Everything may fly once you have asked about 3 × Bank 150."


def test_the_letter_asks_for_the_class_where_it_is_in_doubt() -> None:
    assert "or as spare batteries.\n" in study(rig={"power": ["bank-150"]}).asks[0].letter
    usb = {"outlets": [{"kind": "USB-C", "voltage": "5 V", "efficiency": "90 %"}]}
    assert "spare batteries" not in study(rig={"power": ["bank-150"]}, bank_150=usb).asks[0].letter


def test_bags_alone_need_no_letter() -> None:
    found = study({}, head={"mass": "25 kg"}, case={"load_limit": "40 kg"})
    assert found.headline.word == "ask first"
    assert [one.letter for one in found.asks] == [""]


def test_what_an_officer_decides_is_for_the_checkpoint() -> None:
    legs = {"kind": "tripod", "name": "Legs", "mass": "1 kg", "packed": "400 x 80 x 80 mm"}
    found = study({"bags": [{"bag": "trolley", "traveller": "one"}], "without": ["keys"], "extras": extras(legs=1)},
                  legs=legs)  # fmt: skip
    assert found.headline.word == "ask first"
    assert [(one.carrier_name, one.legs, one.letter) for one in found.asks] == [("the checkpoint", (1,), "")]


def test_nothing_to_ask() -> None:
    assert study().asks == ()
