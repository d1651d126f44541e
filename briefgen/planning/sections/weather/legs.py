"""The weather along the way, phase by phase: wind, temperature, freezing level, cloud and ice; and the profile's cloud."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from briefgen.kernel.wind import wind_towards
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Leg, Mission
from briefgen.model.plan import ChartData, Event, Node, Phase, Series
from briefgen.model.weather import CEILING_COVERS, CloudSheet
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.weather.air import Sky, deviation_from_standard
from briefgen.weather.hazards import (
    AIRFRAME_SOURCE,
    CARBURETTOR_SOURCE,
    NOT_USUAL_ABOVE_M,
    AirframeIce,
    CarburettorIce,
    CloudRelation,
    airframe_ice,
    carburettor_ice,
    is_under,
    relation_to,
    sheets_at,
)

BETWEEN_NODES = 6  # parts a stretch between two nodes is looked at in
ABOVE_DATA = "above the forecast"
CLEAR = "clear"

COLUMNS = (
    Column("to", "Phase"),
    Column("wind_direction", "Wind from", "degT"),
    Column("wind_speed", "Wind", "kt"),
    Column("temperature", "Temperature", "degC"),
    Column("deviation", "From standard", "degC diff"),
    Column("freezing_level", "Freezing level", "ft"),
    Column("below_freezing_level", "Below it by", "ft"),
    Column("cloud", "Cloud"),
    Column("carburettor_ice", "Carburettor ice"),
    Column("airframe_ice", "Airframe ice"),
)
CLOUD_COLUMNS = (
    Column("name", "Cloud"),
    Column("cover", "Cover"),
    Column("base", "Base", "ft"),
    Column("top", "Top", "ft"),
    Column("from", "From", "UTC"),
    Column("to", "To", "UTC"),
)


@dataclass(frozen=True)
class _Sample:
    """The aircraft between two nodes."""

    instant: datetime
    lat_deg: float
    lon_deg: float
    distance_m: float
    altitude_m: float
    pressure_altitude_m: float


@dataclass(frozen=True)
class _Met:
    """What a phase meets: sheets with where she is to them, and the worst of both kinds of ice."""

    clouds: dict[str, set[CloudRelation]]
    carburettor: CarburettorIce
    airframe: AirframeIce
    highest_m: float


def write_legs(mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter) -> tuple[Event, ...]:
    """Enter the weather of every phase in the air and its table; return what the crew is to be told, and when."""
    sky = Sky(mission.weather)
    rows: list[Row] = []
    events: list[Event] = []
    worst_before = CarburettorIce.OUTSIDE, AirframeIce.DRY
    for phase in (phase for phase in phases if phase.settings):
        key, met = phase_key(phase.ident), _met(mission, sky, phase)
        _write_air(mission, sky, phase, key, writer)
        _write_freezing(mission, sky, phase, key, met, writer)
        _write_ice(mission, phase, key, met, writer)
        if (met.carburettor, met.airframe) != worst_before:
            events.extend(_events(phase, key, met))
        worst_before = met.carburettor, met.airframe
        cells = {column.name: f"{key}.{column.name}" for column in COLUMNS if f"{key}.{column.name}" in writer}
        rows.append(Row(phase.title, cells, phase.kind))
    writer.table("weather.legs", "Weather along the way", COLUMNS, rows)
    _write_sheets(mission, writer)
    return tuple(events)


def profile_chart(mission: Mission, phases: tuple[Phase, ...]) -> ChartData:
    """Return what stands behind the vertical profile: cloud, freezing level and minimum safe altitudes."""
    sky = Sky(mission.weather)
    in_air = [phase for phase in phases if phase.settings]
    samples = [sample for phase in in_air for sample in _samples(phase.nodes, mission.weather.sheets)]
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


def _safe_heights(mission: Mission, phases: list[Phase]) -> tuple[tuple[float, float], ...]:
    points = []
    for index, item in enumerate(mission.route.items):
        own = [phase for phase in phases if phase.item == index]
        if own and isinstance(item, Leg) and item.safe_height_m is not None:
            points += [(own[0].start.distance_m, item.safe_height_m), (own[-1].end.distance_m, item.safe_height_m)]
    return tuple(points)


def _samples(nodes: tuple[Node, ...], sheets: tuple[CloudSheet, ...]) -> Iterator[_Sample]:
    """Yield the nodes and points between them on straight lines, the bases and tops of sheets in between among them."""
    for before, after in pairwise(nodes):
        parts = {part / BETWEEN_NODES for part in range(BETWEEN_NODES)}
        climb_m = after.altitude_m - before.altitude_m
        if climb_m:
            edges = (edge_m for sheet in sheets for edge_m in (sheet.base_m, sheet.top_m))
            crossed = ((edge_m - before.altitude_m) / climb_m for edge_m in edges)
            parts |= {part for part in crossed if 0.0 < part < 1.0}
        yield from (_between(before, after, part) for part in sorted(parts))
    yield _between(nodes[-1], nodes[-1], 0.0)


def _between(before: Node, after: Node, part: float) -> _Sample:
    def mixed(name: str) -> float:
        first, last = float(getattr(before, name)), float(getattr(after, name))
        return first + (last - first) * part

    turn_deg = (after.lon_deg - before.lon_deg + 180.0) % 360.0 - 180.0
    return _Sample(
        before.instant + (after.instant - before.instant) * part,
        mixed("lat_deg"),
        (before.lon_deg + turn_deg * part + 180.0) % 360.0 - 180.0,
        mixed("distance_m"),
        mixed("altitude_m"),
        mixed("pressure_altitude_m"),
    )


def _met(mission: Mission, sky: Sky, phase: Phase) -> _Met:
    clouds: dict[str, set[CloudRelation]] = {}
    carburettor, airframe = CarburettorIce.OUTSIDE, AirframeIce.DRY
    carburettor_order, airframe_order = list(CarburettorIce), list(AirframeIce)
    highest_m = phase.start.pressure_altitude_m
    for sample in _samples(phase.nodes, mission.weather.sheets):
        highest_m = max(highest_m, sample.pressure_altitude_m)
        relations = {
            sheet.name: relation_to(sheet, sample.altitude_m)
            for sheet in sheets_at(mission.weather, sample.lat_deg, sample.lon_deg, sample.instant)
        }
        for name, relation in relations.items():
            clouds.setdefault(name, set()).add(relation)
        in_cloud = CloudRelation.IN in relations.values()
        air = sky.air_at(sample.lat_deg, sample.lon_deg, sample.pressure_altitude_m, sample.instant)
        found = carburettor_ice(air.temperature_k, None, in_cloud=in_cloud)
        carburettor = min(carburettor, found, key=carburettor_order.index)
        airframe = min(airframe, airframe_ice(air.temperature_k, in_cloud=in_cloud), key=airframe_order.index)
    return _Met(clouds, carburettor, airframe, highest_m)


def _write_air(mission: Mission, sky: Sky, phase: Phase, key: str, writer: LedgerWriter) -> None:
    middle = phase.nodes[len(phase.nodes) // 2]
    air = sky.air_at(middle.lat_deg, middle.lon_deg, middle.pressure_altitude_m, middle.instant)
    method, source = "forecast, interpolated in space, height and time; half way", mission.weather.name
    if f"{key}.temperature" not in writer:
        writer.put(
            f"{key}.temperature",
            f"{phase.title}: air temperature",
            air.temperature_k,
            "degC",
            method=method,
            source=source,
        )
    if f"{key}.wind_speed" not in writer:
        wind = wind_towards(air.wind_north_m_per_s, air.wind_east_m_per_s)
        writer.put(
            f"{key}.wind_direction", f"{phase.title}: wind from", wind.from_deg, "degT", method=method, source=source
        )
        writer.put(f"{key}.wind_speed", f"{phase.title}: wind", wind.speed_m_per_s, "kt", method=method, source=source)
    writer.put(
        f"{key}.deviation", f"{phase.title}: warmer than standard by",
        deviation_from_standard(air.temperature_k, middle.pressure_altitude_m), "degC diff",
        method="forecast temperature half way less that of the standard atmosphere", inputs=(f"{key}.temperature",),
        source="U.S. Standard Atmosphere, 1976",
    )  # fmt: skip


def _write_freezing(
    mission: Mission, sky: Sky, phase: Phase, key: str, met: _Met, writer: LedgerWriter
) -> None:  # fmt: skip
    middle = phase.nodes[len(phase.nodes) // 2]
    level_m = sky.freezing_level_at(middle.lat_deg, middle.lon_deg, middle.instant)
    label, source = f"{phase.title}: freezing level, pressure altitude", mission.weather.name
    method = "as given, else where the forecast temperature is 0 °C, half way"
    if level_m is None:
        writer.put(f"{key}.freezing_level", label, ABOVE_DATA, method=method, source=source)
        return
    level = writer.put(f"{key}.freezing_level", label, level_m, "ft", method=method, source=source)
    highest = writer.put(
        f"{key}.highest",
        f"{phase.title}: highest pressure altitude",
        met.highest_m,
        "ft",
        method="highest of the phase",
    )
    writer.put(
        f"{key}.below_freezing_level", f"{phase.title}: below the freezing level by", level_m - met.highest_m, "ft",
        method="freezing level less the highest pressure altitude of the phase", inputs=(level, highest),
    )  # fmt: skip
    writer.foot(f"{key}.below_freezing_level", (level,), (highest,))


def _write_ice(mission: Mission, phase: Phase, key: str, met: _Met, writer: LedgerWriter) -> None:
    source = mission.weather.name
    words = [f"{_relation(relations)} {name}" for name, relations in met.clouds.items()]
    cloud = writer.put(
        f"{key}.cloud", f"{phase.title}: cloud", "; ".join(words) or CLEAR,
        method="the phase's altitudes against the cloud sheets over it at the time", source=source,
    )  # fmt: skip
    rare = (
        " (not usual this high)" if met.highest_m > NOT_USUAL_ABOVE_M and met.carburettor != "outside the bands" else ""
    )
    inputs = (f"{key}.temperature", cloud)
    writer.put(
        f"{key}.carburettor_ice", f"{phase.title}: carburettor icing", f"{met.carburettor}{rare}",
        method="worst along the phase: temperature against the bands, cloud as saturated air, humidity elsewhere unknown",
        inputs=inputs, source=CARBURETTOR_SOURCE,
    )  # fmt: skip
    writer.put(
        f"{key}.airframe_ice", f"{phase.title}: airframe icing", str(met.airframe),
        method="worst along the phase: cloud and temperature", inputs=inputs, source=AIRFRAME_SOURCE,
    )  # fmt: skip


def _relation(relations: set[CloudRelation]) -> str:
    return "through" if len(relations) > 1 else next(iter(relations)).value


def _events(phase: Phase, key: str, met: _Met) -> Iterator[Event]:
    if met.airframe is AirframeIce.EXPOSED:
        yield Event(
            f"{key}.begin", "action", phase.ident, ("captain", "co-pilot", "flight engineer"),
            f"Airframe ice possible: cloud at {{{key}.temperature}}; de-icers ready, leave the cloud or the level",
        )  # fmt: skip
    if met.carburettor is CarburettorIce.LIKELY:
        yield Event(
            f"{key}.begin", "action", phase.ident, ("flight engineer",),
            f"Carburettor ice likely: {{{key}.cloud}} at {{{key}.temperature}}; watch manifold pressure, heat as needed",
        )  # fmt: skip


def _write_sheets(mission: Mission, writer: LedgerWriter) -> None:
    rows = []
    for number, sheet in enumerate(mission.weather.sheets, 1):
        key, given = f"weather.cloud.{number:02d}", "given in the weather file"
        put, source = writer.put, sheet.source
        cells = {
            "name": put(f"{key}.name", "Cloud", sheet.name, method=given, source=source),
            "cover": put(f"{key}.cover", f"{sheet.name}: cover", sheet.cover, method=given, source=source),
            "base": put(
                f"{key}.base", f"{sheet.name}: base above sea level", sheet.base_m, "ft", method=given, source=source
            ),
            "top": put(
                f"{key}.top", f"{sheet.name}: top above sea level", sheet.top_m, "ft", method=given, source=source
            ),
            "from": put(f"{key}.from", f"{sheet.name}: from", sheet.use_from, "UTC", method=given, source=source),
            "to": put(f"{key}.to", f"{sheet.name}: to", sheet.use_to, "UTC", method=given, source=source),
        }
        rows.append(Row(sheet.name, cells, "ceiling" if sheet.cover in CEILING_COVERS else ""))
    if rows:
        writer.table("weather.clouds", "Sheets of cloud", CLOUD_COLUMNS, rows, note="Heights above mean sea level.")


def _box(sheet: CloudSheet, samples: list[_Sample]) -> tuple[tuple[float, float], ...]:
    """Return the corners of the part of a sheet the flight passes over, through or under; empty if it meets none."""
    met = [sample.distance_m for sample in samples if is_under(sheet, sample.lat_deg, sample.lon_deg, sample.instant)]
    if not met:
        return ()
    first, last = min(met), max(met)
    return ((first, sheet.base_m), (last, sheet.base_m), (last, sheet.top_m), (first, sheet.top_m))
