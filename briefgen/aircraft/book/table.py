"""Reading a chart of an aircraft file: numbers between its lines, words only where they agree, nothing outside."""

from __future__ import annotations

import itertools
from collections.abc import Iterable

from briefgen.aircraft.words import PRINTED_UNITS
from briefgen.errors import OutOfRangeError
from briefgen.kernel.interpolate import Axis, Cell, Grid
from briefgen.model.curves import Chart, ChartAxis

Words = tuple[str, ...]


class ChartTable:
    """One chart, its word axes chosen by equality and its number axes interpolated.

    Axes are read in the unit in which the chart prints them, so that a refusal speaks of the chart as printed; columns
    stay in SI.
    """

    def __init__(self, chart: Chart) -> None:
        self.chart = chart
        self._word_axes = [axis for axis in chart.axes if isinstance(axis.values[0], str)]
        number_axes = [axis for axis in chart.axes if not isinstance(axis.values[0], str)]
        self._scales = {axis.name: _scale(chart.name, axis) for axis in number_axes}
        self._axes = tuple(
            Axis(
                axis.name,
                axis.unit.partition(" ")[0],
                tuple(float(value) / self._scales[axis.name] for value in axis.values),
            )
            for axis in number_axes
        )
        self._columns = {name: self._split(cells) for name, cells in chart.columns.items()}
        self._grids: dict[tuple[str, Words], Grid] = {}
        self._last: tuple[dict[str, float], Cell] | None = None

    @property
    def axis_names(self) -> tuple[str, ...]:
        """Names of all axes, as the chart orders them."""
        return tuple(axis.name for axis in self.chart.axes)

    @property
    def column_names(self) -> tuple[str, ...]:
        """Names of the value columns."""
        return tuple(self.chart.columns)

    def words_of(self, axis_name: str) -> Words:
        """Return the words along an axis."""
        return next(tuple(str(word) for word in axis.values) for axis in self._word_axes if axis.name == axis_name)

    def si_ends(self, axis_name: str) -> tuple[float, float]:
        """Return the two ends of a number axis in SI."""
        axis = next(one for one in self._axes if one.name == axis_name)
        return axis.values[0] * self._scales[axis_name], axis.values[-1] * self._scales[axis_name]

    def si_lines(self, axis_name: str) -> tuple[float, ...]:
        """Return the lines of a number axis in SI."""
        axis = next(one for one in self._axes if one.name == axis_name)
        return tuple(value * self._scales[axis_name] for value in axis.values)

    def require_inside(self, at: dict[str, float]) -> None:
        """Raise unless a place, in SI, lies within every number axis."""
        printed = self._printed(at)
        for axis in self._axes:
            axis.place(printed[axis.name])

    def number(self, column: str, at: dict[str, float], **words: str) -> float:
        """Return a number of the chart in SI, coordinates given in SI.

        Raises:
            OutOfRangeError: The point lies outside the chart or next to a cell without an answer.
        """
        return self._grid(column, self._word_key(words)).in_cell(self._cell(at))

    def numbers_along(self, axis_name: str, column: str, at: dict[str, float]) -> tuple[float | None, ...]:
        """Return a column in SI on each line of a number axis, coordinates given in SI; None where there is no answer.

        Raises:
            OutOfRangeError: The place lies outside another axis of the chart.
        """
        return self._grid(column, self._word_key({})).along(axis_name, **self._printed(at))

    def word_corners(self, column: str, at: dict[str, float], **words: str) -> tuple[tuple[str, float, int], ...]:
        """Return the words at the chart's points around a place, each with its weight and its place in the grid.

        Raises:
            OutOfRangeError: The place lies outside the chart, or one of these points has no answer.
        """
        key = self._word_key(words)
        cells = self._columns[column][key]
        found = []
        grid = self._geometry()
        for position, weight in grid.corners(self._cell(at)):
            word = cells[position]
            if word is None:
                raise OutOfRangeError(
                    f"the chart {self.chart.name} has no answer next to {self._place_text(self._printed(at))}",
                    expected="a point between lines of the chart that all have an answer",
                    hint=f"the chart is empty at {self._place_text(grid.coordinates_of(position))}",
                )
            found.append((str(word), weight, position))
        return tuple(found)

    def number_at_corners(self, column: str, corners: Iterable[tuple[int, float]], **words: str) -> float:
        """Return the weighted mean of a column over chosen points of the grid."""
        cells = self._columns[column][self._word_key(words)]
        total = weights = 0.0
        for position, weight in corners:
            value = cells[position]
            if not isinstance(value, int | float):
                raise OutOfRangeError(f"the chart {self.chart.name} has no {column} at a point it needs")
            total += weight * value
            weights += weight
        return total / weights

    def _cell(self, at: dict[str, float]) -> Cell:
        """Return where a place lies; the columns of a chart are asked for one place one after the other."""
        if self._last is None or self._last[0] != at:
            self._last = dict(at), self._geometry().cell(**self._printed(at))
        return self._last[1]

    def _printed(self, at: dict[str, float]) -> dict[str, float]:
        return {axis.name: at[axis.name] / self._scales[axis.name] for axis in self._axes}

    def _place_text(self, printed: dict[str, float]) -> str:
        return ", ".join(f"{axis.name} {axis.text(printed[axis.name])}" for axis in self._axes)

    def _word_key(self, words: dict[str, str]) -> Words:
        key = []
        for axis in self._word_axes:
            word = words[axis.name.replace(" ", "_")]
            if word not in axis.values:
                raise OutOfRangeError(
                    f"the chart {self.chart.name} has no {axis.name} '{word}'",
                    expected=" or ".join(str(value) for value in axis.values),
                )
            key.append(word)
        return tuple(key)

    def _split(self, cells: tuple[float | str | None, ...]) -> dict[Words, tuple[float | str | None, ...]]:
        """Return a column cut into one block of number axes for each combination of words."""
        parts: dict[Words, list[float | str | None]] = {}
        places = itertools.product(*(axis.values for axis in self.chart.axes))
        for place, cell in zip(places, cells, strict=True):
            parts.setdefault(tuple(value for value in place if isinstance(value, str)), []).append(cell)
        return {key: tuple(block) for key, block in parts.items()}

    def _grid(self, column: str, key: Words) -> Grid:
        if (column, key) not in self._grids:
            cells = self._columns[column][key]
            numbers = tuple(float(cell) if isinstance(cell, int | float) else None for cell in cells)
            name = f"{self.chart.name}, {column}" + "".join(f", {word}" for word in key)
            self._grids[(column, key)] = Grid(name, "", self._axes, numbers)
        return self._grids[(column, key)]

    def _geometry(self) -> Grid:
        """Return a grid of the number axes alone, for finding points."""
        key: tuple[str, Words] = ("", ())
        if key not in self._grids:
            size = 1
            for axis in self._axes:
                size *= len(axis.values)
            self._grids[key] = Grid(self.chart.name, "", self._axes, (None,) * size)
        return self._grids[key]


def _scale(chart_name: str, axis: ChartAxis) -> float:
    """Return the SI value of one printed unit of an axis."""
    if axis.unit not in PRINTED_UNITS:
        raise OutOfRangeError(
            f"the chart {chart_name} has its axis {axis.name} in {axis.unit}",
            expected=" or ".join(filter(None, PRINTED_UNITS)),
        )
    return PRINTED_UNITS[axis.unit]
