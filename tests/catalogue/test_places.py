"""Places and the guide's year: months in lists and mappings, time zones, and a year that never is today's."""

from typing import Any

import pytest

from rigleaf.catalogue.defaults import YEAR, year_of
from rigleaf.catalogue.models.guide import Guide, Place
from rigleaf.catalogue.models.place_fields import MONTHS


def place(**stated: Any) -> Place:
    return Place.model_validate({"id": "field", "name": "Field", **stated})


def test_months_may_be_a_list_of_twelve() -> None:
    found = place(night_temperature=[f"{month - 6} degC" for month in range(12)]).night_temperature
    assert found is not None
    assert [reading.value if reading else None for reading in found] == list(range(-6, 6))


def test_months_may_be_named_in_full_or_by_three_letters() -> None:
    found = place(night_humidity={"january": "80 %", "Dec": "90 %", "may": "70 %"}).night_humidity
    assert found is not None
    values = {MONTHS[index]: reading.value for index, reading in enumerate(found) if reading}
    assert values == pytest.approx({"January": 0.8, "May": 0.7, "December": 0.9})
    assert len(found) == 12


def test_temperatures_may_be_in_fahrenheit() -> None:
    found = place(night_temperature={"July": "50 degF"}).night_temperature
    assert found is not None
    assert found[6] is not None
    assert found[6].value == pytest.approx(10.0)


@pytest.mark.parametrize("zone", ["Europe/Berlin", "Pacific/Kiritimati", "America/Argentina/Buenos_Aires", "UTC"])
def test_time_zones_are_known_by_name(zone: str) -> None:
    assert place(timezone=f" {zone} ").timezone == zone


def test_a_skyline_is_flat_unless_stated() -> None:
    assert place().horizon == ()
    (point,) = place(horizon=[{"azimuth": "90 deg", "altitude": "-1 deg"}]).horizon
    assert (point.azimuth.value, point.altitude.value) == (90.0, -1.0)


@pytest.mark.parametrize(
    ("stated", "epoch", "year"),
    [
        (2031, "1767225600", 2031),
        (None, "1767225600", 2026),
        (None, "1767225599", 2025),
        (None, None, YEAR),
        (None, "", YEAR),
        (None, "yesterday", YEAR),
        (None, "0", 1970),
        (None, "99999999999999", 2096),
    ],
)
def test_the_year_is_the_guides_or_the_builds(
    stated: int | None, epoch: str | None, year: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    if epoch is not None:
        monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)
    assert year_of(Guide(name="Guide", year=stated)) == year
