"""Energy of batteries, and lithium in cells, against worked examples and constants from elsewhere."""

from decimal import Decimal

import pytest
from scipy import constants

from rigleaf.rules.energy import FARADAY_GRAMS, battery_energy, lithium_content

# Explanation of the Korean rule, 25 March 2025 (read as a report): mAh times 3.7 V. The one of 10,000 mAh is from a
# trade page on the Chinese rule, 2017, the last two are figures of a carrier, March 2025 (both read as reports).
AT_CELL_VOLTAGE = [
    ("20", "74"),
    ("30", "111"),
    ("40", "148"),
    ("50", "185"),
    ("10", "37"),
    ("27.027", "100"),
    ("43.243", "160"),
]

# Explainers on watt-hours of lithium batteries (read as reports); the last three are products that a pocket calculator
# gives, the first of them an example of the FAA (from memory).
BY_PRODUCT = [
    ("lithium-ion", "10.8", "2.5", "27"),
    ("lithium-ion", "11.1", "4.4", "48.84"),
    ("lithium-ion", "40", "2.0", "80"),
    ("sealed lead-acid", "12", "8", "96"),
    ("sealed lead-acid", "12", "9", "108"),
    ("lifepo4", "12.8", "12.5", "160"),
]


@pytest.mark.parametrize(("amp_hours", "watt_hours"), AT_CELL_VOLTAGE)
def test_charge_of_cells_at_their_usual_voltage(amp_hours: str, watt_hours: str) -> None:
    found = battery_energy("lithium-ion", None, None, Decimal(amp_hours), cell_charge=True)
    assert found.most is not None
    assert float(found.usual or 0) == pytest.approx(float(watt_hours), rel=2e-5)
    assert found.least <= Decimal(watt_hours) <= found.most


@pytest.mark.parametrize(("chemistry", "volts", "amp_hours", "watt_hours"), BY_PRODUCT)
def test_nominal_voltage_times_rated_charge(chemistry: str, volts: str, amp_hours: str, watt_hours: str) -> None:
    found = battery_energy(chemistry, None, Decimal(volts), Decimal(amp_hours))
    assert found.exact
    assert found.least == Decimal(watt_hours)


def test_the_unclear_bank_of_26_800_mah_lies_on_both_sides_of_100_wh() -> None:
    # 96.5 Wh at 3.6 V, 99.2 Wh at 3.7 V, 103.2 Wh at 3.85 V: a table of cell voltages, read as a copy.
    found = battery_energy("lithium-polymer", None, None, Decimal("26.8"), cell_charge=True)
    assert [round(value or 0, 1) for value in (found.least, found.usual, found.most)] == [
        Decimal("96.5"), Decimal("99.2"), Decimal("103.2"),
    ]  # fmt: skip


def test_lithium_that_a_charge_consumes_by_faradays_law() -> None:
    # Standard atomic weight of lithium 6.94 g/mol (IUPAC, from memory); the constants are those of CODATA in scipy.
    grams = 6.94 * 3600.0 / (constants.elementary_charge * constants.Avogadro)
    assert float(FARADAY_GRAMS) == pytest.approx(grams, rel=1e-3)


@pytest.mark.parametrize(("amp_hours", "grams"), [("0.22", "0.1"), ("1.5", "0.55"), ("3", "0.98")])
def test_common_cells_lie_between_the_bounds(amp_hours: str, grams: str) -> None:
    # Coin cell of 20 mm, camera cell of 17 mm, AA cell: contents from memory, as data sheets give them.
    found = lithium_content(None, Decimal(amp_hours))
    assert found.most is not None
    assert found.least < Decimal(grams) < found.most
