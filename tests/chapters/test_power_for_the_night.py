"""Verdicts of the chapter on power: what lasts, what is unsaid, and what would mend it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.chapters.small_guide import Data, finding, ids, number
from tests.chapters.small_power import FEEDS, POWER, SHELF, assembled, power, shelf

SPARE: Data = {**SHELF["battery"], "name": "Spare", "charge": "20 Ah", "mass": "2.6 kg", "owned": 4}


GAPS = sorted((id_, key) for id_, part in SHELF.items() for key in part if key not in ("kind", "name"))
INNER = sorted((id_, key) for id_, part in SHELF.items() for key in part.get("power", {}))


@settings(max_examples=60, deadline=None)
@given(st.sets(st.sampled_from(GAPS), max_size=8), st.sets(st.sampled_from(INNER), max_size=4), st.booleans())
def test_leaving_anything_out_breaks_nothing_and_is_never_taken_for_nothing(
    gone: set[tuple[str, str]], draws: set[tuple[str, str]], wired: bool
) -> None:
    parts = shelf()
    for id_, key in draws:
        parts[id_]["power"] = {name: value for name, value in parts[id_]["power"].items() if name != key}
    for id_, key in gone:
        parts[id_].pop(key)
    found = power(parts, **({} if wired else {"feeds": []}))
    unknown = {id_ for id_ in ("camera", "head", "hub") if "power" not in parts[id_]}
    assert all(one.verdict == "sound" or one.remedy for one in found.findings)
    if unknown:
        assert finding(found, "draws").verdict == "unsaid"
        assert found.index["night-energy"].note.startswith("at least")
    if ("battery", "charge") in gone:
        assert found.value("left") is None


def test_a_battery_that_lasts_is_sound_and_says_when_all_is_packed_and_in_which_months() -> None:
    found = power(shelf(battery={"charge": "60 Ah"}))
    assert {one.verdict for one in found.findings} == {"sound"}
    words = finding(found, "lasts").sentence
    assert "power lasts until all is packed at 0" in words
    assert "Month by month, all of it lasts the whole night in every one that grows dark." in words
    assert number(found, "left") > 0.2
    assert "if it went on" in str(found.index["warning"].value)


def test_less_left_than_the_guide_asks_for_is_tight() -> None:
    found = power(shelf(battery={"charge": "40 Ah", "in_the_cold": [{"at": "0 degC", "left": "60 %"}]}))
    one = finding(found, "lasts-battery")
    assert one.verdict == "tight"
    assert "left where 20\u202f% should be" in one.sentence


def test_a_battery_that_lasts_only_by_kinder_claims_of_the_cold_is_tight_and_says_so() -> None:
    found = power(shelf(battery={"charge": "27.5 Ah"}))
    one = finding(found, "lasts-battery")
    assert one.verdict == "tight"
    assert "with as little in the cold as some vendors say" in one.sentence


def test_a_battery_that_does_not_last_fails_with_the_time_and_the_lightest_set_that_would() -> None:
    found = power(shelf(battery={"charge": "10 Ah", "mass": "1.5 kg"}, spare=SPARE))
    one = finding(found, "lasts-battery")
    assert one.verdict == "fails"
    assert "it is empty between" in one.sentence
    assert "before the last exposure ends" in one.sentence
    assert one.remedy.startswith("Take 2 × Spare (5.20\u00a0kg in all), the lightest on the shelf")
    assert "spare" in one.parts
    assert number(found, "left") == 0.0


def test_what_is_not_owned_or_is_for_training_only_mends_nothing() -> None:
    for spoilt in ({"owned": 0}, {"mass": None}, {"installed": True}):
        one = finding(power(shelf(battery={"charge": "10 Ah"}, spare={**SPARE, **spoilt})), "lasts-battery")
        assert "Spare" not in one.remedy, spoilt
    kept = power(shelf(battery={"charge": "10 Ah"}, spare=SPARE), for_training=True)
    assert "Spare" not in finding(kept, "lasts-battery").remedy


def test_a_warmer_sensor_mends_what_is_short_of_a_little() -> None:
    one = finding(power(shelf(battery={"charge": "33 Ah"})), "lasts-battery")
    assert one.verdict == "tight"
    assert one.remedy.startswith("Hold the sensor")
    assert "K warmer, at" in one.remedy


def test_a_rig_that_flies_is_offered_what_may_fly() -> None:
    large = {**SPARE, "charge": "14 Ah", "mass": "0.1 kg"}
    small = {**SPARE, "charge": "7.5 Ah", "mass": "3 kg"}
    by_car = finding(power(shelf(battery={"charge": "5 Ah"}, large=large, spare=small)), "lasts-battery")
    assert "large" in by_car.parts
    flown = finding(
        power(shelf(battery={"charge": "5 Ah"}, large=large, spare=small), travels=["hand luggage"]), "lasts-battery"
    )
    assert "large" not in flown.parts


def test_a_draw_that_is_unsaid_is_named_and_makes_every_sum_a_lower_bound() -> None:
    whole = power(shelf(battery={"charge": "60 Ah"}))
    gappy = power(shelf(battery={"charge": "60 Ah"}, camera={"power": None}))
    draws = finding(gappy, "draws")
    assert draws.verdict == "unsaid"
    assert "Camera" in draws.sentence
    assert "meter" in draws.remedy
    assert finding(gappy, "lasts-battery").verdict == "unsaid"
    assert gappy.index["night-energy"].note.startswith("at least")
    assert number(gappy, "night-energy") < number(whole, "night-energy")
    assert assembled(shelf(camera={"power": None}))[1].spare is None


def test_a_battery_without_a_label_is_unsaid() -> None:
    found = power(shelf(battery={"charge": None}))
    assert finding(found, "lasts-battery").verdict == "unsaid"
    assert found.value("usable") is None


def test_without_feeds_the_pool_is_judged_and_leads_are_unsaid() -> None:
    found = power(shelf(battery={"charge": "60 Ah"}), feeds=[])
    assert finding(found, "lasts").verdict == "sound"
    assert finding(found, "feeds").verdict == "unsaid"
    assert "voltage" not in ids(found.findings)


def test_a_device_that_no_lead_feeds_is_named() -> None:
    found = power(feeds=[FEEDS[0], {"source": "hub", "lead": "branch", "to": ["camera"]}])
    one = finding(found, "feeds")
    assert one.verdict == "unsaid"
    assert "Nothing is said to feed Head" in one.sentence


def test_what_other_chapters_read_says_whether_it_lasts_and_why() -> None:
    _, good = assembled(shelf(battery={"charge": "60 Ah"}))
    assert (good.lasts, good.why) == (True, "Battery lasts until all is packed.")
    assert good.spare is not None
    assert good.spare > 0
    _, short = assembled(shelf(battery={"charge": "5 Ah"}))
    assert (short.lasts, short.why) == (False, "Battery is empty before all is packed.")
    _, silent = assembled(shelf(battery={"charge": "60 Ah"}, camera={"power": None}))
    assert (silent.lasts, silent.spare, silent.why) == (None, None, "Nobody has said what is drawn by Camera.")
    _, unfed = assembled(feeds=[FEEDS[0], {"source": "hub", "lead": "branch", "to": ["camera"]}])
    assert (unfed.lasts, unfed.why) == (None, "Nobody has said what feeds Head.")
    _, blank = assembled(shelf(battery={"charge": None}))
    assert (blank.lasts, blank.why) == (None, "Nobody has said how much energy is held by Battery.")


def test_nothing_to_feed_from_is_unsaid() -> None:
    found = power(feeds=[], power=["hub"])
    assert finding(found, "feeds").verdict == "unsaid"
    assert found.value("usable") is None


def test_leads_and_outlets_that_do_not_suffice_fail() -> None:
    few = [part for part in POWER if not isinstance(part, dict)] + ["branch"]
    assert "used 2 times" in finding(power(power=few), "feeds").sentence
    outlets = [{"kind": "barrel", "count": 1, "voltage": "12 V"}]
    crowded = finding(power(shelf(hub={"outlets": outlets})), "feeds")
    assert crowded.verdict == "fails"
    assert "2 leads leave Hub, which has 1 outlet for them" in crowded.sentence


def test_a_long_thin_lead_fails_and_the_thick_one_of_the_shelf_mends_it() -> None:
    thick = {**SHELF["trunk"], "name": "Thick", "gauge": 12, "owned": 1}
    found = power(shelf(trunk={"gauge": 24, "length": "4 m"}, thick=thick))
    one = finding(found, "voltage")
    assert one.verdict == "fails"
    assert "so that it stops" in one.sentence
    assert "Use Thick instead of Trunk" in one.remedy
    assert number(found, "lowest-voltage") < 11


def test_a_lead_without_gauge_is_named_and_not_taken_for_none() -> None:
    one = finding(power(shelf(branch={"gauge": None})), "voltage")
    assert "for want of gauge or length: Branch" in one.sentence


@pytest.mark.parametrize(("limit", "verdict"), [("3.2 A", "tight"), ("2 A", "fails"), ("20 A", "sound")])
def test_currents_are_held_against_their_limits(limit: str, verdict: str) -> None:
    outlets = [{"kind": "barrel", "count": 4, "voltage": "12 V", "current_limit": limit}]
    found = power(shelf(hub={"outlets": outlets, "current_limit": "30 A"}))
    assert finding(found, "current").verdict == verdict


def test_a_night_from_the_car_says_plainly_that_it_is_too_much() -> None:
    lead = {"kind": "car-lead", "name": "Car lead", "fuse": "7.5 A", "gauge": 14, "length": "3 m"}
    feeds = [{"source": "car", "to": ["hub"]}, FEEDS[1]]
    found = power(shelf(car=lead, spare=SPARE), power=["car", "hub", {"part": "branch", "count": 2}], feeds=feeds)
    one = finding(found, "lasts-car")
    assert one.verdict == "fails"
    assert "too much for the car that must drive you home" in one.sentence
    assert one.remedy.startswith("Leave the car alone and take")
    assert "in its fuse" in finding(found, "current").sentence
    large = power(shelf(car=lead), power=["car", "hub"], feeds=feeds, choices={"starter_charge": "900 Ah"})
    assert finding(large, "lasts-car").verdict == "sound"


@pytest.mark.parametrize(("mark", "verdict"), [("IP67", "sound"), ("IP20", "tight"), (None, "unsaid")])
def test_mains_lasts_and_its_case_is_judged(mark: str | None, verdict: str) -> None:
    supply = {"kind": "mains-supply", "name": "Supply", "output_voltage": "13.8 V", "current_limit": "10 A",
              "efficiency": "90 %", "outdoors": mark}  # fmt: skip
    parts = shelf(supply={key: value for key, value in supply.items() if value is not None})
    feeds = [{"source": "supply", "lead": "trunk", "to": ["hub"]}, FEEDS[1]]
    found = power(parts, power=["supply", "trunk", "hub", {"part": "branch", "count": 2}], feeds=feeds)
    assert finding(found, "mains").verdict == verdict
    assert not any(one.id.startswith("lasts") for one in found.findings)


def test_a_built_in_battery_feeds_its_own_device_only_and_is_a_reserve_where_another_source_does() -> None:
    laptop = {"kind": "computer", "name": "Laptop", "form": "laptop", "power": {"working": "14 W", "voltage": "20 V"}}
    own = {"kind": "battery", "name": "Own", "nominal_voltage": "11.4 V", "charge": "4.9 Ah", "installed": True}
    parts = shelf(laptop=laptop, own=own, battery={"charge": "60 Ah"})
    _, alone = assembled(parts, power=[*POWER, "own"], carried=["laptop"])
    assert [sorted(one.group.devices) for one in alone.circuits] == [["camera", "head", "hub"], ["laptop"]]
    assert alone.lasts is False
    parts["battery"]["outlets"] = [*parts["battery"]["outlets"], {"kind": "USB-C", "voltage": "20 V"}]
    fed = [*FEEDS, {"source": "battery", "to": ["laptop"]}, {"source": "own", "to": ["laptop"]}]
    _, together = assembled(parts, power=[*POWER, "own"], carried=["laptop"], feeds=fed)
    (circuit,) = together.circuits
    assert [part.id for part, _ in circuit.group.sources] == ["battery"]


def test_two_batteries_that_stand_behind_different_devices_are_judged_apart() -> None:
    parts = shelf(other={**SHELF["battery"], "name": "Other", "charge": "2 Ah"}, battery={"charge": "60 Ah"})
    feeds = [FEEDS[0], {"source": "hub", "lead": "branch", "to": ["camera"]},
             {"source": "other", "lead": "branch", "to": ["head"]}]  # fmt: skip
    found = power(parts, power=[*POWER, "other"], feeds=feeds)
    assert finding(found, "lasts-other").verdict == "fails"
    assert finding(found, "lasts").verdict == "sound"


def test_a_ring_of_hubs_is_no_trap() -> None:
    parts = shelf(second={**SHELF["hub"], "name": "Second"})
    feeds = [{"source": "hub", "to": ["second"]}, {"source": "second", "to": ["hub", "camera"]}]
    found = power(parts, power=[*POWER, "second"], feeds=feeds)
    assert finding(found, "feeds").verdict == "unsaid"


def test_12_volts_from_usb_c_are_nothing_to_count_on() -> None:
    outlets = [{"kind": "USB-C", "count": 2, "voltage": "20 V", "current_limit": "10 A"}]
    one = finding(power(shelf(battery={"outlets": outlets, "charge": "60 Ah"})), "voltage")
    assert one.verdict == "tight"
    assert "does not require" in one.sentence


def test_a_cooler_that_does_not_reach_draws_its_most_and_no_more() -> None:
    _, budget = assembled(night={"sensor": "-60 degC"})
    camera = budget.watts["camera"]
    assert camera[budget.times.capture].tolist() == [36.0] * int(budget.times.capture.sum())


def test_a_place_without_temperatures_is_said() -> None:
    found = power(at={"night_temperature": None, "night_humidity": None})
    assert finding(found, "cold").verdict == "unsaid"
    assert found.value("cooling") is None


@pytest.mark.parametrize("at", [{"latitude": None}, {"latitude": "70 deg"}])
def test_without_a_night_nothing_is_told(at: Data) -> None:
    found = power(at=at, night={"date": "2027-06-21"})
    assert [one.verdict for one in found.findings] == ["unsaid"]
    assert found.figures == ()


def test_a_rig_without_electricity_draws_nothing() -> None:
    found = power(train=["tube"], mount=None, power=[], feeds=[])
    assert ids(found.findings) == ["draws"]
    assert found.findings[0].verdict == "sound"


def test_lead_acid_gives_less_the_faster_it_is_emptied_and_says_what_is_assumed() -> None:
    lead = {"chemistry": "sealed lead-acid", "nominal_voltage": "12 V", "charge": "20 Ah", "rated_hours": "20 h"}
    mild = number(power(shelf(battery={**lead, "peukert": "1"})), "usable")
    real = number(power(shelf(battery={**lead, "peukert": "1.3"})), "usable")
    assert real < mild
    guessed = power(shelf(battery=lead))
    assert "Peukert" in guessed.index["usable"].note


def test_the_demand_of_dew_is_drawn_where_it_is_known() -> None:
    heated = shelf(
        tube={"aperture": "80 mm", "tube_diameter": "100 mm", "dew_shield": "100 mm"},
        band={"kind": "dew-heater", "name": "Band", "fits_outer_diameter": "120 mm",
              "power": {"idle": "0 W", "working": "6 W", "peak": "11 W", "voltage": "12 V"}},
    )  # fmt: skip
    feeds = [*FEEDS, {"source": "hub", "to": ["band"]}]
    dry, wet = (
        assembled(heated, riders=["band"], feeds=feeds, at={"night_humidity": [f"{share} %"] * 12})[1].watts["band"]
        for share in (10, 97)
    )
    assert dry.sum() < wet.sum()
    assert wet.max() <= 11


def test_every_circuit_has_figures_and_a_plate_of_its_own_and_no_other_draw_in_them() -> None:
    parts = shelf(other={**SHELF["battery"], "name": "Other", "charge": "2 Ah"}, battery={"charge": "60 Ah"})
    feeds = [FEEDS[0], {"source": "hub", "lead": "branch", "to": ["camera"]},
             {"source": "other", "lead": "branch", "to": ["head"]}]  # fmt: skip
    rig = {"power": [*POWER, "other"], "feeds": feeds}
    found, (_, budget) = power(parts, **rig), assembled(parts, **rig)
    tight, good = budget.stored
    assert tight.group.sources[0][0].id == "other"
    assert number(found, "drawn") == pytest.approx(tight.drawn)
    assert number(found, "drawn-2") == pytest.approx(good.drawn)
    assert number(found, "night-drawn") == pytest.approx(tight.drawn + good.drawn)
    assert found.index["left"].label.startswith("Other: ")
    assert found.index["usable-2"].label.startswith("Battery: ")
    assert finding(found, "lasts").figures == ("drawn-2", "usable-2", "left-2")
    assert [one.id for one in found.drawings] == ["night-power", "night-power-2"]
    assert "power drawn from Other" in found.drawings[0].caption


def test_a_heater_of_unsaid_draw_is_unsaid_in_its_lead_and_held_against_what_dew_asks_for() -> None:
    glass = {"tube_diameter": "110 mm", "dew_shield": "0 mm"}
    band = {"kind": "dew-heater", "name": "Band", "fits_outer_diameter": "130 mm"}
    damp = {"night_humidity": ["90 %"] * 12}
    feeds = [*FEEDS, {"source": "hub", "to": ["band"]}]
    for charge, words in (("60 Ah", "would be left"), ("36 Ah", "more than there is")):
        parts = shelf(tube=glass, band=band, battery={"charge": charge})
        found = power(parts, riders=["band"], at=damp, feeds=feeds)
        one = finding(found, "lasts-battery")
        assert one.verdict == "unsaid"
        assert "that dew asks for at most, taken all night, it would draw" in one.sentence
        assert words in one.sentence
        assert found.index["left"].note.startswith("at most")
        assert found.index["warning"].note.startswith("at the latest")
    rows = {row[0].text: row for table in found.tables if table.id == "by-lead" for row in table.rows}
    current, trunk = rows["Band"][3].figure, rows["Hub"][3].figure
    assert current is not None
    assert trunk is not None
    assert (current.value, trunk.note) == (None, "at least")
    assert "for want of a draw: Band" in finding(found, "voltage").sentence


def test_what_devices_take_and_what_is_drawn_for_them_are_told_apart() -> None:
    outlets = [{"kind": "barrel", "count": 2, "voltage": "12.8 V", "efficiency": "80 %"}]
    found = power(shelf(battery={"charge": "60 Ah", "outlets": outlets}))
    assert number(found, "night-drawn") == pytest.approx(number(found, "night-energy") / 0.8)
    loose = power(feeds=[FEEDS[0], {"source": "hub", "lead": "branch", "to": ["camera"]}])
    assert loose.index["night-drawn"].note == "without Head, which nothing feeds"


def test_what_a_night_takes_of_the_battery_that_is_emptied_most_and_what_batteries_weigh() -> None:
    found = power(shelf(battery={"charge": "60 Ah", "mass": "6 kg +- 0.1 kg"}))
    assert number(found, "battery-used") == pytest.approx(1 - number(found, "left"))
    assert number(found, "battery-mass") == pytest.approx(6.0)
    assert found.index["battery-mass"].uncertainty == pytest.approx(0.1)
    short = power(shelf(battery={"charge": "5 Ah", "mass": None}))
    assert number(short, "battery-used") > 1, "a battery that runs out is used up more than once"
    assert short.index["battery-mass"].value is None
    assert not {"battery-used", "battery-mass"} & {one.id for one in found.figures if one.shown}
