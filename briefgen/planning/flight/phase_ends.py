"""How phases end: a climb with its level-off as its last piece, a descent laid exactly on its point."""

from __future__ import annotations

from datetime import datetime

from briefgen.frozen import replace
from briefgen.model.plan import Phase
from briefgen.planning.flight.route import LegLine


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
