"""Equal-time points: where it takes as long to go back as to go on, on all engines and one out, and the critical point."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from briefgen.errors import BriefgenError
from briefgen.frozen import dataclass, replace
from briefgen.model.mission import Alternate, Leg, Mission
from briefgen.model.places import Place
from briefgen.model.plan import Node
from briefgen.planning.flight.direct import Way, highest_way, straight_lines, time_along
from briefgen.planning.flight.home.critical_point import CriticalPoint, critical_point
from briefgen.planning.flight.home.refuges import distance_at
from briefgen.planning.flight.home.spots import Spot, crossing
from briefgen.planning.flight.home.way_height import safe_level
from briefgen.planning.flight.route import LegLine, line_between
from briefgen.planning.flight.steps import Crew


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


@dataclass(frozen=True)
class EqualTime:
    """A point from which two fields are equally far in time, and the way back from it."""

    choice: Choice
    spot: Spot
    way: Way


@dataclass(frozen=True)
class OnEngines:
    """What was found with one set of engines: points, the critical point where there are none, and what cannot be flown."""

    name: str
    every: bool  # all engines run
    points: tuple[EqualTime, ...]
    critical: CriticalPoint | None
    refused: tuple[tuple[Spot, BriefgenError], ...]


def equal_times(mission: Mission, crew: Crew, spots: tuple[Spot, ...]) -> tuple[OnEngines, ...]:
    """Return every equal-time point on all engines and with one stopped, and the critical point where there is none.

    All crossings are reported, since winds and the route can make several.
    """
    every = crew.performance.engine_configurations
    fewer = next((one.name for one in every if one.running == every[0].running - 1), None)
    found = [_on_engines(mission, crew, None, every[0].name, spots)]
    if fewer is not None:
        found.append(_on_engines(mission, crew, fewer, fewer, spots))
    return tuple(found)


def _on_engines(mission: Mission, crew: Crew, engines: str | None, name: str, spots: tuple[Spot, ...]) -> OnEngines:
    ways = Ways(mission, replace(crew, engines=engines))
    points = tuple(
        EqualTime(choice, spot, ways.way(spot, ways.lines(spot.node, choice.behind), choice.behind))
        for choice in choices(mission, spots)
        for spot in ways.points(choice, spots)
    )
    critical = None
    if engines is not None and not points and not ways.refused:
        fields = {place.ident: place for place in (mission.route.origin, mission.route.destination)}
        fields |= {one.place.ident: one.place for one in (*mission.alternates, *mission.en_route)}
        critical = critical_point(ways.crew, ways.way, tuple(fields.values()), spots)
    return OnEngines(name, engines is None, points, critical, tuple(ways.refused))


class Ways:
    """Times back and on with one set of engines, and the points from which they cannot be flown."""

    def __init__(self, mission: Mission, crew: Crew) -> None:
        self.mission, self.crew = mission, crew
        self.refused: list[tuple[Spot, BriefgenError]] = []
        self._known: dict[tuple[Spot, str, tuple[str, ...], bool], Way | BriefgenError] = {}

    def points(self, choice: Choice, spots: tuple[Spot, ...]) -> list[Spot]:
        """Return the spots at which the time back equals the time on."""
        found = []
        served = [spot for spot in spots if choice.serves(spot)]
        values = [self._tried(choice, spot) for spot in served]
        for (first, before), (second, after) in pairwise(zip(served, values, strict=True)):
            if before is None or after is None or (before >= 0.0) == (after >= 0.0):
                continue
            if second.node.distance_m > first.node.distance_m:
                try:
                    found.append(crossing(self._difference(choice), first, second, (before, after)))
                except BriefgenError as error:  # both ends can be flown from, and a spot between them cannot
                    self.refused.append((first, error))
        return found

    def _tried(self, choice: Choice, spot: Spot) -> float | None:
        try:
            return self._difference(choice)(spot)
        except BriefgenError as error:
            self.refused.append((spot, error))
            return None

    def _difference(self, choice: Choice) -> Callable[[Spot], float]:
        def back_less_on(spot: Spot) -> float:
            back = self._flown(spot, choice.behind, (), by_route=False)
            return back.time_s - self._flown(spot, choice.ahead, choice.via, by_route=choice.by_route).time_s

        return back_less_on

    def _flown(self, spot: Spot, place: Place, via: tuple[Place, ...], *, by_route: bool) -> Way:
        """Return a way flown once: several choices lead back to the same field, or on to it."""
        key = (spot, place.ident, tuple(point.ident for point in via), by_route)
        if key not in self._known:
            try:
                lines = remaining(self.mission, spot) if by_route else self.lines(spot.node, place, via)
                self._known[key] = self.way(spot, lines, place)
            except BriefgenError as error:
                self._known[key] = error
        found = self._known[key]
        if isinstance(found, BriefgenError):
            raise found
        return found

    def lines(self, node: Node, place: Place, via: tuple[Place, ...] = ()) -> tuple[LegLine, ...]:
        """Return the lines to a field."""
        return straight_lines(node, place, via)

    def way(self, spot: Spot, lines: tuple[LegLine, ...], place: Place) -> Way:
        """Return a way: at the height and speed of the phase on all engines, else as high as is held; never under the safe altitude.

        Where the speed of a phase is not to be had at the weight of an earlier moment, all engines too fly as high as is held
        at the speed of climb.
        """
        safe_m = safe_level(self.mission, self.crew, spot.node, spot.item, place)
        height_m = max(spot.height_m, spot.node.pressure_altitude_m, safe_m)
        if self.crew.engines is None:
            try:
                return time_along(self.crew, spot.node, lines, height_m, spot.ias_m_per_s)
            except BriefgenError:
                pass
        return highest_way(self.crew, spot.node, lines, height_m, time_along)


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
