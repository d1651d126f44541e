"""The cruise part of each leg, and what it would cost at every level its track may be flown at, in the forecast winds."""

from __future__ import annotations

import math
from datetime import timedelta

from briefgen.errors import BriefgenError
from briefgen.frozen import dataclass
from briefgen.kernel.constants import FT_M
from briefgen.kernel.magnetism import decimal_year, magnetic_variation_deg, true_to_magnetic
from briefgen.kernel.wind import WindTriangle, triangle_from_course, wind_towards
from briefgen.model.mission import Leg, Mission
from briefgen.model.performance import (
    BestEndurance,
    BestRange,
    IndicatedAirspeed,
    LongRange,
    PowerSetting,
    SpeedTarget,
)
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight.heights import LEVEL_OFFSETS_M, LEVEL_STEP_M, level_error_m
from briefgen.planning.flight.route import LegLine, item_keys, line_between
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.steps import Crew, Level, against_course

STEP_M = 2.0 * LEVEL_STEP_M  # levels of one direction
STEPS = 3  # levels each way of the planned one
STEPS_AT_BEST_SPEED = 2  # a best speed costs thirty times as much to work out as a given one
SAME_LEVEL_M = 0.5 * FT_M
PIECE_S = 3600.0  # wind, weight and temperature are taken in the middle of each hour
BEST_SPEEDS = (LongRange, BestRange, BestEndurance)


@dataclass(frozen=True)
class Cruise:
    """The cruise part of one leg as planned."""

    key: str
    leg: Leg
    phases: tuple[Phase, ...]
    target: SpeedTarget
    line: LegLine

    @property
    def start(self) -> Node:
        """Where it begins."""
        return self.phases[0].start

    @property
    def end(self) -> Node:
        """Where it ends."""
        return self.phases[-1].end

    @property
    def distance_m(self) -> float:
        """How far it goes, changes of height within it counted [m]."""
        return self.end.distance_m - self.start.distance_m

    @property
    def time_s(self) -> float:
        """How long it takes [s]."""
        return (self.end.instant - self.start.instant).total_seconds()

    @property
    def fuel_kg(self) -> float:
        """What it burns [kg]."""
        return self.start.fuel_kg - self.end.fuel_kg

    @property
    def longest(self) -> Phase:
        """The longest of its phases."""
        return max(self.phases, key=lambda phase: phase.distance_m)


@dataclass(frozen=True)
class Flight:
    """A cruise flown at one level."""

    time_s: float
    fuel_kg: float
    ias_m_per_s: float
    headwind_m_per_s: float


@dataclass(frozen=True)
class LevelFlown:
    """One level of a cruise: what it costs there, or why it cannot be flown."""

    height_m: float
    found: Flight | BriefgenError
    planned: bool = False


def cruises(mission: Mission, flown: Flown) -> list[Cruise]:
    """Return the cruise part of every leg, with the speed it is flown at."""
    found = []
    keys = item_keys(mission.route.items)
    for index, item in enumerate(mission.route.items):
        phases = tuple(p for p in flown.phases if p.item == index and p.kind == "cruise")
        if isinstance(item, Leg) and phases and phases[-1].end.distance_m > phases[0].start.distance_m:
            pace = flown.paces.get(index)
            target = item.cruise if pace is None else IndicatedAirspeed(pace.ias_m_per_s)
            first = phases[0].start
            line = line_between("", first.lat_deg, first.lon_deg, item.to, first.distance_m, item.track)
            found.append(Cruise(keys[index], item, phases, target, line))
    return found


# --- which levels ---------------------------------------------------------------------------------------------------


def levels_m(mission: Mission, leg: Leg, track_magnetic_deg: float, steps: int) -> tuple[float, ...]:
    """Return the heights worth comparing: those of the leg's direction and rules about the planned one, and itself.

    The rules are those the mission is held to; where either system of levels will do, the one the planned height is of.
    """
    planned_m = leg.height.value_m
    named = [rule for rule in mission.rules.rules if rule.check == "cruising level"]
    offsets_m = LEVEL_OFFSETS_M[str(named[0].parameters["levels"])] if named else (0.0,)
    offset_m = min(offsets_m, key=lambda offset: level_error_m(planned_m, track_magnetic_deg, offset))
    eastward = level_error_m(LEVEL_STEP_M + offset_m, track_magnetic_deg, offset_m) < SAME_LEVEL_M
    first_m = offset_m + (LEVEL_STEP_M if eastward else 0.0)
    nearest = round((planned_m - first_m) / STEP_M)
    ladder = [first_m + STEP_M * (nearest + step) for step in range(-steps, steps + 1)]
    least_m = max(leg.safe_height_m or 0.0, LEVEL_STEP_M)
    heights = {height_m for height_m in ladder if height_m >= least_m}
    if all(abs(height_m - planned_m) > SAME_LEVEL_M for height_m in heights):
        heights.add(planned_m)
    return tuple(sorted(heights))


def track_magnetic_deg(cruise: Cruise) -> float:
    longest = cruise.longest
    middle = longest.nodes[len(longest.nodes) // 2]
    variation = magnetic_variation_deg(
        middle.lat_deg, middle.lon_deg, middle.pressure_altitude_m, decimal_year(middle.instant.date())
    )
    return true_to_magnetic(longest.course_deg or 0.0, variation)


# --- what each costs ------------------------------------------------------------------------------------------------


def flights(mission: Mission, crew: Crew, cruise: Cruise) -> tuple[LevelFlown, ...]:
    """Return the cruise part of a leg at every level worth comparing, highest first, as planned at the planned one."""
    steps = STEPS_AT_BEST_SPEED if isinstance(cruise.target, BEST_SPEEDS) else STEPS
    heights = levels_m(mission, cruise.leg, track_magnetic_deg(cruise), steps)
    planned_m = min(heights, key=lambda height_m: abs(height_m - cruise.leg.height.value_m))
    return tuple(
        LevelFlown(height_m, as_planned(cruise), True) if height_m == planned_m else _tried(crew, cruise, height_m)
        for height_m in reversed(heights)
    )


def _tried(crew: Crew, cruise: Cruise, height_m: float) -> LevelFlown:
    level = Level(height_m, cruise.leg.height.reference == "pressure")
    try:
        return LevelFlown(height_m, flight(crew, cruise, level, target_at(crew, cruise, level)))
    except BriefgenError as error:
        return LevelFlown(height_m, error)


def as_planned(cruise: Cruise) -> Flight:
    """Return the flight of the plan itself, its head wind and airspeed those of its longest part."""
    longest = cruise.longest
    wind = wind_towards(longest.wind_north_m_per_s, longest.wind_east_m_per_s)
    triangle = triangle_from_course(longest.course_deg or 0.0, longest.tas_m_per_s, wind)
    setting = longest.settings[len(longest.settings) // 2][1]
    return Flight(cruise.time_s, cruise.fuel_kg, setting.ias_m_per_s, triangle.headwind_m_per_s)


def target_at(crew: Crew, cruise: Cruise, level: Level) -> SpeedTarget:
    """Return the cruise choice at a level; a best speed is worked out once, at the place and weight half way."""
    if not isinstance(cruise.target, BEST_SPEEDS):
        return cruise.target
    setting, _ = _middle(crew, cruise, level, cruise.target, 0.5, cruise.time_s)
    return IndicatedAirspeed(setting.ias_m_per_s)


def flight(crew: Crew, cruise: Cruise, level: Level, target: SpeedTarget) -> Flight:
    """Return the cruise part of a leg flown at another level.

    Raises:
        PlanError: The level is not attainable at that speed.
        OutOfRangeError: The weather or the aircraft's figures do not cover it.
    """
    pieces = max(1, math.ceil(cruise.time_s / PIECE_S))
    piece_m = cruise.distance_m / pieces
    time_s = fuel_kg = wind_m = ias_s = 0.0
    for piece in range(pieces):
        setting, triangle = _middle(crew, cruise, level, target, (piece + 0.5) / pieces, cruise.time_s)
        piece_s = piece_m / triangle.ground_speed_m_per_s
        time_s += piece_s
        fuel_kg += setting.fuel_flow_kg_per_s * piece_s
        wind_m += triangle.headwind_m_per_s * piece_s
        ias_s += setting.ias_m_per_s * piece_s
    return Flight(time_s, fuel_kg, ias_s / time_s, wind_m / time_s)


def _middle(
    crew: Crew, cruise: Cruise, level: Level, target: SpeedTarget, share: float, time_s: float
) -> tuple[PowerSetting, WindTriangle]:
    """Return setting and wind triangle at a share of the way, at the weight planned there."""
    start, end = cruise.start, cruise.end
    along_m = share * cruise.distance_m
    lat, lon = cruise.line.position(along_m)
    course_deg = cruise.line.course(along_m)
    instant = start.instant + timedelta(seconds=share * time_s)
    height_m = level.pressure_altitude(crew.sky, lat, lon, instant)
    air, aloft = crew.sky.flown_air(lat, lon, height_m, instant)
    aloft = against_course(aloft, course_deg, crew.sky.weather.more_head_wind_m_per_s)
    wind = wind_towards(aloft.wind_north_m_per_s, aloft.wind_east_m_per_s)
    headwind = -(
        aloft.wind_east_m_per_s * math.sin(math.radians(course_deg))
        + aloft.wind_north_m_per_s * math.cos(math.radians(course_deg))
    )
    mass_kg = start.mass_kg + share * (end.mass_kg - start.mass_kg)
    setting = crew.performance.as_set(crew.performance.cruise(mass_kg, air, target, headwind_m_per_s=headwind))
    return setting, triangle_from_course(course_deg, setting.tas_m_per_s, wind)
