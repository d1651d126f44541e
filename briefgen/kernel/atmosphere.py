"""The standard atmosphere, and the density of air that departs from it.

Altitudes are geopotential unless the name says geometric. The standard is used from 1,000 m below sea level to 20 km:
the troposphere and the isothermal layer above it.
"""

from __future__ import annotations

import math

from briefgen.errors import OutOfRangeError
from briefgen.kernel.constants import (
    AIR_GAS_CONSTANT_J_PER_KG_K,
    HEAT_CAPACITY_RATIO,
    KELVIN_AT_0_DEGC,
    SEA_LEVEL_DENSITY_KG_PER_M3,
    SEA_LEVEL_PRESSURE_PA,
    SEA_LEVEL_TEMPERATURE_K,
    STANDARD_EARTH_RADIUS_M,
    STANDARD_GRAVITY_M_PER_S2,
    TEMPERATURE_LAPSE_K_PER_M,
    TROPOPAUSE_ALTITUDE_M,
    WATER_VAPOUR_GAS_CONSTANT_J_PER_KG_K,
)
from briefgen.kernel.limits import quantity_text, require_within

LOWEST_ALTITUDE_M = -1000.0  # below any airfield in the deepest high-pressure system
HIGHEST_ALTITUDE_M = 20000.0  # top of the isothermal layer: U.S. Standard Atmosphere, 1976, table 4
LOWEST_DENSITY_ALTITUDE_M = -5000.0  # lowest altitude the standard tabulates; dense cold air reaches below -1,000 m
LOWEST_TEMPERATURE_K = 170.0  # colder than any air ever measured below 20 km
HIGHEST_TEMPERATURE_K = 340.0  # hotter than any air ever measured

_PRESSURE_EXPONENT = -STANDARD_GRAVITY_M_PER_S2 / (AIR_GAS_CONSTANT_J_PER_KG_K * TEMPERATURE_LAPSE_K_PER_M)
_DENSITY_EXPONENT = _PRESSURE_EXPONENT - 1.0
_TROPOPAUSE_TEMPERATURE_K = SEA_LEVEL_TEMPERATURE_K + TEMPERATURE_LAPSE_K_PER_M * TROPOPAUSE_ALTITUDE_M
_TROPOPAUSE_PRESSURE_PA = SEA_LEVEL_PRESSURE_PA * math.pow(
    _TROPOPAUSE_TEMPERATURE_K / SEA_LEVEL_TEMPERATURE_K, _PRESSURE_EXPONENT
)
_TROPOPAUSE_DENSITY_KG_PER_M3 = _TROPOPAUSE_PRESSURE_PA / (AIR_GAS_CONSTANT_J_PER_KG_K * _TROPOPAUSE_TEMPERATURE_K)
_ISOTHERMAL_SCALE_HEIGHT_M = AIR_GAS_CONSTANT_J_PER_KG_K * _TROPOPAUSE_TEMPERATURE_K / STANDARD_GRAVITY_M_PER_S2

# Saturation vapour pressure over water, Magnus form: Alduchov and Eskridge, J. Appl. Meteorol. 35 (1996), equation 21.
_MAGNUS_PRESSURE_PA = 610.94
_MAGNUS_FACTOR = 17.625
_MAGNUS_OFFSET_K = 243.04


def standard_temperature(altitude_m: float) -> float:
    """Return the temperature of the standard atmosphere at an altitude.

    Args:
        altitude_m: Geopotential altitude above mean sea level [m], -1,000 to 20,000.

    Returns:
        Temperature [K].

    Raises:
        OutOfRangeError: The altitude lies outside that range.

    Source:
        U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), equation 23.
    """
    require_within("altitude", altitude_m, LOWEST_ALTITUDE_M, HIGHEST_ALTITUDE_M, "m")
    if altitude_m < TROPOPAUSE_ALTITUDE_M:
        return SEA_LEVEL_TEMPERATURE_K + TEMPERATURE_LAPSE_K_PER_M * altitude_m
    return _TROPOPAUSE_TEMPERATURE_K


def pressure_at_altitude(altitude_m: float) -> float:
    """Return the static pressure of the standard atmosphere at an altitude.

    Args:
        altitude_m: Geopotential (pressure) altitude above the standard sea level [m], -1,000 to 20,000.

    Returns:
        Static pressure [Pa].

    Raises:
        OutOfRangeError: The altitude lies outside that range.

    Source:
        U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), equations 33a (troposphere) and 33b (isothermal layer).
    """
    require_within("altitude", altitude_m, LOWEST_ALTITUDE_M, HIGHEST_ALTITUDE_M, "m")
    if altitude_m < TROPOPAUSE_ALTITUDE_M:
        temperature_ratio = 1.0 + TEMPERATURE_LAPSE_K_PER_M * altitude_m / SEA_LEVEL_TEMPERATURE_K
        return SEA_LEVEL_PRESSURE_PA * math.pow(temperature_ratio, _PRESSURE_EXPONENT)
    return _TROPOPAUSE_PRESSURE_PA * math.exp((TROPOPAUSE_ALTITUDE_M - altitude_m) / _ISOTHERMAL_SCALE_HEIGHT_M)


_HIGHEST_PRESSURE_PA = pressure_at_altitude(LOWEST_ALTITUDE_M)
_LOWEST_PRESSURE_PA = pressure_at_altitude(HIGHEST_ALTITUDE_M)


def altitude_at_pressure(pressure_pa: float) -> float:
    """Return the pressure altitude: where the standard atmosphere has a given static pressure.

    Args:
        pressure_pa: Static pressure [Pa], that of -1,000 to 20,000 m.

    Returns:
        Geopotential pressure altitude [m].

    Raises:
        OutOfRangeError: The standard atmosphere does not have that pressure between -1,000 and 20,000 m.

    Source:
        U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), equations 33a and 33b solved for the altitude.
    """
    require_within("static pressure", pressure_pa, _LOWEST_PRESSURE_PA, _HIGHEST_PRESSURE_PA, "Pa")
    if pressure_pa > _TROPOPAUSE_PRESSURE_PA:
        temperature_ratio = math.pow(pressure_pa / SEA_LEVEL_PRESSURE_PA, 1.0 / _PRESSURE_EXPONENT)
        return (temperature_ratio - 1.0) * SEA_LEVEL_TEMPERATURE_K / TEMPERATURE_LAPSE_K_PER_M
    return TROPOPAUSE_ALTITUDE_M - _ISOTHERMAL_SCALE_HEIGHT_M * math.log(pressure_pa / _TROPOPAUSE_PRESSURE_PA)


def require_air_temperature(temperature_k: float) -> None:
    """Raise unless a temperature is one that air can have below 20 km.

    Args:
        temperature_k: Air temperature [K], 170 to 340.

    Raises:
        OutOfRangeError: The temperature lies outside that range.

    Source:
        Assumption: wider than every temperature recorded in air below 20 km; catches Celsius passed as kelvin.
    """
    require_within("air temperature", temperature_k, LOWEST_TEMPERATURE_K, HIGHEST_TEMPERATURE_K, "K")


def density(pressure_pa: float, temperature_k: float) -> float:
    """Return the density of dry air.

    Args:
        pressure_pa: Static pressure [Pa].
        temperature_k: Static air temperature [K], 170 to 340.

    Returns:
        Density [kg/m3].

    Raises:
        OutOfRangeError: The pressure or the temperature is not one of air below 20 km.

    Source:
        U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), equation 42 (perfect gas).
    """
    require_within("static pressure", pressure_pa, _LOWEST_PRESSURE_PA, _HIGHEST_PRESSURE_PA, "Pa")
    require_air_temperature(temperature_k)
    return pressure_pa / (AIR_GAS_CONSTANT_J_PER_KG_K * temperature_k)


def vapour_pressure(dew_point_k: float) -> float:
    """Return the partial pressure of water vapour in air of a given dew point.

    Args:
        dew_point_k: Dew point, over water [K], 233.15 to 323.15.

    Returns:
        Vapour pressure [Pa].

    Raises:
        OutOfRangeError: The dew point lies outside the range of the fit.

    Source:
        Alduchov and Eskridge, Journal of Applied Meteorology 35 (1996), equation 21, stated for -40 to 50 degC.
    """
    require_within("dew point", dew_point_k, 233.15, 323.15, "K")
    dew_point_above_freezing_k = dew_point_k - KELVIN_AT_0_DEGC
    exponent = _MAGNUS_FACTOR * dew_point_above_freezing_k / (dew_point_above_freezing_k + _MAGNUS_OFFSET_K)
    return _MAGNUS_PRESSURE_PA * math.exp(exponent)


def moist_density(pressure_pa: float, temperature_k: float, dew_point_k: float) -> float:
    """Return the density of moist air.

    Args:
        pressure_pa: Static pressure [Pa].
        temperature_k: Static air temperature [K], 170 to 340.
        dew_point_k: Dew point [K], 233.15 to 323.15 and not above the temperature.

    Returns:
        Density [kg/m3].

    Raises:
        OutOfRangeError: A value lies outside its range, or the dew point is above the temperature.

    Source:
        Dalton's law with perfect gases; vapour pressure after Alduchov and Eskridge (1996).
    """
    dry_air_density_kg_per_m3 = density(pressure_pa, temperature_k)
    if dew_point_k > temperature_k:
        raise OutOfRangeError(
            f"dew point {quantity_text(dew_point_k, 'K')} is above the air temperature {quantity_text(temperature_k, 'K')}",
            expected="a dew point at or below the air temperature",
        )
    vapour_pa = vapour_pressure(dew_point_k)
    displaced_kg_per_m3 = vapour_pa / (AIR_GAS_CONSTANT_J_PER_KG_K * temperature_k)
    vapour_kg_per_m3 = vapour_pa / (WATER_VAPOUR_GAS_CONSTANT_J_PER_KG_K * temperature_k)
    return dry_air_density_kg_per_m3 - displaced_kg_per_m3 + vapour_kg_per_m3


def altitude_at_density(density_kg_per_m3: float) -> float:
    """Return the density altitude: where the standard atmosphere has a given density.

    Args:
        density_kg_per_m3: Air density [kg/m3], that of -5,000 to 20,000 m.

    Returns:
        Geopotential density altitude [m].

    Raises:
        OutOfRangeError: The standard atmosphere does not have that density between -5,000 and 20,000 m.

    Source:
        U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), equations 33a, 33b and 42 solved for the altitude.
    """
    require_within("air density", density_kg_per_m3, _LOWEST_DENSITY_KG_PER_M3, _HIGHEST_DENSITY_KG_PER_M3, "kg/m3")
    if density_kg_per_m3 > _TROPOPAUSE_DENSITY_KG_PER_M3:
        temperature_ratio = math.pow(density_kg_per_m3 / SEA_LEVEL_DENSITY_KG_PER_M3, 1.0 / _DENSITY_EXPONENT)
        return (temperature_ratio - 1.0) * SEA_LEVEL_TEMPERATURE_K / TEMPERATURE_LAPSE_K_PER_M
    density_ratio = density_kg_per_m3 / _TROPOPAUSE_DENSITY_KG_PER_M3
    return TROPOPAUSE_ALTITUDE_M - _ISOTHERMAL_SCALE_HEIGHT_M * math.log(density_ratio)


_LOWEST_DENSITY_KG_PER_M3 = _LOWEST_PRESSURE_PA / (AIR_GAS_CONSTANT_J_PER_KG_K * _TROPOPAUSE_TEMPERATURE_K)
_HIGHEST_DENSITY_KG_PER_M3 = SEA_LEVEL_DENSITY_KG_PER_M3 * math.pow(
    1.0 + TEMPERATURE_LAPSE_K_PER_M * LOWEST_DENSITY_ALTITUDE_M / SEA_LEVEL_TEMPERATURE_K, _DENSITY_EXPONENT
)


def density_altitude(pressure_altitude_m: float, temperature_k: float, dew_point_k: float | None = None) -> float:
    """Return the density altitude of air at a pressure altitude and temperature, dry or of a given dew point.

    Args:
        pressure_altitude_m: Pressure altitude [m], -1,000 to 20,000.
        temperature_k: Static air temperature [K], 170 to 340.
        dew_point_k: Dew point [K]; None for dry air, which gives the lower (optimistic) figure.

    Returns:
        Geopotential density altitude [m].

    Raises:
        OutOfRangeError: A value lies outside its range, or the result below -5,000 or above 20,000 m.

    Source:
        Definition; U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562).
    """
    pressure_pa = pressure_at_altitude(pressure_altitude_m)
    if dew_point_k is None:
        return altitude_at_density(density(pressure_pa, temperature_k))
    return altitude_at_density(moist_density(pressure_pa, temperature_k, dew_point_k))


def speed_of_sound(temperature_k: float) -> float:
    """Return the speed of sound in air.

    Args:
        temperature_k: Static air temperature [K], 170 to 340.

    Returns:
        Speed of sound [m/s].

    Raises:
        OutOfRangeError: The temperature is not one of air below 20 km.

    Source:
        U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), equation 50.
    """
    require_air_temperature(temperature_k)
    return math.sqrt(HEAT_CAPACITY_RATIO * AIR_GAS_CONSTANT_J_PER_KG_K * temperature_k)


def geopotential_from_geometric(geometric_altitude_m: float) -> float:
    """Return the geopotential altitude of a geometric altitude.

    Args:
        geometric_altitude_m: Geometric altitude above mean sea level [m], -5,000 to 25,000.

    Returns:
        Geopotential altitude [m].

    Raises:
        OutOfRangeError: The altitude lies outside that range.

    Source:
        U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), equation 18.
    """
    require_within("geometric altitude", geometric_altitude_m, -5000.0, 25000.0, "m")
    return STANDARD_EARTH_RADIUS_M * geometric_altitude_m / (STANDARD_EARTH_RADIUS_M + geometric_altitude_m)


def geometric_from_geopotential(altitude_m: float) -> float:
    """Return the geometric altitude of a geopotential altitude.

    Args:
        altitude_m: Geopotential altitude above mean sea level [m], -5,000 to 25,000.

    Returns:
        Geometric altitude [m].

    Raises:
        OutOfRangeError: The altitude lies outside that range.

    Source:
        U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), equation 19.
    """
    require_within("geopotential altitude", altitude_m, -5000.0, 25000.0, "m")
    return STANDARD_EARTH_RADIUS_M * altitude_m / (STANDARD_EARTH_RADIUS_M - altitude_m)
