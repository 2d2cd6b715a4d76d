"""Searching the shelf: chains that join two sides, fillings that hit a length, and what to buy."""

from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.models.connections import Connection, read_connection
from rigleaf.chapters.image_train.mating import mates
from rigleaf.chapters.image_train.solver import (
    MOST_PIECES,
    TO_BUY,
    Filling,
    Gap,
    Ring,
    Shim,
    bridge,
    fill,
    missing_length,
)
from rigleaf.chapters.image_train.walks import Search, SearchLimitError

MALE = {size: read_connection(f"M{size} x 0.75 male") for size in (42, 48, 54, 63)}
FEMALE = {size: read_connection(f"M{size} x 0.75 female") for size in (42, 48, 54, 63)}
M63 = read_connection("M63 x 1 male")


def ring(id_: str, length: float, front: int = 54, rear: int | None = None, count: int = 1, **more: float) -> Ring:
    return Ring(id_, length, None, FEMALE[front], MALE[front if rear is None else rear], count, **more)


GAP = Gap(MALE[54], FEMALE[54])
STEP = Gap(MALE[54], FEMALE[48])


# --- Brute force -------------------------------------------------------------------------------------------


def joints_mate(gap: Gap, rings: list[Ring]) -> bool:
    assert gap.rear_of_previous is not None
    side: Connection = gap.rear_of_previous
    for one in rings:
        if not mates(side, one.front):
            return False
        side = one.rear
    return mates(side, gap.front_of_next)


def shim_fits(gap: Gap, rings: list[Ring], shim: Shim) -> bool:
    return any(side is not None and side.diameter == shim.diameter
               for side in (gap.rear_of_previous, *(one.rear for one in rings)))  # fmt: skip


def every_filling(
    gaps: list[Gap], target: float, tolerance: float, rings: list[Ring], shims: list[Shim], most: int
) -> tuple[int, float] | None:
    """Fewest pieces and least error, by trying every sequence of rings with every cut into gaps."""
    best: tuple[int, float] | None = None
    for many in range(most + 1):
        for thin in range(most - many + 1):
            for chosen in product(rings, repeat=many):
                if any(chosen.count(one) > one.count for one in chosen):
                    continue
                for cuts in product(range(many + 1), repeat=len(gaps) - 1):
                    ends = [0, *cuts, many]
                    if ends != sorted(ends):
                        continue
                    parts = [list(chosen[a:b]) for a, b in pairwise(ends)]
                    if not all(joints_mate(gap, part) for gap, part in zip(gaps, parts, strict=True)):
                        continue
                    for laid in product(shims, repeat=thin):
                        if any(laid.count(one) > one.count for one in laid) or not all(
                            any(shim_fits(gap, part, one) for gap, part in zip(gaps, parts, strict=True))
                            for one in laid
                        ):
                            continue
                        low = sum(one.reach[0] for one in chosen) + sum(one.thickness for one in laid)
                        high = low + sum(one.reach[1] - one.reach[0] for one in chosen)
                        error = max(low - target, target - high, 0.0)
                        if error <= tolerance + 1e-6:
                            found = (many + thin, round(error, 4))
                            best = found if best is None else min(best, found)
    return best


def assert_sound(
    found: Filling, gaps: list[Gap], target: float, tolerance: float, rings: list[Ring], shims: list[Shim]
) -> None:
    """Every joint mates, lengths add up within the tolerance, and no more is used than there is."""
    by_id, thin = {one.id: one for one in rings}, {one.id: one for one in shims}
    settings = list(found.settings)
    total, used = 0.0, []
    for gap, filled in zip(gaps, found.gaps, strict=True):
        chain = [by_id[id_] for id_ in filled.rings]
        assert joints_mate(gap, chain)
        assert all(shim_fits(gap, chain, thin[id_]) for id_ in filled.shims)
        for one in chain:
            length = one.length
            if one.shortest is not None:
                id_, length = settings.pop(0)
                assert id_ == one.id
                assert one.reach[0] - 1e-9 <= length <= one.reach[1] + 1e-9  # sums of decimal lengths
            total += length
        total += sum(thin[id_].thickness for id_ in filled.shims)
        used += [*filled.rings, *filled.shims]
    assert not settings
    assert all(used.count(id_) <= (by_id | thin)[id_].count for id_ in used)
    assert found.pieces == len(used)
    assert found.length == pytest.approx(total, abs=1e-6)
    assert found.error == pytest.approx(total - target, abs=1e-6)
    assert abs(found.error) <= tolerance + 1e-6


sizes = st.sampled_from([42, 48, 54])
tenths = st.integers(1, 200).map(lambda n: n / 10)


@st.composite
def small_shelves(draw: st.DrawFn) -> tuple[list[Gap], list[Ring], list[Shim]]:
    rings = []
    for index in range(draw(st.integers(0, 4))):
        length, front, rear = draw(tenths), draw(sizes), draw(sizes)
        more = {}
        if draw(st.integers(0, 4)) == 0:
            more = {"shortest": length, "longest": length + draw(tenths)}
        rings.append(ring(f"r{index}", length, front, rear, draw(st.integers(1, 2)), **more))
    shims = [Shim(f"s{i}", draw(st.integers(1, 10)) / 10, draw(sizes), draw(st.integers(1, 2)))
             for i in range(draw(st.integers(0, 2)))]  # fmt: skip
    gaps = [Gap(MALE[draw(sizes)], FEMALE[draw(sizes)]) for _ in range(draw(st.integers(1, 2)))]
    return gaps, rings, shims


@given(small_shelves(), st.integers(0, 400).map(lambda n: n / 10), st.sampled_from([0.0, 0.3, 1.5, 6.0]))
def test_the_search_finds_what_trying_everything_finds(
    shelf: tuple[list[Gap], list[Ring], list[Shim]], target: float, tolerance: float
) -> None:
    gaps, rings, shims = shelf
    found = fill(gaps, target, tolerance, rings, shims, most_pieces=3)
    expected = every_filling(gaps, target, tolerance, rings, shims, 3)
    assert (found is None) == (expected is None)
    if found is not None and expected is not None:
        assert (found.pieces, abs(found.error)) == pytest.approx(expected, abs=1e-4)
        assert_sound(found, gaps, target, tolerance, rings, shims)
        assert fill(gaps, target, tolerance, rings[::-1], shims[::-1], most_pieces=3) == found


@given(small_shelves(), tenths, tenths)
def test_a_spacer_of_some_length_moves_the_stack_by_that_length(
    shelf: tuple[list[Gap], list[Ring], list[Shim]], target: float, spacer: float
) -> None:
    gaps, rings, shims = shelf
    found = fill(gaps, target, 0.5, rings, shims)
    if found is None:
        return
    # The spacer has a gap and a thread of its own, so that nothing can take its place.
    m63 = read_connection("M63 x 1 female")
    extra = Ring("extra", spacer, None, m63, M63)
    longer = fill([*gaps, Gap(M63, m63)], found.length + spacer, 0.0, [*rings, extra], shims, found.pieces + 1)
    assert longer is not None
    assert longer.length - found.length == pytest.approx(spacer, abs=1e-6)


# --- Chains ------------------------------------------------------------------------------------------------


def test_chains_of_the_fewest_rings_come_shortest_first() -> None:
    shelf = [ring("b", 6.0, 54, 48), ring("a", 6.0, 54, 48), ring("short", 2.0, 54, 48), ring("on", 9.0, 48, 42)]
    assert [[one.id for one in chain.rings] for chain in bridge(MALE[54], FEMALE[48], shelf)] == [
        ["short"],
        ["a"],
        ["b"],
    ]
    two = bridge(MALE[54], FEMALE[42], shelf)
    assert [([one.id for one in chain.rings], chain.length) for chain in two] == [
        (["short", "on"], 11.0), (["a", "on"], 15.0), (["b", "on"], 15.0),
    ]  # fmt: skip
    assert bridge(MALE[54], FEMALE[42], shelf, most=1) == ()
    (none_needed,) = bridge(MALE[54], FEMALE[54], shelf)
    assert none_needed.rings == ()
    assert none_needed.length == 0


def test_two_males_want_a_coupling_and_each_ring_is_there_once() -> None:
    coupling = Ring("coupling", 3.0, None, FEMALE[48], FEMALE[48])
    assert [chain.rings for chain in bridge(MALE[48], MALE[48], [coupling, ring("spacer", 5.0, 48)])] == [(coupling,)]
    assert bridge(MALE[48], FEMALE[42], [Ring("odd", 1.0, None, FEMALE[48], MALE[48])]) == ()


# --- Fillings ----------------------------------------------------------------------------------------------


def test_fewest_pieces_come_before_the_best_fit_and_that_before_names() -> None:
    shelf = [ring("five", 5.0, count=2), ring("ten", 10.3), ring("also", 10.3)]
    found = fill([GAP], 10.0, 0.5, shelf)
    assert found is not None
    assert found.gaps[0].rings == ("also",)
    assert found.error == pytest.approx(0.3)
    exact = fill([GAP], 10.0, 0.1, shelf)
    assert exact is not None
    assert exact.gaps[0].rings == ("five", "five")
    assert fill([GAP], 10.0, 0.1, [ring("five", 5.0, count=1)]) is None
    assert fill([GAP], 30.0, 0.1, [ring("five", 5.0, count=9)], most_pieces=5) is None


def test_nothing_is_needed_where_nothing_is_missing() -> None:
    found = fill([GAP, GAP], 0.2, 0.5, [ring("five", 5.0)])
    assert found is not None
    assert (found.pieces, found.length) == (0, 0.0)
    assert found.error == pytest.approx(-0.2)
    assert fill([GAP], -3.0, 0.5, [ring("five", 5.0)]) is None
    assert fill([STEP], 0.0, 0.5, [ring("five", 5.0)]) is None  # the joint itself does not mate


def test_an_adjustable_ring_is_set_to_what_is_missing() -> None:
    found = fill([GAP], 22.7, 0.1, [ring("screw", 18.0, shortest=16.0, longest=20.0), ring("five", 5.0)])
    assert found is not None
    assert found.error == pytest.approx(0.0)
    assert found.settings == (("screw", 17.7),)


def test_a_gap_with_an_unsaid_side_stays_as_it_is() -> None:
    unsaid = Gap(MALE[54], None)
    assert fill([unsaid], 5.0, 0.1, [ring("five", 5.0)]) is None
    found = fill([unsaid, GAP], 5.0, 0.1, [ring("five", 5.0)])
    assert found is not None
    assert [gap.rings for gap in found.gaps] == [(), ("five",)]


def test_a_narrow_ring_is_not_put_where_the_light_needs_more() -> None:
    narrow, wide = ring("narrow", 5.0, clear_aperture=38.0), ring("wide", 5.0, clear_aperture=52.0)
    for needed, expected in ((30.0, "narrow"), (45.0, "wide"), (60.0, None)):
        found = fill([Gap(MALE[54], FEMALE[54], needed)], 5.0, 0.1, [narrow, wide])
        assert (found.gaps[0].rings[0] if found else None) == expected
    both = fill([Gap(MALE[54], FEMALE[54], 45.0), GAP], 10.0, 0.1, [narrow, wide])
    assert both is not None
    assert [gap.rings for gap in both.gaps] == [("wide",), ("narrow",)]


def test_shims_lie_only_on_their_own_thread() -> None:
    shims = [Shim("thin", 0.5, 48.0, 2)]
    assert fill([GAP], 0.5, 0.1, [], shims) is None
    found = fill([STEP], 8.5, 0.1, [ring("step", 8.0, 54, 48)], shims)
    assert found is not None
    assert found.gaps[0].shims == ("thin",)


# --- What to buy -------------------------------------------------------------------------------------------


def test_one_spacer_to_buy() -> None:
    shelf = [ring("step", 8.5, 54, 48)]
    assert fill([STEP], 20.04, 0.1, shelf) is None
    bought = missing_length([STEP], 20.04, 0.1, shelf)
    assert bought is not None
    assert (bought.gap, bought.front, bought.rear) == (0, FEMALE[54], MALE[54])  # the wider of the two places
    assert (bought.length, bought.shortest, bought.longest) == (11.5, 11.44, 11.64)
    assert bought.filling.gaps[0].rings == (TO_BUY, "step")
    exact = missing_length([STEP], 20.04, 0.01, shelf)
    assert exact is not None
    assert exact.length == 11.54


def test_an_adapter_to_buy_where_the_shelf_has_none() -> None:
    bought = missing_length([GAP, STEP], 12.0, 0.1, [ring("five", 5.0)])
    assert bought is not None
    assert (bought.gap, bought.front, bought.rear, bought.length) == (1, FEMALE[54], MALE[48], 12.0)


def test_the_shelf_makes_up_what_no_ring_is_long_enough_for() -> None:
    bought = missing_length([GAP], 70.0, 0.1, [ring("thirty", 30.0)])
    assert bought is not None
    assert bought.length == 40.0
    assert bought.filling.pieces == 2


def test_nothing_to_buy_helps() -> None:
    assert missing_length([GAP], -4.0, 0.1, [ring("five", 5.0)]) is None  # too long already
    assert missing_length([STEP, STEP], 20.0, 0.1, []) is None  # two gaps cannot be bridged
    assert missing_length([Gap(None, FEMALE[54])], 20.0, 0.1, []) is None


@given(small_shelves(), st.integers(0, 600).map(lambda n: n / 10))
def test_what_is_bought_makes_it_fit(shelf: tuple[list[Gap], list[Ring], list[Shim]], target: float) -> None:
    gaps, rings, shims = shelf
    if fill(gaps, target, 0.1, rings, shims, most_pieces=4) is not None:
        return
    bought = missing_length(gaps, target, 0.1, rings, shims, most_pieces=4)
    if bought is not None:
        new = Ring("new", bought.length, None, bought.front, bought.rear)
        found = fill(gaps, target, 0.1, [*rings, new], shims, most_pieces=4)
        assert found is not None
        assert_sound(found, gaps, target, 0.1, [*rings, new], shims)


# --- Speed -------------------------------------------------------------------------------------------------


def test_a_club_s_shelf_is_searched_at_once() -> None:
    shelf = [ring(f"s{size}-{n}", n + (0.5 if n > 15 else 0), size, count=3)
             for size in (42, 48, 54) for n in (4, 5, 8, 10, 15, 16, 20, 21, 25, 30)]  # fmt: skip
    shelf += [ring(f"a{front}-{rear}", 3.0 + abs(front - rear), front, rear, 2)
              for front in (42, 48, 54) for rear in (42, 48, 54) if front != rear]  # fmt: skip
    shims = [Shim(f"t{size}-{n}", n / 10, float(size), 8) for size in (42, 48, 54) for n in (2, 5)]
    gaps = [GAP, STEP, Gap(MALE[48], FEMALE[42])]
    assert len(shelf) + len(shims) > 40
    search = Search(gaps, 83.33, 0.01, shelf, shims)  # nothing fits to a hundredth: the worst case
    assert search.run(MOST_PIECES) is None
    assert search.steps < 20_000


def test_a_shelf_beyond_all_bounds_is_given_up_and_not_waited_for() -> None:
    sizes = (42, 48, 54, 63)
    shelf = [ring(f"s{size}-{n}", n + n / 50, size, count=3) for size in sizes for n in (4, 5, 8, 10, 15)]
    shelf += [ring(f"a{front}-{rear}-{n}", 3.0 + abs(front - rear) + n, front, rear, 2)
              for front in sizes for rear in sizes if front != rear for n in range(3)]  # fmt: skip
    shims = [Shim(f"t{size}-{n}", n / 10, float(size), 4) for size in sizes for n in (2, 5, 7)]
    with pytest.raises(SearchLimitError):
        fill([GAP, STEP, Gap(MALE[48], FEMALE[42])], 83.337, 0.0004, shelf, shims)
