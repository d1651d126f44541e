"""When a heavenly body passes a height: a search that also finds the short days and nights of high latitudes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from itertools import pairwise

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.kernel.interpolate import root

LONGEST_SPAN = timedelta(days=3)
_DAY = timedelta(days=1)
_STEP_DAYS = 1.0 / 24.0  # over two steps a height is nearly a parabola, so that its turning point is found
_TOLERANCE_DAYS = 1e-6  # 0.1 s


class Presence(StrEnum):
    """Whether a body crosses a height in a span of time, or stays on one side of it."""

    CROSSES = "crosses"
    ALWAYS_ABOVE = "always above"
    ALWAYS_BELOW = "always below"


@dataclass(frozen=True)
class Crossings:
    """When a body passes a height in a span of time.

    Attributes:
        rises: When it passes upwards, in order, UTC; often one, at times none or two in a day.
        sets: When it passes downwards, in order, UTC.
        presence: Whether it crosses at all, and on which side it stays if not.
    """

    rises: tuple[datetime, ...]
    sets: tuple[datetime, ...]
    presence: Presence


def crossings(height: Callable[[float], float], start: datetime, end: datetime) -> Crossings:
    """Return when a smooth height passes zero, from one instant up to another.

    Args:
        height: Height over the level in question, from the days since the start; called a little beyond both ends.
        start: Beginning of the span, timezone-aware.
        end: End of the span, which is not part of it, timezone-aware; at most three days later.

    Returns:
        The crossings.

    Raises:
        OutOfRangeError: The span is empty, runs backwards or is longer than three days.

    Source:
        Own search: sign changes of samples, and of the vertex of a parabola through three of them at a turning point.
    """
    if not timedelta() < end - start <= LONGEST_SPAN:
        raise OutOfRangeError(
            f"a span of {(end - start) / _DAY * 24.0:,.1f} hours is out of range", expected="above 0, up to 72 hours"
        )
    span_days = (end - start) / _DAY
    points = _with_turning_points(height, span_days)
    rises: list[datetime] = []
    sets: list[datetime] = []
    for (t_low, h_low), (t_high, h_high) in pairwise(points):
        if (h_low >= 0.0) == (h_high >= 0.0):
            continue
        t_days = root(height, t_low, t_high, _TOLERANCE_DAYS, quantity="height of the body")
        if 0.0 <= t_days < span_days:
            (rises if h_high >= 0.0 else sets).append((start + timedelta(days=t_days)).astimezone(UTC))
    if rises or sets:
        return Crossings(tuple(rises), tuple(sets), Presence.CROSSES)
    return Crossings((), (), Presence.ALWAYS_ABOVE if height(0.0) >= 0.0 else Presence.ALWAYS_BELOW)


def _with_turning_points(height: Callable[[float], float], span_days: float) -> list[tuple[float, float]]:
    """Return samples from a step before the span to a step after it, with a point at each turn of the height."""
    count = int(span_days / _STEP_DAYS) + 4
    times = [(index - 1) * _STEP_DAYS for index in range(count)]
    heights = [height(time) for time in times]
    points = list(zip(times, heights, strict=True))
    for index in range(1, count - 1):
        before, here, after = heights[index - 1 : index + 2]
        if (here - before) * (after - here) < 0.0:
            vertex = times[index] + 0.5 * _STEP_DAYS * (before - after) / (before - 2.0 * here + after)
            points.append((vertex, height(vertex)))
    return sorted(points)
