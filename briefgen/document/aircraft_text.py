"""The sheet of an aircraft as plain text for the terminal."""

from __future__ import annotations

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
        cells = [_cell_text(row[index], column, density_kg_per_m3) for row in table.rows]
        right = any(isinstance(row[index], float) for row in table.rows)
        width = max(map(len, (column.label, column.unit, *cells)))
        lines = (column.label, column.unit, "-" * width, *cells)
        columns.append([line.rjust(width) if right else line.ljust(width) for line in lines])
    lines_out = ["  ".join(parts).rstrip() for parts in zip(*columns, strict=True)]
    return "\n".join([f"{table.title} ({table.note})", *lines_out])


def _cell_text(cell: float | str | None, column: SheetColumn, density_kg_per_m3: float) -> str:
    if cell is None:
        return _NO_ANSWER
    if isinstance(cell, str):
        return cell
    density = density_kg_per_m3 if column.of_fuel else None
    value = in_unit(cell, column.unit, density_kg_per_m3=density) if column.unit else cell
    return f"{value:,.{column.digits}f}"
