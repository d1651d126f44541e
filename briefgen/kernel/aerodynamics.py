"""Lift, drag and stalling speed of an aeroplane with a parabolic polar; and with an engine stopped, the fin's.

The thrust of the engines left and the drag of those stopped yaw her about her centre of gravity; the fin answers with a
side force on its arm, and pays for it as a wing of its own height pays for lift. The drag follows the square of the
moment over the speed. She is taken to fly without sideslip, banked a few degrees toward the running engines.
"""

from __future__ import annotations

import math

from briefgen.errors import OutOfRangeError
from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2
from briefgen.kernel.limits import number_text, quantity_text

_RIGHT_ANGLE_DEG = 90.0
# Of a fin bent at its hinge, rudder well over: half as good as an ideal wing of its height. An assumption, on the careful
# side: with 1 the ceilings with an engine out come out 1,000 to 2,000 ft higher.
_FIN_EFFICIENCY_RATIO = 0.5
_GREATEST_SIDE_FORCE = 0.6  # side-force coefficient of a fin with the rudder full over, no sideslip (from memory)


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


def holding_drag(yawing_moment_n_m: float, dynamic_pressure_pa: float, fin_height_m: float, fin_arm_m: float) -> float:
    """Return the drag of the fin and rudder that hold a yawing moment.

    Args:
        yawing_moment_n_m: Moment to be held, either way round [N m].
        dynamic_pressure_pa: Dynamic pressure, above zero [Pa].
        fin_height_m: Height (span) of the fin, of all fins together [m].
        fin_arm_m: From the centre of gravity aft to the fin [m].

    Returns:
        Drag [N].

    Source:
        Induced drag of a wing, F^2 / (q pi b^2 e) (L. Prandtl), with the fin's side force for lift. An efficiency e of
        0.5, for what the bent section and the rudder's own profile cost, is an assumption.
    """
    side_force_n = yawing_moment_n_m / fin_arm_m
    ideal_n = side_force_n * side_force_n / (dynamic_pressure_pa * math.pi * fin_height_m * fin_height_m)
    return ideal_n / _FIN_EFFICIENCY_RATIO


def greatest_fin_moment(dynamic_pressure_pa: float, fin_area_m2: float, fin_arm_m: float) -> float:
    """Return the greatest yawing moment the fin can hold, rudder full over.

    Where it equals the moment of take-off thrust lies the minimum control speed.

    Args:
        dynamic_pressure_pa: Dynamic pressure [Pa].
        fin_area_m2: Area of fin and rudder, all fins together [m2].
        fin_arm_m: From the centre of gravity aft to the fin [m].

    Returns:
        Moment [N m].

    Source:
        Balance of moments; side-force coefficient of 0.6 with the rudder full over: from memory.
    """
    return _GREATEST_SIDE_FORCE * dynamic_pressure_pa * fin_area_m2 * fin_arm_m


def balancing_thrust(
    resistance_n: float,
    running: int,
    yawing_arm_m: float,
    stopped_drag_n: float,
    dynamic_pressure_pa: float,
    fin_height_m: float,
    fin_arm_m: float,
) -> float:
    """Return the thrust of each running engine that balances a resistance and the drag of holding her straight.

    Args:
        resistance_n: Drag to be balanced, that of the stopped engines in it, that of holding her straight not [N].
        running: Engines running [-].
        yawing_arm_m: Sum of the arms of the running engines' thrust about the centre line, 0 when they balance [m].
        stopped_drag_n: Drag of one stopped engine [N].
        dynamic_pressure_pa: Dynamic pressure, above zero [Pa].
        fin_height_m: Height of the fin [m].
        fin_arm_m: From the centre of gravity aft to the fin [m].

    Returns:
        Thrust of each running engine, negative where the resistance is [N].

    Raises:
        OutOfRangeError: No thrust balances both: more of it costs more drag than it gives.

    Source:
        `holding_drag` of the moment (thrust + drag of a stopped engine) * arm: a quadratic, of which the lesser root is
        the flight's.
    """
    if yawing_arm_m == 0.0:
        return resistance_n / running
    bend = holding_drag(yawing_arm_m, dynamic_pressure_pa, fin_height_m, fin_arm_m)
    # In x = thrust + drag of a stopped engine: bend x^2 - running x + resistance + running * stopped drag = 0.
    constant_n = resistance_n + running * stopped_drag_n
    discriminant = running * running - 4.0 * bend * constant_n
    if discriminant < 0.0:
        raise OutOfRangeError(
            f"a resistance of {quantity_text(resistance_n, 'N')} cannot be balanced on {running} engines: "
            "holding her straight costs more than they give",
            expected="a higher speed, less weight or engines that balance",
        )
    return 2.0 * constant_n / (running + math.sqrt(discriminant)) - stopped_drag_n
