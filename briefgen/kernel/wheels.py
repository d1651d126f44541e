"""What a runway does to wheels and wing: hydroplaning, water thrown aside, ground effect, the wind along it."""

from __future__ import annotations

import math

from briefgen.kernel.constants import KT_M_PER_S, LBF_N
from briefgen.kernel.limits import require_within

_PSI_PA = LBF_N / 0.0254**2  # pound-force per square inch: NIST SP 811, appendix B
_ROTATING_TYRE_KT_PER_ROOT_PSI = 9.0
_NON_ROTATING_TYRE_KT_PER_ROOT_PSI = 7.7
_TYRE_DRAG = 0.75
_HIGHEST_TYRE_PRESSURE_PA = 3.0e6  # above any aircraft tyre; catches a pressure in the wrong unit


def hydroplaning_speed(tyre_pressure_pa: float, *, rotating: bool) -> float:
    """Return the ground speed above which a tyre rides on standing water and the brakes find no hold.

    Args:
        tyre_pressure_pa: Inflation pressure over the outside air [Pa], above 0 to 3 MPa.
        rotating: True for a tyre already turning (the take-off run), False for one spun up by touching water, which
            begins to ride sooner.

    Returns:
        Ground speed [m/s].

    Raises:
        OutOfRangeError: The pressure lies outside that range.

    Source:
        Horne and Dreher, NASA TN D-2056 (1963): 9 times the root of the pressure in psi, in knots; 7.7 for the tyre
        that does not turn (later NASA and FAA guidance after Horne, from memory).
    """
    require_within("tyre pressure", tyre_pressure_pa, 1.0e4, _HIGHEST_TYRE_PRESSURE_PA, "Pa")
    factor = _ROTATING_TYRE_KT_PER_ROOT_PSI if rotating else _NON_ROTATING_TYRE_KT_PER_ROOT_PSI
    return factor * KT_M_PER_S * math.sqrt(tyre_pressure_pa / _PSI_PA)


def displacement_drag_per_speed_squared(
    depth_m: float, tyre_width_m: float, wheels: int, fluid_density_kg_per_m3: float
) -> float:
    """Return the drag of water or slush thrown aside by the wheels, over the square of the ground speed.

    The spray striking the airframe is left out (whole aeroplanes measured in 1961-62 had considerably more drag than the
    wheels alone: FAA, Runway Slush Effects on the Takeoff of a Jet Transport, 1962), and so is the fall of the drag above
    the hydroplaning speed: the first is optimistic, the second pessimistic. The whole width of the tyre is taken where
    the source takes the chord at the depth, about two thirds of it: half as much drag again, towards the spray.

    Args:
        depth_m: Depth of the fluid [m], 0 to 0.05.
        tyre_width_m: Width of one tyre at the surface [m].
        wheels: Wheels that run in fluid of their own track [-].
        fluid_density_kg_per_m3: Density of the fluid: 1,000 for water, about 850 for slush [kg/m3].

    Returns:
        Drag over the square of the ground speed [kg/m].

    Raises:
        OutOfRangeError: The depth lies outside that range.

    Source:
        Form and coefficient (0.75 on width times depth) of EASA AMC 25.1591, from memory, not confirmed against a copy.
        In proportion to the depth and to the square of the speed: NASA TN D-552 (Horne, Joyner and Leland, 1960).
    """
    require_within("depth of standing water or slush", 1000.0 * depth_m, 0.0, 50.0, "mm")
    return 0.5 * fluid_density_kg_per_m3 * _TYRE_DRAG * wheels * tyre_width_m * depth_m


def ground_effect_ratio(wing_height_m: float, wing_span_m: float) -> float:
    """Return induced drag near the ground as a ratio of induced drag far from it.

    Args:
        wing_height_m: Height of the wing above the ground [m].
        wing_span_m: Wing span [m].

    Returns:
        Ratio, 0 to 1 [-].

    Raises:
        OutOfRangeError: The height or the span is not above zero.

    Source:
        McCormick, Aerodynamics, Aeronautics and Flight Mechanics; Anderson, Introduction to Flight, chapter 6 (from
        memory): (16 h/b)^2 over one more than itself.
    """
    require_within("wing height", wing_height_m, 1e-3, 1e4, "m")
    require_within("wing span", wing_span_m, 1e-3, 1e3, "m")
    squared = (16.0 * wing_height_m / wing_span_m) ** 2
    return squared / (1.0 + squared)


def creditable_headwind(headwind_m_per_s: float, headwind_share_ratio: float, tailwind_share_ratio: float) -> float:
    """Return the head wind a field length may be worked out with: part of a head wind, more than all of a tail wind.

    Args:
        headwind_m_per_s: Reported component, negative from behind [m/s].
        headwind_share_ratio: Share of a head wind that may be used [-].
        tailwind_share_ratio: Multiple of a tail wind that must be used [-].

    Returns:
        Head wind to use [m/s].

    Source:
        14 CFR 121.177(b): not more than 0.5 of a head wind, not less than 1.5 of a tail wind.
    """
    share = headwind_share_ratio if headwind_m_per_s >= 0.0 else tailwind_share_ratio
    return share * headwind_m_per_s
