"""The lightest batteries that last: found without trying all sets, and the same as if all were tried."""

from collections.abc import Iterator
from itertools import combinations
from typing import Any

import numpy as np
import pytest

from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night import suited
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit
from rigleaf.chapters.power_for_the_night.cells import rated_energy
from rigleaf.chapters.power_for_the_night.lightest import MOST_PIECES
from rigleaf.chapters.power_for_the_night.outlets import Tap, tap_of
from rigleaf.chapters.power_for_the_night.remedy import HARDLY_HEAVIER, lightest
from rigleaf.chapters.power_for_the_night.suited import Held, Picked, asked_by, borne, may_go
from tests.chapters.small_guide import Data
from tests.chapters.small_power import assembled, shelf

BARREL: Data = {"kind": "barrel", "count": 2, "voltage": "12.8 V"}
OUTLETS: list[list[Data] | None] = [
    [{**BARREL, "efficiency": "100 %"}],
    [{**BARREL, "efficiency": "85 %", "own_draw": "1 W"}],
    [{"kind": "USB-C", "count": 1, "voltage": "20 V"}],
    [BARREL],
    None,
]


def club(count: int, seed: int) -> dict[str, Data]:
    """A shelf of batteries of every sort, some of them the same as others, beside a rig whose own does not last."""
    chance = np.random.default_rng(seed)
    made: list[Data] = []
    for _ in range(count):
        if made and chance.random() < 0.3:
            made.append({**made[int(chance.integers(len(made)))]})
            continue
        charge = float(chance.choice([3.0, 5.0, 7.0, 12.0, 20.0, 35.0])) * (1 + round(float(chance.random()), 2))
        battery: Data = {
            "kind": "battery", "name": "Battery", "nominal_voltage": str(chance.choice(["12 V", "12.8 V"])),
            "chemistry": str(chance.choice(["lifepo4", "lithium-ion", "sealed lead-acid"])),
            "charge": f"{charge} Ah", "mass": f"{round(charge * float(chance.uniform(0.08, 0.2)), 2)} kg",
            "owned": int(chance.integers(0, 4)), "installed": False, "outlets": OUTLETS[int(chance.integers(5))],
            "current_limit": [None, "8 A", "20 A"][int(chance.integers(3))],
            "peukert": [None, "1.1", "1.3"][int(chance.integers(3))],
        }  # fmt: skip
        made.append({key: value for key, value in battery.items() if value is not None})
    stated = {f"b{number:03}": {**one, "name": f"Battery {number}"} for number, one in enumerate(made)}
    return shelf(battery={"charge": "9 Ah", "owned": 2}, **stated)


def every_set(assembly: Assembly, budget: Budget, circuit: Circuit, held: Held) -> Iterator[Picked]:
    """Yield every set of the shelf, those of one sort first, in the order of the shelf."""
    asked = asked_by(budget, circuit, held.edges)
    there = [
        one
        for one in assembly.catalogue.of_kind(Battery)
        if not one.installed and one.mass is not None and rated_energy(one) is not None and one.owned != 0
        if asked.fits(assembly, one) and (not one.outlets or borne(one) >= asked.peak) and may_go(assembly, one)
    ]
    free = {one.id: min(MOST_PIECES, one.owned or 1) for one in there}
    for one in there:
        yield from (((one, count),) for count in range(1, free[one.id] + 1))
    for one, other in combinations([one for one in there if one.outlets], 2):
        for count in range(1, free[one.id] + 1):
            for more in range(1, min(free[other.id], MOST_PIECES - count) + 1):
                yield (one, count), (other, more)


def plainly(assembly: Assembly, budget: Budget, circuit: Circuit, kept: float) -> Picked | None:
    """The same answer from trying every set."""
    held = Held(assembly, budget, tuple(one for one in budget.wiring.edges.values() if one.root in circuit.group.roots))
    own = {(part.id, count) for part, count in circuit.group.sources}
    found = []
    for picked in every_set(assembly, budget, circuit, held):
        asked = sum(n for one, n in picked if (rated_energy(one) or 0) > suited.FLIES_WH)
        if {(one.id, n) for one, n in picked} == own or (suited.flies(assembly) and asked > suited.MOST_ASKED):
            continue
        if held.lasts(picked, kept):
            found.append((sum(n * one.mass.value for one, n in picked if one.mass is not None), picked))
    least = min((mass for mass, _ in found), default=0.0)
    near = [(sum(n for _, n in picked), mass, picked) for mass, picked in found if mass <= least * HARDLY_HEAVIER]
    return min(near, key=lambda one: one[:2])[2] if near else None


@pytest.mark.parametrize("travels", [["car"], ["hand luggage"]])
@pytest.mark.parametrize("seed", range(6))
def test_the_set_found_is_the_one_that_trying_all_finds(seed: int, travels: list[str]) -> None:
    assembly, budget = assembled(club(10 + 2 * seed, seed), travels=travels)
    (circuit,) = budget.circuits
    for kept in (0.0, 0.2, 0.6):
        found, wanted = lightest(assembly, budget, circuit, kept), plainly(assembly, budget, circuit, kept)
        assert (found.picked if found is not None else None) == wanted


def test_a_longer_shelf_does_not_let_more_batteries_be_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[object] = []
    lasts = Held.lasts

    def noted(self: Held, picked: Picked, kept: float) -> bool:
        tried.append(picked)
        return lasts(self, picked, kept)

    def noted_tap(*given: Any) -> Tap:
        tried.append(given)
        return tap_of(*given)

    monkeypatch.setattr(Held, "lasts", noted)
    monkeypatch.setattr(suited, "tap_of", noted_tap)
    for many in (50, 500):
        assembly, budget = assembled(club(many, 1))
        (circuit,) = budget.circuits
        lightest(assembly, budget, circuit, 0.2)  # what is found out for all rigs
        tried.clear()
        assert lightest(assembly, budget, circuit, 0.2) is not None
        assert 0 < len(tried) < 60
