"""Thrust of a constant-speed propeller from advance ratio and power coefficient, bounded by momentum theory.

The disk is an ideal actuator with an induced-loss factor; one blade station at seven tenths of the radius stands for
the profile loss. Everything is made dimensionless with density, turns per second and diameter:
power coefficient P/(rho n^3 D^5), thrust coefficient T/(rho n^2 D^4), advance ratio V/(n D).

Blades asked for much thrust at low speed stall: drag that grows with the square of the lift beyond an onset takes their
power. Without it a take-off run gains up to a fifth of its thrust in its first half.
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

# Stall of the blade, fitted here to the rows of NACA TR 640 (three blades of Clark Y section, 15 to 45 degrees) in which
# the section lifts more than 0.5; tests/published/test_propeller_chart.py holds them to all rows.
_STALL_ONSET_LIFT = 0.6
_STALL_DRAG_RISE = 1.7
_STALL_SHARE = 0.24  # of a quarter, at which thrust is greatest: beyond it the lift goes straight on
_STALL_ROOT = 0.2  # the root at that share


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
        in Aerodynamic Theory (W. F. Durand, editor), 1935, volume IV (from memory). Drag of the stalled blade: fitted
        here to NACA TR 640 (Hartman and Biermann, 1938).

    Departs from the source:
        One station stands for a twisted blade: the whole of it stalls at once, and the efficiency of a loaded blade
        comes out between 0.055 too low and 0.035 too high of the measured one. Hub and blade roots have no drag of
        their own: from blade angles of 45 degrees, where the blade hardly lifts, it is too high by more.
    """
    half = 0.5 * advance_ratio
    induced = math.sqrt(half * half + thrust_coefficient / (2.0 * _DISK)) - half
    through = advance_ratio + induced
    station_speed_squared = _STATION_SPEED * _STATION_SPEED + through * through
    station_speed = math.sqrt(station_speed_squared)
    blades = 0.5 * station_speed_squared * blade_area_ratio * _DISK
    lift = thrust_coefficient * station_speed / (_STATION_SPEED * blades)
    drag = profile_drag + profile_drag_rise * (lift - design_lift) ** 2
    if lift > _STALL_ONSET_LIFT:
        drag += _stall_drag(lift - _STALL_ONSET_LIFT, through / _STATION_SPEED)
    return thrust_coefficient * (advance_ratio + induced_ratio * induced) + blades * station_speed * drag


def _stall_drag(demand: float, slope: float) -> float:
    """Return the drag coefficient of separated flow, from the lift beyond the onset that the thrust alone demands.

    Drag inclined by the slope of the inflow takes thrust away, so the section lifts more than the thrust demands:
    lift = demand + slope * rise * lift^2, a quadratic whose lesser root is the section's. It ends where the blades give
    their greatest thrust; shortly before it the lift goes straight on, so that power still rises with thrust.
    """
    bend = slope * _STALL_DRAG_RISE
    share = bend * demand
    if share < _STALL_SHARE:
        # 2 d / (1 + root) is the lesser root without the difference of two like numbers
        lift = 2.0 * demand / (1.0 + math.sqrt(1.0 - 4.0 * share))
    else:
        lift = (0.5 * (1.0 - _STALL_ROOT) + (share - _STALL_SHARE) / _STALL_ROOT) / bend
    return _STALL_DRAG_RISE * lift * lift


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
