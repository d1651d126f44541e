"""A synthetic aircraft of one true airspeed and one fuel flow in a sky of given winds: what closed forms are true of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any, cast

from briefgen.aircraft.interface import Performance
from briefgen.errors import PlanError
from briefgen.kernel.geodesy import geodesic_direct
from briefgen.model.mission import Height, Leg, Mission
from briefgen.model.performance import (
    Air,
    ClimbState,
    EngineConfiguration,
    IndicatedAirspeed,
    OperatingSpeeds,
    PowerSetting,
)
from briefgen.model.places import Place
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight import flying
from briefgen.planning.flight.fuel_policy import Reserve
from briefgen.planning.flight.home.refuges import Refuge, TurningPoint, WayHome
from briefgen.planning.flight.home.spots import Spot, spots_of
from briefgen.planning.flight.route import line_between
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.sortie import Departure
from briefgen.planning.flight.steps import Crew, Level
from briefgen.weather.air import AirAloft

NMI_M = 1852.0
HOUR_S = 3600.0
KT_M_PER_S = NMI_M / HOUR_S
HEIGHT_M = 3000.0
IAS_RATIO = 0.8594  # indicated over true airspeed at that height and 270 K: root of the density ratio 0.7385
FLOW_KG_PER_S = 0.1
CLIMB_M_PER_S = 2.5
EMPTY_KG = 18_000.0
START = datetime(2027, 3, 4, 12, 0, tzinfo=UTC)
NOT_FOUR = "three, one outer feathered"


@dataclass(frozen=True)
class SimpleAircraft:
    """One true airspeed and one fuel flow; slower on three engines, which cannot hold above a height."""

    tas_m_per_s: float
    three_ratio: float = 0.8
    three_ceiling_m: float = 1.0e6
    flow_per_kg: float = 0.0  # fuel flow for every kilogram of weight above the empty one

    @property
    def engine_configurations(self) -> tuple[EngineConfiguration, ...]:
        """Return four engines and three."""
        return EngineConfiguration("four", 4, "none"), EngineConfiguration(NOT_FOUR, 3, "one outer")

    def cruise(
        self, mass_kg: float, air: Air, target: object, *, engines: str | None = None, **_: object
    ) -> PowerSetting:
        """Return the only setting there is."""
        if engines and air.pressure_altitude_m > self.three_ceiling_m:
            raise PlanError("too high on three engines")
        tas = self.tas_m_per_s * (self.three_ratio if engines else 1.0)
        flow = FLOW_KG_PER_S + self.flow_per_kg * (mass_kg - EMPTY_KG)
        ias = tas * IAS_RATIO
        return PowerSetting(
            engines or "four", 3 if engines else 4, mass_kg, air, ias, ias, tas, None, None, None, None, None,
            flow, tas / flow, "none", None, None, None, None, None, None, None, None, "synthetic",
        )  # fmt: skip

    def as_set(self, setting: PowerSetting) -> PowerSetting:
        """Return a setting that has no levers to round."""
        return setting

    def climb(self, mass_kg: float, air: Air, *, engines: str | None = None) -> ClimbState:
        """Return a climb at one rate at every height, at the flow of level flight."""
        setting = self.cruise(mass_kg, air, IndicatedAirspeed(self.tas_m_per_s * IAS_RATIO), engines=engines)
        return ClimbState(setting, CLIMB_M_PER_S, CLIMB_M_PER_S)

    def speeds(self, mass_kg: float) -> OperatingSpeeds:
        """Return one speed for everything."""
        v = self.tas_m_per_s * IAS_RATIO
        return OperatingSpeeds(v, v, v, None, v, v, v, v, v, v, v, None, v, None)


@dataclass(frozen=True)
class SimpleSky:
    """Still or moving air of one temperature; the wind may depend on the latitude."""

    north_m_per_s: Callable[[float], float]
    east_m_per_s: float = 0.0
    clouded: bool = False

    @property
    def weather(self) -> Any:
        """Return what is asked of the weather file beside the air: no head wind is added."""
        return SimpleNamespace(more_head_wind_m_per_s=0.0)

    def air(self, lat_deg: float, lon_deg: float, pressure_altitude_m: float, instant: datetime) -> AirAloft:
        """Return the air."""
        return AirAloft(270.0, self.east_m_per_s, self.north_m_per_s(lat_deg))

    def flown_air(
        self, lat_deg: float, lon_deg: float, pressure_altitude_m: float, instant: datetime
    ) -> tuple[Air, AirAloft]:
        """Return the air as the aircraft is asked about it."""
        aloft = self.air(lat_deg, lon_deg, pressure_altitude_m, instant)
        return Air(pressure_altitude_m, aloft.temperature_k), aloft

    def altimeter_setting(self, lat_deg: float, lon_deg: float, instant: datetime) -> float:
        """Return the standard setting."""
        return 101_325.0


def place(ident: str, lat_deg: float, lon_deg: float) -> Place:
    """Return a field without anything."""
    return Place(ident, ident.title(), "aerodrome", lat_deg, lon_deg)


@dataclass(frozen=True)
class Scene:
    """A flight due north along one meridian, where a course and with it a wind component stay what they are."""

    crew: Crew
    mission: Mission
    spots: tuple[Spot, ...]
    home: WayHome
    origin: Place
    destination: Place

    @property
    def back(self) -> Refuge:
        """The way back to where she came from."""
        return Refuge("way_home.return", self.origin, None, "return to")


def northward(
    mission: Mission, total_m: float, tas_m_per_s: float, north_m_per_s: float | Callable[[float], float] = 0.0, *,
    endurance_s: float = 200 * HOUR_S, aircraft: SimpleAircraft | None = None, legs: int = 1,
    drop_after: int | None = None, drop_kg: float = 0.0,
) -> Scene:  # fmt: skip
    """Return the scene: from 10 degrees south northward, with fuel for an endurance over what is held back.

    After one of its legs a load may leave; it is aboard from the start, over the empty weight.
    """
    wind = north_m_per_s if callable(north_m_per_s) else (lambda _lat, north=north_m_per_s: north)
    crew = Crew(cast(Performance, aircraft or SimpleAircraft(tas_m_per_s)), cast(Sky, SimpleSky(wind)))
    origin = place("home", -10.0, 160.0)
    points = [geodesic_direct(-10.0, 160.0, 0.0, total_m * n / legs) for n in range(1, legs + 1)]
    places = [place(f"point {n}", at.latitude_deg, at.longitude_deg) for n, at in enumerate(points, start=1)]
    target = IndicatedAirspeed(tas_m_per_s * IAS_RATIO)
    items = tuple(Leg(to, Height(HEIGHT_M, "pressure"), target, None) for to in places)
    route = replace(mission.route, origin=origin, items=items, destination=places[-1])
    fuel_kg = endurance_s * FLOW_KG_PER_S
    node = Node(START, -10.0, 160.0, 0.0, HEIGHT_M, HEIGHT_M, EMPTY_KG + drop_kg + fuel_kg, fuel_kg, 0.0)
    phases: list[Phase] = []
    for number, to in enumerate(places):
        line = line_between("", node.lat_deg, node.lon_deg, to, node.distance_m)
        level = Level(HEIGHT_M, True)
        phase = flying.cruise(
            crew, node, line, target, level, line.end_distance_m, item=number, title="cruise", place=to.ident
        )
        left_kg = drop_kg if drop_after == number else 0.0
        phases.append(replace(phase, ident=f"{number + 1:02d}-cruise", released_kg=left_kg))
        node = replace(phase.end, mass_kg=phase.end.mass_kg - left_kg)
    setting = phases[-1].setting
    assert setting is not None
    bare = replace(mission, route=route, alternates=(), en_route=())
    departure = Departure(START, EMPTY_KG, fuel_kg)
    flown = Flown(bare, crew, tuple(phases), (), Reserve("home", setting, 0.0), departure, {})
    home = WayHome(bare, crew, flown, 0.0, 0.0, 0.0)
    return Scene(crew, bare, spots_of(flown.phases, len(items)), home, origin, places[-1])


def no_return_points(scene: Scene, refuge: Refuge | None = None) -> list[TurningPoint]:
    """Return every point where the way home closes (True) or opens (False)."""
    refuge = refuge or scene.back
    values = [scene.home.spare(spot, refuge) for spot in scene.spots]
    return scene.home.turning_points(scene.spots, refuge, values)


def hours(spot: Spot) -> float:
    """Return the time since the start [h]."""
    return (spot.node.instant - START).total_seconds() / HOUR_S
