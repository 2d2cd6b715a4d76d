"""Invariants of the physics of power: what never falls, what is conserved, and one kind in, the same kind out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.chapters.power_for_the_night import physics
from tests.chapters.elementwise import Call, between, check, each, public_functions
from tests.chapters.small_power import assembled, shelf

depths = between(-20.0, 60.0)
celsius = between(-60.0, 60.0)

CALLS: list[Call] = [
    (physics.cooler_draw, (12.0, 4.0, 15.0, 36.0, 20.0, 35.0)),
    (physics.rated_energy, (20.0, 12.8)),
    (physics.peukert_hours, (22.0, 20.0, 3.0, 1.2)),
    (physics.peukert_share, (22.0, 20.0, 3.0, 1.2)),
    (physics.lead_acid_left, (-3.0,)),
    (physics.lithium_left, (-3.0, 0.5)),
    (physics.wire_diameter, (18.0,)),
    (physics.wire_resistance, (18.0, 2.0, 5.0)),
    (physics.loop_resistance, (18.0, 2.0, 5.0)),
    (physics.voltage_behind, (12.8, 0.05, 40.0)),
]


@each(CALLS)
def test_floats_in_floats_out_and_arrays_likewise(function: object, arguments: tuple[float, ...]) -> None:
    numbers = {physics.cooler_draw: 1, physics.lithium_left: 1}.get(function)  # type: ignore[call-overload]
    check(function, arguments, numbers)  # type: ignore[arg-type]


def test_every_function_is_among_the_calls() -> None:
    assert public_functions(physics) == {function.__name__ for function, _ in CALLS}


@given(depths, depths, between(0.0, 10.0), between(0.0, 40.0), between(0.0, 60.0), between(1.0, 50.0))
def test_more_cooling_never_draws_less(
    one: float, other: float, idle: float, usual: float, more: float, most: float
) -> None:
    less, deeper = sorted((one, other))
    draws = [physics.cooler_draw(depth, idle, usual, idle + more, 20.0, most) for depth in (less, deeper)]
    assert draws[0] <= draws[1] + 1e-9
    assert idle - 1e-9 <= draws[0]
    assert draws[1] <= idle + more + 1e-9


def test_the_three_points_that_makers_state_are_kept() -> None:
    points = [physics.cooler_draw(depth, 4.0, 15.0, 36.0, 20.0, 35.0) for depth in (0.0, 20.0, 35.0, 90.0)]
    assert points == pytest.approx([4.0, 15.0, 36.0, 36.0])


@given(celsius, celsius, between(0.1, 1.0))
def test_colder_batteries_never_give_more(one: float, other: float, at_cold: float) -> None:
    cold, warm = sorted((one, other))
    assert physics.lithium_left(cold, at_cold) <= physics.lithium_left(warm, at_cold)
    assert 0 <= physics.lead_acid_left(cold) <= physics.lead_acid_left(warm)


@given(between(1.0, 200.0), between(1.0, 100.0), between(0.1, 50.0), between(1.0, 1.6), between(1.0, 3.0))
def test_a_faster_emptied_battery_never_gives_more(
    charge: float, hours: float, current: float, exponent: float, times: float
) -> None:
    slow = physics.peukert_share(charge, hours, current, exponent)
    fast = physics.peukert_share(charge, hours, current * times, exponent)
    assert 0 < fast <= slow * (1 + 1e-12) <= 1 + 1e-11


@given(between(4.0, 60.0), between(0.0, 5.0), between(0.0, 300.0))
def test_power_at_a_device_is_what_it_takes(source: float, ohm: float, watts: float) -> None:
    volts = physics.voltage_behind(source, ohm, watts)
    assert source / 2 <= volts <= source
    if ohm and watts < source**2 / (4 * ohm):
        lost = ohm * (watts / volts) ** 2
        assert source * watts / volts == pytest.approx(watts + lost, rel=1e-6)


@given(st.integers(0, 30), between(0.1, 20.0))
def test_thicker_and_shorter_leads_resist_less(gauge: int, metres: float) -> None:
    ohm = physics.loop_resistance(float(gauge), metres)
    assert physics.loop_resistance(float(gauge) + 3, metres) == pytest.approx(2 * ohm, rel=0.01)
    assert physics.loop_resistance(float(gauge), metres / 2) == pytest.approx(ohm / 2)


@pytest.mark.parametrize("efficiency", ["100 %", "90 %", "50 %"])
def test_energy_is_conserved_from_the_devices_to_the_battery(efficiency: str) -> None:
    outlets = [{"kind": "barrel", "voltage": "12.8 V", "efficiency": efficiency, "own_draw": "2 W"}]
    _, budget = assembled(shelf(battery={"outlets": outlets}))
    hours = budget.times.hours
    by_device = sum(float(watts @ hours) for watts in budget.watts.values())
    over_time = float(np.sum([watts * hours for watts in budget.watts.values()]))
    assert budget.energy == pytest.approx(by_device) == pytest.approx(over_time)
    (circuit,) = budget.circuits
    on = float(hours[budget.times.on].sum())
    assert circuit.drawn == pytest.approx(by_device / (float(efficiency.removesuffix(" %")) / 100) + 2 * on)


@given(between(-30.0, 10.0), between(0.0, 20.0))
def test_a_colder_sensor_never_asks_for_less_energy(sensor: float, colder: float) -> None:
    _, mild = assembled(night={"sensor": f"{sensor} degC"})
    _, cold = assembled(night={"sensor": f"{sensor - colder} degC"})
    assert cold.energy >= mild.energy - 1e-9


@given(between(-25.0, 20.0), between(0.0, 20.0))
def test_a_colder_night_never_gives_more_battery(coldest: float, colder: float) -> None:
    low = [
        budget.circuits[0].store
        for at in (coldest, coldest - colder)
        for _, budget in [assembled(at={"night_temperature": [f"{at} degC"] * 12})]
    ]
    assert low[0] is not None
    assert low[1] is not None
    assert low[1].low <= low[0].low
    assert low[1].high <= low[0].high
