"""Moist air, the clear sky and the heat of glass against published values and independent numerical solutions.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

import datetime as dt
from math import log, pi, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import dblquad, solve_bvp
from scipy.optimize import brentq
from shapely.geometry import Point

from rigleaf.catalogue.models.guide import Place
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold import need, physics
from rigleaf.chapters.dew_and_cold.glass import Glass, glass_of
from rigleaf.chapters.night_out import humid_air
from rigleaf.chapters.night_out.air import air_at, month_value
from rigleaf.chapters.night_out.chosen import chosen_night
from tests.chapters.small_guide import catalogue, parts, with_place

Array = NDArray[np.float64]

# --- Moist air ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("celsius", "pascal"), [(5.0, 872.6), (25.0, 3169.7)])
def test_vapour_pressure_over_water(celsius: float, pascal: float) -> None:
    """ASHRAE Handbook - Fundamentals 2017, chapter 1, table 3, READ through the tests of a library that names it.

    The Magnus form is 0.1 % low at 5 deg C and 0.3 % low at 25 deg C. The open textbook's 2330 Pa at 20 deg C (READ)
    agrees too; its 1190 Pa at 10 deg C contradicts the 9.40 g/m3 beside it and must NOT be reproduced.
    """
    assert humid_air.saturation_pressure(celsius) == pytest.approx(pascal, rel=0.0032)
    assert humid_air.saturation_pressure(20.0) == pytest.approx(2330, rel=0.004)
    assert humid_air.saturation_pressure(10.0) != pytest.approx(1190, rel=0.02)


@pytest.mark.parametrize(("celsius", "pascal"), [(-20.0, 103.24), (-5.0, 401.74)])
def test_vapour_pressure_over_ice(celsius: float, pascal: float) -> None:
    """The same table, which below 0 deg C is over ICE: over water there is a fifth more at -20 deg C."""
    assert humid_air.frost_point_of(pascal) == pytest.approx(celsius, abs=0.02)
    over_water = humid_air.saturation_pressure(celsius)
    assert over_water > pascal * 1.04
    assert humid_air.dew_point_of(pascal) < celsius - 0.5


@pytest.mark.parametrize(
    ("celsius", "humidity", "dew"),
    [(25.0, 0.45, 12.237651), (10.0, 0.80, 6.706013), (0.0, 0.90, -1.445119), (20.0, 0.50, 9.255)],
)
def test_dew_points(celsius: float, humidity: float, dew: float) -> None:
    """WMO-No. 8 coefficients; COMPUTED with pvlib 0.16.1 (the last one also MetPy 1.7.1: 9.256).

    The formula of J. Appl. Meteor. 35, 601 (1996), eq. 21 (READ in another text), differs by 0.01 K at most. An open
    textbook's 4.77 deg C at 20 deg C and 39 % goes by the density of vapour and must NOT be reproduced.
    """
    assert humid_air.dew_point(celsius, humidity) == pytest.approx(dew, abs=5e-4)
    other = log(humidity) + 17.625 * celsius / (243.04 + celsius)
    assert humid_air.dew_point(celsius, humidity) == pytest.approx(243.04 * other / (17.625 - other), abs=0.01)
    assert humid_air.dew_point(20.0, 0.39) == pytest.approx(5.61, abs=0.01)
    assert humid_air.relative_humidity(celsius, dew) == pytest.approx(humidity, abs=1e-4)


def test_frost_settles_before_dew_would() -> None:
    """Dew point -10 deg C: frost point -8.9 deg C in every meteorological table, MEMORY."""
    assert humid_air.deposit_point(-10.0, 0.0) == pytest.approx(-8.9, abs=0.05)
    assert humid_air.deposit_point(3.0, 8.0) == 3.0
    assert humid_air.deposit_point(-10.0, -9.5) == -9.5


# --- The night's air ----------------------------------------------------------------------------------------


def test_a_year_of_months_by_a_periodic_interpolation_of_another_library() -> None:
    """COMPUTED with numpy's interpolation of period 365.25 days between the middles of the months."""
    stated = [f"{value} degC" for value in (-2, -2, 1, 4, 8, 11, 13, 13, 10, 6, 2, -1)]
    values = Place.model_validate({"id": "field", "name": "Field", "night_temperature": stated}).night_temperature
    middles = (np.arange(12) + 0.5) / 12 * 365.25
    numbers = [float(text.split()[0]) for text in stated]
    for day in (dt.date(2027, 1, 1), dt.date(2027, 3, 20), dt.date(2027, 7, 16), dt.date(2027, 12, 31)):
        through = day.timetuple().tm_yday - 0.5
        assert month_value(values, day) == pytest.approx(np.interp(through, middles, numbers, period=365.25))


def test_the_cooling_of_a_night_by_hand() -> None:
    """By hand: 2 deg C at sunrise and a fall of 8 K are 10 deg C at sunset and 6 deg C half way.

    Half way the air has 80 % of what saturates it at 6 deg C: by hand a dew point of 2.81 deg C, below the air until
    nine tenths of the night have gone.
    """
    field = {"latitude": "50 deg", "longitude": "7 deg", "timezone": "Europe/Berlin",
             "night_temperature": ["2 degC"] * 12, "night_humidity": ["80 %"] * 12}  # fmt: skip
    found = with_place(catalogue(parts(), rig={"place": "field"}), **field)
    assembly = Assembly(found, found.rigs["rig"])
    night = chosen_night(assembly)
    assert night is not None
    sunset, sunrise = night.nights.dusk[night.index, 0], night.nights.dawn[night.index, 0]
    air = air_at(assembly, night, np.array([sunset, (sunset + sunrise) / 2, sunrise]))
    assert air is not None
    assert air.dew_point is not None
    np.testing.assert_allclose(air.temperature, [10.0, 6.0, 2.0], atol=1e-9)
    np.testing.assert_allclose(air.dew_point, [2.81, 2.81, 2.0], atol=0.01)


# --- Radiation ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("emissivity", "area", "body", "around", "watts", "error"),
    [(0.97, 1.5, 306, 295, 99, 0.5), (0.9, 275, 303, 288, 21_700, 50), (0.2, 1.6, 283, 258, 36.0, 0.05)],
)
def test_radiation_of_a_person_a_roof_and_a_skier(
    emissivity: float, area: float, body: float, around: float, watts: float, error: float
) -> None:
    """OpenStax, College Physics, section on radiation, example and problems, READ: -99 W, -21.7 kW and -36.0 W."""
    flux = physics.net_radiation(body - 273.15, around - 273.15, 1.0, emissivity)
    assert flux * area == pytest.approx(watts, abs=error)


def test_sky_below_the_air() -> None:
    """Emissivity of clear skies, Solar Energy 32, 663 (1984), READ in other texts: 0.711 + 0.56 d + 0.73 d^2.

    At 10 deg C with a dew point of 5 deg C it is 0.740825 by hand, and the sky 20.459 K below the air.
    """
    assert physics.sky_emissivity(5.0) == pytest.approx(0.740825, abs=1e-9)
    assert 10.0 - physics.sky_temperature(10.0, 5.0) == pytest.approx(20.459, abs=0.001)


@pytest.mark.parametrize(("air", "dew"), [(10.0, 5.0), (0.0, -2.0), (18.0, 12.0)])
def test_sky_beside_another_fit(air: float, dew: float) -> None:
    """Another fit for clear skies, MEMORY (1975): 1.24 (e/T)^(1/7), e in hPa; it differs by 3 % at most here."""
    hectopascal = humid_air.saturation_pressure(dew) / 100
    other = 1.24 * (hectopascal / (air + 273.15)) ** (1 / 7)
    assert physics.sky_emissivity(dew) == pytest.approx(other, rel=0.03)


# --- View of the sky ----------------------------------------------------------------------------------------

SHIELDS = [(80.0, 108.0, 105.0), (50.0, 64.0, 45.0), (130.0, 164.0, 190.0), (66.0, 66.0, 20.0)]


@pytest.mark.parametrize(("glass", "mouth", "length"), SHIELDS)
def test_view_of_the_mouth_by_many_rays(glass: float, mouth: float, length: float) -> None:
    """COMPUTED: 400 000 rays leave random points of the glass as a matt surface sends them; a part leaves the mouth."""
    random = np.random.default_rng(7)
    n = 400_000
    radius, turn = glass / 2 * np.sqrt(random.random(n)), 2 * pi * random.random(n)
    slope = np.tan(np.arcsin(np.sqrt(random.random(n))))  # of a ray from the axis, by the cosine law
    x = radius + length * slope * np.cos(turn)
    y = length * slope * np.sin(turn)
    through = float((x**2 + y**2 < (mouth / 2) ** 2).mean())
    assert physics.view_of_opening(glass, mouth, length) == pytest.approx(through, rel=0.012)


@pytest.mark.parametrize(("glass", "mouth", "length"), SHIELDS)
def test_view_of_the_mouth_by_numerical_integration(glass: float, mouth: float, length: float) -> None:
    """COMPUTED with scipy: cos cos / (pi s^2) over both discs, the turn between their points done in closed form."""

    def rings(b: float, a: float) -> float:
        # The mean of 1/(A - B cos t)^2 over a turn is A/(A^2 - B^2)^1.5.
        whole = a * a + b * b + length * length
        return float(2 * pi * a * 2 * b * length**2 * whole / (whole**2 - (2 * a * b) ** 2) ** 1.5)

    total, _ = dblquad(rings, 0, glass / 2, 0, mouth / 2, epsabs=1e-9)
    view = total / (pi * (glass / 2) ** 2)
    assert physics.view_of_opening(glass, mouth, length) == pytest.approx(view, rel=1e-6)


def test_view_without_a_shield_is_the_whole_sky() -> None:
    """By thought: nothing stands before the glass."""
    assert physics.view_of_opening(80.0, 108.0, 0.0) == 1.0
    assert physics.view_of_opening(80.0, 108.0, 1e-3) == pytest.approx(1.0, abs=1e-6)


# --- Temperature of the glass and its heat --------------------------------------------------------------------

SIGMA = 5.670374419e-8


@pytest.mark.parametrize("air", [-15.0, 0.0, 12.0])
@pytest.mark.parametrize("view", [0.0, 0.19, 1.0])
@pytest.mark.parametrize("flux", [0.0, 60.0])
def test_temperature_of_glass_by_another_root_finder(air: float, view: float, flux: float) -> None:
    """COMPUTED with scipy's brentq on the balance written out in kelvins."""
    dew, wind = air - 2.0, 0.5
    hundredths = dew / 100
    sky = 0.711 + 0.56 * hundredths + 0.73 * hundredths**2

    def balance(kelvin: float) -> float:
        gained = (2.8 + 3.0 * wind) * (air + 273.15 - kelvin) + flux
        return gained - 0.9 * view * SIGMA * (kelvin**4 - sky * (air + 273.15) ** 4)

    root = brentq(balance, 150.0, 400.0, xtol=1e-10) - 273.15
    assert physics.surface_temperature(air, dew, wind, view, flux) == pytest.approx(root, abs=1e-6)


def test_hour_of_dew_by_another_root_finder() -> None:
    """COMPUTED with scipy's brentq between two instants of a cooling evening."""
    hours = np.linspace(0.0, 12.0, 121)
    air = 8.0 - 0.6 * hours
    glass = physics.surface_temperature(air, np.full_like(air, 2.0), 0.5, 0.3)
    found = need.first_at_or_below(hours, glass, np.full_like(air, 2.0))
    root = brentq(lambda t: physics.surface_temperature(8.0 - 0.6 * t, 2.0, 0.5, 0.3) - 2.0, 0.0, 12.0)
    assert found == pytest.approx(root, abs=1e-3)
    assert 0 < root < 12


@pytest.mark.parametrize(("conductivity", "reach"), [(170.0, 105.0), (170.0, 392.0), (5.0, 105.0), (0.2, 60.0)])
def test_warmth_along_a_tube_by_solving_its_equation(conductivity: float, reach: float) -> None:
    """COMPUTED with scipy's solve_bvp: k s T'' = U T, 1 at the band and no flow at the far end."""
    wall, loss = 0.002, 6.5
    metres = np.linspace(0.0, reach / 1000, 400)

    def slopes(_: Array, state: Array) -> Array:
        return np.vstack((state[1], state[0] * loss / (conductivity * wall)))

    def ends(near: Array, far: Array) -> Array:
        return np.array([near[0] - 1.0, far[1]])

    start = np.vstack((np.exp(-metres / metres[-1]), -np.ones_like(metres)))
    solved = solve_bvp(slopes, ends, metres, start, tol=1e-8, max_nodes=100_000)
    assert solved.success
    flow = -conductivity * wall * solved.sol(0.0)[1]  # W per metre of girth and kelvin
    length = physics.fin_length(conductivity, 2.0, loss, reach)
    assert length / 1000 * loss == pytest.approx(flow, rel=1e-5)


def refractor() -> Glass:
    tube = {"dew_shield": "105 mm", "tube_diameter": "108 mm", "tube_length": "392 mm"}
    glass = glass_of(catalogue(parts(tube=tube)).parts["tube"])  # type: ignore[arg-type]
    assert glass is not None
    return glass


def test_power_of_a_band_by_adding_up_rings_of_tube() -> None:
    """COMPUTED by adding the losses of rings a tenth of a millimetre wide along a tube, each at its own temperature.

    What comes out is what people measure who hold 80 mm refractors dry with bands of 5 to 10 W; common practice, no
    source.
    """
    air, dew, wanted, wind = 0.0, -1.0, 1.0, 0.5
    glass = refractor()
    loss = 4.3 + 4 * 0.9 * 0.5 * SIGMA * 273.15**3
    by_itself = physics.surface_temperature(air, dew, wind, 0.5)
    decay = sqrt(170.0 * 0.002 / loss)
    watts = 0.0
    for reach in (0.105, 0.392):
        ring = np.arange(0.00005, reach, 0.0001)
        excess = (wanted - by_itself) * np.cosh((reach - ring) / decay) / np.cosh(reach / decay)
        watts += float((excess * loss * pi * 0.108 * 0.0001).sum())
    watts += (wanted - by_itself) * loss * pi * 0.108 * 0.050
    sky = 0.711 + 0.56 * dew / 100 + 0.73 * (dew / 100) ** 2
    radiated = 0.9 * glass.view * SIGMA * ((wanted + 273.15) ** 4 - sky * 273.15**4)
    watts += (radiated + 4.3 * (wanted - air)) * pi * 0.040**2
    found = need.band_watts(glass, np.array([air]), np.array([dew]), np.array([wanted]), wind)
    assert float(found[0]) == pytest.approx(watts, rel=1e-3)
    assert 3 < watts < 10


# --- Cold -----------------------------------------------------------------------------------------------------


def test_a_cooler_by_hand() -> None:
    """By hand: 35 K below 6 deg C are -29 deg C; with a fifth to spare -22 deg C, so it is held at -20 deg C."""
    assert physics.sensor_reach(6.0, 35.0) == pytest.approx(-29.0)
    assert physics.next_step_up(6.0 - 35.0 * 0.8, 5.0) == -20.0
    assert physics.next_step_up(-20.0, 5.0) == -20.0


def test_area_of_a_disc_by_a_polygon() -> None:
    """COMPUTED with shapely: a circle of very many corners, 80 mm across, in m2."""
    circle = Point(0.0, 0.0).buffer(0.040, quad_segs=4000)
    assert physics.disc_area(80.0) == pytest.approx(circle.area, rel=1e-6)
