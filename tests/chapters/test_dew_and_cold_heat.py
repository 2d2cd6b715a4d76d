"""Heat against dew without a band: pocket warmers, what no outlet feeds, and when an evening begins."""

from math import ceil

import pytest

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold.evening import evening_of
from rigleaf.chapters.setting_up.schedule import schedule
from tests.chapters.small_guide import Data, finding
from tests.chapters.test_dew_and_cold import BAND, dew, made, shelf

WARMER: Data = {"kind": "sundry", "name": "Salt bag", "warms": "9 W", "warms_for": "3 h", "owned": 9}


def warmed(count: int = 1, **changes: str | None) -> tuple[str, str, str]:
    """Return verdict, sentence and remedy of a tube around which something warm is tied."""
    stated = {key: value for key, value in {**WARMER, **changes}.items() if value is not None}
    one = finding(dew(shelf(bag=stated), riders=["motor"], carried=[{"part": "bag", "count": count}]), "dew-tube")
    return one.verdict, one.sentence, one.remedy


def test_a_warmer_that_cools_before_dawn_is_tight_and_says_how_many_last() -> None:
    verdict, sentence, remedy = warmed()
    assert verdict == "tight"
    assert "the Salt bag gives 9.0\u00a0W without electricity for 3\u00a0h, until about" in sentence
    found = made(riders=["motor"])
    evening = evening_of(Assembly(found, found.rigs["rig"]))
    assert evening is not None
    ((_, need),) = evening.cased
    begin = evening.air.instants[need.watts > 0][0]
    assert f"Take {ceil((evening.night.end - begin) / 10800)} × " in remedy
    assert "the club has 9" in remedy


@pytest.mark.parametrize(
    ("count", "changes", "verdict"),
    [(9, {}, "sound"), (9, {"warms": "0.2 W"}, "fails"), (9, {"warms_for": None}, "tight")],
)
def test_warmers_are_held_against_heat_and_hours(count: int, changes: dict[str, str | None], verdict: str) -> None:
    found = warmed(count, **changes)
    assert found[0] == verdict
    assert bool(found[2]) == (verdict != "sound")


def test_hours_that_are_unsaid_are_asked_for_and_unsaid_watts_are_said_to_be_a_guess() -> None:
    assert "state 'warms_for'" in warmed(warms_for=None)[2]
    assert "gives perhaps 2.0\u00a0W" in warmed(warms=None)[1]


@pytest.mark.parametrize(("outlet", "offered"), [("USB-A", False), ("USB-C", False), ("barrel", True)])
def test_a_band_of_12_volts_is_offered_only_where_something_feeds_it(outlet: str, offered: bool) -> None:
    volts = {"USB-A": "5 V", "USB-C": "20 V", "barrel": "12.8 V"}[outlet]
    power: Data = {"outlets": [{"kind": outlet, "voltage": volts}], "nominal_voltage": "12.8 V", "charge": "20 Ah"}
    band = BAND | {"power": {"peak": "11 W", "voltage": "12 V"}}
    one = finding(dew(shelf(battery=power, band=band), riders=["motor"]), "dew-tube")
    assert one.remedy.startswith("Fit the club's Band") == offered
    assert ("no outlet of this rig surely gives 12.0\u00a0V" in one.remedy) == (not offered)


def test_the_evening_begins_when_things_are_unpacked_and_not_by_day() -> None:
    for date in ("2027-05-05", "2027-12-05"):
        found = made(night={"date": date})
        assembly = Assembly(found, found.rigs["rig"])
        evening = evening_of(assembly)
        assert evening is not None
        night = evening.night
        sunset = float(night.nights.dusk[night.index, 0])
        begin = max(schedule(assembly, night).arrive, sunset)
        assert evening.air.instants[0] == pytest.approx(min(begin, night.start))
