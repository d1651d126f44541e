"""A landing given up: what she climbs at, and the fuel of one go-around and the circuit after it."""

from __future__ import annotations

from dataclasses import dataclass

from briefgen.kernel.altimetry import pressure_altitude
from briefgen.model.mission import Mission
from briefgen.model.performance import Air, ClimbState, IndicatedAirspeed
from briefgen.model.places import Place
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight.steps import Crew
from briefgen.planning.flight.written_levels import circuit_level, elevation_of


@dataclass(frozen=True)
class GivenUp:
    """The landing that is given up: the field, and the aircraft over its threshold."""

    place: Place
    node: Node
    air: Air


def given_up(mission: Mission, crew: Crew, phases: tuple[Phase, ...]) -> GivenUp:
    """Return the landing at the destination, in the air of the field at that time."""
    landing = next(phase for phase in reversed(phases) if phase.kind == "approach")
    field = mission.route.destination
    aloft = crew.sky.surface_air(field, landing.end)
    setting_pa = crew.sky.altimeter_setting(field.lat_deg, field.lon_deg, landing.end.instant)
    return GivenUp(field, landing.end, Air(pressure_altitude(elevation_of(field), setting_pa), aloft.temperature_k))


def climb_away(crew: Crew, at: GivenUp, engines: str | None = None) -> ClimbState:
    """Return the climb of the go-around at the landing weight, at the field.

    Raises:
        PlanError: The file or the charts give no such climb, or its speed is below minimum control.
        OutOfRangeError: The weather or the aircraft file does not cover it.
    """
    return crew.performance.go_around(at.node.mass_kg, at.air, engines=engines)


def go_around_kg(mission: Mission, crew: Crew, phases: tuple[Phase, ...]) -> float:
    """Return the fuel [kg] of one go-around at the destination for the policy's time, 0 where the policy asks for none.

    Climbing to the circuit at the power of the go-around, then the pattern for what is left of the time.
    """
    span_s = mission.rules.fuel.go_around_s
    if not span_s:
        return 0.0
    at = given_up(mission, crew, phases)
    climb = climb_away(crew, at)
    level = circuit_level(at.place)
    rise_m = max(0.0, level.value_m - elevation_of(at.place))
    climb_s = min(span_s, rise_m / climb.rate_m_per_s) if climb.rate_m_per_s > 0.0 else span_s
    speed = crew.performance.speeds(at.node.mass_kg).approach_m_per_s
    height_m, here = level.of(crew.sky, at.node), (at.place.lat_deg, at.place.lon_deg)
    icing = crew.sky.icing(*here, height_m, at.node.instant, at.air.temperature_k)
    air = Air(height_m, at.air.temperature_k, icing=icing)
    pattern = crew.performance.as_set(
        crew.performance.cruise(at.node.mass_kg, air, IndicatedAirspeed(speed), phase="pattern")
    )
    return climb_s * climb.setting.fuel_flow_kg_per_s + (span_s - climb_s) * pattern.fuel_flow_kg_per_s
