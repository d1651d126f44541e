"""Reading charts: linear interpolation inside a grid or along a curve, and the root of a function inside a bracket.

Nothing is ever read outside a chart. Values keep the unit their chart names: a chart is read in its author's units, so
that an error speaks of the chart as printed.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import field
from itertools import pairwise
from typing import NamedTuple

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.kernel.limits import number_text, quantity_text

# A value converted between units may miss the end of an axis by a few units in the last place; that counts as the end.
_ROUND_OFF = 1e-9
OURS = ("m/s", "K", "Pa")  # of curves of our own in SI units; nobody prints a chart in them, and nobody is told in them


@dataclass(frozen=True)
class Axis:
    """One axis of a chart: its name, its unit and at least one value, strictly increasing."""

    name: str
    unit: str
    values: tuple[float, ...]

    def __post_init__(self) -> None:
        if not self.values:
            raise ValueError(f"axis {self.name} has no values")
        if not all(low < high for low, high in pairwise(self.values)):
            raise ValueError(f"the values of axis {self.name} do not increase")

    def place(self, value: float) -> tuple[int, float]:
        """Return the cell a value lies in, as the index of its lower edge and the fraction across it [-].

        Raises:
            OutOfRangeError: The value lies outside the axis by more than round-off.
        """
        values = self.values
        index = bisect_right(values, value)
        if 0 < index < len(values):
            low = values[index - 1]
            return index - 1, (value - low) / (values[index] - low)
        return self._place_at_an_end(value)

    def _place_at_an_end(self, value: float) -> tuple[int, float]:
        first, last = self.values[0], self.values[-1]
        slack = _ROUND_OFF * max(abs(first), abs(last))
        if last <= value <= last + slack:
            return (len(self.values) - 2, 1.0) if len(self.values) > 1 else (0, 0.0)
        if first - slack <= value <= first:
            return 0, 0.0
        raise OutOfRangeError(
            f"{self.name} {self.text(value)} is outside the chart",
            expected=f"{self.name} from {self.text(first)} to {self.text(last)}"
            if self.unit in OURS
            else f"{self.name} from {number_text(first)} to {self.text(last)}",
        )

    def text(self, value: float) -> str:
        """Return a value with the unit of the axis, for a message."""
        return quantity_text(value, self.unit) if self.unit in OURS else f"{number_text(value)} {self.unit}".rstrip()


class Cell(NamedTuple):
    """Where a point lies in a grid: the position of its lowest corner, the fraction across the cell along each axis, and itself."""

    base: int
    fractions: list[float]
    coordinates: dict[str, float]


@dataclass(frozen=True)
class Grid:
    """A chart as a rectangular grid, read by linear interpolation along each axis in turn.

    Attributes:
        name: What the chart gives, for messages.
        unit: The unit of its values.
        axes: The axes, outermost first.
        values: The values, the last axis varying fastest; None where the chart has none.

    Source:
        Multilinear interpolation, first principles.
    """

    name: str
    unit: str
    axes: tuple[Axis, ...]
    values: tuple[float | None, ...]
    _axes_and_steps: tuple[tuple[Axis, int], ...] = field(init=False, repr=False, compare=False)
    _corners: tuple[int, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        steps: list[int] = []
        size = 1
        for axis in reversed(self.axes):
            steps.insert(0, size)
            size *= len(axis.values)
        if size != len(self.values):
            raise ValueError(f"chart {self.name} needs {size} values, got {len(self.values)}")
        corners = [0]
        for axis, step in zip(self.axes, steps, strict=True):
            reach = step if len(axis.values) > 1 else 0
            corners = [corner + offset for corner in corners for offset in (0, reach)]
        object.__setattr__(self, "_axes_and_steps", tuple(zip(self.axes, steps, strict=True)))
        object.__setattr__(self, "_corners", tuple(corners))

    def at(self, **coordinates: float) -> float:
        """Return the value at a point inside the chart, one coordinate for each axis by name.

        A point on a line of the grid needs no value beside that line.

        Raises:
            OutOfRangeError: A coordinate lies outside its axis by more than round-off, or a value the
                interpolation needs is missing.
        """
        return self.in_cell(self.cell(**coordinates))

    def cell(self, **coordinates: float) -> Cell:
        """Return where a point lies, for `in_cell` of this grid and of any other with the same axes.

        Raises:
            OutOfRangeError: A coordinate lies outside its axis by more than round-off.
        """
        base = 0
        fractions = []
        try:
            for axis, step in self._axes_and_steps:
                index, fraction = axis.place(coordinates[axis.name])
                base += index * step
                fractions.append(fraction)
        except KeyError as missing:
            raise TypeError(f"chart {self.name} needs the coordinate {missing}") from None
        if len(coordinates) != len(fractions):
            raise TypeError(f"chart {self.name} has the axes {[axis.name for axis in self.axes]}, got {[*coordinates]}")
        return Cell(base, fractions, coordinates)

    def in_cell(self, cell: Cell) -> float:
        """Return the value at a point found before, as `at`."""
        values, base = self.values, cell.base
        level = [values[base + corner] for corner in self._corners]
        try:
            for fraction in reversed(cell.fractions):
                pairs = iter(level)
                level = [low + (high - low) * fraction for low, high in zip(pairs, pairs, strict=True)]  # type: ignore[operator]
        except TypeError:
            return self._with_missing_neighbours(cell)
        return level[0]  # type: ignore[return-value]

    def along(self, axis_name: str, **coordinates: float) -> tuple[float | None, ...]:
        """Return the values on each line of one axis, at a point of the others; the coordinate on that axis does not count.

        What `at` gives on each line, None where it has no value there: the cell of the other axes is looked for once.

        Raises:
            OutOfRangeError: A coordinate lies outside its axis by more than round-off.
        """
        along, along_step = next(pair for pair in self._axes_and_steps if pair[0].name == axis_name)
        base, fractions, _ = self.cell(**{**coordinates, axis_name: along.values[0]})
        corners, across = [0], []
        for (axis, step), fraction in zip(self._axes_and_steps, fractions, strict=True):
            if axis is not along:
                reach = step if len(axis.values) > 1 else 0
                corners = [corner + offset for corner in corners for offset in (0, reach)]
                across.append(fraction)
        across.reverse()
        found: list[float | None] = []
        for number, line in enumerate(along.values):
            level = [self.values[base + number * along_step + corner] for corner in corners]
            if None in level:
                found.append(self._over_corners(self.cell(**{**coordinates, axis_name: line}))[0])
                continue
            for fraction in across:
                level = [low + (high - low) * fraction for low, high in zip(level[::2], level[1::2], strict=True)]  # type: ignore[operator]
            found.append(level[0])
        return tuple(found)

    def corners(self, cell: Cell) -> tuple[tuple[int, float], ...]:
        """Return the grid points that bear on a point found before, each as its position in `values` and its weight above zero [-]."""
        weighted = [(cell.base, 1.0)]
        for (_, step), fraction in zip(self._axes_and_steps, cell.fractions, strict=True):
            weighted = [
                (index + offset, weight * share)
                for index, weight in weighted
                for offset, share in ((0, 1.0 - fraction), (step, fraction))
                if share > 0.0
            ]
        return tuple(weighted)

    def coordinates_of(self, position: int) -> dict[str, float]:
        """Return the coordinates of a grid point, by axis name, from its position in `values`."""
        return {axis.name: axis.values[position // step % len(axis.values)] for axis, step in self._axes_and_steps}

    def _over_corners(self, cell: Cell) -> tuple[float | None, int]:
        """Return the value at a point beside empty ones that do not bear on it; None and the empty one where one does."""
        total = 0.0
        for position, weight in self.corners(cell):
            value = self.values[position]
            if value is None:
                return None, position
            total += weight * value
        return total, -1

    def _with_missing_neighbours(self, cell: Cell) -> float:
        total, empty = self._over_corners(cell)
        if total is None:
            raise OutOfRangeError(
                f"no value in the chart {self.name} next to {self._point_text(cell.coordinates)}",
                expected="a point between grid points that all have a value",
                hint=f"the chart is empty at {self._point_text(self.coordinates_of(empty))}",
            )
        return total

    def _point_text(self, coordinates: dict[str, float]) -> str:
        return ", ".join(f"{axis.name} {axis.text(coordinates[axis.name])}" for axis in self.axes)


@dataclass(frozen=True)
class Curve:
    """A relation between two quantities as points joined by straight lines.

    Attributes:
        x: The independent quantity, strictly increasing.
        y_name: What the curve gives, for messages.
        y_unit: The unit of that.
        y: Its values, one for each value of x.

    Source:
        Linear interpolation, first principles.
    """

    x: Axis
    y_name: str
    y_unit: str
    y: tuple[float, ...]
    _inverse: Curve | None = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if len(self.y) != len(self.x.values):
            raise ValueError(f"curve {self.y_name} needs {len(self.x.values)} values, got {len(self.y)}")
        object.__setattr__(self, "_inverse", None)

    def at(self, x: float) -> float:
        """Return the value of the curve at a value of its independent quantity.

        Raises:
            OutOfRangeError: The value lies outside the curve by more than round-off.
        """
        axis = self.x.values
        above = bisect_right(axis, x)
        if 0 < above < len(axis):  # as `Axis.place`, without the call: curves are read more often than anything else
            index, start = above - 1, axis[above - 1]
            fraction = (x - start) / (axis[above] - start)
        else:
            index, fraction = self.x.place(x)
        low = self.y[index]
        if fraction == 0.0:
            return low
        return low + (self.y[index + 1] - low) * fraction

    def inverse_at(self, y: float) -> float:
        """Return where the curve has a value.

        Raises:
            OutOfRangeError: The curve does not have that value.
            ValueError: The curve neither rises nor falls throughout, so the answer is not one place.
        """
        if self._inverse is None:
            object.__setattr__(self, "_inverse", self._turned())
        assert self._inverse is not None
        return self._inverse.at(y)

    def _turned(self) -> Curve:
        rising = self.y[0] < self.y[-1]
        x, y = (self.x.values, self.y) if rising else (self.x.values[::-1], self.y[::-1])
        return Curve(Axis(self.y_name, self.y_unit, y), self.x.name, self.x.unit, x)


def root(
    function: Callable[[float], float],
    low: float,
    high: float,
    tolerance: float,
    *,
    quantity: str = "function",
    ends: tuple[float, float] | None = None,
) -> float:
    """Return where a continuous function crosses zero between two bounds of opposite sign.

    Args:
        function: The function; called about ten times for a smooth one.
        low: One end of the bracket, in the caller's unit [-].
        high: The other end [-].
        tolerance: The answer lies within this of the crossing, in the same unit [-].
        quantity: What is being made zero, for the message.
        ends: Its values at low and high where the caller knows them [-].

    Returns:
        The place of the crossing, in the caller's unit [-].

    Raises:
        OutOfRangeError: The function has the same sign at both ends.

    Source:
        T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145-149: bisection, or inverse quadratic
        interpolation where that is certain to help.
    """
    if tolerance <= 0.0:
        raise ValueError(f"a root needs a tolerance above zero, got {tolerance}")
    newest, other = low, high
    f_newest, f_other = (function(newest), function(other)) if ends is None else ends
    if f_newest == 0.0:
        return newest
    if not f_newest * f_other <= 0.0:
        raise OutOfRangeError(
            f"{quantity} does not cross zero between {number_text(low)} and {number_text(high)}",
            expected=f"values of opposite sign at the two ends, got {number_text(f_newest)} and {number_text(f_other)}",
        )
    fraction = 0.5
    while True:
        trial = newest + fraction * (other - newest)
        f_trial = function(trial)
        if (f_trial > 0.0) == (f_newest > 0.0):
            oldest, f_oldest = newest, f_newest
        else:
            oldest, f_oldest = other, f_other
            other, f_other = newest, f_newest
        newest, f_newest = trial, f_trial
        best = newest if abs(f_newest) < abs(f_other) else other
        width = abs(other - newest)
        if f_newest == 0.0 or width <= 2.0 * tolerance:
            return best
        fraction = _next_fraction(newest, f_newest, other, f_other, oldest, f_oldest)
        least = tolerance / width
        fraction = min(1.0 - least, max(least, fraction))


def _next_fraction(a: float, f_a: float, b: float, f_b: float, c: float, f_c: float) -> float:
    """Return how far from a towards b to look next: inverse quadratic interpolation where it is safe, else half way."""
    xi = (a - b) / (c - b)
    phi = (f_a - f_b) / (f_c - f_b)
    if not (phi * phi < xi and (1.0 - phi) ** 2 < 1.0 - xi):
        return 0.5
    return (f_a / (f_b - f_a)) * (f_c / (f_b - f_c)) + ((c - a) / (b - a)) * (f_a / (f_c - f_a)) * (f_b / (f_c - f_b))
