"""The way out with an engine failed: at every moment of the level flight to the nearest field, and the worst of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError, PlanError
from briefgen.kernel.geodesy import geodesic_distance
from briefgen.model.mission import Mission
from briefgen.model.places import Place
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight.direct import highest_way, straight_lines
from briefgen.planning.flight.flying import Crew
from briefgen.planning.flight.sky import Sky
from briefgen.planning.ledger.review_keys import MINIMA, MINIMA_MET, RAMP_FUEL, UNUSABLE_FUEL, engine_out, field_weather
from briefgen.planning.ledger.writer import LedgerWriter

LEVEL_KINDS = ("cruise", "hold", "run")
HOW = (
    "least over the level flight; level to overhead the nearest field of the plan that is above its minima, at the greatest "
    "height these engines hold, at the speed of climb or of waiting, with the winds on the way"
)


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


def write_engine_out_way(
    mission: Mission, phases: tuple[Phase, ...], performance: Performance, writer: LedgerWriter
) -> None:
    """Enter the worst way out with one engine stopped; where she cannot hold a height, say so in its place."""
    every = performance.engine_configurations
    fewer = [one.name for one in every if one.running == every[0].running - 1]
    if not fewer or engine_out("left") in writer:
        return
    crew = replace(Crew(performance, Sky(mission.weather)), engines=fewer[0])
    writer.put(
        engine_out("engines"), "Engines, one stopped", fewer[0], method="engine configuration of the aircraft file"
    )
    try:
        worst = min(_ways(phases, crew, _open_fields(mission, writer)), key=lambda way: way.left_kg)
    except BriefgenError as error:
        writer.put(engine_out("left"), "Fuel left after the way out, an engine stopped", error.problem, method=HOW)
        return
    inputs = (engine_out("engines"), RAMP_FUEL, UNUSABLE_FUEL)
    writer.put(engine_out("moment"), "Worst moment for an engine to stop", worst.node.instant, "UTC", method=HOW)
    writer.put(engine_out("phase"), "Worst moment for an engine to stop", worst.title, method=HOW)
    writer.put(engine_out("place"), "Nearest field there", f"{worst.place.ident} {worst.place.name}", method=HOW)
    writer.put(engine_out("way_time"), "Time to it", worst.time_s, "h:min", method=HOW, inputs=inputs)
    writer.put(engine_out("way_fuel"), "Fuel to it", worst.fuel_kg, "lb", method=HOW, inputs=inputs)
    usable = worst.left_kg - writer.number(UNUSABLE_FUEL)
    writer.put(
        engine_out("left"), "Fuel left after the way out, an engine stopped", usable, "lb", method=HOW,
        inputs=(engine_out("way_fuel"), *inputs),
    )  # fmt: skip


def _open_fields(mission: Mission, writer: LedgerWriter) -> tuple[Place, ...]:
    """Return the fields of the plan whose weather is at or above their minima whenever the plan uses them."""
    route = mission.route
    uses = [("take-off", route.origin), ("landing", route.destination)]
    uses += [("alternate", alternate.place) for alternate in mission.alternates]
    shut = set()
    for role, place in uses:
        key = field_weather(role, place.ident, MINIMA)
        if key not in writer or not str(writer[key].value).startswith(MINIMA_MET):
            shut.add(place.ident)
    found = {place.ident: place for _, place in uses if place.ident not in shut}
    if not found:
        raise PlanError("no field of the plan is above its minima")
    return tuple(found.values())


def _ways(phases: tuple[Phase, ...], crew: Crew, fields: tuple[Place, ...]) -> list[WayOut]:
    ways = []
    for phase in phases:
        if phase.kind not in LEVEL_KINDS:
            continue
        for node in phase.nodes:
            place = min(fields, key=partial(_distance_m, node))
            way = highest_way(crew, node, straight_lines(node, place), node.pressure_altitude_m)
            ways.append(WayOut(node, phase.title, place, way.fuel_kg, way.time_s))
    if not ways:
        raise PlanError("there is no level flight")
    return ways


def _distance_m(node: Node, place: Place) -> float:
    return geodesic_distance(node.lat_deg, node.lon_deg, place.lat_deg, place.lon_deg)
