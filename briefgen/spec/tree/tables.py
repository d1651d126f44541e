"""Tables of an aircraft file: curves and charts, whose units stand once, at the head of their columns."""

from __future__ import annotations

import csv
import itertools
import math
import re
from collections.abc import Mapping, Sequence
from typing import Any

from briefgen.errors import Fault
from briefgen.model.curves import Chart, ChartAxis, Curve
from briefgen.spec.tree.load import Document, KeyPath
from briefgen.spec.tree.shape import path_text
from briefgen.unit_tables import KINDS, UNITS
from briefgen.units import to_si, unit_spelling

_SORTS = ("indicated", "calibrated", "true", "magnetic", "pressure")
_COLUMNS_EXPECTED = "the name of each column with its unit, such as { engine speed: rpm, manifold pressure: inHg }"
_UNIT_WORDS = {"NM": ("nm", "nmi"), "%": ("percent",), "% MAC": ("percent_mac", "mac")}  # as heads of files spell them
# What a chart gives in these is an amount; heights, arms, temperatures, winds, slopes and corrections have a sign.
_NEVER_NEGATIVE = frozenset({
    "lb", "kg", "lb/h", "kg/h", "US gal/h", "imp gal/h", "L/h", "rpm", "inHg", "hPa", "bhp", "hp", "kW", "min", "h",
})  # fmt: skip
Cell = float | str | None


def column_unit(text: str) -> str | None:
    """Return the unit at the head of a column; the empty text is a number without dimension, None is no unit."""
    if text == "":
        return ""
    unit, _, sort = text.rpartition(" ")
    return unit_spelling(unit if unit and sort in _SORTS else text)


def table_faults(document: Document, path: KeyPath, data: Any, dimensions: Sequence[str | None]) -> list[Fault]:
    """Return what is wrong with a table of columns and rows; shape has been checked."""
    faults: list[Fault] = []
    columns: Mapping[str, Any] = data["columns"]
    shown = path_text(path)
    for index, (name, head) in enumerate(columns.items()):
        unit = column_unit(head) if isinstance(head, str) else None
        wanted = dimensions[index] if index < len(dimensions) else None
        if unit is None:
            hint = "write '' for a number without dimension" if head is None else ""
            problem = f"{shown}.columns.{name}: '{head if head is not None else ''}' is not a known unit"
            faults.append(document.fault((*path, "columns", name), problem, _COLUMNS_EXPECTED, hint))
        elif wanted is not None and (unit == "" or UNITS[unit].dimension != wanted):
            problem = f"{shown}.columns.{name}: '{head}' is not a unit of {wanted}"
            faults.append(document.fault((*path, "columns", name), problem, f"one of {', '.join(_units_of(wanted))}"))
    for index, row in enumerate(data["rows"]):
        faults.extend(_row_faults(document, (*path, "rows", index), row, len(columns)))
    return faults


def _units_of(dimension: str) -> list[str]:
    units = (unit for kind in KINDS.values() for unit in kind.units if UNITS[unit].dimension == dimension)
    return list(dict.fromkeys(units))


def _row_faults(document: Document, path: KeyPath, row: list[Any], width: int) -> list[Fault]:
    shown = path_text(path)
    if len(row) != width:
        return [document.fault(path, f"{shown}: the row has {len(row)} of {width} cells", "one cell for each column")]
    return [
        document.fault(
            (*path, index), f"{shown}[{index}]: '{cell}' is not a number", "a number in the unit of its column"
        )
        for index, cell in enumerate(row)
        if isinstance(cell, bool) or not isinstance(cell, int | float) or not math.isfinite(cell)
    ]


def ascending_fault(document: Document, path: KeyPath, data: Any) -> list[Fault]:
    """Return the fault of a curve whose argument does not rise from row to row."""
    rows = data["rows"]
    for index, (row, following) in enumerate(itertools.pairwise(rows)):
        if following[0] <= row[0]:
            where: KeyPath = (*path, "rows", index + 1)
            problem = f"{path_text(where)}: {following[0]} does not rise above {row[0]} of the row before"
            return [document.fault(where, problem, "rows in ascending order of the first column")]
    return []


def columns_si(data: Any) -> list[tuple[float, ...]]:
    """Return the columns of a checked table in SI."""
    units = [column_unit(head) or "" for head in data["columns"].values()]
    return [
        tuple(to_si(row[index], unit) if unit else float(row[index]) for row in data["rows"])
        for index, unit in enumerate(units)
    ]


def curve(data: Any) -> Curve:
    """Return a checked table of two columns as a curve."""
    argument, value = data["columns"]
    x, y = columns_si(data)
    return Curve(argument, value, x, y)


def chart(name: str, data: Any, rows: list[list[Cell]]) -> Chart:
    """Return a chart whose rows give every combination of its axes, each row the axes first and then the values.

    Raises:
        ValueError: The rows are not a full grid; the text says which combination is missing or given twice.
    """
    heads: dict[str, str] = {**data["axes"], **data["columns"]}
    width = len(data["axes"])
    units = [column_unit(head) or "" for head in heads.values()]
    si_rows = [[_cell_si(cell, unit) for cell, unit in zip(row, units, strict=True)] for row in rows]
    ordered = [_ordered(tuple(dict.fromkeys(row[index] for row in si_rows))) for index in range(width)]
    by_place: dict[tuple[Cell, ...], list[Cell]] = {}
    for row, written in zip(si_rows, rows, strict=True):
        place = tuple(row[:width])
        if place in by_place:
            raise ValueError(f"the row {_named(heads, written[:width])} is given twice")
        by_place[place] = row[width:]
    grid = list(itertools.product(*ordered))
    missing = len(grid) - len(by_place)
    if missing:
        raise ValueError(f"{missing} combinations of the axes have no row")
    axes = tuple(ChartAxis(axis, heads[axis], values) for axis, values in zip(data["axes"], ordered, strict=True))
    columns = {column: tuple(by_place[place][index] for place in grid) for index, column in enumerate(data["columns"])}
    return Chart(name, data["source"], data.get("conditions", ""), axes, columns)


def chart_cell_fault(row: Sequence[object], heads: Sequence[str]) -> str:
    """Return what is wrong with a row of a chart: cells are numbers, words in columns of words, or empty; or nothing."""
    if len(row) != len(heads):
        return f"a row has {len(row)} cells, the chart {len(heads)} axes and columns"
    for cell, head in zip(row, heads, strict=True):
        if isinstance(cell, bool | list | dict) or (head and isinstance(cell, str)):
            return f"'{cell}' is not a number in {head}" if head else f"'{cell}' is neither a number nor a word"
        if isinstance(cell, int | float) and cell < 0 and column_unit(head) in _NEVER_NEGATIVE:
            return f"{cell} {head} is less than nothing"
    return ""


def _cell_si(cell: Cell, unit: str) -> Cell:
    return to_si(cell, unit) if unit and isinstance(cell, int | float) else cell


def _ordered(values: tuple[Any, ...]) -> tuple[Any, ...]:
    """Return axis values in ascending order; words keep the order they were given in."""
    return values if any(isinstance(value, str) for value in values) else tuple(sorted(values))


def _named(heads: Mapping[str, str], cells: Sequence[Cell]) -> str:
    return ", ".join(f"{name} {cell}" for name, cell in zip(heads, cells, strict=False))


def csv_rows(text: str, heads: Mapping[str, str]) -> list[list[Cell]]:
    """Return the rows of a table file: comment lines begin with '#', the first other line names columns and units.

    Raises:
        ValueError: The first line names other units than the chart's axes and columns, in their order, or a row has
            another number of cells.
    """
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    table = list(csv.reader(lines))
    _require_heads(table[0] if table else [], heads)
    rows: list[list[Cell]] = []
    for number, row in enumerate(table[1:], start=1):
        if len(row) != len(heads):
            raise ValueError(f"row {number} has {len(row)} cells, the table {len(heads)} columns")
        rows.append([_cell(cell.strip()) for cell in row])
    return rows


def _require_heads(written: list[str], heads: Mapping[str, str]) -> None:
    if len(written) != len(heads):
        raise ValueError(f"the table file has {len(written)} columns, the chart {len(heads)} axes and columns")
    for head, (name, unit) in zip(written, heads.items(), strict=True):
        spelling = column_unit(unit)
        if spelling and not any(f"_{word}_" in f"_{_slug(head)}_" for word in _unit_words(spelling)):
            raise ValueError(f"the column '{head}' of the table file does not say {unit}, the unit of {name}")


def _unit_words(unit: str) -> tuple[str, ...]:
    if unit in _UNIT_WORDS:
        return _UNIT_WORDS[unit]
    return (_slug(unit.removesuffix(" diff").replace("/", " per ")),)


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")


def _cell(text: str) -> Cell:
    if text in ("", "-"):
        return None
    try:
        number = float(text)
    except ValueError:
        return text
    if not math.isfinite(number):
        raise ValueError(f"'{text}' is not a finite number")
    return number
