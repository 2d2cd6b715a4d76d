"""Rows of the shelf: they find what going through all parts finds, ask fewer of them, and note nothing as read."""

from collections.abc import Callable
from dataclasses import replace
from math import inf, isnan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.cameras import Camera
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.power import Battery
from rigleaf.catalogue.models.train import Filter, FocuserMotor
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.at_the_airport import remedies
from rigleaf.chapters.at_the_airport.flight import flight_of
from rigleaf.chapters.at_the_airport.loose import groups_of
from rigleaf.chapters.at_the_airport.study import study
from rigleaf.chapters.image_train.joints import difference, filters, nearest_filter, same_size
from rigleaf.chapters.shelf import aside, row_of
from rigleaf.chapters.tracing import Tracer
from rigleaf.rules.answers import Among, Answer
from rigleaf.rules.articles import Article, articles_of
from tests.chapters import test_at_the_airport as airport
from tests.chapters.small_guide import Data, catalogue, parts

steps = st.lists(st.one_of(st.none(), st.sampled_from([0.5, 1.0, 2.0, 4.0, 8.0])), min_size=1, max_size=12)


def with_motors(given_steps: list[float | None]) -> Catalogue:
    made: dict[str, Data | None] = {
        f"m{number}": {"kind": "focuser-motor", "name": "Motor", "step": None if one is None else f"{one} um"}
        for number, one in enumerate(given_steps)
    }
    return catalogue(parts(**made))


def step_of(motor: FocuserMotor) -> float | None:
    return motor.step.value if motor.step is not None else None


@settings(deadline=None)
@given(steps, st.floats(0.0, 9.0))
def test_the_first_of_a_row_is_the_one_that_going_through_all_finds(
    some: list[float | None], most: float
) -> None:  # fmt: skip
    guide = with_motors(some)
    assembly = Assembly(guide, guide.rigs["rig"])
    row = row_of(guide, FocuserMotor, lambda one: one.id, {"step": step_of})
    asked: list[str] = []

    def fine(motor: FocuserMotor) -> bool:
        asked.append(motor.id)
        return (step_of(motor) or inf) <= most

    all_of = [one for one in guide.of_kind(FocuserMotor) if fine(one)]
    asked.clear()
    nearest = min(all_of, key=lambda one: (abs((step_of(one) or inf) - 3.0), one.id), default=None)
    steps_there = row.numbers["step"]
    assert row.first(assembly, fine, steps_there <= most, np.abs(steps_there - 3.0)) is nearest
    assert row.first(assembly, fine, steps_there <= most) is min(all_of, key=lambda one: one.id, default=None)
    # The rig's own motor, and one more.
    assert len(asked) <= 4
    assert [isnan(one) for one in steps_there] == [step_of(one) is None for one in row.parts]


def test_what_is_found_out_for_all_rigs_is_noted_of_none() -> None:
    guide = with_motors([1.0, 2.0])
    tracer = Tracer(guide)
    noted, copies = tracer._noted, tracer._copy
    noted.clear()
    row_of(copies, FocuserMotor, lambda one: one.id, {"step": step_of})
    assert not noted
    camera = copies.parts["camera"]
    assert isinstance(camera, Camera)
    assert camera.sensor is not None
    assert aside(camera).sensor.pixel is not None
    assert not noted
    assert camera.sensor.pixel is not None
    assert noted


SIZES = ["2 in", "36 mm"]
bands = st.lists(st.tuples(st.sampled_from([500, 656, 672]), st.sampled_from([None, 3, 7])), max_size=2)
some_filters = st.lists(st.tuples(bands, st.sampled_from([*SIZES, None]), st.integers(0, 2)), min_size=1, max_size=10)


@settings(deadline=None)
@given(some_filters, st.sampled_from(SIZES), st.sampled_from([10.0, 100.0, inf]))
def test_the_filter_most_alike_is_the_one_that_comparing_with_all_finds(
    some: list[tuple[list[tuple[int, int | None]], str | None, int]], size: str, farthest: float
) -> None:
    made: dict[str, Data | None] = {
        f"f{number}": {
            "kind": "filter", "name": "Filter", "mount_size": mounted, "owned": owned,
            "bands": [{"centre": f"{at} nm", **({"width": f"{wide} nm"} if wide else {})} for at, wide in passed]
            or None,
        }
        for number, (passed, mounted, owned) in enumerate(some)
    }  # fmt: skip
    guide = catalogue(parts(**made), rig={"carried": ["f0"]})
    mine = guide.parts["f0"]
    assert isinstance(mine, Filter)
    fit = [
        (difference(mine, one), one.id, one) for one in guide.of_kind(Filter)
        if one.owned != 0 and same_size(one.mount_size, size) and difference(mine, one) <= farthest
    ]  # fmt: skip
    everything = np.ones(len(guide.once(filters).parts), dtype=bool)
    found = nearest_filter(
        Assembly(guide, guide.rigs["rig"]), mine, size, everything, farthest=farthest
    )  # fmt: skip
    assert found is (min(fit, key=lambda one: one[:2])[2] if fit else None)


def a_shelf_of_banks(count: int) -> dict[str, Data]:
    chance = np.random.default_rng(count)
    return {
        f"bank{number:03}": {
            "kind": "battery", "name": f"Bank {number}", "outlets": airport.BARREL, "owned": 1 + number % 3,
            "chemistry": ["lifepo4", "lithium-ion", "sealed lead-acid"][number % 3],
            "marked_energy": f"{round(float(chance.uniform(20, 900)), 1)} Wh", "installed": False, "mass": "1 kg",
        }
        for number in range(count)
    }  # fmt: skip


@pytest.mark.parametrize("travels", ["hand luggage", "hold luggage"])
def test_the_battery_that_may_fly_instead_is_the_one_that_asking_about_all_finds(travels: str) -> None:
    guide = airport.guide("large", travels=travels, shelf=a_shelf_of_banks(40))
    assembly = Assembly(guide, guide.rigs["rig"])
    flight = flight_of(assembly)
    assert flight is not None
    (answer,) = (one for one in flight.answers() if one.article.part == "large")
    instead = flight.in_place_of(answer.article)
    others = [
        (one, articles_of(one)[0]) for one in guide.of_kind(Battery)
        if one.id != "large" and one.outlets and one.owned
    ]  # fmt: skip
    flying = [(one, article) for one, article in others if instead(article).word == "may fly"]
    best = max(flying, key=lambda pair: pair[1].energy.most or 0)[0]  # the first of equals
    assert remedies.remedy(assembly, flight, [answer])[1] == (best.id,)
    # What holds for one of a group holds for all of it.
    for group in groups_of(guide):
        assert len({instead(article).word for _, (_, article) in group.members}) == 1


def test_a_longer_shelf_does_not_let_more_articles_be_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    judged: list[Article] = []
    answer: Callable[[Among, Article], Answer] = Among.answer

    def noted(self: Among, article: Article) -> Answer:
        judged.append(article)
        return answer(self, article)

    monkeypatch.setattr(Among, "answer", noted)
    for many in (50, 500):
        guide = airport.guide("large", shelf=a_shelf_of_banks(many))
        guide = replace(guide, parts={**guide.parts, "last": KINDS["battery"].model.model_validate(
            {"id": "last", **airport.SHELF["small"]})})  # fmt: skip
        judged.clear()
        study(Assembly(guide, guide.rigs["rig"]))
        assert 0 < len(judged) < 15
