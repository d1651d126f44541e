"""The sheets of an aircraft as one static page with its drawings."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.document.aircraft_text import cell_text
from briefgen.document.drawings.charts import xy_chart
from briefgen.document.parts import templates
from briefgen.document.parts.blocks import Block, Cell, ChartBlock, Head, TableBlock, TableRow
from briefgen.document.parts.svg import Frame
from briefgen.document.site import Files, style_files
from briefgen.model.sheet import AircraftSheet, SheetTable

WIDTH, HEIGHT, TYPE_SIZE = 960.0, 460.0, 15.0
CAUTION = "Planning aid. Not a substitute for the approved flight manual; the captain decides."


def aircraft_files(sheets: Sequence[AircraftSheet]) -> Files:
    """Return the page of an aircraft, one part for each fuel grade, and what it is drawn with, by path."""
    parts = [(sheet.fuel_grade, f"grade-{number}", _blocks(sheet, number)) for number, sheet in enumerate(sheets, 1)]
    page = templates.rendered(
        "aircraft.html", name="index", title=sheets[0].aircraft, kind=sheets[0].kind, source=sheets[0].source, parts=parts,
        caution=CAUTION, root="",
    )  # fmt: skip
    return {"index.html": page.encode(), **style_files()}


def _blocks(sheet: AircraftSheet, number: int) -> list[Block]:
    """Return the drawings of a sheet, then its tables."""
    blocks: list[Block] = []
    for chart in sheet.charts:
        drawing = xy_chart(chart, None, Frame(WIDTH, HEIGHT, TYPE_SIZE, f"chart-{number}-{chart.name}"))
        if drawing:
            blocks.append(ChartBlock(drawing.title, drawing, chart.name))
    return [*blocks, *(_table(table, sheet) for table in sheet.tables)]


def _table(table: SheetTable, sheet: AircraftSheet) -> TableBlock:
    words = [any(isinstance(row[index], str) for row in table.rows) for index in range(len(table.columns))]
    heads = tuple(
        Head(column.label, column.unit, "left" if is_word else "right")
        for column, is_word in zip(table.columns, words, strict=True)
    )
    rows = tuple(
        TableRow(
            tuple(
                Cell(cell_text(cell, column, sheet.fuel_density_kg_per_m3))
                for cell, column in zip(row, table.columns, strict=True)
            )
        )
        for row in table.rows
    )
    return TableBlock(table.title, heads, rows, table.note, table.title)
