"""Heat of a front glass under the night sky as pure functions: what it loses, how cold it grows, what keeps it warm.

Temperatures in deg C at the functions' doors, kelvins inside; powers in W, fluxes in W/m2, lengths in mm. Every
function takes plain floats or numpy arrays and returns the same kind, elementwise. The sources and outside checks
stand in `methods.yml` beside this file.
"""

from math import ceil, pi, sqrt

import numpy as np

from rigleaf.chapters.scale_and_field.physics import N, elementwise

STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2/K4, exact by the SI
ZERO_C = 273.15  # K

EMISSIVITY = 0.9
"""Of glass, paint and anodised metal in the thermal infrared; polished metal has far less. Handbooks, from memory."""

STILL_AIR, PER_WIND = 2.8, 3.0
"""Convection at a flat plate in W/m2/K: still, and more for each m/s of wind; handbooks of collectors, from memory."""

TUBE_SKY = 0.5
"""Part of what the outside of a lying tube sees that is sky."""

WALL_MM = 2.0
"""Wall of a tube where heat runs along it; common practice, no source."""

CONDUCTIVITY: dict[str, float] = {
    "aluminium": 170.0, "carbon fibre": 5.0, "steel": 50.0, "invar": 10.0, "brass": 110.0, "plastic": 0.2,
}  # fmt: skip
"""Of the walls of tubes along their length, W/m/K: alloys at room temperature. Handbooks, from memory."""


def convection(wind_m_s: N) -> N:
    """Heat that a surface takes from the air by convection, W/m2/K, in a breeze up to 7 m/s."""
    return STILL_AIR + PER_WIND * wind_m_s


def sky_emissivity(dew_point_c: N) -> N:
    """Emissivity of the whole clear night sky for air whose dew point is -20 to 30 deg C; good to 5 %."""
    hundredths = dew_point_c / 100
    return 0.711 + 0.56 * hundredths + 0.73 * hundredths**2


def sky_temperature(air_c: N, dew_point_c: N | float) -> N:
    """Temperature in deg C of a black sky that would radiate as the clear night sky does."""
    emissivity = sky_emissivity(dew_point_c + 0 * air_c)
    return (air_c + ZERO_C) * elementwise(np.sqrt, elementwise(np.sqrt, emissivity)) - ZERO_C


def black_body(temperature_c: N) -> N:
    """Flux in W/m2 that a black surface radiates."""
    return STEFAN_BOLTZMANN * (temperature_c + ZERO_C) ** 4


def net_radiation(
    surface_c: N, air_c: N | float, emissivity_above: N | float, emissivity: float = EMISSIVITY, view: float = 1.0
) -> N:
    """Flux in W/m2 that a surface loses by radiation to what is above it.

    Args:
        surface_c: temperature of the surface.
        air_c: temperature of the air.
        emissivity_above: of what is above: the sky's, or 1 for surroundings at the temperature of the air.
        emissivity: of the surface.
        view: part of its view that is open. The rest is taken to be as cold as the surface and exchanges nothing.
    """
    return emissivity * view * (black_body(surface_c) - emissivity_above * black_body(air_c + 0 * surface_c))


def view_of_opening(glass_diameter_mm: float, opening_diameter_mm: float, shield_mm: float) -> float:
    """Part of a glass's view that is open sky: two discs on one axis, the glass and the mouth of its dew shield.

    Without a shield it is 1, as long as the mouth is no narrower than the glass.
    """
    mouth = (opening_diameter_mm / glass_diameter_mm) ** 2
    whole = 1 + mouth + (2 * shield_mm / glass_diameter_mm) ** 2
    # The difference of two near numbers, written as a quotient that keeps its digits.
    return min(1.0, 2 * mouth / (whole + sqrt(max(whole**2 - 4 * mouth, 0.0))))


def held_flux(
    surface_c: N, air_c: N | float, dew_point_c: N | float, wind_m_s: float, view: float,
    emissivity: float = EMISSIVITY,
) -> N:  # fmt: skip
    """Flux in W/m2 that holds a surface at a temperature: what it radiates to the sky, less what the air gives back.

    Negative where it is warmer by itself.
    """
    above = sky_emissivity(dew_point_c + 0 * surface_c)
    return net_radiation(surface_c, air_c, above, emissivity, view) + convection(wind_m_s) * (surface_c - air_c)


def surface_temperature(
    air_c: N, dew_point_c: N | float, wind_m_s: float, view: float, flux_w_m2: N | float = 0.0,
    emissivity: float = EMISSIVITY,
) -> N:  # fmt: skip
    """Temperature in deg C at which a surface under the clear night sky comes to rest.

    Newton's steps on a function that rises and bends upwards: from the temperature of the air they go straight to
    the one root; six of them leave less than a millionth of a kelvin for any weather and any heat of a band.

    Args:
        air_c: temperature of the air.
        dew_point_c: of the air.
        wind_m_s: breeze over the surface.
        view: part of its view that is open sky, 0 to 1.
        flux_w_m2: heat that it is given besides.
        emissivity: of the surface.
    """
    surface = air_c + 0.0
    rate = convection(wind_m_s)
    for _ in range(6):
        excess = held_flux(surface, air_c, dew_point_c, wind_m_s, view, emissivity) - flux_w_m2
        slope = 4 * emissivity * view * STEFAN_BOLTZMANN * (surface + ZERO_C) ** 3 + rate
        surface = surface - excess / slope
    return surface


def disc_area(diameter_mm: float) -> float:
    """Area of a disc in m2."""
    return pi * (diameter_mm / 2000) ** 2


def heat_loss_rate(air_c: N, wind_m_s: float, view: float, emissivity: float = EMISSIVITY) -> N:
    """Heat that a surface near the temperature of the air loses for each kelvin more, W/m2/K."""
    return convection(wind_m_s) + 4 * emissivity * view * STEFAN_BOLTZMANN * (air_c + ZERO_C) ** 3


def fin_length(conductivity: float, wall_mm: float, loss_rate: N, reach_mm: float) -> N:
    """Length in mm of a tube that loses as much as the whole reach beyond a band does, were it as warm as the band.

    The warmth runs along the wall and dies away; a fin whose far end loses nothing.

    Args:
        conductivity: of the wall, W/m/K.
        wall_mm: thickness of the wall.
        loss_rate: what its outside loses, W/m2/K.
        reach_mm: how far the tube goes on.
    """
    decay = elementwise(np.sqrt, conductivity * (wall_mm / 1000) / loss_rate) * 1000
    return decay * elementwise(np.tanh, reach_mm / decay)


def band_power(
    glass_flux: N, glass_diameter_mm: float, tube_excess_k: N | float, loss_rate: N | float,
    tube_diameter_mm: float, warmed_mm: N | float,
) -> N:  # fmt: skip
    """Power in W of a band that holds a glass and the stretch of tube around it at one temperature.

    Args:
        glass_flux: what the glass needs, W/m2.
        glass_diameter_mm: diameter of the glass.
        tube_excess_k: by how much the tube must be warmer than it would be by itself.
        loss_rate: what the outside of the tube loses for each kelvin, W/m2/K.
        tube_diameter_mm: outer diameter of the tube; 0 where a glass is heated from behind and no tube is.
        warmed_mm: length of tube that counts as being as warm as the glass.
    """
    tube = pi * (tube_diameter_mm / 1000) * (warmed_mm / 1000) * loss_rate * tube_excess_k
    return glass_flux * disc_area(glass_diameter_mm) + tube


# --- Cold ---------------------------------------------------------------------------------------------------


def sensor_reach(air_c: N, depth_k: N | float) -> N:
    """Lowest temperature in deg C of a sensor whose cooler reaches so far below the air."""
    return air_c - depth_k


def next_step_up(temperature_c: float, step_k: float) -> float:
    """The next multiple of a step that is not colder than a temperature, deg C."""
    return ceil(temperature_c / step_k - 1e-9) * step_k
