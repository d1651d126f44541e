"""Being somewhere at a time: what a change of speed gains, and what an orbit or a dog-leg loses."""

from __future__ import annotations

import math

from briefgen.frozen import dataclass
from briefgen.kernel.limits import require_within
from briefgen.kernel.turns import turn_rate
from briefgen.kernel.wind import Wind, triangle_from_course

_FULL_TURN_DEG = 360.0
_WIDEST_DOG_LEG_DEG = 80.0  # beyond it nearly all of the way is sideways, and a small slip of heading is minutes


def time_to_hold(error_s: float, ground_speed_m_per_s: float, change_m_per_s: float) -> float:
    """Return how long a change of speed is held to make good an error of time.

    Args:
        error_s: How late (faster) or early (slower) she is [s], not negative.
        ground_speed_m_per_s: Ground speed before the change [m/s], above zero.
        change_m_per_s: Size of the change of ground speed [m/s], above zero.

    Returns:
        Time to hold the changed speed [s].

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        Chief of Naval Air Training, P-557, Low-Level and Tactical Formation: proportional, ten percent and incremental
        methods, which are this identity for round numbers: V error = dV t.
    """
    require_within("error of time", error_s, 0.0, math.inf, "s")
    require_within("ground speed", ground_speed_m_per_s, math.ulp(0.0), math.inf, "m/s")
    require_within("change of ground speed", change_m_per_s, math.ulp(0.0), math.inf, "m/s")
    return error_s * ground_speed_m_per_s / change_m_per_s


def orbit_time(true_airspeed_m_per_s: float, bank_deg: float) -> float:
    """Return the time of one level turn through 360 degrees.

    Args:
        true_airspeed_m_per_s: True airspeed [m/s], above zero.
        bank_deg: Bank angle [deg], 0.1 to 80.

    Returns:
        Time of one orbit [s].

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        Balance of forces in a level turn; at the standard rate of 3 deg/s two minutes, FAA-H-8083-15.
    """
    require_within("bank angle", bank_deg, 0.1, _WIDEST_DOG_LEG_DEG, "deg")
    return _FULL_TURN_DEG / turn_rate(true_airspeed_m_per_s, bank_deg)


@dataclass(frozen=True)
class DogLeg:
    """A dog-leg away from a track and back to it, solved in a wind; turns neglected.

    Attributes:
        first_s: Time on the leg away from the track [s].
        second_s: Time on the leg back to it [s].
        first_heading_deg: Heading away, from the north of course and wind [deg].
        second_heading_deg: Heading back [deg].
        along_m: How far along the track it ends [m].
        offset_m: How far off the track it turns back [m].
        extra_m: How much farther it is than the track [m].
    """

    first_s: float
    second_s: float
    first_heading_deg: float
    second_heading_deg: float
    along_m: float
    offset_m: float
    extra_m: float


def dog_leg(course_deg: float, true_airspeed_m_per_s: float, wind: Wind, angle_deg: float, lost_s: float) -> DogLeg:
    """Return the dog-leg of equal ground distances that loses a time in a wind.

    Args:
        course_deg: Course of the track [deg].
        true_airspeed_m_per_s: True airspeed [m/s].
        wind: The wind, from the same north as the course.
        angle_deg: Angle of both legs to the track over the ground [deg], to the right -80 to 80 but not 0: negative
            leaves to the left.
        lost_s: Time to be lost [s], not negative.

    Returns:
        The dog-leg.

    Raises:
        OutOfRangeError: A value lies outside its range, the wind keeps her from holding one of the courses, or it is
            such that the detour takes no longer than the track.

    Source:
        Plane geometry and the wind triangle: per unit of track d, time lost is
        d (1/V1 + 1/V2) / (2 cos(angle)) - d/V0, with the ground speeds V1 and V2 of the legs and V0 of the track.
    """
    require_within("angle of the dog-leg", abs(angle_deg), 1.0, _WIDEST_DOG_LEG_DEG, "deg")
    require_within("time to be lost", lost_s, 0.0, math.inf, "s")
    straight = triangle_from_course(course_deg, true_airspeed_m_per_s, wind)
    first = triangle_from_course(course_deg + angle_deg, true_airspeed_m_per_s, wind)
    second = triangle_from_course(course_deg - angle_deg, true_airspeed_m_per_s, wind)
    stretched = 0.5 / math.cos(math.radians(angle_deg))  # length of each leg for each metre of track
    slowness = stretched / first.ground_speed_m_per_s + stretched / second.ground_speed_m_per_s
    lost_s_per_m = slowness - 1.0 / straight.ground_speed_m_per_s
    require_within("time lost for each metre of track", lost_s_per_m, math.ulp(0.0), math.inf, "s/m")
    along_m = lost_s / lost_s_per_m
    leg_m = along_m * stretched
    return DogLeg(
        first_s=leg_m / first.ground_speed_m_per_s,
        second_s=leg_m / second.ground_speed_m_per_s,
        first_heading_deg=first.heading_deg,
        second_heading_deg=second.heading_deg,
        along_m=along_m,
        offset_m=abs(leg_m * math.sin(math.radians(angle_deg))),
        extra_m=2.0 * leg_m - along_m,
    )
