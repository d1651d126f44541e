"""Cold air: what to add to a published minimum altitude, and how high an indicated altitude really is."""

from __future__ import annotations

import math

from briefgen.kernel.atmosphere import require_air_temperature
from briefgen.kernel.constants import KELVIN_AT_0_DEGC, TEMPERATURE_LAPSE_K_PER_M
from briefgen.kernel.limits import require_within

_HIGHEST_HEIGHT_M = 10000.0  # the formula takes one lapse from the ground up: troposphere only
_HIGHEST_ELEVATION_M = 5000.0
_LOWEST_ELEVATION_M = -500.0
# As the source writes them: 273.15 for 273 would make the correction smaller.
_STANDARD_DEGC = 15.0
_ABSOLUTE_ZERO_BELOW_0_DEGC = 273.0


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
