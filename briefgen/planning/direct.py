"""Straight ways from any point of the flight to a field: what they cost in fuel and time."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import timedelta

from briefgen.errors import BriefgenError, PlanError
from briefgen.kernel.wind import triangle_from_course, wind_towards
from briefgen.model.performance import Air, IndicatedAirspeed
from briefgen.model.places import Place
from briefgen.model.plan import Node
from briefgen.planning import flying
from briefgen.planning.flying import Crew
from briefgen.planning.route import LegLine, line_between

PIECE_S = 3600.0  # the weight falls by about 2 % in an hour: the flow in the middle serves for it
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


def straight_way(crew: Crew, state: Node, place: Place, height_m: float, ias_m_per_s: float) -> Way:
    """Return the direct way from a state to overhead a place at a height, with the climb to it where she is lower.

    Raises:
        PlanError: She cannot hold the speed at that height.
    """
    return along(crew, state, straight_lines(state, place), height_m, ias_m_per_s)


def straight_lines(state: Node, place: Place) -> tuple[LegLine, ...]:
    """Return the line to a place, none when she is overhead."""
    if abs(state.lat_deg - place.lat_deg) + abs(state.lon_deg - place.lon_deg) < OVERHEAD_DEG:
        return ()
    return (line_between("", state.lat_deg, state.lon_deg, place, state.distance_m),)


def along(crew: Crew, state: Node, lines: tuple[LegLine, ...], height_m: float, ias_m_per_s: float) -> Way:
    """Return the way along lines joined end to end, beginning at the state."""
    here = state
    if lines and height_m - here.pressure_altitude_m > WORTH_A_CLIMB_M:
        level = flying.Level(height_m, True)
        climb = flying.change_height(crew, here, lines[0].extended(), level, item=None, title="climb on the way")
        here = climb.end
    for line in lines:
        here = _level(crew, here, line, height_m, ias_m_per_s)
    return Way(
        state.fuel_kg - here.fuel_kg, (here.instant - state.instant).total_seconds(),
        here.distance_m - state.distance_m, height_m,
    )  # fmt: skip


def _level(crew: Crew, state: Node, line: LegLine, height_m: float, ias_m_per_s: float) -> Node:
    """Fly level to the end of a line in hourly pieces; fuel may run below zero, which tells how much is short."""
    here, flow = state, 0.0  # the first piece is solved at its starting weight: heavier, so on the safe side
    left_m = line.end_distance_m - here.distance_m
    pieces = max(1, math.ceil(left_m / (PIECE_S * 1.3 * ias_m_per_s)))
    for _ in range(pieces):
        piece_m = left_m / pieces
        middle_m = here.distance_m + 0.5 * piece_m - line.start_distance_m
        lat, lon = line.position(middle_m)
        aloft = crew.sky.air(lat, lon, height_m, here.instant)
        mass_kg = here.mass_kg - 0.5 * flow * piece_m / (1.2 * ias_m_per_s)
        setting = crew.performance.cruise(
            mass_kg, Air(height_m, aloft.temperature_k), IndicatedAirspeed(ias_m_per_s), engines=crew.engines
        )
        wind = wind_towards(aloft.wind_north_m_per_s, aloft.wind_east_m_per_s)
        speed = triangle_from_course(line.course(middle_m), setting.tas_m_per_s, wind).ground_speed_m_per_s
        time_s, flow = piece_m / speed, setting.fuel_flow_kg_per_s
        burn = flow * time_s
        here = replace(
            here, instant=here.instant + timedelta(seconds=time_s), distance_m=here.distance_m + piece_m,
            mass_kg=here.mass_kg - burn, fuel_kg=here.fuel_kg - burn, pressure_altitude_m=height_m,
        )  # fmt: skip
    return here


def highest_way(crew: Crew, state: Node, lines: tuple[LegLine, ...], height_m: float, ias_m_per_s: float) -> Way:
    """Return the way at the greatest height, no higher than asked, at which the engines running hold the speed.

    Raises:
        PlanError: They hold it at no height.
    """
    trial_m = height_m
    while trial_m >= LOWEST_M:
        try:
            return along(crew, replace(state, pressure_altitude_m=trial_m), lines, trial_m, ias_m_per_s)
        except BriefgenError:
            trial_m -= HEIGHT_STEP_M
    raise PlanError(
        f"no height is held at {state.mass_kg:.0f} kg on the engines: {crew.engines or 'all'}",
        expected="a height above the sea at which level flight is possible",
    )
