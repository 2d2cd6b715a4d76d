"""The air of a night: between the months that are stated, never moister than full, and silent where nothing is said."""

import datetime as dt
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.models.guide import Place
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold.need import heat_needs
from rigleaf.chapters.night_out.air import Air, air_at, month_value
from rigleaf.chapters.night_out.chosen import chosen_night
from tests.chapters.small_guide import catalogue, parts, with_place

FIELD: dict[str, Any] = {"latitude": "50 deg", "longitude": "7 deg"}


def air(**field: Any) -> Air | None:
    found = with_place(catalogue(parts(), rig={"place": "field"}), **{**FIELD, **field})
    assembly = Assembly(found, found.rigs["rig"])
    night = chosen_night(assembly)
    assert night is not None
    return air_at(assembly, night, np.linspace(night.start - 7200, night.end + 7200, 50))


def temperatures(**stated: str) -> Any:
    return Place.model_validate({"id": "field", "name": "Field", "night_temperature": stated}).night_temperature


def test_a_place_that_states_no_temperature_has_no_air_and_one_without_humidity_no_dew_point() -> None:
    assert air() is None
    assert air(night_humidity={"May": "80 %"}) is None
    dry = air(night_temperature={"January": "1 degC"})
    assert dry is not None
    assert dry.dew_point is None
    found = with_place(catalogue(parts(), rig={"place": "field"}), **FIELD)
    assert heat_needs(Assembly(found, found.rigs["rig"]), dry) == ()


def test_one_month_speaks_for_all_and_the_year_is_a_ring() -> None:
    one = temperatures(March="5 degC")
    assert {month_value(one, dt.date(2027, month, 3)) for month in range(1, 13)} == {5.0}
    two = temperatures(November="0 degC", February="6 degC")
    assert month_value(two, dt.date(2027, 12, 31)) == pytest.approx(3.0, abs=0.15)
    assert month_value(None, dt.date(2027, 5, 1)) is None


@given(st.integers(5, 100), st.integers(-30, 25))
def test_the_dew_point_never_lies_above_the_air(humidity: int, celsius: int) -> None:
    found = air(night_temperature=[f"{celsius} degC"] * 12, night_humidity=[f"{humidity} %"] * 12)
    assert found is not None
    assert found.dew_point is not None
    assert (found.dew_point <= found.temperature).all()
    assert (np.diff(found.temperature) <= 0).all()
    assert found.temperature.min() >= found.coldest - 1e-9 == celsius - 1e-9


def test_where_the_sun_does_not_rise_the_night_cools_from_noon_to_noon() -> None:
    polar = air(latitude="78 deg", night_temperature=["-15 degC"] * 12, night_humidity=["80 %"] * 12)
    assert polar is not None
    assert np.isfinite(polar.temperature).all()
    assert polar.temperature[0] > polar.temperature[-1] >= -15
