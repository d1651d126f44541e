"""Where she enters and leaves cloud in which the carburettors ice: a step of the flight ends there, and the levers move."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta

from briefgen.kernel.altimetry import indicated_altitude, pressure_altitude
from briefgen.model.plan import Node
from briefgen.model.weather import CloudSheet
from briefgen.planning.flight.route import LegLine
from briefgen.planning.flight.sky import Sky
from briefgen.weather.hazards import CarburettorIce, CloudRelation, carburettor_ice, relation_to

LOOKED_AT = 6  # parts a step is looked at in: a cloud met for less than a sixth of a quarter of an hour may be missed
FOUND_TO_S = 1.0
WORTH_A_STEP_M = 15.0  # an edge of cloud nearer than this to the end of a step of a climb is met with it


def icing_at(sky: Sky, node: Node) -> bool:
    """Return whether the carburettors ice where she is; the temperature is asked only in cloud: it costs the most."""
    if not sky.in_cloud(node.lat_deg, node.lon_deg, node.pressure_altitude_m, node.instant):
        return False
    aloft = sky.air(node.lat_deg, node.lon_deg, node.pressure_altitude_m, node.instant)
    return sky.icing(node.lat_deg, node.lon_deg, node.pressure_altitude_m, node.instant, aloft.temperature_k)


def ice_over(
    sky: Sky, nodes: Sequence[Node], temperature_at: Callable[[float], float]
) -> Callable[[float], bool] | None:
    """Return whether the carburettors ice at a pressure altitude [m] anywhere over some nodes; None where there is no cloud.

    Temperatures [K] by pressure altitude [m] are those of the caller, so that ice and engines are asked in the same air.
    """
    bands: set[tuple[float, CloudSheet]] = set()
    for node in nodes if sky.clouded else ():
        over = sky.cloud.over(node.lat_deg, node.lon_deg, node.instant)
        if over:
            setting_pa = sky.altimeter_setting(node.lat_deg, node.lon_deg, node.instant)
            bands.update((setting_pa, sheet) for sheet in over)

    def ices(height_m: float) -> bool:
        inside = any(
            relation_to(sheet, indicated_altitude(height_m, setting_pa)) is CloudRelation.IN
            for setting_pa, sheet in bands
        )
        return inside and carburettor_ice(temperature_at(height_m), None, in_cloud=True) is CarburettorIce.LIKELY

    return ices if bands else None


def unchanged_run(sky: Sky, line: LegLine, here: Node, run_m: float, speed_m_per_s: float) -> float:
    """Return how much of a level run along a line [m] is flown before ice begins or ends."""

    def after(run: float) -> Node:
        along = min(here.distance_m + run, line.end_distance_m)
        lat, lon = line.position(along - line.start_distance_m)
        instant = here.instant + timedelta(seconds=run / speed_m_per_s)
        return replace(here, lat_deg=lat, lon_deg=lon, distance_m=along, instant=instant)

    return _unchanged(sky, after, run_m, FOUND_TO_S * speed_m_per_s)


def unchanged_time(sky: Sky, here: Node, duration_s: float) -> float:
    """Return how long over one place [s] it is before ice begins or ends."""
    return _unchanged(
        sky, lambda time: replace(here, instant=here.instant + timedelta(seconds=time)), duration_s, FOUND_TO_S
    )


def _unchanged(sky: Sky, after: Callable[[float], Node], span: float, tolerance: float) -> float:
    """Return how much of a span passes before the state it begins with is another one; the whole span where none is found."""
    if not sky.clouded or span <= 2.0 * tolerance:
        return span
    begun = icing_at(sky, after(tolerance))
    low = 0.0
    for part in range(1, LOOKED_AT + 1):
        high = span * part / LOOKED_AT
        if icing_at(sky, after(high)) is not begun:
            while high - low > tolerance:
                middle = 0.5 * (low + high)
                low, high = (low, middle) if icing_at(sky, after(middle)) is not begun else (middle, high)
            return max(high, tolerance)
        low = high
    return span


def edges_between(sky: Sky, here: Node, to_m: float) -> Iterator[float]:
    """Yield the pressure altitudes [m] at which cloud over her begins or ends on the way to another, in the order met."""
    if not sky.clouded:
        return
    setting_pa = sky.altimeter_setting(here.lat_deg, here.lon_deg, here.instant)
    low_m, high_m = sorted(indicated_altitude(one, setting_pa) for one in (here.pressure_altitude_m, to_m))
    over = sky.cloud.over(here.lat_deg, here.lon_deg, here.instant)
    edges = {edge_m for sheet in over for edge_m in (sheet.base_m, sheet.top_m)}
    inside = (one for one in edges if low_m + WORTH_A_STEP_M < one < high_m - WORTH_A_STEP_M)
    for altitude_m in sorted(inside, reverse=to_m < here.pressure_altitude_m):
        yield pressure_altitude(altitude_m, setting_pa)
