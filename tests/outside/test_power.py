"""Power of a night: wires, batteries and coolers against tables, textbooks and independent numerical solutions.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from math import exp, log, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate, optimize

from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.power_for_the_night import judge_mains, physics
from rigleaf.chapters.power_for_the_night.cells import cold_band, rated_energy, starter
from rigleaf.chapters.power_for_the_night.leads import leads
from tests.chapters.small_power import assembled, shelf

MM_PER_INCH, MM_PER_1000_FT = 25.4, 304_800.0


# --- Wires ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gauge", "inches", "ohm"),
    [(12, 0.0808, None), (14, 0.06408, 2.525), (18, 0.0403, 6.385), (20, 0.03196, 10.15), (22, 0.02535, None),
     (24, 0.0201, 25.67)],
)  # fmt: skip
def test_wire_gauge_table(gauge: float, inches: float, ohm: float | None) -> None:
    """A physics course's wire table (data from a textbook on electric circuits): inches, ohm per 1000 ft, READ."""
    assert physics.wire_diameter(gauge) / MM_PER_INCH == pytest.approx(inches, rel=1e-3)
    if ohm is not None:
        assert physics.wire_resistance(gauge, MM_PER_1000_FT / 1000) == pytest.approx(ohm, rel=1e-3)


def test_the_gauge_is_defined_by_its_ends() -> None:
    """ASTM B258: number 36 is 0.0050 in, number 0000 (-3) is 0.4600 in, thirty-nine equal steps between (MEMORY)."""
    assert physics.wire_diameter(36.0) / MM_PER_INCH == pytest.approx(0.0050, rel=1e-12)
    assert physics.wire_diameter(-3.0) / MM_PER_INCH == pytest.approx(0.4600, rel=1e-12)


def test_copper_at_50_degrees() -> None:
    """College Physics (open textbook): copper's coefficient is 3.9e-3, so 1 ohm at 20 C is 1.117 ohm at 50 C, READ."""
    warm, cool = (physics.wire_resistance(18.0, 2.0, at) for at in (50.0, 20.0))
    assert warm / cool == pytest.approx(1.117, abs=1e-9)


def test_a_long_wire_of_a_textbook() -> None:
    """College Physics (open textbook), problem: 20.0 m of 12-gauge copper, 2.053 mm thick, have 0.104 ohm, READ.

    Its copper has 1.72e-8 ohm m where the standard of 1913 has 1.7241e-8; the answer is the same to its last digit.
    """
    assert physics.wire_diameter(12.0) == pytest.approx(2.053, abs=5e-4)
    assert physics.wire_resistance(12.0, 20.0) == pytest.approx(0.104, abs=5e-4)


def test_loss_in_two_metres_of_gauge_18() -> None:
    """From the table above: 6.385 ohm per 1000 ft are 20.948 mohm/m, over 4 m at 5 A 0.41896 V, COMPUTED by hand."""
    assert 5.0 * physics.loop_resistance(18.0, 2.0) == pytest.approx(0.41896, abs=2e-4)


@pytest.mark.parametrize(("source", "ohm", "watts"), [(12.8, 0.053, 76.0), (12.0, 1.0, 19.8), (5.0, 0.106, 2.5)])
def test_voltage_behind_a_lead_by_a_root(source: float, ohm: float, watts: float) -> None:
    """COMPUTED with scipy: the upper root of U - R P/V - V = 0."""
    root = optimize.brentq(lambda volts: source - ohm * watts / volts - volts, source / 2, source)
    assert physics.voltage_behind(source, ohm, watts) == pytest.approx(root, rel=1e-9)


def test_a_lead_passes_no_more_than_matched_power() -> None:
    """Maximum power transfer: the load has the source's resistance and half its voltage (MEMORY)."""
    ohm, source = 1.2, 12.0
    loads = np.linspace(0.01, 20, 200_001)
    matched = float((source**2 * loads / (loads + ohm) ** 2).max())
    assert physics.voltage_behind(source, ohm, matched * 0.999_999) == pytest.approx(source / 2, rel=2e-3)
    assert physics.voltage_behind(source, ohm, matched * 1.01) == pytest.approx(source / 2)


def test_two_leads_in_a_row_by_a_network() -> None:
    """COMPUTED with scipy: a battery, a lead to a hub, two leads behind it, all loads of constant power."""
    found = leads(*assembled())
    by_device = {span.edge.fed.id: span for span in found.spans}
    warm = 9.0  # the evening's air in that guide: 1 C at dawn and a fall of 8 K
    trunk, branch = (
        2 * 1.7241e-8 * length / (np.pi / 4 * (gauge * 1e-3) ** 2) * (1 + 0.0039 * (warm - 20))
        for length, gauge in ((2.0, 1.2908), (0.5, 1.0237))
    )  # AWG 16 and 18 by the tables
    hub, camera, mount = 2.0, 36.0, 30.0

    def network(volts: NDArray[np.float64]) -> list[float]:
        at_hub, at_camera, at_mount = volts
        through = hub / at_hub + camera / at_camera + mount / at_mount
        return [
            12.8 - trunk * through - at_hub,
            at_hub - branch * camera / at_camera - at_camera,
            at_hub - branch * mount / at_mount - at_mount,
        ]

    at_hub, at_camera, at_mount = optimize.fsolve(network, [12.0, 12.0, 12.0])
    lost = {id_: 12.8 - (by_device[id_].arrives or 0.0) for id_ in ("hub", "camera", "head")}
    assert lost["hub"] == pytest.approx(12.8 - at_hub, rel=0.005)
    assert lost["camera"] == pytest.approx(12.8 - at_camera, rel=0.005)
    assert lost["head"] == pytest.approx(12.8 - at_mount, rel=0.005)
    assert by_device["hub"].current == pytest.approx((12.8 - at_hub) / trunk, rel=0.005)


# --- Batteries -----------------------------------------------------------------------------------------------


def test_energy_on_the_label_is_charge_times_voltage() -> None:
    """Labels of common lithium cells (MEMORY): 3.6 V and 3.5 Ah are marked 12.6 Wh, 12.8 V and 7 Ah 89.6 Wh."""
    assert physics.rated_energy(3.5, 3.6) == pytest.approx(12.6)
    assert physics.rated_energy(7.0, 12.8) == pytest.approx(89.6)
    battery = Battery.model_validate({"id": "b", "name": "B", "charge": "7 Ah", "nominal_voltage": "12.8 V"})
    assert rated_energy(battery) == pytest.approx(89.6)


def test_peukert_at_the_rated_current_lasts_the_rated_hours() -> None:
    """An analysis of Peukert's equation, "T = C(C/R)^(n-1)/I^n", READ through a corpus: 100 Ah over 20 h, 5 A, 20 h.

    A blog on electrical engineering gets 14.5 h (READ) by t = C/I^k, which asks for the charge at 1 A; it is 14.496.
    """
    assert physics.peukert_hours(100.0, 20.0, 5.0, 1.2) == pytest.approx(20.0, abs=1e-9)
    assert 100 / 5**1.2 == pytest.approx(14.5, abs=0.05)
    assert physics.peukert_hours(100.0, 20.0, 5.0, 1.2) != pytest.approx(14.5, abs=0.5)


@pytest.mark.parametrize(("charge", "hours", "current", "exponent"), [(22.0, 20.0, 3.0, 1.2), (250.0, 10.0, 40.0, 1.3)])
def test_peukert_by_logarithms(charge: float, hours: float, current: float, exponent: float) -> None:
    """COMPUTED: on logarithms the law is a straight line of slope -k through the rated current and hours."""
    rated = charge / hours
    line = exp(log(hours) - exponent * (log(current) - log(rated)))
    assert physics.peukert_hours(charge, hours, current, exponent) == pytest.approx(line, rel=1e-12)
    assert physics.peukert_share(charge, hours, current, exponent) == pytest.approx(current * line / charge, rel=1e-12)


def test_the_form_for_1_ampere_is_the_rated_form_with_its_own_charge() -> None:
    """A tutorial (READ): 250 Ah measured at 1 A and k = 1.3 last 250/20^1.3 = 5.0886 h at 20 A.

    Rated over H hours that is the same battery only if its charge is (C1 H^(k-1))^(1/k), COMPUTED by hand.
    """
    hours, exponent = 20.0, 1.3
    charge = (250.0 * hours ** (exponent - 1)) ** (1 / exponent)
    assert physics.peukert_hours(charge, hours, 20.0, exponent) == pytest.approx(5.0886, abs=1e-3)


@pytest.mark.parametrize(
    ("celsius", "per_cent"),
    [(0, -16), (5, -12), (10, -10), (15, -6), (20, -1), (25, 0), (30, 3), (35, 4), (40, 5)],
)
def test_lead_acid_in_the_cold_follows_the_makers_table(celsius: float, per_cent: float) -> None:
    """A battery maker's table of temperature and capacity, row for more than 60 minutes, READ."""
    assert physics.lead_acid_left(float(celsius)) == pytest.approx(1 + per_cent / 100, abs=1e-9)
    lead = Battery.model_validate({"id": "b", "name": "B", "chemistry": "sealed lead-acid"})
    assert cold_band(lead, celsius) == pytest.approx((1 + per_cent / 100,) * 2)


def test_lithium_in_the_cold_lies_between_what_vendors_claim() -> None:
    """Vendors' pages, READ: 70 % at -18 C; 15 to 20 % less at -20 C; half at -20 C. They contradict each other."""
    lithium = Battery.model_validate({"id": "b", "name": "B", "chemistry": "lifepo4"})
    low, high = cold_band(lithium, -20.0)
    assert (low, high) == pytest.approx((0.50, 0.85), abs=1e-9)
    assert low <= 0.80 <= high
    at_18 = cold_band(lithium, -18.0)
    assert at_18[0] < 0.70 < at_18[1]
    assert cold_band(lithium, 20.0) == pytest.approx((1.0, 1.0))


def test_what_a_car_may_give() -> None:
    """Arithmetic on a middling car: 30 % of 60 Ah at 12 V are 216 Wh of 720 Wh (common practice, no source)."""
    assembly, _ = assembled()
    held = starter(assembly)
    assert (held.low, held.rated) == pytest.approx((216.0, 720.0))


def test_when_a_battery_is_empty_by_a_root() -> None:
    """COMPUTED with scipy: the root of what is left, with the power taken as a function of time."""
    _, budget = assembled()
    (circuit,) = budget.circuits
    edges, watts = budget.times.edges, circuit.watts

    def drawn(instant: float) -> float:
        spans = np.clip(instant, edges[:-1], edges[1:]) - edges[:-1]
        return float(watts @ spans) / 3600

    held = 0.6 * circuit.drawn
    root = optimize.brentq(lambda instant: held - drawn(instant), edges[0], edges[-1], xtol=1e-3)
    assert circuit.instant_at(held) == pytest.approx(root, abs=1.0)


def test_cases_that_bear_splashing_water() -> None:
    """IEC 60529, second numeral (MEMORY): 3 is spraying, 4 splashing water, 7 immersion; 0 nothing."""
    marks = {"IP67": 7, "IP20": 0, "ip 44": 4, "IPX4": 4, "IP2X": None, None: None}
    assert {mark: judge_mains.water(mark) for mark in marks} == marks
    assert judge_mains.SPLASHED == 4


# --- Draws ---------------------------------------------------------------------------------------------------


def thermoelectric(depth: float) -> float:
    """Power in W of a cooler without heat load that holds a depth in K: pumped heat equals Joule and conducted heat."""
    seebeck, ohm, conductance, hot = 0.05, 2.0, 0.5, 280.0
    cold = hot - depth
    current = optimize.brentq(
        lambda ampere: seebeck * ampere * cold - ampere**2 * ohm / 2 - conductance * depth, 0.0, seebeck * cold / ohm
    )
    return float(seebeck * current * depth + current**2 * ohm)


def test_a_thermoelectric_cooler_draws_with_the_square_of_its_depth() -> None:
    """COMPUTED with scipy from the balance of such a cooler: at small depths its power goes with their square."""
    most = thermoelectric(0.5)
    for depth in (0.1, 0.2, 0.4):
        law = physics.cooler_draw(depth, 0.0, most, most, 20.0, 0.5)
        assert law == pytest.approx(thermoelectric(depth), rel=0.008)
    assert sqrt(thermoelectric(0.4) / thermoelectric(0.1)) == pytest.approx(4.0, rel=0.005)


def test_energy_of_a_cooled_night_by_quadrature() -> None:
    """COMPUTED with scipy: the camera's draw integrated over a night that cools straight, not summed in steps."""
    _, budget = assembled()
    air = budget.scene.air
    assert air is not None
    times = budget.times
    camera = next(one for one in budget.devices if one.part.id == "camera")
    assert camera.watts is not None

    def draw(instant: float) -> float:
        depth = float(np.interp(instant, air.instants, air.temperature)) + 10.0
        return 4 + 11 * depth**2 / 400 if depth <= 20 else 15 + 21 * (depth**2 - 400) / (35**2 - 400)

    start = times.marks[3]
    whole, _ = integrate.quad(draw, start, times.last, limit=400, points=[times.first])
    steps = times.held
    assert float(camera.watts[steps] @ times.hours[steps]) == pytest.approx(whole / 3600, rel=0.002)
    cooling = float(camera.watts[times.cooling] @ times.hours[times.cooling])
    assert cooling == pytest.approx(36 * 10 / 60, rel=1e-6)


def test_a_usual_field_battery_lasts_a_night_of_mount_and_camera() -> None:
    """Common practice, no source: with only mount and camera, a usual field battery lasts at least one night.

    One of 256 Wh lasts a night of spring, one of 512 Wh the longest of winter, by the least that is to be expected.
    """
    quiet = {"power": {"working": "0 W", "voltage": "12 V"}}
    _, spring = assembled(shelf(hub=quiet, battery={"charge": "20 Ah"}), night={"date": "2027-03-21"})
    _, winter = assembled(shelf(hub=quiet))
    assert spring.night.hours > 8
    assert winter.night.hours > 11.5
    assert (spring.lasts, winter.lasts) == (True, True)
