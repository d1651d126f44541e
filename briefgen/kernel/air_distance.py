"""Between the runway and fifty feet: the distance through the air after unstick and before touchdown, and the climb.

A distance that cannot be had is infinite; that is an answer, not an error.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2

# Load factors of the arcs: textbooks give 1.15 to 1.2 after unstick and 1.2 in the flare (Raymer, Aircraft Design, chapter
# 17; Anderson, Aircraft Performance and Design, chapter 6: 1.19; from memory). The gentler one is the longer.
CLIMB_ARC_LOAD_FACTOR = 1.15
FLARE_LOAD_FACTOR = 1.2


def climb_away_distance(
    mass_kg: float,
    excess_thrust_n: Callable[[float], float],
    unstick_tas_m_per_s: float,
    safe_tas_m_per_s: float,
    height_m: float,
    headwind_m_per_s: float = 0.0,
    slope_ratio: float = 0.0,
) -> float:
    """Return the distance over the ground from unstick to a height, gathering speed on the way.

    The energy of height and speed has to be gained, and the path has to be bent upward: where little speed is to be
    gained the arc is the longer, since she gathers more speed than she needs while it bends.

    Args:
        mass_kg: Mass [kg].
        excess_thrust_n: Thrust less drag as a function of true airspeed [N].
        unstick_tas_m_per_s: True airspeed on leaving the ground [m/s].
        safe_tas_m_per_s: True airspeed at the height, not below unstick [m/s].
        height_m: Height above the runway [m].
        headwind_m_per_s: Head wind, negative from behind [m/s].
        slope_ratio: Rise of the ground under the path [-].

    Returns:
        Distance over the ground; infinite when she cannot gain the height [m].

    Source:
        SFTE Reference Handbook 2013, chapter 12, direct-to-air distance: W / (T - D) * (change of V^2 / 2g + height);
        mean excess force by Simpson's rule over the speeds; the slope is added here. The arc: `arc_distance`.
    """
    middle = 0.5 * (unstick_tas_m_per_s + safe_tas_m_per_s)
    excess_n = (
        excess_thrust_n(unstick_tas_m_per_s) + 4.0 * excess_thrust_n(middle) + excess_thrust_n(safe_tas_m_per_s)
    ) / 6.0
    gradient = excess_n / (mass_kg * STANDARD_GRAVITY_M_PER_S2) - slope_ratio
    if gradient <= 0.0 or middle <= headwind_m_per_s:
        return math.inf
    rise_m = height_m + (safe_tas_m_per_s**2 - unstick_tas_m_per_s**2) / (2.0 * STANDARD_GRAVITY_M_PER_S2)
    air_m = max(rise_m / gradient, arc_distance(height_m, gradient, middle, CLIMB_ARC_LOAD_FACTOR))
    return air_m * (middle - headwind_m_per_s) / middle


def arc_distance(height_m: float, path_ratio: float, tas_m_per_s: float, load_factor: float) -> float:
    """Return the distance through the air between the runway and a height, by an arc and a straight path.

    The arc is a circle that leaves or meets the runway as a tangent. Where it is higher than the height, the path is
    arc alone.

    Args:
        height_m: Height above the runway [m].
        path_ratio: Rise over distance of the straight path, above zero [-].
        tas_m_per_s: True airspeed along the arc [m/s].
        load_factor: Lift over weight along the arc, above 1 [-].

    Returns:
        Distance along the runway in calm air [m].

    Source:
        Raymer, Aircraft Design, chapter 17, and Anderson, Aircraft Performance and Design, chapter 6 (from memory):
        radius V^2 / (g (n - 1)). For the small angles of a climb the arc rises by half the radius times the square of
        the path's slope over a length of radius times slope.
    """
    radius_m = tas_m_per_s * tas_m_per_s / (STANDARD_GRAVITY_M_PER_S2 * (load_factor - 1.0))
    if height_m <= 0.5 * radius_m * path_ratio * path_ratio:
        return math.sqrt(2.0 * radius_m * height_m)
    return height_m / path_ratio + 0.5 * radius_m * path_ratio


def descent_to_touchdown_distance(
    mass_kg: float,
    drag_n: float,
    threshold_tas_m_per_s: float,
    touchdown_tas_m_per_s: float,
    height_m: float,
    path_ratio: float,
    headwind_m_per_s: float = 0.0,
) -> float:
    """Return the distance over the ground from a height above the threshold to touching down, engines giving no thrust.

    Not shorter than a straight path in of a usual slope with the arc of the flare at its end.

    Args:
        mass_kg: Mass [kg].
        drag_n: Mean drag between the two speeds, above zero [N].
        threshold_tas_m_per_s: True airspeed at the height [m/s].
        touchdown_tas_m_per_s: True airspeed at touchdown [m/s].
        height_m: Height above the runway [m].
        path_ratio: Steepest path in that is counted on, height over distance [-].
        headwind_m_per_s: Head wind, negative from behind [m/s].

    Returns:
        Distance over the ground [m].

    Source:
        Energy, first principles: the mirror of the direct-to-air distance of SFTE Reference Handbook 2013, chapter 12.
        The flare: `arc_distance`.
    """
    middle = 0.5 * (threshold_tas_m_per_s + touchdown_tas_m_per_s)
    fall_m = height_m + (threshold_tas_m_per_s**2 - touchdown_tas_m_per_s**2) / (2.0 * STANDARD_GRAVITY_M_PER_S2)
    glide_m = fall_m * mass_kg * STANDARD_GRAVITY_M_PER_S2 / drag_n
    air_m = max(glide_m, arc_distance(height_m, path_ratio, middle, FLARE_LOAD_FACTOR))
    return air_m * (middle - headwind_m_per_s) / middle


def climb_gradient(excess_thrust_n: float, mass_kg: float, tas_m_per_s: float, headwind_m_per_s: float = 0.0) -> float:
    """Return the rise over the distance along the ground of a steady climb.

    Args:
        excess_thrust_n: Thrust less drag, negative when she sinks [N].
        mass_kg: Mass [kg].
        tas_m_per_s: True airspeed, above the head wind [m/s].
        headwind_m_per_s: Head wind, negative from behind [m/s].

    Returns:
        Rise over distance, negative when she sinks [-].

    Source:
        First principles: the work of the excess thrust lifts the weight.
    """
    through_air = excess_thrust_n / (mass_kg * STANDARD_GRAVITY_M_PER_S2)
    return through_air * tas_m_per_s / (tas_m_per_s - headwind_m_per_s)


def height_over_obstacle(
    distance_m: float,
    unstick_distance_m: float,
    height_distance_m: float,
    height_m: float,
    gradient_ratio: float,
) -> float:
    """Return the height above the point of unstick when passing a distance from the start of the run.

    Args:
        distance_m: Distance from the start of the run [m].
        unstick_distance_m: Distance at which she leaves the ground [m].
        height_distance_m: Distance at which she reaches the first height [m].
        height_m: That height [m].
        gradient_ratio: Rise over distance over the ground beyond it [-].

    Returns:
        Height; 0 on the ground [m].

    Source:
        Assumption: a parabola tangent to the runway up to the first height (early energy goes into speed), a straight
        climb beyond it.
    """
    if distance_m <= unstick_distance_m or math.isinf(height_distance_m):
        return 0.0
    if distance_m >= height_distance_m:
        return height_m + gradient_ratio * (distance_m - height_distance_m)
    share = (distance_m - unstick_distance_m) / (height_distance_m - unstick_distance_m)
    return height_m * share * share
