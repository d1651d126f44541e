"""The packaged outline of the world's land, cut to the window of a chart.

Natural Earth 1:50 m land, public domain, simplified to about 2 km: for orientation, never for navigation.
`tests/builders/land_outlines.py` says how the file is made.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import lru_cache
from importlib.resources import files

Ring = list[tuple[float, float]]

HUNDREDTH = 0.01
TURN_DEG = 360.0


@lru_cache(maxsize=1)
def _rings() -> tuple[tuple[tuple[float, float, float, float], list[int]], ...]:
    """Return every ring with its bounds, coordinates still in hundredths of a degree and steps."""
    raw = json.loads(files("briefgen.document").joinpath("land.json").read_text(encoding="utf-8"))
    found = []
    for flat in raw["rings"]:
        points = _unrolled(flat)
        xs, ys = points[::2], points[1::2]
        found.append(((min(xs) * HUNDREDTH, min(ys) * HUNDREDTH, max(xs) * HUNDREDTH, max(ys) * HUNDREDTH), points))
    return tuple(found)


def _unrolled(steps: Sequence[int]) -> list[int]:
    points = list(steps)
    for i in range(2, len(points)):
        points[i] += points[i - 2]
    return points


def land_within(west: float, south: float, east: float, north: float) -> list[Ring]:
    """Return the land inside a window as rings of longitude and latitude [deg]; the window may run past 180 degrees."""
    found = []
    for (left, bottom, right, top), points in _rings():
        if top < south or bottom > north:
            continue
        for shift in (-TURN_DEG, 0.0, TURN_DEG):
            if right + shift < west or left + shift > east:
                continue
            ring = [(points[i] * HUNDREDTH + shift, points[i + 1] * HUNDREDTH) for i in range(0, len(points), 2)]
            cut = _cut(ring, west, south, east, north)
            if len(cut) >= 3:
                found.append(cut)
    return found


def _cut(ring: Ring, west: float, south: float, east: float, north: float) -> Ring:
    """Cut a ring to a window, one side after the other (Sutherland and Hodgman, 1974)."""
    for axis, limit, sign in ((0, west, 1.0), (0, east, -1.0), (1, south, 1.0), (1, north, -1.0)):
        kept: Ring = []
        for i, point in enumerate(ring):
            before = ring[i - 1]
            inside, was_inside = (point[axis] - limit) * sign >= 0, (before[axis] - limit) * sign >= 0
            if inside != was_inside:
                kept.append(_crossing(before, point, axis, limit))
            if inside:
                kept.append(point)
        ring = kept
        if not ring:
            break
    return ring


def _crossing(a: tuple[float, float], b: tuple[float, float], axis: int, limit: float) -> tuple[float, float]:
    part = (limit - a[axis]) / (b[axis] - a[axis])
    return a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])
