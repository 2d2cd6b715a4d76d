"""Water in air as pure functions: saturation, dew point, relative humidity. Temperatures in deg C, pressures in Pa."""

import numpy as np

from rigleaf.chapters.scale_and_field.physics import N, elementwise

# Magnus form over water, WMO-No. 8 (CIMO guide), annex on formulae for humidity.
AT_ZERO_PA, SLOPE, OFFSET_K = 611.2, 17.62, 243.12
ICE_SLOPE, ICE_OFFSET_K = 22.46, 272.62  # the same over ice


def saturation_pressure(temperature_c: N) -> N:
    """Vapour pressure of saturated air over water, Pa; -45 to 60 deg C."""
    return AT_ZERO_PA * elementwise(np.exp, SLOPE * temperature_c / (OFFSET_K + temperature_c))


def dew_point_of(pressure_pa: N) -> N:
    """Temperature in deg C at which air with this vapour pressure (above 0 Pa) is saturated over water."""
    logarithm = elementwise(np.log, pressure_pa / AT_ZERO_PA)
    return OFFSET_K * logarithm / (SLOPE - logarithm)


def dew_point(temperature_c: N, humidity: N | float) -> N:
    """Dew point in deg C of air at a temperature and a relative humidity above 0, as a fraction."""
    return dew_point_of(saturation_pressure(temperature_c) * humidity)


def relative_humidity(temperature_c: N, dew_point_c: N | float) -> N:
    """Relative humidity as a fraction, from the dew point over water."""
    return saturation_pressure(dew_point_c + 0 * temperature_c) / saturation_pressure(temperature_c)


def frost_point_of(pressure_pa: N) -> N:
    """Temperature in deg C at which air with this vapour pressure (above 0 Pa) is saturated over ice; to -65 deg C."""
    logarithm = elementwise(np.log, pressure_pa / AT_ZERO_PA)
    return ICE_OFFSET_K * logarithm / (ICE_SLOPE - logarithm)


def deposit_point(dew_point_c: N, air_c: N | float) -> N:
    """Temperature in deg C below which a surface gathers dew or, below freezing, frost.

    Frost comes sooner than dew would: its point lies above the dew point, by 1 K at -10 deg C. It never lies above
    the temperature of the air, which would shed what is too much as rime or fog.
    """
    frost = frost_point_of(saturation_pressure(dew_point_c))
    return elementwise(np.minimum, elementwise(np.maximum, dew_point_c, frost), air_c)
