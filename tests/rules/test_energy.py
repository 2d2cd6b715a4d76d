"""Energy and lithium of batteries: exact decimals, and a band where the label leaves a doubt."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.rules.energy import UNKNOWN, battery_energy, lithium_content


def energy(
    chemistry: str | None, marked: str = "", volts: str = "", amp_hours: str = "", *, usb: bool = False
) -> object:
    given = (Decimal(text) if text else None for text in (marked, volts, amp_hours))
    found = battery_energy(chemistry, *given, cell_charge=usb)
    return (str(found.least), str(found.most) if found.most is not None else None, found.how)


@pytest.mark.parametrize("chemistry", ["lithium-ion", "lifepo4", "sealed lead-acid", None])
def test_what_is_marked_goes_before_the_sum(chemistry: str | None) -> None:
    assert energy(chemistry, "74", "5", "20") == ("74", "74", "marked")


def test_volts_times_ampere_hours_are_never_rounded() -> None:
    assert energy("lifepo4", volts="12.8", amp_hours="12.5") == ("160.00", "160.00", "volts times ampere-hours")
    assert energy("lithium-polymer", volts="11.1", amp_hours="9.1") == ("101.01", "101.01", "volts times ampere-hours")


def test_a_lifepo4_battery_sold_as_12_v_has_cells_of_more() -> None:
    found = battery_energy("lifepo4", None, Decimal(12), Decimal(8))
    assert (found.least, found.usual, found.most) == (Decimal(96), Decimal("102.4"), Decimal("105.6"))
    assert found.how == "doubtful voltage"


def test_the_voltage_of_an_outlet_is_not_that_of_the_cells() -> None:
    assert energy("lithium-ion", volts="5", amp_hours="20") == ("72.0", "100", "doubtful voltage")
    assert energy("lithium-ion", volts="12", amp_hours="20") == ("72.0", "240", "doubtful voltage")


@pytest.mark.parametrize("volts", ["3.6", "3.7", "3.85", "7.2", "10.8", "11.1", "14.4", "14.8", "18", "25.9", "36"])
def test_voltages_that_cells_make_are_believed(volts: str) -> None:
    assert battery_energy("lithium-ion", None, Decimal(volts), Decimal(1)).exact


def test_lead_acid_is_what_it_says() -> None:
    assert energy("sealed lead-acid", volts="12", amp_hours="7") == ("84", "84", "volts times ampere-hours")


def test_charge_alone_counts_at_the_cells_of_a_usb_bank_only() -> None:
    assert energy("lithium-ion", amp_hours="20", usb=True) == ("72.0", "77.00", "cell voltage")
    assert energy("lithium-ion", amp_hours="20") == ("72.0", None, "unknown")
    assert battery_energy(None, None, None, Decimal(20)) == UNKNOWN
    assert battery_energy("lithium-ion", None, Decimal(12), None) == UNKNOWN


def test_lithium_is_as_stated_or_bounded_by_the_charge() -> None:
    assert lithium_content(Decimal("0.1"), Decimal(5)).exact
    button = lithium_content(None, Decimal("0.22"))
    assert button.most is not None
    assert Decimal("0.05") < button.least < Decimal("0.1") < button.most < Decimal("0.3")
    assert lithium_content(None, None) == UNKNOWN


@settings(deadline=None)
@given(
    st.decimals("0.5", "60", places=2), st.decimals("0.1", "200", places=2), st.sampled_from(["lithium-ion", "lifepo4"])
)
def test_the_product_never_lies_outside_the_band(volts: Decimal, amp_hours: Decimal, chemistry: str) -> None:
    found = battery_energy(chemistry, None, volts, amp_hours)
    assert found.most is not None
    assert found.least <= volts * amp_hours <= found.most
