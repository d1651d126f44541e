"""The way out with an engine failed: at every moment of the level flight to the nearest field, and the worst of them."""

from __future__ import annotations

from datetime import timedelta
from functools import partial

from briefgen.aircraft.interface import Performance
from briefgen.errors import PlanError
from briefgen.frozen import dataclass
from briefgen.kernel.geodesy import geodesic_distance
from briefgen.model.mission import Mission
from briefgen.model.places import Place
from briefgen.model.plan import Node, Phase, PhaseKind
from briefgen.planning.flight.direct import highest_way, straight_lines
from briefgen.planning.flight.home.way_height import safe_level
from briefgen.planning.flight.steps import Crew
from briefgen.planning.flight.usable import UsableFields

LEVEL_KINDS: tuple[PhaseKind, ...] = ("cruise", "hold", "run")


@dataclass(frozen=True)
class WayOut:
    """The way out from one moment of the flight."""

    node: Node
    title: str
    place: Place
    fuel_kg: float
    time_s: float

    @property
    def left_kg(self) -> float:
        """Fuel remaining overhead, what cannot be used included [kg]."""
        return self.node.fuel_kg - self.fuel_kg


def one_stopped(performance: Performance) -> str | None:
    """Return the name of the engine configuration with one engine stopped, None where there is none."""
    every = performance.engine_configurations
    return next((one.name for one in every if one.running == every[0].running - 1), None)


def worst_way_out(mission: Mission, phases: tuple[Phase, ...], crew: Crew) -> WayOut:
    """Return the way out that leaves the least fuel, over every moment of the level flight.

    Raises:
        PlanError: The engines hold no height, or at some moment no field can be landed on, or there is no level flight.
    """
    return min(_ways(mission, phases, crew), key=lambda way: way.left_kg)


def _ways(mission: Mission, phases: tuple[Phase, ...], crew: Crew) -> list[WayOut]:
    usable = UsableFields(mission, crew.sky)
    level = [phase for phase in phases if phase.of(*LEVEL_KINDS)]
    if not level:
        raise PlanError("there is no level flight")
    return [_way_from(mission, phase, node, crew, usable) for phase in level for node in phase.nodes]


def _way_from(mission: Mission, phase: Phase, node: Node, crew: Crew, usable: UsableFields) -> WayOut:
    """Return the way to the nearest field of the plan that can be landed on when she comes there."""
    route, why = mission.route, ""
    listed = [route.origin, route.destination, *(one.place for one in (*mission.alternates, *mission.en_route))]
    fields = {place.ident: place for place in listed}.values()
    for place in sorted(fields, key=partial(_distance_m, node)):
        soon = timedelta(seconds=_distance_m(node, place) / phase.tas_m_per_s)
        against = usable.why_not(place, node.instant + soon, node.mass_kg)
        if not against:
            safe_m = safe_level(mission, crew, node, _item(mission, phase), place)
            way = highest_way(crew, node, straight_lines(node, place), max(node.pressure_altitude_m, safe_m))
            against = usable.why_not(place, node.instant + timedelta(seconds=way.time_s), node.mass_kg)
            if not against:
                return WayOut(node, phase.title, place, way.fuel_kg, way.time_s)
        why = why or f"; the nearest, {place.ident}: {against}"
    raise PlanError(f"no field of the plan can be landed on from {phase.title}{why}")


def _item(mission: Mission, phase: Phase) -> int:
    return len(mission.route.items) if phase.item is None else phase.item


def _distance_m(node: Node, place: Place) -> float:
    return geodesic_distance(node.lat_deg, node.lon_deg, place.lat_deg, place.lon_deg)
