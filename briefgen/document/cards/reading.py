"""Tables and figures of the plan as lines of a card, named by the objects that declare them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from briefgen.document.cards.blocks import Cell, Col, Grid, Line, Row, Size
from briefgen.document.parts.assemble import Source
from briefgen.document.parts.format import is_direction, unit_mark, with_unit
from briefgen.document.parts.moments import instant
from briefgen.model.ledger import Column, Table
from briefgen.model.ledger import Row as PlanRow
from briefgen.model.record import Figure
from briefgen.model.tables import FAMILY, ColumnOf, TableOf, asked_of

NO_FIGURE = "—"  # a figure that should be there and is not
EMPTY = Cell()


@dataclass(frozen=True)
class TableRow:
    """One row of a table of the plan, read by column."""

    source: Source
    row: PlanRow
    units: Mapping[str, str] = field(default_factory=dict)  # of the columns, as the plan has them

    def has(self, column: ColumnOf) -> bool:
        """Return whether the row has an entry in a column."""
        return column.name in self.row.cells

    def key(self, column: ColumnOf) -> str:
        """Return the key of the entry in a column, empty where there is none."""
        return self.row.cells.get(column.name, "")

    def beside(self, column: ColumnOf, figure: Figure[Any, Any]) -> str:
        """Return the key of another figure of the record whose figure stands in a column, empty where there is none."""
        key = f"{self.key(column).rpartition('.')[0]}.{figure.name}"
        return key if self.has(column) and key in self.source.printed else ""

    def line(
        self, column: ColumnOf, size: Size = "act", *, bold: bool = False, limit: bool = False, missing: str = ""
    ) -> Line:
        """Return the figure in a column as a line, without its unit where the column has that unit."""
        key = self.key(column)
        if not key:
            return Line(missing, size, bold)
        return Line(figure_in(self.source, key, self.units.get(column.name, column.unit)), size, bold, key, limit=limit)

    def figure(self, column: ColumnOf) -> str:
        """Return the figure in a column without its unit, empty where there is none."""
        key = self.key(column)
        return self.source.printed[key] if key else ""

    def phase(self, column: ColumnOf) -> str:
        """Return the phase whose figure stands in a column, as its key names it; empty where it names none."""
        parts = self.key(column).split(".")
        return parts[1] if len(parts) > 2 else ""

    def text(self, column: ColumnOf) -> str:
        """Return the figure in a column with its unit, empty where there is none."""
        key = self.key(column)
        return self.source.printed.quoted(key) if key else ""


def figure_in(source: Source, key: str, unit: str) -> str:
    """Return the printed figure of an entry; with its unit unless its column is headed by that."""
    entry, figure = source.plan.ledger[key], source.printed[key]
    plain = isinstance(entry.value, str) or is_direction(entry) or (unit and entry.unit == unit)
    return figure if plain else with_unit(entry, figure)


def rows_of(source: Source, table: TableOf, which: str = "") -> list[TableRow]:
    """Return the rows of a declared table; none where the plan has no such table."""
    found = source.plan.tables.get(table.name.replace(FAMILY, which))
    return table_rows(source, found) if found else []


def table_rows(source: Source, found: Table) -> list[TableRow]:
    """Return the rows of a table of the plan."""
    units = {column.name: column.unit for column in found.columns}
    return [TableRow(source, row, units) for row in found.rows]


def families(source: Source, table: TableOf) -> Iterator[Table]:
    """Yield the tables of one family."""
    for found in source.plan.tables.values():
        if found.family == table.name:
            yield found


def entry_line(
    source: Source, key: str, size: Size = "act", *, bold: bool = False, quoted: bool = True, limit: bool = False
) -> Line | None:
    """Return an entry as a line with its unit; None where the plan has none of that key."""
    if key not in source.printed:
        return None
    text = source.printed.quoted(key) if quoted else source.printed[key]
    return Line(text, size, bold, key, limit=limit)


def figure_line(
    source: Source,
    figure: Figure[Any, Any],
    size: Size = "act",
    *,
    bold: bool = False,
    quoted: bool = True,
    limit: bool = False,
) -> Line | None:
    """Return a figure of which a plan has one as a line."""
    return entry_line(source, figure.key, size, bold=bold, quoted=quoted, limit=limit)


def unit_of(source: Source, column: ColumnOf, rows: Sequence[TableRow]) -> str:
    """Return the unit a column is printed in."""
    key = next((row.key(column) for row in rows if row.has(column)), "")
    return unit_mark(source.plan.ledger[key].unit) if key else unit_mark(column.unit)


def instant_at(source: Source, key: str) -> datetime:
    """Return the instant of a time entry."""
    return instant(source.plan, key)


def number_at(source: Source, key: str) -> float | None:
    """Return the value of an entry in SI, None where there is none or it is a word."""
    value = source.plan.ledger[key].value if key in source.plan.ledger else None
    return value if isinstance(value, float) else None


def big_row(*items: tuple[str, Line | None, str]) -> Grid | None:
    """Return a few figures beside each other, each under its name and over a remark; those there are."""
    there = [(name, line, under) for name, line, under in items if line is not None and line.text]
    if not there:
        return None
    cells = tuple(
        Cell((Line(name, "small"), line, *((Line(under, "small"),) if under else ()))) for name, line, under in there
    )
    return Grid("", "", tuple(Col(part=1.0 / len(there)) for _ in there), (Row(cells),), pad=1.0)


def plain_table(
    source: Source, found: Table, *, size: Size = "small", most: int = 0, columns: Sequence[str] = ()
) -> Grid | None:
    """Return a table of the plan as it stands, for the reference pack."""
    wanted = [c for c in found.columns if not columns or c.name in asked_of(columns)]
    shown = [c for c in wanted if any(row.cells.get(c.name) for row in found.rows)]
    if not shown or not found.rows:
        return None
    rows = found.rows[:most] if most else found.rows
    words = [
        any(isinstance(source.plan.ledger[row.cells[c.name]].value, str) for row in rows if c.name in row.cells)
        for c in shown
    ]
    cols = tuple(_col(column, word) for column, word in zip(shown, words, strict=True))
    named = [] if words[0] else [Col(("",))]
    made = []
    for row in rows:
        cells = [Cell((Line(source.printed.text(row.name), size),))] if named else []
        cells += [_cell(source, row, column, size) for column in shown]
        made.append(Row(tuple(cells), header=True))
    return Grid(
        source.printed.text(found.title),
        source.printed.text(found.note),
        (*named, *cols),
        tuple(made),
        pad=1.2,
        name=found.name,
    )


def _col(column: Column, words: bool) -> Col:
    mark = unit_mark(column.unit)
    heads = tuple(dict.fromkeys(filter(None, (column.head, mark if mark.lower() != column.head.lower() else ""))))
    return Col(heads or ("",), "left" if words else "right")


def _cell(source: Source, row: PlanRow, column: Column, size: Size) -> Cell:
    key = row.cells.get(column.name, "")
    return Cell((Line(figure_in(source, key, column.unit), size, key=key),)) if key else EMPTY
