"""Journeys from end to end against published rules, and their nights against published instants.

The texts are those of the register of rules, which says in what form each was read; nothing is from our own words.
"""

import pytest

from rigleaf.catalogue.models.flight_fields import FlightWord
from tests.journeys.small_trip import BAGS_FOR_TWO, LEG, TWO, Data, extras, study

# ICAO Technical Instructions (Doc 9284) 2025-2026, Part 8, Table 8-1, with Addendum No. 1, in force from 27 March 2026
# (seen as a copy): one person may take two power banks. Before it they counted as spare batteries, of which IATA's
# Table 2.3.A (2018 edition, seen as a copy) lets twenty pass.
BEFORE, AFTER = "2026-03-26", "2026-03-27"

# The same table: lithium-ion above 100 Wh and up to 160 Wh with the operator's approval, no more than two of them loose
# for one person; above 160 Wh not in baggage; loose ones never in the hold.


def journey(day: str, batteries: dict[str, int], *, two: bool = False, states: tuple[str, ...] = ("NA",)) -> Data:
    return {
        "rigs": [],
        "extras": extras(**batteries),
        "travellers": TWO if two else TWO[:1],
        "bags": BAGS_FOR_TWO if two else [{**bag, "traveller": "one"} for bag in BAGS_FOR_TWO],
        "legs": [{**LEG, "date": day, "states": list(states), "carrier": None}],
    }


@pytest.mark.parametrize(
    ("day", "batteries", "two", "word", "left"),
    [
        (AFTER, {"bank_90": 2}, False, "may fly", 0),
        (AFTER, {"bank_90": 3}, False, "stays home", 1),
        (AFTER, {"bank_90": 3}, True, "may fly", 0),
        (AFTER, {"bank_90": 4}, True, "may fly", 0),
        (BEFORE, {"bank_90": 3}, False, "may fly", 0),
        (AFTER, {"bank_150": 2}, False, "ask first", 0),
        (AFTER, {"bank_150": 3}, False, "stays home", 1),
        (AFTER, {"bank_150": 3}, True, "ask first", 0),
        (BEFORE, {"bank_150": 3}, False, "stays home", 1),
        (AFTER, {"bank_500": 1}, True, "stays home", 1),
        (AFTER, {"cell": 20}, False, "may fly", 0),
        (AFTER, {"cell": 21}, False, "ask first", 0),
        (AFTER, {"cell": 21}, True, "may fly", 0),
    ],
)
def test_numbers_and_energies_of_the_international_table(
    day: str, batteries: dict[str, int], two: bool, word: FlightWord, left: int
) -> None:
    found = study(journey(day, batteries, two=two))
    assert (found.headline.word, sum(one.count for one in found.left)) == (word, left)
    assert all(one.spot in ("cabin", "on the person", None) for one in found.batteries)


@pytest.mark.parametrize(("marked", "word"), [("100 Wh", "may fly"), ("100.1 Wh", "ask first"), ("160 Wh", "ask first"),
                                              ("160.1 Wh", "stays home")])  # fmt: skip
def test_the_marks_of_100_and_160_watt_hours_are_sharp(marked: str, word: FlightWord) -> None:
    found = study(journey(AFTER, {"bank_90": 1}), bank_90={"marked_energy": marked})
    assert found.headline.word == word


# 49 CFR 175.10 (a)(18) for the United States (seen as the official text by the register): spare lithium-ion batteries
# above 100 Wh and up to 160 Wh, two for one person, with the operator's approval, in carry-on baggage only.
@pytest.mark.parametrize(("count", "word"), [(2, "ask first"), (3, "stays home")])
def test_large_spares_to_the_united_states(count: int, word: FlightWord) -> None:
    spare = {"kind": "battery", "name": "Spare", "chemistry": "lithium-ion", "marked_energy": "150 Wh",
             "installed": False, "mass": "1 kg", "packed": "150 x 90 x 60 mm", "owned": 3}  # fmt: skip
    found = study(journey(AFTER, {"spare": count}, states=("US",)), spare=spare)
    assert found.headline.word == word


# A tool whose blade or shaft is longer than 6 cm: Regulation (EU) 2015/1998, attachment 4-C (seen as a copy); longer
# than 7 inches as a whole: list of the Transportation Security Administration (seen as the official page).
@pytest.mark.parametrize(
    ("states", "tool", "bag"),
    [
        (("DE",), {"length": "110 mm", "blade": "61 mm"}, "case"),
        (("DE",), {"length": "110 mm", "blade": "60 mm"}, "either"),
        (("US",), {"length": "178 mm", "blade": "60 mm"}, "case"),
        (("US",), {"length": "177 mm", "blade": "60 mm"}, "either"),
    ],
)
def test_tools_at_the_checkpoint(states: tuple[str, ...], tool: Data, bag: str) -> None:
    in_cabin = [{"bag": "trolley", "traveller": "one"}]
    found = study({**journey(AFTER, {"keys": 1}, states=states), "bags": in_cabin}, keys=tool)
    assert bool(found.left) is (bag == "case")


# New Moon on 2 August 2027 at 10:05 UT, with a long total eclipse of the Sun, hence near perigee (catalogues of
# eclipses; from memory). In the middle of the night before, 9.6 h earlier, it stands 0.60 deg/h x 9.6 h = 5.8 deg from
# the Sun: of its disc (1 - cos 5.8 deg) / 2 = 0.25 % are lit.
def test_the_night_before_the_eclipse_of_2027() -> None:
    place = {"field": {"name": "Field", "latitude": "36.07 deg", "longitude": "-5.63 deg", "timezone": "Europe/Madrid"}}
    trip = {"place": "field", "nights": {"first": "2027-08-01", "count": 1}}
    (night,) = study(trip, places=place).nights
    assert night.moon_lit == pytest.approx(0.0025, rel=0.1)
    assert night.moonless == pytest.approx(night.dark, abs=0.05)


# Full Moon on 20 July 2027 at about 15:45 UT (almanacs; from memory): lit for more than 99 % in the nights around it.
def test_the_nights_at_full_moon() -> None:
    place = {"field": {"name": "Field", "latitude": "0 deg", "longitude": "0 deg", "timezone": "UTC"}}
    trip = {"place": "field", "nights": {"first": "2027-07-18", "count": 2}}
    found = study(trip, places=place).nights
    assert all(night.moon_lit > 0.96 for night in found)
    assert all(night.moonless < 0.15 * night.dark for night in found)
