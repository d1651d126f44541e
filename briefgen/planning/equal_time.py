"""Equal-time points: where it takes as long to go back as to go on, on all engines and with one stopped."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from briefgen.errors import BriefgenError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Leg, Mission
from briefgen.model.places import Place
from briefgen.model.plan import Event
from briefgen.planning.direct import along, highest_way, straight_lines
from briefgen.planning.flying import Crew
from briefgen.planning.keys import phase_key
from briefgen.planning.route import LegLine, line_between
from briefgen.planning.spots import Spot, crossing, write_spot
from briefgen.planning.writer import LedgerWriter

COLUMNS = (
    Column("between", "Between"),
    Column("engines", "Engines"),
    Column("time", "Over at", "UTC"),
    Column("distance", "Distance run", "NM"),
    Column("latitude", "Latitude", "latitude"),
    Column("longitude", "Longitude", "longitude"),
    Column("each_way", "Time either way", "h:min"),
    Column("height", "Height held", "ft"),
    Column("fuel_volume", "Fuel there", "US gal"),
)


@dataclass(frozen=True)
class Choice:
    """Two fields between which the way may be as long in time: one behind, one ahead along the route or beside it."""

    behind: Place
    ahead: Place
    by_route: bool


def choices(mission: Mission) -> tuple[Choice, ...]:
    """Return the pairs worth a point: departure and destination where they differ, departure and each alternate."""
    origin, destination = mission.route.origin, mission.route.destination
    pairs = [Choice(origin, destination, True)] if origin.ident != destination.ident else []
    return (*pairs, *(Choice(origin, alternate.place, False) for alternate in mission.alternates))


def write_equal_time(mission: Mission, crew: Crew, spots: tuple[Spot, ...], writer: LedgerWriter) -> list[Event]:
    """Enter every equal-time point; all crossings are reported, since winds and the route can make several."""
    events: list[Event] = []
    rows: list[Row] = []
    every = crew.performance.engine_configurations
    fewer = [one for one in every if one.running == every[0].running - 1]
    for choice in choices(mission):
        for engines in (None, fewer[0].name if fewer else None)[: 2 if fewer else 1]:
            flying = replace(crew, engines=engines)
            named = engines or every[0].name
            found = _points(mission, flying, choice, spots)
            for spot in found:
                key = f"equal_time.{len(rows) + 1:02d}"
                rows.append(_write_point(mission, flying, choice, spot, key, named, writer))
                text = f"Equal time between {choice.behind.name} and {choice.ahead.name}, {named} engines: {{{key}.each_way}} either way"
                events.append(
                    Event(f"{key}.time", "decision", spot.phase.ident, ("captain", "navigator"), text, spot.phase.place)
                )
    if rows:
        writer.table("way_home.equal_time", "Equal-time points", COLUMNS, rows)
    return events


def _points(mission: Mission, crew: Crew, choice: Choice, spots: tuple[Spot, ...]) -> list[Spot]:
    def difference(spot: Spot) -> float:
        back, on = _both_ways(mission, crew, choice, spot)
        return back - on

    try:
        values = [difference(spot) for spot in spots]
    except BriefgenError:
        return []  # she cannot hold any height on these engines somewhere on the route: the review says so
    found = []
    for (first, before), (second, after) in pairwise(zip(spots, values, strict=True)):
        if (before < 0.0) != (after < 0.0) and second.node.distance_m > first.node.distance_m:
            found.append(crossing(difference, first, second))
    return found


def _both_ways(mission: Mission, crew: Crew, choice: Choice, spot: Spot) -> tuple[float, float]:
    """Return the time back and the time on [s]."""
    back = _way(crew, spot, straight_lines(spot.node, choice.behind))
    lines = remaining(mission, spot) if choice.by_route else straight_lines(spot.node, choice.ahead)
    return back[0], _way(crew, spot, lines)[0]


def _way(crew: Crew, spot: Spot, lines: tuple[LegLine, ...]) -> tuple[float, float]:
    if crew.engines is None:
        way = along(crew, spot.node, lines, max(spot.height_m, spot.node.pressure_altitude_m), spot.ias_m_per_s)
    else:
        speed = crew.performance.speeds(spot.node.mass_kg).climb_m_per_s
        way = highest_way(crew, spot.node, lines, max(spot.height_m, spot.node.pressure_altitude_m), speed)
    return way.time_s, way.pressure_altitude_m


def remaining(mission: Mission, spot: Spot) -> tuple[LegLine, ...]:
    """Return the lines still to fly from a spot along the route to the destination."""
    node, lines = spot.node, []
    here, lat, lon, run = "", node.lat_deg, node.lon_deg, node.distance_m
    first = spot.phase.item or 0
    for item in mission.route.items[first:]:
        if not isinstance(item, Leg):
            continue
        if abs(lat - item.to.lat_deg) + abs(lon - item.to.lon_deg) < 1e-9:
            continue
        line = line_between(here, lat, lon, item.to, run, item.track)
        lines.append(line)
        here, lat, lon, run = item.to.ident, item.to.lat_deg, item.to.lon_deg, line.end_distance_m
    return tuple(lines)


def _write_point(
    mission: Mission, crew: Crew, choice: Choice, spot: Spot, key: str, engines: str, writer: LedgerWriter
) -> Row:
    label = f"Equal time, {choice.behind.name} and {choice.ahead.name}, {engines} engines"
    how = "where the time back equals the time on, solved along the flight with the winds of each part and the falling weight"
    write_spot(mission.fuel.density_kg_per_m3, spot, key, label, how, writer)
    time_s, height_m = _way(crew, spot, straight_lines(spot.node, choice.behind))
    inputs = (f"{key}.time", f"{phase_key(spot.phase.ident)}.mass")
    writer.put(
        f"{key}.each_way", f"{label}: time", time_s, "h:min", method="straight back, level to overhead", inputs=inputs
    )
    writer.put(
        f"{key}.height",
        f"{label}: pressure altitude held",
        height_m,
        "ft",
        method="as planned, or the greatest that these engines hold",
        inputs=inputs,
    )
    writer.put(
        f"{key}.between",
        "Between",
        f"{choice.behind.name} and {choice.ahead.name}",
        method="departure, and destination or alternate",
    )
    writer.put(f"{key}.engines", "Engines", engines, method="engine configuration of the aircraft file")
    return Row(label, {column.name: f"{key}.{column.name}" for column in COLUMNS})
