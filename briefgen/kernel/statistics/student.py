"""Student's distribution: how far a mean of few observations may lie from the truth."""

from __future__ import annotations

import math
from functools import lru_cache

from briefgen.errors import OutOfRangeError

STEPS = 400  # of the integral; its error is below 1e-9 for the intervals used here
HALVINGS = 60


@lru_cache(maxsize=64)
def student_quantile(probability: float, freedom: int) -> float:
    """Return the value that a variable of Student's distribution stays below with a probability.

    Args:
        probability: The probability, from 0.5 to below 1 [-].
        freedom: The degrees of freedom, at least 1 [-].

    Returns:
        The quantile [-].

    Raises:
        OutOfRangeError: The probability or the degrees of freedom lie outside.

    Source:
        Student, The probable error of a mean, Biometrika 6 (1908) 1-25 (from memory); the integral of the density in the
        angle whose tangent is t over the root of the degrees of freedom, by Simpson's rule, and the quantile by halving.
    """
    if not 0.5 <= probability < 1.0 or freedom < 1:
        raise OutOfRangeError(
            f"no quantile at probability {probability} with {freedom} degrees of freedom",
            expected="a probability from 0.5 to below 1 and at least one degree of freedom",
        )
    low, high = 0.0, 0.5 * math.pi
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if 0.5 + _mass(middle, freedom) < probability:
            low = middle
        else:
            high = middle
    return math.sqrt(freedom) * math.tan(0.5 * (low + high))


def _mass(angle: float, freedom: int) -> float:
    """Return the probability between 0 and the root of the freedom times the tangent of an angle [rad]."""
    head = math.exp(math.lgamma(0.5 * (freedom + 1)) - math.lgamma(0.5 * freedom)) / math.sqrt(math.pi)
    step = angle / STEPS
    values = (
        (1.0 if index in (0, STEPS) else 4.0 if index % 2 else 2.0) * math.cos(index * step) ** (freedom - 1)
        for index in range(STEPS + 1)
    )
    return head * step / 3.0 * math.fsum(values)
