"""Weighted linear least squares by orthogonal reduction, with the covariance of what is found."""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass

SINGULAR_RATIO = 1e-6  # of the smallest to the largest diagonal: below it two columns say the same thing


@dataclass(frozen=True)
class Fit:
    """What a set of observations says together.

    Attributes:
        values: The coefficients found, one a column [-].
        covariance: Their covariance, scaled by the scatter of the observations about the fit [-].
        residuals: Observed less fitted, in the order of the observations [-].
        scatter: Standard deviation of an observation of unit weight about the fit [-].
        freedom: Observations less coefficients [-].
    """

    values: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    residuals: tuple[float, ...]
    scatter: float
    freedom: int

    def error(self, index: int) -> float:
        """Return the standard error of a coefficient [-]."""
        return math.sqrt(self.covariance[index][index])

    def correlation(self, first: int, second: int) -> float:
        """Return the correlation of two coefficients, from -1 to 1 [-]; 0 where one of them has no error at all."""
        both = self.error(first) * self.error(second)
        return self.covariance[first][second] / both if both else 0.0


def least_squares(rows: Sequence[Sequence[float]], observed: Sequence[float], errors: Sequence[float]) -> Fit:
    """Return the coefficients with the least sum of squares of weighted residuals.

    Args:
        rows: What each coefficient contributes to each observation, a row an observation [-].
        observed: The observations [-].
        errors: The standard error of each, as far as it is known: only their ratios count [-].

    Returns:
        The fit, its covariance scaled by the scatter found.

    Raises:
        OutOfRangeError: There are too few observations, or two coefficients cannot be told apart by them.

    Source:
        G. H. Golub and C. F. Van Loan, Matrix Computations, section 5.3, least squares by Householder reflections (from memory).
    """
    count, width = len(rows), len(rows[0]) if rows else 0
    if count <= width:
        raise OutOfRangeError(
            f"{count} observations cannot give {width} values and their errors",
            expected=f"more than {width} observations",
        )
    scaled = [
        [value / error for value in row] + [y / error] for row, y, error in zip(rows, observed, errors, strict=True)
    ]
    _reduce(scaled, width)
    diagonal = [abs(scaled[index][index]) for index in range(width)]
    if min(diagonal) <= SINGULAR_RATIO * max(diagonal):
        raise OutOfRangeError(
            "what is asked for cannot be told apart by these observations", expected="readings of other kinds"
        )
    values = _back(scaled, [scaled[index][width] for index in range(width)], width)
    residuals = [
        y - math.fsum(a * x for a, x in zip(row, values, strict=True)) for row, y in zip(rows, observed, strict=True)
    ]
    freedom = count - width
    square = math.fsum((residual / error) ** 2 for residual, error in zip(residuals, errors, strict=True)) / freedom
    columns = [_back(scaled, [float(index == column) for index in range(width)], width) for column in range(width)]
    covariance = tuple(
        tuple(square * math.fsum(columns[k][i] * columns[k][j] for k in range(width)) for j in range(width))
        for i in range(width)
    )
    return Fit(tuple(values), covariance, tuple(residuals), math.sqrt(square), freedom)


def _reduce(table: list[list[float]], width: int) -> None:
    """Turn the first columns of a table upper triangular by reflections, the rest with them."""
    for column in range(width):
        length = math.sqrt(math.fsum(row[column] ** 2 for row in table[column:]))
        if length == 0.0:
            continue
        turned = -length if table[column][column] > 0.0 else length
        mirror = [row[column] for row in table[column:]]
        mirror[0] -= turned
        square = math.fsum(value * value for value in mirror)
        for other in range(column, len(table[0])):
            share = 2.0 * math.fsum(m * row[other] for m, row in zip(mirror, table[column:], strict=True)) / square
            for m, row in zip(mirror, table[column:], strict=True):
                row[other] -= share * m


def _back(table: Sequence[Sequence[float]], right: Sequence[float], width: int) -> list[float]:
    """Return the solution of the triangle for a right side."""
    found = [0.0] * width
    for index in reversed(range(width)):
        known = math.fsum(table[index][other] * found[other] for other in range(index + 1, width))
        found[index] = (right[index] - known) / table[index][index]
    return found
