"""An aircraft printed as charts, back to files: the author's own text with the charts in place of the model."""

from __future__ import annotations

import csv
import io
import itertools
from collections.abc import Iterator

from briefgen.errors import BriefgenError
from briefgen.model.aircraft import Aircraft, ChartBook
from briefgen.model.curves import Chart
from briefgen.units import in_unit

# How each column of a printed chart is shown: its unit at the head, and the decimals a manual prints.
_COLUMNS: dict[str, tuple[str, int]] = {
    "engine speed": ("rpm", 0),
    "manifold pressure": ("inHg", 2),
    "mixture": ("", 0),
    "fuel flow": ("US gal/h", 2),
    "true airspeed": ("kt", 2),
    "rate of climb": ("ft/min", 1),
    "time limit": ("min", 1),
    "indicated airspeed": ("mph indicated", 2),
    "ground run": ("ft", 0),
    "distance to 50 ft": ("ft", 0),
    "distance from 50 ft": ("ft", 0),
    "unstick": ("mph indicated", 2),
    "threshold": ("mph indicated", 2),
}
_AXIS_DECIMALS = 3
Cell = float | str | None


def aircraft_file_texts(model_text: str, name: str, aircraft: Aircraft) -> dict[str, str]:
    """Return the files of an aircraft printed as charts, by path inside a specification folder.

    Everything of the author's file but its model and its name is kept as written, comments included.
    """
    if aircraft.charts is None:
        raise BriefgenError(f"{aircraft.name} has no charts to write")
    folder = f"aircraft/{name}"
    kept = [line for line in _without_block(model_text.splitlines(), "model") if not line.startswith("name:")]
    at = next((index + 1 for index, line in enumerate(kept) if line.startswith("briefgen:")), 0)
    kept.insert(at, f'name: "{aircraft.name}"')
    lines = [*kept, *_charts_block(aircraft.charts, folder)]
    texts = {f"aircraft/{name}.yaml": "\n".join(lines) + "\n"}
    for chart in aircraft.charts.charts.values():
        texts[f"{folder}/{_file_name(chart)}"] = _table_text(chart)
    return texts


def _without_block(lines: list[str], key: str) -> list[str]:
    """Return the lines without a top-level key and what stands indented under it."""
    kept, inside = [], False
    for line in lines:
        if line and not line[0].isspace() and not line.startswith("#"):
            inside = line.startswith(f"{key}:")
        if not inside:
            kept.append(line)
    return kept


def _charts_block(book: ChartBook, folder: str) -> list[str]:
    power = "none" if book.rated_power_w is None else f"{in_unit(book.rated_power_w, 'hp'):.0f} hp"
    lines = ["charts:", f"  rated power: {power}", "  engine configurations:"]
    lines += [
        f'    - {{ name: "{one.name}", running: {one.running}, stopped: "{one.stopped}" }}'
        for one in book.engine_configurations
    ]
    lines.append("  fuel grades:")
    lines += [
        f'    - {{ name: "{grade.name}", density: {in_unit(grade.density_kg_per_m3, "lb/US gal"):.4f} lb/US gal,'
        f" carburettor air temperature limit: {_temperature(grade.carburettor_air_temperature_limit_k)} }}"
        for grade in book.fuel_grades
    ]
    lines.append("  charts:")
    for chart in book.charts.values():
        lines += [
            f"    {chart.name}:",
            f'      source: "{chart.source}"',
            f'      conditions: "{chart.conditions}"',
            f"      file: {folder}/{_file_name(chart)}",
            "      axes: { " + ", ".join(f"{axis.name}: '{axis.unit}'" for axis in chart.axes) + " }",
            "      columns: { " + ", ".join(f"{column}: '{_COLUMNS[column][0]}'" for column in chart.columns) + " }",
        ]
    return lines


def _temperature(limit_k: float | None) -> str:
    return "none" if limit_k is None else f"{in_unit(limit_k, 'degC'):.1f} degC"


def _file_name(chart: Chart) -> str:
    return f"{chart.name.replace(' ', '-')}.csv"


def _table_text(chart: Chart) -> str:
    out = io.StringIO()
    out.write(f"# {chart.name}: {chart.source}; {chart.conditions}. An empty cell has no answer.\n")
    writer = csv.writer(out, lineterminator="\n")
    heads = [f"{axis.name} {axis.unit}" for axis in chart.axes]
    heads += [f"{column} {_COLUMNS[column][0]}" for column in chart.columns]
    writer.writerow([head.strip().replace("/", " per ").replace(" ", "_") for head in heads])
    for index, place in enumerate(_places(chart)):
        cells = [
            _cell_text(cell, _plain_unit(axis.unit), _AXIS_DECIMALS)
            for cell, axis in zip(place, chart.axes, strict=True)
        ]
        for column, values in chart.columns.items():
            unit, decimals = _COLUMNS[column]
            cells.append(_cell_text(values[index], _plain_unit(unit), decimals))
        writer.writerow(cells)
    return out.getvalue()


def _places(chart: Chart) -> Iterator[tuple[Cell, ...]]:
    return itertools.product(*(axis.values for axis in chart.axes))


def _plain_unit(unit: str) -> str:
    """Return the unit without the word that says of which sort the value is."""
    return unit.removesuffix(" indicated")


def _cell_text(cell: Cell, unit: str, decimals: int) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return cell
    return f"{in_unit(cell, unit) if unit else cell:.{decimals}f}"
