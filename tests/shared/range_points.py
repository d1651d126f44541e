"""Equal-time point and point of no return in closed form, for one ground speed out and one home.

These check a solution on the leg table, they do not replace it: with mean ground speeds over a route of several legs
the closed form errs, and to the unsafe side.
"""

from __future__ import annotations

import math

from briefgen.kernel.limits import require_within
from briefgen.kernel.wind import Wind, triangle_from_course


def _require_speeds(ground_speed_on_m_per_s: float, ground_speed_home_m_per_s: float) -> None:
    for name, speed_m_per_s in (("onward", ground_speed_on_m_per_s), ("homeward", ground_speed_home_m_per_s)):
        require_within(f"{name} ground speed", speed_m_per_s, math.ulp(0.0), math.inf, "m/s")


def equal_time_distance(total_m: float, ground_speed_on_m_per_s: float, ground_speed_home_m_per_s: float) -> float:
    """Return how far out it takes as long to go on to the destination as to go home.

    Args:
        total_m: Distance from departure to destination [m].
        ground_speed_on_m_per_s: Ground speed going on from there [m/s], above zero.
        ground_speed_home_m_per_s: Ground speed going home from there [m/s], above zero.

    Returns:
        Distance from departure [m].

    Raises:
        OutOfRangeError: A value is not above zero.

    Source:
        USAF AFPAM 11-216, Air Navigation: X = D H / (O + H).
    """
    require_within("distance", total_m, 0.0, math.inf, "m")
    _require_speeds(ground_speed_on_m_per_s, ground_speed_home_m_per_s)
    return total_m * ground_speed_home_m_per_s / (ground_speed_on_m_per_s + ground_speed_home_m_per_s)


def no_return_time(endurance_s: float, ground_speed_out_m_per_s: float, ground_speed_home_m_per_s: float) -> float:
    """Return the latest time after departure to turn for home within a safe endurance.

    Args:
        endurance_s: Time to be flown with the reserve left untouched [s].
        ground_speed_out_m_per_s: Ground speed out [m/s], above zero.
        ground_speed_home_m_per_s: Ground speed home [m/s], above zero.

    Returns:
        Time from departure [s].

    Raises:
        OutOfRangeError: A speed is not above zero or the endurance is negative.

    Source:
        USAF AFPAM 11-216, Air Navigation: T = E H / (O + H).
    """
    require_within("endurance", endurance_s, 0.0, math.inf, "s")
    _require_speeds(ground_speed_out_m_per_s, ground_speed_home_m_per_s)
    return endurance_s * ground_speed_home_m_per_s / (ground_speed_out_m_per_s + ground_speed_home_m_per_s)


def no_return_distance(endurance_s: float, ground_speed_out_m_per_s: float, ground_speed_home_m_per_s: float) -> float:
    """Return the distance of the point of no return, which is also the radius of action.

    Args:
        endurance_s: Time to be flown with the reserve left untouched [s].
        ground_speed_out_m_per_s: Ground speed out [m/s], above zero.
        ground_speed_home_m_per_s: Ground speed home [m/s], above zero.

    Returns:
        Distance from departure [m].

    Raises:
        OutOfRangeError: A speed is not above zero or the endurance is negative.

    Source:
        USAF AFPAM 11-216, Air Navigation: R = E O H / (O + H).
    """
    return ground_speed_out_m_per_s * no_return_time(endurance_s, ground_speed_out_m_per_s, ground_speed_home_m_per_s)


def radius_of_action(endurance_s: float, course_deg: float, true_airspeed_m_per_s: float, wind: Wind) -> float:
    """Return how far out a course can be flown and back within a safe endurance, in one uniform wind.

    Args:
        endurance_s: Time to be flown with the reserve left untouched [s].
        course_deg: Course out [deg].
        true_airspeed_m_per_s: True airspeed, out and home [m/s].
        wind: The wind.

    Returns:
        Distance from departure [m].

    Raises:
        OutOfRangeError: The endurance is negative, or the wind keeps the aircraft from going out or home.

    Source:
        Point of no return, AFPAM 11-216, with the ground speeds of the two wind triangles.
    """
    out = triangle_from_course(course_deg, true_airspeed_m_per_s, wind)
    home = triangle_from_course(course_deg + 180.0, true_airspeed_m_per_s, wind)
    return no_return_distance(endurance_s, out.ground_speed_m_per_s, home.ground_speed_m_per_s)
