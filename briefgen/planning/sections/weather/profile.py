"""What stands behind the vertical profile: cloud, freezing level and minimum safe altitudes."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.mission import Leg, Mission
from briefgen.model.plan import ChartData, Phase, Series
from briefgen.model.weather import CloudSheet
from briefgen.planning.sections.weather.met import Sample, samples_of
from briefgen.weather.air import Sky
from briefgen.weather.cloud import CloudCover
from briefgen.weather.hazards import is_under


def profile_chart(mission: Mission, in_air: Sequence[Phase]) -> ChartData:
    """Return what stands behind the vertical profile: cloud, freezing level and minimum safe altitudes."""
    sky = Sky(mission.weather)
    edges_m = CloudCover(mission.weather, mission.places).edges_m
    samples = [sample for phase in in_air for sample in samples_of(phase.nodes, edges_m)]
    areas = tuple(
        Series(f"cloud-{number}", sheet.name, "NM", "ft", _box(sheet, samples))
        for number, sheet in enumerate(mission.weather.sheets, 1)
        if _box(sheet, samples)
    )
    freezing = []
    for phase in in_air:
        for node in (phase.start, phase.end):
            level_m = sky.freezing_level_at(node.lat_deg, node.lon_deg, node.instant)
            if level_m is not None:
                freezing.append((node.distance_m, level_m + node.altitude_m - node.pressure_altitude_m))
    curves = [Series("freezing level", "freezing level", "NM", "ft", tuple(freezing))] if len(freezing) > 1 else []
    safe = _safe_heights(mission, in_air)
    if safe:
        curves.append(Series("safe altitude", "minimum safe altitude", "NM", "ft", safe))
    return ChartData(
        "profile", "Vertical profile", "Distance from take-off", "NM", "Altitude", "ft", tuple(curves), areas
    )


def _safe_heights(mission: Mission, phases: Sequence[Phase]) -> tuple[tuple[float, float], ...]:
    points = []
    for index, item in enumerate(mission.route.items):
        own = [phase for phase in phases if phase.item == index]
        if own and isinstance(item, Leg) and item.safe_height_m is not None:
            points += [(own[0].start.distance_m, item.safe_height_m), (own[-1].end.distance_m, item.safe_height_m)]
    return tuple(points)


def _box(sheet: CloudSheet, samples: list[Sample]) -> tuple[tuple[float, float], ...]:
    """Return the corners of the part of a sheet the flight passes over, through or under; empty if it meets none."""
    met = [sample.distance_m for sample in samples if is_under(sheet, sample.lat_deg, sample.lon_deg, sample.instant)]
    if not met:
        return ()
    first, last = min(met), max(met)
    return ((first, sheet.base_m), (last, sheet.base_m), (last, sheet.top_m), (first, sheet.top_m))
