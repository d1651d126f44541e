"""What the site offers to other programs: the plan as JSON, the route as GPX and GeoJSON, the navigation log as CSV."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any
from xml.sax.saxutils import escape

from briefgen.document.drawings.charts import airborne_nodes
from briefgen.document.parts.digest import fingerprint
from briefgen.document.parts.format import Figures, unit_mark
from briefgen.model.ledger import Entry, Table
from briefgen.model.mission import Leg, Mission
from briefgen.model.places import Place
from briefgen.model.plan import Node, Plan
from briefgen.planning.sections.basis.navigation import LOG

PLAN_FORMAT = "plan/1"
HALF_TURN_DEG, TURN_DEG = 180.0, 360.0
FEW_NODES = 2
COORDINATE_DIGITS = 6  # 0.1 m
FORMULA_BEGINS = tuple("=+-@\t\r\uff1d\uff0b\uff0d\uff20")  # and their full-width forms

Position = tuple[float, float]


# --- the plan as JSON -------------------------------------------------------------------------------------------------


def plan_json(plan: Plan, figures: Figures | None = None) -> str:
    """Return the whole plan as JSON: every entry with value, unit, printed figure, method and inputs, and every table.

    One line an entry, row or event: two plans can be compared line by line. Texts have their figures filled in.
    """
    figures = figures or Figures(plan)
    mission = plan.mission
    head = {
        "name": figures.text(mission.name), "number": figures.text(mission.number), "revision": mission.revision,
        "operator": figures.text(mission.operator),
        "aircraft": mission.aircraft.name, "registration": mission.individual.registration, "zone": mission.times.zone,
    }  # fmt: skip
    events = [
        {"time": e.time_key, "kind": e.kind, "phase": e.phase, "positions": list(e.positions), "text": figures.text(e.text),
         "where": e.where, "steps": [figures.text(step) for step in e.steps]}
        for e in plan.events
    ]  # fmt: skip
    findings = [
        {"ident": f.ident, "outcome": f.outcome, "title": figures.text(f.title), "text": figures.text(f.text),
         "measured": f.measured_key, "limit": f.limit_key, "margin": f.margin_key, "source": f.source,
         "cure": figures.text(f.cure), "page": f.page} | ({"accepted": f.accepted} if f.accepted else {})
        for f in plan.findings
    ]  # fmt: skip
    feet = [
        {"result": f.result, "plus": list(f.plus), "minus": list(f.minus), "gives": "parts" if f.divided else "result"}
        for f in plan.ledger.feet
    ]
    entries = {key: _entry(entry, figures) for key, entry in plan.ledger.entries.items()}
    tables = {name: _table(table, figures) for name, table in plan.tables.items()}
    parts = [
        f'"briefgen": {_json(PLAN_FORMAT)}', f'"digest": {_json(fingerprint(plan, figures))}', f'"mission": {_json(head)}',
        f'"entries": {_json_members(entries)}', f'"feet": {_json_items(feet)}', f'"tables": {_json_members(tables)}',
        f'"events": {_json_items(events)}', f'"findings": {_json_items(findings)}',
        *([f'"sectors": [\n{",".join(plan_json(one) for one in plan.sectors)}]'] if plan.sectors else []),
        f'"files": {_json_members({file.name: file.digest for file in mission.files})}', f'"written": {_written(mission)}',
    ]  # fmt: skip
    return "{\n" + ",\n".join(parts) + "\n}\n"


def _written(mission: Mission) -> str:
    """Return every written value by file, as path, line, column and text, one to a line."""
    files = {file.name: _json_items([[list(path), *place] for path, *place in file.values]) for file in mission.files}
    return "{\n" + ",\n".join(f"{_json(name)}: {values}" for name, values in files.items()) + "\n}"


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


def _json_items(values: Sequence[Any]) -> str:
    return "[\n" + ",\n".join(_json(value) for value in values) + "\n]"


def _json_members(values: Mapping[str, Any]) -> str:
    return "{\n" + ",\n".join(f"{_json(key)}: {_json(value)}" for key, value in values.items()) + "\n}"


def _entry(entry: Entry, figures: Figures) -> dict[str, Any]:
    value = instant_text(entry.value) if isinstance(entry.value, datetime) else entry.value
    found: dict[str, Any] = {
        "label": figures.text(entry.label), "value": value, "unit": entry.unit, "decimals": entry.decimals, "printed": figures[entry.key],
        "method": figures.text(entry.method),
    }  # fmt: skip
    if entry.inputs:
        found["inputs"] = list(entry.inputs)
    if entry.source:
        found["source"] = entry.source
    if entry.given:
        found["given"] = {"file": entry.given.file, "line": entry.given.line, "column": entry.given.column,
                          "text": entry.given.text}  # fmt: skip
    return found


def _table(table: Table, figures: Figures) -> dict[str, Any]:
    return {
        "title": figures.text(table.title),
        "columns": [{"name": c.name, "head": c.head, "unit": c.unit} for c in table.columns],
        "rows": [{"name": figures.text(r.name), "mark": r.mark, "cells": dict(r.cells)} for r in table.rows],
        "note": figures.text(table.note),
    }


def instant_text(instant: datetime) -> str:
    """Return an instant in UTC as ISO 8601 to the second."""
    return f"{instant.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


# --- the route --------------------------------------------------------------------------------------------------------


def _turning_points(plan: Plan) -> list[Place]:
    route = plan.mission.route
    found = [route.origin]
    for item in route.items:
        place = item.to if isinstance(item, Leg) else item.at
        if place.ident != found[-1].ident:
            found.append(place)
    if found[-1].ident != route.destination.ident:
        found.append(route.destination)
    return found


def route_gpx(plan: Plan, figures: Figures | None = None) -> str:
    """Return the route and the planned track as GPX 1.1."""
    mission = plan.mission
    figures = figures or Figures(plan)
    name, number = figures.text(mission.name), figures.text(mission.number)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="briefgen" xmlns="http://www.topografix.com/GPX/1/1">',
        f"  <metadata><name>{escape(f'{number} {name}, revision {mission.revision}')}</name></metadata>",
    ]
    seen: set[str] = set()
    for place in (*_turning_points(plan), *(alternate.place for alternate in mission.alternates)):
        if place.ident not in seen:
            seen.add(place.ident)
            lines.append(f"  {_gpx_point('wpt', place)}")
    lines.append(f"  <rte><name>{escape(name)}</name>")
    lines += [f"    {_gpx_point('rtept', place)}" for place in _turning_points(plan)]
    lines.append("  </rte>")
    nodes = airborne_nodes(plan)
    if len(nodes) >= FEW_NODES:
        lines.append(f"  <trk><name>{escape(name)} as planned</name><trkseg>")
        lines += [f"    {_gpx_node(node)}" for node in nodes]
        lines.append("  </trkseg></trk>")
    lines.append("</gpx>")
    return "\n".join(lines) + "\n"


def _gpx_point(tag: str, place: Place) -> str:
    height = f"<ele>{place.elevation_m:.1f}</ele>" if place.elevation_m is not None else ""
    name = f"<name>{escape(place.ident)}</name><desc>{escape(place.name)}</desc>"
    return f'<{tag} lat="{place.lat_deg:.6f}" lon="{place.lon_deg:.6f}">{height}{name}</{tag}>'


def _gpx_node(node: Node) -> str:
    time = instant_text(node.instant)
    return f'<trkpt lat="{node.lat_deg:.6f}" lon="{node.lon_deg:.6f}"><ele>{node.altitude_m:.1f}</ele><time>{time}</time></trkpt>'


def route_geojson(plan: Plan, figures: Figures | None = None) -> str:
    """Return the planned track and the places as GeoJSON (RFC 7946), the track cut where it crosses 180 degrees."""
    mission = plan.mission
    figures = figures or Figures(plan)
    name, number = figures.text(mission.name), figures.text(mission.number)
    nodes = airborne_nodes(plan)
    features: list[dict[str, Any]] = []
    if len(nodes) >= FEW_NODES:
        parts = cut_at_antimeridian([(node.lon_deg, node.lat_deg) for node in nodes])
        geometry: dict[str, Any] = {"type": "LineString", "coordinates": parts[0]}
        if len(parts) > 1:
            geometry = {"type": "MultiLineString", "coordinates": parts}
        features.append(_feature(geometry, {"name": name, "number": number, "kind": "track"}))
    seen: set[str] = set()
    for place in (*_turning_points(plan), *(alternate.place for alternate in mission.alternates)):
        if place.ident not in seen:
            seen.add(place.ident)
            point = [round(place.lon_deg, COORDINATE_DIGITS), round(place.lat_deg, COORDINATE_DIGITS)]
            properties = {"ident": place.ident, "name": place.name, "kind": place.kind}
            features.append(_feature({"type": "Point", "coordinates": point}, properties))
    return json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False, indent=1) + "\n"


def _feature(geometry: dict[str, Any], properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def cut_at_antimeridian(points: Sequence[Position]) -> list[list[list[float]]]:
    """Return a line as parts that do not cross 180 degrees of longitude (RFC 7946, section 3.1.9)."""
    parts: list[list[list[float]]] = [[]]
    previous: Position | None = None
    for lon, lat in points:
        if previous is not None and abs(lon - previous[0]) > HALF_TURN_DEG:
            east = HALF_TURN_DEG if previous[0] > 0 else -HALF_TURN_DEG
            unwrapped = lon + (TURN_DEG if east > 0 else -TURN_DEG)
            part = (east - previous[0]) / (unwrapped - previous[0])
            crossing = previous[1] + part * (lat - previous[1])
            parts[-1].append(_rounded(east, crossing))
            parts.append([_rounded(-east, crossing)])
        parts[-1].append(_rounded(lon, lat))
        previous = (lon, lat)
    return parts


def _rounded(lon: float, lat: float) -> list[float]:
    return [round(lon, COORDINATE_DIGITS), round(lat, COORDINATE_DIGITS)]


# --- the navigation log -----------------------------------------------------------------------------------------------


def navigation_log_csv(plan: Plan, figures: Figures | None = None) -> str:
    """Return the navigation log as CSV (RFC 4180), each column head with its unit, the figures as printed."""
    table = plan.tables.get(LOG.name)
    if table is None:
        return ""
    figures = figures or Figures(plan)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_csv_head(plan, table, index) for index in range(len(table.columns))])
    for row in table.rows:
        keys = [row.cells.get(column.name, "") for column in table.columns]
        writer.writerow([_csv_cell(plan.ledger[key], figures[key]) if key else "" for key in keys])
    return out.getvalue()


def _csv_cell(entry: Entry, figure: str) -> str:
    """Return a figure without the comma of thousands; words as they are, but never as a formula.

    A word that a spreadsheet would run is given an apostrophe in front (OWASP, CSV injection: = + - @, tab, return).
    """
    if not isinstance(entry.value, str):
        return figure.replace(",", "")
    return f"'{figure}" if figure.lstrip()[:1] in FORMULA_BEGINS and figure.strip() else figure


def _csv_head(plan: Plan, table: Table, index: int) -> str:
    column = table.columns[index]
    units = {plan.ledger[row.cells[column.name]].unit for row in table.rows if row.cells.get(column.name)} - {""}
    unit = column.unit or (units.pop() if len(units) == 1 else "")
    return f"{column.head} [{unit_mark(unit)}]" if unit else column.head
