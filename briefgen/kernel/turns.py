"""Turns in balanced level flight, and the race-track pattern made of them, in still air."""

from __future__ import annotations

import math

from briefgen.frozen import dataclass
from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2
from briefgen.kernel.limits import require_within

HIGHEST_BANK_DEG = 80.0  # load factor 5.8; beyond any turn these aircraft can make
_FULL_TURN_DEG = 360.0


def _require_bank(bank_deg: float, low_deg: float = 0.0) -> None:
    require_within("bank angle", bank_deg, low_deg, HIGHEST_BANK_DEG, "deg")


def turn_radius(true_airspeed_m_per_s: float, bank_deg: float) -> float:
    """Return the radius of a level turn.

    Args:
        true_airspeed_m_per_s: True airspeed [m/s].
        bank_deg: Bank angle [deg], 0.1 to 80.

    Returns:
        Radius [m].

    Raises:
        OutOfRangeError: The bank angle lies outside that range.

    Source:
        Balance of forces in a level turn: R = V^2 / (g tan(bank)).
    """
    _require_bank(bank_deg, 0.1)
    return true_airspeed_m_per_s**2 / (STANDARD_GRAVITY_M_PER_S2 * math.tan(math.radians(bank_deg)))


def turn_rate(true_airspeed_m_per_s: float, bank_deg: float) -> float:
    """Return the rate of a level turn.

    Args:
        true_airspeed_m_per_s: True airspeed [m/s], above zero.
        bank_deg: Bank angle [deg], 0 to 80.

    Returns:
        Rate of turn [deg/s].

    Raises:
        OutOfRangeError: The bank angle lies outside that range, or the airspeed is not above zero.

    Source:
        Balance of forces in a level turn: rate = g tan(bank) / V.
    """
    _require_bank(bank_deg)
    require_within("true airspeed", true_airspeed_m_per_s, math.ulp(0.0), math.inf, "m/s")
    return math.degrees(STANDARD_GRAVITY_M_PER_S2 * math.tan(math.radians(bank_deg)) / true_airspeed_m_per_s)


def bank_for_rate(true_airspeed_m_per_s: float, rate_deg_per_s: float) -> float:
    """Return the bank angle of a level turn of a given rate.

    Args:
        true_airspeed_m_per_s: True airspeed [m/s], not negative.
        rate_deg_per_s: Rate of turn [deg/s], not negative; 3 is the standard rate.

    Returns:
        Bank angle [deg].

    Raises:
        OutOfRangeError: The bank would be above 80 degrees, or a value is negative.

    Source:
        Balance of forces in a level turn: tan(bank) = V rate / g.
    """
    bank_deg = math.degrees(math.atan(true_airspeed_m_per_s * math.radians(rate_deg_per_s) / STANDARD_GRAVITY_M_PER_S2))
    _require_bank(bank_deg)
    return bank_deg


def reversal_length(spacing_m: float, radius_m: float) -> float:
    """Return the shortest way from the end of one line to the beginning of the next, flown the other way, in still air.

    Args:
        spacing_m: Distance between the two parallel lines [m], not negative.
        radius_m: Radius of turn [m], above zero.

    Returns:
        Length of the turn [m]: two quarter turns and the straight between them where the lines are two radii apart or
        more, else an opening turn away, a turn of more than a half circle, and a turn back.

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        L. E. Dubins, On curves of minimal length with a constraint on average curvature, American Journal of Mathematics
        79 (1957) 497-516: arcs of the least radius and straights; the lengths follow from the geometry.
    """
    require_within("spacing of the lines", spacing_m, 0.0, math.inf, "m")
    require_within("turn radius", radius_m, math.ulp(0.0), math.inf, "m")
    if spacing_m >= 2.0 * radius_m:
        return math.pi * radius_m + spacing_m - 2.0 * radius_m
    opening_rad = math.acos((2.0 * radius_m + spacing_m) / (4.0 * radius_m))
    return radius_m * (math.pi + 4.0 * opening_rad)


@dataclass(frozen=True)
class RaceTrack:
    """A race-track pattern in still air: two straight legs joined by two half circles.

    Attributes:
        turn_radius_m: Radius of the half circles [m].
        width_m: Distance between the legs [m].
        leg_m: Length of each leg [m].
        lap_m: Length of one lap [m].
        lap_s: Time of one lap [s].
    """

    turn_radius_m: float
    width_m: float
    leg_m: float
    lap_m: float
    lap_s: float


def race_track(true_airspeed_m_per_s: float, bank_deg: float, leg_s: float) -> RaceTrack:
    """Return the race-track pattern flown with a bank angle and a time on each straight leg.

    Args:
        true_airspeed_m_per_s: True airspeed [m/s], above zero.
        bank_deg: Bank angle in the turns [deg], 0.1 to 80.
        leg_s: Time on each straight leg [s], not negative; zero is an orbit.

    Returns:
        The pattern.

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        Geometry of the pattern of ICAO Doc 8168, Volume I, holding procedures, without wind.
    """
    require_within("time on a straight leg", leg_s, 0.0, math.inf, "s")
    radius_m = turn_radius(true_airspeed_m_per_s, bank_deg)
    leg_m = true_airspeed_m_per_s * leg_s
    turns_s = _FULL_TURN_DEG / turn_rate(true_airspeed_m_per_s, bank_deg)
    return RaceTrack(radius_m, 2.0 * radius_m, leg_m, 2.0 * leg_m + 2.0 * math.pi * radius_m, 2.0 * leg_s + turns_s)
