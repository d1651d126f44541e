"""The way that was really flown, flown again: stretch by stretch, with any set of causes as planned or as met."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field, replace
from datetime import datetime

from briefgen.frozen import dataclass
from briefgen.model.mission import Action, Alternate, Height, Hold, Leg, LoadItem, Mission, RouteItem
from briefgen.model.performance import IndicatedAirspeed, SpeedTarget
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight.over_place import fly_approach
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.sortie import Departure, fly_diversion, fly_ground_and_take_off, fly_items, on_the_ground
from briefgen.planning.flight.steps import Crew
from briefgen.weather.air import AirAloft

WIND, GROUND_SPEED, SPEED, WEIGHT = "wind", "ground speed", "speed", "weight"
CONSUMPTION, ALTITUDE, DELAY = "consumption", "altitude", "delay"
CAUSES = (WIND, GROUND_SPEED, SPEED, WEIGHT, CONSUMPTION, ALTITUDE, DELAY)
On = frozenset[str]
NOTHING: On = frozenset()

OUT, TAKE_OFF, AWAY, LANDING, IN = "out", "take-off", "away", "landing", "in"


class FoundWind(Sky):
    """The forecast with a wind added to it everywhere."""

    def __init__(self, forecast: Sky, east_m_per_s: float, north_m_per_s: float) -> None:
        self.__dict__.update(forecast.__dict__)
        self._forecast, self._east, self._north = forecast, east_m_per_s, north_m_per_s

    def air(self, lat_deg: float, lon_deg: float, pressure_altitude_m: float, instant: datetime) -> AirAloft:
        """Return the air of the forecast with the wind found."""
        aloft = self._forecast.air(lat_deg, lon_deg, pressure_altitude_m, instant)
        return AirAloft(
            aloft.temperature_k, aloft.wind_east_m_per_s + self._east, aloft.wind_north_m_per_s + self._north
        )


@dataclass(frozen=True)
class Way:
    """What was flown: the settled plan, the last route item that was served, and the alternate turned to, if any."""

    flown: Flown
    last_item: int
    alternate: Alternate | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """The names of its stretches, in order: a route item is named by its number."""
        items = tuple(str(index) for index in range(self.last_item + 1))
        return (OUT, TAKE_OFF, *items, AWAY if self.alternate else LANDING, IN)


@dataclass(frozen=True)
class Met:
    """What was met instead of what was planned, by stretch; what is not here was as planned, or is not known.

    Attributes:
        waits_s: Times on the ground and over a place: of a hold or an action one for each pass; of ``out`` from the first engine
            to the release of the brakes.
        left_kg: What left under each label.
        wind_m_per_s: What was added to the forecast, towards east and north; ``ground_speed_m_per_s`` likewise where wind and
            airspeed cannot be told apart.
    """

    departure: Departure
    causes: tuple[str, ...] = ()
    waits_s: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    left_kg: Mapping[str, float] = field(default_factory=dict)
    heights: Mapping[str, Height] = field(default_factory=dict)
    targets: Mapping[str, SpeedTarget] = field(default_factory=dict)
    wind_m_per_s: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    ground_speed_m_per_s: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    consumption_ratio: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Stretch:
    """One stretch flown."""

    name: str
    phases: tuple[Phase, ...]

    @property
    def end(self) -> Node:
        """The aircraft as it ends, what was dropped gone."""
        last = self.phases[-1]
        return replace(last.end, mass_kg=last.end.mass_kg - last.released_kg)

    @property
    def start(self) -> Node:
        """The aircraft as it begins."""
        return self.phases[0].start

    @property
    def burnt_kg(self) -> float:
        """Fuel burnt in it [kg]."""
        return self.start.fuel_kg - self.end.fuel_kg

    @property
    def lasts_s(self) -> float:
        """How long it lasts [s]."""
        return (self.end.instant - self.start.instant).total_seconds()


class Pilot:
    """Flies a way with a set of causes at work."""

    def __init__(self, way: Way, met: Met, on: On) -> None:
        self._way, self._met, self._on = way, met, on
        self._mission = self._as_met(way.flown.mission)

    def departure(self) -> Departure:
        """Return what she starts with: clock by the delay, weights by the weight."""
        planned, met = self._way.flown.departure, self._met.departure
        clock = met if DELAY in self._on else planned
        loaded = met if WEIGHT in self._on else planned
        return Departure(clock.off_blocks, loaded.zero_fuel_mass_kg, loaded.fuel_kg)

    def whole(self) -> tuple[Stretch, ...]:
        """Return every stretch of the way.

        Raises:
            PlanError: It cannot be flown so.
            OutOfRangeError: The weather or the aircraft file does not cover it.
        """
        found = [*self.out()]
        for name in self._way.names[2:]:
            found.append(self.stretch(name, found[-1].end))
        return tuple(found)

    def out(self) -> tuple[Stretch, ...]:
        """Return the ground before the flight and the take-off."""
        crew = self._crew(OUT)
        phases = fly_ground_and_take_off(self._mission, crew, self.departure())
        return Stretch(OUT, tuple(phases[:-1])), Stretch(TAKE_OFF, tuple(phases[-1:]))

    def stretch(self, name: str, here: Node) -> Stretch:
        """Return one stretch flown from a state; one that has nothing to fly stays where she is."""
        crew, mission = self._crew(name), self._mission
        if name == AWAY:
            phases = list(fly_diversion(mission, crew, here, self._left(), self._alternate()))
        elif name == LANDING:
            phases = fly_approach(crew, here, mission.route.destination, mission.times.approach_s)
        elif name == IN:
            phases = self._in(crew, here)
        else:
            item = int(name)
            paces = {key: pace for key, pace in self._way.flown.paces.items() if key != item or not self._speeds(name)}
            phases = fly_items(mission, crew, here, through=item, begin=item, paces=paces)
        return Stretch(name, tuple(phases) or (Phase("", "cruise", "", None, (here, here)),))

    def _left(self) -> str:
        legs = [item for item in self._mission.route.items[: self._way.last_item + 1] if isinstance(item, Leg)]
        return legs[-1].to.ident if legs else self._mission.route.origin.ident

    def _in(self, crew: Crew, here: Node) -> list[Phase]:
        times = self._mission.times
        place = self._way.alternate.place if self._way.alternate else self._mission.route.destination
        taxi = on_the_ground(crew, here, "taxi-in", "taxi", "Taxi in", times.taxi_in_s, place)
        return [taxi, on_the_ground(crew, taxi.end, "shutdown", "shutdown", "Shut down", times.shutdown_s, place)]

    def _crew(self, name: str) -> Crew:
        crew, met = self._way.flown.crew, self._met
        if CONSUMPTION in self._on:
            crew = replace(crew, consumption_ratio=met.consumption_ratio.get(name, 1.0))
        for cause, winds in ((WIND, met.wind_m_per_s), (GROUND_SPEED, met.ground_speed_m_per_s)):
            if cause in self._on and name in winds:
                crew = replace(crew, sky=FoundWind(crew.sky, *winds[name]))
        return crew

    # --- the mission as met -------------------------------------------------------------------------------------

    def _speeds(self, name: str) -> SpeedTarget | None:
        return self._met.targets.get(name) if SPEED in self._on else None

    def _alternate(self) -> Alternate:
        found = self._way.alternate
        assert found is not None
        cruise, height = self._speeds(AWAY), self._met.heights.get(AWAY) if ALTITUDE in self._on else None
        return replace(found, cruise=cruise or found.cruise, height=height or found.height)

    def _as_met(self, mission: Mission) -> Mission:
        items = tuple(self._item(str(index), item) for index, item in enumerate(mission.route.items))
        mission = replace(mission, route=replace(mission.route, items=items))
        if WEIGHT in self._on and self._met.left_kg:
            mission = replace(mission, items=tuple(self._loads(mission)))
        return self._on_the_clock(mission) if DELAY in self._on else mission

    def _loads(self, mission: Mission) -> Iterator[LoadItem]:
        """Yield the loads with the mass that really left; what stayed is in the weight she flies with as it was."""
        planned: dict[str, float] = {}
        for load in mission.items:
            planned[load.leaves] = planned.get(load.leaves, 0.0) + load.mass_kg
        for load in mission.items:
            left = self._met.left_kg.get(load.leaves)
            yield load if left is None else replace(load, mass_kg=load.mass_kg * left / planned[load.leaves])

    def _item(self, name: str, item: RouteItem) -> RouteItem:
        speed = self._speeds(name)
        height = self._met.heights.get(name) if ALTITUDE in self._on else None
        waits = self._met.waits_s.get(name, ()) if DELAY in self._on else ()
        if isinstance(item, Leg):
            item = replace(item, height=height, changes=()) if height else item
            return replace(item, cruise=speed) if speed else item
        item = replace(item, height=height) if height else item
        if isinstance(item, Hold):
            item = replace(item, duration_s=waits[0]) if waits else item
            return replace(item, target=speed) if speed else item
        return _action(item, speed, waits)

    def _on_the_clock(self, mission: Mission) -> Mission:
        """Return the mission with the times on the ground as they were: what was longer was waited, engines at taxi flow."""
        out, back, times = self._met.waits_s.get(OUT), self._met.waits_s.get(IN), mission.times
        if out:
            spare_s = out[0] - times.start_s - times.run_up_s
            taxi_s = max(0.0, spare_s)
            part = out[0] / (out[0] - spare_s) if spare_s < 0.0 else 1.0
            times = replace(times, start_s=times.start_s * part, run_up_s=times.run_up_s * part, taxi_out_s=taxi_s)
        if back:
            times = replace(
                times, taxi_in_s=max(0.0, back[0] - times.shutdown_s), shutdown_s=min(back[0], times.shutdown_s)
            )
        return replace(mission, times=times)


def _action(item: Action, speed: SpeedTarget | None, waits: tuple[float, ...]) -> Action:
    if isinstance(speed, IndicatedAirspeed):
        item = replace(item, ias_m_per_s=speed.ias_m_per_s)
    if len(waits) != len(item.runs):
        return item
    return replace(item, runs=tuple(replace(run, duration_s=wait) for run, wait in zip(item.runs, waits, strict=True)))
