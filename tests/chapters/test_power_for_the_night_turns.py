"""Several batteries: one after the other and never joined, or each with leads of its own."""

from typing import Any

import pytest

from rigleaf.chapters.power_for_the_night.turns import changes, swap
from tests.chapters.small_guide import Data, finding
from tests.chapters.small_power import FEEDS, POWER, SHELF, assembled, power, shelf

TWO: list[Any] = [
    {"part": "battery", "count": 2},
    {"part": "trunk", "count": 2},
    "hub",
    {"part": "branch", "count": 2},
]
APART: list[Data] = [
    {"source": "battery", "lead": "trunk", "to": ["hub"]},
    {"source": "battery", "lead": "trunk", "to": ["head"]},
    {"source": "hub", "lead": "branch", "to": ["camera"]},
]


def test_several_batteries_are_used_one_after_the_other_and_the_hour_of_the_change_is_said() -> None:
    parts = shelf(battery={"charge": "14 Ah", "owned": 2})
    assembly, budget = assembled(parts, power=TWO)
    (circuit,) = budget.circuits
    assert circuit.store is not None
    (first,) = changes(assembly, budget, circuit, circuit.group.sources, circuit.drawn)
    # What has been drawn by then, by summing the steps up to it, is what one battery gives.
    edges = budget.times.edges
    parts_of_steps = ((first - edges[:-1]) / (edges[1:] - edges[:-1])).clip(0, 1)
    assert float(circuit.watts @ (budget.times.hours * parts_of_steps)) == pytest.approx(circuit.store.low / 2)
    words = finding(power(parts, power=TWO), "lasts-battery").sentence
    assert f"Use one after the other, never joined, and change by {budget.night.clock(first)}." in words


def test_a_remedy_of_unequal_batteries_says_their_order_and_that_they_are_never_joined() -> None:
    small: Data = {**SHELF["battery"], "name": "Small", "charge": "22 Ah", "mass": "1 kg"}
    large: Data = {**SHELF["battery"], "name": "Large", "charge": "26 Ah", "mass": "2 kg"}
    one = finding(power(shelf(battery={"charge": "10 Ah", "owned": 0}, large=large, small=small)), "lasts-battery")
    assert one.remedy.startswith("Take Small and Large (3.00\u00a0kg in all)")
    assert "Use one after the other in this order, never joined, and change by" in one.remedy


def test_a_battery_named_by_as_many_entries_as_go_along_has_a_piece_on_each() -> None:
    _, budget = assembled(shelf(battery={"owned": 2}), power=TWO, feeds=APART)
    assert sorted((one.group.piece, one.group.sources[0][1]) for one in budget.circuits) == [(1, 1), (2, 1)]
    fed = {one.group.piece: one.group.devices for one in budget.circuits}
    assert fed == {1: frozenset({"hub", "camera"}), 2: frozenset({"head"})}
    # Each gives what hangs on its own lead, and both together what all devices take.
    hours = budget.times.hours
    watts = {id_: float(draw @ hours) for id_, draw in budget.watts.items()}
    drawn = {one.group.piece: one.drawn for one in budget.circuits}
    assert drawn[2] == pytest.approx(watts["head"])
    assert sum(drawn.values()) == pytest.approx(budget.energy) == pytest.approx(sum(watts.values()))


def test_one_battery_for_each_lead_empties_one_of_them_early_and_changing_places_mends_it() -> None:
    parts = shelf(battery={"charge": "15 Ah", "owned": 2})
    apart, pooled = power(parts, power=TWO, feeds=APART), power(parts, power=TWO)
    assert finding(apart, "lasts-battery-1").verdict == "fails"
    assert "no. 1, for Hub" in finding(apart, "lasts-battery-1").sentence
    _, budget = assembled(parts, power=TWO, feeds=APART)
    at = swap(budget, budget.circuits[0])
    assert at is not None
    assert f"change places at {budget.night.clock(at)}: then they last" in finding(apart, "lasts-battery-1").remedy
    # Until then on one lead and from then on the other, each gives half of all to within a step or two.
    steps = budget.times.edges[:-1] < at
    one, other = (circuit.watts * budget.times.hours for circuit in budget.circuits)
    assert one[steps].sum() + other[~steps].sum() == pytest.approx((one.sum() + other.sum()) / 2, rel=0.02)
    assert finding(apart, "lasts").verdict == "sound"
    assert not any(one.id == "lasts-battery" and one.verdict == "fails" for one in pooled.findings)


def test_two_batteries_and_two_leads_say_what_comes_of_one_on_each() -> None:
    feeds = [{"source": "battery", "lead": "trunk", "to": ["hub", "head"]}, APART[2]]
    parts = shelf(battery={"charge": "14 Ah", "owned": 2})
    words = finding(power(parts, power=TWO, feeds=feeds), "lasts-battery").sentence
    assert "With one on each lead, that of Hub would be empty at" in words


def test_the_piece_is_what_is_said_and_one_that_is_missing_is_a_fault() -> None:
    feeds = [{**APART[0], "piece": 2}, {**APART[1], "piece": 2}, APART[2]]
    _, budget = assembled(shelf(battery={"owned": 2}), power=TWO, feeds=feeds)
    (circuit,) = budget.circuits
    assert circuit.group.devices == {"hub", "camera", "head"}
    beyond = [{**APART[0], "piece": 1}, {**APART[1], "piece": 3}, APART[2]]
    one = finding(power(shelf(battery={"owned": 2}), power=TWO, feeds=beyond), "feeds")
    assert one.verdict == "fails"
    assert "No. 3 of Battery feeds something, but 2 go along" in one.sentence


def test_the_one_in_use_bears_all_of_the_load() -> None:
    lead = {"chemistry": "sealed lead-acid", "nominal_voltage": "12 V", "rated_hours": "20 h", "peukert": 1.2}
    parts = shelf(battery={**lead, "charge": "20 Ah", "owned": 2})
    held = []
    for rig in ({"power": TWO}, {"power": POWER}):
        _, budget = assembled(parts, feeds=FEEDS, **rig)
        store = budget.circuits[0].store
        assert store is not None
        held.append(store.low)
    # Two that take turns give twice what one gives at this load, and no more: Peukert's law sees the whole current.
    # Shared between two side by side, it would be a seventh more. (Packing a second one takes its time.)
    assert held[0] == pytest.approx(2 * held[1], rel=0.005)
