"""Climb, take-off power and descent of a physical model."""

from __future__ import annotations

from typing import NamedTuple

from briefgen.aircraft.flight_point import FlightPoint
from briefgen.aircraft.physics.lever_solution import Levers, levers_for
from briefgen.aircraft.physics.parts import Parts
from briefgen.aircraft.physics.powerplant import Breath
from briefgen.aircraft.words import pressure_words, rate_words
from briefgen.errors import PlanError
from briefgen.kernel.aerodynamics import energy_climb_ratio
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2
from briefgen.model.handling import FlightPhase
from briefgen.model.performance import Air, ClimbState, DescentState
from briefgen.model.powerplant import Rating, StoppedEngines


def pressure_altitude_rate_ratio(air: Air) -> float:
    """Return the rate through pressure altitude over that through real height: standard over real temperature."""
    return standard_temperature(air.pressure_altitude_m) / air.temperature_k


def rated_levers(parts: Parts, breath: Breath, rating: Rating, name: str) -> Levers:
    """Return the levers of a rating, the manifold pressure as high as the rating and the air allow."""
    plant = parts.plant
    available = plant.available(breath, rating.engine_speed_rpm)
    manifold_pa = min(rating.manifold_pressure_pa, available.manifold_pressure_pa)
    limit = f"{name} rating on {parts.grade.name}" if manifold_pa == rating.manifold_pressure_pa else available.limit
    power_w = plant.power(breath, rating.engine_speed_rpm, manifold_pa, rating.mixture)
    return Levers(rating.engine_speed_rpm, manifold_pa, rating.mixture, power_w, limit, 0.0)


class _Climbing(NamedTuple):
    """A climb before its setting is written out: a search for a rate wants no more than this."""

    breath: Breath
    levers: Levers
    cowl_flaps: str | None
    thrust_n: float
    rate_m_per_s: float


def climb_at(
    parts: Parts, mass_kg: float, point: FlightPoint, rating: Rating, phase: FlightPhase, stopped: StoppedEngines
) -> ClimbState:
    """Return the climb at a rating and point of flight; the rate is negative where she sinks."""
    breath, levers, cowl_flaps, thrust_n, rate = _climbing(parts, mass_kg, point, rating, phase, stopped)
    setting = parts.setting(
        mass_kg,
        point,
        breath,
        levers,
        stopped,
        thrust_n=thrust_n,
        cowl_flaps=cowl_flaps,
        phase=phase,
        time_limit_s=rating.time_limit_s,
    )
    return ClimbState(setting, rate, rate * pressure_altitude_rate_ratio(point.air))


def climb_rate(
    parts: Parts, mass_kg: float, point: FlightPoint, rating: Rating, phase: FlightPhase, stopped: StoppedEngines
) -> float:
    """Return the rate of climb [m/s] of `climb_at` alone."""
    return _climbing(parts, mass_kg, point, rating, phase, stopped).rate_m_per_s


def _climbing(
    parts: Parts, mass_kg: float, point: FlightPoint, rating: Rating, phase: FlightPhase, stopped: StoppedEngines
) -> _Climbing:
    breath = parts.breath(point, phase)
    levers = rated_levers(parts, breath, rating, phase)
    said = parts.handling.of(phase)
    cowl_flaps, opening_m2 = parts.openings(phase, point.air)
    extra_m2 = (
        parts.airframe.extra_drag_area(said.flaps, stopped, cowl_flaps, gear_down=said.gear == "down") + opening_m2
    )
    drag_n = parts.airframe.drag(mass_kg, point, extra_m2)
    thrust_n = parts.propeller.thrust(levers.power_w, point, levers.engine_speed_rpm)
    drag_n += parts.airframe.straight_drag(thrust_n, point, stopped)
    spare_n = thrust_n * stopped.configuration.running - drag_n
    rate = (
        spare_n
        * point.tas_m_per_s
        / (mass_kg * STANDARD_GRAVITY_M_PER_S2)
        * energy_climb_ratio(point.tas_m_per_s, parts.airspeeds.true_airspeed_gradient(point))
    )
    return _Climbing(breath, levers, cowl_flaps, thrust_n, rate)


def descent_at(
    parts: Parts,
    mass_kg: float,
    point: FlightPoint,
    pressure_altitude_rate_m_per_s: float,
    stopped: StoppedEngines,
    phase: FlightPhase = "descent",
) -> DescentState:
    """Return the descent at a rate through pressure altitude, positive downward, with the levers and flaps of a phase.

    Raises:
        PlanError: The rate asks for less power than keeps the engines warm.
    """
    rate = pressure_altitude_rate_m_per_s / pressure_altitude_rate_ratio(point.air)
    energy = energy_climb_ratio(point.tas_m_per_s, parts.airspeeds.true_airspeed_gradient(point))
    said = parts.handling.of(phase)
    cowl_flaps, opening_m2 = parts.openings(phase, point.air)
    extra_m2 = (
        parts.airframe.extra_drag_area(said.flaps, stopped, cowl_flaps, gear_down=said.gear == "down") + opening_m2
    )
    drag_n = parts.airframe.drag(mass_kg, point, extra_m2)
    weight_n = mass_kg * STANDARD_GRAVITY_M_PER_S2
    running = stopped.configuration.running
    thrust_n = parts.airframe.thrust_for(drag_n - weight_n * rate / (point.tas_m_per_s * energy), point, stopped)
    breath = parts.breath(point, phase)
    least_n = _least_thrust(parts, breath, point)
    if phase != "descent":
        thrust_n = max(thrust_n, least_n)  # a final is short: steeper than that she is slowed, the engines are not
    elif thrust_n < least_n:
        steepest = (drag_n - least_n * running) * point.tas_m_per_s * energy / weight_n
        raise PlanError(
            f"a descent of {rate_words(rate)} needs less than "
            f"{pressure_words(parts.model.descent_manifold_pressure_pa)}, the least that keeps the engines warm",
            expected=f"at most {rate_words(steepest)}",
            hint="come down more slowly, or begin earlier",
        )
    least_rpm = parts.handling.least_engine_speed(phase)
    levers = levers_for(parts.plant, breath, parts.propeller.power_for(thrust_n, point), said.mixture, least_rpm)
    setting = parts.setting(
        mass_kg, point, breath, levers, stopped, thrust_n=thrust_n, cowl_flaps=cowl_flaps, phase=phase
    )
    return DescentState(setting, rate, pressure_altitude_rate_m_per_s)


def _least_thrust(parts: Parts, breath: Breath, point: FlightPoint) -> float:
    """Return the thrust of one engine [N] at the lowest engine speed and the least manifold pressure of a descent."""
    speed_rpm = parts.model.minimum_engine_speed_rpm
    power_w = parts.plant.power(breath, speed_rpm, parts.model.descent_manifold_pressure_pa, "lean")
    return parts.propeller.thrust(power_w, point, speed_rpm)
