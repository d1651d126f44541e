"""An engine stopped: the fin and rudder that hold her straight, and the drag that costs.

The thrust of the engines left and the drag of those stopped yaw her about her centre of gravity; the fin answers with a
side force on its arm, and pays for it as a wing of its own height pays for lift. The drag follows the square of the
moment over the speed. She is taken to fly without sideslip, banked a few degrees toward the running engines.
"""

from __future__ import annotations

import math

from briefgen.errors import OutOfRangeError
from briefgen.kernel.limits import number_text

_GREATEST_SIDE_FORCE = 0.6  # side-force coefficient of a fin with the rudder full over, no sideslip (from memory)


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
        Induced drag of a wing, F^2 / (q pi b^2) (L. Prandtl), with the fin's side force for lift; that the body under
        the fin helps and a bent section harms by the same amount is an assumption.
    """
    side_force_n = yawing_moment_n_m / fin_arm_m
    return side_force_n * side_force_n / (dynamic_pressure_pa * math.pi * fin_height_m * fin_height_m)


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
            f"a resistance of {number_text(resistance_n)} N cannot be balanced on {running} engines: "
            "holding her straight costs more than they give",
            expected="a higher speed, less weight or engines that balance",
        )
    return 2.0 * constant_n / (running + math.sqrt(discriminant)) - stopped_drag_n
