"""The way out with an engine failed: at every moment of the level flight to the nearest field, and the worst of them."""

from __future__ import annotations

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
        """Fuel left overhead, what cannot be used included [kg]."""
        return self.node.fuel_kg - self.fuel_kg


def one_stopped(performance: Performance) -> str | None:
    """Return the name of the engine configuration with one engine stopped, None where there is none."""
    every = performance.engine_configurations
    return next((one.name for one in every if one.running == every[0].running - 1), None)


def worst_way_out(mission: Mission, phases: tuple[Phase, ...], crew: Crew, fields: tuple[Place, ...]) -> WayOut:
    """Return the way out that leaves the least fuel, over every moment of the level flight.

    Raises:
        PlanError: The engines hold no height, or no field or no level flight is there.
    """
    if not fields:
        raise PlanError("no field of the plan is above its minima")
    return min(_ways(mission, phases, crew, fields), key=lambda way: way.left_kg)


def _ways(mission: Mission, phases: tuple[Phase, ...], crew: Crew, fields: tuple[Place, ...]) -> list[WayOut]:
    ways = []
    for phase in phases:
        if not phase.of(*LEVEL_KINDS):
            continue
        for node in phase.nodes:
            place = min(fields, key=partial(_distance_m, node))
            safe_m = safe_level(mission, crew, node, _item(mission, phase), place)
            way = highest_way(crew, node, straight_lines(node, place), max(node.pressure_altitude_m, safe_m))
            ways.append(WayOut(node, phase.title, place, way.fuel_kg, way.time_s))
    if not ways:
        raise PlanError("there is no level flight")
    return ways


def _item(mission: Mission, phase: Phase) -> int:
    return len(mission.route.items) if phase.item is None else phase.item


def _distance_m(node: Node, place: Place) -> float:
    return geodesic_distance(node.lat_deg, node.lon_deg, place.lat_deg, place.lon_deg)
