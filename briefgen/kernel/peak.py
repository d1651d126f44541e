"""The top of a smooth hill, such as the best rate of climb over speed."""

from __future__ import annotations

import math
from collections.abc import Callable

_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0


def peak(function: Callable[[float], float], low: float, high: float, tolerance: float) -> float:
    """Return where a function with one hill between two bounds is highest; a bound itself when it only rises or falls.

    Args:
        function: The function; called once for every factor of 0.618 from the width of the bounds to the tolerance.
        low: Lower bound, in the caller's unit [-].
        high: Upper bound [-].
        tolerance: The answer lies within this of the top, in the same unit [-].

    Returns:
        The place of the top, in the caller's unit [-].

    Source:
        J. Kiefer, Proceedings of the American Mathematical Society 4 (1953) 502-506: golden section.
    """
    if not low < high or tolerance <= 0.0:
        raise ValueError(f"no peak to look for between {low} and {high} to within {tolerance}")
    first, last = low, high
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    value_left, value_right = function(left), function(right)
    while high - low > 2.0 * tolerance:
        if value_left >= value_right:
            high, right, value_right = right, left, value_left
            left = high - _GOLDEN * (high - low)
            value_left = function(left)
        else:
            low, left, value_left = left, right, value_right
            right = low + _GOLDEN * (high - low)
            value_right = function(right)
    inner, value = (left, value_left) if value_left >= value_right else (right, value_right)
    for bound in (low, high):
        if bound in (first, last) and function(bound) >= value:  # the search has run up to a bound: a slope, not a hill
            return bound
    return inner
