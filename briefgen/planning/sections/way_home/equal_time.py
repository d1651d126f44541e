"""Equal-time points and the critical point: where it takes as long to go back as to go on, on all engines and one out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

from briefgen.errors import BriefgenError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Alternate, Leg, Mission
from briefgen.model.places import Place
from briefgen.model.plan import Event, Finding, Node
from briefgen.planning.flight.critical_point import critical_point
from briefgen.planning.flight.direct import Way, held_height, straight_lines, time_along
from briefgen.planning.flight.flying import Crew
from briefgen.planning.flight.refuges import distance_at
from briefgen.planning.flight.route import LegLine, line_between
from briefgen.planning.flight.spots import Spot, crossing
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.way_home.spots import write_spot

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
HOW = "where the time back equals the time on, solved along the flight with the winds of each part of the route"
HOW_CRITICAL = (
    "the longest time over the flight to the nearest field of the plan, with the winds on the way; the weather at the field is "
    "not judged here"
)
NO_DRIFT_DOWN = "level to overhead; what a drift-down from above that height would save is not credited"


@dataclass(frozen=True)
class Choice:
    """Two fields between which the way may be as long in time: one behind, one ahead along the route or beside it."""

    behind: Place
    ahead: Place
    by_route: bool
    via: tuple[Place, ...] = ()
    from_m: float = 0.0
    until_m: float = float("inf")

    def serves(self, spot: Spot) -> bool:
        """Return whether both fields may be used from a spot."""
        return self.from_m <= spot.node.distance_m <= self.until_m


def choices(mission: Mission, spots: tuple[Spot, ...]) -> tuple[Choice, ...]:
    """Return the pairs worth a point: departure and destination where they differ, departure and each other field.

    A field on the way is paired with the destination too: there it is the field behind.
    """
    origin, destination = mission.route.origin, mission.route.destination
    away = origin.ident != destination.ident
    pairs = [Choice(origin, destination, True)] if away else []
    pairs += [Choice(origin, alternate.place, False, alternate.via) for alternate in mission.alternates]
    for alternate in mission.en_route:
        begin, end = _span(alternate, spots)
        pairs.append(Choice(origin, alternate.place, False, alternate.via, begin, end))
        if away and not alternate.via:
            pairs.append(Choice(alternate.place, destination, True, (), begin, end))
    return tuple(pairs)


def _span(alternate: Alternate, spots: tuple[Spot, ...]) -> tuple[float, float]:
    begin = distance_at(spots, alternate.usable_from) if alternate.usable_from else 0.0
    return begin, distance_at(spots, alternate.usable_until) if alternate.usable_until else float("inf")


def write_equal_time(
    mission: Mission, crew: Crew, spots: tuple[Spot, ...], writer: LedgerWriter
) -> tuple[list[Event], list[Finding]]:
    """Enter every equal-time point, and the critical point on fewer engines where there is none.

    All crossings are reported, since winds and the route can make several.
    """
    log = _Log(mission, writer)
    every = crew.performance.engine_configurations
    fewer = next((one.name for one in every if one.running == every[0].running - 1), None)
    pairs = choices(mission, spots)
    for engines in (None, fewer)[: 2 if fewer else 1]:
        ways = _Ways(mission, replace(crew, engines=engines))
        before = len(log.rows)
        for choice in pairs:
            for spot in ways.points(choice, spots):
                log.equal_time(ways, choice, spot, engines or every[0].name)
        if engines is not None and len(log.rows) == before and not ways.refused:
            log.critical(ways, spots, engines)
        log.refusals(ways, engines)
    if log.rows:
        writer.table("way_home.equal_time", "Equal-time points", COLUMNS, log.rows, NO_DRIFT_DOWN.capitalize() + ".")
    return log.events, log.findings


class _Ways:
    """Times back and on with one set of engines, and the points from which they cannot be flown."""

    def __init__(self, mission: Mission, crew: Crew) -> None:
        self.mission, self.crew = mission, crew
        self.refused: list[tuple[Spot, BriefgenError]] = []

    def points(self, choice: Choice, spots: tuple[Spot, ...]) -> list[Spot]:
        """Return the spots at which the time back equals the time on."""
        found = []
        served = [spot for spot in spots if choice.serves(spot)]
        values = [self._tried(choice, spot) for spot in served]
        for (first, before), (second, after) in pairwise(zip(served, values, strict=True)):
            if before is None or after is None or (before >= 0.0) == (after >= 0.0):
                continue
            if second.node.distance_m > first.node.distance_m:
                found.append(crossing(self._difference(choice), first, second, (before, after)))
        return found

    def _tried(self, choice: Choice, spot: Spot) -> float | None:
        try:
            return self._difference(choice)(spot)
        except BriefgenError as error:
            self.refused.append((spot, error))
            return None

    def _difference(self, choice: Choice) -> Callable[[Spot], float]:
        def back_less_on(spot: Spot) -> float:
            on = remaining(self.mission, spot) if choice.by_route else self.lines(spot.node, choice.ahead, choice.via)
            return self.way(spot, self.lines(spot.node, choice.behind)).time_s - self.way(spot, on).time_s

        return back_less_on

    def lines(self, node: Node, place: Place, via: tuple[Place, ...] = ()) -> tuple[LegLine, ...]:
        """Return the lines to a field."""
        return straight_lines(node, place, via)

    def way(self, spot: Spot, lines: tuple[LegLine, ...]) -> Way:
        """Return a way: at the height and speed of the phase on all engines, else as high as is held.

        Where the speed of a phase is not to be had at the weight of an earlier moment, all engines too fly as high as is held
        at the speed of climb.
        """
        height_m = max(spot.height_m, spot.node.pressure_altitude_m)
        if self.crew.engines is None:
            try:
                return time_along(self.crew, spot.node, lines, height_m, spot.ias_m_per_s)
            except BriefgenError:
                held_m, ias = held_height(self.crew, spot.node, height_m)
                return time_along(self.crew, spot.node, lines, held_m, ias)
        held_m, ias = held_height(self.crew, spot.node, height_m)
        return time_along(self.crew, replace(spot.node, pressure_altitude_m=held_m), lines, held_m, ias)


class _Log:
    """Enters the points of one plan and keeps their rows, events and findings."""

    def __init__(self, mission: Mission, writer: LedgerWriter) -> None:
        self.mission, self.writer = mission, writer
        self.rows: list[Row] = []
        self.events: list[Event] = []
        self.findings: list[Finding] = []

    def equal_time(self, ways: _Ways, choice: Choice, spot: Spot, engines: str) -> None:
        """Enter one equal-time point."""
        label = f"Equal time, {choice.behind.name} and {choice.ahead.name} (engines: {engines})"
        way = ways.way(spot, ways.lines(spot.node, choice.behind))
        between = f"{choice.behind.name} and {choice.ahead.name}"
        key = self._point(spot, way, label, HOW, between, engines)
        self._event(spot, key, f"Equal time between {between} (engines: {engines}): {{{key}.each_way}} either way")

    def critical(self, ways: _Ways, spots: tuple[Spot, ...], engines: str) -> None:
        """Enter the point with the longest time to the nearest field, an engine stopped."""
        fields = {place.ident: place for place in (self.mission.route.origin, self.mission.route.destination)}
        fields |= {one.place.ident: one.place for one in (*self.mission.alternates, *self.mission.en_route)}
        found = critical_point(ways.crew, ways.way, tuple(fields.values()), spots)
        label = f"Critical point (engines: {engines})"
        key = self._point(found.spot, found.way, label, HOW_CRITICAL, f"nearest: {found.place.name}", engines)
        self._event(found.spot, key, f"Critical point (engines: {engines}): {{{key}.each_way}} to {found.place.name}")

    def _point(self, spot: Spot, way: Way, label: str, how: str, between: str, engines: str) -> str:
        key, put = f"equal_time.{len(self.rows) + 1:02d}", self.writer.put
        write_spot(self.mission.fuel.density_kg_per_m3, spot, key, label, how, self.writer)
        inputs = (f"{key}.time", f"{phase_key(spot.phase.ident)}.mass")
        put(f"{key}.each_way", f"{label}: time", way.time_s, "h:min", method=NO_DRIFT_DOWN, inputs=inputs)
        put(
            f"{key}.height", f"{label}: pressure altitude held", way.pressure_altitude_m, "ft",
            method="as planned, or the greatest that these engines hold", inputs=inputs,
        )  # fmt: skip
        put(f"{key}.between", "Between", between, method="departure, destination and the fields listed")
        put(f"{key}.engines", "Engines", engines, method="engine configuration of the aircraft file")
        self.rows.append(Row(label, {column.name: f"{key}.{column.name}" for column in COLUMNS}))
        return key

    def _event(self, spot: Spot, key: str, text: str) -> None:
        self.events.append(
            Event(f"{key}.time", "decision", spot.phase.ident, ("captain", "navigator"), text, spot.phase.place)
        )

    def refusals(self, ways: _Ways, engines: str | None) -> None:
        """Say from where a way could not be worked out, and why."""
        if not ways.refused:
            return
        spot, error = ways.refused[0]
        name, count = engines or "all", len({id(spot) for spot, _ in ways.refused})
        key = f"equal_time.not_known.{'all' if engines is None else 'fewer'}"
        measured = self.writer.put(
            f"{key}.why", f"Equal time (engines: {name})", error.problem, method=HOW,
            inputs=(f"{phase_key(spot.phase.ident)}.mass",),
        )  # fmt: skip
        first = self.writer.put(
            f"{key}.from", f"Equal time (engines: {name}) not known from", spot.node.instant, "UTC",
            method="first point of the flight from which a way cannot be flown",
        )  # fmt: skip
        last = self.writer.put(
            f"{key}.until", f"Equal time (engines: {name}) not known until", ways.refused[-1][0].node.instant, "UTC",
            method="last point of the flight from which a way cannot be flown",
        )  # fmt: skip
        self.findings.append(
            Finding(
                key, "caution", f"Equal time (engines: {name})",
                f"Not worked out at {count} point{'' if count == 1 else 's'} of the flight, from {{{first}}} to {{{last}}}: {error.problem}.",
                measured, first, last, "house policy: always a way home", error.hint or "start lighter, or fly lower",
                "diversions",
            )
        )  # fmt: skip


def remaining(mission: Mission, spot: Spot) -> tuple[LegLine, ...]:
    """Return the lines still to fly from a spot along the route to the destination."""
    node, lines = spot.node, []
    here, lat, lon, run = "", node.lat_deg, node.lon_deg, node.distance_m
    for item in mission.route.items[spot.item :]:
        if not isinstance(item, Leg) or abs(lat - item.to.lat_deg) + abs(lon - item.to.lon_deg) < 1e-9:
            continue
        line = line_between(here, lat, lon, item.to, run, item.track)
        lines.append(line)
        here, lat, lon, run = item.to.ident, item.to.lat_deg, item.to.lon_deg, line.end_distance_m
    return tuple(lines)
