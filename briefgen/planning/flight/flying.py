"""Pieces of flight: climb, level-off, cruise, descent, waiting and passes, each integrated with the falling weight.

Every function takes the aircraft's state (a Node) and returns a finished Phase; the next piece starts at its last node.
Steps use the midpoint method: weight, place, time and air in the middle of the step decide it. The weight at which the
mixture changes is made a node, because fuel flow jumps there and a step across it would be wrong by a tenth of the jump.
"""

from __future__ import annotations

import math
from datetime import timedelta

from briefgen.aircraft.words import height_words, mass_words
from briefgen.errors import OutOfRangeError, PlanError
from briefgen.frozen import replace
from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2
from briefgen.model.performance import (
    Air,
    BestEndurance,
    BestRange,
    ClimbState,
    GivenSetting,
    IndicatedAirspeed,
    LongRange,
    PowerSetting,
    SpeedTarget,
)
from briefgen.model.plan import Node, Phase, PhaseKind
from briefgen.planning.flight.icing import edges_between, unchanged_run, unchanged_time
from briefgen.planning.flight.route import LegLine
from briefgen.planning.flight.steps import Crew, Level, Log, Step, against, phase_named, speed_along
from briefgen.weather.air import AirAloft

CRUISE_STEP_S = (
    900.0  # quarter-hour steps: time to 0.005 %, fuel to 0.005 % (half-hour ones were three times as far off)
)
HOLD_STEP_S = 900.0
CLIMB_STEP_M = 304.8  # a thousand feet: rate of climb changes by a few per cent across it
LAST_STEP_RATIO = 0.02  # a step that comes this close to the point is taken to it
CUT_TRIALS, CUT_TOLERANCE_S = 4, 1.0  # a piece cut at a change of mixture is solved again until its end stands still
LEAST_PIECE_KG = 0.5  # a change of mixture closer than this to the start of a step has already happened


# --- climbing and descending ----------------------------------------------------------------------------------------


@phase_named
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
    log = Log(state)
    first_m = state.pressure_altitude_m
    count = max(1, math.ceil(abs(goal_m - first_m) / CLIMB_STEP_M - 1e-9))
    for number in range(1, count + 1):
        upper_m = first_m + (goal_m - first_m) * number / count
        while (edge_m := next(edges_between(crew.sky, log.here, upper_m), None)) is not None:
            log.add(crew, line, height_step(crew, log.here, line, edge_m, rising, log.last), title, edge_m)
        step = height_step(crew, log.here, line, upper_m, rising, log.last)
        log.add(crew, line, step, title, level if number == count else upper_m)
    return log.phase("climb" if rising else "descent", title, item, line, place)


def height_step(
    crew: Crew, here: Node, line: LegLine | None, to_m: float, rising: bool, before: PowerSetting | None
) -> Step:
    """Return one step of a climb or descent to a pressure altitude [m], judged in the middle of its height."""
    middle_m = 0.5 * (here.pressure_altitude_m + to_m)
    air, aloft = crew.sky.flown_air(here.lat_deg, here.lon_deg, middle_m, here.instant)
    aloft = against(crew, line, here, aloft)
    # Half of a step of about a minute, at the flow of the step before: what is left out is below 0.01 % of the weight.
    mass_kg = here.mass_kg - (30.0 * crew.consumption_ratio * before.fuel_flow_kg_per_s if before else 0.0)
    if rising:
        answer = _climb(crew, here, mass_kg, air)
        setting, rate = answer.setting, answer.pressure_altitude_rate_m_per_s
        if rate <= 0.0:
            raise PlanError(
                f"no climb is left at {height_words(middle_m)} pressure altitude and {mass_words(mass_kg)}",
                expected="a rate of climb above zero at climb power",
                hint="plan a lower height or a lighter aircraft",
            )
    else:
        descent = crew.performance.descent(mass_kg, air)
        setting, rate = crew.performance.as_set(descent.setting), descent.pressure_altitude_rate_m_per_s
    duration_s = abs(to_m - here.pressure_altitude_m) / rate
    speed = speed_along(line, here, setting.tas_m_per_s, aloft.wind_east_m_per_s, aloft.wind_north_m_per_s)
    return Step(
        setting, duration_s, 0.0 if line is None else speed * duration_s, speed,
        aloft.wind_east_m_per_s, aloft.wind_north_m_per_s, aloft.temperature_k,
    )  # fmt: skip


def _climb(crew: Crew, here: Node, mass_kg: float, air: Air) -> ClimbState:
    """Return the climb, at the speed for instruments in cloud and darkness as the aircraft file says.

    On fewer engines, and where charts hold for one speed only, she climbs at the usual one.
    """
    speeds = crew.performance.speeds(mass_kg)
    ias, wanted = speeds.climb_on_instruments_m_per_s, speeds.climb_on_instruments_in
    if ias is None or crew.engines is not None:
        return crew.performance.climb(mass_kg, air, engines=crew.engines)
    altitude_m = here.altitude_m + air.pressure_altitude_m - here.pressure_altitude_m
    if not crew.sky.on_instruments(here, altitude_m, wanted):
        return crew.performance.climb(mass_kg, air)
    try:
        return crew.performance.climb(mass_kg, air, ias_m_per_s=ias)
    except OutOfRangeError as error:
        usual = crew.performance.climb(mass_kg, air)
        said = f"{usual.setting.governing_limit}; on instruments: {error.problem}"
        return replace(usual, setting=replace(usual.setting, governing_limit=said))


def level_off(crew: Crew, state: Node, line: LegLine, target: SpeedTarget, level: Level, *, item: int | None) -> Phase:
    """Return the acceleration at climb power from climb to cruise speed; the energy above level flight does the work.

    The excess power that gave the rate of climb now changes speed: t = (V2^2 - V1^2) / (2 g rate).
    """
    air, aloft = crew.sky.flown_air(state.lat_deg, state.lon_deg, state.pressure_altitude_m, state.instant)
    aloft = against(crew, line, state, aloft)
    cruise, _ = _solve(crew, state, state.mass_kg, target, 0.0, line)
    top = _climb(crew, state, state.mass_kg, air)
    gained = max(0.0, cruise.tas_m_per_s**2 - top.setting.tas_m_per_s**2)
    duration_s = gained / (2.0 * STANDARD_GRAVITY_M_PER_S2 * top.rate_m_per_s)
    mean_tas = 0.5 * (cruise.tas_m_per_s + top.setting.tas_m_per_s) if gained else top.setting.tas_m_per_s
    speed = speed_along(line, state, mean_tas, aloft.wind_east_m_per_s, aloft.wind_north_m_per_s)
    step = Step(
        replace(top.setting, tas_m_per_s=mean_tas), duration_s, speed * duration_s, speed,
        aloft.wind_east_m_per_s, aloft.wind_north_m_per_s, aloft.temperature_k,
    )  # fmt: skip
    log = Log(state)
    log.add(crew, line, step, "level-off", level)
    return log.phase("climb", "Level off", item, line, "")


# --- level flight ---------------------------------------------------------------------------------------------------


@phase_named
def cruise(
    crew: Crew, state: Node, line: LegLine, target: SpeedTarget, level: Level, to_distance_m: float, *,
    item: int | None, title: str, place: str = "",
) -> Phase:  # fmt: skip
    """Return level flight along a line to a distance along the route."""
    log = Log(state)
    while (left_m := to_distance_m - log.here.distance_m) > 1e-6:
        speed = log.here.ground_speed_m_per_s or about(crew, log.here, target, 0.0).tas_m_per_s
        free_m = unchanged_run(crew.sky, line, log.here, min(left_m, CRUISE_STEP_S * speed), speed)
        step = _level_step(crew, log.here, line, target, CRUISE_STEP_S, 0.0, log.last, min(left_m, free_m))
        step = _until_mixture_change(crew, log.here, line, step, target, 0.0)
        if step.distance_m > (1.0 - LAST_STEP_RATIO) * left_m:  # the last step ends at the point
            step = replace(step, distance_m=left_m, duration_s=left_m / step.ground_speed_m_per_s)
        log.add(crew, line, step, title, level)
    return log.phase("cruise", title, item, line, place)


@phase_named
def hold(
    crew: Crew, state: Node, target: SpeedTarget, level: Level, duration_s: float, bank_deg: float, *,
    item: int | None, title: str, place: str, kind: PhaseKind = "hold",
) -> Phase:  # fmt: skip
    """Return level flight over one place for a time."""
    log = Log(state)
    left_s = duration_s
    while left_s > 1e-6:
        free_s = unchanged_time(crew.sky, log.here, min(HOLD_STEP_S, left_s))
        step = _level_step(crew, log.here, None, target, free_s, bank_deg, log.last)
        step = _until_mixture_change(crew, log.here, None, step, target, bank_deg)
        log.add(crew, None, step, title, level)
        left_s -= step.duration_s
    return log.phase(kind, title, item, None, place)


@phase_named
def approach(
    crew: Crew, state: Node, speeds: tuple[float, float], level: Level, ground: Level, spans_s: tuple[float, float], *,
    title: str, place: str,
) -> Phase:  # fmt: skip
    """Return the pattern, level, and the final down to the ground, each at its indicated airspeed [m/s] for its time [s]."""
    log, pattern = Log(state), replace(crew, phase="pattern")
    while (left_s := spans_s[0] - math.fsum(step.duration_s for step in log.steps)) > 1e-6:
        step = _level_step(
            pattern, log.here, None, IndicatedAirspeed(speeds[0]), min(HOLD_STEP_S, left_s), 0.0, log.last
        )
        log.add(pattern, None, step, title, level)
    log.add(crew, None, _final_step(crew, log.here, speeds[1], ground, spans_s[1]), title, ground)
    flown = log.phase("approach", title, None, None, place)
    return replace(flown, nodes=(*flown.nodes[:-1], replace(flown.end, ground_speed_m_per_s=0.0)))


def _final_step(crew: Crew, here: Node, ias_m_per_s: float, ground: Level, duration_s: float) -> Step:
    """Return the final, in the air half way down."""
    to_m = ground.of(crew.sky, here)
    middle_m = 0.5 * (here.pressure_altitude_m + to_m)
    air, aloft = crew.sky.flown_air(here.lat_deg, here.lon_deg, middle_m, here.instant)
    final = crew.performance.descent(
        here.mass_kg, air, rate_m_per_s=(here.pressure_altitude_m - to_m) / duration_s,
        ias_m_per_s=ias_m_per_s, phase="final",
    )  # fmt: skip
    setting = crew.performance.as_set(final.setting)
    return Step(
        setting, duration_s, 0.0, setting.tas_m_per_s,
        aloft.wind_east_m_per_s, aloft.wind_north_m_per_s, aloft.temperature_k,
    )  # fmt: skip


def _level_step(
    crew: Crew, here: Node, line: LegLine | None, target: SpeedTarget, duration_s: float, bank_deg: float,
    before: PowerSetting | None, left_m: float = math.inf,
) -> Step:  # fmt: skip
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
    mass_kg = here.mass_kg - 0.5 * crew.consumption_ratio * before.fuel_flow_kg_per_s * duration_s
    middle = replace(middle, instant=here.instant + timedelta(seconds=0.5 * duration_s))
    setting, aloft = _solve(crew, middle, mass_kg, target, bank_deg, line)
    speed = speed_along(line, middle, setting.tas_m_per_s, aloft.wind_east_m_per_s, aloft.wind_north_m_per_s)
    return Step(
        setting, duration_s, 0.0 if line is None else speed * duration_s, speed,
        aloft.wind_east_m_per_s, aloft.wind_north_m_per_s, aloft.temperature_k,
    )  # fmt: skip


def _solve(
    crew: Crew, where: Node, mass_kg: float, target: SpeedTarget, bank_deg: float, line: LegLine | None
) -> tuple[PowerSetting, AirAloft]:
    """Return the setting that holds level flight there, and the air it was solved in."""
    air, aloft = crew.sky.flown_air(where.lat_deg, where.lon_deg, where.pressure_altitude_m, where.instant)
    aloft = against(crew, line, where, aloft)
    headwind = 0.0
    if line is not None:
        course = math.radians(line.course(where.distance_m - line.start_distance_m))
        headwind = -(aloft.wind_east_m_per_s * math.sin(course) + aloft.wind_north_m_per_s * math.cos(course))
    setting = crew.performance.cruise(
        mass_kg, air, target, engines=crew.engines, bank_deg=bank_deg, headwind_m_per_s=headwind, configuration=crew.configuration,
        mixture=crew.mixture, phase=crew.phase,
    )  # fmt: skip
    return (setting if isinstance(target, GivenSetting) else crew.performance.as_set(setting)), aloft


def about(crew: Crew, where: Node, target: SpeedTarget, bank_deg: float) -> PowerSetting:
    """Return a setting good enough to place the middle of a step, to a few pounds; best speeds become a given one."""
    air, _ = crew.sky.flown_air(where.lat_deg, where.lon_deg, where.pressure_altitude_m, where.instant)
    if isinstance(target, LongRange | BestRange | BestEndurance):
        target = IndicatedAirspeed(crew.performance.speeds(where.mass_kg).climb_m_per_s)
    return crew.performance.cruise(
        where.mass_kg, air, target, engines=crew.engines, bank_deg=bank_deg, configuration=crew.configuration,
        mixture=crew.mixture, phase=crew.phase,
    )  # fmt: skip


def _until_mixture_change(
    crew: Crew, here: Node, line: LegLine | None, step: Step, target: SpeedTarget, bank_deg: float
) -> Step:
    """Return the step cut short where the mixture changes within it, else the step itself.

    The piece is solved again in the air of its own middle, and so is the weight at which it ends.
    """
    if step.setting.mixture is None or crew.mixture is not None:
        return step
    whole_kg, cut = crew.consumption_ratio * step.setting.fuel_flow_kg_per_s * step.duration_s, step
    for _ in range(CUT_TRIALS):
        change_kg = _change_mass(crew, here, cut.setting, whole_kg, bank_deg)
        if change_kg is None:
            break
        duration_s = (here.mass_kg - change_kg) / (crew.consumption_ratio * cut.setting.fuel_flow_kg_per_s)
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
        configuration=crew.configuration, phase=crew.phase,
    )  # fmt: skip
    if change_kg is None or here.mass_kg - change_kg < LEAST_PIECE_KG or here.mass_kg - change_kg >= burn_kg:
        return None
    return change_kg
