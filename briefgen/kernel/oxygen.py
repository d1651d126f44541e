"""Oxygen used along a history of cabin altitude."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from briefgen.errors import OutOfRangeError
from briefgen.kernel.limits import quantity_text


def oxygen_used(
    times_s: Sequence[float],
    altitudes_m: Sequence[float],
    table_altitudes_m: Sequence[float],
    table_flows_per_s: Sequence[float],
) -> float:
    """Return the oxygen a flow by cabin altitude takes along a history of cabin altitude.

    The altitude changes evenly between the times given and the flow is straight between the altitudes of its table;
    of that the integral is exact: every step of the table a climb or descent crosses counts, not its two ends.

    Args:
        times_s: Times, ascending [s].
        altitudes_m: Cabin pressure altitude at each of them [m].
        table_altitudes_m: Altitudes of the flow table, ascending; below the first no oxygen is used [m].
        table_flows_per_s: Flow at each of them, of all who use it, in the unit of the result [1/s].

    Returns:
        Quantity used, in the unit of the flow times seconds [-].

    Raises:
        OutOfRangeError: An altitude lies above the table.

    Source:
        First principles; US Army TM 1-1510-225-10, table 2-5 note, averages a descent over every step of its table and
        says that its two ends give a wrong answer.
    """
    highest_m = max(altitudes_m, default=-math.inf)
    if highest_m > table_altitudes_m[-1]:
        raise OutOfRangeError(
            f"cabin altitude {quantity_text(highest_m, 'm')} is above the table of oxygen flow",
            expected=f"at most {quantity_text(table_altitudes_m[-1], 'm')}",
        )
    legs = zip(pairwise(times_s), pairwise(altitudes_m), strict=True)
    return math.fsum(
        (end - start) * _mean_flow(low, high, table_altitudes_m, table_flows_per_s)
        for (start, end), (low, high) in legs
    )


def _mean_flow(
    from_m: float, to_m: float, table_altitudes_m: Sequence[float], table_flows_per_s: Sequence[float]
) -> float:
    """Return the mean flow over an even change of altitude."""
    low, high = min(from_m, to_m), max(from_m, to_m)
    steps = list(zip(pairwise(table_altitudes_m), pairwise(table_flows_per_s), strict=True))
    if low == high:
        return next((_between(low, *step) for step in steps if step[0][0] <= low <= step[0][1]), 0.0)
    total = 0.0
    for altitudes, flows in steps:
        bottom, top = max(low, altitudes[0]), min(high, altitudes[1])
        if bottom < top:
            total += (top - bottom) * _between(0.5 * (bottom + top), altitudes, flows)
    return total / (high - low)


def _between(altitude_m: float, altitudes_m: tuple[float, float], flows_per_s: tuple[float, float]) -> float:
    share = (altitude_m - altitudes_m[0]) / (altitudes_m[1] - altitudes_m[0])
    return flows_per_s[0] + (flows_per_s[1] - flows_per_s[0]) * share
