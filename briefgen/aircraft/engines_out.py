"""With an engine stopped: the drift down, the greatest mass that holds a height, and what has to go overboard."""

from __future__ import annotations

import math
from collections.abc import Callable

from briefgen.aircraft.interface import Performance
from briefgen.aircraft.words import height_words, mass_words
from briefgen.errors import PlanError
from briefgen.frozen import dataclass, replace
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.interpolate import root
from briefgen.model.performance import Air, Ceiling

_STEP_S = 60.0
_SLOW_STEP_S = 120.0  # towards the end, where the ceiling rises with the falling weight as slowly as she sinks
_SLOW_RATE_M_PER_S = 0.25  # 50 ft/min
_LONGEST_S = 8.0 * 3600.0
_MASS_TOLERANCE_KG = 1.0
_NEAR_M = 2000.0  # the best speed hardly changes with height: found within this of the ceiling it is the one there
_SPEED_ROUNDS = 3

_BASE_STEP_M = 30.0  # the base of cloud is found from above to this, and taken no higher than it is

AirAt = Callable[[float], Air]  # the air at a pressure altitude [m]
IceAt = Callable[[float], bool]  # whether the carburettors ice at a pressure altitude [m]


@dataclass(frozen=True)
class DriftPoint:
    """One point of a drift down, time [s] and still-air distance [m] counted from the failure."""

    time_s: float
    distance_m: float
    pressure_altitude_m: float
    mass_kg: float


@dataclass(frozen=True)
class DriftDown:
    """A drift down at climb power and climb speed from the failure to where she holds height, or to the floor."""

    engines: str
    points: tuple[DriftPoint, ...]
    holds: bool  # at the end; else she still sinks there: at the floor, or when the time that is followed is over

    @property
    def level_off_m(self) -> float:
        """Pressure altitude at the end [m]."""
        return self.points[-1].pressure_altitude_m


@dataclass(frozen=True)
class BestCeiling:
    """A ceiling flown at the best speed there, indicated."""

    ceiling: Ceiling
    ias_m_per_s: float
    iced: bool = False  # with the levers set against ice, or at the base of the cloud she comes down through


def ceiling_at_best_speed(
    performance: Performance,
    mass_kg: float,
    isa_deviation_k: float,
    engines: str,
    rate_m_per_s: float,
    near_m: float,
    icing: IceAt | None = None,
    from_m: float = math.inf,
) -> BestCeiling:
    """Return the ceiling at the speed of the best rate of climb, the two settled in turn from near a pressure altitude.

    Where the carburettors ice at it, or at the pressure altitude she comes from when that is lower, it is the one with the levers set against it, or
    the base of that cloud, whichever is higher.

    Raises:
        PlanError: The rate is met at no height.
        OutOfRangeError: The charts do not say what is left with the levers set against ice.
    """
    dry = _settled(performance, mass_kg, isa_deviation_k, engines, rate_m_per_s, near_m, icing=False)
    height_m = min(from_m, dry.ceiling.pressure_altitude_m)
    if icing is None or not icing(height_m):
        return dry
    base_m = height_m
    while base_m > 0.0 and icing(base_m):
        base_m -= _BASE_STEP_M
    try:
        iced = _settled(performance, mass_kg, isa_deviation_k, engines, rate_m_per_s, near_m, icing=True)
    except PlanError:
        if base_m <= 0.0:
            raise
        iced = replace(dry, ceiling=replace(dry.ceiling, pressure_altitude_m=0.0))
    if iced.ceiling.pressure_altitude_m < base_m:
        iced = replace(iced, ceiling=replace(iced.ceiling, pressure_altitude_m=base_m, beyond_range=False))
    return replace(iced, iced=True)


def _settled(
    performance: Performance,
    mass_kg: float,
    isa_deviation_k: float,
    engines: str,
    rate_m_per_s: float,
    near_m: float,
    *,
    icing: bool,
) -> BestCeiling:
    height_m = near_m
    for _ in range(_SPEED_ROUNDS):
        air = Air(height_m, standard_temperature(height_m) + isa_deviation_k, icing=icing)
        ias = performance.best_climb_speed(mass_kg, air, engines=engines)
        ceiling = performance.ceiling(
            mass_kg, isa_deviation_k, engines=engines, rate_m_per_s=rate_m_per_s, ias_m_per_s=ias, icing=icing
        )
        moved_m, height_m = abs(ceiling.pressure_altitude_m - height_m), ceiling.pressure_altitude_m
        if moved_m < _NEAR_M:
            break
    return BestCeiling(ceiling, ias)


def drift_down(
    performance: Performance,
    mass_kg: float,
    from_altitude_m: float,
    air_at: AirAt,
    engines: str,
    floor_m: float,
    *,
    ias_m_per_s: float | None = None,
) -> DriftDown:
    """Return the drift down after engines have stopped, integrated by the midpoint method in minutes.

    It is flown at one indicated airspeed, the climb speed of the file unless another is given. It ends where the rate of
    climb is zero, or at the floor (the minimum safe pressure altitude). Where she does not sink there is a single point.
    """
    here = DriftPoint(0.0, 0.0, from_altitude_m, mass_kg)
    points = [here]
    while here.time_s < _LONGEST_S:
        climb = performance.climb(
            here.mass_kg, air_at(here.pressure_altitude_m), engines=engines, ias_m_per_s=ias_m_per_s
        )
        if climb.pressure_altitude_rate_m_per_s >= 0.0:
            return DriftDown(engines, tuple(points), holds=True)
        longest_s = _STEP_S if climb.pressure_altitude_rate_m_per_s < -_SLOW_RATE_M_PER_S else _SLOW_STEP_S
        half_s = 0.5 * longest_s
        middle_m = max(floor_m, here.pressure_altitude_m + climb.pressure_altitude_rate_m_per_s * half_s)
        middle_kg = here.mass_kg - climb.setting.fuel_flow_kg_per_s * half_s
        middle = performance.climb(middle_kg, air_at(middle_m), engines=engines, ias_m_per_s=ias_m_per_s)
        rate = middle.pressure_altitude_rate_m_per_s
        if rate >= 0.0:
            return DriftDown(engines, tuple(points), holds=True)
        step_s = min(longest_s, (here.pressure_altitude_m - floor_m) / -rate)
        here = DriftPoint(
            time_s=here.time_s + step_s,
            distance_m=here.distance_m + middle.setting.tas_m_per_s * step_s,
            pressure_altitude_m=here.pressure_altitude_m + rate * step_s,
            mass_kg=here.mass_kg - middle.setting.fuel_flow_kg_per_s * step_s,
        )
        points.append(here)
        if step_s < longest_s:
            return DriftDown(engines, tuple(points), holds=False)
    return DriftDown(engines, tuple(points), holds=False)


def greatest_mass_to_climb(
    performance: Performance, air: Air, engines: str, rate_m_per_s: float, mass_low_kg: float, mass_high_kg: float
) -> float:
    """Return the greatest mass [kg] between two that still climbs at a rate at climb power; the rate falls with mass.

    Every mass is flown at its own best speed.

    Raises:
        PlanError: Even the lowest mass does not.
    """

    def spare(mass_kg: float) -> float:
        ias = performance.best_climb_speed(mass_kg, air, engines=engines)
        return performance.climb(mass_kg, air, engines=engines, ias_m_per_s=ias).rate_m_per_s - rate_m_per_s

    if spare(mass_high_kg) >= 0.0:
        return mass_high_kg
    if spare(mass_low_kg) < 0.0:
        raise PlanError(
            f"{mass_words(mass_low_kg)} does not hold {height_words(air.pressure_altitude_m)}, engines: {engines}",
            expected="a lower height, colder air or more engines",
        )
    # Less the tolerance, so that the rate is met and not just missed.
    return (
        root(spare, mass_low_kg, mass_high_kg, _MASS_TOLERANCE_KG, quantity="spare rate of climb") - _MASS_TOLERANCE_KG
    )


def mass_to_jettison(
    performance: Performance, mass_kg: float, air: Air, engines: str, rate_m_per_s: float, mass_low_kg: float
) -> float:
    """Return the mass [kg] that must go overboard to climb at a rate at a height; 0 when nothing must.

    Raises:
        PlanError: She does not hold the height even at the lowest mass.
    """
    return mass_kg - greatest_mass_to_climb(performance, air, engines, rate_m_per_s, mass_low_kg, mass_kg)
