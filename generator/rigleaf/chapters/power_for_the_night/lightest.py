"""The lightest batteries of the shelf that last a circuit's night: of one sort, or of two.

On a long shelf there are a hundred thousand sets. The lightest that may last are tried first, and no more once all that
are left are too heavy to count.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from heapq import heappop, heappush
from math import inf

import numpy as np

from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night import physics
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit
from rigleaf.chapters.power_for_the_night.cells import rated_energy, store
from rigleaf.chapters.power_for_the_night.shelf import Array, Shelf, Whole, shelf_of
from rigleaf.chapters.power_for_the_night.suited import (
    ASKED_WH,
    FLIES_WH,
    MOST_ASKED,
    Held,
    Picked,
    asked_by,
    borne,
    flies,
    lendable,
    may_go,
)
from rigleaf.chapters.power_for_the_night.wiring import Edge

MOST_PIECES = 4
"""Batteries that one would carry for one circuit; a choice of this guide."""

_ROUNDING = 1e-9
"""Share by which sums of floats in another order may differ."""
_PAIRS = tuple((count, more) for count in range(1, MOST_PIECES) for more in range(count, MOST_PIECES - count + 1))
"""How many of one sort and of another make a set of two sorts."""


@dataclass(frozen=True, slots=True)
class BatterySet:
    """Batteries that last the night: which, how many of each, their mass in kg, and the Wh drawn from them."""

    picked: Picked
    mass: float
    drawn: float

    @property
    def pieces(self) -> int:
        """Number of batteries."""
        return sum(count for _, count in self.picked)


@dataclass(frozen=True, eq=False)
class _Rows:
    """The batteries that suit a circuit, the lightest first.

    Attributes:
        row: their rows of the shelf.
        place: their places on it.
        mass: kg.
        gives: the most that one can leave for the night, Wh; what it gives in a set is no more.
        drawn: the energy that would be drawn from it if it fed everything, Wh.
        free: how many there are to take.
        asked: 1 for each whose taking on board has to be asked for, 0 for the rest, or where nobody flies.
        look: what outlets it has.
    """

    row: Whole
    place: Whole
    mass: Array
    gives: Array
    drawn: Array
    free: Whole
    asked: Whole
    look: Whole

    def only(self, which: object) -> "_Rows":
        """Return some of them."""
        return _Rows(*(getattr(self, name)[which] for name in self.__dataclass_fields__))


class Search:
    """Looks for sets of batteries that last one circuit's night."""

    def __init__(
        self, assembly: Assembly, budget: Budget, circuit: Circuit, edges: tuple[Edge, ...], kept: float
    ) -> None:
        """Begin with a circuit and its leads; ``kept`` is the part of the usable energy that is to be left."""
        self._assembly, self._budget, self._circuit, self._kept = assembly, budget, circuit, kept
        self._held = Held(assembly, budget, edges)
        self._asked = asked_by(budget, circuit, edges)
        self._shelf: Shelf = assembly.catalogue.once(shelf_of)
        self._own = {(part.id, count) for part, count in circuit.group.sources}
        self._found: dict[int, tuple[float, tuple[int, ...], BatterySet]] = {}

    def best(self, hardly: float) -> list[BatterySet]:
        """Return for each number of pieces the lightest set that lasts, of equals the one that lies first on the shelf.

        Those of one sort go before those of two. Left out may be what is more than ``hardly`` times as heavy as the
        lightest of all.
        """
        suited = self._suited()
        outlets = self._shelf.outlets[suited.row]
        built_in = tuple(
            (part, n) for part, n in self._circuit.group.sources if isinstance(part, Battery) and part.installed
        )
        self._of_one_sort(suited.only(outlets), ())
        self._of_one_sort(suited.only(~outlets), built_in)
        for count, more in sorted(_PAIRS, key=sum):
            self._of_two_sorts(suited.only(outlets), count, more, hardly)
        return [one for _, _, one in self._found.values()]

    @property
    def _least(self) -> float:
        return min((mass for mass, _, _ in self._found.values()), default=inf)

    def _suited(self) -> _Rows:
        assembly, shelf, held = self._assembly, self._shelf, self._held
        fits = np.array([self._asked.fits(assembly, one) for one in shelf.looks], dtype=bool)
        drawn = np.array([held.drawn(one) if fit else 0.0 for one, fit in zip(shelf.looks, fits, strict=True)])
        own = {part.id: part for part in assembly.parts(Battery)}
        mine = [shelf.row[id_] for id_ in own if id_ in shelf.row]
        # Of batteries that are the same in everything a set takes no more than two, and those that lie first.
        usual = shelf.twin < 2 + len(mine)
        good = usual & fits[shelf.look] & (~shelf.outlets | (shelf.borne >= self._asked.peak))
        # The rig's own are looked at themselves, so that what counts of them is noted as read.
        suits = {id_ for id_, part in own.items() if self._suits(part)}
        good[mine] = [shelf.parts[row].id in suits for row in mine]
        good &= ~shelf.lead & (shelf.rated <= ASKED_WH) if flies(assembly) else True
        free = shelf.owned.copy()
        for other in self._budget.circuits:
            if other is not self._circuit and other.group.kind == "battery":
                for part, count in other.group.sources:
                    if part.id in shelf.row:
                        free[shelf.row[part.id]] -= count
        rows = np.flatnonzero(good & (free > 0))
        asked = (shelf.rated[rows] > FLIES_WH) & flies(assembly)
        drawn = drawn[shelf.look[rows]]
        return _Rows(
            rows, shelf.place[rows], shelf.mass[rows], self._gives(rows, drawn), drawn,
            np.minimum(free[rows], MOST_PIECES), asked.astype(np.int64), shelf.look[rows],
        )  # fmt: skip

    def _suits(self, part: Battery) -> bool:
        """Say of one battery whether it could feed the circuit."""
        known = not part.installed and part.mass is not None and rated_energy(part) is not None
        if not known or not lendable(self._assembly.catalogue, part) or not self._asked.fits(self._assembly, part):
            return False
        if (part.outlets and borne(part) < self._asked.peak) or not may_go(self._assembly, part):
            return False
        # What it gives and what would be drawn from it count as well.
        given = store(self._assembly, part, 1, self._budget.battery_temperature, 0.0)
        return given is not None and self._held.drawn(part) >= 0

    def _gives(self, rows: Whole, drawn: Array) -> Array:
        """Return the most that one of each battery leaves for the night, Wh; others in a set only make it less."""
        shelf, cold = self._shelf, self._budget.battery_temperature
        parts = np.zeros(len(shelf.keeps))
        for number in np.unique(shelf.keep[rows]):
            one = shelf.keeps[number]
            given, rated = store(self._assembly, one, 1, cold, 0.0), rated_energy(one)
            parts[number] = given.low / rated if given is not None and rated is not None else 0.0
        gives = shelf.rated[rows] * parts[shelf.keep[rows]]
        lead = shelf.lead[rows] & (drawn > 0)
        if lead.any():
            voltage, charge, hours, exponent = shelf.emptying[:, rows[lead]]
            watts = drawn[lead] / self._held.hours
            gives[lead] *= physics.peukert_share(charge, hours, watts / voltage, exponent)
        return np.asarray(gives * (1 - self._kept))

    def _try(self, picked: Picked, order: tuple[int, ...]) -> None:
        """Keep a set if it lasts, is not what the rig has already, and is better than what was found."""
        if {(part.id, n) for part, n in picked} == self._own or not self._held.lasts(picked, self._kept):
            return
        one = BatterySet(picked, _mass(picked), self._held.of(picked))
        known = self._found.get(one.pieces)
        if known is None or (one.mass, order) < known[:2]:
            self._found[one.pieces] = one.mass, order, one

    def _lightest_of(self, pieces: int) -> float:
        return self._found[pieces][0] if pieces in self._found else inf

    def _of_one_sort(self, rows: _Rows, beside: Picked) -> None:
        """Try sets of one sort of battery; ``beside`` is what goes on to feed together with them."""
        more = sum(count for _, count in beside)
        cold = self._budget.battery_temperature
        given = [store(self._assembly, one, count, cold, 0.0) for one, count in beside]
        extra = sum(one.low for one in given if one is not None) * (1 - self._kept)
        for count in range(1, MOST_PIECES + 1):
            enough = (count * rows.gives + extra) * (1 + _ROUNDING) >= rows.drawn
            for at in np.flatnonzero(enough & (rows.free >= count) & (count * rows.asked <= MOST_ASKED)):
                picked = (*beside, (self._shelf.parts[rows.row[at]], count))
                if _mass(picked) > self._lightest_of(count + more):
                    break
                self._try(picked, (0, int(rows.place[at]), count))

    def _of_two_sorts(self, rows: _Rows, count: int, more: int, hardly: float) -> None:
        """Try sets of so many of one sort and so many of another."""
        for mass, first, second in _pairs(rows, count, more, self._least * hardly):
            if mass > min(self._least * hardly, self._lightest_of(count + more)) * (1 + _ROUNDING):
                break
            (one, n), (other, m) = sorted(((first, count), (second, more)), key=lambda pair: rows.place[pair[0]])
            picked = ((self._shelf.parts[rows.row[one]], n), (self._shelf.parts[rows.row[other]], m))
            self._try(picked, (1, int(rows.place[one]), int(rows.place[other]), n, m))


def _mass(picked: Picked) -> float:
    return sum(count * one.mass.value for one, count in picked if one.mass is not None)


def _pairs(rows: _Rows, count: int, more: int, heaviest: float) -> Iterator[tuple[float, int, int]]:
    """Yield pairs that may last, of so many of a first and a second battery, with their mass in kg, the lightest first.

    Left out is what cannot last even if it gave all that it can, and what is heavier than ``heaviest``. For each first
    battery only the lightest second one is looked up; the next one once that has been yielded.
    """
    firsts = np.flatnonzero(rows.free >= count)
    begun: list[tuple[Array, Whole, Whole, Whole]] = []
    seconds: list[Whole] = []
    needs: list[Array] = []
    for look, asked in sorted(set(zip(rows.look.tolist(), rows.asked.tolist(), strict=True))):
        group = np.flatnonzero((rows.look == look) & (rows.asked == asked) & (rows.free >= more))
        may = firsts[count * rows.asked[firsts] + more * asked <= MOST_ASKED]
        if not len(group) or not len(may):
            continue
        drawn = np.maximum(rows.drawn[may], rows.drawn[group[0]])
        need = drawn * (1 - 2 * _ROUNDING) - count * rows.gives[may]
        at = np.searchsorted(np.maximum.accumulate(more * rows.gives[group]), need)
        there = np.flatnonzero(at < len(group))
        mass = count * rows.mass[may[there]] + more * rows.mass[group[at[there]]]
        light = mass <= heaviest * (1 + _ROUNDING)
        which = np.full(int(light.sum()), len(seconds))
        begun.append((mass[light], may[there][light], which, at[there][light]))
        seconds.append(group)
        needs.append(np.zeros(len(rows.row)))
        needs[-1][may] = need
    if not begun:
        return
    masses, ones, numbers, ats = (np.concatenate(columns) for columns in zip(*begun, strict=True))
    order: Iterator[int] = iter(np.argsort(masses, kind="stable").tolist())
    waiting: list[tuple[float, int, int, int]] = []
    upcoming = next(order, None)
    while waiting or upcoming is not None:
        if upcoming is not None and (not waiting or masses[upcoming] <= waiting[0][0]):
            lightest = float(masses[upcoming]), int(ones[upcoming]), int(numbers[upcoming]), int(ats[upcoming])
            upcoming = next(order, None)
        else:
            lightest = heappop(waiting)
        mass, one, number, at_second = lightest
        group = seconds[number]
        if group[at_second] != one:
            yield mass, one, int(group[at_second])
        later = np.flatnonzero(more * rows.gives[group[at_second + 1 :]] >= needs[number][one])
        if len(later):
            at_second += 1 + int(later[0])
            heavier = float(count * rows.mass[one] + more * rows.mass[group[at_second]])
            heappush(waiting, (heavier, one, number, at_second))
