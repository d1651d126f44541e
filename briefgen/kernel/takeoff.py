"""The take-off and the landing on the wheels as sums over speed: ground run, stop, critical engine-failure speed.

A run is the integral of ground speed over acceleration between two airspeeds, by Simpson's rule on equal panels.
A speed that cannot be reached lies at an infinite distance; that is an answer, not an error.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable

from briefgen.frozen import dataclass
from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2

PANELS = 20  # two function values each; halving the panels moves a run of usual length by less than 0.1 %
_HALVINGS = 24  # of the bracket of the critical speed: far below any speed an airspeed indicator shows


@dataclass(frozen=True)
class Roll:
    """An aeroplane on its wheels in a fixed attitude.

    Attributes:
        mass_kg: Mass [kg].
        density_kg_per_m3: Air density [kg/m3].
        lift_area_m2: Lift coefficient in this attitude times wing area [m2].
        drag_area_m2: Drag coefficient in this attitude times wing area, with everything that hangs out [m2].
        friction: Wheel drag over wheel load, rolling or braked [-].
        slope_ratio: Rise over run along the roll, uphill positive [-].
        headwind_m_per_s: Head wind, negative from behind [m/s].
        thrust_angle_deg: Thrust line above the runway [deg].
        fluid_drag_kg_per_m: Drag of displaced water over ground speed squared [kg/m].
    """

    mass_kg: float
    density_kg_per_m3: float
    lift_area_m2: float
    drag_area_m2: float
    friction: float
    slope_ratio: float = 0.0
    headwind_m_per_s: float = 0.0
    thrust_angle_deg: float = 0.0
    fluid_drag_kg_per_m: float = 0.0


@dataclass(frozen=True)
class Marks:
    """Distances belonging to ascending true airspeeds along one run.

    Attributes:
        tas_m_per_s: True airspeeds, ascending [m/s].
        distance_m: Distance at each of them, infinite where the speed cannot be had [m].
    """

    tas_m_per_s: tuple[float, ...]
    distance_m: tuple[float, ...]

    def at(self, tas_m_per_s: float) -> float:
        """Return the distance at a speed, between marks linear in the square of the speed, as a steady force gives it.

        Args:
            tas_m_per_s: True airspeed, held to the first and last mark [m/s].

        Returns:
            Distance [m].

        Source:
            First principles.
        """
        speeds = self.tas_m_per_s
        index = min(max(bisect_right(speeds, tas_m_per_s) - 1, 0), len(speeds) - 2)
        low, high = speeds[index], speeds[index + 1]
        share = (tas_m_per_s**2 - low**2) / (high**2 - low**2)
        share = min(max(share, 0.0), 1.0)
        if share == 0.0:
            return self.distance_m[index]
        if share == 1.0:
            return self.distance_m[index + 1]
        return self.distance_m[index] * (1.0 - share) + self.distance_m[index + 1] * share

    def time_to(self, tas_m_per_s: float, headwind_m_per_s: float) -> float:
        """Return the time from the first mark to a speed, each stretch between marks run at its mean ground speed.

        Args:
            tas_m_per_s: True airspeed, held to the first and last mark [m/s].
            headwind_m_per_s: Head wind along the run [m/s].

        Returns:
            Time [s]; exact where the force between two marks is steady.

        Source:
            First principles.
        """
        total, (at, run) = 0.0, (self.tas_m_per_s[0], self.distance_m[0])
        for tas in (*(one for one in self.tas_m_per_s[1:] if one < tas_m_per_s), tas_m_per_s):
            there = self.at(tas)
            total += (there - run) / (0.5 * (at + tas) - headwind_m_per_s) if there > run else 0.0
            at, run = tas, there
        return total


def forward_force(roll: Roll, thrust_n: float, tas_m_per_s: float) -> float:
    """Return the force that accelerates an aeroplane rolling on its wheels; wheels that carry nothing have no drag.

    Args:
        roll: The aeroplane on its wheels [SI].
        thrust_n: Thrust of the running engines, 0 at idle [N].
        tas_m_per_s: True airspeed, negative when a tail wind is stronger than the roll is fast [m/s].

    Returns:
        Force along the runway, negative when it slows her [N].

    Source:
        First principles; the handbook form is SFTE Reference Handbook 2013, chapter 12, ground roll.
    """
    weight_n = roll.mass_kg * STANDARD_GRAVITY_M_PER_S2
    pressure_pa = 0.5 * roll.density_kg_per_m3 * tas_m_per_s * tas_m_per_s
    angle_rad = math.radians(roll.thrust_angle_deg)
    load_n = weight_n - pressure_pa * roll.lift_area_m2 - thrust_n * math.sin(angle_rad)
    drag_n = math.copysign(pressure_pa, tas_m_per_s) * roll.drag_area_m2
    ground_speed = tas_m_per_s - roll.headwind_m_per_s
    fluid_n = roll.fluid_drag_kg_per_m * ground_speed * ground_speed
    wheel_n = roll.friction * max(load_n, 0.0)
    return thrust_n * math.cos(angle_rad) - drag_n - wheel_n - roll.slope_ratio * weight_n - fluid_n


def run_marks(
    roll: Roll, thrust_n: Callable[[float], float], from_tas_m_per_s: float, to_tas_m_per_s: float, panels: int = PANELS
) -> Marks:
    """Return the distance run from a first speed to each later one, gathering speed.

    Args:
        roll: The aeroplane on its wheels [SI].
        thrust_n: Thrust as a function of true airspeed [N].
        from_tas_m_per_s: First airspeed; at rest this is the head wind [m/s].
        to_tas_m_per_s: Last airspeed [m/s].
        panels: Panels of Simpson's rule [-].

    Returns:
        Distance from the start to each speed; infinite once the force no longer points forward.

    Source:
        First principles.
    """
    return _marks(roll, thrust_n, from_tas_m_per_s, to_tas_m_per_s, panels, 1.0)


def stop_marks(roll: Roll, from_tas_m_per_s: float, to_tas_m_per_s: float, panels: int = PANELS) -> Marks:
    """Return the distance in which each speed is brought down to the first one, engines giving no thrust.

    Args:
        roll: The aeroplane on its wheels, braked [SI].
        from_tas_m_per_s: The lowest speed, to which she slows; at rest this is the head wind [m/s].
        to_tas_m_per_s: The highest speed [m/s].
        panels: Panels of Simpson's rule [-].

    Returns:
        Distance from each speed down to the lowest; infinite where nothing slows her.

    Source:
        First principles.
    """
    return _marks(roll, _no_thrust, from_tas_m_per_s, to_tas_m_per_s, panels, -1.0)


def remaining_marks(marks: Marks) -> Marks:
    """Return the distance still to run from each speed of a run to its last one.

    Args:
        marks: Distances from the start of the run [m].

    Returns:
        Distances to its end; infinite from every speed below one that cannot be passed.

    Source:
        First principles.
    """
    last = marks.distance_m[-1]
    if math.isinf(last):
        return Marks(marks.tas_m_per_s, (math.inf,) * len(marks.distance_m))
    return Marks(marks.tas_m_per_s, tuple(last - distance for distance in marks.distance_m))


def joined_marks(slow: Marks, fast: Marks) -> Marks:
    """Return the stopping distances over two ranges of speed, one with brakes that hold and one above with less.

    Args:
        slow: Distances over the lower range [m].
        fast: Distances over the upper range, which begins where the lower ends [m].

    Returns:
        Distances over both.

    Source:
        First principles.
    """
    base = slow.distance_m[-1]
    later = tuple(base + distance for distance in fast.distance_m[1:])
    return Marks(slow.tas_m_per_s + fast.tas_m_per_s[1:], slow.distance_m + later)


def _marks(
    roll: Roll, thrust_n: Callable[[float], float], low: float, high: float, panels: int, direction: float
) -> Marks:
    """Return ground speed times mass over force, summed panel by panel."""
    if not high > low:
        return Marks((low, low + 1e-9), (0.0, 0.0))
    half = 0.5 * (high - low) / panels
    factor = roll.mass_kg * half / 3.0
    headwind = roll.headwind_m_per_s

    def pace(tas: float) -> float:
        force_n = direction * forward_force(roll, thrust_n(tas), tas)
        return (tas - headwind) / force_n if force_n > 0.0 else math.inf

    speeds, distances = [low], [0.0]
    before, total = pace(low), 0.0
    for panel in range(panels):
        start = low + 2.0 * half * panel
        end = high if panel == panels - 1 else start + 2.0 * half
        after = pace(end)
        total += factor * (before + 4.0 * pace(start + half) + after)
        speeds.append(end)
        distances.append(total)
        before = after
    return Marks(tuple(speeds), tuple(distances))


def _no_thrust(_tas_m_per_s: float) -> float:
    return 0.0


def attitude_unstick_speed(
    mass_kg: float,
    density_kg_per_m3: float,
    lift_area_m2: float,
    thrust_n: Callable[[float], float],
    thrust_angle_deg: float,
) -> float:
    """Return the speed at which lift, helped by the upward part of the thrust, carries the weight in a fixed attitude.

    Args:
        mass_kg: Mass [kg].
        density_kg_per_m3: Air density [kg/m3].
        lift_area_m2: Lift coefficient in the attitude times wing area, above zero [m2].
        thrust_n: Thrust as a function of true airspeed [N].
        thrust_angle_deg: Thrust line above the runway [deg].

    Returns:
        True airspeed [m/s].

    Source:
        First principles; the thrust is taken at the speed of the step before, four steps, which settles to 1 mm/s.
    """
    weight_n = mass_kg * STANDARD_GRAVITY_M_PER_S2
    upward = math.sin(math.radians(thrust_angle_deg))
    scale = 2.0 / (density_kg_per_m3 * lift_area_m2)
    tas = math.sqrt(weight_n * scale)
    for _ in range(4):
        tas = math.sqrt(max(weight_n - upward * thrust_n(tas), 0.1 * weight_n) * scale)
    return tas


def critical_speed(
    go_m: Callable[[float], float],
    stop_m: Callable[[float], float],
    least_tas_m_per_s: float,
    unstick_tas_m_per_s: float,
) -> float:
    """Return the engine-failure speed from which going on and stopping end at the same distance.

    Held to the bounds: the least speed when going on is the shorter even there, unstick when stopping still is.

    Args:
        go_m: Distance to the height, an engine failing at a true airspeed; falls with it [m].
        stop_m: Distance to a stop, an engine failing at a true airspeed; rises with it [m].
        least_tas_m_per_s: Lowest speed allowed, such as the minimum control speed [m/s].
        unstick_tas_m_per_s: Highest speed allowed [m/s].

    Returns:
        True airspeed [m/s].

    Source:
        Concept of 14 CFR 25.107 and 25.109; bisection.
    """
    if stop_m(unstick_tas_m_per_s) <= go_m(unstick_tas_m_per_s):
        return unstick_tas_m_per_s
    if go_m(least_tas_m_per_s) <= stop_m(least_tas_m_per_s):
        return least_tas_m_per_s
    low, high = least_tas_m_per_s, unstick_tas_m_per_s
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if go_m(middle) > stop_m(middle):
            low = middle
        else:
            high = middle
    return high
