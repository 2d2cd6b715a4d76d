"""What the chapter on setting up says: when to come, cool-down, being left alone, checklists, and what is unsaid."""

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import year_of
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study
from rigleaf.chapters.setting_up.study import study
from tests.chapters.small_evening import HIGH, SHELF, lines, made, said, table
from tests.chapters.small_guide import Data, finding, ids, number

SUN: Data = {"train": ["filter", "tube", "camera"], "purpose": ["Sun", "eclipses"]}
CLIMBING: Data = {"drive": "strain-wave"}


@pytest.fixture(scope="module")
def demo_studies(demo: Catalogue) -> dict[str, Study]:
    return {rig.id: study(Assembly(demo, rig)) for rig in demo.rigs.values()}


def states(found: Study) -> dict[str, str]:
    return {row[0].text: row[1].text for row in table(found, "alone").rows}


# --- When to come ------------------------------------------------------------------------------------------------


def test_a_rig_that_is_set_up_by_daylight_is_sound_and_says_when_to_come() -> None:
    found = said(made())
    time = finding(found, "time")
    assert time.verdict == "sound"
    for id_ in ("arrive", "first", "latest"):
        assert str(found.index[id_].value) in time.sentence
    assert "10\u00a0March" in time.sentence
    assert "10\u00a0March, the one that the rig states; clocks of Europe/Berlin" in found.index["arrive"].note


def test_clock_times_are_those_of_the_place() -> None:
    there, greenwich = (str(said(one).index["first"].value) for one in (made(), made(where={"timezone": "UTC"})))
    assert there.startswith("20:")
    assert greenwich == f"19:{there[3:]}"


def test_a_rig_that_is_set_up_in_the_dark_is_tight() -> None:
    time = finding(said(made(night={"date": "2027-03-10", "begins": "02:00"})), "time")
    assert time.verdict == "tight"
    assert "in the dark" in time.sentence
    assert "light it" in time.remedy


def test_a_rig_that_loses_darkness_is_tight_and_says_what_takes_longest() -> None:
    time = finding(said(made(steps={"polar_alignment": "90 min"})), "time")
    assert time.verdict == "tight"
    assert "polar alignment" in time.remedy
    assert "stars takes longer than dusk" in time.sentence
    other = finding(said(made(steps={"collimation": "90 min"})), "time")
    assert other.remedy == "Practise what takes longest under the stars: collimation."


def test_by_day_and_under_the_moon_nobody_speaks_of_darkness() -> None:
    sun = finding(said(made(**SUN)), "time")
    moon = finding(said(made({"head": {"drive": "alt-azimuth"}}, purpose=["Moon"])), "time")
    assert sun.verdict == moon.verdict == "sound"
    assert "dark" not in sun.sentence + moon.sentence
    assert "Collimation" in lines(said(made(**SUN)), "before")


@pytest.mark.parametrize(
    ("place", "rig", "missing"),
    [
        ({}, {"place": None}, "neither the rig nor the guide names a place"),
        ({"latitude": None}, {}, "latitude and longitude"),
        ({"latitude": "68 deg"}, {"night": {"date": "2027-06-21"}}, "does not grow dark"),
    ],
)
def test_without_a_night_the_minutes_stay_and_the_times_are_unsaid(place: Data, rig: Data, missing: str) -> None:
    found = said(made(where=place, **rig))
    time = finding(found, "time")
    assert time.verdict == "unsaid"
    assert missing in time.sentence
    assert time.remedy
    assert number(found, "setting-up") > 3600
    assert "arrive" not in found.index
    assert found.drawings == ()
    assert lines(found, "up") == lines(said(made()), "up")
    assert {row[2].text for row in table(found, "up").rows} == {""}


def test_a_rig_of_no_parts_is_unsaid() -> None:
    found = said(made(train=[], riders=[], mount=None, tripod=None, counterweights=[], power=[], travels=["on foot"]))
    assert ids(found.findings) == ["time"]
    assert found.worst == "unsaid"


def test_the_time_of_setting_up_is_that_of_the_hands() -> None:
    found = said(made())
    minutes = [row[3].figure for row in table(found, "up").rows]
    total = sum(one.value for one in minutes if one is not None and isinstance(one.value, float))
    assert number(found, "setting-up") == pytest.approx(total - 40 * 60)  # an optic that cools takes no hands
    assert number(found, "cool-down") == 40 * 60


# --- Cool-down ---------------------------------------------------------------------------------------------------


def test_an_optic_without_a_cool_down_is_unsaid_and_a_lens_is_not_asked() -> None:
    gap = finding(said(made({"tube": {"cool_down": None}})), "cool-down")
    assert gap.verdict == "unsaid"
    assert "star out of focus" in gap.remedy
    assert "cool-down" not in ids(said(made(train=["lens", "camera"])).findings)
    sound = finding(said(made()), "cool-down")
    assert sound.verdict == "sound"
    assert "collimation" in sound.sentence


# --- Left alone --------------------------------------------------------------------------------------------------


def test_the_best_that_is_said_is_within_call() -> None:
    found = said(made({"head": CLIMBING}))
    alone = finding(found, "unattended")
    assert states(found) == {
        "Power": "holds", "Dew": "holds", "Focus": "holds", "Frame": "holds", "Meridian": "holds", "Cables": "holds",
        "Rain": "look in", "Wind": "look in", "Dawn": "look in",
    }  # fmt: skip
    assert alone.verdict == "sound"
    assert "within call" in alone.sentence
    assert "rain" in alone.sentence


def test_what_looks_at_the_sun_is_never_left_alone(demo_studies: dict[str, Study]) -> None:
    for found in (said(made(**SUN)), demo_studies["heron-eclipse"]):
        alone = finding(found, "unattended")
        assert alone.verdict == "fails"
        assert alone.sentence.startswith("Never leave this rig alone")
        assert "caps it" in alone.remedy


@pytest.mark.parametrize(
    ("shelf", "rig", "place", "name"),
    [
        ({"tube": {"tube_material": "aluminium"}}, {"riders": []}, {}, "Focus"),
        ({"motor": {"step": "300 um"}}, {}, {}, "Focus"),
        ({}, {"train": ["lens", "camera"], "riders": []}, {}, "Focus"),
        ({"camera": {"guide_sensor": None}, "tube": {"focal_length": "2000 mm"}}, {}, {}, "Frame"),
        ({"head": {"drive": "alt-azimuth"}}, {}, {}, "Frame"),
        ({"battery": {"marked_energy": "50 Wh"}}, {}, {}, "Power"),
        ({"battery": {"marked_energy": "310 Wh"}}, {}, {}, "Power"),
        ({}, {"feeds": [{"source": "battery", "lead": "lead", "to": ["head", "camera"]}]}, {}, "Cables"),
        ({}, {}, {}, "Meridian"),
        ({"tube": {"form": "refractor"}}, {}, {"night_humidity": ["97 %"] * 12}, "Dew"),
    ],
)
def test_each_condition_that_does_not_hold_asks_for_a_look(shelf: Data, rig: Data, place: Data, name: str) -> None:
    found = said(made({**shelf}, place, [HIGH] if name == "Meridian" else [], **rig))
    assert states(found)[name] == "look in"
    alone = finding(found, "unattended")
    assert alone.verdict == "tight"
    every = "30\u00a0min" if name == "Frame" and "head" in shelf else "hour"
    assert alone.sentence.startswith(f"Somebody must look in at least every {every}: ")
    assert alone.remedy


@pytest.mark.parametrize(
    ("shelf", "place", "name"),
    [
        ({"motor": {"step": None}}, {}, "Focus"),
        ({"tube": {"focal_length": None}}, {}, "Focus"),
        ({"head": {"power": None}}, {}, "Power"),
        ({}, {"night_humidity": None}, "Dew"),
    ],
)
def test_what_is_not_given_is_unsaid_and_counts(shelf: Data, place: Data, name: str) -> None:
    found = said(made({**shelf}, place))
    assert states(found)[name] == "unsaid"
    assert finding(found, "unattended").verdict == "unsaid"
    assert "cannot be told" in finding(found, "unattended").sentence


def test_a_mount_that_turns_over_names_the_time_and_a_tracker_does_not_turn_over() -> None:
    found = said(made(aims=[HIGH]))
    (row,) = [row for row in table(found, "alone").rows if row[0].text == "Meridian"]
    # Right ascension 12 h in March: close to the Sun's own midnight, which is 00:42 by the clocks there.
    assert "High at 01:" in row[2].text or "High at 00:" in row[2].text
    for drive in ("star-tracker", "alt-azimuth"):
        assert "Meridian" not in states(said(made({"head": {"drive": drive}}, aims=[HIGH])))


# --- Checklists --------------------------------------------------------------------------------------------------


def test_what_to_see_to_follows_from_the_parts() -> None:
    bare = lines(said(made(power=[], riders=[])), "before")
    assert "Batteries charged" not in bare
    shelf: dict[str, Data] = {
        "car": {"kind": "car-lead", "name": "Car lead"},
        "plug": {"kind": "mains-supply", "name": "Plug"},
        "cell": {"kind": "battery", "name": "Cell", "chemistry": "alkaline"},
        "laptop": {"kind": "computer", "name": "Laptop", "form": "laptop"},
        "fuse": {"kind": "spare", "name": "Fuse"},
        "lamp": {"kind": "tool", "name": "Red lamp"},
    }
    full = said(made(shelf, power=["battery", "cell", "car", "plug"], carried=["laptop", "fuse", "lamp"], **SUN))
    names = lines(full, "before")
    assert set(names) >= {"Batteries charged", "Fresh cells", "The car's own battery", "Mains", "Storage free",
                          "No updates tonight", "Filter for the Sun", "Spares", "Somebody knows"}  # fmt: skip
    assert "Two lamps" not in names
    rows = {row[0].text: row[1].text for row in table(full, "before").rows}
    assert rows["Batteries charged"].startswith("Battery.")
    assert rows["Spares"] == "Fuse."
    assert rows["Storage free"].startswith("Laptop:")


def test_clothes_are_for_the_cold_of_that_night_and_somebody_knows_when_all_is_packed() -> None:
    found = said(made(where={"night_temperature": ["-7 degC"] * 12}))
    rows = {row[0].text: row[1].text for row in table(found, "before").rows}
    assert "−7\u00a0°C" in rows["Warm clothes, food, water"] or "−6\u00a0°C" in rows["Warm clothes, food, water"]
    assert f"packed at {found.index['packed'].value}" in rows["Somebody knows"]


def test_a_rig_that_stays_put_needs_nobody_to_know() -> None:
    assert "Somebody knows" not in lines(said(made(travels=["stays put"])), "before")


def test_names_on_a_list_are_its_own_so_that_a_tick_belongs_to_one_line(demo_studies: dict[str, Study]) -> None:
    for rig, found in demo_studies.items():
        for id_ in ("before", "up", "down", "after"):
            names = lines(found, id_)
            assert len(names) == len(set(names)), (rig, id_)
            assert names


def test_every_rig_of_the_demo_has_its_plate_lists_and_three_or_fewer_findings(
    demo_studies: dict[str, Study],
) -> None:
    for rig, found in demo_studies.items():
        assert [drawing.id for drawing in found.drawings] == ["night-out"], rig
        assert len(found.drawings[0].svg) < 6000, rig
        assert 2 <= len(found.findings) <= 3, rig
        assert not {"nan", "None"} & set(" ".join(one.sentence for one in found.findings).split())
    assert set(SHELF["tube"]) > {"cool_down"}


# --- Month by month ----------------------------------------------------------------------------------------------


def test_the_table_of_the_year_agrees_with_the_study_of_each_of_its_evenings() -> None:
    usual = made(night=None)
    year = year_of(usual.catalogue.guide)  # that of the last change, where the tests run as make runs them
    rows = table(said(usual), "months").rows
    assert len(rows) == 12
    for month in (3, 10):
        found = said(made(night={"date": f"{year}-{month:02}-15"}))
        clocks = [found.index[id_].value for id_ in ("arrive", "first", "last", "packed")]
        assert [cell.text for cell in rows[month - 1][1:]] == clocks


def test_evenings_without_darkness_are_named_and_a_stated_date_or_the_sun_has_no_table() -> None:
    # At 60 deg the Sun sinks to 18 deg while its declination is below 12 deg: not from late April to late August.
    rows = table(said(made(where={"latitude": "60 deg"}, night=None)), "months").rows
    assert [row[1].text == "not dark" for row in rows] == [5 <= month <= 8 for month in range(1, 13)]
    for other in (made(), made(**SUN, night=None), made(place=None, night=None)):
        assert "months" not in [one.id for one in said(other).tables]
