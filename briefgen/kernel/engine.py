"""Power and consumption of a piston engine from its manifold, engine speed and the air it breathes.

The indicated mean effective pressure rises with the charge the manifold offers less the residual gas that the exhaust
pressure leaves behind, and falls with the square root of the charge temperature; friction is taken off it. Pressures
are absolute. The coefficients belong to the aircraft file.
"""

from __future__ import annotations

import math

from briefgen.kernel.constants import HEAT_CAPACITY_RATIO

# A four-stroke engine fires each cylinder once in two turns, and an engine speed is in turns per minute.
_TURNS_PER_CYCLE = 2.0
_SECONDS_PER_MINUTE = 60.0
_COMPRESSION_EXPONENT = (HEAT_CAPACITY_RATIO - 1.0) / HEAT_CAPACITY_RATIO
_GAGG_FARRAR_SLOPE = 1.1324
_GAGG_FARRAR_LOSS = 0.1324
_FULL_CYCLE_S = _TURNS_PER_CYCLE * _SECONDS_PER_MINUTE


def brake_power(mean_effective_pressure_pa: float, displacement_m3: float, engine_speed_rpm: float) -> float:
    """Return the power of a four-stroke engine from its mean effective pressure.

    Args:
        mean_effective_pressure_pa: Mean effective pressure, brake or indicated [Pa].
        displacement_m3: Swept volume of all cylinders [m3].
        engine_speed_rpm: Engine speed [rpm].

    Returns:
        Power of the same kind, brake or indicated [W].

    Source:
        First principles; in the trade's units bhp = bmep[psi] * displacement[cu in] * rpm / 792,000.
    """
    return mean_effective_pressure_pa * displacement_m3 * engine_speed_rpm / _FULL_CYCLE_S


def mean_effective_pressure(power_w: float, displacement_m3: float, engine_speed_rpm: float) -> float:
    """Return the mean effective pressure of a four-stroke engine from its power.

    Args:
        power_w: Power, brake or indicated [W].
        displacement_m3: Swept volume of all cylinders [m3].
        engine_speed_rpm: Engine speed [rpm].

    Returns:
        Mean effective pressure of the same kind [Pa].

    Source:
        First principles, the inverse of `brake_power`.
    """
    return power_w * _FULL_CYCLE_S / (displacement_m3 * engine_speed_rpm)


def friction_mean_effective_pressure(
    engine_speed_rpm: float, reference_speed_rpm: float, constant_pa: float, quadratic_pa: float
) -> float:
    """Return the mean effective pressure lost to friction, pumping and the geared blower.

    Args:
        engine_speed_rpm: Engine speed [rpm].
        reference_speed_rpm: Engine speed to which the quadratic part refers [rpm].
        constant_pa: Part that does not change with engine speed [Pa].
        quadratic_pa: Part that grows with the square of engine speed, at the reference speed [Pa].

    Returns:
        Friction mean effective pressure [Pa].

    Source:
        Form after J. B. Heywood, Internal Combustion Engine Fundamentals, chapter 13 (from memory); the coefficients
        are the aircraft file's.
    """
    relative_speed = engine_speed_rpm / reference_speed_rpm
    return constant_pa + quadratic_pa * relative_speed * relative_speed


def charge_temperature_ratio(reference_temperature_k: float, carburettor_air_temperature_k: float) -> float:
    """Return the power at a carburettor air temperature as a ratio of that at the reference temperature.

    Args:
        reference_temperature_k: Carburettor air temperature at which the power is known [K].
        carburettor_air_temperature_k: Carburettor air temperature in use [K].

    Returns:
        Ratio of power at constant manifold pressure and engine speed [-].

    Source:
        Society of Flight Test Engineers, Reference Handbook, 2013, chapter 10: square root of the absolute
        temperatures.
    """
    return math.sqrt(reference_temperature_k / carburettor_air_temperature_k)


def intake_pressure(static_pressure_pa: float, mach: float, ram_ratio: float) -> float:
    """Return the pressure in the intake with part of the ram recovered.

    Args:
        static_pressure_pa: Static pressure of the air [Pa].
        mach: Mach number of the flight [-].
        ram_ratio: Share of the ram pressure that the intake recovers, 0 to 1 [-].

    Returns:
        Intake pressure [Pa].

    Source:
        Society of Flight Test Engineers, Reference Handbook, 2013, chapter 10, ram pressure.
    """
    ram_rise = math.pow(1.0 + (HEAT_CAPACITY_RATIO - 1.0) / 2.0 * mach * mach, 1.0 / _COMPRESSION_EXPONENT) - 1.0
    return static_pressure_pa * (1.0 + ram_ratio * ram_rise)


def geared_blower_ratio(engine_speed_rpm: float, reference_speed_rpm: float, rise_ratio: float) -> float:
    """Return the pressure ratio of a blower geared to the crankshaft.

    Args:
        engine_speed_rpm: Engine speed [rpm].
        reference_speed_rpm: Engine speed at which the rise is given [rpm].
        rise_ratio: Pressure rise over inlet pressure at that speed [-].

    Returns:
        Outlet over inlet pressure [-].

    Source:
        First principles: the head of a centrifugal blower goes with the square of its speed.
    """
    relative_speed = engine_speed_rpm / reference_speed_rpm
    return 1.0 + rise_ratio * relative_speed * relative_speed


def compressed_air_temperature(
    inlet_temperature_k: float, pressure_ratio: float, efficiency_ratio: float, cooling_ratio: float
) -> float:
    """Return the temperature of air after a compressor and the cooler behind it.

    Args:
        inlet_temperature_k: Temperature ahead of the compressor, also that of the cooling air [K].
        pressure_ratio: Outlet over inlet pressure, at least 1 [-].
        efficiency_ratio: Adiabatic efficiency of the compressor [-].
        cooling_ratio: Part of the temperature rise the cooler takes off [-].

    Returns:
        Temperature behind the cooler [K].

    Source:
        First principles, adiabatic compression of a perfect gas.
    """
    rise = inlet_temperature_k * (math.pow(pressure_ratio, _COMPRESSION_EXPONENT) - 1.0) / efficiency_ratio
    return inlet_temperature_k + rise * (1.0 - cooling_ratio)


def compressor_pressure_ratio(
    inlet_temperature_k: float, outlet_temperature_k: float, efficiency_ratio: float, cooling_ratio: float
) -> float:
    """Return the pressure ratio at which air behind a compressor and its cooler reaches a temperature.

    Args:
        inlet_temperature_k: Temperature ahead of the compressor, also that of the cooling air [K].
        outlet_temperature_k: Temperature behind the cooler [K].
        efficiency_ratio: Adiabatic efficiency of the compressor [-].
        cooling_ratio: Part of the temperature rise the cooler takes off, below 1 [-].

    Returns:
        Outlet over inlet pressure; below 1 when the inlet air is already warmer [-].

    Source:
        The inverse of `compressed_air_temperature`.
    """
    rise_ratio = (outlet_temperature_k / inlet_temperature_k - 1.0) * efficiency_ratio / (1.0 - cooling_ratio)
    return math.pow(1.0 + rise_ratio, 1.0 / _COMPRESSION_EXPONENT)
