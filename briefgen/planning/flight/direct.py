"""Ways from any point of the flight to a field: what they cost in fuel and time."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import timedelta

from briefgen.aircraft.words import mass_words
from briefgen.errors import BriefgenError, PlanError
from briefgen.frozen import dataclass, replace
from briefgen.kernel.airspeed import true_from_calibrated
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.wind import triangle_from_course, wind_towards
from briefgen.model.performance import Air, IndicatedAirspeed, PowerSetting
from briefgen.model.places import Place
from briefgen.model.plan import Node
from briefgen.planning.flight import flying
from briefgen.planning.flight.route import LegLine, line_between
from briefgen.planning.flight.steps import Crew, Level, against_course
from briefgen.weather.air import AirAloft

PIECE_S = 3600.0  # winds are asked once an hour of flight, as half-way values of the piece
LONG_S = 10_800.0  # while the mixture stays, flow in the middle of three hours errs by less than 0.02 %
SURE_MARGIN = 0.08  # with more power in hand than this, the same mixture serves an hour and a half either way
HEIGHT_STEP_M = 304.8  # how far down she is tried when a height cannot be held on fewer engines
LOWEST_M = 300.0
OVERHEAD_DEG = 0.001  # about 100 m: she is there
WORTH_A_CLIMB_M = 50.0


@dataclass(frozen=True)
class Way:
    """A way to overhead a field. Descent is not credited: the way is level to overhead, which errs to the safe side."""

    fuel_kg: float
    time_s: float
    distance_m: float
    pressure_altitude_m: float


def straight_lines(state: Node, place: Place, via: Sequence[Place] = ()) -> tuple[LegLine, ...]:
    """Return the lines to a place through the points of its route, none when she is overhead."""
    lines: list[LegLine] = []
    here, lat, lon, run = "", state.lat_deg, state.lon_deg, state.distance_m
    for point in (*via, place):
        if abs(lat - point.lat_deg) + abs(lon - point.lon_deg) < OVERHEAD_DEG:
            continue
        lines.append(line_between(here, lat, lon, point, run))
        here, lat, lon, run = point.ident, point.lat_deg, point.lon_deg, lines[-1].end_distance_m
    return tuple(lines)


def along(
    crew: Crew,
    state: Node,
    lines: tuple[LegLine, ...],
    height_m: float,
    ias_m_per_s: float,
    about_kg_per_s: float = 0.0,
) -> Way:
    """Return the way along lines joined end to end, beginning at the state, with the climb where she is lower.

    About how much she burns may be told; it only says how much lighter she is half way. Not told, she is taken heavier.

    Raises:
        PlanError: She cannot hold the speed at that height.
    """
    here, flow = _climbed(crew, state, lines, height_m), about_kg_per_s
    how = How(height_m, ias_m_per_s, true_from_calibrated(ias_m_per_s, height_m, standard_temperature(height_m)))
    for line in lines:
        stretches = max(1, math.ceil(_left(here, line) / (LONG_S * how.about_tas_m_per_s)))
        run_m = _left(here, line) / stretches
        for _ in range(stretches):
            here, flow = _stretch(crew, here, line, run_m, how, flow)
    return _way(state, here, height_m)


@dataclass(frozen=True)
class How:
    """How the level part of a way is flown."""

    height_m: float
    ias_m_per_s: float
    about_tas_m_per_s: float  # in standard air; it only says where the middle is and how many pieces are made


def _stretch(crew: Crew, here: Node, line: LegLine, run_m: float, how: How, flow_kg_per_s: float) -> tuple[Node, float]:
    """Fly level along a part of a line with the flow half way; by the hour where the mixture may change on it."""
    height_m, tas = how.height_m, how.about_tas_m_per_s
    along_m = here.distance_m - line.start_distance_m
    lat, lon, course_deg = line.at(along_m + 0.5 * run_m)
    air, aloft = crew.sky.flown_air(lat, lon, height_m, here.instant + timedelta(seconds=0.5 * run_m / tas))
    more = crew.sky.weather.more_head_wind_m_per_s
    half_s = 0.5 * run_m / _ground_speed(course_deg, tas, aloft, more)
    mass_kg = here.mass_kg - flow_kg_per_s * half_s
    setting = _setting(crew, mass_kg, air, how.ias_m_per_s)
    pieces = max(1, math.ceil(run_m / (PIECE_S * tas)))
    if pieces > 1 and not _steady(setting):
        flow = setting.fuel_flow_kg_per_s
        for _ in range(pieces):
            here, flow = _stretch(crew, here, line, run_m / pieces, how, flow)
        return here, flow
    piece_m = run_m / pieces
    for number in range(pieces):
        if pieces > 1:
            lat, lon, course_deg = line.at(along_m + (number + 0.5) * piece_m)
            aloft = crew.sky.air(lat, lon, height_m, here.instant + timedelta(seconds=half_s / pieces))
        time_s = piece_m / _ground_speed(course_deg, _tas(setting, aloft), aloft, more)
        here = _after(here, piece_m, time_s, setting.fuel_flow_kg_per_s * time_s, height_m)
    return here, setting.fuel_flow_kg_per_s * here.mass_kg / setting.mass_kg  # lighter by then, and burning less


def _steady(setting: PowerSetting) -> bool:
    """Return whether the same mixture surely serves somewhat heavier and lighter too."""
    if setting.mixture is None:
        return True
    return setting.mixture == "lean" and setting.margin_ratio is not None and setting.margin_ratio > SURE_MARGIN


def _tas(setting: PowerSetting, aloft: AirAloft) -> float:
    """Return the true airspeed in other air, at the indicated airspeed and height of a setting."""
    return setting.tas_m_per_s * math.sqrt(aloft.temperature_k / setting.air.temperature_k)


def _ground_speed(course_deg: float, tas_m_per_s: float, aloft: AirAloft, more_head_wind_m_per_s: float) -> float:
    aloft = against_course(aloft, course_deg, more_head_wind_m_per_s)
    wind = wind_towards(aloft.wind_north_m_per_s, aloft.wind_east_m_per_s)
    return triangle_from_course(course_deg, tas_m_per_s, wind).ground_speed_m_per_s


def time_along(crew: Crew, state: Node, lines: tuple[LegLine, ...], height_m: float, ias_m_per_s: float) -> Way:
    """Return a way as `along` does for a question of time alone; its fuel is that of the climb only.

    At one indicated airspeed and pressure altitude the true airspeed goes with the root of the temperature and not with
    the weight: one setting, at the greatest weight, tells the speed everywhere and that the height can be held.
    """
    here = _climbed(crew, state, lines, height_m)
    if not lines:
        return _way(state, here, height_m)
    air, _ = crew.sky.flown_air(here.lat_deg, here.lon_deg, height_m, here.instant)
    setting = _held(crew, here.mass_kg, air, ias_m_per_s)
    for line in lines:
        pieces = max(1, math.ceil(_left(here, line) / (PIECE_S * setting.tas_m_per_s)))
        piece_m = _left(here, line) / pieces
        for number in range(pieces):
            middle_m = (number + 0.5) * piece_m
            lat, lon, course_deg = line.at(middle_m)
            aloft = crew.sky.air(
                lat, lon, height_m, here.instant + timedelta(seconds=0.5 * piece_m / setting.tas_m_per_s)
            )
            speed = _ground_speed(course_deg, _tas(setting, aloft), aloft, crew.sky.weather.more_head_wind_m_per_s)
            here = _after(here, piece_m, piece_m / speed, 0.0, height_m)
    return _way(state, here, height_m)


def held_height(crew: Crew, state: Node, height_m: float) -> tuple[float, float]:
    """Return the greatest height that is held, no higher than asked and in thousand-foot steps below it, and the speed.

    The speed is that of climb or, where the height is held or the charts are made only for it, that of waiting.

    Raises:
        PlanError: No height is held.
    """
    speeds = crew.performance.speeds(state.mass_kg)
    trial_m, why = height_m, ""
    while trial_m >= min(height_m, LOWEST_M):
        air, _ = crew.sky.flown_air(state.lat_deg, state.lon_deg, trial_m, state.instant)
        for ias in dict.fromkeys((speeds.climb_m_per_s, speeds.hold_m_per_s)):
            try:
                _held(crew, state.mass_kg, air, ias)
            except BriefgenError as error:
                why = error.problem
            else:
                return trial_m, ias
        trial_m -= HEIGHT_STEP_M
    raise PlanError(
        f"no height can be held at {mass_words(state.mass_kg)} (engines: {crew.engines or 'all'})"
        + (f"; lowest tried: {why}" if why else ""),
        expected="a height above the sea at which level flight is possible",
    )


def _no_higher(state: Node, height_m: float) -> Node:
    """Return the state at a height where it is above it: the drift down is not flown."""
    return replace(state, pressure_altitude_m=min(height_m, state.pressure_altitude_m))


def highest_way(
    crew: Crew, state: Node, lines: tuple[LegLine, ...], height_m: float,
    fly: Callable[[Crew, Node, tuple[LegLine, ...], float, float], Way] = along,
) -> Way:  # fmt: skip
    """Return the way at the greatest height, no higher than asked, that the engines running hold, as `held_height`.

    Where that is above her she climbs to it, and the climb is counted; a drift down to it is not credited.

    Raises:
        PlanError: They hold none.
    """
    trial_m = height_m
    while True:
        trial_m, ias = held_height(crew, state, trial_m)
        try:
            return fly(crew, _no_higher(state, trial_m), lines, trial_m, ias)
        except PlanError:  # warmer air on the way
            trial_m -= HEIGHT_STEP_M


def _climbed(crew: Crew, state: Node, lines: tuple[LegLine, ...], height_m: float) -> Node:
    if not lines or height_m - state.pressure_altitude_m <= WORTH_A_CLIMB_M:
        return state
    level = Level(height_m, True)
    climb = flying.change_height(crew, state, lines[0].extended(), level, item=None, title="climb on the way")
    return climb.end


def _way(state: Node, here: Node, height_m: float) -> Way:
    return Way(
        state.fuel_kg - here.fuel_kg, (here.instant - state.instant).total_seconds(),
        here.distance_m - state.distance_m, height_m,
    )  # fmt: skip


def _left(here: Node, line: LegLine) -> float:
    return line.end_distance_m - here.distance_m


def _setting(crew: Crew, mass_kg: float, air: Air, ias_m_per_s: float) -> PowerSetting:
    return crew.performance.as_set(_held(crew, mass_kg, air, ias_m_per_s))


def _held(crew: Crew, mass_kg: float, air: Air, ias_m_per_s: float) -> PowerSetting:
    """Return the setting not yet rounded to the gauges: that tells whether a height is held and at which true airspeed."""
    target = IndicatedAirspeed(ias_m_per_s)
    return crew.performance.cruise(mass_kg, air, target, engines=crew.engines)


def _after(here: Node, run_m: float, time_s: float, burn_kg: float, height_m: float) -> Node:
    """Return the state a little further on; fuel may run below zero, which tells how much is short."""
    return replace(
        here, instant=here.instant + timedelta(seconds=time_s), distance_m=here.distance_m + run_m,
        mass_kg=here.mass_kg - burn_kg, fuel_kg=here.fuel_kg - burn_kg, pressure_altitude_m=height_m,
    )  # fmt: skip
