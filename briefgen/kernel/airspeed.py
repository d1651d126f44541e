"""Calibrated, equivalent and true airspeed, Mach number and the pressures they rest on, with compressibility.

Calibrated airspeed is indicated airspeed freed of instrument and position error. All relations are subsonic.
"""

from __future__ import annotations

import math

from briefgen.kernel.atmosphere import pressure_at_altitude, speed_of_sound
from briefgen.kernel.constants import (
    HEAT_CAPACITY_RATIO,
    SEA_LEVEL_PRESSURE_PA,
    SEA_LEVEL_TEMPERATURE_K,
)
from briefgen.kernel.limits import require_within

_ISENTROPIC_EXPONENT = HEAT_CAPACITY_RATIO / (HEAT_CAPACITY_RATIO - 1.0)  # 7/2
_RAM_FACTOR = (HEAT_CAPACITY_RATIO - 1.0) / 2.0  # 1/5
_SEA_LEVEL_SPEED_OF_SOUND_M_PER_S = speed_of_sound(SEA_LEVEL_TEMPERATURE_K)


def _impact_pressure_ratio(mach: float) -> float:
    return math.pow(1.0 + _RAM_FACTOR * mach * mach, _ISENTROPIC_EXPONENT) - 1.0


def _mach_of_impact_pressure_ratio(ratio: float) -> float:
    return math.sqrt((math.pow(ratio + 1.0, 1.0 / _ISENTROPIC_EXPONENT) - 1.0) / _RAM_FACTOR)


def impact_pressure(calibrated_airspeed_m_per_s: float) -> float:
    """Return the impact pressure (total less static) that an airspeed indicator reads as a calibrated airspeed.

    Args:
        calibrated_airspeed_m_per_s: Calibrated airspeed [m/s], zero to the standard sea-level speed of sound.

    Returns:
        Impact pressure [Pa].

    Raises:
        OutOfRangeError: The airspeed lies outside that range.

    Source:
        Society of Flight Test Engineers, Reference Handbook, 2013, ch. 4 (isentropic flow, sea-level standard).
    """
    require_within("calibrated airspeed", calibrated_airspeed_m_per_s, 0.0, _SEA_LEVEL_SPEED_OF_SOUND_M_PER_S, "m/s")
    return SEA_LEVEL_PRESSURE_PA * _impact_pressure_ratio(
        calibrated_airspeed_m_per_s / _SEA_LEVEL_SPEED_OF_SOUND_M_PER_S
    )


def mach_from_calibrated(calibrated_airspeed_m_per_s: float, pressure_altitude_m: float) -> float:
    """Return the Mach number of a calibrated airspeed at a pressure altitude.

    Args:
        calibrated_airspeed_m_per_s: Calibrated airspeed [m/s].
        pressure_altitude_m: Pressure altitude [m], -1,000 to 20,000.

    Returns:
        Mach number [-], 0 to 1.

    Raises:
        OutOfRangeError: A value lies outside its range, or the flow would be supersonic.

    Source:
        Society of Flight Test Engineers, Reference Handbook, 2013, ch. 4: M = sqrt(5((qc/p + 1)^(2/7) - 1)).
    """
    ratio = impact_pressure(calibrated_airspeed_m_per_s) / pressure_at_altitude(pressure_altitude_m)
    mach = _mach_of_impact_pressure_ratio(ratio)
    require_within("Mach number", mach, 0.0, 1.0)
    return mach


def calibrated_from_mach(mach: float, pressure_altitude_m: float) -> float:
    """Return the calibrated airspeed of a Mach number at a pressure altitude.

    Args:
        mach: Mach number [-], 0 to 1.
        pressure_altitude_m: Pressure altitude [m], -1,000 to 20,000.

    Returns:
        Calibrated airspeed [m/s].

    Raises:
        OutOfRangeError: A value lies outside its range, or the airspeed is above the sea-level speed of sound.

    Source:
        Society of Flight Test Engineers, Reference Handbook, 2013, ch. 4, solved for the calibrated airspeed.
    """
    require_within("Mach number", mach, 0.0, 1.0)
    impact_pa = pressure_at_altitude(pressure_altitude_m) * _impact_pressure_ratio(mach)
    sea_level_mach = _mach_of_impact_pressure_ratio(impact_pa / SEA_LEVEL_PRESSURE_PA)
    calibrated_m_per_s = sea_level_mach * _SEA_LEVEL_SPEED_OF_SOUND_M_PER_S
    require_within("calibrated airspeed", calibrated_m_per_s, 0.0, _SEA_LEVEL_SPEED_OF_SOUND_M_PER_S, "m/s")
    return calibrated_m_per_s


def true_from_mach(mach: float, temperature_k: float) -> float:
    """Return the true airspeed of a Mach number.

    Args:
        mach: Mach number [-], 0 to 1.
        temperature_k: Static air temperature [K].

    Returns:
        True airspeed [m/s].

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        Definition of Mach number.
    """
    require_within("Mach number", mach, 0.0, 1.0)
    return mach * speed_of_sound(temperature_k)


def mach_from_true(true_airspeed_m_per_s: float, temperature_k: float) -> float:
    """Return the Mach number of a true airspeed.

    Args:
        true_airspeed_m_per_s: True airspeed [m/s], not negative and subsonic.
        temperature_k: Static air temperature [K].

    Returns:
        Mach number [-], 0 to 1.

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        Definition of Mach number.
    """
    mach = true_airspeed_m_per_s / speed_of_sound(temperature_k)
    require_within("Mach number", mach, 0.0, 1.0)
    return mach


def true_from_calibrated(calibrated_airspeed_m_per_s: float, pressure_altitude_m: float, temperature_k: float) -> float:
    """Return the true airspeed of a calibrated airspeed.

    Args:
        calibrated_airspeed_m_per_s: Calibrated airspeed [m/s].
        pressure_altitude_m: Pressure altitude [m], -1,000 to 20,000.
        temperature_k: Static air temperature [K].

    Returns:
        True airspeed [m/s].

    Raises:
        OutOfRangeError: A value lies outside its range, or the flow would be supersonic.

    Source:
        Society of Flight Test Engineers, Reference Handbook, 2013, ch. 4.
    """
    return mach_from_calibrated(calibrated_airspeed_m_per_s, pressure_altitude_m) * speed_of_sound(temperature_k)


def calibrated_from_true(true_airspeed_m_per_s: float, pressure_altitude_m: float, temperature_k: float) -> float:
    """Return the calibrated airspeed of a true airspeed.

    Args:
        true_airspeed_m_per_s: True airspeed [m/s].
        pressure_altitude_m: Pressure altitude [m], -1,000 to 20,000.
        temperature_k: Static air temperature [K].

    Returns:
        Calibrated airspeed [m/s].

    Raises:
        OutOfRangeError: A value lies outside its range, or the flow would be supersonic.

    Source:
        Society of Flight Test Engineers, Reference Handbook, 2013, ch. 4.
    """
    return calibrated_from_mach(mach_from_true(true_airspeed_m_per_s, temperature_k), pressure_altitude_m)


def equivalent_from_calibrated(calibrated_airspeed_m_per_s: float, pressure_altitude_m: float) -> float:
    """Return the equivalent airspeed of a calibrated airspeed; the temperature does not matter.

    Args:
        calibrated_airspeed_m_per_s: Calibrated airspeed [m/s].
        pressure_altitude_m: Pressure altitude [m], -1,000 to 20,000.

    Returns:
        Equivalent airspeed [m/s].

    Raises:
        OutOfRangeError: A value lies outside its range, or the flow would be supersonic.

    Source:
        Society of Flight Test Engineers, Reference Handbook, 2013, ch. 4, scale-altitude correction:
        Ve = a0 M sqrt(p/p0).
    """
    mach = mach_from_calibrated(calibrated_airspeed_m_per_s, pressure_altitude_m)
    pressure_ratio = pressure_at_altitude(pressure_altitude_m) / SEA_LEVEL_PRESSURE_PA
    return _SEA_LEVEL_SPEED_OF_SOUND_M_PER_S * mach * math.sqrt(pressure_ratio)


def calibrated_from_equivalent(equivalent_airspeed_m_per_s: float, pressure_altitude_m: float) -> float:
    """Return the calibrated airspeed of an equivalent airspeed; the temperature does not matter.

    Args:
        equivalent_airspeed_m_per_s: Equivalent airspeed [m/s].
        pressure_altitude_m: Pressure altitude [m], -1,000 to 20,000.

    Returns:
        Calibrated airspeed [m/s].

    Raises:
        OutOfRangeError: A value lies outside its range, or the flow would be supersonic.

    Source:
        Society of Flight Test Engineers, Reference Handbook, 2013, ch. 4, scale-altitude correction reversed.
    """
    pressure_ratio = pressure_at_altitude(pressure_altitude_m) / SEA_LEVEL_PRESSURE_PA
    mach = equivalent_airspeed_m_per_s / (_SEA_LEVEL_SPEED_OF_SOUND_M_PER_S * math.sqrt(pressure_ratio))
    return calibrated_from_mach(mach, pressure_altitude_m)


def dynamic_pressure(true_airspeed_m_per_s: float, density_kg_per_m3: float) -> float:
    """Return the dynamic pressure, half the density times the square of the true airspeed.

    Args:
        true_airspeed_m_per_s: True airspeed [m/s].
        density_kg_per_m3: Air density [kg/m3].

    Returns:
        Dynamic pressure [Pa].

    Source:
        Definition.
    """
    return 0.5 * density_kg_per_m3 * true_airspeed_m_per_s * true_airspeed_m_per_s
