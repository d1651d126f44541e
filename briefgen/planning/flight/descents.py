"""Where a descent begins, and where climbs and descents end: on the height that was asked for, and over the place."""

from __future__ import annotations

from datetime import datetime

from briefgen.errors import PlanError
from briefgen.frozen import replace
from briefgen.kernel.constants import NMI_M
from briefgen.model.performance import SpeedTarget
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight import flying
from briefgen.planning.flight.route import LegLine
from briefgen.planning.flight.steps import Crew, Level, moved

PLACING_SHIFT_M = 2000.0  # a last shift as small as this takes the whole descent with it, to a few metres
PLACING_TRIALS = 12


def top_of_descent(crew: Crew, state: Node, line: LegLine, target: SpeedTarget, level: Level, end: Level) -> float:
    """Return the distance along the route at which to leave a level so as to reach a lower one at the line's end.

    Raises:
        PlanError: The leg is too short for the descent.
    """
    cruising = flying.about(crew, state, target, 0.0)
    speed = state.ground_speed_m_per_s or cruising.tas_m_per_s
    in_one_step = flying.height_step(crew, state, line, end.of(crew.sky, state), False, None)
    start_m, over_m = line.end_distance_m - in_one_step.distance_m, 0.0
    for _ in range(PLACING_TRIALS):
        start_m = min(max(start_m, state.distance_m), line.end_distance_m)
        cruise_s = (start_m - state.distance_m) / speed
        guess = moved(
            state, line, crew.sky, duration_s=cruise_s, distance_m=start_m - state.distance_m,
            fuel_kg=cruising.fuel_flow_kg_per_s * cruise_s, to=level,
        )  # fmt: skip
        trial = flying.change_height(crew, guess, line.extended(), end, item=None, title="Descend")
        over_m = trial.end.distance_m - line.end_distance_m
        if abs(over_m) <= PLACING_SHIFT_M and start_m - over_m >= state.distance_m:
            return start_m - over_m
        if over_m > 0.0 and start_m <= state.distance_m:
            break
        start_m -= over_m
    raise PlanError(
        f"the leg to {line.to_ident} is too short to descend in: the descent ends {over_m / NMI_M:.1f} NM beyond its end",
        expected="room to come down to the height needed at its end",
        hint="fly the leg lower, or begin it further out",
    )


def with_level_off(climb: Phase, settling: Phase, line: LegLine) -> Phase:
    """Return the climb with its level-off as its last piece: one row of the log, one setting of the levers."""
    if settling.duration_s < 1.0:
        return replace(climb, level_off=climb.end)
    share = settling.duration_s / (climb.duration_s + settling.duration_s)

    def mixed(of_climb: float, of_settling: float) -> float:
        return of_climb + share * (of_settling - of_climb)

    middle_m = 0.5 * (climb.start.distance_m + settling.end.distance_m)
    return replace(
        climb,
        nodes=(*climb.nodes, *settling.nodes[1:]),
        settings=(*climb.settings, *settling.settings),
        wind_east_m_per_s=mixed(climb.wind_east_m_per_s, settling.wind_east_m_per_s),
        wind_north_m_per_s=mixed(climb.wind_north_m_per_s, settling.wind_north_m_per_s),
        tas_m_per_s=mixed(climb.tas_m_per_s, settling.tas_m_per_s),
        temperature_k=mixed(climb.temperature_k, settling.temperature_k),
        course_deg=line.course(middle_m - line.start_distance_m),
        level_off=climb.end,
    )


def ended_at(phase: Phase, line: LegLine, instant: datetime | None = None) -> Phase:
    """Return the phase with its last node laid exactly on the line's end (it was placed to end there)."""
    lat, lon = line.position(line.length_m)
    last = replace(phase.nodes[-1], lat_deg=lat, lon_deg=lon, distance_m=line.end_distance_m)
    return replace(phase, nodes=(*phase.nodes[:-1], last), place=line.to_ident)
