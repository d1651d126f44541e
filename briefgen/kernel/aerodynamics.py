"""Lift, drag and stalling speed of an aeroplane with a parabolic polar."""

from __future__ import annotations

import math

from briefgen.errors import OutOfRangeError
from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2
from briefgen.kernel.limits import number_text

_RIGHT_ANGLE_DEG = 90.0


def load_factor(bank_deg: float) -> float:
    """Return the load factor of a level turn.

    Args:
        bank_deg: Angle of bank [deg], below 90.

    Returns:
        Lift over weight [-].

    Raises:
        OutOfRangeError: The bank is not between -90 and 90 degrees.

    Source:
        First principles: 1 / cos(bank).
    """
    if not -_RIGHT_ANGLE_DEG < bank_deg < _RIGHT_ANGLE_DEG:
        raise OutOfRangeError(f"bank {number_text(bank_deg)} deg is out of range", expected="between -90 and 90 deg")
    return 1.0 / math.cos(math.radians(bank_deg))


def lift_coefficient(
    mass_kg: float, dynamic_pressure_pa: float, wing_area_m2: float, load_factor_ratio: float = 1.0
) -> float:
    """Return the lift coefficient of steady flight.

    Args:
        mass_kg: Mass [kg].
        dynamic_pressure_pa: Dynamic pressure of the flight [Pa].
        wing_area_m2: Reference wing area [m2].
        load_factor_ratio: Lift over weight [-].

    Returns:
        Lift coefficient [-].

    Source:
        First principles.
    """
    return load_factor_ratio * mass_kg * STANDARD_GRAVITY_M_PER_S2 / (dynamic_pressure_pa * wing_area_m2)


def drag_coefficient(lift: float, zero_lift_drag: float, aspect_ratio: float, span_efficiency_ratio: float) -> float:
    """Return the drag coefficient of a parabolic polar.

    Args:
        lift: Lift coefficient [-].
        zero_lift_drag: Zero-lift drag coefficient [-].
        aspect_ratio: Square of the span over wing area [-].
        span_efficiency_ratio: Efficiency factor of the aeroplane [-].

    Returns:
        Drag coefficient [-].

    Source:
        L. K. Loftin, Quest for Performance, NASA SP-468, 1985, appendix C, equations C1 and C4.
    """
    return zero_lift_drag + lift * lift / (math.pi * aspect_ratio * span_efficiency_ratio)


def greatest_lift_drag_ratio(zero_lift_drag: float, aspect_ratio: float, span_efficiency_ratio: float) -> float:
    """Return the greatest ratio of lift to drag of a parabolic polar.

    Args:
        zero_lift_drag: Zero-lift drag coefficient [-].
        aspect_ratio: Square of the span over wing area [-].
        span_efficiency_ratio: Efficiency factor of the aeroplane [-].

    Returns:
        Lift over drag [-].

    Source:
        Society of Flight Test Engineers, Reference Handbook, 2013, chapter 5, drag polar analysis.
    """
    return 0.5 * math.sqrt(math.pi * aspect_ratio * span_efficiency_ratio / zero_lift_drag)


def stalling_speed(
    mass_kg: float, density_kg_per_m3: float, wing_area_m2: float, greatest_lift: float, load_factor_ratio: float = 1.0
) -> float:
    """Return the speed at which the greatest lift just carries the load.

    Args:
        mass_kg: Mass [kg].
        density_kg_per_m3: Air density; that of the standard sea level for an equivalent airspeed [kg/m3].
        wing_area_m2: Reference wing area [m2].
        greatest_lift: Greatest lift coefficient of the configuration [-].
        load_factor_ratio: Lift over weight [-].

    Returns:
        Speed of the kind that goes with the density, true or equivalent [m/s].

    Source:
        First principles; 14 CFR 25.103 defines the same speed by test.
    """
    load_n = load_factor_ratio * mass_kg * STANDARD_GRAVITY_M_PER_S2
    return math.sqrt(2.0 * load_n / (density_kg_per_m3 * wing_area_m2 * greatest_lift))


def energy_climb_ratio(true_airspeed_m_per_s: float, speed_gradient_per_s: float) -> float:
    """Return how much of the excess power goes into height when speed changes with height.

    Args:
        true_airspeed_m_per_s: True airspeed [m/s].
        speed_gradient_per_s: Change of true airspeed with height along the climb [1/s].

    Returns:
        Rate of climb over that at constant true airspeed [-].

    Source:
        First principles, energy balance: dh/dt (1 + V/g dV/dh) = excess power / weight.
    """
    return 1.0 / (1.0 + true_airspeed_m_per_s * speed_gradient_per_s / STANDARD_GRAVITY_M_PER_S2)
