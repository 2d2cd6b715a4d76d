"""The revised NIOSH lifting equation against its manual's tables and worked examples, and walks against every choice.

The manual is the Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110 (revised 9/2021); READ
means read in a page-cited copy of it, typed twice. Each test says what was READ and what is from MEMORY.
"""

from functools import cache
from itertools import combinations

import pytest

from rigleaf.catalogue.catalogue import Item
from rigleaf.catalogue.models.carrying import Bag
from rigleaf.chapters.hands_and_back import physics, trips
from rigleaf.chapters.hands_and_back.loads import Load
from rigleaf.chapters.hands_and_back.physics import Equation, Grip, Hold

IN, LB = 25.4, 0.45359237
US = Equation(51 * LB, 10 * IN, 25 * IN, 30 * IN, 0.0075 / IN, 70 * IN, 1.8 * IN, 10 * IN, 70 * IN)
"""The equation in US customary units (section 1.3, page 7, READ): 51 lb, 10/H, 1 - 0.0075 |V - 30|, 0.82 + 1.8/D."""


def us_limit(
    reach: float, height: float, way: float, turn: float = 0.0, rate: float = 0.2, grip: Grip = "fair",
    origin: float | None = None, *, rounded: bool = False,
) -> float:  # fmt: skip
    """Return a limit in lb from inches; ``rounded`` takes every multiplier to two decimals as the worksheets do."""
    first = (height if origin is None else origin) * IN
    found = physics.multipliers(Hold(reach * IN, height * IN), way * IN, grip, first, turn, rate, 1.0, US)
    if rounded:
        found = physics.Multipliers(*(round(one + 1e-9, 2) for one in found))
    return physics.recommended_limit(found, US) / LB


def test_package_inspection_in_metric_units() -> None:
    """Example 4 in metric units (H 25, V 55, D 95 cm, 3 lifts a minute, 12 kg) as a course printed it, READ.

    15.7 kg and an index of 0.76.
    """
    found = physics.multipliers(Hold(250, 550), 950, "fair", 550, lifts_a_minute=3)
    assert physics.recommended_limit(found) == pytest.approx(15.68, abs=0.02)
    assert physics.lifting_index(12, physics.recommended_limit(found)) == pytest.approx(0.765, abs=0.005)


@pytest.mark.parametrize(
    ("limit", "printed", "full"),
    [
        (us_limit(10, 22, 37, rate=3), 34.9, 34.81),  # example 4 at its begin, READ
        (us_limit(20, 59, 37, rate=3, origin=22), 15.2, 15.25),  # its end; limit READ, H and V MEMORY
        (us_limit(23, 15, 49), 16.3, 16.02),  # example 1 at its begin, MEMORY
        (us_limit(23, 64, 49, origin=15), 14.5, 14.15),  # its end, MEMORY
        (us_limit(18, 15, 21, turn=45), 18.9, 18.52),  # example 3, MEMORY
    ],
)
def test_worked_examples_of_the_manual(limit: float, printed: float, full: float) -> None:
    """Examples 1, 3 and 4; the worksheets round each multiplier first, so the printed limit is up to 0.4 lb above."""
    assert limit == pytest.approx(full, abs=0.01)
    assert limit == pytest.approx(printed, abs=0.4)


def test_the_worksheets_round_every_multiplier() -> None:
    """Example 4, figure 14: 51 x 1.0 x .94 x .87 x 1.0 x .88 x .95 = 34.9 lb, READ; its end 15.2 lb; example 3 18.9 lb.

    Table 1 of the manual prints .44 for 23 in, where 10/23 rounds to .43 (READ): example 1 follows the table.
    """
    assert us_limit(10, 22, 37, rate=3, rounded=True) == pytest.approx(34.9, abs=0.05)
    assert us_limit(20, 59, 37, rate=3, origin=22, rounded=True) == pytest.approx(15.2, abs=0.05)
    assert us_limit(18, 15, 21, turn=45, rounded=True) == pytest.approx(18.9, abs=0.05)
    assert us_limit(23, 15, 49, rounded=True) / 0.43 * 0.44 == pytest.approx(16.3, abs=0.05)
    assert us_limit(23, 64, 49, origin=15, rounded=True) / 0.43 * 0.44 == pytest.approx(14.5, abs=0.05)


TABLE_5 = """
0.2 1.00 1.00 .95 .95 .85 .85
0.5 .97 .97 .92 .92 .81 .81
1 .94 .94 .88 .88 .75 .75
2 .91 .91 .84 .84 .65 .65
3 .88 .88 .79 .79 .55 .55
4 .84 .84 .72 .72 .45 .45
5 .80 .80 .60 .60 .35 .35
6 .75 .75 .50 .50 .27 .27
7 .70 .70 .42 .42 .22 .22
8 .60 .60 .35 .35 .18 .18
9 .52 .52 .30 .30 .00 .15
10 .45 .45 .26 .26 .00 .13
11 .41 .41 .00 .23 .00 .00
12 .37 .37 .00 .21 .00 .00
13 .00 .34 .00 .00 .00 .00
14 .00 .31 .00 .00 .00 .00
15 .00 .28 .00 .00 .00 .00
"""
"""Table 5, page 15, READ: lifts a minute, then up to 1, 2 and 8 hours with hands below and from 75 cm upwards."""


def test_frequency_table() -> None:
    """Table 5 in full, READ; below 0.2 counts as 0.2, above 15 nothing is lifted, between rows it is straight."""
    for line in TABLE_5.split("\n")[1:-1]:
        rate, *values = map(float, line.split())
        for number, value in enumerate(values):
            hours, origin = (1.0, 2.0, 8.0)[number // 2], (740.0, 750.0)[number % 2]
            assert physics.frequency_multiplier(rate, hours, origin) == value
    assert physics.frequency_multiplier(0.05, 1.0, 0.0) == 1.0
    assert physics.frequency_multiplier(15.1, 1.0, 800.0) == 0.0
    assert physics.frequency_multiplier(2.4, 1.0, 800.0) == pytest.approx(0.898, abs=1e-9)


def test_coupling_table() -> None:
    """Table 7, page 18, READ."""
    stated = {"good": (1.0, 1.0), "fair": (0.95, 1.0), "poor": (0.9, 0.9)}
    for grip, values in stated.items():
        found = [physics.coupling_multiplier(grip, height) for height in (740.0, 750.0)]  # type: ignore[arg-type]
        assert tuple(found) == values


def test_horizontal_multiplier_beside_an_agency_s_table() -> None:
    """The Canadian agency's example, READ: 23 kg x 0.50 for hands 50 cm away; its 0.95 for a way of 40 cm is rounded.

    The equation gives 0.9325 there, so its 10.9 kg is 10.72 kg.
    """
    assert physics.horizontal_multiplier(500.0) == pytest.approx(0.5)
    assert physics.distance_multiplier(400.0) == pytest.approx(0.9325)
    found = physics.multipliers(Hold(500, 750), 400, "good", 750)
    assert physics.recommended_limit(found) == pytest.approx(10.72, abs=0.01)


def test_where_nothing_may_be_lifted() -> None:
    """Limits of the equation, section 1.3, READ: hands to 63 cm, height and way to 175 cm, a twist of 135 degrees."""
    assert physics.horizontal_multiplier(631.0) == physics.vertical_multiplier(1751.0) == 0
    assert physics.distance_multiplier(1751.0) == physics.asymmetry_multiplier(136.0) == 0
    assert physics.horizontal_multiplier(100.0) == physics.distance_multiplier(100.0) == 1
    assert physics.asymmetry_multiplier(90.0) == pytest.approx(0.712)
    assert physics.lifting_index(1.0, 0.0) == float("inf")


def test_estimate_of_the_reach() -> None:
    """Section 1.3.1, READ: 20 cm + W/2 with hands from 25 cm upwards, 25 cm + W/2 below, and never below 25 cm."""
    assert physics.reach_around(400.0, 250.0) == 400
    assert physics.reach_around(400.0, 240.0) == 450
    assert physics.reach_around(60.0, 900.0) == 250


def load(number: int, mass: float) -> Load:
    bag = Bag.model_validate({"id": f"bag-{number}", "kind": "bag", "name": "Bag", "mass": f"{mass} kg"})
    return Load(bag.id, bag.name, bag, (Item("bag", bag),))


@pytest.mark.parametrize(
    "masses",
    [(20, 12, 9, 3), (24, 24, 2, 1), (30, 12, 12, 12, 1), (8,), (13, 13, 12, 12), (18, 7, 7, 16, 9, 3, 22)],
)
def test_fewest_walks_by_trying_every_way(masses: tuple[float, ...]) -> None:
    """COMPUTED by trying every pairing: two pieces and 25 kg a walk, what is heavier alone."""

    @cache
    def fewest(left: frozenset[int]) -> int:
        if not left:
            return 0
        first = min(left)
        rest = left - {first}
        pairs = [b for a, b in combinations(sorted(left), 2) if a == first and masses[a] + masses[b] <= 25]
        return 1 + min([fewest(rest), *(fewest(rest - {other}) for other in pairs)])

    found = trips.walks(tuple(load(number, mass) for number, mass in enumerate(masses)))
    assert len(found) == fewest(frozenset(range(len(masses))))
    assert sum(walk.mass for walk in found) == pytest.approx(sum(masses))
    assert trips.way_m(len(found), 25.0) == (2 * len(found) - 1) * 25.0
    # What is too heavy for one person takes a walk by itself, and the rest is shared out as if it were not there.
    loads = tuple(load(number, mass) for number, mass in enumerate(masses))
    apart = trips.walks(loads, frozenset({loads[0].id}))
    assert [one.mass for one in apart if loads[0] in one.loads] == [masses[0]]
    assert len(apart) == 1 + fewest(frozenset(range(1, len(masses))))
