"""Steps and times of setting up: what must come before what, when to arrive, and what changes the minutes."""

from collections.abc import Sequence
from math import inf
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.night_out.chosen import CIVIL, chosen_night
from rigleaf.chapters.setting_up.physics import Task, begin_at, done_at, latest_begin, least_time
from rigleaf.chapters.setting_up.schedule import Schedule, Timed, schedule
from rigleaf.chapters.setting_up.steps import steps
from rigleaf.chapters.setting_up.taking_down import teardown
from rigleaf.sky.night import LEVELS
from tests.chapters.small_evening import RIG, SHELF, evening, made
from tests.chapters.small_guide import Data

UP_FIRST: tuple[tuple[str, str], ...] = (
    ("legs", "head"), ("head", "weights"), ("weights", "tube"), ("head", "tube"), ("sun_filter", "tube"),
    ("tube", "balance"), ("train", "balance"), ("balance", "cables"), ("cables", "power"),
    ("power", "polar_alignment"), ("power", "star_alignment"), ("polar_alignment", "collimation"),
    ("cool", "collimation"), ("cool", "focus"), ("collimation", "focus"), ("focus", "guiding"), ("guiding", "framing"),
)  # fmt: skip
DOWN_FIRST = (("park", "cables"), ("caps", "tube"), ("train", "tube"), ("tube", "weights"), ("weights", "head"),
              ("head", "legs"), ("legs", "pack"), ("pack", "unload"))  # fmt: skip


def keeps_order(timed: Sequence[Timed], order: Sequence[tuple[str, str]]) -> bool:
    at = {one.step.id: one for one in timed}
    return all(at[a].end <= at[b].start + 1e-6 for a, b in order if a in at and b in at)


def one_pair_of_hands(timed: Sequence[Timed]) -> bool:
    busy = sorted((one.start, one.end) for one in timed if one.step.hands)
    return all(busy[i][1] <= busy[i + 1][0] + 1e-6 for i in range(len(busy) - 1))


def holds(found: Schedule) -> bool:
    whole = keeps_order(found.steps, UP_FIRST) and keeps_order(found.teardown, DOWN_FIRST)
    hands = one_pair_of_hands(found.steps) and one_pair_of_hands(found.teardown)
    clocks = [found.arrive, found.ready, found.first, found.last, found.packed]
    return whole and hands and clocks == sorted(clocks) and found.arrive <= found.latest <= found.first


def test_every_rig_of_the_demo_keeps_the_order_and_begins_no_picture_before_its_night(demo: Catalogue) -> None:
    for rig in demo.rigs.values():
        assembly = Assembly(demo, rig)
        night = chosen_night(assembly)
        assert night is not None, rig.id
        found = schedule(assembly, night)
        assert holds(found), rig.id
        assert found.first >= night.start
        dark = float(night.nights.dusk[night.index, -1])
        assert found.first >= dark - 1 or set(rig.purpose) <= {"Sun", "eclipses", "Moon", "planets"}, rig.id


PARTS = st.fixed_dictionaries(
    {
        "train": st.lists(st.sampled_from(["filter", "tube", "lens", "camera"]), unique=True),
        "riders": st.sampled_from([[], ["motor"]]),
        "mount": st.sampled_from([None, "head"]),
        "tripod": st.sampled_from([None, "legs"]),
        "counterweights": st.sampled_from([[], ["weight"]]),
        "power": st.lists(st.sampled_from(["battery", "lead"]), unique=True),
        "bags": st.sampled_from([[], ["box"]]),
        "purpose": st.sampled_from([["galaxies"], ["Sun"], ["Moon"], []]),
    }
)
DRIVES = st.sampled_from(["worm", "strain-wave", "star-tracker", "alt-azimuth", None])


@settings(deadline=None, max_examples=150)
@given(PARTS, DRIVES)
def test_any_subset_of_parts_keeps_the_order(rig: dict[str, Any], drive: str | None) -> None:
    assert holds(evening(made({"head": {"drive": drive}}, **rig)))


MINUTES = st.fixed_dictionaries({}, optional={
    name: st.integers(0, 90)
    for name in ("unload", "legs", "head", "weights", "tube", "train", "cables", "polar_alignment", "focus", "framing")
})  # fmt: skip


def timed(minutes: dict[str, int], cool: int = 40) -> Schedule:
    stated = {name: f"{value} min" for name, value in minutes.items()}
    return evening(made({"tube": {"cool_down": f"{cool} min"}}, steps=stated))


@settings(deadline=None, max_examples=80)
@given(MINUTES, st.sampled_from(["legs", "train", "cables", "polar_alignment", "focus", "framing"]),
       st.integers(0, 60), st.integers(0, 120), st.integers(0, 120))  # fmt: skip
def test_more_minutes_never_let_one_arrive_later_or_begin_sooner(
    minutes: dict[str, int], name: str, more: int, cool: int, longer: int
) -> None:
    whole = {name: 5, **minutes}
    less = timed(whole, cool)
    added = timed({**whole, name: whole[name] + more}, cool + longer)
    assert added.arrive <= less.arrive + 1e-6
    assert added.latest <= less.latest + 1e-6
    assert added.first >= less.first - 1e-6
    assert added.packed >= less.packed - 1e-6


TASKS = st.lists(st.tuples(st.floats(0, 3600), st.booleans(), st.floats(-7200, 7200), st.booleans()), max_size=8)


def drawn(rows: list[tuple[float, bool, float, bool]]) -> list[Task]:
    return [
        Task(lasts, (index - 1,) if follows and index else (), release, hands)
        for index, (lasts, follows, release, hands) in enumerate(rows)
    ]


@given(TASKS, st.floats(-1e4, 1e4))
def test_who_begins_at_the_latest_instant_is_done_as_soon_as_releases_allow_and_who_begins_later_may_not_be(
    rows: list[tuple[float, bool, float, bool]], goal: float
) -> None:
    tasks = drawn(rows)
    begin = latest_begin(tasks, goal)
    allowed = max(goal, done_at(tasks, -inf))
    assert done_at(tasks, begin) <= allowed + 1e-6
    if least_time(tasks) and allowed == goal:
        assert done_at(tasks, begin + 1) > goal + 0.5


@given(TASKS)
def test_nothing_begins_before_its_release_or_before_what_it_needs(rows: list[tuple[float, bool, float, bool]]) -> None:
    tasks = drawn(rows)
    starts = begin_at(tasks, 0.0)
    for start, task in zip(starts, tasks, strict=True):
        assert start >= max(0.0, task.release)
        assert all(start >= starts[need] + tasks[need].lasts for need in task.needs)


# --- What the parts decide ---------------------------------------------------------------------------------------


def ids(assembly: Assembly) -> list[str]:
    return [step.id for step in steps(assembly)]


def test_a_whole_rig_takes_its_steps_in_the_order_of_the_trade() -> None:
    assert ids(made()) == [
        "unload", "cool", "legs", "head", "weights", "tube", "train", "balance", "cables", "power", "polar_alignment",
        "collimation", "focus", "guiding", "framing",
    ]  # fmt: skip
    assert [step.id for step in teardown(made(), steps(made()))] == [
        "park", "caps", "cables", "train", "tube", "weights", "head", "legs", "pack", "unload",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("shelf", "rig", "gone", "there"),
    [
        ({"head": {"drive": "alt-azimuth"}}, {}, {"polar_alignment", "guiding"}, {"star_alignment"}),
        ({"tube": {"needs_collimation": False}}, {}, {"collimation"}, {"focus"}),
        ({"tube": {"needs_collimation": None, "cool_down": None}}, {}, {"collimation", "cool"}, set()),
        ({"camera": {"guide_sensor": None}}, {}, {"guiding"}, {"framing"}),
        ({"head": {"drive": "strain-wave"}}, {"counterweights": []}, {"weights", "balance"}, {"polar_alignment"}),
        ({}, {"mount": None, "counterweights": []}, {"polar_alignment", "balance", "head"}, {"legs", "focus"}),
        ({}, {"travels": ["on foot"]}, {"unload"}, {"legs"}),
        ({}, {"train": ["filter", "tube", "camera"], "purpose": ["Sun"]}, {"guiding"}, {"sun_filter"}),
        ({}, {"purpose": ["Moon"]}, {"guiding"}, {"polar_alignment"}),
    ],
)
def test_steps_follow_from_the_parts(shelf: dict[str, Data], rig: Data, gone: set[str], there: set[str]) -> None:
    found = set(ids(made(shelf, **rig)))
    assert not gone & found
    assert there <= found


def test_stars_are_focused_before_a_target_is_framed_whether_it_guides_or_not() -> None:
    for camera in ({}, {"guide_sensor": None}):
        found = ids(made({"camera": camera}))
        assert found.index("focus") < found.index("framing")


def test_a_lens_on_a_tracker_goes_onto_the_camera_first_and_is_aligned_in_less_time() -> None:
    tracker = made({"head": {"drive": "star-tracker"}}, train=["lens", "camera"], counterweights=[], riders=[])
    found = {step.id: step for step in steps(tracker)}
    assert ids(tracker).index("train") < ids(tracker).index("tube")
    assert found["polar_alignment"].lasts.seconds < 10 * 60
    assert sum(step.lasts.seconds for step in found.values()) < 0.7 * sum(
        step.lasts.seconds for step in steps(made()) if step.hands
    )


def test_by_day_nothing_waits_for_the_sky_and_the_filter_comes_before_the_tube() -> None:
    sun = made(train=["filter", "tube", "camera"], purpose=["Sun"], riders=[])
    found = steps(sun)
    assert {step.below for step in found} == {None}
    assert "collimation" not in ids(sun)
    assert ids(sun)[-2:] == ["framing", "focus"]
    assert [step.id for step in found].index("sun_filter") < [step.id for step in found].index("tube")
    assert "compass" in next(step.name for step in found if step.id == "polar_alignment")


def test_the_southern_pole_waits_for_darker_sky_than_the_northern_one() -> None:
    def waits(latitude: str) -> float | None:
        found = steps(made(where={"latitude": latitude}))
        return next(step.below for step in found if step.id == "polar_alignment")

    north, south = waits("50 deg"), waits("-30 deg")
    assert north is not None
    assert south is not None
    assert south < north


# --- Minutes -----------------------------------------------------------------------------------------------------


def lasts(assembly: Assembly, id_: str) -> tuple[float, str, str]:
    step = next(step for step in steps(assembly) if step.id == id_)
    return step.lasts.seconds / 60, step.lasts.basis, step.lasts.who


def test_the_rig_goes_before_its_parts_and_they_go_before_the_guide() -> None:
    part: dict[str, Data] = {"legs": {"setting_up": "7 min"}}
    assert lasts(made(), "legs") == (4, "assumed", "usual")
    assert lasts(made(guide_steps={"legs": "6 min"}), "legs") == (6, "stated", "as given by the guide")
    assert lasts(made(part, guide_steps={"legs": "6 min"}), "legs") == (7, "stated", "as given for Legs")
    assert lasts(made(part, steps={"legs": "9 min"}), "legs") == (9, "stated", "as given for this rig")


def test_what_several_parts_state_adds_up_as_often_as_they_are_there() -> None:
    assert lasts(made({"weight": {"setting_up": "2 min"}}), "weights")[0] == 4


def test_carrying_takes_the_time_of_each_walk_and_of_the_way() -> None:
    # 53 kg are three walks of at most 25 kg; 60 m at 1 m/s are a minute, there three times and back twice.
    assert lasts(made(), "unload")[0] == pytest.approx(3 * 3 + 5)
    assert lasts(made(bags=[{"part": "box", "count": 8}]), "unload")[0] == pytest.approx(4 * 3 + 7)
    assert lasts(made(where={"walk": None}), "unload")[0] == pytest.approx(3 * 3)
    assert lasts(made(guide_steps={"unload": "4 min"}), "unload")[0] == pytest.approx(3 * 4)


def test_packing_is_shared_out_where_the_guide_says_what_all_of_it_takes() -> None:
    assembly = made(guide_steps={"packing": "50 min"})
    down = teardown(assembly, steps(assembly))
    assert sum(step.lasts.seconds for step in down) == pytest.approx(50 * 60)
    assert {step.lasts.basis for step in down} == {"stated"}


# --- Times -------------------------------------------------------------------------------------------------------


def test_one_arrives_so_that_what_needs_no_stars_is_done_before_the_light_is_gone() -> None:
    assembly = made()
    night = chosen_night(assembly)
    assert night is not None
    found = evening(assembly)
    civil = float(night.nights.dusk[night.index, CIVIL])
    power = next(one for one in found.steps if one.step.id == "power")
    assert power.end == pytest.approx(civil, abs=1)
    polar = next(one for one in found.steps if one.step.id == "polar_alignment")
    assert polar.start > civil


def test_a_long_cool_down_brings_the_arrival_forward_and_focus_waits_for_it() -> None:
    short, long = evening(made({"tube": {"cool_down": "5 min"}})), evening(made({"tube": {"cool_down": "180 min"}}))
    assert long.arrive < short.arrive
    assert long.first == pytest.approx(short.first)
    cool = next(one for one in long.steps if one.step.id == "cool")
    looks = next(one for one in long.steps if one.step.id == "collimation")
    assert cool.end == pytest.approx(looks.start, abs=1)


def test_steps_that_outlast_dusk_put_the_first_exposure_off() -> None:
    slow = made(steps={"polar_alignment": "90 min"})
    night = chosen_night(slow)
    assert night is not None
    found = evening(slow)
    assert found.first > night.start + 1800
    assert found.first == found.ready


def test_who_begins_in_the_small_hours_does_not_come_at_dusk() -> None:
    found = evening(made(night={"date": "2027-03-10", "begins": "02:00"}))
    assert found.by_light is None
    assert found.arrive == found.latest
    assert found.first - found.arrive < 2 * 3600


def test_levels_of_the_sky_are_those_that_the_schedule_counts_on() -> None:
    assert LEVELS[CIVIL] == -6.0
    assert set(RIG["train"]) <= set(SHELF)
