"""Packing against an integer program solved by scipy, turned boxes in space, a known puzzle, and published units."""

import random
from itertools import combinations, permutations, product

import numpy as np
import pytest
from astropy import units as u
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.spatial.transform import Rotation

from rigleaf.chapters.in_the_bag.physics import fill, linear_size, litres, padded_litres
from rigleaf.packing.boxes import Bag, Packing, Piece, Placed, Rules, Sides
from rigleaf.packing.checker import faults_of
from rigleaf.packing.necessary import alone, goes_in_aslant
from rigleaf.packing.search import arrange, pack
from rigleaf.quantities import to_canonical

BARE = Rules(support=0.0, give=0.0, on_fragile=1e9)


def feasible(bag: Sides, boxes: list[Sides]) -> bool:
    """Say by an integer program whether boxes go into a bag along its sides, each in any of six turns.

    The usual model: a corner for each box, one turn of six, and for each pair at least one of six sides on which they
    are apart, with a large number that switches the other five off. Solved by scipy (HiGHS).
    """
    count = len(boxes)
    pairs = list(combinations(range(count), 2))
    size = 3 * count + 6 * count + 6 * len(pairs)
    turns = [list(permutations(box)) for box in boxes]
    rows: list[np.ndarray] = []
    most: list[float] = []

    def extent(row: np.ndarray, box: int, axis: int, sign: float = 1.0) -> None:
        for turn in range(6):
            row[3 * count + 6 * box + turn] += sign * turns[box][turn][axis]

    for box, axis in product(range(count), range(3)):
        row = np.zeros(size)
        row[3 * box + axis] = 1
        extent(row, box, axis)
        rows.append(row)
        most.append(bag[axis])
    for index, (one, other) in enumerate(pairs):
        first = 9 * count + 6 * index
        for axis, (left, right) in product(range(3), ((one, other), (other, one))):
            row = np.zeros(size)
            row[3 * left + axis], row[3 * right + axis] = 1, -1
            extent(row, left, axis)
            row[first + 2 * axis + (left == other)] = bag[axis]
            rows.append(row)
            most.append(bag[axis])
        row = np.zeros(size)
        row[first : first + 6] = -1
        rows.append(row)
        most.append(-1)
    chosen = np.zeros((count, size))
    for box in range(count):
        chosen[box, 3 * count + 6 * box : 3 * count + 6 * box + 6] = 1
    upper = np.ones(size)
    upper[: 3 * count] = np.tile(bag, count)
    solved = milp(
        np.zeros(size),
        constraints=[LinearConstraint(np.array(rows), ub=np.array(most)), LinearConstraint(chosen, 1, 1)],
        bounds=Bounds(np.zeros(size), upper),
        integrality=np.r_[np.zeros(3 * count), np.ones(size - 3 * count)],
    )
    assert solved.status in (0, 2), solved.message
    return bool(solved.status == 0)


def drawn(seed: int) -> tuple[Bag, tuple[Piece, ...], bool]:
    """Return a small bag, some boxes, and what the integer program says of them."""
    rng = random.Random(seed)  # noqa: S311 - nothing here is secret

    def sides(least: int, most: int) -> Sides:
        return float(rng.randint(least, most)), float(rng.randint(least, most)), float(rng.randint(least, most))

    bag = Bag("bag", sides(5, 9))
    boxes = [sides(2, 6) for _ in range(rng.choice((3, 4)))]
    return bag, tuple(Piece("box", box, 0.0) for box in boxes), feasible(bag.inner, boxes)


@pytest.fixture(scope="module")
def cases() -> list[tuple[Bag, tuple[Piece, ...], bool]]:
    return [drawn(seed) for seed in range(60)]


def test_what_the_search_shows_an_integer_program_allows(cases: list[tuple[Bag, tuple[Piece, ...], bool]]) -> None:
    """COMPUTED with scipy's milp: nothing impossible is shown, and of what is possible nearly all is found."""
    possible = sum(can for _, _, can in cases)
    shown = [(pack(bag, pieces, BARE, 600).kind == "shown", can) for bag, pieces, can in cases]
    assert not any(found and not can for found, can in shown)
    assert 15 <= possible <= 45
    assert sum(found for found, _ in shown) >= 0.95 * possible


def test_what_cannot_fit_is_infeasible_for_an_integer_program(
    cases: list[tuple[Bag, tuple[Piece, ...], bool]],
) -> None:
    """COMPUTED with scipy's milp: "cannot" is never said where it finds a way, and is said of most of the rest."""
    cannot = [(pack(bag, pieces, BARE, 600).kind == "cannot", can) for bag, pieces, can in cases]
    assert not any(said and can for said, can in cannot)
    assert sum(said for said, _ in cannot) >= 0.6 * sum(not can for _, can in cannot)


def test_no_turned_box_inside_another_is_called_impossible() -> None:
    """COMPUTED with scipy's rotations: boxes turned at random, in the smallest upright box around their corners.

    The box around a turned box holds it, so that none of the tests for length, thickness, sides and faces may deny it.
    """
    rng = np.random.default_rng(20)
    corners = np.array(list(product((-0.5, 0.5), repeat=3)))
    nearest = dict.fromkeys(range(4), 0.0)
    axes = rng.normal(size=(3000, 3)) * rng.uniform(0, 1, (3000, 1)) ** 4
    for turn in Rotation.from_rotvec(axes):
        sides = np.exp(rng.uniform(0, 4, 3))
        around = np.ptp(turn.apply(corners * sides), axis=0)
        piece = Piece("box", (float(sides[0]), float(sides[1]), float(sides[2])))
        found = alone(Bag("bag", (float(around[0]), float(around[1]), float(around[2]))), piece)
        assert found is None or found.kind == "aslant only"
        for index, (inside, outside) in enumerate(zip(measures(sides), measures(around), strict=True)):
            nearest[index] = max(nearest[index], inside / outside)
    # The tests are sharp: among so many boxes some come within 2 % of each.
    assert all(0.98 < share <= 1 + 1e-12 for share in nearest.values())


def measures(sides: np.ndarray) -> tuple[float, float, float, float]:
    """Diagonal, smallest side, sum of the sides and surface of a box, by their definitions."""
    a, b, c = sides
    return float(np.linalg.norm(sides)), float(sides.min()), float(sides.sum()), float(2 * (a * b + b * c + c * a))


def test_how_far_a_rectangle_goes_in_aslant_by_turning_it() -> None:
    """COMPUTED: a rectangle turned through ten thousand angles, its bounding box compared with the room."""
    rng = np.random.default_rng(3)
    angles = np.linspace(0, np.pi / 2, 10_001)
    for _ in range(300):
        p, q, width, height = rng.uniform(1, 10, 4)
        across, up = p * np.cos(angles) + q * np.sin(angles), p * np.sin(angles) + q * np.cos(angles)
        turned = bool(((across <= width) & (up <= height)).any())
        closest = float(np.maximum(across / width, up / height).min())
        if abs(closest - 1) > 1e-4:
            assert goes_in_aslant((p, q), (width, height)) == turned, (p, q, width, height)


def dissection(a: float, b: float, c: float) -> list[Placed]:
    """Return 27 bricks a x b x c in a cube of side a + b + c: in every row a, b and c each occur once (found here)."""
    turns: list[Sides] = [(x, y, z) for x, y, z in permutations((a, b, c))]
    cells = [(i, j, k) for i, j, k in product(range(3), repeat=3)]
    grid: dict[tuple[int, int, int], Sides] = {}
    placed: list[Placed] = []

    def row(cell: tuple[int, int, int], axis: int) -> list[float]:
        same = [other for other in (0, 1, 2) if other != axis]
        return [grid[one][axis] for one in cells if one[axis] < cell[axis] and all(one[i] == cell[i] for i in same)]

    def further(rest: list[tuple[int, int, int]]) -> bool:
        if not rest:
            return True
        cell = rest[0]
        rows = [row(cell, axis) for axis in range(3)]
        corner = (sum(rows[0]), sum(rows[1]), sum(rows[2]))
        for turn in turns:
            if any(turn[axis] in rows[axis] for axis in range(3)):
                continue
            if all(
                any(corner[i] + turn[i] <= one.corner[i] or one.corner[i] + one.sides[i] <= corner[i] for i in range(3))
                for one in placed
            ):
                grid[cell] = turn
                placed.append(Placed(len(placed), corner, turn))
                if further(rest[1:]):
                    return True
                placed.pop()
                del grid[cell]
        return False

    assert further(cells)
    return sorted(placed, key=lambda one: one.corner[2])


def test_the_checker_accepts_the_dissection_of_a_cube_and_refuses_every_shift_of_a_brick() -> None:
    """Twenty-seven equal bricks in a cube, a known puzzle (MEMORY: D. G. Hoffman's; solution COMPUTED here).

    It holds while the smallest side is more than a quarter of the edge: 4, 5 and 6 in 15. The bricks take 96 %.
    """
    placed = dissection(4.0, 5.0, 6.0)
    pieces = tuple(Piece("brick", (4.0, 5.0, 6.0)) for _ in range(27))
    bag = Bag("cube", (15.0, 15.0, 15.0))
    assert sum(piece.volume for piece in pieces) / bag.volume == pytest.approx(0.96)
    assert faults_of(bag, pieces, Packing(tuple(placed)), BARE) == []
    for index, axis in product(range(27), range(3)):
        for step in (-1.2, 1.2):
            corner = list(placed[index].corner)
            corner[axis] += step
            moved = Placed(placed[index].piece, (corner[0], corner[1], corner[2]), placed[index].sides)
            faults = faults_of(bag, pieces, Packing((*placed[:index], moved, *placed[index + 1 :])), BARE)
            assert any("overlap" in fault or "sticks out" in fault for fault in faults)


def test_volumes_and_fill_in_litres_and_gallons() -> None:
    """COMPUTED with astropy: 8 x 6 x 4 in is 192 cubic inches. MEMORY (NIST Handbook 44): 231 are 3.785411784 l."""
    inch = to_canonical(1.0, "in", "length")
    assert litres(8 * inch, 6 * inch, 4 * inch) == pytest.approx((192 * u.imperial.inch**3).to_value(u.l), rel=1e-12)
    gallon = litres(231 * inch, inch, inch)
    assert gallon == pytest.approx(3.785411784, rel=1e-12)
    # Half an inch of padding all around makes 9 x 7 x 5 of it, 315 cubic inches.
    padded = padded_litres(8 * inch, 6 * inch, 4 * inch, inch / 2)
    assert padded == pytest.approx((315 * u.imperial.inch**3).to_value(u.l), rel=1e-12)
    assert fill(padded, gallon) == pytest.approx(315 / 231, rel=1e-9)


def test_the_usual_limit_of_sixty_two_inches_is_1575_mm() -> None:
    """Common practice of airlines, 62 in or 158 cm for checked bags (MEMORY); COMPUTED with astropy."""
    inch = to_canonical(1.0, "in", "length")
    assert linear_size(30 * inch, 20 * inch, 12 * inch) == pytest.approx(
        (62 * u.imperial.inch).to_value(u.mm), rel=1e-12
    )
    assert linear_size(30 * inch, 20 * inch, 12 * inch) == pytest.approx(1574.8, abs=1e-9)


@pytest.mark.parametrize(("sides", "most"), [((180.0, 180.0, 180.0), 3), ((280.0, 180.0, 105.0), 5)])
def test_boxes_that_go_in_by_volume_but_not_in_space(sides: Sides, most: int) -> None:
    """COMPUTED by an exact constraint solver, as a table of such cases has it (READ): three of four cubes go into a
    cabin bag of 550 x 350 x 200 mm, though four would fill 61 % of it; five of seven slabs, though seven fill 96 %.
    """
    bag = Bag("cabin", (550.0, 350.0, 200.0))
    pieces = tuple(Piece(f"box-{number}", sides) for number in range(most + 1))
    assert sum(piece.volume for piece in pieces) < bag.volume
    assert pack(bag, pieces[:most], Rules(), 3000).kind == "shown"
    assert pack(bag, pieces, Rules(), 3000).kind != "shown"
    if most == 3:  # for the slabs it takes long
        assert feasible(bag.inner, [sides] * most)
        assert not feasible(bag.inner, [sides] * (most + 1))


def test_a_published_container_is_loaded_as_well_as_by_plain_programs() -> None:
    """Problem 1 of Bischoff and Ratcliff's set thpack1 in the OR-Library, READ as others quote it: 112 boxes of three
    sorts for a container of 587 x 233 x 220, 98.83 % of its volume, the first sort kept upright; the second, which only
    two of its sides may stand on, may here stand on any. Specialised programs load 94 %, plain ones 82 %.
    """
    container = Bag("container", (587.0, 233.0, 220.0))
    sorts = [((108.0, 76.0, 30.0), 40, True), ((110.0, 43.0, 25.0), 33, False), ((92.0, 81.0, 55.0), 39, False)]
    pieces = tuple(
        Piece(f"{number}-{one}", sides, upright=upright)
        for number, (sides, count, upright) in enumerate(sorts)
        for one in range(count)
    )
    assert sum(piece.volume for piece in pieces) / container.volume == pytest.approx(0.9883, abs=5e-5)
    found = arrange((container,), pieces, (((0,),),) * len(pieces), Rules(), 600)
    (packing,) = found.packings
    assert faults_of(container, pieces, packing, Rules()) == []
    assert sum(pieces[number].volume for number in packing.pieces) / container.volume > 0.81
