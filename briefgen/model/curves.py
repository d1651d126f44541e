"""Tables as an aircraft file gives them: one-dimensional curves and many-dimensional charts, in SI units."""

from __future__ import annotations

from briefgen.frozen import dataclass


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
    """One axis of a chart: its ascending SI values, or its words, and the unit in which the chart prints it."""

    name: str
    unit: str  # for messages; "" for an axis of words
    values: tuple[float, ...] | tuple[str, ...]


@dataclass(frozen=True)
class Chart:
    """A chart with axes and one or more value columns.

    Cells stand row-major, last axis fastest; a cell is an SI number, a word (such as the mixture) or None where the
    chart has no answer. Between cells a number is linear; outside the axes and next to None there is no answer.
    """

    name: str
    source: str
    conditions: str
    axes: tuple[ChartAxis, ...]
    columns: dict[str, tuple[float | str | None, ...]]
