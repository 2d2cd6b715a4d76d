"""The nights at the place: darkness, targets, and power with and without charging by day."""

import pytest

from rigleaf.chapters.figures import Finding
from rigleaf.journeys.result import TripStudy
from tests.journeys.small_trip import Data, extras, plain, study

PLACE: Data = {
    "field": {
        "name": "Field, dark", "latitude": "50 deg", "longitude": "7 deg", "timezone": "Europe/Berlin",
        "night_temperature": {"October": "20 degC"},
    }
}  # fmt: skip
FED: Data = {"feeds": [{"source": "bank-90", "to": ["head"]}]}


def nights(count: int, *, recharging: bool = True, first: str = "2026-10-09") -> Data:
    return {"place": "field", "nights": {"first": first, "count": count, "recharging": recharging}}


def finding(found: TripStudy, id_: str) -> Finding:
    (one,) = (one for one in found.nights_findings if one.id == id_)
    return one


def test_no_place_no_nights() -> None:
    assert (study().nights, study().nights_findings) == ((), ())


@pytest.mark.parametrize(
    ("trip", "place", "says"),
    [
        ({"place": "field"}, PLACE, "Which nights this journey is for is unsaid"),
        ({"nights": nights(1)["nights"]}, {}, "The place that this journey leads to is unsaid"),
        (nights(1), {"field": {"name": "Field, dark"}}, "The coordinates of Field are unsaid"),
    ],
)
def test_what_is_unsaid_of_the_nights_is_told(trip: Data, place: Data, says: str) -> None:
    (found,) = study(trip, places=place).nights_findings
    assert (found.verdict, found.sentence.startswith(says)) == ("unsaid", True)


def test_each_night_by_itself() -> None:
    found = study(nights(3), FED, PLACE)
    assert [str(night.date) for night in found.nights] == ["2026-10-09", "2026-10-10", "2026-10-11"]
    assert all(8 < night.dark < 11 and 0 <= night.moonless <= night.dark for night in found.nights)
    assert all(night.moon_lit < 0.1 for night in found.nights)  # new Moon on 10 October 2026
    assert [night.dusk[:2] for night in found.nights] == ["20", "20", "20"]


def test_nights_that_cross_the_new_year() -> None:
    found = study(nights(2, first="2026-12-31"), FED, PLACE)
    assert [str(night.date) for night in found.nights] == ["2026-12-31", "2027-01-01"]
    assert found.nights[0].dark == pytest.approx(found.nights[1].dark, abs=0.05)


def test_white_nights_fail() -> None:
    found = study(nights(2, first="2026-06-20"), FED, {"field": {**PLACE["field"], "latitude": "60 deg"}})
    assert finding(found, "nights").verdict == "fails"
    assert finding(found, "nights").sentence == "The 2 nights from 20 June 2026 on do not grow dark at Field."
    assert all(night.power == () for night in found.nights)


def test_power_with_charging_by_day_is_the_same_each_night() -> None:
    found = study(nights(3), FED, PLACE)
    power = [night.power[0] for night in found.nights]
    assert power[0].source == "Bank 90"
    assert power[0].held == pytest.approx(power[2].held)
    assert power[0].left == pytest.approx((power[0].held or 0) - (power[0].needed or 0))
    assert "With batteries charged full each day" in finding(found, "power-rig").sentence


def test_without_charging_each_night_takes_from_the_next() -> None:
    found = study(nights(3, recharging=False), FED, PLACE)
    power = [night.power[0] for night in found.nights]
    needed = [one.needed or 0.0 for one in power]
    assert power[1].held == pytest.approx(max((power[0].held or 0) - needed[0], 0.0))
    assert power[2].left == pytest.approx((power[0].held or 0) - sum(needed), abs=0.2)
    (said,) = (one for one in found.nights_findings if one.id == "power-rig")
    assert said.verdict == "fails"
    assert said.sentence.startswith("Without charging in between, Rig runs from Bank 90 for none of 3 nights: ")


def test_without_charging_a_large_battery_lasts_several_nights() -> None:
    rig: Data = {"power": ["bank-500"], "feeds": [{"source": "bank-500", "to": ["head"]}]}
    found = study(nights(3, recharging=False), rig, PLACE)
    said = finding(found, "power-rig")
    assert said.sentence.startswith("Without charging in between, Rig runs from Bank 500 for all 3 nights: ")
    assert said.sentence.endswith("This counts on Bank 500, which cannot go along.")


def test_unsaid_draws_are_told() -> None:
    found = study(nights(1), FED, PLACE, head={"power": None})
    assert finding(found, "power-rig").verdict == "unsaid"
    assert "Head" in finding(found, "power-rig").sentence


def test_mains_at_the_place_and_the_chargers_in_the_kit() -> None:
    place = {"field": {**PLACE["field"], "mains": {"voltage": "230 V", "plugs": ["C", "F"]}}}
    charger = {
        "kind": "charger", "name": "Charger", "for_chemistry": "lithium-ion", "current": "5 A", "mains_lowest": "100 V",
        "mains_highest": "240 V", "plug": "C", "mass": "0.3 kg", "packed": "100 x 60 x 40 mm",
    }  # fmt: skip
    trip = {**nights(1), "extras": extras(charger=1)}
    found = study(trip, FED, place, charger=charger)
    assert found.mains is not None
    assert [(one.id, one.verdict) for one in found.mains.findings] == [("mains", "sound")]
    assert plain(found.mains.findings[0].sentence) == (
        "Charger suits the mains there in voltage and plug. Field has 230 V from sockets of type C or F."
    )
    for change, expected in (
        ({"mains_highest": "120 V"}, ("volts", "fails")),
        ({"plug": "A"}, ("plugs", "tight")),
        ({"plug": None}, ("mains", "unsaid")),
        ({"for_chemistry": "nimh"}, ("charging", "tight")),
    ):
        other = study(trip, FED, place, charger={**charger, **change}).mains
        assert other is not None
        assert expected in [(one.id, one.verdict) for one in other.findings], change
    without = study(nights(1), FED, place).mains
    assert without is not None
    assert [(one.id, one.verdict) for one in without.findings] == [("charging", "tight")]


def test_time_to_charge_is_a_lower_bound() -> None:
    place = {"field": {**PLACE["field"], "mains": {"voltage": "230 V", "plugs": ["C"]}}}
    charger = {"kind": "charger", "name": "Charger", "for_chemistry": "lithium-ion", "current": "5 A", "mass": "0.3 kg"}
    found = study({**nights(1), "extras": extras(charger=1, bank_90=1)}, FED, place, charger=charger,
                  bank_90={"charge": "7.5 Ah"})  # fmt: skip
    assert found.mains is not None
    (time,) = (one for one in found.mains.findings if one.id == "charging")
    assert plain(time.sentence) == "Charger takes at least 3 h to fill 2 × Bank 90, one after the other."


def test_a_place_without_mains_says_nothing() -> None:
    assert study(nights(1), FED, PLACE).mains is None
