"""What holds for every journey: nothing barred in the hold, numbers for each person kept, more rules never milder."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.journeys.bags import bags_of
from rigleaf.journeys.cargo import cargo_of
from rigleaf.journeys.choosing import Plan
from rigleaf.journeys.flights import flights_of
from rigleaf.journeys.trials import Tried, tried
from rigleaf.rules.articles import LOOSE
from rigleaf.rules.rulings import STRICTNESS
from tests.journeys.small_trip import BAGS_FOR_TWO, LEG, TWO, Data, catalogue, extras

ONE_WITH_BOTH = [{**bag, "traveller": "one"} for bag in BAGS_FOR_TWO]
NUMBERS = st.fixed_dictionaries(
    {
        "bank_90": st.integers(0, 4),
        "bank_150": st.integers(0, 3),
        "bank_500": st.integers(0, 1),
        "cell": st.integers(0, 4),
        "keys": st.integers(0, 1),
    }
)
CARRIERS = st.sampled_from(["plain", "strict"])


def go(found: Catalogue) -> Tried:
    """Stow and judge the one journey, without all that its page shows besides."""
    trip = found.trips["trip"]
    people = tuple(sorted(one.id for one in trip.travellers))
    plan = Plan(found.guide, people, cargo_of(found, trip), bags_of(found, trip), flights_of(found, trip), steps=60)
    return tried(plan)


def journey(numbers: dict[str, int], carrier: str, states: tuple[str, ...] = ("DE", "NA"), *, two: bool) -> Tried:
    trip: Data = {
        "rigs": [],
        "extras": extras(tube=1, **{id_: count for id_, count in numbers.items() if count}),
        "travellers": TWO if two else TWO[:1],
        "bags": BAGS_FOR_TWO if two else ONE_WITH_BOTH,
        "legs": [{**LEG, "carrier": carrier, "states": list(states)}],
    }
    return go(catalogue(trip))


@settings(max_examples=40, deadline=None)
@given(numbers=NUMBERS, carrier=CARRIERS, two=st.booleans())
def test_what_goes_along_may_go_where_it_is(numbers: dict[str, int], carrier: str, two: bool) -> None:
    found = journey(numbers, carrier, two=two)
    assert found.judged is not None
    assert found.judged.rest != "stays home"
    for one in found.judged.ruled:
        if one.article.sort in LOOSE and one.article.cells == "lithium-ion":
            assert one.spot != "hold"


@settings(max_examples=40, deadline=None)
@given(numbers=NUMBERS, carrier=CARRIERS, two=st.booleans())
def test_numbers_for_each_person_are_kept(numbers: dict[str, int], carrier: str, two: bool) -> None:
    found = journey(numbers, carrier, two=two)
    assert found.judged is not None
    for who in found.stowed.plan.people:
        banks = sum(
            one.article.count for one in found.judged.ruled if one.article.sort == "power bank" and one.traveller == who
        )
        assert banks <= (1 if carrier == "strict" else 2)


@settings(max_examples=40, deadline=None)
@given(numbers=NUMBERS, carrier=CARRIERS, two=st.booleans())
def test_every_piece_is_somewhere_once(numbers: dict[str, int], carrier: str, two: bool) -> None:
    stowed = journey(numbers, carrier, two=two).stowed
    for load in stowed.plan.cargo.loads:
        along = sum(piece.count for piece in stowed.pieces if piece.part.id == load.part.id)
        assert along + sum(one.count for one in stowed.left if one.part.id == load.part.id) == load.count


@settings(max_examples=30, deadline=None)
@given(numbers=NUMBERS, carrier=CARRIERS)
def test_sharing_with_a_second_person_never_makes_it_worse(numbers: dict[str, int], carrier: str) -> None:
    alone, shared = (journey(numbers, carrier, two=two) for two in (False, True))
    assert alone.judged is not None
    assert shared.judged is not None
    assert STRICTNESS[shared.judged.word] <= STRICTNESS[alone.judged.word]
    assert sum(one.count for one in shared.stowed.left) <= sum(one.count for one in alone.stowed.left)


@settings(max_examples=30, deadline=None)
@given(
    numbers=NUMBERS,
    two=st.booleans(),
    more=st.lists(st.sampled_from(["US", "GB", "CN", "JP", "KR", "AU"]), min_size=1, max_size=3, unique=True),
)
def test_more_states_or_carriers_never_make_it_milder(numbers: dict[str, int], two: bool, more: list[str]) -> None:
    few = journey(numbers, "plain", two=two)
    many = journey(numbers, "plain", ("DE", "NA", *more), two=two)
    assert few.judged is not None
    assert many.judged is not None
    assert STRICTNESS[many.judged.word] >= STRICTNESS[few.judged.word]
    flights = few.stowed.plan.flights
    strict = journey(numbers, "strict", two=two)
    assert flights is not None
    assert strict.judged is not None
    assert STRICTNESS[strict.judged.word] >= STRICTNESS[few.judged.word]


def test_the_same_plan_is_always_stowed_the_same() -> None:
    one, other = (journey({"bank_90": 3, "cell": 2}, "plain", two=True).stowed for _ in range(2))
    assert [replace(piece) for piece in one.pieces] == list(other.pieces)
