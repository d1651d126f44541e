"""Pieces of flight: climb, level-off, cruise, descent, waiting and passes, each integrated with the falling weight.

Every function takes the aircraft's state (a Node) and returns a finished Phase; the next piece starts at its last node.
Steps use the midpoint method: weight, place, time and air in the middle of the step decide it. The weight at which the
mixture changes is made a node, because fuel flow jumps there and a step across it would be wrong by a tenth of the jump.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from functools import wraps
from typing import ParamSpec

from briefgen.aircraft.interface import Performance
from briefgen.aircraft.words import height_words, mass_words
from briefgen.errors import BriefgenError, PlanError
from briefgen.frozen import dataclass
from briefgen.kernel.altimetry import indicated_altitude, pressure_altitude
from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2
from briefgen.kernel.wind import triangle_from_course, wind_towards
from briefgen.model.performance import (
    Air,
    BestEndurance,
    BestRange,
    IndicatedAirspeed,
    LongRange,
    Mixture,
    PowerSetting,
    SpeedTarget,
)
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight.route import LegLine
from briefgen.planning.flight.sky import Sky
from briefgen.weather.air import AirAloft

CRUISE_STEP_S = (
    900.0  # quarter-hour steps: time to 0.005 %, fuel to 0.005 % (half-hour ones were three times as far off)
)
HOLD_STEP_S = 900.0
CLIMB_STEP_M = 304.8  # a thousand feet: rate of climb changes by a few per cent across it
LAST_STEP_RATIO = 0.02  # a step that comes this close to the point is taken to it
CUT_TRIALS, CUT_TOLERANCE_S = 4, 1.0  # a piece cut at a change of mixture is solved again until its end stands still
LEAST_PIECE_KG = 0.5  # a change of mixture closer than this to the start of a step has already happened
_UNQUOTED = re.compile(r" (?:at|to) \{[^}]*\}")  # no plan, no ledger: the entry a title quotes will never be made


@dataclass(frozen=True)
class Crew:
    """What flies every piece: the aircraft's answers and the sky she flies in."""

    performance: Performance
    sky: Sky
    engines: str | None = None  # an engine configuration; None is all engines
    configuration: str = "clean"  # of flaps, in level flight
    mixture: Mixture | None = None  # one kept to in level flight; None leans where that is permitted


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
class _Step:
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


class _Log:
    """The pieces of one phase while it is flown."""

    def __init__(self, state: Node) -> None:
        self.nodes = [state]
        self.steps: list[_Step] = []

    @property
    def here(self) -> Node:
        return self.nodes[-1]

    @property
    def last(self) -> PowerSetting | None:
        return self.steps[-1].setting if self.steps else None

    def add(self, crew: Crew, line: LegLine | None, step: _Step, doing: str, to: Level | float) -> None:
        """Fly one step and keep the state it ends in."""
        end = moved(
            self.here, line, crew.sky, duration_s=step.duration_s, distance_m=step.distance_m,
            fuel_kg=step.setting.fuel_flow_kg_per_s * step.duration_s, to=to,
            ground_speed_m_per_s=step.ground_speed_m_per_s,
        )  # fmt: skip
        if end.fuel_kg <= 0.0:
            raise PlanError(
                f"the fuel is gone before the end of: {_UNQUOTED.sub('', doing)}",
                expected="fuel on board for the whole flight as written",
                hint="load more fuel, or shorten the route, the wait or the way to the alternate",
            )
        self.nodes.append(end)
        self.steps.append(step)

    def phase(self, kind: str, title: str, item: int | None, line: LegLine | None, place: str) -> Phase:
        """Return the finished phase."""
        total_s = math.fsum(step.duration_s for step in self.steps)

        def mean(value: Callable[[_Step], float]) -> float:
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


# --- climbing and descending ----------------------------------------------------------------------------------------


P = ParamSpec("P")


def _phase_named(function: Callable[P, Phase]) -> Callable[P, Phase]:
    """Return a piece of flight whose refusals name the phase they were met in."""

    @wraps(function)
    def told(*args: P.args, **kwargs: P.kwargs) -> Phase:
        try:
            return function(*args, **kwargs)
        except BriefgenError as error:
            raise error.at(_UNQUOTED.sub("", str(kwargs["title"]))) from error

    return told


@_phase_named
def change_height(
    crew: Crew,
    state: Node,
    line: LegLine | None,
    level: Level,
    *,
    item: int | None,
    title: str,
    place: str = "",
) -> Phase:
    """Return the climb or descent from the state's height, along a line or (line None) over one place.

    Raises:
        PlanError: She cannot climb at one of the heights, or the fuel runs out.
    """
    goal_m = level.of(crew.sky, state)
    rising = goal_m > state.pressure_altitude_m
    log = _Log(state)
    first_m = state.pressure_altitude_m
    count = max(1, math.ceil(abs(goal_m - first_m) / CLIMB_STEP_M - 1e-9))
    for number in range(1, count + 1):
        upper_m = first_m + (goal_m - first_m) * number / count
        step = height_step(crew, log.here, line, upper_m, rising, log.last)
        log.add(crew, line, step, title, level if number == count else upper_m)
    return log.phase("climb" if rising else "descent", title, item, line, place)


def height_step(
    crew: Crew, here: Node, line: LegLine | None, to_m: float, rising: bool, before: PowerSetting | None
) -> _Step:
    """Return one step of a climb or descent to a pressure altitude [m], judged in the middle of its height."""
    middle_m = 0.5 * (here.pressure_altitude_m + to_m)
    aloft = crew.sky.air(here.lat_deg, here.lon_deg, middle_m, here.instant)
    air = Air(middle_m, aloft.temperature_k)
    # Half of a step of about a minute, at the flow of the step before: what is left out is below 0.01 % of the weight.
    mass_kg = here.mass_kg - (30.0 * before.fuel_flow_kg_per_s if before else 0.0)
    if rising:
        answer = crew.performance.climb(mass_kg, air, engines=crew.engines)
        setting, rate = answer.setting, answer.pressure_altitude_rate_m_per_s
        if rate <= 0.0:
            raise PlanError(
                f"no climb is left at {height_words(middle_m)} pressure altitude and {mass_words(mass_kg)}",
                expected="a rate of climb above zero at climb power",
                hint="plan a lower height or a lighter aircraft",
            )
    else:
        descent = crew.performance.descent(mass_kg, air)
        setting, rate = descent.setting, descent.pressure_altitude_rate_m_per_s
    duration_s = abs(to_m - here.pressure_altitude_m) / rate
    speed = _speed_along(line, here, setting.tas_m_per_s, aloft.wind_east_m_per_s, aloft.wind_north_m_per_s)
    return _Step(
        setting, duration_s, 0.0 if line is None else speed * duration_s, speed,
        aloft.wind_east_m_per_s, aloft.wind_north_m_per_s, aloft.temperature_k,
    )  # fmt: skip


def _speed_along(line: LegLine | None, here: Node, tas: float, east: float, north: float) -> float:
    if line is None:
        return tas
    course_deg = line.course(here.distance_m - line.start_distance_m)
    return triangle_from_course(course_deg, tas, wind_towards(north, east)).ground_speed_m_per_s


def level_off(crew: Crew, state: Node, line: LegLine, target: SpeedTarget, level: Level, *, item: int | None) -> Phase:
    """Return the acceleration at climb power from climb to cruise speed; the energy above level flight does the work.

    The excess power that gave the rate of climb now changes speed: t = (V2^2 - V1^2) / (2 g rate).
    """
    aloft = crew.sky.air(state.lat_deg, state.lon_deg, state.pressure_altitude_m, state.instant)
    air = Air(state.pressure_altitude_m, aloft.temperature_k)
    cruise, _ = _solve(crew, state, state.mass_kg, target, 0.0, line)
    top = crew.performance.climb(state.mass_kg, air, engines=crew.engines)
    gained = max(0.0, cruise.tas_m_per_s**2 - top.setting.tas_m_per_s**2)
    duration_s = gained / (2.0 * STANDARD_GRAVITY_M_PER_S2 * top.rate_m_per_s)
    mean_tas = 0.5 * (cruise.tas_m_per_s + top.setting.tas_m_per_s) if gained else top.setting.tas_m_per_s
    speed = _speed_along(line, state, mean_tas, aloft.wind_east_m_per_s, aloft.wind_north_m_per_s)
    step = _Step(
        replace(top.setting, tas_m_per_s=mean_tas), duration_s, speed * duration_s, speed,
        aloft.wind_east_m_per_s, aloft.wind_north_m_per_s, aloft.temperature_k,
    )  # fmt: skip
    log = _Log(state)
    log.add(crew, line, step, "level-off", level)
    return log.phase("level-off", "Level off", item, line, "")


# --- level flight ---------------------------------------------------------------------------------------------------


@_phase_named
def cruise(
    crew: Crew, state: Node, line: LegLine, target: SpeedTarget, level: Level, to_distance_m: float, *,
    item: int | None, title: str, place: str = "",
) -> Phase:  # fmt: skip
    """Return level flight along a line to a distance along the route."""
    log = _Log(state)
    while (left_m := to_distance_m - log.here.distance_m) > 1e-6:
        step = _level_step(crew, log.here, line, target, CRUISE_STEP_S, 0.0, log.last, left_m)
        step = _until_mixture_change(crew, log.here, line, step, target, 0.0)
        if step.distance_m > (1.0 - LAST_STEP_RATIO) * left_m:  # the last step ends at the point
            step = replace(step, distance_m=left_m, duration_s=left_m / step.ground_speed_m_per_s)
        log.add(crew, line, step, title, level)
    return log.phase("cruise", title, item, line, place)


@_phase_named
def hold(
    crew: Crew, state: Node, target: SpeedTarget, level: Level, duration_s: float, bank_deg: float, *,
    item: int | None, title: str, place: str, kind: str = "hold",
) -> Phase:  # fmt: skip
    """Return level flight over one place for a time."""
    log = _Log(state)
    left_s = duration_s
    while left_s > 1e-6:
        step = _level_step(crew, log.here, None, target, min(HOLD_STEP_S, left_s), bank_deg, log.last)
        step = _until_mixture_change(crew, log.here, None, step, target, bank_deg)
        log.add(crew, None, step, title, level)
        left_s -= step.duration_s
    return log.phase(kind, title, item, None, place)


def _level_step(
    crew: Crew, here: Node, line: LegLine | None, target: SpeedTarget, duration_s: float, bank_deg: float,
    before: PowerSetting | None, left_m: float = math.inf,
) -> _Step:  # fmt: skip
    """Return one step of level flight judged in its middle; the step before (or a trial) says where the middle is."""
    if before is None:
        before = about(crew, here, target, bank_deg)
    middle = here
    if line is not None:
        speed = here.ground_speed_m_per_s or before.tas_m_per_s
        duration_s = min(duration_s, left_m / speed)
        along = here.distance_m + 0.5 * speed * duration_s
        lat, lon = line.position(min(along, line.end_distance_m) - line.start_distance_m)
        middle = replace(here, lat_deg=lat, lon_deg=lon, distance_m=min(along, line.end_distance_m))
    mass_kg = here.mass_kg - 0.5 * before.fuel_flow_kg_per_s * duration_s
    middle = replace(middle, instant=here.instant + timedelta(seconds=0.5 * duration_s))
    setting, aloft = _solve(crew, middle, mass_kg, target, bank_deg, line)
    speed = _speed_along(line, middle, setting.tas_m_per_s, aloft.wind_east_m_per_s, aloft.wind_north_m_per_s)
    return _Step(
        setting, duration_s, 0.0 if line is None else speed * duration_s, speed,
        aloft.wind_east_m_per_s, aloft.wind_north_m_per_s, aloft.temperature_k,
    )  # fmt: skip


def _solve(
    crew: Crew, where: Node, mass_kg: float, target: SpeedTarget, bank_deg: float, line: LegLine | None
) -> tuple[PowerSetting, AirAloft]:
    """Return the setting that holds level flight there, and the air it was solved in."""
    aloft = crew.sky.air(where.lat_deg, where.lon_deg, where.pressure_altitude_m, where.instant)
    headwind = 0.0
    if line is not None:
        course = math.radians(line.course(where.distance_m - line.start_distance_m))
        headwind = -(aloft.wind_east_m_per_s * math.sin(course) + aloft.wind_north_m_per_s * math.cos(course))
    setting = crew.performance.cruise(
        mass_kg, Air(where.pressure_altitude_m, aloft.temperature_k), target, engines=crew.engines,
        bank_deg=bank_deg, headwind_m_per_s=headwind, configuration=crew.configuration,
        mixture=crew.mixture,
    )  # fmt: skip
    return setting, aloft


def about(crew: Crew, where: Node, target: SpeedTarget, bank_deg: float) -> PowerSetting:
    """Return a setting good enough to place the middle of a step, to a few pounds; best speeds become a given one."""
    aloft = crew.sky.air(where.lat_deg, where.lon_deg, where.pressure_altitude_m, where.instant)
    air = Air(where.pressure_altitude_m, aloft.temperature_k)
    if isinstance(target, LongRange | BestRange | BestEndurance):
        target = IndicatedAirspeed(crew.performance.speeds(where.mass_kg).climb_m_per_s)
    return crew.performance.cruise(
        where.mass_kg, air, target, engines=crew.engines, bank_deg=bank_deg, configuration=crew.configuration,
        mixture=crew.mixture,
    )  # fmt: skip


def _until_mixture_change(
    crew: Crew, here: Node, line: LegLine | None, step: _Step, target: SpeedTarget, bank_deg: float
) -> _Step:
    """Return the step cut short where the mixture changes within it, else the step itself.

    The piece is solved again in the air of its own middle, and so is the weight at which it ends.
    """
    if step.setting.mixture is None or crew.mixture is not None:
        return step
    whole_kg, cut = step.setting.fuel_flow_kg_per_s * step.duration_s, step
    for _ in range(CUT_TRIALS):
        change_kg = _change_mass(crew, here, cut.setting, whole_kg, bank_deg)
        if change_kg is None:
            break
        duration_s = (here.mass_kg - change_kg) / cut.setting.fuel_flow_kg_per_s
        settled = abs(duration_s - cut.duration_s) < CUT_TOLERANCE_S
        cut = _level_step(crew, here, line, target, duration_s, bank_deg, cut.setting)
        if settled:
            break
    return cut


def _change_mass(crew: Crew, here: Node, setting: PowerSetting, burn_kg: float, bank_deg: float) -> float | None:
    """Return the weight at which the mixture changes in the air of a setting while some fuel burns, None where it does not."""
    # The speed found is far cheaper to ask than a best speed, and no less true here.
    same_speed = IndicatedAirspeed(setting.ias_m_per_s)
    change_kg = crew.performance.mixture_change_mass(
        setting.air, same_speed, here.mass_kg - burn_kg, here.mass_kg, engines=crew.engines, bank_deg=bank_deg,
        configuration=crew.configuration,
    )  # fmt: skip
    if change_kg is None or here.mass_kg - change_kg < LEAST_PIECE_KG or here.mass_kg - change_kg >= burn_kg:
        return None
    return change_kg
