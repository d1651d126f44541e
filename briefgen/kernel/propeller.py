"""Thrust of a constant-speed propeller from advance ratio and power coefficient, bounded by momentum theory.

The disk is an ideal actuator with an induced-loss factor; one blade station at seven tenths of the radius stands for
the profile loss. Everything is made dimensionless with density, turns per second and diameter:
power coefficient P/(rho n^3 D^5), thrust coefficient T/(rho n^2 D^4), advance ratio V/(n D).
"""

from __future__ import annotations

import math

from briefgen.errors import OutOfRangeError
from briefgen.kernel.interpolate import root
from briefgen.kernel.limits import number_text

_STATION = 0.7  # blade station that stands for the blade, part of the radius: Glauert, The Elements of Aerofoil Theory
_STATION_SPEED = math.pi * _STATION  # speed of the station over n D
_DISK = math.pi / 4.0  # disk area over the square of the diameter
_TOLERANCE = 1e-9
_THRUST_TOLERANCE = 1e-7  # a millionth of a usual thrust coefficient
_MOST_STEPS = 60
_BRACKET_RATIO = 0.75  # step down from the momentum bound in search of a bracket
_LEAST_THRUST = 1e-4


def ideal_thrust(power_w: float, true_airspeed_m_per_s: float, density_kg_per_m3: float, disk_area_m2: float) -> float:
    """Return the greatest thrust momentum theory allows an actuator disk.

    Args:
        power_w: Power put into the disk [W].
        true_airspeed_m_per_s: True airspeed along the axis, 0 when standing [m/s].
        density_kg_per_m3: Air density [kg/m3].
        disk_area_m2: Disk area [m2].

    Returns:
        Thrust [N].

    Source:
        Actuator disk: P = T (V + v), T = 2 rho A (V + v) v; Society of Flight Test Engineers, Reference Handbook,
        2013, chapter 11.
    """
    mass_term = 2.0 * density_kg_per_m3 * disk_area_m2
    # v (V + v)^2 = P / (2 rho A): rises throughout, so Newton from above converges without a bracket.
    target = power_w / mass_term
    induced = math.cbrt(target)
    for _ in range(_MOST_STEPS):
        through = true_airspeed_m_per_s + induced
        step = (induced * through * through - target) / (through * (through + 2.0 * induced))
        induced -= step
        if abs(step) <= _TOLERANCE * (1.0 + induced):
            break
    return power_w / (true_airspeed_m_per_s + induced)


def ideal_efficiency(
    power_w: float, true_airspeed_m_per_s: float, density_kg_per_m3: float, disk_area_m2: float
) -> float:
    """Return the propulsive efficiency of an ideal actuator disk.

    Args:
        power_w: Power put into the disk [W].
        true_airspeed_m_per_s: True airspeed [m/s].
        density_kg_per_m3: Air density [kg/m3].
        disk_area_m2: Disk area [m2].

    Returns:
        Thrust times speed over power [-].

    Source:
        As `ideal_thrust`.
    """
    thrust_n = ideal_thrust(power_w, true_airspeed_m_per_s, density_kg_per_m3, disk_area_m2)
    return thrust_n * true_airspeed_m_per_s / power_w


def power_coefficient(
    thrust_coefficient: float,
    advance_ratio: float,
    blade_area_ratio: float,
    profile_drag: float,
    profile_drag_rise: float,
    design_lift: float,
    induced_ratio: float,
) -> float:
    """Return the power coefficient that gives a thrust coefficient.

    Args:
        thrust_coefficient: Thrust coefficient, not negative [-].
        advance_ratio: Advance ratio [-].
        blade_area_ratio: Area of all blades over disk area [-].
        profile_drag: Section drag coefficient at the design lift coefficient [-].
        profile_drag_rise: Rise of it with the square of the departure from the design lift coefficient [-].
        design_lift: Design lift coefficient of the section [-].
        induced_ratio: Induced loss over that of momentum theory, at least 1 [-].

    Returns:
        Power coefficient [-].

    Source:
        Momentum theory with one representative blade station at 0.7 of the radius: H. Glauert, Airplane Propellers,
        in Aerodynamic Theory (W. F. Durand, editor), 1935, volume IV (from memory).
    """
    half = 0.5 * advance_ratio
    induced = math.sqrt(half * half + thrust_coefficient / (2.0 * _DISK)) - half
    through = advance_ratio + induced
    station_speed_squared = _STATION_SPEED * _STATION_SPEED + through * through
    station_speed = math.sqrt(station_speed_squared)
    blades = 0.5 * station_speed_squared * blade_area_ratio * _DISK
    lift = thrust_coefficient * station_speed / (_STATION_SPEED * blades)
    drag = profile_drag + profile_drag_rise * (lift - design_lift) ** 2
    return thrust_coefficient * (advance_ratio + induced_ratio * induced) + blades * station_speed * drag


def thrust_coefficient(
    power_coefficient_given: float,
    advance_ratio: float,
    blade_area_ratio: float,
    profile_drag: float,
    profile_drag_rise: float,
    design_lift: float,
    induced_ratio: float,
) -> float:
    """Return the thrust coefficient that a power coefficient gives.

    Args:
        power_coefficient_given: Power coefficient, above that of the blades at zero thrust [-].
        advance_ratio: Advance ratio, 0 when standing [-].
        blade_area_ratio: Area of all blades over disk area [-].
        profile_drag: Section drag coefficient at the design lift coefficient [-].
        profile_drag_rise: Rise of it with the square of the departure from the design lift coefficient [-].
        design_lift: Design lift coefficient of the section [-].
        induced_ratio: Induced loss over that of momentum theory, at least 1 [-].

    Returns:
        Thrust coefficient [-].

    Raises:
        OutOfRangeError: The power does not even turn the blades.

    Source:
        `power_coefficient`, solved inside the bracket that the momentum bound closes from above. Where a power is met
        by two thrusts (blades far below their design lift), the greater is the one the governor finds from above.
    """
    blade = (blade_area_ratio, profile_drag, profile_drag_rise, design_lift, induced_ratio)

    def excess(thrust: float) -> float:
        return power_coefficient(thrust, advance_ratio, *blade) - power_coefficient_given

    if power_coefficient_given <= 0.0:
        raise OutOfRangeError(
            f"power coefficient {number_text(power_coefficient_given)} drives nothing", expected="more than 0"
        )
    high = ideal_thrust(power_coefficient_given, advance_ratio, 1.0, _DISK)
    low = _BRACKET_RATIO * high
    while excess(low) > 0.0:
        if low == 0.0:
            raise OutOfRangeError(
                f"power coefficient {number_text(power_coefficient_given)} is below that of the turning blades",
                expected=f"at least {number_text(power_coefficient(0.0, advance_ratio, *blade))}"
                f" at advance ratio {number_text(advance_ratio)}",
            )
        high, low = low, _BRACKET_RATIO * low if low > _LEAST_THRUST else 0.0
    return root(excess, low, high, _THRUST_TOLERANCE)
