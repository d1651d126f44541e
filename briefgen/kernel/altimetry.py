"""What an altimeter shows, and the altitude that goes with it.

An altimeter measures pressure and turns it into altitude by the standard atmosphere; its setting only shifts the scale.
The altitude that clears ground also depends on the temperature of the air below.
"""

from __future__ import annotations

import math

from briefgen.kernel.atmosphere import (
    altitude_at_pressure,
    geometric_from_geopotential,
    geopotential_from_geometric,
    pressure_at_altitude,
    require_air_temperature,
    standard_temperature,
)
from briefgen.kernel.constants import KELVIN_AT_0_DEGC, TEMPERATURE_LAPSE_K_PER_M, TROPOPAUSE_ALTITUDE_M
from briefgen.kernel.limits import require_within

# Sea-level pressures on record run from 870 hPa to 1085 hPa (WMO Archive of Weather and Climate Extremes).
LOWEST_ALTIMETER_SETTING_PA = 85000.0
HIGHEST_ALTIMETER_SETTING_PA = 110000.0
_HIGHEST_HEIGHT_M = 10000.0  # the formula takes one lapse from the ground up: troposphere only
_HIGHEST_ELEVATION_M = 5000.0
_LOWEST_ELEVATION_M = -500.0
# As the source writes them: 273.15 for 273 would make the correction smaller.
_STANDARD_DEGC = 15.0
_ABSOLUTE_ZERO_BELOW_0_DEGC = 273.0


def setting_altitude(altimeter_setting_pa: float) -> float:
    """Return the pressure altitude of the level where an altimeter with a given setting reads zero.

    Args:
        altimeter_setting_pa: Altimeter setting, sea level (QNH) or station (QFE) pressure [Pa], 85,000 to 110,000.

    Returns:
        Pressure altitude of the zero of the scale [m].

    Raises:
        OutOfRangeError: The setting lies outside that range.

    Source:
        ICAO Doc 7488, Manual of the Standard Atmosphere: the altimeter is graduated by the standard atmosphere.
    """
    require_within(
        "altimeter setting", altimeter_setting_pa, LOWEST_ALTIMETER_SETTING_PA, HIGHEST_ALTIMETER_SETTING_PA, "Pa"
    )
    return altitude_at_pressure(altimeter_setting_pa)


def pressure_altitude(indicated_altitude_m: float, altimeter_setting_pa: float) -> float:
    """Return the pressure altitude where an altimeter with a given setting shows an altitude.

    With the elevation of an airfield and its sea-level setting this is the pressure altitude of the field.

    Args:
        indicated_altitude_m: Altitude shown, or elevation of the field [m].
        altimeter_setting_pa: Altimeter setting [Pa], 85,000 to 110,000.

    Returns:
        Pressure altitude [m].

    Raises:
        OutOfRangeError: The setting lies outside its range, or the result outside -1,000 to 20,000 m.

    Source:
        ICAO Doc 7488, Manual of the Standard Atmosphere: the altimeter is graduated by the standard atmosphere.
    """
    altitude_m = indicated_altitude_m + setting_altitude(altimeter_setting_pa)
    pressure_at_altitude(altitude_m)
    return altitude_m


def indicated_altitude(pressure_altitude_m: float, altimeter_setting_pa: float) -> float:
    """Return the altitude that an altimeter with a given setting shows at a pressure altitude.

    Args:
        pressure_altitude_m: Pressure altitude [m], -1,000 to 20,000.
        altimeter_setting_pa: Altimeter setting [Pa], 85,000 to 110,000; a station pressure gives height above it.

    Returns:
        Indicated altitude [m].

    Raises:
        OutOfRangeError: The setting or the altitude lies outside its range.

    Source:
        ICAO Doc 7488, Manual of the Standard Atmosphere: the altimeter is graduated by the standard atmosphere.
    """
    pressure_at_altitude(pressure_altitude_m)
    return pressure_altitude_m - setting_altitude(altimeter_setting_pa)


def station_pressure(elevation_m: float, altimeter_setting_pa: float) -> float:
    """Return the pressure at a field (its QFE) from its elevation and sea-level altimeter setting (QNH).

    Args:
        elevation_m: Elevation of the field above mean sea level [m].
        altimeter_setting_pa: Sea-level altimeter setting [Pa], 85,000 to 110,000.

    Returns:
        Static pressure at the field [Pa].

    Raises:
        OutOfRangeError: The setting lies outside its range, or the field outside -1,000 to 20,000 m of pressure
            altitude.

    Source:
        ICAO Doc 7488, Manual of the Standard Atmosphere; definition of QNH and QFE, ICAO Doc 8168.
    """
    return pressure_at_altitude(pressure_altitude(elevation_m, altimeter_setting_pa))


def altimeter_setting(elevation_m: float, station_pressure_pa: float) -> float:
    """Return the sea-level altimeter setting (QNH) of a field from its elevation and its pressure (QFE).

    Args:
        elevation_m: Elevation of the field above mean sea level [m].
        station_pressure_pa: Static pressure at the field [Pa].

    Returns:
        Sea-level altimeter setting [Pa].

    Raises:
        OutOfRangeError: The pressure is not one of the atmosphere below 20 km, or the setting lies outside 85,000 to
            110,000 Pa.

    Source:
        ICAO Doc 7488, Manual of the Standard Atmosphere; definition of QNH and QFE, ICAO Doc 8168.
    """
    setting_pa = pressure_at_altitude(altitude_at_pressure(station_pressure_pa) - elevation_m)
    require_within("altimeter setting", setting_pa, LOWEST_ALTIMETER_SETTING_PA, HIGHEST_ALTIMETER_SETTING_PA, "Pa")
    return setting_pa


def true_altitude(
    pressure_altitude_m: float, elevation_m: float, altimeter_setting_pa: float, temperature_deviation_k: float
) -> float:
    """Return the geometric altitude above mean sea level of a pressure altitude, above a field with a known setting.

    Args:
        pressure_altitude_m: Pressure altitude [m], -1,000 to 20,000.
        elevation_m: Geometric elevation of the field the setting comes from [m].
        altimeter_setting_pa: Its sea-level altimeter setting [Pa], 85,000 to 110,000.
        temperature_deviation_k: How much warmer than standard the air is, all the way between the two levels [K].

    Returns:
        Geometric altitude [m].

    Raises:
        OutOfRangeError: A value lies outside its range, or the deviation makes air of an impossible temperature.

    Source:
        Hydrostatic equation integrated over the standard lapse with a constant deviation; in the troposphere this is
        "Temperature Compensated Barometric Altitude", Society of Flight Test Engineers, Reference Handbook, 2013,
        ch. 3.

    Departs from the source:
        The source writes the result in geopotential altitude and for the troposphere only.
    """
    require_air_temperature(standard_temperature(pressure_altitude_m) + temperature_deviation_k)
    field_m = pressure_altitude(elevation_m, altimeter_setting_pa)
    require_air_temperature(standard_temperature(field_m) + temperature_deviation_k)
    deviation_effect_m = temperature_deviation_k * (
        _altitude_per_standard_temperature(pressure_altitude_m) - _altitude_per_standard_temperature(field_m)
    )
    climbed_m = pressure_altitude_m - field_m + deviation_effect_m
    return geometric_from_geopotential(geopotential_from_geometric(elevation_m) + climbed_m)


def _altitude_per_standard_temperature(altitude_m: float) -> float:
    """Return the integral from sea level to an altitude of the altitude over the standard temperature [m/K]."""
    top_m = min(altitude_m, TROPOPAUSE_ALTITUDE_M)
    tropospheric = math.log(standard_temperature(top_m) / standard_temperature(0.0)) / TEMPERATURE_LAPSE_K_PER_M
    return tropospheric + (altitude_m - top_m) / standard_temperature(TROPOPAUSE_ALTITUDE_M)


def cold_temperature_correction(
    height_m: float, elevation_m: float, temperature_k: float, *, source_elevation_m: float | None = None
) -> float:
    """Return what to add to a minimum height above an altimeter-setting source in cold air.

    Args:
        height_m: Published minimum height above the altimeter-setting source [m], 0 to 10,000.
        elevation_m: Elevation of the aerodrome whose temperature is given [m], -500 to 5,000.
        temperature_k: Temperature at the aerodrome [K].
        source_elevation_m: Elevation of the altimeter-setting source [m]; None when it is the aerodrome itself.

    Returns:
        Correction to add [m]; zero, never less, when the air is at or above standard temperature.

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        ICAO Doc 8168 (PANS-OPS), Volume I, altimeter corrections for temperature: H (15 - t0) / (273 + t0 -
        0.5 L0 (H + Hss)), with t0 the aerodrome temperature brought to sea level.
    """
    require_within("height above the altimeter-setting source", height_m, 0.0, _HIGHEST_HEIGHT_M, "m")
    missing_k, layer_k, half_lapse = _layer(elevation_m, temperature_k, source_elevation_m)
    return max(0.0, height_m * missing_k / (layer_k - half_lapse * height_m))


def true_height_in_cold_air(
    indicated_height_m: float, elevation_m: float, temperature_k: float, *, source_elevation_m: float | None = None
) -> float:
    """Return how high an aircraft is above an altimeter-setting source whose altimeter, set to it, shows a height.

    It is compared with the height that ground or a safe altitude asks for: in cold air she is lower than she reads, in
    warm air she is taken to be as high as she reads, never higher.

    Args:
        indicated_height_m: Indicated altitude less the elevation of the altimeter-setting source [m], 0 to 10,000.
        elevation_m: Elevation of the aerodrome whose temperature is given [m], -500 to 5,000.
        temperature_k: Temperature at the aerodrome [K].
        source_elevation_m: Elevation of the altimeter-setting source [m]; None when it is the aerodrome itself.

    Returns:
        True height above the source [m], at most the indicated one.

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        The height whose `cold_temperature_correction` brings it to the indicated one: the lesser root of a quadratic.
    """
    require_within("height above the altimeter-setting source", indicated_height_m, 0.0, _HIGHEST_HEIGHT_M, "m")
    missing_k, layer_k, half_lapse = _layer(elevation_m, temperature_k, source_elevation_m)
    if missing_k <= 0.0:
        return indicated_height_m
    middle = missing_k + layer_k + half_lapse * indicated_height_m
    constant = indicated_height_m * layer_k
    return 2.0 * constant / (middle + math.sqrt(middle * middle - 4.0 * half_lapse * constant))


def _layer(elevation_m: float, temperature_k: float, source_elevation_m: float | None) -> tuple[float, float, float]:
    """Return the cold at sea level [K], the mean layer temperature for no height [K] and half the lapse [K/m]."""
    require_within("aerodrome elevation", elevation_m, _LOWEST_ELEVATION_M, _HIGHEST_ELEVATION_M, "m")
    require_air_temperature(temperature_k)
    station_m = elevation_m if source_elevation_m is None else source_elevation_m
    require_within(
        "elevation of the altimeter-setting source", station_m, _LOWEST_ELEVATION_M, _HIGHEST_ELEVATION_M, "m"
    )
    lapse_k_per_m = -TEMPERATURE_LAPSE_K_PER_M
    sea_level_degc = temperature_k - KELVIN_AT_0_DEGC + lapse_k_per_m * elevation_m
    layer_k = _ABSOLUTE_ZERO_BELOW_0_DEGC + sea_level_degc - 0.5 * lapse_k_per_m * station_m
    return _STANDARD_DEGC - sea_level_degc, layer_k, 0.5 * lapse_k_per_m
