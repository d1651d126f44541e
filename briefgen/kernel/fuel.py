"""Density of aviation gasoline at its temperature."""

from __future__ import annotations

import math

from briefgen.kernel.limits import require_within

LEAST_DENSITY_KG_PER_M3 = 653.0
GREATEST_DENSITY_KG_PER_M3 = 770.0
LEAST_TEMPERATURE_K = 223.15
GREATEST_TEMPERATURE_K = 328.15

# Gasolines, density at 15 degC in kg/m3: ASTM D1250-80 (API 2540), table 54B. From memory.
_BASE_TEMPERATURE_K = 288.15
_EXPANSION_SQUARED_KG2_PER_M6_K = 346.4228
_EXPANSION_KG_PER_M3_K = 0.4388
_CURVATURE = 0.8

_ITERATIONS = 20
_SAME_DENSITY_KG_PER_M3 = 1e-9


def density_at_temperature(density_kg_per_m3: float, measured_at_k: float, temperature_k: float) -> float:
    """Return the density of a gasoline at a temperature from its density at another.

    Args:
        density_kg_per_m3: Density as measured, 653 to 770 [kg/m3].
        measured_at_k: Temperature of that measurement, 223.15 to 328.15 [K].
        temperature_k: Temperature for which the density is wanted, 223.15 to 328.15 [K].

    Returns:
        Density [kg/m3].

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        ASTM D1250-80 (API 2540), table 54B for gasolines: volume factor exp(-a t (1 + 0.8 a t)) from 15 degC, with
        a = 346.4228 / d^2 + 0.4388 / d. The coefficients are from memory.
    """
    require_within("fuel density", density_kg_per_m3, LEAST_DENSITY_KG_PER_M3, GREATEST_DENSITY_KG_PER_M3, "kg/m3")
    require_within("fuel temperature", measured_at_k, LEAST_TEMPERATURE_K, GREATEST_TEMPERATURE_K, "K")
    require_within("fuel temperature", temperature_k, LEAST_TEMPERATURE_K, GREATEST_TEMPERATURE_K, "K")
    base_kg_per_m3 = density_kg_per_m3
    for _ in range(_ITERATIONS):
        before_kg_per_m3 = base_kg_per_m3
        base_kg_per_m3 = density_kg_per_m3 / _volume_factor(before_kg_per_m3, measured_at_k)
        if abs(base_kg_per_m3 - before_kg_per_m3) < _SAME_DENSITY_KG_PER_M3:
            break
    return base_kg_per_m3 * _volume_factor(base_kg_per_m3, temperature_k)


def _volume_factor(base_kg_per_m3: float, temperature_k: float) -> float:
    expansion_per_k = _EXPANSION_SQUARED_KG2_PER_M6_K / base_kg_per_m3**2 + _EXPANSION_KG_PER_M3_K / base_kg_per_m3
    rise = expansion_per_k * (temperature_k - _BASE_TEMPERATURE_K)
    return math.exp(-rise * (1.0 + _CURVATURE * rise))
