"""The sheet of an aircraft as plain text for the terminal and as data for machines."""

from __future__ import annotations

import json
from collections.abc import Sequence

from briefgen.model.sheet import AircraftSheet, SheetColumn, SheetTable
from briefgen.units import in_unit

_NO_ANSWER = "–"


def sheet_text(sheet: AircraftSheet) -> str:
    """Return all tables of a sheet as aligned text."""
    head = f"{sheet.aircraft}: {sheet.kind}\nfuel {sheet.fuel_grade}; source: {sheet.source}"
    return "\n\n".join([head, *(_table_text(table, sheet.fuel_density_kg_per_m3) for table in sheet.tables)]) + "\n"


def _table_text(table: SheetTable, density_kg_per_m3: float) -> str:
    columns = []
    for index, column in enumerate(table.columns):
        cells = [cell_text(row[index], column, density_kg_per_m3) for row in table.rows]
        right = any(isinstance(row[index], float) for row in table.rows)
        width = max(map(len, (column.label, column.unit, *cells)))
        lines = (column.label, column.unit, "-" * width, *cells)
        columns.append([line.rjust(width) if right else line.ljust(width) for line in lines])
    lines_out = ["  ".join(parts).rstrip() for parts in zip(*columns, strict=True)]
    return "\n".join([f"{table.title} ({table.note})", *lines_out])


def cell_text(cell: float | str | None, column: SheetColumn, density_kg_per_m3: float) -> str:
    """Return a cell as it is printed."""
    value = shown_value(cell, column, density_kg_per_m3)
    if value is None:
        return _NO_ANSWER
    return value if isinstance(value, str) else f"{value:,.{column.digits}f}"


def shown_value(cell: float | str | None, column: SheetColumn, density_kg_per_m3: float) -> float | str | None:
    """Return a number in the unit of its column, a word or None as it is."""
    if cell is None or isinstance(cell, str) or not column.unit:
        return cell
    return in_unit(cell, column.unit, density_kg_per_m3=density_kg_per_m3 if column.of_fuel else None)


def sheets_json(sheets: Sequence[AircraftSheet]) -> str:
    """Return the sheets as JSON: every table with the units of its columns, numbers in those units, null for no answer."""
    tree = [
        {
            "aircraft": sheet.aircraft,
            "kind": sheet.kind,
            "fuel_grade": sheet.fuel_grade,
            "source": sheet.source,
            "tables": [_table_tree(table, sheet.fuel_density_kg_per_m3) for table in sheet.tables],
        }
        for sheet in sheets
    ]
    return json.dumps({"sheets": tree}, indent=2, ensure_ascii=False) + "\n"


def _table_tree(table: SheetTable, density_kg_per_m3: float) -> dict[str, object]:
    return {
        "title": table.title,
        "note": table.note,
        "columns": [{"label": column.label, "unit": column.unit} for column in table.columns],
        "rows": [
            [shown_value(cell, column, density_kg_per_m3) for cell, column in zip(row, table.columns, strict=True)]
            for row in table.rows
        ],
    }
