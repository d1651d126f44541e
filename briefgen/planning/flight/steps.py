"""What every piece of flight is made of: who flies, at which level, a step of the integration, the log of a phase."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from functools import wraps
from typing import ParamSpec

from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError, OutOfFuelError
from briefgen.frozen import dataclass
from briefgen.kernel.altimetry import indicated_altitude, pressure_altitude
from briefgen.kernel.wind import triangle_from_course, wind_towards
from briefgen.model.handling import FlightPhase
from briefgen.model.performance import Mixture, PowerSetting
from briefgen.model.plan import Node, Phase, PhaseKind
from briefgen.planning.flight.route import LegLine
from briefgen.planning.flight.sky import Sky
from briefgen.weather.air import AirAloft

_UNQUOTED = re.compile(r" (?:at|to) \{[^}]*\}")  # no plan, no ledger: the entry a title quotes will never be made


@dataclass(frozen=True)
class Crew:
    """What flies every piece: the aircraft's answers and the sky she flies in."""

    performance: Performance
    sky: Sky
    engines: str | None = None  # an engine configuration; None is all engines
    phase: FlightPhase = "cruise"  # of the aircraft file: levers, gear and flaps of level flight
    configuration: str | None = None  # of flaps, in level flight; None is that of the phase
    mixture: Mixture | None = (
        None  # one kept to in level flight; None is that of the phase, or leans where that is permitted
    )
    consumption_ratio: float = 1.0  # of what she burns to what the aircraft file says


@dataclass(frozen=True)
class Level:
    """A height to fly at: an altitude on the setting in force, which the crew keep resetting, or a pressure altitude."""

    value_m: float
    standard_setting: bool

    def pressure_altitude(self, sky: Sky, lat_deg: float, lon_deg: float, instant: datetime) -> float:
        """Return the pressure altitude [m] of this level at a place and time."""
        if self.standard_setting:
            return self.value_m
        return pressure_altitude(self.value_m, sky.altimeter_setting(lat_deg, lon_deg, instant))

    def of(self, sky: Sky, state: Node) -> float:
        """Return the pressure altitude [m] of this level where the aircraft is."""
        return self.pressure_altitude(sky, state.lat_deg, state.lon_deg, state.instant)


@dataclass(frozen=True)
class Step:
    """Middle-of-step conditions of one integration step."""

    setting: PowerSetting
    duration_s: float
    distance_m: float
    ground_speed_m_per_s: float
    wind_east_m_per_s: float
    wind_north_m_per_s: float
    temperature_k: float


def moved(
    state: Node,
    line: LegLine | None,
    sky: Sky,
    *,
    duration_s: float,
    distance_m: float = 0.0,
    fuel_kg: float = 0.0,
    to: Level | float,
    ground_speed_m_per_s: float = 0.0,
) -> Node:
    """Return the state after a step, at a level or (on the way between two) at a pressure altitude [m]."""
    instant = state.instant + timedelta(seconds=duration_s)
    distance = state.distance_m + distance_m
    lat, lon = (state.lat_deg, state.lon_deg) if line is None else line.position(distance - line.start_distance_m)
    setting_pa = sky.altimeter_setting(lat, lon, instant)
    if not isinstance(to, Level):
        height_m, altitude_m = to, indicated_altitude(to, setting_pa)
    elif to.standard_setting:
        height_m, altitude_m = to.value_m, indicated_altitude(to.value_m, setting_pa)
    else:
        height_m, altitude_m = pressure_altitude(to.value_m, setting_pa), to.value_m
    return Node(
        instant, lat, lon, distance, height_m, altitude_m,
        state.mass_kg - fuel_kg, state.fuel_kg - fuel_kg, ground_speed_m_per_s,
    )  # fmt: skip


class Log:
    """The pieces of one phase while it is flown."""

    def __init__(self, state: Node) -> None:
        self.nodes = [state]
        self.steps: list[Step] = []

    @property
    def here(self) -> Node:
        return self.nodes[-1]

    @property
    def last(self) -> PowerSetting | None:
        return self.steps[-1].setting if self.steps else None

    def add(self, crew: Crew, line: LegLine | None, step: Step, doing: str, to: Level | float) -> None:
        """Fly one step and keep the state it ends in."""
        end = moved(
            self.here, line, crew.sky, duration_s=step.duration_s, distance_m=step.distance_m,
            fuel_kg=crew.consumption_ratio * step.setting.fuel_flow_kg_per_s * step.duration_s, to=to,
            ground_speed_m_per_s=step.ground_speed_m_per_s,
        )  # fmt: skip
        if end.fuel_kg <= 0.0:
            raise OutOfFuelError(
                f"the fuel is gone before the end of: {_UNQUOTED.sub('', doing)}",
                expected="fuel on board for the whole flight as written",
                hint="load more fuel, or shorten the route, the wait or the way to the alternate",
            )
        self.nodes.append(end)
        self.steps.append(step)

    def phase(self, kind: PhaseKind, title: str, item: int | None, line: LegLine | None, place: str) -> Phase:
        """Return the finished phase."""
        total_s = math.fsum(step.duration_s for step in self.steps)

        def mean(value: Callable[[Step], float]) -> float:
            return math.fsum(value(step) * step.duration_s for step in self.steps) / total_s if total_s else 0.0

        middle_m = 0.5 * (self.nodes[0].distance_m + self.here.distance_m)
        return Phase(
            ident="", kind=kind, title=title, item=item, nodes=tuple(self.nodes), place=place,
            settings=tuple((node, step.setting) for node, step in zip(self.nodes, self.steps, strict=False)),
            wind_east_m_per_s=mean(lambda step: step.wind_east_m_per_s),
            wind_north_m_per_s=mean(lambda step: step.wind_north_m_per_s),
            tas_m_per_s=mean(lambda step: step.setting.tas_m_per_s),
            course_deg=None if line is None else line.course(middle_m - line.start_distance_m),
            temperature_k=mean(lambda step: step.temperature_k),
        )  # fmt: skip


def against(crew: Crew, line: LegLine | None, here: Node, aloft: AirAloft) -> AirAloft:
    """Return the air with the head wind that the mission adds along every line, at the course where she is."""
    more = crew.sky.weather.more_head_wind_m_per_s
    if not more or line is None:
        return aloft
    return against_course(aloft, line.course(here.distance_m - line.start_distance_m), more)


def against_course(aloft: AirAloft, course_deg: float, more_m_per_s: float) -> AirAloft:
    """Return the air with so much more wind against a course."""
    course = math.radians(course_deg)
    return replace(
        aloft,
        wind_east_m_per_s=aloft.wind_east_m_per_s - more_m_per_s * math.sin(course),
        wind_north_m_per_s=aloft.wind_north_m_per_s - more_m_per_s * math.cos(course),
    )


P = ParamSpec("P")


def phase_named(function: Callable[P, Phase]) -> Callable[P, Phase]:
    """Return a piece of flight whose refusals name the phase they were met in."""

    @wraps(function)
    def told(*args: P.args, **kwargs: P.kwargs) -> Phase:
        try:
            return function(*args, **kwargs)
        except BriefgenError as error:
            raise error.at(_UNQUOTED.sub("", str(kwargs["title"]))) from error

    return told


@contextmanager
def during(phase: str) -> Iterator[None]:
    """Name the phase in a refusal that is met while a piece of flight is placed; one that is named already keeps its name."""
    try:
        yield
    except BriefgenError as error:
        if error.where.startswith(("Climb", "Cruise", "Descend")):
            raise
        raise error.at(phase) from error


def speed_along(line: LegLine | None, here: Node, tas: float, east: float, north: float) -> float:
    if line is None:
        return tas
    course_deg = line.course(here.distance_m - line.start_distance_m)
    return triangle_from_course(course_deg, tas, wind_towards(north, east)).ground_speed_m_per_s
