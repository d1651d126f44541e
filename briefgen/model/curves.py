"""Tables as an aircraft file gives them: one-dimensional curves and many-dimensional charts, in SI units."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Curve:
    """A table of one value against one ascending argument; between rows it is linear, outside it has no value.

    Written in the file as `columns: {name: unit, name: unit}` and `rows: [[argument, value], ...]`; both columns are SI
    here. `argument` and `value` keep the column names for messages.
    """

    argument: str
    value: str
    x: tuple[float, ...]
    y: tuple[float, ...]


@dataclass(frozen=True)
class ChartAxis:
    """One axis of a chart as printed: its unit, ascending values (or words), and the SI value of one printed unit."""

    name: str
    unit: str  # "" for an axis of words
    si_per_unit: float
    values: tuple[float, ...] | tuple[str, ...]


@dataclass(frozen=True)
class ChartColumn:
    """One value of a chart as printed, cell by cell; None where the chart has no answer."""

    name: str
    unit: str  # "" for a column of words
    si_per_unit: float  # of a volume flow: m3/s; the fuel grade's density makes it a mass flow
    cells: tuple[float | str | None, ...]


@dataclass(frozen=True)
class Chart:
    """A chart with axes and one or more columns; cells stand row-major, the last axis fastest.

    Between cells a number is linear; outside the axes and next to None there is no answer.
    """

    name: str
    source: str
    conditions: str
    axes: tuple[ChartAxis, ...]
    columns: dict[str, ChartColumn]
